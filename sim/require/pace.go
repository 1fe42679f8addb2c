package require

import "math"

// pace is how fast a curtain has come down over the last paceSpan of this run. Pulses tell it no
// sooner: at 5 mm each a span of 0.16 s has seven at 0.24 m/s, and a shorter one is off by a quarter.
type pace struct {
	ring     [160]float64 // m: heights, a tick each, of 1 ms at least
	n, at    int
	span     int
	overSpan float64 // 1/s
	down     float64 // m/s, downward positive; infinite until the run has lasted that long
}

func (p *pace) begin(tick float64) {
	p.span = min(max(int(paceSpan/tick+0.5), 1), len(p.ring))
	p.overSpan = 1 / (tick * float64(p.span))
}

// restart: a run begins.
func (p *pace) restart() { p.n, p.at, p.down = 0, 0, math.Inf(1) }

func (p *pace) add(height float64) {
	if p.n == p.span {
		p.down = (p.ring[p.at] - height) * p.overSpan
	} else {
		p.n++
	}
	p.ring[p.at] = height
	if p.at++; p.at >= p.span {
		p.at = 0
	}
}

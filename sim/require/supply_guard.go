package require

import (
	"math"

	"slatbench/sim"
)

// supplyMean is the true supply averaged over the last 100 ms at rest.
type supplyMean struct {
	ring    [100]float64 // V, a tick each
	n       int          // filled
	at      int
	span    int
	sum     float64
	atPress float64 // V, the mean at the last press at rest; NaN before
	read    readMean
}

func (s *supplyMean) restart() {
	s.n, s.at, s.sum = 0, 0, 0
	s.read.n, s.read.at, s.read.sum = 0, 0, 0
}

// readMean is the same, as the controller's converter reads it, the present tick included.
type readMean struct {
	ring        [100]uint16
	n, at, span int
	sum         int
}

func (r *readMean) add(x uint16) {
	if r.n == r.span {
		r.sum -= int(r.ring[r.at])
	} else {
		r.n++
	}
	r.ring[r.at] = x
	r.sum += int(x)
	if r.at++; r.at >= r.span {
		r.at = 0
	}
}

// mean is in V, and NaN while nothing has been taken up.
func (r *readMean) mean() float64 {
	return float64(r.sum) / float64(r.n) * (sim.SupplyFullV / sim.ConverterMax)
}

func (s *supplyMean) add(v float64) {
	if s.n == s.span {
		s.sum -= s.ring[s.at]
	} else {
		s.n++
	}
	s.ring[s.at] = v
	s.sum += v
	if s.at++; s.at >= s.span {
		s.at = 0
	}
}

// mean is NaN while nothing has been taken up.
func (s *supplyMean) mean() float64 { return s.sum / float64(s.n) }

func (s *supplyMean) press() { s.atPress = s.mean() }

// judgeSupply judges the start clause of supply-guard.
func (t *bayTruth) judgeSupply(dir int, now int64) {
	if t.seconds(t.pressAt, now) > startAfterPress || t.reverses(dir) && t.pressAt < t.last.end {
		return
	}
	v := t.supply.atPress
	if m := t.supply.mean(); !(m <= v) {
		v = m
	}
	if !math.IsNaN(v) {
		t.m[voltsClause].note(v-supplyLow, now)
	}
}

// brownMonitor judges the brown-out clause of supply-guard.
type brownMonitor struct{ off timed }

// dark: the controller has lost power.
func (s *brownMonitor) dark(t *bayTruth, now int64) {
	if t.energised != 0 {
		s.off.start(now, t.set.limit.brown)
	} else if now-t.last.end <= int64(t.set.bench.TickSteps) && t.last.dir != 0 && !t.last.pressed {
		// It was cut between the loss and the tick that shows it.
		t.m[brownClause].note(brownLimit, now)
	}
}

func (s *brownMonitor) stopped(t *bayTruth, now int64) {
	s.off.meet(&t.m[brownClause], t.set.limit.dt, now)
}

// started: a start in the dark. Contacts that have not yet fallen are no start
// (see bayTruth.held).
func (s *brownMonitor) started(t *bayTruth, now int64) {
	if !t.set.bench.Awake(t.index) {
		t.m[brownClause].note(-brownLimit, now)
	}
}

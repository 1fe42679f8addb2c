package model

// reel is the draw-wire encoder: a wire from the header to the bottom edge, on a
// reel with a rewind spring and a magnet wheel.
//
// Closing draws the wire out, and a taut wire cannot be outrun. Opening lets the
// reel take it up, no faster than its spring can: until it has, the wire is slack
// and the count stands.
type reel struct {
	out     float64 // m of wire drawn out, as the reel has it
	phase   float64 // pulses: angle of the magnet wheel
	mark    int64   // last whole pulse passed, by pass alone
	next    float64 // pulses: the phase of the one after it …
	back    float64 // … and the phase below which mark is passed the other way
	scale   float64 // pulses a m of wire that reach the magnet wheel
	rewind  float64 // m a step
	perTurn int64
	gap     int64   // pulses of a turn with too wide a gap
	gapStep float64 // m a step above which they are lost

	Pulses int64 // pulses sent since the start, on either channel
	Net    int64 // pulses up less pulses down: what two channels tell
}

// reversePlay is how far, in pulses, the wheel must turn back over an edge before
// the sensor switches again: its hysteresis, so that a trembling curtain does not count.
const reversePlay = 0.25

// follow lets the reel follow a wire that is long m from reel to edge, and gives how
// far it has moved, in m. It and passes are short enough to be inlined: few steps
// bring a pulse.
func (r *reel) follow(long float64) (moved float64) {
	moved = long - r.out
	if moved < -r.rewind {
		moved = -r.rewind
	}
	r.out += moved
	r.phase -= float64(moved * r.scale)
	return moved
}

// passes tells that the magnet wheel has passed a pulse either way.
func (r *reel) passes() bool { return r.phase >= r.next || r.phase < r.back }

// pulse sends what the magnet wheel has passed in a step of moved m.
func (r *reel) pulse(moved float64) {
	for r.phase >= r.next {
		r.pass(r.mark + 1)
		r.send(r.mark, moved, 1)
	}
	for r.phase < r.back {
		r.send(r.mark, moved, -1)
		r.pass(r.mark - 1)
	}
}

// pass notes the last whole pulse passed, and where the next one comes either way.
func (r *reel) pass(mark int64) {
	r.mark, r.next, r.back = mark, float64(mark+1), float64(mark)-reversePlay
}

func (r *reel) send(edge int64, moved float64, dir int64) {
	if r.gap > 0 && (moved > r.gapStep || -moved > r.gapStep) {
		at := edge % r.perTurn
		if at < 0 {
			at += r.perTurn
		}
		if at < r.gap {
			return
		}
	}
	r.Pulses++
	r.Net += dir
}

// Out is how much wire is drawn out, in m, as the reel has it: more than reaches from
// the reel to the edge hangs slack.
func (r *reel) Out() float64 { return r.out }

// still tells that the reel has nothing left to take up.
func (r *reel) still(long float64) bool { return r.out == long || r.rewind == 0 && long < r.out }

package logic

import "slatbench/sim"

// catchesUp is how long after the start of a run down, in s, a curtain may be behind its drive,
// on slack cable: in the cold it takes 0.8 s to catch up.
const catchesUp = 1.0

// runsDown is how far, in m, a curtain comes down fast after its drive was cut before anything else
// than its running out is thought of. One that hangs on its cable comes 20 to 35 mm in all, but no
// more than 25 mm of them before it has slowed down (at 1,890 stops of trucks within their tolerances).
const runsDown = 0.03

// throwsBack is how far, in m, a curtain that is thrown back by its cable goes up and down at most,
// in all, until it stands.
const throwsBack = 0.025

// countPulses: two channels tell the direction; with one it is taken from the
// last drive, as long as the curtain can still be running out. A curtain that was
// driven against something springs back once that no longer gives, and one that has
// come as high as the taught travel can only come down. Where one that has met nothing turns as it
// runs out, a pulse may be of either direction: it is not counted.
func (d *Door) countPulses(in *sim.Inputs) {
	pulses := int(in.Pulses)
	if in.TwoChannels {
		d.count += int(in.Net)
		d.outdate()
		return
	}
	if d.state().drive == 0 && d.atRest > d.limits.runOut {
		d.strays += pulses
		switch {
		case d.state().saysDown && d.count < 0: // it lies in its seal, and that can only spread
			d.count = min(d.count+pulses, 0)
		case d.count > d.travel: // it stands against the stop, and can only come down
			d.count = max(d.count-pulses, d.travel)
		}
		return
	}
	dir := d.run.dir
	switch {
	case d.state().drive != 0 && !d.driver.enable:
		dir = d.run.coasts
	case d.state().drive != 0:
	case d.run.met && d.atRest > d.run.gives || dir > 0 && d.count >= d.travel:
		dir = -dir
	case pulses > 0 && d.turns(pulses):
		return
	}
	d.count += dir * pulses
	if dir < 0 && d.state().drive == 0 && d.run.lagged {
		d.low += 2 * pulses
	}
}

// tooLow tells that the count may be too low by more than one channel miscounts with nothing wrong (which
// may be either way). A curtain that has met something, and no edge told of it, is thrown back once its
// drive is cut, or falls on its slack cable, and its pulses are the same: each that was counted down may
// have been one up.
func (d *Door) tooLow() bool { return d.low > 2*strayPulses }

// stopByTheMost tells that what holds the curtain up lies below the stop by the count, and can be the
// stop by the most that the count may be too low.
func (d *Door) stopByTheMost() bool {
	top := d.travel - d.limits.topWindow
	return d.known && d.tooLow() && d.count < top && d.count+d.low >= top
}

// outdate: two channels follow a curtain that moves at rest, and what was written down of that rest does
// not: it must not be read after a reset. A door that is down is so until 'moved' says otherwise.
func (d *Door) outdate() {
	if off := d.count - d.written; d.noted && !d.state().saysDown && (off > strayPulses || off < -strayPulses) {
		d.strikeRest()
	}
}

// turns tells that a curtain that runs out, its drive cut, may have turned at these pulses, or
// before them.
func (d *Door) turns(pulses int) bool {
	r := &d.run
	gap := d.atRest + r.quiet
	r.quiet = -d.atRest
	if r.dir > 0 {
		return d.comesBack(gap)
	}
	return d.thrownBack(gap, pulses)
}

// comesBack: a curtain that rises has slowed down to its turn, and crosses the same edge upwards or
// downwards. The pulse before came after a gap that only a curtain leaves that is about to
// stand, and this one after a longer one. It comes back by less than a pulse, so this happens
// once, and the most that it is off by is what a floor takes back.
func (d *Door) comesBack(gap int) bool {
	r, least := &d.run, d.limits.slowsTo
	turns := r.gap >= least && gap > least && !r.turned
	r.gap = gap
	r.turned = r.turned || turns
	return turns
}

// thrownBack: a curtain that is stopped on slack cable falls fast until that is straight, and is thrown
// back by it, up and down and up, by some pulses that nearly cancel out. So those that come once it has
// fallen, and slowed down, are set aside. One whose drive does not brake is slowed down by its cable, too,
// but goes on down: by its speed or by their number its pulses tell, and they count after all. The first
// two tell no speed, since they may be of one edge, crossed down and up.
func (d *Door) thrownBack(gap, pulses int) bool {
	r, l := &d.run, &d.limits
	slow := gap >= l.slowsTo
	switch {
	case r.met || r.goesDown || r.ticks >= l.catchesUp:
		return false
	case r.fell == 0 || r.aside == 0 && !slow:
		r.fell += pulses
		return false
	case r.fell < l.runsDown || r.aside > 1 && !slow || r.aside+pulses > l.throwsBack:
		r.goesDown = true
		d.count -= r.aside
		return false
	}
	r.aside += pulses
	return true
}

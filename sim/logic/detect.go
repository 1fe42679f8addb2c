package logic

import "slatbench/sim"

// supplySpan is how long, in s, readings at rest are averaged over.
const supplySpan = 0.1

// window is the sum of the last readings, as many as it has slots.
type window struct {
	ring []uint16
	n    int // readings so far
	at   int // slot of the next
	sum  int
}

func newWindow(slots int) window { return window{ring: make([]uint16, slots)} }

func (w *window) reset() {
	clear(w.ring)
	w.n, w.at, w.sum = 0, 0, 0
}

func (w *window) add(x uint16) {
	slot := &w.ring[w.at]
	w.sum += int(x) - int(*slot)
	*slot = x
	w.n++
	if w.at++; w.at == len(w.ring) {
		w.at = 0
	}
}

// full tells that every slot holds a reading.
func (w *window) full() bool { return w.n >= len(w.ring) }

// edgeClass is what a reading of the sensing edge means.
type edgeClass uint8

const (
	edgeFree edgeClass = iota
	edgePressed
	edgeFaulty
	edgeNone
)

// Bounds between the readings, halfway or nearer to the faulty side.
const (
	edgeShortBelow   = 40
	edgePressedBelow = 330
	edgeOpenAbove    = 900
)

func classifyEdge(in *sim.Inputs) edgeClass {
	switch {
	case !in.EdgeFitted:
		return edgeNone
	case in.Edge < edgeShortBelow || in.Edge > edgeOpenAbove:
		return edgeFaulty
	case in.Edge < edgePressedBelow:
		return edgePressed
	}
	return edgeFree
}

// speedometer counts the pulses of the last span, and keeps the most that any
// span of this state has had.
type speedometer struct {
	window
	most int
}

func (s *speedometer) reset() {
	s.window.reset()
	s.most = 0
}

func (s *speedometer) add(pulses uint8) {
	s.window.add(uint16(pulses))
	s.most = max(s.most, s.sum)
}

// below tells that the last whole span had less than so many percent of the most,
// which is taken to be within bounds.
func (s *speedometer) below(percent, least, most int) bool {
	return s.n >= 2*len(s.ring) && s.sum*100 < min(max(s.most, least), most)*percent
}

// follow takes up pulses, supply and current.
func (d *Door) follow(in *sim.Inputs) {
	if d.driver.dir == 0 && !d.driver.enable && d.state().drive == 0 {
		d.supply.add(in.Supply)
	} else {
		d.supply.reset()
	}
	d.countPulses(in)
	d.sillMade, d.sillOpen = d.sillMade || in.Sill, d.sillOpen || !in.Sill
	r := &d.run
	if d.state().drive == 0 {
		return
	}
	if !d.driver.enable {
		r.quiet = 0
		return
	}
	r.ticks++
	r.quiet++
	if in.Pulses > 0 {
		r.quiet = 0
		r.pulses += int(in.Pulses)
	}
	d.speed.add(in.Pulses)
	r.lag = max(0, r.lag+d.paidOut(in)-1000*int(in.Pulses))
	hot := d.tooHot(in)
	r.inrush = d.inrush(in, hot)
	r.hot = lasting(r.hot, hot && r.inrush == 0 && r.ticks >= d.limits.currentOff)
	r.borne = d.borne(in)
	r.bears = d.bears(in)
	r.labours = lasting(r.labours, d.labours(in))
	r.carries = lasting(r.carries, d.carries(in))
	none := int(in.Current) <= d.limits.deadAmps
	r.drew = r.drew || !none
	r.cut = lasting(r.cut, none && r.drew)
}

// lasting counts the ticks for which something has lasted.
func lasting(n int, on bool) int {
	if on {
		return n + 1
	}
	return 0
}

// paidOut is what the drive pays out in this tick at least, in 1/1000 pulse, where it runs
// down: its speed goes with its voltage, less what the winding loses.
func (d *Door) paidOut(in *sim.Inputs) int {
	if d.run.dir > 0 {
		return 0
	}
	l := &d.limits
	volts := min(int(in.Supply), l.countedSupply)*int(d.state().duty)/100 - l.lost
	return max(0, l.leastMilli*volts/(l.closingSupply-l.lost))
}

// tooHot compares the current of this tick with what the run can need. The
// reading is taken before the chopper, so it is scaled. High up, a drive at full duty
// may need more to wind up its own spring; a door that comes slowly, or whose
// count is not known, is watched all the way.
func (d *Door) tooHot(in *sim.Inputs) bool {
	amps := d.fullAmps(in)
	if d.run.dir > 0 {
		return amps > d.limits.openAmps
	}
	return (d.state().slow || !d.known || d.count < d.limits.closingWatch) && amps > d.limits.closingAmps
}

// inrush is for how many ticks more too high a current is taken for that of a motor that
// starts anew: one that comes at once after there was none, as of a contact that had opened for
// a moment. What a curtain meets takes longer to show in the current.
func (d *Door) inrush(in *sim.Inputs, hot bool) int {
	switch {
	case int(in.Current) <= d.limits.deadAmps:
		return d.limits.currentOff
	case hot:
		return max(0, d.run.inrush-1)
	}
	return 0
}

// borne is for how many ticks a curtain that drove its motor has no longer done so, from 1 on. One that
// outweighs its spring pulls the drive along, and a motor that is driven takes nothing; where it takes
// current again, something else bears the curtain. But any motor takes nothing for a while where it has
// just been slowed down, or the supply sags; and one that takes much at once has had a contact open.
func (d *Door) borne(in *sim.Inputs) int {
	r, l := &d.run, &d.limits
	amps := int(in.Current)
	none := amps <= l.noAmps
	r.driven = lasting(r.driven, none)
	switch {
	case none && r.driven >= l.slowsDown:
		return 1
	case none || r.borne == 0 || r.borne == 1 && amps > l.deadAmps:
		return 0
	}
	return r.borne + 1
}

// bears tells that something bears a curtain that comes down slowly, and no longer hangs behind its drive:
// within 'current time' its motor has come to take a current for which it needs half a second where it is
// the spring that, winding up, carries more and more.
func (d *Door) bears(in *sim.Inputs) bool {
	r, l := &d.run, &d.limits
	return r.dir < 0 && d.state().slow && r.ticks >= l.catchesUp && r.borne == 1+l.currentTime && int(in.Current) > l.borneAmps
}

// carries tells that the motor drives something, or that its sensor tells nothing.
func (d *Door) carries(in *sim.Inputs) bool {
	return d.fullAmps(in) > d.limits.idleAmps || int(in.Current) <= d.limits.deadAmps
}

// labours tells that an opening motor takes what one takes that stands, at its voltage: on
// a low supply, or at less than full duty, that is less than 'opening current'.
func (d *Door) labours(in *sim.Inputs) bool {
	if d.run.dir < 0 || d.run.ticks < d.limits.currentOff {
		return false
	}
	volts := min(int(in.Supply), d.limits.ratedSupply) * int(d.state().duty) // times 100
	return d.fullAmps(in)*d.limits.ratedSupply*100 > d.limits.openAmps*volts
}

// fullAmps is the current of this tick in converter counts, scaled to full duty.
func (d *Door) fullAmps(in *sim.Inputs) int { return int(in.Current) * 100 / int(d.state().duty) }

// stalled tells that pulses came and stopped; still that none has come at all.
func (d *Door) stalled() (stalled, still bool) {
	r, l := &d.run, &d.limits
	if r.dir > 0 {
		return r.pulses > 0 && r.quiet >= l.stallOpening, r.pulses == 0 && r.ticks >= l.graceUp
	}
	limit := l.stallClosing
	if d.state().slow {
		limit = l.stallSlow
	}
	return r.pulses > 0 && r.quiet >= limit, r.pulses == 0 && r.ticks >= l.graceClosing
}

func bit(on bool, n int) uint32 {
	if on {
		return 1 << n
	}
	return 0
}

// events of this tick.
func (d *Door) events(in *sim.Inputs, edge edgeClass) uint32 {
	e := bit(in.Press && !d.pressed, evPress) | bit(!permitted(in), evBarred) |
		bit(d.inState >= d.limits.waking, evAwake) | bit(d.inState >= d.limits.pause, evPaused)
	e |= bit(edge == edgePressed, evEdge) | bit(edge == edgeFaulty, evEdgeFault)
	switch d.state().drive {
	case 0:
		return e | bit(d.moved(in), evMoved) | bit(!in.Sill, evSillOpen)
	case 1:
		return e | d.runEvents() | d.upEvents()
	}
	return e | d.runEvents() | d.downEvents(in, edge)
}

// slowed tells that the pulses have fallen off. A curtain that has not come after
// its drive from the start has no speed of its own to be measured by, and one that
// has run ahead of it has too much; but what the drive has paid out, and the curtain has
// not come, hangs as slack cable.
func (d *Door) slowed() bool {
	if d.run.dir > 0 {
		return false
	}
	if d.run.lag > d.limits.mostLag {
		return true
	}
	duty := int(d.state().duty)
	return d.speed.below(d.limits.slowedTo, d.limits.leastPulses*duty/100, d.limits.mostPulses*duty/100)
}

// heldUp tells that the motor has taken too much for long enough. A door that is heavy, and
// goes up, takes as much for a moment as one that stands: while it gives pulses it is let go on, but for no
// longer than a door may take to start, since noise on the encoder's wire must keep no motor driven that stands.
func (d *Door) heldUp() bool {
	r, l := &d.run, &d.limits
	return r.hot >= l.currentTime && (r.dir < 0 || d.stands()) || r.labours >= l.graceUp || r.bears
}

// stands tells that a curtain that is driven up gives no pulses, or has not given one yet.
func (d *Door) stands() bool { return d.run.quiet >= d.limits.stands }

func (d *Door) runEvents() uint32 {
	stalled, still := d.stalled()
	return bit(d.run.ticks >= d.limits.limit, evTimeUp) | bit(d.run.ticks == d.limits.slow, evSlow) |
		bit(d.heldUp(), evHeldUp) | bit(stalled, evStall) | bit(still, evNoMotion) |
		bit(d.slowed(), evSlowed)
}

// atTop tells that the curtain is as high as opening takes it. With a count that may be too high it goes
// on to the stop.
func (d *Door) atTop() bool { return d.known && !d.high && d.count >= d.travel-d.limits.stopBefore }

// nearTop tells that what holds the curtain up can be the stop, by the count. Nothing lies higher: where
// the count may be too high, it is so by any amount.
func (d *Door) nearTop() bool {
	l := &d.limits
	return d.known && d.count >= d.travel-l.topWindow && (d.count <= d.travel+l.overrun || d.run.floored || d.high)
}

// topConfirmed tells that the count, believed or not, is that of the stop.
func (d *Door) topConfirmed() bool {
	return d.count >= d.travel-d.limits.topWindow && d.count <= d.travel+d.limits.topWindow
}

func (d *Door) upEvents() uint32 {
	return bit(d.atTop() && d.run.pulses > 0, evAtTop) | bit(d.run.ticks >= d.run.downTicks, evPaidBack)
}

func (d *Door) downEvents(in *sim.Inputs, edge edgeClass) uint32 {
	stalled, still := d.stalled()
	heldUp := d.heldUp()
	e := bit(in.Sill && (edge == edgePressed || heldUp || stalled || still && d.fullAmps(in) > d.limits.idleAmps), evFloor)
	if !d.known {
		return e
	}
	e |= bit(d.count <= d.limits.slowBelow, evNearFloor) | bit(d.count < -d.limits.overrun, evOverrun)
	if d.count < -d.limits.floorWindow && !d.run.ranOut {
		d.run.ranOut = true
		e |= 1 << evRanOut
	}
	return e
}

// moved tells that the curtain has moved with the drive at rest. Two channels tell where to: with them it
// has only where it was down, or open, and is so no longer. One that sinks into its seal is no less down.
func (d *Door) moved(in *sim.Inputs) bool {
	switch {
	case !in.TwoChannels:
		return d.strays > strayPulses
	case d.state().saysDown:
		return d.count > d.limits.floorWindow
	}
	return d.run.arrived && !d.highAsOpen()
}

// highAsOpen tells that the count is that of a door that stands open.
func (d *Door) highAsOpen() bool {
	return d.count >= d.travel-max(d.limits.topWindow, d.limits.stopBefore)
}

// atStop tells whether what holds the motor up can be the open stop: it carries more than a curtain, which
// stands, and it has not only just begun to lift one off the sill. A jam may let the curtain by: where the
// motor does not take 'opening current' it is taken to stand no sooner than in a stall.
func (d *Door) atStop(in *sim.Inputs) bool {
	low := d.run.fromSill && d.run.pulses < d.limits.least
	hot := d.run.hot >= d.limits.currentTime && d.stands()
	return d.fullAmps(in) > d.limits.loadedAmps && !in.Sill && !low && (hot || d.run.quiet >= d.limits.stallOpening)
}

// sillWorks tells that the sill switch has been seen both ways, and that it has not stayed
// made while this run came down from above the sill.
func (d *Door) sillWorks() bool {
	stuck := d.run.fromSill && d.run.pulses > 2*d.limits.floorWindow
	return d.sillMade && d.sillOpen && !stuck
}

// permitted tells that this door may move as far as its lock is concerned: by the
// lock controller, and by both end switches of the bar.
func permitted(in *sim.Inputs) bool {
	return in.Permit && in.Unlocked.Sound() && in.Unlocked.Made && in.Locked.Sound() && !in.Locked.Made
}

// guards of this tick. Most ticks bring no event that the state waits for, and need none.
func (d *Door) guards(in *sim.Inputs, edge edgeClass) uint32 {
	l := &d.limits
	near := d.known && d.count >= -l.floorWindow && d.count <= l.floorWindow
	amps := d.fullAmps(in)
	return bit(permitted(in), gdPermitted) | bit(d.supply.full() && d.supply.sum < l.supplyFloor, gdSupply) |
		bit(d.known, gdKnown) | bit(near, gdNearZero) |
		bit(d.nearTop(), gdNearTop) |
		bit(in.Sill, gdSill) | bit(edge != edgeFaulty, gdEdgeSound) |
		bit(d.travel > 0, gdTaught) | bit(in.Teach, gdTeach) |
		bit(d.known && d.count >= l.least, gdPlausible) |
		bit(d.place == restDown, gdWasDown) | bit(d.place == restOpen, gdWasOpen) |
		bit(d.known && d.count < -l.floorWindow, gdPastZero) |
		bit(d.run.ticks >= d.run.downTicks, gdPaidBack) | bit(d.atRest >= d.limits.pause, gdRested) |
		bit(d.topConfirmed(), gdTopConfirmed) | bit(d.sillWorks(), gdSillWorks) |
		bit(amps > l.loadedAmps, gdLoaded) | bit(amps > l.idleAmps && amps <= l.loadedAmps, gdLifting) |
		bit(d.run.pulses > 0, gdMoving) | bit(d.atStop(in), gdAtStop) |
		bit(int(in.Current) > l.deadAmps, gdDrawing) | bit(!d.carries(in), gdIdling) |
		bit(d.travel > 0 && d.count < d.travel-l.topWindow, gdShorter) | bit(in.Sill && d.known && d.count > l.slowBelow, gdSillWrong)
}

package logic

import "slatbench/sim"

// Most ticks are those of controllers at rest whose wires bring nothing new: then a tick
// changes nothing but what counts ticks, and the filter of the supply. Such ticks are
// passed over, exactly: Doze says which, and TestDozingIsExact (sim/campaign) plays runs
// with and without.

// doze is what a controller keeps of its last full tick.
type doze struct {
	may   bool // the same wires again would be answered by nothing
	never bool // every tick is a full one
}

// KeepAwake lets every tick from here on be a full one. It serves comparison: what the
// door does is the same.
func (d *Door) KeepAwake() { d.doze.never = true }

// KeepAwake is that of Door.
func (l *Locks) KeepAwake() { l.doze.never = true }

// mayDoze tells, after a full tick, that another one with the same wires would do
// nothing. No event is there that this state listens to, so its answers do not hang on
// guards; and none comes by mere waiting, nor does anything else. (The events of this tick were found
// before inState was counted on: what comes as it reaches a time is found at the next.)
func (d *Door) mayDoze(in *sim.Inputs, out *sim.Outputs, events uint32) bool {
	s := d.state()
	return s.drive == 0 && d.driver.dir == 0 && in.Pulses == 0 && in.Net == 0 && !in.StoreBusy && !out.Write && !d.doze.never &&
		d.atRest > d.limits.runOut && d.inState > max(d.limits.waking, d.limits.pause) &&
		d.flash == 0 && s.lamp != lampFlash && d.sounder.silent() && !d.pen.busy() &&
		!d.machine.heeds(events)
}

// sameWires tells that nothing has changed on the wires that a door at rest looks at.
// Supply and current are not among them: they make guards, not events.
func sameWires(a, b *sim.Inputs) bool {
	return a.Edge == b.Edge && a.Pulses == 0 && a.Net == 0 && a.Sill == b.Sill && a.Press == b.Press && a.Permit == b.Permit &&
		a.Unlocked == b.Unlocked && a.Locked == b.Locked && !a.StoreBusy && a.TwoChannels == b.TwoChannels && a.EdgeFitted == b.EdgeFitted
}

// Dozes, Doze and Self implement sim.Dozer.
func (d *Door) Dozes() bool { return d.doze.may }

// Doze: see Dozes.
func (d *Door) Doze(in *sim.Inputs) {
	d.now++
	d.inState++
	d.atRest++
	d.supply.add(in.Supply)
}

// Self: see Dozes.
func (d *Door) Self() sim.Controller { return d }

// Dozes, Doze and Self are those of Door.
func (l *Locks) Dozes() bool { return l.doze.may }

// Doze: see Dozes.
func (l *Locks) Doze(*sim.Inputs) {
	l.now++
	for i := range l.sides {
		l.sides[i].inState++
	}
}

// Self: see Dozes.
func (l *Locks) Self() sim.Controller { return l }

// dozed is a tick that is passed over.
func (d *Door) dozed(in *sim.Inputs, out *sim.Outputs) {
	d.Doze(in)
	s := d.state()
	d.driver.drive(out, s.duty)
	out.Lamp, out.Tone = s.lamp == lampOn, false
	out.Lines = sim.DownLines{Down: s.saysDown, NotDown: !s.saysDown}
}

// Asleep tells, after a tick, that the next may be left out: nothing happens until a wire
// changes. Of the ticks left out the last so many are needed all the same, for the filter
// of the supply; the others are to be made up for by Passed. It is 0 while awake.
func (d *Door) Asleep() int {
	if !d.doze.may {
		return 0
	}
	return len(d.supply.ring)
}

// Passed makes up for so many ticks that were left out.
func (d *Door) Passed(ticks int) {
	d.now += ticks
	d.inState += ticks
	d.atRest += ticks
}

// Asleep is that of Door: of the ticks left out the last one is enough.
func (l *Locks) Asleep() int {
	if !l.doze.may {
		return 0
	}
	return 1
}

// Passed is that of Door.
func (l *Locks) Passed(ticks int) {
	l.now += ticks
	for i := range l.sides {
		l.sides[i].inState += ticks
	}
}

// silent tells that the sounder has nothing to sound and nothing to wait for.
func (s *sounder) silent() bool { return s.n == 0 && s.left == 0 && s.wait == 0 && !s.on }

// mayDoze is that of Door, for one side.
func (l *Locks) mayDoze(s *sideLock, events uint32) bool {
	k, o := &l.limits, &s.outputs[s.machine.state]
	return o.drive == 0 && s.flash == 0 && o.lamp != lampFlash && s.inState > max(k.settle, k.leave, k.limit, k.stroke) &&
		!s.machine.heeds(events)
}

// dozed is a tick that is passed over: its outputs stand as they are.
func (l *Locks) dozed(out *sim.Outputs) {
	l.Doze(nil)
	for i := range l.sides {
		s := &l.sides[i]
		o := &s.outputs[s.machine.state]
		out.Sides[i] = sim.SideOutputs{Lamp: o.lamp == lampOn, Permit: o.permit}
	}
	out.Tone = false
}

package require

import "slatbench/sim"

// lockFaultMonitor judges lock-fault: a bar that cannot arrive.
type lockFaultMonitor struct {
	back      timed // driven back within 1 s
	flash     timed // the lamp changes three times within 5 s
	returning bool
	shortAt   int64 // step of the trigger in this stroke, or 0
	unlockAt  int64 // last unlock request
	changes   int
	lamp      bool
	shown     int64 // step since which the lamp is on without the bar being locked, or never
	longest   float64
}

// stopped: a drive of the bar has ended or turned. A bar that was at its locked end at the tick that cut its
// drive has arrived, though a hand takes it away at that instant.
func (f *lockFaultMonitor) stopped(d *sideTruth, was int, now int64) {
	awake := d.set.bench.LocksAwake()
	if was > 0 && awake && !d.arrived() && !d.wasOut {
		f.short(d, now)
	}
	if was < 0 {
		if awake && d.drive == 0 && !d.home() {
			f.stuck(d, now)
		}
		if !awake { // nobody could go on driving it
			f.returning = false
		}
		f.returned(d, now)
	}
	f.shortAt = 0
}

// short: the bar will not arrive.
func (f *lockFaultMonitor) short(d *sideTruth, now int64) {
	if f.shortAt != 0 {
		return
	}
	f.shortAt = now
	f.returning = false
	if !d.home() {
		f.back.start(now, d.set.limit.comeBack)
	}
	if f.unlockAt < d.from { // nobody has called it back
		f.changes = 0
		f.flash.start(now, d.set.limit.flash)
		f.alarm(d, now)
	}
	d.m[showClause].tried()
}

// alarm: the bar has stopped short of its end.
func (f *lockFaultMonitor) alarm(d *sideTruth, now int64) {
	d.set.post.allow(int(sim.LockBlocked), now)
	d.set.post.want(lockRow, now, d.from, d.set)
}

// stuck: a bar that was driven back has stopped short of home. One whose switches have plainly
// said home ever since it was there nobody knows to have left: an actuator that does not move gives
// the same levels, and its doors are to be permitted.
func (f *lockFaultMonitor) stuck(d *sideTruth, now int64) {
	if d.homeSaid {
		d.set.post.allow(int(sim.LockBlocked), now)
		return
	}
	f.alarm(d, now)
}

func (f *lockFaultMonitor) started(d *sideTruth, now int64) {
	if d.drive > 0 {
		if f.back.on && d.lockAt > f.back.from { // asked anew
			f.back.drop(&d.m[returnClause], d.set.limit.dt, now)
		}
		return
	}
	if f.back.on {
		f.back.meet(&d.m[returnClause], d.set.limit.dt, now)
		f.returning = true
	}
}

// step is called while the bar is driven or moves.
func (f *lockFaultMonitor) step(d *sideTruth, now int64) {
	if d.drive != 0 {
		f.lasts(d, now)
	}
	if d.drive > 0 && now-d.from > d.set.limit.stroke && !d.arrived() {
		f.short(d, now)
	}
	if f.returning && d.drive < 0 && (d.home() || now-d.stood >= d.set.limit.barStands) {
		d.m[homeClause].note(max(d.lock.Params.SwitchTrip-d.lock.Position, 0), now)
		f.returning = false
	}
}

// lasts judges how long an actuator is driven one way.
func (f *lockFaultMonitor) lasts(d *sideTruth, now int64) {
	m := &d.m[limitClause]
	margin := d.set.limit.dt * float64(d.set.limit.stroke-(now-d.from))
	switch {
	case margin >= 0:
		m.see(margin, now)
	case m.seen && m.margin < 0:
		m.see(margin, m.at)
	default:
		m.note(margin, now)
	}
}

// returned: the drive back is over. Where the bar had neither got home nor stood,
// it was over too early.
func (f *lockFaultMonitor) returned(d *sideTruth, now int64) {
	if f.returning {
		d.m[homeClause].note(d.lock.Params.SwitchTrip-d.lock.Position, now)
		f.returning = false
	}
}

func (f *lockFaultMonitor) dark(d *sideTruth, now int64) {
	f.back.drop(&d.m[returnClause], d.set.limit.dt, now)
	f.flash.drop(&d.m[flashClause], d.set.limit.dt, now)
	f.returning = false
}

func (f *lockFaultMonitor) tick(d *sideTruth, lamp bool, now int64) {
	dt := d.set.limit.dt
	if lamp != f.lamp {
		f.lamp = lamp
		if f.changes++; f.flash.on && f.changes >= flashes {
			f.flash.meet(&d.m[flashClause], dt, now)
		}
	}
	if now > f.back.due() {
		f.back.pass(&d.m[returnClause], dt)
	}
	if now > f.flash.due() {
		f.flash.pass(&d.m[flashClause], dt)
	}
	f.show(d, lamp, now)
}

// show keeps how long the lamp says locked of a bar that is not.
func (f *lockFaultMonitor) show(d *sideTruth, lamp bool, now int64) {
	switch {
	case !lamp || d.arrived():
		f.shown = never
		return
	case f.shown == never:
		f.shown = now
		return
	}
	shown := d.set.limit.dt * float64(now-f.shown)
	if shown <= f.longest {
		return
	}
	f.longest = shown
	if m := &d.m[showClause]; shown > showLimit && m.margin >= 0 {
		m.note(showLimit-shown, now)
	} else {
		m.see(showLimit-shown, min(now, f.shown+d.set.limit.show))
	}
}

func (f *lockFaultMonitor) finish(d *sideTruth, now int64) {
	f.back.finish(&d.m[returnClause], d.set.limit.dt, now)
	f.flash.finish(&d.m[flashClause], d.set.limit.dt, now)
}

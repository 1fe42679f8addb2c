package require

import "slatbench/sim"

// recoveryMonitor judges the door clause of recovery: presses bring the door to rest at
// either end, and it stays there.
type recoveryMonitor struct {
	on             bool
	opened, closed bool
	presses        int   // since healed, or since an end was reached
	before         int   // the same, as the last end was reached
	due            int64 // by when a press must have brought the door to an end
	pressed        bool  // no run has begun since the last press
	dir            int   // of the last run
	rests          int64 // when a door that has come to an end has stood there for long enough, or never
	failed         bool
}

// press counts a press at rest.
func (r *recoveryMonitor) press(t *bayTruth, now int64) {
	if now < t.set.healed || t.barred {
		return
	}
	if !r.on {
		*r = recoveryMonitor{on: true, due: never, rests: never}
	}
	r.pressed, r.dir, r.rests = true, 0, never
	if r.opened && r.closed || r.failed {
		return
	}
	r.presses++
	r.due = now + t.set.limit.recovery
	if r.presses > recoveryPresses {
		r.fail(t, now)
	}
}

// started: a run begins. One that no press has asked for takes the door away from where it was to stay.
func (r *recoveryMonitor) started(t *bayTruth, dir int, now int64) {
	if !r.on || r.failed {
		return
	}
	if turned := !r.pressed && dir > 0 && r.dir < 0; turned && r.closed && now-t.last.end <= t.set.limit.afterRun {
		r.closed, r.presses = false, r.before
	}
	r.pressed, r.dir, r.rests = false, dir, never
}

// stopped: a run is over, and the door is to stand.
func (r *recoveryMonitor) stopped(t *bayTruth, now int64) {
	if r.on && !r.failed {
		r.rests = now + t.set.limit.standsAtEnd
	}
}

func (r *recoveryMonitor) deadline() int64 {
	if !r.on || r.failed {
		return never
	}
	if r.rests != never {
		return r.rests
	}
	if r.opened && r.closed || r.presses < recoveryPresses {
		return never
	}
	return r.due
}

// overdue: it has stood for long enough, or the time of the last press is over.
func (r *recoveryMonitor) overdue(t *bayTruth) {
	if r.rests == never {
		r.fail(t, r.due)
		return
	}
	at := r.rests
	r.rests = never
	switch {
	case r.presses == 0:
		return
	case !r.opened && r.dir > 0 && t.bay.Height >= t.open:
		r.opened = true
	case !r.closed && r.dir < 0 && t.bay.Height <= closedTolerance && t.bay.SillMade():
		r.closed = true
	default:
		return
	}
	t.m[doorBackClause].note(float64(recoveryPresses-r.presses), at)
	r.before, r.presses = r.presses, 0
}

func (r *recoveryMonitor) fail(t *bayTruth, at int64) {
	r.failed = true
	t.m[doorBackClause].note(-1, at)
}

// dark gives back the press that a loss of power has spoilt.
func (r *recoveryMonitor) dark() {
	r.presses = max(r.presses-1, 0)
	r.pressed, r.dir, r.rests = false, 0, never
}

// lockRecovery judges the lock clause of recovery.
type lockRecovery struct {
	want timed
	lock bool
}

// asked: a lock or unlock request after healing.
func (r *lockRecovery) asked(d *sideTruth, lock bool, now int64) {
	if now < d.set.healed {
		return
	}
	r.want.drop(&d.m[lockBackClause], d.set.limit.dt, now)
	if lock && (!d.allDown() || d.words.unproved != 0) || !lock && d.unproved {
		return
	}
	r.lock = lock
	r.want.start(now, d.set.limit.lockBack)
}

// prove keeps whether the unlocked end switch has been seen to let go since it was made
// beside a bar at its locked end, or within a tick of it: no bar is at its other end so soon. Until
// then nobody can tell, from outside the bar, a switch that has been mended from one that still
// sticks while the bar is held half way. Of two that were both made at a boot nobody knows which
// one sticks, nor of one that came to be made beside the other, or as that let go, not driven back, or too soon after a drive back
// began for any bar to have come home: where that of the locked end lets go as the bar is driven
// back, it may be the other.
func (d *sideTruth) prove(in *sim.SideInputs, now int64) {
	came := in.Unlocked.Made && !d.unlocked.Made && d.locked.Made && (d.drive >= 0 || now-d.from <= d.set.limit.leaves)
	either := d.either || came
	arrived, left := d.arrived(), either && d.drive < 0 && !in.Locked.Made
	d.unproved = in.Unlocked.Made && (d.unproved || arrived || d.wasOut || left)
	d.wasOut = arrived
	d.either = in.Unlocked.Made && in.Locked.Made && (either || now == d.bootAt)
}

// allDown tells that every curtain of the side is down, and its controller has
// had occasion to know it: one that has moved, or has no travel on record, has been
// closed since.
func (d *sideTruth) allDown() bool {
	for _, t := range d.bays[:d.n] {
		if t.bay.Height > closedTolerance || (t.moved || !t.taught()) && !t.recovery.closed {
			return false
		}
	}
	return true
}

// tick looks whether the bar is where it was asked to be, and whether the lock
// controller goes by it: doors that it never permits again have not recovered, nor has
// a lock that does not show that it is locked.
func (r *lockRecovery) tick(d *sideTruth, out *sim.SideOutputs, now int64) {
	if !r.want.on {
		return
	}
	m := &d.m[lockBackClause]
	if r.lock && d.arrived() && out.Lamp || !r.lock && d.home() && out.Permit {
		r.want.meet(m, d.set.limit.dt, now)
	} else if now > r.want.end {
		m.note(-r.short(d), r.want.end)
		r.want.on = false
	}
}

// short is how far the bar has fallen short, as a share of the time allowed, in s.
func (r *lockRecovery) short(d *sideTruth) float64 {
	way := d.lock.Position
	if r.lock {
		way = d.lock.Params.Stroke - d.lock.Position
	}
	return max(lockBackLimit*way/d.lock.Params.Stroke, d.set.limit.dt)
}

func (r *lockRecovery) finish(d *sideTruth, now int64) {
	r.want.drop(&d.m[lockBackClause], d.set.limit.dt, now)
}

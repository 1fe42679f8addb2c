package require

import "slatbench/sim"

// answerMonitor judges the answer clause of lock-fault: whoever asks at the cab switch is
// answered, also where what he asks for cannot be.
type answerMonitor struct {
	lock, unlock timed
	lit          bool // the lamp, when locking was asked for
	wasLit       bool
	changedAt    int64 // last change of the lamp
	free         bool  // the bar was home, and its doors permitted, when unlocking was asked for
}

// asked: a request. A bar that is under way answers a lock request already; so do a lamp that
// flashes, and one that says locked of a bar that is, or of which both end switches say so
// plainly: the second request tells the lock nothing new, and a lamp that is wrong is judged by
// the show clause. An unlock request that takes back a lock
// request of which nothing has come yet need do no more than that, and one that comes as the doors
// are permitted has been answered, though a switch should fail at this very tick.
func (a *answerMonitor) asked(d *sideTruth, lock bool, now int64) {
	k := &d.set.limit
	if now-max(d.bootAt, 0) <= k.selfTest {
		return
	}
	if !lock {
		a.drop(d, &a.lock, now)
		if d.drive != 0 || now-d.lockAt > k.answer {
			a.free = d.out.Permit && d.home()
			a.unlock.start(now, k.answer)
		}
		return
	}
	a.drop(d, &a.unlock, now)
	if d.drive != 0 || d.unasks || now-a.changedAt <= k.lampOut || a.wasLit && (d.arrived() || barOut(&d.set.bench.LockInputs().Sides[d.index])) {
		return
	}
	a.lit = a.wasLit
	a.lock.start(now, k.answer)
}

func (a *answerMonitor) drop(d *sideTruth, w *timed, now int64) {
	w.drop(&d.m[answerClause], d.set.limit.dt, now)
}

// tick looks for the answer: to a lock request the bar's being driven out, or the lamp; to
// an unlock request its being driven back, or its doors' being permitted with the bar home.
func (a *answerMonitor) tick(d *sideTruth, in *sim.SideInputs, out *sim.SideOutputs, now int64) {
	if out.Lamp != a.wasLit {
		a.wasLit, a.changedAt = out.Lamp, now
	}
	if !a.lock.on && !a.unlock.on {
		return
	}
	if d.lock.Condition.ByHand != 0 { // what hand and request make of it together nobody can say
		a.drop(d, &a.lock, now)
		a.drop(d, &a.unlock, now)
		return
	}
	m, dt := &d.m[answerClause], d.set.limit.dt
	if a.lock.on {
		if out.Drive > 0 || out.Lamp != a.lit {
			a.lock.meet(m, dt, now)
		} else if now > a.lock.due() {
			a.lock.pass(m, dt)
		}
	}
	if a.unlock.on {
		if out.Drive < 0 || out.Permit && barHome(in) || a.free {
			a.unlock.meet(m, dt, now)
		} else if now > a.unlock.due() {
			a.unlock.pass(m, dt)
		}
	}
}

// dark releases both.
func (a *answerMonitor) dark(d *sideTruth, now int64) {
	a.drop(d, &a.lock, now)
	a.drop(d, &a.unlock, now)
	a.wasLit, a.changedAt = false, now
}

func (a *answerMonitor) finish(d *sideTruth, now int64) {
	a.lock.finish(&d.m[answerClause], d.set.limit.dt, now)
	a.unlock.finish(&d.m[answerClause], d.set.limit.dt, now)
}

// barHome tells that both end switches say plainly that the bar is unlocked.
func barHome(in *sim.SideInputs) bool { return plain(in.Unlocked, true) && plain(in.Locked, false) }

// barOut tells that both say plainly that it is locked.
func barOut(in *sim.SideInputs) bool { return plain(in.Unlocked, false) && plain(in.Locked, true) }

package require

import "slatbench/sim"

// tellsMonitor judges what a lock tells of a bar that rests plainly at an end: the frees
// clause of lock-interlock, that the doors may move beside a bar that is home; and the locked
// clause of lock-fault, that the lamp says locked of a bar that is.
type tellsMonitor struct {
	home     bool  // the bar is home beyond doubt
	out      bool  // it is locked beyond doubt
	called   bool  // this drive back is an answer to an unlock request
	restAt   int64 // step of the end of the last drive
	wrongAt  int64 // step since which they are not permitted, or never
	freeTold bool
	shutTold bool
	darkAt   int64 // step since which the lamp is out with the doors barred, or never
	lampTold bool
}

// turned: the actuator's drive has changed. One that fails in a stroke may doubt the switches
// until it has been brought home on request; so may one that finds its bar moved by hand.
func (l *tellsMonitor) turned(d *sideTruth, was int, now int64) {
	in := &d.set.bench.LockInputs().Sides[d.index]
	l.restAt, l.lampTold = now, false
	switch {
	case d.drive > 0:
		l.home, l.out = false, false
	case d.drive < 0:
		l.home, l.out = false, false
		l.called = d.starts.unlockAt > d.starts.lockAt && now-d.starts.unlockAt <= d.set.limit.afterPress
	case was > 0:
		if l.out = d.arrived() && barOut(in); l.out {
			d.m[lockedClause].tried()
		}
	default:
		// One that took too long has failed, though the bar has come home at its very end.
		if l.home = l.called && barHome(in) && now-d.from <= d.set.limit.lockSlow; l.home {
			d.m[freesClause].tried()
		}
	}
}

// dark: what has just come to rest may not be on record, and what was just asked for may have
// begun.
func (l *tellsMonitor) dark(d *sideTruth, now int64) {
	if d.drive != 0 || now-max(l.restAt, d.starts.lockAt, d.starts.unlockAt) <= d.set.limit.written {
		l.home, l.out = false, false
	}
}

// tick looks at permit and lamp.
func (l *tellsMonitor) tick(d *sideTruth, in *sim.SideInputs, out *sim.SideOutputs, now int64) {
	l.home = l.home && (d.drive != 0 || barHome(in))
	l.out = l.out && (d.drive != 0 || barOut(in))
	if out.Lamp || out.Permit {
		l.darkAt, l.shutTold = never, false
	} else if l.darkAt == never {
		l.darkAt = now
	}
	if d.drive != 0 {
		return
	}
	if l.darkAt != never {
		l.shut(d, now)
	}
	if l.home {
		l.frees(d, out.Permit, now)
	}
	if l.out && d.arrived() {
		l.shows(d, out.Lamp, now)
	}
}

func (l *tellsMonitor) frees(d *sideTruth, permit bool, now int64) {
	if permit {
		l.wrongAt, l.freeTold = never, false
		return
	}
	if l.wrongAt == never {
		l.wrongAt = now
	}
	k, m := &d.set.limit, &d.m[freesClause]
	switch margin := k.dt * float64(k.frees-(now-max(l.wrongAt, l.restAt, d.lockAt, d.bootAt))); {
	case margin >= freesLimit/2: // so long a lock may well look at its doors
	case margin >= 0:
		m.see(margin, now)
	default:
		m.worsens(&l.freeTold, margin, now)
	}
}

// shut judges the shut clause of lock-fault: the lamp is never out for long beside a bar at rest
// that bars its doors.
func (l *tellsMonitor) shut(d *sideTruth, now int64) {
	k, m := &d.set.limit, &d.m[shutClause]
	rest := max(l.restAt, d.lockAt, d.starts.unlockAt, d.bootAt) + k.answer
	switch margin := k.dt * float64(k.lampOut-(now-max(l.darkAt, rest))); {
	case margin >= lampOut: // not yet
	case margin >= 0:
		m.see(margin, now)
	default:
		m.worsens(&l.shutTold, margin, now)
	}
}

func (l *tellsMonitor) shows(d *sideTruth, lit bool, now int64) {
	if lit {
		l.lampTold = false
		return
	}
	k, m := &d.set.limit, &d.m[lockedClause]
	switch margin := k.dt * float64(k.show-(now-max(l.restAt, d.starts.unlockAt, d.bootAt))); {
	case margin >= 0:
		m.see(margin, now)
	default:
		m.worsens(&l.lampTold, margin, now)
	}
}

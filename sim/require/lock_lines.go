package require

import "slatbench/sim"

// The wires between the controllers are judged by themselves: what each end does about
// a wrong word of the other may hide it for years, and then the second mistake comes.

// linesMonitor judges the says clause of lock-interlock: a door that says down is down.
type linesMonitor struct {
	wrongAt int64 // step since which it says so and is not, or never
	told    bool
}

func (l *linesMonitor) tick(t *bayTruth, says bool, now int64) {
	if !says || t.bay.Height <= saysLimit {
		l.wrongAt, l.told = never, false
		if says {
			t.m[saysClause].see(saysLimit-t.bay.Height, now)
		}
		return
	}
	if l.wrongAt == never {
		l.wrongAt = now
	}
	if now-l.wrongAt < t.set.limit.stands {
		return
	}
	m := &t.m[saysClause]
	if l.told {
		m.see(saysLimit-t.bay.Height, m.at)
		return
	}
	l.told = true
	m.note(saysLimit-t.bay.Height, now)
}

// permitMonitor judges the permit clause of lock-interlock: doors are not permitted while
// their bar is driven, nor while it is at its locked end.
type permitMonitor struct {
	wrongAt int64 // step since which they are, or never
	told    bool
}

func (p *permitMonitor) tick(d *sideTruth, out *sim.SideOutputs, now int64) {
	if !out.Permit || d.drive == 0 && !d.arrived() {
		p.wrongAt, p.told = never, false
		return
	}
	if p.wrongAt == never {
		p.wrongAt = now
	}
	m := &d.m[permitClause]
	switch margin := d.set.limit.dt * float64(d.set.limit.permit-(now-p.wrongAt)); {
	case margin >= 0:
		m.see(margin, p.wrongAt)
	default:
		m.worsens(&p.told, margin, now)
	}
}

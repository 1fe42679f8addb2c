package require

import "slatbench/sim"

// downMonitor judges the down clause of lock-interlock: a door that has come down says so
// until it moves, or the lock waits for nothing; and one that is driven does not.
type downMonitor struct {
	on       bool
	said     bool  // since the run ended
	end      int64 // of the run down
	strays   int   // pulses since, once it has run out
	wrongAt  int64 // step since which it does not say so, or never
	told     bool
	drivenAt int64 // step since which it is driven and says so, or never
	drove    bool  // told of that
}

// stopped: a run is over.
func (d *downMonitor) stopped(t *bayTruth, dir int, now int64) {
	d.on = dir < 0 && !t.last.pressed && !t.barred && !t.held && t.set.bench.Awake(t.index)
	d.said, d.told, d.strays, d.end, d.wrongAt = false, false, 0, now, never
	if d.on {
		d.wrongAt = now
	}
}

// release: a press or the interlock, before it has said so: it may have been about to turn.
func (d *downMonitor) release() {
	if !d.said {
		d.drop()
	}
}

// drop: going dark, or the drive being asked for.
func (d *downMonitor) drop() { d.on, d.wrongAt = false, never }

// tick looks at its lines, at every tick at which there is anything new.
func (d *downMonitor) tick(t *bayTruth, in *sim.Inputs, says bool, now int64) {
	if t.energised != 0 {
		d.driven(t, says, now)
	}
	if !d.on {
		return
	}
	k := &t.set.limit
	if now-d.end > k.runningOut {
		d.strays += int(in.Pulses)
	}
	called := t.barred && now-t.pressAt <= k.stands // a press had begun to start it, and the lock was quicker
	if called || t.asked || t.teach.on || t.bay.Height > closedTolerance || !in.Sill || d.strays > strayPulses || t.count.wrong ||
		t.set.bench.Wires[t.index].Sill != sim.WireSound {
		d.drop()
		return
	}
	m := &t.m[downClause]
	if says {
		if !d.said {
			m.note(k.dt*float64(k.saysDown-(now-d.end)), now)
		}
		d.said, d.wrongAt, d.told = true, never, false
		return
	}
	if d.wrongAt == never {
		d.wrongAt = now
	}
	switch margin := k.dt * float64(k.saysDown-(now-d.wrongAt)); {
	case margin >= 0:
	default:
		m.worsens(&d.told, margin, now)
	}
}

// driven judges the lines of a door that is driven.
func (d *downMonitor) driven(t *bayTruth, says bool, now int64) {
	if !says || !t.asked {
		d.drivenAt, d.drove = never, false
		return
	}
	if d.drivenAt == never {
		d.drivenAt = now
	}
	k := &t.set.limit
	m := &t.m[downClause]
	switch margin := k.dt * float64(k.stands-(now-max(d.drivenAt, t.from))); {
	case margin >= 0:
		m.see(margin, now)
	default:
		m.worsens(&d.drove, margin, now)
	}
}

package require

// interlockMonitor judges the door and barred clauses of lock-interlock.
type interlockMonitor struct {
	hand  timed // a hand has moved the bar out beside a running door
	off   timed // the wires have barred a door that runs
	clear int64 // last tick at which they said plainly that the bar is clear
}

// wires: what they say has been looked at, at a tick of an awake controller.
func (l *interlockMonitor) wires(t *bayTruth, now int64) {
	if !t.barred {
		l.clear = now
	}
	switch {
	case t.barred && t.energised != 0 && !l.off.on:
		l.off.start(now, t.set.limit.off)
		t.schedule()
	case !t.barred && l.off.on:
		l.off.drop(&t.m[barredClause], t.set.limit.dt, now)
		t.schedule()
	}
}

// left is the way, in m, that the bar has until it reaches into the curtain.
func (d *sideTruth) left() float64 { return d.lock.Params.Clear + latchGive - d.lock.Position }

func (l *interlockMonitor) started(t *bayTruth, now int64) {
	switch d := t.side; {
	case !d.lock.ReachesCurtain():
		t.m[doorClause].see(d.left(), now)
	case l.unknowing(t, now): // barMoves looks when it is off
	default:
		t.m[doorClause].note(min(d.left(), -1e-9), now)
	}
}

// unknowing tells that a hand is moving the bar out, and that the wires have said until now that it
// is clear: its unlocked end switch sticks made, and a bar that is home gives the same levels.
func (l *interlockMonitor) unknowing(t *bayTruth, now int64) bool {
	return t.side.lock.Condition.ByHand > 0 && now-l.clear <= t.set.limit.off
}

// press counts a press that has to be refused.
func (l *interlockMonitor) press(t *bayTruth) {
	if t.side.lock.ReachesCurtain() {
		t.m[doorClause].tried()
	}
}

// barMoves is called while the bar moves beside a running door.
func (l *interlockMonitor) barMoves(t *bayTruth, now int64) {
	d := t.side
	switch {
	case !d.lock.ReachesCurtain():
		t.m[doorClause].see(d.left(), now)
	case d.lock.Condition.ByHand != 0 || l.hand.on:
		if !l.hand.on {
			l.hand.start(now, t.set.limit.hand)
			t.schedule()
		}
	default:
		t.m[doorClause].note(min(d.left(), -1e-9), now)
	}
}

func (l *interlockMonitor) stopped(t *bayTruth, now int64) {
	l.off.meet(&t.m[barredClause], t.set.limit.dt, now)
	if l.hand.on && !l.hand.late {
		t.m[doorClause].tried()
	}
	l.hand.on = false
}

func (l *interlockMonitor) overdue(t *bayTruth) {
	l.hand.late = true
	t.m[doorClause].note(min(t.side.left(), -1e-9), l.hand.end)
}

// strokeMonitor judges the bar clause of lock-interlock: every curtain down,
// throughout a stroke towards locked.
type strokeMonitor struct {
	on     bool
	margin float64
	at     int64
}

// step is called in every step in which the actuator is asked to lock.
func (k *strokeMonitor) step(d *sideTruth, now int64) {
	margin := downLimit - d.highest()
	if !k.on || margin < k.margin && k.margin >= 0 {
		k.at = now
	}
	if !k.on || margin < k.margin {
		k.on, k.margin = true, margin
	}
}

func (k *strokeMonitor) end(d *sideTruth) {
	if k.on {
		d.m[barClause].note(k.margin, k.at)
	}
	k.on = false
}

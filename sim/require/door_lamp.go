package require

// lampMonitor judges the lamp clause of no-surprise: people beside a door see by its lamp
// whether it is about to move.
type lampMonitor struct {
	lit, dark int64 // the last ticks at which it was lit, and was not
	told      bool  // of this run, or of this rest
	toldAt    int64
}

func (l *lampMonitor) begin(now int64) { l.lit, l.dark = longAgo, now }

// tick looks at the lamp at every tick that the controller is awake. While its drive is
// asked for and runs, the lamp is not out for longer than a flash is; once it has rested
// for a while after the last run and the last press, the lamp is not steadily on. A drive that
// is asked for, and that a contact or a lead does not bring, is no rest.
func (l *lampMonitor) tick(t *bayTruth, lit bool, now int64) {
	if lit {
		l.lit = now
	} else {
		l.dark = now
	}
	switch {
	case t.energised != 0 && t.asked:
		l.judge(t, now, now-max(l.lit, t.from))
	case t.energised == 0 && !t.asked:
		l.judge(t, now, now-max(l.dark, t.last.end, t.askedAt, t.pressAt, t.bootAt)-t.set.limit.lampRest)
	default:
		l.told = false
	}
}

// judge takes up for how long the lamp has been wrong.
func (l *lampMonitor) judge(t *bayTruth, now, wrong int64) {
	m := &t.m[lampClause]
	switch margin := t.set.limit.dt * float64(t.set.limit.lampOut-wrong); {
	case margin >= 0:
		if wrong > 0 {
			m.see(margin, now)
		}
		l.told = false
	case l.told:
		m.see(margin, l.toldAt)
	default:
		l.told, l.toldAt = true, now
		m.note(margin, now)
	}
}

// stopped: a run long enough to have been judged is over.
func (l *lampMonitor) stopped(t *bayTruth, now int64) {
	if now-t.from > t.set.limit.lampOut {
		t.m[lampClause].tried()
	}
}

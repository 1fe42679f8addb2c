package require

// mannerMonitor judges the manner clause of no-surprise: the lamp of a driven door tells a
// teaching, in which it will turn by itself, from an ordinary run.
type mannerMonitor struct {
	told   bool // of this run
	toldAt int64
	dark   int64 // the longest time, in steps, that the lamp was out since the last run down
}

// rests is called at each tick soon after a run down, before the lamp is looked at.
func (l *mannerMonitor) rests(t *bayTruth, now int64) {
	l.dark = max(l.dark, now-max(t.lamp.lit, t.last.end))
}

// started: a run begins. One that turns a run down by itself must not have come out of the dark.
func (l *mannerMonitor) started(t *bayTruth, dir int, now int64) {
	k := &t.set.limit
	if !t.reverses(dir) || t.pressAt >= t.last.end || now-t.last.end > k.afterRun {
		return
	}
	if margin := k.dt * float64(k.lampWarns-l.dark); margin < 0 {
		t.m[mannerClause].note(margin, now)
	} else {
		t.m[mannerClause].tried()
	}
}

// tick looks at the lamp while the drive is asked for and runs. In an ordinary run it is
// lit, without a break; on the way down of a teaching it flashes. On the way up of one it may
// do either: the teaching may have been given up.
func (l *mannerMonitor) tick(t *bayTruth, now int64) {
	k := &t.set.limit
	var wrong, limit int64
	switch {
	case !t.way.taught && !t.way.asked:
		wrong, limit = now-max(t.lamp.lit, t.from, t.askedAt), k.lampBreak
	case t.way.taught && t.way.asked && t.energised < 0:
		wrong, limit = now-max(min(t.lamp.lit, t.lamp.dark), t.from, t.askedAt), k.lampOut
	default:
		return
	}
	m := &t.m[mannerClause]
	switch margin := k.dt * float64(limit-wrong); {
	case margin >= 0:
		if wrong > 0 {
			m.see(margin, now)
		}
	case l.told:
		m.see(margin, l.toldAt)
	default:
		l.told, l.toldAt = true, now
		m.note(margin, now)
	}
}

// stopped: a run long enough to have been judged is over.
func (l *mannerMonitor) stopped(t *bayTruth, now int64) {
	if now-t.from > t.set.limit.lampOut {
		t.m[mannerClause].tried()
	}
	l.told, l.dark = false, 0
}

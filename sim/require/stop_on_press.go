package require

// stopMonitor judges stop-on-press.
type stopMonitor struct {
	off  timed
	next bool // the next start has to go up
	gap  bool // a press has come while a lead or a contact kept the voltage from a run that was asked for
}

// press: a press while moving.
func (s *stopMonitor) press(t *bayTruth, now int64) { s.off.start(now, t.set.limit.off) }

// ends tells whether a run that ends now was stopped by a press.
func (s *stopMonitor) ends() bool { return s.off.on }

func (s *stopMonitor) stopped(t *bayTruth, now int64) {
	s.gap = false
	if s.off.on {
		s.off.meet(&t.m[offClause], t.set.limit.dt, now)
		s.next = true
	}
	if t.barred { // the interlock has stopped it, as a press would have
		s.next = true
	}
}

// resumed: the run that was stopped goes on for a moment, and its deadline stands.
func (s *stopMonitor) resumed(t *bayTruth) {
	s.off.on = t.last.pressed
	t.schedule()
}

// rejoined: the voltage of a run that a lead or a contact has interrupted is back. A press in the
// gap stops the run from here on; one before it has set a deadline, which stands.
func (s *stopMonitor) rejoined(t *bayTruth, now int64) {
	if s.gap {
		s.gap = false
		s.press(t, now)
		return
	}
	s.resumed(t)
}

// asked: the coils are asked for. A teaching has a direction of its own, also where a
// contact does not make.
func (s *stopMonitor) asked(t *bayTruth) {
	if t.teach.asked {
		s.next = false
	}
}

// started judges the direction of the first start after the stop, by a press or by the
// interlock. A start that no
// press has caused is for no-surprise to judge. Teaching has a direction of its own.
func (s *stopMonitor) started(t *bayTruth, dir int, now int64) {
	if !s.next || t.pressAt < t.last.end {
		return
	}
	s.next = false
	switch {
	case t.teach.on:
	case dir > 0:
		t.m[nextClause].note(1, now)
	case t.bay.Height < t.open:
		t.m[nextClause].note(-1, now)
	}
}

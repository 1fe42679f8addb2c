package require

// Comes tells the monitors of a fault that nobody knew of when they were made: it comes
// on at step a.From, which must not be over. From there on the run is no longer rated.
func (s *Set) Comes(a Active) {
	s.faults = append(s.faults, activeFault{Active: a})
	s.opt.Rated = false
	if s.bench == nil {
		return
	}
	for i := range s.bays {
		t := &s.bays[i]
		t.service.release(t, s.bench.Now)
		t.service.before, t.service.now = quietSpan{never, longAgo}, quietSpan{never, longAgo}
		t.schedule()
	}
	for i := range s.sides {
		d := &s.sides[i]
		d.serve.want.drop(&d.m[locksClause], s.limit.dt, s.bench.Now)
	}
}

// Goes tells them that the youngest fault of a kind goes at a step: earlier than was
// known, or where no end was known.
func (s *Set) Goes(kind string, at int64) {
	for i := len(s.faults) - 1; i >= 0; i-- {
		if f := &s.faults[i]; f.Kind == kind && f.From <= at && (f.To == 0 || f.To > at) {
			f.To = at
			return
		}
	}
}

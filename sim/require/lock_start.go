package require

// barStarts judges the bar clause of no-surprise: a bar moves out because somebody asks to
// lock at the cab switch, and back because somebody asks for either (a lock that finds its
// switches wrong may drive it home at once), or from a stroke that has failed; never by
// itself, and never because of a restart.
type barStarts struct {
	lockAt, unlockAt int64 // the last requests, since the last boot
	outEnd           int64 // end of the last drive towards locked, since the last boot
}

func (b *barStarts) reset() { *b = barStarts{longAgo, longAgo, longAgo} }

// turned: the actuator's drive has changed from was to d.drive.
func (b *barStarts) turned(d *sideTruth, was int, now int64) {
	if was > 0 {
		b.outEnd = now
	}
	if d.drive == 0 {
		return
	}
	cause := b.lockAt
	if d.drive < 0 {
		cause = max(b.lockAt, b.unlockAt, b.outEnd)
	}
	d.m[barStartClause].note(max(startAfterPress-d.set.limit.dt*float64(now-cause), noCause), now)
}

// lockService judges the locks clause of service: unfaulted, a request at the cab switch
// is done.
type lockService struct {
	want timed
	lock bool
	hand bool // somebody has moved the bar by hand in this run
}

// asked: a request. Only where the bar is at rest, and every door of the side says down,
// is there nothing against locking; there never is against unlocking.
func (s *lockService) asked(d *sideTruth, lock, down bool, now int64) {
	s.want.drop(&d.m[locksClause], d.set.limit.dt, now)
	if !d.set.opt.Rated || s.hand || lock && (!down || !d.home() || d.drive != 0) {
		return
	}
	s.lock = lock
	s.want.start(now, d.set.limit.lockBack)
}

// tick looks whether it is done. A door that starts takes a lock request back.
func (s *lockService) tick(d *sideTruth, permit, lamp bool, now int64) {
	s.hand = s.hand || d.lock.Condition.ByHand != 0
	if !s.want.on {
		return
	}
	m := &d.m[locksClause]
	switch {
	case s.hand || s.lock && d.running():
		s.want.drop(m, d.set.limit.dt, now)
	case s.lock && d.arrived() && lamp, !s.lock && d.home() && permit:
		s.want.meet(m, d.set.limit.dt, now)
	case now > s.want.end:
		s.want.pass(m, d.set.limit.dt)
		s.want.on = false
	}
}

// running tells that a door of the side is driven, or asked to be.
func (d *sideTruth) running() bool {
	for _, t := range d.bays[:d.n] {
		if t.energised != 0 || t.asked {
			return true
		}
	}
	return false
}

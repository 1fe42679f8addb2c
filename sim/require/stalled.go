package require

// stallMonitor judges the stands clause of travel-timeout: a motor that turns no more is
// not left energised. Upwards only: downwards it is slack-limit that tells.
type stallMonitor struct {
	freeAt int64 // the last tick at which it did not pull on a taut cable
	told   bool  // of this run
	toldAt int64
}

func (k *stallMonitor) started(now int64) { k.freeAt, k.told, k.toldAt = now, false, now }

// tick looks, while anything moves, for how long the curtain has hung still on the drive.
func (k *stallMonitor) tick(t *bayTruth, now int64) {
	if t.energised <= 0 || t.bay.Slack() > 0 {
		k.freeAt = now
		return
	}
	m := &t.m[standsClause]
	margin := t.set.limit.dt * float64(t.set.limit.stalled-(now-max(t.stood, k.freeAt)))
	switch {
	case margin >= 0:
		m.see(margin, now)
	case k.told:
		m.see(margin, k.toldAt)
	default:
		k.told, k.toldAt = true, now
		m.note(margin, now)
	}
}

// stopped counts a run up that has met something.
func (k *stallMonitor) stopped(t *bayTruth, dir int, now int64) {
	if dir > 0 && !k.told && now-max(t.stood, k.freeAt) > t.set.limit.stands {
		t.m[standsClause].tried()
	}
}

package require

// backMonitor judges the back clause of no-surprise: a door that has opened, with nothing told
// against it, closes at the next press. (That one that has closed opens is for way to judge.)
type backMonitor struct {
	on   bool
	from int64 // start of the run up
	free bool  // nothing barred the door at the last press at rest
}

// stopped: a run is over.
func (b *backMonitor) stopped(t *bayTruth, dir int, now int64) {
	b.on = dir > 0 && !t.last.pressed && !t.barred && !t.held && t.set.bench.Awake(t.index)
	b.from = t.last.from
}

// dark: what is on record of the last rest is for the controller to say.
func (b *backMonitor) dark() { b.on = false }

// pressed: a press at rest.
func (b *backMonitor) pressed(t *bayTruth) { b.free = !t.barred }

// barred: the interlock does not let the door move. Where a press had begun to start it, and the
// lock was quicker, the door has been stopped, and may go up from there as after any stop.
func (b *backMonitor) barred(t *bayTruth, now int64) {
	if b.free && now-t.pressAt <= t.set.limit.stands {
		b.on = false
	}
}

// asked: the coils are asked for a direction. What the contacts make of it is not judged here.
func (b *backMonitor) asked(t *bayTruth, dir int, now int64) {
	if !b.on {
		return
	}
	b.on = false
	if t.pressAt <= t.last.end || t.way.taught || t.bay.Height < t.open || t.count.doubt || t.way.misled(t) || t.sound.from >= b.from {
		return
	}
	t.m[backClause].note(float64(-dir), now)
}

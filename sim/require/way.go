package require

// wayMonitor judges the way clause of no-surprise: which way a door goes at a press can be
// told beforehand. Down it goes from open alone, by truth; from anywhere else up first.
type wayMonitor struct {
	taught   bool // a teach request went with the last press at rest
	asked    bool // or with the coils' being asked for
	caught   bool // in doubt of its count, the door has been held on its way up: that may have been the stop
	deceived bool // in a teaching, a sill switch that sticks has shown a floor where none is
}

// stopped: a run is over. With the count in doubt nobody can tell a jam from the open stop.
func (w *wayMonitor) stopped(t *bayTruth, dir int, now int64) {
	if k := &t.set.limit; dir > 0 && t.count.doubt &&
		(now-t.stood >= k.stands || now-t.light >= k.laboured || now-t.pulse >= k.stall) {
		w.caught = true
	}
}

// pressed: once the door has come down since, and a boot would find the true travel, a controller
// that was deceived can know better.
func (w *wayMonitor) pressed(t *bayTruth, asked bool) {
	w.taught = asked
	w.deceived = w.deceived && (t.count.doubt || !t.teach.right(t))
}

// misled tells that a controller cannot know how high its door stands.
func (w *wayMonitor) misled(t *bayTruth) bool {
	return t.count.wrong || t.count.unstored || w.deceived
}

// started: a run begins.
func (w *wayMonitor) started(t *bayTruth, dir int, now int64) {
	w.caught = w.caught && t.count.doubt
	if dir > 0 || t.askedDir >= 0 || w.taught || w.asked || w.caught || w.misled(t) || t.teach.reached(t) {
		return
	}
	t.m[wayClause].note(t.bay.Height-(t.full-wayShort), now)
}

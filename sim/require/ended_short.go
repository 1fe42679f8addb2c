package require

import "math"

// endedMonitor judges the ended clause of alarm: a run up that ends short of open, with
// nobody having stopped it, is told of. Whether the curtain was moving or stood is all one.
type endedMonitor struct {
	on    bool
	end   int64 // of the run
	after int64 // an alarm that began from here on serves
}

// stopped: a run is over. What the run before was, if this one has turned it, t.before tells.
func (e *endedMonitor) stopped(t *bayTruth, dir int, now int64) {
	if dir < 0 || t.last.pressed || t.barred || t.held || t.bay.Height >= t.short || !t.set.bench.Awake(t.index) || t.way.misled(t) {
		return
	}
	e.on, e.end, e.after = true, now, max(t.last.from-t.set.limit.alarmBefore, 1)
	if t.before.dir < 0 && t.last.from-t.before.end <= t.set.limit.afterRun {
		e.after = max(min(e.after, t.before.from), 1)
	}
}

// release: a press, the interlock, the dark, or another run.
func (e *endedMonitor) release() { e.on = false }

// tick listens once the curtain has run out.
func (e *endedMonitor) tick(t *bayTruth, now int64) {
	k := &t.set.limit
	after := e.after
	if math.Abs(t.bay.Height-t.alarms.jamAt) <= aboveSill { // that jam was told of, and holds it ever since
		after = max(min(after, t.alarms.jamFrom), 1)
	}
	switch a := &t.sound; {
	case now-e.end < k.runningOut:
	case t.bay.Height >= t.short, t.way.misled(t), t.teach.reached(t):
		e.on = false
	case a.from >= after:
		t.m[endedClause].note(soundLimit-k.dt*float64(min(max(a.from-e.end, 0), k.sound)), now)
		e.on = false
	case now-max(e.end, a.lastEnd) > k.sound:
		t.m[endedClause].note(-k.dt, now)
		e.on = false
	}
}

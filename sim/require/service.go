package require

import "math"

// serviceMonitor judges service: what is asked for is done, unfaulted.
type serviceMonitor struct {
	arrive timed
	teach  timed // a teaching
	downAt int64 // step at which the door was down in it, or never
	dir    int   // the way to go: +1, -1, or 0 for either
	turned bool
	now    quietSpan // in which no alarm may begin
	before quietSpan // of the test before: a count is known only once it is over
}

type quietSpan struct{ from, until int64 }

// press starts a test where nothing stands against it.
func (v *serviceMonitor) press(t *bayTruth, now int64) {
	k := &t.set.limit
	v.before, v.now = v.now, quietSpan{now, longAgo}
	if !t.set.opt.Rated || t.barred || now-t.last.end < k.serviceRest || !(t.supply.mean() >= serviceSupply) {
		return
	}
	d := t.side
	if !d.home() || d.drive != 0 || now-d.lockAt < k.lockBusy {
		return
	}
	if _, there := t.bay.ObstacleAt(); there {
		return
	}
	if t.set.bench.Inputs(t.index).Teach {
		if t.teach.reads != nil {
			v.downAt = never
			v.teach.start(now, k.teach)
		}
		return
	}
	if t.count.lost() {
		return
	}
	v.dir = 0
	switch {
	case t.bay.Height <= closedTolerance:
		v.dir = 1
	case t.bay.Height >= t.open && !t.stop.next:
		v.dir = -1
	}
	v.turned, v.now.until = false, never
	v.arrive.start(now, k.service)
}

func (v *serviceMonitor) started(t *bayTruth, dir int, now int64) {
	if v.arrive.on && dir > 0 && t.last.dir < 0 && t.last.end > v.now.from {
		v.turned = true
		t.m[reversalClause].note(-1, now)
	}
}

func (v *serviceMonitor) tick(t *bayTruth, now int64) {
	if v.teach.on {
		v.taught(t, now)
	}
	if !v.arrive.on {
		return
	}
	if _, there := t.bay.ObstacleAt(); there || now-t.side.lockAt < t.set.limit.lockBusy {
		v.release(t, now)
		return
	}
	up, down := t.bay.Height >= t.open, t.bay.Height <= closedTolerance
	if !(v.dir >= 0 && up || v.dir <= 0 && down) || v.dir == 0 && t.energised == 0 {
		return
	}
	v.arrive.meet(&t.m[arriveClause], t.set.limit.dt, now)
	v.now.until = now + t.set.limit.quietAfter
	if !v.turned {
		t.m[reversalClause].note(1, now)
	}
	t.m[quietClause].see(1, now)
	t.schedule()
}

// taught looks whether a teaching has gone down to the floor and up to the stop, and has
// left the travel on record.
func (v *serviceMonitor) taught(t *bayTruth, now int64) {
	_, there := t.bay.ObstacleAt()
	switch {
	case there || now-t.side.lockAt < t.set.limit.lockBusy:
		v.teach.drop(&t.m[teachClause], t.set.limit.dt, now)
	case v.downAt == never:
		if t.bay.Height <= closedTolerance {
			v.downAt = now
		}
	case t.bay.Height >= t.open && t.energised == 0:
		if r := t.teach.read(now); r.ok && t.fits(r.travel) {
			v.teach.meet(&t.m[teachClause], t.set.limit.dt, now)
			t.schedule()
		}
	}
}

// fits tells that a travel in pulses is that of the door.
func (t *bayTruth) fits(travel int) bool {
	full := t.full * t.bay.Params.Encoder.PulsesPerMetre
	return math.Abs(float64(travel)-full) <= newTolerance*full
}

// heard: an alarm has been counted that began at step from.
func (v *serviceMonitor) heard(t *bayTruth, alarm int, from int64) {
	for _, q := range [...]quietSpan{v.before, v.now} {
		if alarm != 1 && from >= q.from && from <= q.until {
			t.m[quietClause].note(-1, from)
		}
	}
}

// release: a press, the loss of power, the interlock, an obstruction.
func (v *serviceMonitor) release(t *bayTruth, now int64) {
	v.arrive.drop(&t.m[arriveClause], t.set.limit.dt, now)
	v.teach.drop(&t.m[teachClause], t.set.limit.dt, now)
	v.now.until = min(v.now.until, now)
}

// overdue: not there in time. The margin tells how much of the travel is left.
func (v *serviceMonitor) overdue(t *bayTruth) {
	up, down := t.open-t.bay.Height, t.bay.Height-closedTolerance
	left := min(up, down)
	if v.dir > 0 {
		left = up
	} else if v.dir < 0 {
		left = down
	}
	t.m[arriveClause].note(-max(serviceLimit*left/t.full, t.set.limit.dt), v.arrive.end)
	v.arrive.on = false
	v.now.until = v.arrive.end
}

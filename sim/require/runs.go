package require

import "math"

// lastRun is a run of the drive that is over.
type lastRun struct {
	dir     int   // +1 up, -1 down, 0 none yet
	from    int64 // step
	end     int64 // step
	pressed bool  // a press stopped it
	barred  bool  // the lock did
	over    int64 // step from which nothing asks for it any more: later than end where a lead or a contact fails
	stood   bool  // the curtain stood as it ended, and so did the motor, nearly
}

// stopped: the motor has lost its voltage, or turned.
func (t *bayTruth) stopped(dir int, now int64) {
	t.held = t.energised == 0 && (t.asked || t.contactsMade(dir))
	t.high = dir
	t.tailOf = longAgo
	t.before = t.last
	t.last = lastRun{dir: dir, from: t.from, end: now, over: now, pressed: t.stop.ends(), barred: t.barred,
		stood: math.Abs(t.bay.Speed) < stillSpeed && now-t.light >= t.set.limit.laboured}
	t.stop.stopped(t, now)
	t.timeout.stopped(t, now)
	t.stall.stopped(t, dir, now)
	t.reversal.stopped(t, dir, now)
	t.brown.stopped(t, now)
	t.noteSlack()
	t.lockedIn.stopped(t, now)
	t.count.ends(t, dir)
	t.alarms.stopped(t, dir, now)
	t.lamp.stopped(t, now)
	t.way.stopped(t, dir, now)
	t.back.stopped(t, dir, now)
	t.manner.stopped(t, now)
	t.ended.stopped(t, dir, now)
	t.down.stopped(t, dir, now)
	t.recovery.stopped(t, now)
	t.supply.restart()
	t.schedule()
}

// started: the motor has got voltage.
func (t *bayTruth) started(now int64) {
	dir := t.energised
	if t.held && dir == t.high { // what was interrupted was not the controller's doing
		t.held = false
		t.stop.rejoined(t, now)
		t.recovery.rests = never // it has not ended after all
		t.timeout.resumed(t)
		t.sound.cancel(noVoltsRow)
		t.schedule()
		return
	}
	t.held = false
	again := dir == t.last.dir && now-t.last.end < t.set.limit.sameRun && t.pressAt < t.last.end
	if again {
		t.from = t.last.from
	} else {
		t.from = now
	}
	t.moved = true
	t.count.begins(t)
	t.slack, t.overSlack, t.began = 0, never, t.bay.Height
	t.pulse, t.pulses, t.stood, t.light = now, 0, now, now
	t.pace.restart()
	t.judgeGap(dir, now)
	if again && !t.asked && now-t.last.end <= t.set.limit.off {
		t.tailOf = t.last.end
		t.stop.resumed(t)
	} else {
		t.judgeStart(dir, now)
		t.judgeSupply(dir, now)
		t.way.started(t, dir, now)
		t.manner.started(t, dir, now)
		t.stop.started(t, dir, now)
	}
	t.brown.started(t, now)
	t.timeout.started(t, dir, now)
	t.stall.started(now)
	t.reversal.started(t, dir, now)
	t.lockedIn.started(t, now)
	t.service.started(t, dir, now)
	t.recovery.started(t, dir, now)
	t.alarms.started(t, dir, now)
	t.ended.release()
	t.schedule()
}

// contactsMade tells whether the power stage is made for a direction.
func (t *bayTruth) contactsMade(dir int) bool {
	s := &t.bay.Stage
	return s.EnableMade() && s.Duty > 0 && s.UpMade() == (dir > 0) && s.DownMade() == (dir < 0)
}

// unhold ends the holding once the contacts are no longer made.
func (t *bayTruth) unhold() {
	if !t.asked && !t.contactsMade(t.high) && t.bay.Energised == 0 {
		t.held, t.last.over = false, t.set.bench.Now
	}
}

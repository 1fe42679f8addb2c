package require

import "math"

// reversalMonitor judges obstruction-reversal.
type reversalMonitor struct {
	up      timed // energised up within 2 s
	phase   reversalPhase
	base    float64 // m, where the upward run began
	top     float64 // m, the highest since
	settled int64   // step at which the curtain has run out
	held    int64   // step since which something holds the curtain up, or never
}

type reversalPhase uint8

const (
	reversalIdle reversalPhase = iota
	reversalAsked
	reversalRising
	reversalOver // the upward run is over, the curtain still runs out
)

// contact: the trigger of close-cut has come.
func (r *reversalMonitor) contact(t *bayTruth, now int64) {
	if r.phase != reversalIdle || t.stop.ends() { // a press has already ended this run
		return
	}
	if o, there := t.bay.ObstacleAt(); !there || o.Top < leastHeight {
		return
	}
	r.phase = reversalAsked
	r.up.start(now, t.set.limit.reverse)
}

// touched: a new contact. While the edge is on its way up it is a second obstruction.
func (r *reversalMonitor) touched(t *bayTruth) {
	if r.phase >= reversalRising && r.top-r.base > riseLeast {
		r.phase = reversalIdle
	}
}

func (r *reversalMonitor) started(t *bayTruth, dir int, now int64) {
	switch {
	case r.phase == reversalAsked && dir > 0:
		r.up.meet(&t.m[reverseClause], t.set.limit.dt, now)
		r.phase, r.base, r.top, r.held = reversalRising, t.bay.Height, t.bay.Height, never
	case r.phase == reversalOver && dir > 0:
		r.phase = reversalRising
	case r.phase >= reversalRising && dir < 0:
		r.judge(t, now)
	}
}

func (r *reversalMonitor) stopped(t *bayTruth, dir int, now int64) {
	if r.phase == reversalRising && dir > 0 {
		r.phase, r.settled = reversalOver, now+t.set.limit.runningOut
	}
}

func (r *reversalMonitor) tick(t *bayTruth, now int64) {
	if r.phase == reversalAsked && t.energised < 0 && !t.touching && now-t.freeAt > t.set.limit.contactGap {
		r.release(t, now) // it has ended by itself, and nothing has been done about it
	}
	if r.phase == reversalAsked && t.bay.FloorForce > 0 {
		r.release(t, now) // it has given way down to the floor
	}
	if r.phase < reversalRising {
		return
	}
	r.top = math.Max(r.top, t.bay.Height)
	if r.phase != reversalRising {
		return
	}
	moves := t.stood == now && t.light == now && !t.heavy(now)
	if t.bay.Stage.Duty < 0.99 || t.bay.Slack() > 0.001 || moves || t.bay.Height >= t.open || t.energised <= 0 {
		r.held = never
		return
	}
	if r.held == never {
		r.held = now
	}
	if now-r.held >= t.set.limit.heldUp { // a second obstruction
		r.phase = reversalIdle
	}
}

// due is when the monitor wants to be called although nothing changes.
func (r *reversalMonitor) due() int64 {
	if r.phase == reversalOver {
		return r.settled
	}
	return r.up.due()
}

func (r *reversalMonitor) overdue(t *bayTruth, now int64) {
	if now > r.up.due() {
		r.up.pass(&t.m[reverseClause], t.set.limit.dt)
	}
	if r.phase == reversalOver && now > r.settled {
		r.judge(t, r.settled)
	}
}

// judge looks where the upward run has got to.
func (r *reversalMonitor) judge(t *bayTruth, at int64) {
	r.top = math.Max(r.top, t.bay.Height)
	t.m[riseClause].note(r.top-r.base-riseLeast, at)
	t.m[openClause].note(t.bay.Height-t.open, at)
	r.phase = reversalIdle
}

// release: a press, the loss of power, or the interlock.
func (r *reversalMonitor) release(t *bayTruth, now int64) {
	if r.phase == reversalAsked {
		r.up.drop(&t.m[reverseClause], t.set.limit.dt, now)
	}
	r.phase = reversalIdle
}

func (r *reversalMonitor) finish(t *bayTruth, now int64) {
	r.up.finish(&t.m[reverseClause], t.set.limit.dt, now)
	r.phase = reversalIdle
}

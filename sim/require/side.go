package require

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
)

// sideTruth is what is true at one lock, with the monitors that react to it.
type sideTruth struct {
	lock  *model.Lock
	drive int
	bays  [sim.MaxBaysPerSide]*bayTruth
	n     int

	set      *Set
	index    int
	awake    bool
	from     int64 // start of the present drive
	stood    int64 // step since which the bar stands
	lockAt   int64 // last lock request
	asks     bool
	unasks   bool
	stroke   strokeMonitor
	fault    lockFaultMonitor
	recover  lockRecovery
	unproved bool // its unlocked end switch has been found stuck, and has not let go since
	wasOut   bool // the bar was at its locked end at the last tick
	either   bool // both its end switches have been made since the last boot, or since that of the unlocked end came too soon
	homeSaid bool // its switches have plainly said home since it was
	words    doorWords
	starts   barStarts
	serve    lockService
	permits  permitMonitor
	answers  answerMonitor
	tells    tellsMonitor
	bootAt   int64

	// What it carried at the last tick of answers and tells: they look again where that
	// changes, or where something is owed.
	out              sim.SideOutputs
	unlocked, locked sim.EndSwitch
	owes             bool

	at    float64 // m: the bar's place at the last full tick
	dozes bool    // ticks are passed over as long as nothing is new

	m [clauseCount]meter
}

func (d *sideTruth) begin(s *Set, b *sim.Bench, i int) {
	*d = sideTruth{lock: &b.Truck.Locks[i], set: s, index: i, awake: b.LocksAwake(), lockAt: longAgo, stood: b.Now, bootAt: longAgo}
	d.fault.shown, d.fault.unlockAt = never, longAgo
	d.starts.reset()
	d.permits.wrongAt, d.tells.wrongAt, d.tells.darkAt = never, never, never
	d.tells.restAt, d.tells.home, d.tells.out = b.Now, d.home(), d.arrived()
	d.answers.changedAt = longAgo
}

// between tells that the bar stands between its ends.
func (d *sideTruth) between() bool { return d.lock != nil && !d.home() && !d.arrived() }

func (d *sideTruth) home() bool    { return d.lock.UnlockedEnd() }
func (d *sideTruth) arrived() bool { return d.lock.LockedEnd() }

// highest is how high the highest curtain of the side is, in m.
func (d *sideTruth) highest() float64 {
	h := math.Inf(-1)
	for _, t := range d.bays[:d.n] {
		h = max(h, t.bay.Height)
	}
	return h
}

// step is called while the bar is driven or moves.
func (d *sideTruth) step(now int64) {
	l := d.lock
	if l.Drive != d.drive {
		was := d.drive
		d.drive = l.Drive
		d.turn(was, now)
	}
	if d.drive > 0 {
		d.stroke.step(d, now)
	}
	if l.Speed > 1e-4 || l.Speed < -1e-4 {
		d.stood = now
	}
	for _, t := range d.bays[:d.n] {
		if t.energised != 0 {
			t.lockedIn.barMoves(t, now)
		}
	}
	d.fault.step(d, now)
}

// turn: the actuator's drive has changed.
func (d *sideTruth) turn(was int, now int64) {
	if was > 0 {
		d.stroke.end(d)
	}
	d.starts.turned(d, was, now)
	if was != 0 {
		d.fault.stopped(d, was, now)
	}
	d.tells.turned(d, was, now)
	d.owes = true
	d.from, d.stood = now, now
	if d.drive != 0 {
		d.fault.started(d, now)
	}
}

func (d *sideTruth) tick(b *sim.Bench, now int64) {
	if awake := b.LocksAwake(); awake != d.awake {
		d.awake = awake
		if !awake {
			d.fault.dark(d, now)
			d.recover, d.wasOut, d.words.down = lockRecovery{}, false, 0
			d.answers.dark(d, now)
			d.tells.dark(d, now)
			d.starts.reset()
			d.serve.want.drop(&d.m[locksClause], d.set.limit.dt, now)
			d.set.post.dark()
		} else {
			d.bootAt, d.owes = now, true
		}
	}
	if d.awake {
		in := &b.LockInputs().Sides[d.index]
		d.prove(in, now)
		d.words.hear(in)
		d.homeSaid = barHome(in) && (d.homeSaid || d.home())
		if in.LockRequest && !d.asks {
			d.lockAt = now
			d.starts.lockAt = now
			d.recover.asked(d, true, now)
			d.serve.asked(d, true, d.saysDown(in), now)
			d.answers.asked(d, true, now)
			d.owes = true
		}
		if in.UnlockRequest && !d.unasks {
			d.fault.unlockAt = now
			d.starts.unlockAt = now
			d.recover.asked(d, false, now)
			d.serve.asked(d, false, true, now)
			d.answers.asked(d, false, now)
			d.owes = true
		}
		if in.LockRequest && !d.asks && in.UnlockRequest && !d.unasks { // a switch that says both at once asks for neither
			d.serve.want.drop(&d.m[locksClause], d.set.limit.dt, now)
		}
		d.asks, d.unasks = in.LockRequest, in.UnlockRequest
	}
	d.fault.tick(d, b.LockOutputs().Sides[d.index].Lamp, now)
	out := &b.LockOutputs().Sides[d.index]
	d.recover.tick(d, out, now)
	d.serve.tick(d, out.Permit, out.Lamp, now)
	if d.awake {
		d.permits.tick(d, out, now)
		if in := &b.LockInputs().Sides[d.index]; d.owes || *out != d.out || in.Unlocked != d.unlocked || in.Locked != d.locked {
			d.tell(in, out, now)
		}
	}
	if d.drive != 0 && now-d.from > d.set.limit.lockSlow || b.Sides[d.index] != (sim.SideWires{}) || d.doorLineLost(b, now) {
		d.set.post.allow(8, now)
	}
	d.dozes = d.mayDoze(b, now)
}

// tell shows answers and tells what the side carries.
func (d *sideTruth) tell(in *sim.SideInputs, out *sim.SideOutputs, now int64) {
	d.out, d.unlocked, d.locked = *out, in.Unlocked, in.Locked
	d.answers.tick(d, in, out, now)
	d.tells.tick(d, in, out, now)
	d.owes = d.answers.lock.on || d.answers.unlock.on || d.tells.home && !out.Permit || d.tells.out && !out.Lamp || !out.Permit && !out.Lamp
}

// doorLineLost tells that a door line stops saying down while the bar is driven to
// lock, or about to be.
func (d *sideTruth) doorLineLost(b *sim.Bench, now int64) bool {
	if d.drive <= 0 && now-d.lockAt > d.set.limit.sound {
		return false
	}
	return !d.saysDown(&b.LockInputs().Sides[d.index])
}

// saysDown tells that every door of the side says down.
func (d *sideTruth) saysDown(in *sim.SideInputs) bool {
	for i := range in.Bays {
		if !in.Down[i].Says() {
			return false
		}
	}
	return true
}

func (d *sideTruth) finish(now int64) {
	d.stroke.end(d)
	d.fault.finish(d, now)
	d.recover.finish(d, now)
	d.serve.want.finish(&d.m[locksClause], d.set.limit.dt, now)
	d.answers.finish(d, now)
}

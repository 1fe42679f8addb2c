package campaign

import (
	"math"
	"slices"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// Times of the recovery, in s.
const (
	restFirst  = 1.0  // all doors have stood so long before anything is done
	restLimit  = 40.0 // or it is done anyway: two runs of 15 s and their pauses fit in
	barLimit   = 6.0  // a request for a bar is waited for so long: longer than recovery allows
	restEnd    = 1.0  // a door that has stood so long at an end has reached it, as the recovery requirement has it
	restPress  = 1.5  // a door has stood so long before it is pressed
	pressApart = 16.0 // a press that reaches no end is given so long
	stagger    = 0.6  // one person, so one press after the other
	teachLimit = 40.0 // a teaching is given so long
	teachings  = 2    // and as many tries
	closings   = 2    // presses to bring a door down for the lock, once both ends were reached
	listenOut  = 1.5  // after the last of all

	moves = 0.01 // m/s: a door that nobody has worked at and that does more than settle

	recoveryPresses   = 2 // as the recovery requirement has it
	recoveryPressSpan = 0.2
	recoveryDistance  = 1.0 // m
)

// openTolerance and closedTolerance are those of sim, of the recovery requirement.
const (
	openTolerance   = sim.OpenTolerance
	closedTolerance = sim.ClosedTolerance
)

// recovery is the mechanic who, once everything is mended, retrains doors whose
// record no longer fits and works every door and lock, looking at where the truck
// truly stands. It is an observer of the bench: what it does at a tick a script
// could do at that time. It judges nothing; that is for the recovery requirement.
type recovery struct {
	plan *Plan
	set  *require.Set
	heal int64

	phase  phase
	since  int64 // step at which the phase began
	bench  *sim.Bench
	bays   []bayRecovery
	acted  []StepDraw
	healed int64

	pressedAt int64 // the last press at any door
}

type phase uint8

// The phases, in their order.
const (
	beforeHealing phase = iota
	settling            // until everything stands, and nobody presses any more
	freeing             // bars to unlocked, so that doors can be taught
	teaching
	unlocking
	pressing
	lockingAll
	unlockingAll
	listening
	over
)

// bayRecovery is how far one door has got.
type bayRecovery struct {
	index     int
	concerned bool
	retrain   bool // its encoder was at fault
	tries     int  // teachings
	teaching  bool

	standsFrom     int64 // step since which it is at rest, or -1
	dir            int   // of the last run
	pressedAt      int64
	presses        int // since an end was reached
	closings       int
	opened, closed bool
}

func (r *recovery) begin(p *Plan, c *Case, set *require.Set) {
	bays := r.bays
	if len(bays) != len(c.Bays) {
		bays = make([]bayRecovery, len(c.Bays))
	}
	*r = recovery{plan: p, set: set, heal: p.steps(c.HealAt), bays: bays, acted: r.acted[:0]}
	for i, concerned := range c.concerned() {
		r.bays[i] = bayRecovery{index: i, concerned: concerned, retrain: c.spoilt(i), standsFrom: -1}
	}
}

// spoilt tells that something was wrong with the encoder of a bay: whoever mends
// that retrains the door.
func (c *Case) spoilt(bay int) bool {
	for i := range c.Faults {
		if f := &c.Faults[i]; f.Place == bay && encoderKinds[f.Kind] {
			return true
		}
	}
	return false
}

// encoderKinds are the faults after which a mechanic retrains the door.
var encoderKinds = map[string]bool{
	"missed-pulses": true, "extra-pulses": true, "slipping-reel": true, "stuck-reel": true, "exchanged-encoder": true,
}

func onBay(kind string) bool {
	k, ok := fault.Find(kind)
	return ok && k.Place == fault.OnBay
}

func (r *recovery) done() bool { return r.phase == over }

// Tick implements [sim.Observer].
func (r *recovery) Tick(b *sim.Bench) {
	r.bench = b
	still, _ := b.Still()
	for i := range r.bays {
		if m := &r.bays[i]; still>>i&1 == 0 || m.standsFrom < 0 {
			m.look(b)
		}
	}
	switch r.phase {
	case beforeHealing:
		if b.Now >= r.heal {
			r.enter(settling)
		}
	case settling:
		if r.allStand(restFirst) && r.nobodyPresses() || r.lasted(restLimit) {
			r.settled()
		}
	case freeing:
		if r.barsAt(home) || r.lasted(barLimit) {
			r.enter(teaching)
		}
	case teaching:
		r.teach()
	case unlocking:
		if r.barsAt(home) && r.lasted(restFirst) || r.lasted(barLimit) {
			r.enter(pressing)
		}
	case pressing:
		r.press()
	case lockingAll:
		if r.barsAt(arrived) && r.lasted(restFirst) || r.lasted(barLimit) {
			r.askAll(sim.UnlockAsk)
			r.enter(unlockingAll)
		}
	case unlockingAll:
		if r.barsAt(home) && r.lasted(restFirst) || r.lasted(barLimit) {
			r.enter(listening)
		}
	case listening:
		if r.lasted(listenOut) {
			r.enter(over)
		}
	}
}

func (r *recovery) enter(p phase) { r.phase, r.since = p, r.bench.Now }

func (r *recovery) lasted(seconds float64) bool { return r.bench.Now-r.since >= r.plan.steps(seconds) }

// act does something now, and keeps it as a step of a script.
func (r *recovery) act(d StepDraw) {
	d.At = roundTo(r.bench.Seconds(r.bench.Now), 1e4)
	r.acted = append(r.acted, d)
	for _, a := range r.plan.Actions(&d)[:1] {
		r.bench.Act(a)
	}
}

// settled decides whether doors must be retrained first.
func (r *recovery) settled() {
	for i := range r.bays {
		if r.mustTeach(&r.bays[i]) {
			r.askAll(sim.UnlockAsk)
			r.enter(freeing)
			return
		}
	}
	r.judge()
}

// judge names the instant from which recovery is judged, and begins it.
func (r *recovery) judge() {
	r.healed = r.bench.Now + r.bench.TickSteps
	r.set.Healed(r.healed)
	r.askAll(sim.UnlockAsk) // the controllers see it at the tick that has just been named
	r.enter(unlocking)
}

// askAll turns both cab switches.
func (r *recovery) askAll(kind sim.ActionKind) {
	for _, s := range bothSides {
		if kind == sim.UnlockAsk || r.sideDown(s) {
			r.act(StepDraw{Kind: kind, Side: s, Span: askSpan})
		}
	}
}

func home(l *model.Lock) bool    { return l.UnlockedEnd() }
func arrived(l *model.Lock) bool { return l.LockedEnd() }

// barsAt tells that the bars of all sides that were asked stand at an end.
func (r *recovery) barsAt(end func(*model.Lock) bool) bool {
	for _, s := range bothSides {
		if r.phase == lockingAll && !r.sideDown(s) {
			continue
		}
		if l := &r.bench.Truck.Locks[s]; !end(l) || l.Drive != 0 {
			return false
		}
	}
	return true
}

// sideDown tells that all curtains of a side are down.
func (r *recovery) sideDown(s model.Side) bool {
	for i := range r.bench.Truck.Bays {
		if b := &r.bench.Truck.Bays[i]; b.Params.Side == s && b.Height > closedTolerance {
			return false
		}
	}
	return true
}

// allStand tells that all doors have stood for so long, that no bar moves, and that
// every controller is awake.
func (r *recovery) allStand(seconds float64) bool {
	for i := range r.bays {
		if !r.bays[i].stands(r, seconds) || !r.bench.Awake(i) {
			return false
		}
	}
	for i := range r.bench.Truck.Locks {
		if l := &r.bench.Truck.Locks[i]; l.Drive != 0 || l.Speed != 0 {
			return false
		}
	}
	return r.bench.LocksAwake()
}

// nobodyPresses tells that no button is held any more: while one is, a press that teaches is none.
func (r *recovery) nobodyPresses() bool { return !slices.Contains(r.bench.PressLine, true) }

// mustTeach tells that a door's record does not fit: its encoder was at fault, or
// what a reset would find on record is not the travel.
func (r *recovery) mustTeach(m *bayRecovery) bool {
	if m.tries == 0 && m.retrain {
		return true
	}
	c, store := r.bench.Door(m.index)
	p, ok := c.(sim.Provisioner)
	if !ok || m.tries >= teachings {
		return false
	}
	travel, ok := p.Taught(store)
	bay := &r.bench.Truck.Bays[m.index]
	full := bay.Params.Track.Opening * bay.Params.Encoder.PulsesPerMetre
	return m.concerned && (!ok || float64(travel)-full > tooLong || full-float64(travel) > tooShort)
}

// A record may be tooLong pulses longer than the opening: the seal below the sill counts 2 or 3,
// and the open stop gives a little. What is measured from the floor, which lies at the sill or
// lower, to the stop is not shorter but by a pulse at either end: a record that is was taken at a
// jam, and a door that opens by it may stop short of open.
const (
	tooLong  = 6.0
	tooShort = 2.0
)

// teach retrains one door after the other.
func (r *recovery) teach() {
	for i := range r.bays {
		m := &r.bays[i]
		if m.teaching {
			since := r.bench.Now - m.pressedAt
			if since == r.plan.steps(teachPressAfter) {
				r.teachPress(i)
			}
			if since < r.plan.steps(teachSpan) || since < r.plan.steps(teachLimit) && !m.stands(r, restPress) {
				return
			}
			m.teaching = false
		}
		if r.mustTeach(m) {
			m.tries++
			m.teaching, m.pressedAt = true, r.bench.Now
			r.act(StepDraw{Kind: sim.TeachHold, Bay: i, Span: teachSpan})
			return
		}
	}
	r.judge()
}

// teachPress is the second half of the step that TeachHold stands for.
func (r *recovery) teachPress(bay int) {
	r.bench.Act(sim.Action{Kind: sim.Press, Bay: bay, Span: r.plan.steps(teachPressSpan), Distance: teachDistance})
}

// press works every door that the case is about, or that has moved, to both of its
// ends and down.
func (r *recovery) press() {
	busy := false
	for i := range r.bays {
		m := &r.bays[i]
		m.reach(r, &r.bench.Truck.Bays[i])
		if m.finished(r) {
			continue
		}
		busy = true
		if m.mayPress(r) {
			m.presses++
			if m.opened && m.closed {
				m.closings++
			}
			m.pressedAt, m.dir, r.pressedAt = r.bench.Now, 0, r.bench.Now
			r.act(StepDraw{Kind: sim.Press, Bay: i, Span: recoveryPressSpan, Distance: recoveryDistance})
		}
	}
	if busy || !r.allStand(restFirst) {
		return
	}
	r.askAll(sim.LockAsk)
	r.enter(lockingAll)
}

// look follows the door at a tick.
func (m *bayRecovery) look(b *sim.Bench) {
	bay := &b.Truck.Bays[m.index]
	if bay.Energised != 0 {
		m.dir = bay.Energised
	}
	m.concerned = m.concerned || b.PressedAt[m.index] >= 0 || bay.Energised != 0 || math.Abs(bay.Speed) > moves
	switch {
	case bay.Energised != 0 || !bay.AtRest():
		m.standsFrom = -1
	case m.standsFrom < 0:
		m.standsFrom = b.Now
	}
}

// reach notes that a press has brought the door to rest at an end.
func (m *bayRecovery) reach(r *recovery, bay *model.Bay) {
	stands := m.stands(r, restEnd)
	switch {
	case m.presses == 0:
	case stands && !m.opened && m.dir > 0 && bay.Height >= bay.Params.Track.Opening-openTolerance:
		m.opened, m.presses = true, 0
	case stands && !m.closed && m.dir < 0 && bay.Height <= closedTolerance && bay.SillMade():
		m.closed, m.presses = true, 0
	case m.opened && m.closed && m.dir != 0 && (bay.Height <= closedTolerance || bay.Height >= bay.Params.Track.Opening-openTolerance):
		m.presses = 0
	}
}

// finished tells that there is nothing more to press for: the door has been at both
// ends and stands down, or its presses are used up and the last has had its effect.
func (m *bayRecovery) finished(r *recovery) bool {
	if !m.concerned {
		return true
	}
	if m.opened && m.closed && m.standsFrom >= 0 && r.bench.Truck.Bays[m.index].Height <= closedTolerance {
		return true
	}
	used := m.presses > recoveryPresses
	if m.opened && m.closed {
		used = m.closings > closings
	}
	return used && m.stands(r, restPress) && r.bench.Now-m.pressedAt >= r.plan.steps(restPress)
}

// mayPress tells that the door stands, and that its last press has had its time.
func (m *bayRecovery) mayPress(r *recovery) bool {
	now := r.bench.Now
	return m.stands(r, restPress) && now-r.pressedAt >= r.plan.steps(stagger) &&
		(m.presses == 0 || now-m.pressedAt >= r.plan.steps(pressApart))
}

func (m *bayRecovery) stands(r *recovery, seconds float64) bool {
	return m.standsFrom >= 0 && r.bench.Now-m.standsFrom >= r.plan.steps(seconds)
}

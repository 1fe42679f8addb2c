package logic

import "slatbench/sim"

// Locks is the controller of both sides' locks: one machine a side.
type Locks struct {
	sides   [2]sideLock
	limits  lockLimits
	sounder sounder
	pen     pen
	clock   clock
	now     int // ticks since the reset
	doze    doze
	wires   [2]sim.SideInputs // of the last full tick
}

type lockLimits struct{ settle, leave, limit, stroke, flash, flashHalf int }

// sideLock is the lock of one side.
type sideLock struct {
	machine     *machine
	outputs     []lockState
	inState     int // ticks
	flash       int
	lockWas     bool // the requests' levels at the last tick
	unlockWas   bool
	interrupted bool
	noted       byte // as on record
	heard       heard
	awake       bool // a tick has gone by since the reset
	driven      bool // towards locked
	wasUnlocked bool // made, at the last tick
	wasLocked   bool // so too; of a bar that is driven back, at every tick since it began
	suspected   bool // the unlocked switch was made beside that of the locked end
	doubted     bool // and the bar has left its locked end since
}

type lockState struct {
	drive  int
	lamp   lamp
	permit bool
}

// NewLocks makes the controller of both locks, for a tick in s. The table must have passed Check.
func NewLocks(t *Table, tick float64) *Locks {
	ticks := clock(tick).ticks
	l := &Locks{clock: clock(tick), limits: lockLimits{
		settle: ticks(t.Tuning.LockSettle), leave: ticks(t.Tuning.LockLeave),
		limit: ticks(t.Tuning.LockLimit), stroke: ticks(t.Tuning.LockStroke),
		flash: ticks(flashTime), flashHalf: ticks(flashHalf),
	}}
	for i := range l.sides {
		s := &l.sides[i]
		s.machine = newMachine(&t.Lock, &LockWords)
		for k := range t.Lock.States {
			s.outputs = append(s.outputs, newLockState(&t.Lock.States[k]))
		}
	}
	return l
}

func newLockState(s *State) lockState {
	o := lockState{lamp: lampWord(s.Lamp), permit: s.Permit == "yes"}
	switch s.Drive {
	case "lock":
		o.drive = 1
	case "unlock":
		o.drive = -1
	}
	return o
}

// PowerOn implements sim.Controller.
func (l *Locks) PowerOn(store *sim.Store) {
	l.sounder, l.pen, l.now = newSounder(l.clock), pen{}, 0
	l.doze.may = false
	for i := range l.sides {
		s := &l.sides[i]
		*s = sideLock{machine: s.machine, outputs: s.outputs, lockWas: true, unlockWas: true}
		s.machine.reset()
		s.noted = store[StrokeAt+i]
		s.interrupted, s.doubted = s.noted != 0, s.noted == strokeDoubted
		s.heard.noted = store[heardAt+i]
		s.heard.doubted = s.heard.noted
	}
}

// Tick implements sim.Controller.
func (l *Locks) Tick(in *sim.Inputs, out *sim.Outputs) {
	if l.doze.may && !in.StoreBusy && in.Sides == l.wires {
		l.dozed(out)
		return
	}
	l.now++
	may := !l.doze.never
	for i := range l.sides {
		events := l.side(i, &in.Sides[i], &out.Sides[i], in)
		may = may && l.mayDoze(&l.sides[i], events)
	}
	out.Tone = l.sounder.tick()
	l.pen.write(in, out)
	if l.doze.may = may && l.sounder.silent() && !l.pen.busy() && !in.StoreBusy && !out.Write; l.doze.may {
		l.wires = in.Sides
	}
}

// side works one side's lock, and gives the events that it has found.
func (l *Locks) side(i int, in *sim.SideInputs, out *sim.SideOutputs, all *sim.Inputs) uint32 {
	s := &l.sides[i]
	s.doubt(in, l.limits.leave)
	l.hear(i, in)
	events, guards := l.events(s, in)
	s.lockWas, s.unlockWas = in.LockRequest, in.UnlockRequest
	back := s.outputs[s.machine.state].drive < 0
	s.wasUnlocked, s.wasLocked = in.Unlocked.Made, in.Locked.Made && (s.wasLocked || !back)
	s.inState++
	if a := s.machine.answerTo(events, guards); a != nil {
		if s.machine.fire(a) {
			s.inState = 0
		}
		s.postpone(a, events)
		if a.alarm != 0 {
			l.sounder.sound(a.alarm)
		}
		if a.do>>laFlash&1 == 1 {
			s.flash = l.limits.flash
		}
		if a.do>>laFlashBoth&1 == 1 {
			l.sides[0].flash, l.sides[1].flash = l.limits.flash, l.limits.flash
		}
	}
	o := &s.outputs[s.machine.state]
	l.note(i, o)
	out.Drive = 0
	// The record must say so before a bar leaves; one on its way does not wait for the other side's.
	if o.drive <= 0 || s.driven || !l.pen.busy() && !all.StoreBusy {
		out.Drive = int8(o.drive)
	}
	s.driven = out.Drive > 0
	if s.flash > 0 {
		s.flash--
	}
	out.Lamp = o.lamp.lit(l.now, l.limits.flashHalf) || s.flash > 0 && lampFlash.lit(l.now, l.limits.flashHalf)
	out.Permit = o.permit
	return events
}

// postpone lets a request that comes in the tick in which something else is answered be heard at
// the next: whoever asks just as a stroke ends or fails need not ask again.
func (s *sideLock) postpone(a *answer, events uint32) {
	if a.event == lvUnlockAsked || a.event == lvLockAsked {
		return
	}
	s.unlockWas = s.unlockWas && events>>lvUnlockAsked&1 == 0
	s.lockWas = s.lockWas && events>>lvLockAsked&1 == 0
}

// note keeps on record that a stroke is under way or that the lock has failed, so that
// after a reset a bar is not taken for unlocked, or for locked, on the word of one switch; and
// that the switch of the unlocked end is doubted.
func (l *Locks) note(i int, o *lockState) {
	s := &l.sides[i]
	known := byte(0)
	if o.drive != 0 || o.lamp == lampFlash && !o.permit {
		if known = StrokeOn; s.doubted {
			known = strokeDoubted
		}
	}
	if known == s.noted {
		return
	}
	s.noted = known
	l.pen.put(StrokeAt+i, known)
}

// hear listens to the doors of a side, and keeps on record which of them a reset must not believe.
func (l *Locks) hear(i int, in *sim.SideInputs) {
	h := &l.sides[i].heard
	if lasting := h.hear(in); lasting != h.noted {
		h.noted = lasting
		l.pen.put(heardAt+i, lasting)
	}
}

// doubt finds the switch of the unlocked end stuck: it is made at a bar that says locked, and
// that cannot have come home, or after a reset is made together with that of the locked end; and
// the bar, driven back, lets go of its locked end, which was true then. Until that switch lets go
// it says nothing.
func (s *sideLock) doubt(in *sim.SideInputs, leave int) {
	drive := s.outputs[s.machine.state].drive
	leaves := drive < 0 && s.inState < leave
	if !s.awake { // nobody knows which of them was made first
		s.awake, s.wasLocked = true, in.Locked.Made
	}
	if !in.Unlocked.Made {
		s.suspected, s.doubted = false, false
		return
	}
	if !s.wasUnlocked {
		s.suspected = s.wasLocked && (drive >= 0 || leaves)
	}
	if s.suspected && leaves && s.wasLocked && !in.Locked.Made {
		s.doubted = true
	}
}

func (l *Locks) events(s *sideLock, in *sim.SideInputs) (events, guards uint32) {
	k := &l.limits
	drive := s.outputs[s.machine.state].drive
	sound := in.Unlocked.Sound() && in.Locked.Sound() && !(in.Unlocked.Made && in.Locked.Made) &&
		!(drive > 0 && s.wasUnlocked && in.Locked.Made) // no bar is at its other end a tick later
	unlocked := sound && in.Unlocked.Made && !s.doubted
	locked := sound && in.Locked.Made
	down := s.heard.allDown(in)
	left := drive > 0 && !in.Unlocked.Made || drive < 0 && !in.Locked.Made

	events = bit(true, lvAwake) | bit(!sound, lvWrong) | bit(!down, lvDoorsLost) |
		bit(drive != 0 && !left && s.inState >= k.leave, lvNotLeft) | bit(s.inState >= k.limit, lvLate) |
		bit(locked, lvArrivedLocked) | bit(unlocked && s.inState >= k.stroke, lvArrivedUnlocked) |
		bit(!locked, lvLostLocked) | bit(!unlocked, lvLostUnlocked) |
		bit(in.UnlockRequest && !s.unlockWas, lvUnlockAsked) | bit(in.LockRequest && !s.lockWas, lvLockAsked) |
		bit(s.inState >= k.settle, lvSettled)
	guards = bit(down, lgDoorsDown) | bit(unlocked, lgAtUnlocked) | bit(locked, lgAtLocked) | bit(s.interrupted, lgInterrupted)
	return events, guards
}

// State implements sim.Teller: both sides, curbside first.
func (l *Locks) State() string {
	return l.sides[0].machine.name() + "/" + l.sides[1].machine.name()
}

// Counts implements sim.Teller: a lock counts nothing.
func (l *Locks) Counts() int { return 0 }

// SideState is the state of one side's machine.
func (l *Locks) SideState(side int) string { return l.sides[side].machine.name() }

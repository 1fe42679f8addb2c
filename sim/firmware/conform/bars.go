package conform

import (
	"fmt"

	"slatbench/model"
	"slatbench/sim"
)

// ask works the cab switch of a side for a moment.
func (s *script) ask(k sim.ActionKind, side model.Side) {
	s.b.Act(sim.Action{Kind: k, Side: side, Span: s.b.Steps(0.3)})
}

func opposite(side model.Side) model.Side { return model.Curbside + model.Roadside - side }

// locks: a bar is refused while a door is up, and moves when all are down; on both sides.
func (s *script) locks() {
	if s.bringUp(bay) {
		s.ask(sim.LockAsk, model.Curbside)
		_, driven := s.wait(3, func() bool { return s.b.LockOutputs().Sides[model.Curbside].Drive > 0 })
		wrong := ""
		if driven {
			wrong = fmt.Sprintf("the bar was driven to lock while door %s was up", s.name(bay))
		}
		s.add("a side with an open door is not locked", wrong)
		if driven {
			s.ask(sim.UnlockAsk, model.Curbside)
			s.wait(5, nil)
		}
	}
	s.bringDown(bay)
	var works [model.Sides]bool
	for side := range works {
		works[side] = s.lock(model.Side(side))
	}
	early := quiet("the lock controller", &s.watch.lockNoise)
	s.add("while nothing is wrong the sounder of the locks is silent", early)
	for side, good := range works {
		switch {
		case early != "":
			s.untried(blockedTried(model.Side(side)), noReason)
		case good:
			s.blocked(model.Side(side))
		}
	}
}

// sideTells is the state that the lock controller tells of a side, or nothing where it
// tells none.
func (s *script) sideTells(side model.Side) string {
	if t, ok := s.b.LockController().(interface{ SideState(int) string }); ok {
		return t.SideState(int(side))
	}
	return ""
}

// notDown names a door of a side that is not down.
func (s *script) notDown(side model.Side) string {
	for i := range s.b.Truck.Bays {
		if s.b.Truck.Bays[i].Params.Side == side && !s.isDown(i) {
			return s.name(i)
		}
	}
	return ""
}

// lock locks a side and unlocks it.
func (s *script) lock(side model.Side) bool {
	tried := fmt.Sprintf("%s, all doors down, is locked", side)
	if up := s.notDown(side); up != "" {
		s.untried(tried, "by then door %s had not come down", up)
		return false
	}
	bar, acts := &s.b.Truck.Locks[side], &s.watch.bars
	before := s.sideTells(side)
	s.watch.forget()
	s.ask(sim.LockAsk, side)
	_, arrived := s.wait(5, bar.LockedEnd)
	wrong := ""
	switch {
	case acts[opposite(side)].first != 0:
		wrong = fmt.Sprintf("%s was asked to lock, and the bar of %s was driven: are the sides exchanged?", side, opposite(side))
	case acts[side].first < 0:
		wrong = fmt.Sprintf("%s was asked to lock, and its bar was driven the other way: a drive of +1 locks, and -1 unlocks", side)
	case arrived:
	case s.unsaid(side) != "":
		wrong = fmt.Sprintf("door %s is down after a full closing, and its lines do not say so: the side was not locked", s.unsaid(side))
	default:
		wrong = "all doors of the side were down and said so, and the bar was not driven to its locked end within 5 s"
	}
	s.add(tried, wrong)
	if wrong != "" { // let it come to rest, or it would be held against the other side
		s.ask(sim.UnlockAsk, side)
		s.wait(8, nil)
		return false
	}
	s.wait(1, nil)
	wrong = ""
	switch out := s.b.LockOutputs(); {
	case out.Sides[side].Permit:
		wrong = fmt.Sprintf("the bar of %s is at its locked end, and the lock controller lets its doors move (permit)", side)
	case !out.Sides[opposite(side)].Permit:
		wrong = fmt.Sprintf("%s was locked, and the doors of %s may no longer move (permit): are the sides exchanged?", side, opposite(side))
	}
	s.add(fmt.Sprintf("locked, %s has no permit, and the other side has", side), wrong)
	if before != "" {
		wrong = ""
		if s.sideTells(side) == before {
			wrong = fmt.Sprintf("it told the same state of %s, %q, before it was locked and after (state)", side, before)
		}
		s.add(fmt.Sprintf("the state that it tells of %s follows the bar", side), wrong)
	}
	if side == s.b.Truck.Bays[bay].Params.Side {
		s.press(bay)
		_, moved := s.wait(1, func() bool { return s.moving(bay) })
		wrong = ""
		if moved {
			wrong = "a press drove a locked door"
		}
		s.add("a locked door stays where it is", wrong)
	}
	s.ask(sim.UnlockAsk, side)
	_, back := s.wait(5, bar.UnlockedEnd)
	wrong = ""
	if !back {
		wrong = "the bar was not driven back to its unlocked end within 5 s"
	}
	s.add(fmt.Sprintf("%s is unlocked again", side), wrong)
	s.wait(2, nil)
	return back
}

// unsaid names a door of a side whose lines do not say that it is down.
func (s *script) unsaid(side model.Side) string {
	for i := range s.b.Truck.Bays {
		if s.b.Truck.Bays[i].Params.Side == side && !s.b.Outputs(i).Lines.Says() {
			return s.name(i)
		}
	}
	return ""
}

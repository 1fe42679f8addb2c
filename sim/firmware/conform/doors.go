package conform

import (
	"fmt"
	"math"

	"slatbench/sim"
)

// atRest: without a press nothing moves, and the wires say how the truck stands.
func (s *script) atRest() {
	moved := ""
	s.wait(3, func() bool { moved = s.anyMoving(); return moved != "" })
	wrong := ""
	if moved != "" {
		wrong = fmt.Sprintf("door %s was driven before anybody pressed", moved)
		s.wait(20, func() bool { return s.anyMoving() == "" })
	}
	s.add("after power-on nothing moves", wrong)
	wrong = ""
	lines := s.b.Outputs(bay).Lines
	switch {
	case lines.Down == lines.NotDown:
		wrong = sameLevel
	case !lines.Says():
		wrong = "the door is down, the sill switch is made, and it says that it is not: its side can never be locked"
	}
	s.add("a door that is down says so", wrong)
	wrong = ""
	if !s.b.LockOutputs().Sides[0].Permit || !s.b.LockOutputs().Sides[1].Permit {
		wrong = "the bars are unlocked, and the lock controller permits no movement (permit of each side)"
	}
	s.add("unlocked bars let the doors move", wrong)
}

const sameLevel = "its two lines have the same level: to say that the door is down, down is on and not_down is off; to say that it is not, the reverse"

// opens: a press opens this door, and no other.
func (s *script) opens() {
	before := s.tells(bay)
	s.press(bay)
	took, came := s.wait(1, func() bool { return s.moving(bay) })
	wrong := ""
	switch {
	case !came:
		wrong = "a press at the receiver was ignored: nothing was driven for a second (up or down, and enable, and a duty above 0)" + s.why(bay)
	case s.b.Truck.Bays[bay].Energised < 0:
		wrong = "a press at a door that is down drove it down"
	case took > 0.5:
		wrong = fmt.Sprintf("it took %.2f s from the press to the drive, expected 0.5 s at most", took)
	}
	s.add("a press opens a door that is down", wrong)
	wrong = ""
	if s.moving(other) {
		wrong = fmt.Sprintf("door %s was driven though only %s was pressed: do the controllers share a variable?", s.name(other), s.name(bay))
	}
	s.add("a press moves only its own door", wrong)
	if !came {
		return
	}
	under := s.tells(bay)
	arrived := s.rest(bay)
	wrong = ""
	switch {
	case !arrived:
		wrong = "the drive was still on 15 s after the press"
	case s.height(bay) < s.opening(bay)-openShort:
		wrong = fmt.Sprintf("it stopped %.0f mm below full open, with nothing in the way", 1000*(s.opening(bay)-s.height(bay)))
	}
	s.add("it opens fully, and the drive goes off", wrong)
	if s.height(bay) < s.opening(bay)/2 {
		return
	}
	wrong = ""
	switch lines := s.b.Outputs(bay).Lines; {
	case lines.Down == lines.NotDown:
		wrong = sameLevel
	case lines.Says():
		wrong = "the door is up, the sill switch is open, and its lines say that it is down: a bar would be driven into it"
	}
	s.add("a door that is up says so", wrong)
	s.told(before, under)
}

// tells is the state that a door's controller tells, or nothing where it tells none.
func (s *script) tells(at int) string {
	if c, _ := s.b.Door(at); c != nil {
		if t, ok := c.(sim.Teller); ok {
			return t.State()
		}
	}
	return ""
}

// told: what a controller tells for plots follows a door that has opened. Before and under
// are its states until then.
func (s *script) told(before, under string) {
	c, _ := s.b.Door(bay)
	t, ok := c.(sim.Teller)
	if !ok {
		return
	}
	truth := s.travel(bay)
	wrong := ""
	switch count := float64(t.Counts()); {
	case math.Abs(count-truth) > countWithin*truth:
		wrong = fmt.Sprintf("the door is up, %.0f pulses above the floor, and it tells a count of %.0f (counts)", truth, count)
	case before == under && before == t.State():
		wrong = fmt.Sprintf("it told the same state, %q, with the door down, moving and up (state)", before)
	}
	s.add("the count and the state that it tells follow the door", wrong)
}

// countWithin is how much a count may be off that is told of a door that is up, as a share.
const countWithin = 0.05

// travel of a door in pulses.
func (s *script) travel(at int) float64 {
	p := &s.b.Truck.Bays[at].Params
	return p.Track.Opening * p.Encoder.PulsesPerMetre
}

// stops: a press stops a moving door; the next one opens.
func (s *script) stops() {
	s.press(other)
	if _, came := s.wait(1, func() bool { return s.moving(other) }); !came {
		return // said already
	}
	s.wait(2, nil)
	wrong := ""
	if s.moving(other) {
		s.press(other)
		if took, off := s.wait(1, func() bool { return !s.moving(other) }); !off {
			wrong = "a press while the door moved did not stop it"
		} else if took > 0.05 {
			wrong = fmt.Sprintf("a press while the door moved stopped it after %.0f ms, expected 50 ms at most", 1000*took)
		}
	} else {
		wrong = "the door stopped within 2 s of its start, by itself"
	}
	s.add("a press stops a moving door", wrong)
	s.wait(2, nil)
	s.press(other)
	s.wait(1, func() bool { return s.moving(other) })
	wrong = ""
	if s.b.Truck.Bays[other].Energised <= 0 {
		wrong = "after a stop on the way the next press did not open"
	}
	s.add("the press after a stop opens", wrong)
	s.rest(other)
}

// closes: a press closes the doors that are open.
func (s *script) closes() {
	wrong := ""
	for _, i := range []int{bay, other} {
		s.press(i)
		if _, came := s.wait(1, func() bool { return s.moving(i) }); !came {
			wrong = "a press at an open door was ignored"
			continue
		}
		switch arrived := s.rest(i); {
		case !arrived:
			wrong = "the drive was still on 15 s after the press"
		case !s.isDown(i):
			wrong = fmt.Sprintf("it did not come down: it stands at %.0f mm, with nothing in the way", 1000*s.height(i))
		}
	}
	s.add("a press closes an open door", wrong)
}

// resets: power that fails on the way leaves the drive off, and it stays off. The other
// door's store is as in a new controller from then on: it is to be taught.
func (s *script) resets() {
	s.bringDown(bay)
	s.press(bay)
	if _, came := s.wait(1, func() bool { return s.moving(bay) }); !came {
		return
	}
	s.wait(2, nil)
	if c, store := s.b.Door(other); keepsRecords(c) {
		*store = sim.Store{}
	}
	s.loseSupply()
	moved := ""
	s.wait(4, func() bool { moved = s.anyMoving(); return moved != "" })
	wrong := ""
	if moved != "" {
		wrong = fmt.Sprintf("after the supply came back door %s moved, and nobody had pressed", moved)
	}
	s.add("after the supply came back nothing moves", wrong)
	s.press(bay)
	_, came := s.wait(1, func() bool { return s.moving(bay) })
	wrong = ""
	if !came {
		wrong = "after the supply came back a press was ignored" + s.why(bay)
	}
	s.add("a press after that opens", wrong)
	s.rest(bay)
}

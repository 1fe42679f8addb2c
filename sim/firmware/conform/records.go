package conform

import (
	"fmt"
	"math"

	"slatbench/sim"
)

func keepsRecords(c sim.Controller) bool {
	_, keeps := c.(sim.Provisioner)
	return keeps
}

// records: what is on record is what was put there.
func (s *script) records() {
	c, store := s.b.Door(bay)
	k, keeps := c.(sim.Provisioner)
	if !keeps {
		s.report.Items = append(s.report.Items, Item{Tried: "records of the travel",
			Note: "it offers none (BENCH_RECORDS, bench_provision, bench_taught): every run begins untaught, and most of what a door can do is then never tried"})
		return
	}
	filled, wrong := *store, ""
	k.Provision(&filled, 371, 0)
	if travel, ok := k.Taught(&filled); !ok || travel != 371 {
		wrong = fmt.Sprintf("bench_provision put a travel of 371 pulses into the store, and bench_taught finds %d: a record is written or read wrongly", travel)
	}
	s.add("bench_taught finds what bench_provision wrote", wrong)
	var empty sim.Store
	wrong = ""
	if travel, ok := k.Taught(&empty); ok {
		wrong = fmt.Sprintf("bench_taught finds %d pulses in a store that is all zero, expected -1", travel)
	}
	s.add("an empty store says that nothing is taught", wrong)
}

// teachWithin is how much a taught travel may be off: an end that gives way, and pulses
// that are put down to the wrong direction. 5 %, as the requirement taught-travel has it.
const teachWithin = 0.05

// teaches: with the button held a press teaches the travel, and a lost supply leaves it.
func (s *script) teaches() {
	const tried = "teaching (teach held at a press) writes the travel"
	c, store := s.b.Door(other)
	k, keeps := c.(sim.Provisioner)
	switch {
	case !keeps:
		s.untried(tried, "it offers no records (BENCH_RECORDS), and nothing else shows what was taught")
		return
	case !s.isDown(other) || *store != (sim.Store{}):
		s.untried(tried, "by then door %s was not down, with an empty store", s.name(other))
		return
	}
	s.watch.forget()
	s.b.Act(sim.Action{Kind: sim.TeachHold, Bay: other, Span: s.b.Steps(2)})
	s.wait(0.2, nil)
	s.press(other)
	_, came := s.wait(1.5, func() bool { return s.moving(other) })
	if came {
		s.wait(60, func() bool { return !s.moving(other) && s.watch.still[other] > 4*restTicks })
	}
	travel, ok := k.Taught(store)
	truth := s.travel(other)
	wrong := ""
	switch {
	case !came:
		wrong = "an empty store, the teach button held, and a press: nothing was driven. A door that is not taught must be taught so" + s.why(other)
	case s.watch.doors[other].writes == 0:
		wrong = "the door was driven, and not one byte was written into its store (write, write_at, write_byte): nothing lasts of what it has learnt"
	case !ok:
		wrong = fmt.Sprintf("%d bytes were written into the store, and bench_taught finds no travel in it", s.watch.doors[other].writes)
	case math.Abs(float64(travel)-truth) > teachWithin*truth:
		wrong = fmt.Sprintf("bench_taught finds a travel of %d pulses after teaching, and it has %.0f", travel, truth)
	}
	s.add(tried, wrong)
	if !came || !ok {
		return
	}
	s.loseSupply()
	s.wait(1, nil)
	wrong = ""
	if after, still := k.Taught(store); !still || after != travel {
		wrong = fmt.Sprintf("bench_taught found %d pulses before the supply was lost at rest, and %d after", travel, after)
	} else {
		s.press(other)
		if _, came := s.wait(1, func() bool { return s.moving(other) }); !came {
			wrong = "it was taught and lost its supply, and then ignored a press: it does not find its own record at power-on" + s.why(other)
		}
		s.rest(other)
	}
	s.add("what was taught outlasts a lost supply", wrong)
}

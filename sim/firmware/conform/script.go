package conform

import (
	"fmt"

	"slatbench/sim"
)

// script is the truck with what is being tried on it.
type script struct {
	b      *sim.Bench
	watch  *watch
	heard  *sim.Listener
	report *Report
}

// The bay at which things are done, and another of the same side.
const (
	bay   = 0
	other = 1
)

// play tries everything, what needs least of a controller first: one that no longer knows
// where its door stands after a reset has shown the rest by then.
func (s *script) play() {
	s.records()
	s.atRest()
	s.opens()
	s.stops()
	s.closes()
	s.locks()
	s.meetsCrate()
	s.resets()
	s.teaches()
	s.always()
}

func (s *script) add(tried, wrong string) { s.report.add(tried, wrong) }

// untried says of something why it was not tried.
func (s *script) untried(what, format string, args ...any) {
	s.report.Items = append(s.report.Items, Item{Tried: what, Note: "not tried: " + fmt.Sprintf(format, args...)})
}

// wait plays so many seconds, or until something is so; it tells how long it took,
// and whether that came.
func (s *script) wait(seconds float64, until func() bool) (took float64, came bool) {
	from := s.b.Now
	for end := from + s.b.Steps(seconds); s.b.Now < end; {
		s.b.Advance()
		if until != nil && until() {
			return s.b.Seconds(s.b.Now - from), true
		}
	}
	return s.b.Seconds(s.b.Now - from), until == nil
}

// press presses the remote's button close by the receiver, and waits until the line
// of the receiver goes on.
func (s *script) press(at int) {
	s.b.Act(sim.Action{Kind: sim.Press, Bay: at, Span: s.b.Steps(0.2), Distance: 1})
	s.wait(1, func() bool { return s.b.PressLine[at] })
}

// loseSupply takes the supply away for a moment, and waits until every controller is
// at work again.
func (s *script) loseSupply() {
	s.b.Act(sim.Action{Kind: sim.Interrupt, Span: s.b.Steps(0.3), Factor: 0})
	s.wait(0.6, nil)
}

func (s *script) moving(at int) bool { return s.b.Truck.Bays[at].Energised != 0 }

// restTicks is how long a door is left alone by its drive before it counts as at rest.
const restTicks = 50

// rest waits until a door's drive has been off for half a second.
func (s *script) rest(at int) (came bool) {
	_, came = s.wait(15, func() bool { return !s.moving(at) && s.watch.still[at] > restTicks })
	return came
}

func (s *script) anyMoving() (name string) {
	for i := range s.b.Truck.Bays {
		if s.moving(i) {
			return s.name(i)
		}
	}
	return ""
}

func (s *script) name(i int) string { return s.b.Truck.Bays[i].Params.Name }

func (s *script) height(i int) float64 { return s.b.Truck.Bays[i].Height }

func (s *script) opening(i int) float64 { return s.b.Truck.Bays[i].Params.Track.Opening }

func (s *script) isDown(i int) bool { return s.height(i) <= sim.ClosedTolerance }

// bring presses until a door stands where it is wanted, three times at most: a door that
// stands half way goes up first.
func (s *script) bring(at int, there func() bool) bool {
	for range 3 {
		if there() {
			return true
		}
		s.press(at)
		if _, came := s.wait(1, func() bool { return s.moving(at) }); !came {
			return false
		}
		s.rest(at)
	}
	return there()
}

func (s *script) bringDown(at int) bool { return s.bring(at, func() bool { return s.isDown(at) }) }

func (s *script) bringUp(at int) bool {
	return s.bring(at, func() bool { return s.height(at) > s.opening(at)-openShort })
}

// openShort is how much a door that has opened may lack of full open, in m.
const openShort = 0.10

// why adds what else may be the reason for doing nothing.
func (s *script) why(at int) string {
	c, _ := s.b.Door(at)
	if f, ok := c.(sim.Faller); ok && f.Silent() != "" {
		return "; it had gone silent: " + f.Silent()
	}
	if _, keeps := c.(sim.Provisioner); !keeps {
		return "; it has no records, so it may have been waiting to be taught"
	}
	return ""
}

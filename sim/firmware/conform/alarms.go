package conform

import (
	"fmt"
	"slices"
	"strings"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// What lies in the way: a crate half way up, and debris half way along a bar's stroke.
var (
	crate  = map[string]float64{"height": 0.9, "stiffness": 20e3}
	debris = map[string]float64{"position": 0.03}
)

// lay puts something in the way, and gives what takes it away again.
func (s *script) lay(kind string, place int, values map[string]float64) (take func()) {
	k, ok := fault.Find(kind)
	if !ok {
		panic("conform: no kind of fault " + kind)
	}
	f, err := k.New(place, values)
	if err == nil {
		err = s.b.Fault(f, true)
	}
	if err != nil {
		panic("conform: " + err.Error()) // the script sees to it that there is room
	}
	return func() { _ = s.b.Fault(f, false) }
}

// What a crate under a closing door may be called, by the table of the requirement
// alarm: an obstruction, a floor that came early, a curtain that did not move, a count
// that ran out.
var crateAlarms = []sim.Alarm{sim.ObstructionClosing, sim.EarlyFloor, sim.NoMotion, sim.CountRanOut}

var barAlarms = []sim.Alarm{sim.LockBlocked}

// alarmWait is how long a sounder may take to begin, in s, and countWait how long a
// count may take: nine pulses at leisure.
const (
	alarmWait = 3
	countWait = 6
)

// sounded waits for an alarm, and says what is wrong with it. What was heard before has
// been forgotten; what has happened is in words.
func (s *script) sounded(at int, tone *seen, what string, want []sim.Alarm) string {
	if !tone.on {
		s.wait(alarmWait, func() bool { return tone.on })
	}
	if !tone.on {
		return what + ", and the sounder never sounded (tone)"
	}
	n := 0
	_, over := s.wait(countWait, func() bool {
		n = slices.IndexFunc(s.heard.Heard, func(h sim.Heard) bool { return h.Bay == at })
		return n >= 0
	})
	if !over {
		return what + ", and the count of the sounder does not end (tone): an alarm is so many pulses, and then silence for more than half a second"
	}
	if got := s.heard.Heard[n].Alarm; !slices.Contains(want, got) {
		return fmt.Sprintf("%s, and the sounder gave %s, expected %s", what, pulses(got), oneOf(want))
	}
	return ""
}

func pulses(a sim.Alarm) string {
	if int(a) > len(sim.AlarmNames) {
		return fmt.Sprintf("%d pulses, which mean nothing", int(a))
	}
	if a == 1 {
		return fmt.Sprintf("1 pulse (%s)", a)
	}
	return fmt.Sprintf("%d pulses (%s)", int(a), a)
}

func oneOf(list []sim.Alarm) string {
	words := make([]string, len(list))
	for i, a := range list {
		words[i] = fmt.Sprintf("%d (%s)", int(a), a)
	}
	return strings.Join(words, " or ")
}

// quiet tells of a sounder that has sounded though nothing was wrong yet.
func quiet(who string, n *noise) string {
	switch {
	case !n.on:
		return ""
	case !n.off:
		return fmt.Sprintf("the sounder of %s was on all the time, though nothing was wrong: is it turned round (tone)?", who)
	}
	return fmt.Sprintf("the sounder of %s sounded at %.2f s, though nothing was wrong (tone)", who, n.first)
}

// noReason says why an alarm was not waited for.
const noReason = "a sounder that sounds without a reason says nothing"

// meetsCrate: a closing door that meets something says so, and only that door does.
func (s *script) meetsCrate() {
	early := ""
	for i := range s.watch.doors {
		if early == "" {
			early = quiet("door "+s.name(i), &s.watch.doors[i].noise)
		}
	}
	s.add("while nothing is wrong the sounders of the doors are silent", early)
	const tried = "a closing door that meets a crate sounds an alarm"
	if early != "" {
		s.untried(tried, noReason)
		return
	}
	if !s.bringUp(bay) {
		s.untried(tried, "by then door %s did not open", s.name(bay))
		return
	}
	take := s.lay("obstruction", bay, crate)
	s.forget()
	s.press(bay)
	s.wait(1, func() bool { return s.moving(bay) })
	if s.b.Truck.Bays[bay].Energised >= 0 {
		s.untried(tried, "door %s did not close", s.name(bay))
	} else {
		s.rest(bay)
		what := fmt.Sprintf("door %s closed on a crate at %.0f mm", s.name(bay), 1000*crate["height"])
		wrong := s.sounded(bay, &s.watch.doors[bay].tone, what, crateAlarms)
		for i := range s.watch.doors {
			if i != bay && wrong == "" && s.watch.doors[i].tone.on {
				wrong = fmt.Sprintf("%s, and the sounder of %s sounded, too: do the controllers share a variable?", what, s.name(i))
			}
		}
		s.add(tried, wrong)
		s.wait(20, func() bool { return !s.moving(bay) && s.watch.still[bay] > restTicks }) // it may still turn
	}
	take()
	s.wait(1, nil)
}

// forget begins to listen and to look anew.
func (s *script) forget() {
	s.watch.forget()
	s.heard.Finish()
	s.heard.Heard = s.heard.Heard[:0]
}

// blocked: a bar that can't arrive is said aloud, and by its lamp.
func (s *script) blocked(side model.Side) {
	take := s.lay("blocked-lock-bar", int(side), debris)
	s.forget()
	s.ask(sim.LockAsk, side)
	if _, driven := s.wait(1, func() bool { return s.watch.bars[side].first > 0 }); !driven {
		s.untried(blockedTried(side), "the bar was not driven")
	} else {
		s.wait(5, func() bool { return s.watch.lockTone.on })
		what := fmt.Sprintf("the bar of %s was driven against something in its way", side)
		wrong := s.sounded(sim.LockPost, &s.watch.lockTone, what, barAlarms)
		lamp := &s.watch.bars[side].lamp
		switch {
		case wrong != "":
		case !lamp.on && s.watch.bars[opposite(side)].lamp.on:
			wrong = fmt.Sprintf("%s, and its lamp was never lit, while that of %s was (lamp of the side)", what, opposite(side))
		case !lamp.on:
			wrong = what + ", and its lamp was never lit (lamp of the side)"
		case !lamp.off:
			wrong = what + ", and its lamp was on all along instead of flashing (lamp of the side)"
		}
		s.add(blockedTried(side), wrong)
	}
	take()
	s.ask(sim.UnlockAsk, side)
	s.wait(5, nil)
}

func blockedTried(side model.Side) string {
	return fmt.Sprintf("%s, its bar blocked, sounds an alarm and flashes its lamp", side)
}

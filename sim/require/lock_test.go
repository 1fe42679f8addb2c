package require_test

import (
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/require"
)

// bar drives the curbside bar: +1 from a to b, -1 from c to d. Its lamp flashes
// while flash, else it is lit from lit on. Doors are not permitted meanwhile.
func bar(a, b, c, d float64, flash bool, lit float64) func(float64, *sim.Inputs, *sim.Outputs) {
	return func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		o := &out.Sides[model.Curbside]
		o.Permit = !between(s, min(a, c)-0.1, d)
		switch {
		case between(s, a, b):
			o.Drive = 1
		case between(s, c, d):
			o.Drive = -1
		}
		if flash {
			o.Lamp = int(s/0.2)%2 == 0
		} else {
			o.Lamp = s >= lit
		}
	}
}

func blocked(t *testing.T) []sim.Scheduled {
	return []sim.Scheduled{kind(t, "blocked-lock-bar", map[string]float64{"position": 0.03}, 0, 0)}
}

func TestLockInterlock(t *testing.T) {
	s := story{height: -1, seconds: 5, locks: bar(1, 3.5, 9, 9, false, 3)}
	v := s.run(t)
	v.says("lock-interlock", holds, "bar", 0.021, 0.003) // the seal is pressed 6 mm
	v.is("lock-fault", holds)                            // its lamp shows that it is locked
	s.height = 0.4
	r := s.run(t).says("lock-interlock", violated, "bar", -0.385, 0.01)
	if r.Side != int(model.Curbside) || r.Bay != -1 || r.At < 1000 || r.At > 1010 {
		t.Errorf("bay %d, side %d at step %d", r.Bay, r.Side, r.At)
	}
	s.locks = nil
	s.run(t).is("lock-interlock", untested)

	shut := func(_ float64, _ *sim.Inputs, out *sim.Outputs) { out.Sides[model.Curbside].Permit = false }
	refused := story{height: -1, seconds: 3, locked: true, actions: []sim.Action{press(0.5)}, locks: shut}
	refused.run(t).is("lock-interlock", holds)
	refused.door = func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		if between(s, 0.6, 0.63) {
			up(out)
		}
	}
	refused.run(t).says("lock-interlock", violated, "door", -0.042, 0.002)

	// The wires bar a door that runs: it has 50 ms, wherever the bar is.
	barred := story{height: 0.5, seconds: 2.9, actions: []sim.Action{press(0.5)}}
	barred.locks = func(s float64, _ *sim.Inputs, out *sim.Outputs) { out.Sides[model.Curbside].Permit = s < 2 }
	off := 2.02
	barred.door = func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		if between(s, 0.6, off) {
			up(out)
		}
	}
	if r := barred.run(t).is("lock-interlock", holds); r.Clause != "barred" || r.Margin < 0.02 || r.Margin > 0.05 {
		t.Errorf("%s, margin %g", r.Clause, r.Margin)
	}
	off = 2.2
	barred.run(t).says("lock-interlock", violated, "barred", -0.156, 0.02)

	// The bar is driven out beside a door that runs.
	beside := story{height: -1, seconds: 5, actions: []sim.Action{press(0.5)}, locks: bar(0.5, 3, 9, 9, false, 9)}
	beside.door = func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		if between(s, 0.6, 3) {
			out.Duty = 1 // too little to move, and energised all the same
			up(out)
		}
	}
	beside.run(t).is("lock-interlock", violated)

	// A hand on the bypass, and an end switch that does not tell: the door has 0.5 s.
	hand := story{height: -1, seconds: 5, actions: []sim.Action{press(0.5), ask(1, sim.BypassLock)}}
	hand.locks = func(s float64, _ *sim.Inputs, out *sim.Outputs) { out.Sides[model.Curbside].Permit = s < 1.7 }
	hand.faults = []sim.Scheduled{kind(t, "stuck-lock-switch", map[string]float64{"end": 0}, 0, 0)}
	stop := 1.4
	hand.door = func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		if between(s, 0.6, stop) {
			out.Duty = 1
			up(out)
		}
	}
	hand.run(t).is("lock-interlock", holds)
	stop = 2
	hand.run(t).is("lock-interlock", violated)
}

func TestLockFault(t *testing.T) {
	for _, c := range []struct {
		name         string
		locks        func(float64, *sim.Inputs, *sim.Outputs)
		verdict      require.Verdict
		clause       string
		margin, slop float64
	}{
		{"back and flashing", bar(1, 3, 3.1, 5, true, 0), holds, "home", 0.003, 0.003},
		{"left where it stands", bar(1, 3, 99, 99, true, 0), violated, "return", -5, 0.02},
		{"back too late", bar(1, 3, 4.5, 7, true, 0), violated, "return", -0.5, 0.02},
		{"not far enough", bar(1, 3, 3.1, 3.3, true, 0), violated, "home", -0.017, 0.006},
		{"no lamp", bar(1, 3, 3.1, 5, false, 99), violated, "flash", -0.001, 1e-9},
		{"never gives up", bar(1, 99, 99, 99, true, 0), violated, "return", -3, 0.02},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := story{height: -1, seconds: 9, locks: c.locks, faults: blocked(t)}.run(t)
			if c.clause == "flash" {
				v.is("lock-fault", violated)
				return
			}
			v.says("lock-fault", c.verdict, c.clause, c.margin, c.slop)
		})
	}
	t.Run("says locked", func(t *testing.T) {
		v := story{height: -1, seconds: 7, locks: bar(1, 3, 9, 9, false, 3), faults: blocked(t)}.run(t)
		if r := v.is("lock-fault", violated); r.Margin > -2 {
			t.Errorf("%s, margin %g", r.Clause, r.Margin)
		}
	})
	t.Run("called back", func(t *testing.T) {
		v := story{height: -1, seconds: 12, locks: bar(1, 1.6, 1.6, 4, false, 99), actions: []sim.Action{ask(1.55, sim.UnlockAsk)}}.run(t)
		v.is("lock-fault", holds)
		v.is("alarm", untested)
	})
	t.Run("open actuator", func(t *testing.T) {
		s := story{height: -1, seconds: 9, locks: bar(1, 3, 3.1, 5, true, 0)}
		s.faults = []sim.Scheduled{kind(t, "open-lock-actuator", nil, 0, 0)}
		s.run(t).is("lock-fault", holds)
	})
	t.Run("switch that sticks in the midst", func(t *testing.T) {
		s := story{height: -1, seconds: 8, locks: bar(1, 2.4, 9, 9, false, 2.4)}
		s.faults = append(blocked(t), kind(t, "stuck-lock-switch", nil, 2.3, 0))
		s.run(t).is("lock-fault", violated)
		s.options.Faults = []require.Active{{Kind: "stuck-lock-switch", From: 2300}}
		s.run(t).is("lock-fault", exempt)
		s.options.Faults[0].From = 500 // it stuck while the bar was home: that can be told
		s.run(t).is("lock-fault", violated)
	})
}

// What the controllers tell each other is judged at the wire.
func TestLinesAndPermits(t *testing.T) {
	s := story{height: 0.5, seconds: 4}
	s.door = func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		out.Lines = sim.DownLines{Down: s < 2, NotDown: s >= 2}
	}
	s.run(t).says("lock-interlock", violated, "says", -0.47, 0.01)
	s.height = -1
	s.run(t).is("lock-interlock", untested)
	s.door = nil

	s.seconds = 12
	permits := func(from, to float64) func(float64, *sim.Inputs, *sim.Outputs) {
		drive := bar(1, 3.5, 5, 7, false, 2.5)
		return func(s float64, in *sim.Inputs, out *sim.Outputs) {
			drive(s, in, out)
			out.Sides[model.Curbside].Permit = !between(s, from, to)
		}
	}
	s.locks = permits(0.9, 7)
	s.run(t).is("lock-interlock", holds)
	s.locks = permits(2, 7) // it takes a second to say so
	s.run(t).says("lock-interlock", violated, "permit", -0.79, 0.02)
	s.locks = permits(0.9, 4) // it permits with the bar out
	s.run(t).says("lock-interlock", violated, "permit", -2.8, 0.02)
}

// A bar moves because somebody asks for it, or back from a stroke that has failed.
func TestBarStarts(t *testing.T) {
	s := story{height: -1, seconds: 12, actions: []sim.Action{ask(1, sim.LockAsk), ask(6, sim.UnlockAsk)}}
	s.locks = bar(1.1, 3.5, 6.1, 8, false, 2.5)
	s.run(t).says("no-surprise", holds, "bar", 0.9, 0.02)
	s.locks = bar(1.1, 3.5, 5, 7, false, 2.5) // back before anybody asked
	s.run(t).says("no-surprise", violated, "bar", -0.5, 0.02)
	s.locks = bar(6.1, 8, 9, 9, false, 99) // locked, as somebody asks to unlock
	s.run(t).says("no-surprise", violated, "bar", -4.1, 0.02)
	s.actions = nil
	s.locks = bar(1.1, 3.5, 3.6, 5, false, 99)
	s.run(t).says("no-surprise", violated, "bar", -10, 0)
	s.actions = []sim.Action{ask(1, sim.LockAsk)}
	s.run(t).is("no-surprise", holds) // the way back needs no request
	s.actions = append(s.actions, interrupt(2, 0.5))
	s.locks = func(at float64, in *sim.Inputs, out *sim.Outputs) {
		if between(at, 1.1, 2) || between(at, 2.76, 4) { // it goes on after a restart
			out.Sides[model.Curbside].Drive = 1
		}
	}
	s.run(t).says("no-surprise", violated, "bar", -10, 0)
}

// An actuator is driven for 4 s one way at most.
func TestLockLimit(t *testing.T) {
	s := story{height: -1, seconds: 12, locks: bar(1, 2, 3, 6.9, false, 99)}
	if r := s.run(t).is("lock-fault", violated); r.Clause == "limit" {
		t.Errorf("%s, margin %g", r.Clause, r.Margin) // it is the bar that was not driven back at once
	}
	s.locked, s.locks = true, bar(99, 99, 0.5, 4.4, false, 99)
	if r := s.run(t).of("lock-fault"); r.Margin < 0 || r.Margin > 0.2 || r.Clause != "limit" {
		t.Errorf("%s, margin %g", r.Clause, r.Margin)
	}
	s.locks = bar(99, 99, 0.5, 6.5, false, 99)
	s.run(t).says("lock-fault", violated, "limit", -2, 0.02)
}

// Unfaulted, what is asked for at the cab switch is done.
func TestLockService(t *testing.T) {
	s := story{height: -1, seconds: 13, options: require.Options{Rated: true}}
	s.actions = []sim.Action{ask(1, sim.LockAsk), ask(7, sim.UnlockAsk)}
	says := func(s float64, _ *sim.Inputs, out *sim.Outputs) { out.Lines = sim.DownLines{Down: true} }
	s.door, s.others = says, says
	s.locks = bar(1.1, 3.5, 7.1, 9, false, 2.5)
	if r := s.run(t).is("service", holds); r.Clause != "locks" || r.Margin < 3 || r.Margin > 4.5 {
		t.Errorf("%s, margin %g", r.Clause, r.Margin)
	}
	s.locks = bar(1.1, 3.5, 99, 99, false, 2.5) // never unlocked again
	s.run(t).is("service", violated)
	s.locks = nil
	s.run(t).is("service", violated)
	s.actions = append(s.actions, ask(0.5, sim.BypassLock)) // somebody has pushed it out by hand
	s.run(t).is("service", untested)
	s.actions, s.door = s.actions[:1], nil // a door does not say down: the lock refuses
	s.run(t).is("service", untested)
}

func TestLockRecovery(t *testing.T) {
	s := story{height: -1, seconds: 15, options: require.Options{HealedAt: 100}}
	s.actions = []sim.Action{ask(1, sim.LockAsk), ask(8, sim.UnlockAsk)}
	s.door = func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		out.Lines = sim.DownLines{Down: s > 0.2, NotDown: s <= 0.2}
	}
	s.others = s.door
	s.locks = bar(1.1, 3.5, 8.1, 10, false, 2.5)
	if r := s.run(t).is("recovery", holds); r.Clause != "lock" || r.Margin < 3 || r.Margin > 4.5 {
		t.Errorf("%s %g %s", r.Clause, r.Margin, r.Unit)
	}
	s.locks = bar(1.1, 3.5, 8.1, 10, false, 99) // it never shows that it is locked
	s.run(t).says("recovery", violated, "lock", -0.001, 1e-9)
	shut := bar(1.1, 3.5, 8.1, 10, false, 2.5)
	s.locks = func(at float64, in *sim.Inputs, out *sim.Outputs) {
		shut(at, in, out)
		if at > 1 { // the doors are never permitted again
			out.Sides[model.Curbside].Permit = false
		}
	}
	s.run(t).says("recovery", violated, "lock", -0.001, 1e-9)
	s.locks = nil
	s.run(t).says("recovery", violated, "lock", -5, 0.3)
	s.height = 0.5 // a door is up: the lock may refuse
	s.actions = s.actions[:1]
	s.run(t).is("recovery", untested)
}

// A switch of the unlocked end that was made beside a locked bar proves nothing until it has
// let go once, mended or not.
func TestRecoveredSwitchProvesItselfFirst(t *testing.T) {
	s := func(from float64) story {
		return story{height: -1, locked: true, seconds: 15, options: require.Options{HealedAt: 5000},
			actions: []sim.Action{ask(1, sim.UnlockAsk), ask(6, sim.UnlockAsk)},
			faults:  []sim.Scheduled{kind(t, "stuck-lock-switch", map[string]float64{"end": 0}, from, 5)},
			locks: func(at float64, _ *sim.Inputs, out *sim.Outputs) { // home, and never permitted
				o := &out.Sides[model.Curbside]
				*o = sim.SideOutputs{Lamp: at < 1 || int(at/0.2)%2 == 0}
				if between(at, 1.1, 3.6) || between(at, 6.1, 8.6) {
					o.Drive = -1
				}
			}}
	}
	both(t, "recovery", "lock", s(0.5), s(4)) // it stuck while the bar was locked, or home
	// Within the tick in which the bar leaves its locked end: it cannot have come home so soon.
	r := s(4).rig(t)
	for r.Now < 5000 && r.Truck.Locks[model.Curbside].LockedEnd() {
		r.Advance()
	}
	left := float64(r.Now) * 1e-3
	both(t, "recovery", "lock", s(left-0.01), s(left))
}

// Where both switches are made at a boot, and that of the locked end lets go as the bar is driven
// back, the other may be the one that sticks. Where the bar was seen at home before, or the
// switch lets go beside a bar at rest, it is not.
func TestSwitchesThatAreBothMadeAtABoot(t *testing.T) {
	s := func(mended float64, actions ...sim.Action) story {
		return story{height: -1, seconds: 15, options: require.Options{HealedAt: 6500},
			actions: append(actions, ask(3, sim.UnlockAsk), ask(7, sim.UnlockAsk)),
			faults:  []sim.Scheduled{kind(t, "stuck-lock-switch", map[string]float64{"end": 1}, 0.5, mended)},
			locks: func(at float64, _ *sim.Inputs, out *sim.Outputs) { // never permitted
				o := &out.Sides[model.Curbside]
				*o = sim.SideOutputs{Lamp: int(at/0.2)%2 == 0}
				if between(at, 3.1, 5.6) || between(at, 7.1, 9.6) {
					o.Drive = -1
				}
			}}
	}
	reset := interrupt(1, 0.3)
	both(t, "recovery", "lock", s(3.3, reset), s(3.3))
	both(t, "recovery", "lock", s(3.3, reset), s(2.5, reset))
}

package require_test

import (
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/require"
)

const (
	holds    = require.Holds
	violated = require.Violated
	untested = require.NotExercised
	exempt   = require.Exempt
)

// onto closes from s = 0.6 (after a press at 0.5) until the edge has been pressed
// for cut s, and goes up turn s after it was pressed, for rise s. Negative: never.
func onto(cut, turn, rise float64) func(float64, *sim.Inputs, *sim.Outputs) {
	hit := -1.0
	return func(s float64, in *sim.Inputs, out *sim.Outputs) {
		if hit < 0 && in.Edge == sim.EdgePressed {
			hit = s
		}
		switch {
		case s < 0.6:
		case hit < 0 || cut < 0 || s < hit+cut:
			down(out)
		case turn >= 0 && between(s, hit+turn, hit+turn+rise):
			up(out)
		}
	}
}

func closing(t *testing.T, door func(float64, *sim.Inputs, *sim.Outputs), faults []sim.Scheduled) story {
	return story{height: 1.8, seconds: 14, actions: []sim.Action{press(0.5)}, door: door, faults: faults}
}

func TestCloseCut(t *testing.T) {
	good := closing(t, onto(0.3, 0.8, 6), crate(t, 1.0)).run(t)
	// The edge reads pressed some ms after 30 N are passed and at the next tick; the
	// contact opens 6 ms after its coil.
	good.says("close-cut", holds, "cut", 0.19, 0.02)

	bad := closing(t, onto(-1, -1, 0), crate(t, 1.0)).run(t)
	r := bad.is("close-cut", violated)
	if r.Bay != 0 || r.Clause != "cut" || r.Unit != "s" {
		t.Errorf("at bay %d, clause %s, in %s", r.Bay, r.Clause, r.Unit)
	}
	hit := r.At - 500
	if hit < 2400 || hit > 3200 {
		t.Errorf("contact at step %d, expected between 2.4 and 3.2 s", hit)
	}
	// Driven down to the end of the run.
	if want := 0.5 - float64(14000-hit)*1e-3; r.Margin < want-1e-9 || r.Margin > want+1e-9 {
		t.Errorf("margin %g, want %g", r.Margin, want)
	}

	late := closing(t, onto(0.6, 1.0, 6), crate(t, 1.0)).run(t)
	if r := late.is("close-cut", violated); r.Margin < -0.15 || r.Margin > -0.09 {
		t.Errorf("cut 0.6 s after the edge: margin %g", r.Margin)
	}
	closing(t, onto(0, 0, 0), nil).run(t).is("close-cut", untested)
	// The first 305 mm of the way down do not count.
	closing(t, onto(-1, -1, 0), crate(t, 1.6)).run(t).is("close-cut", untested)
}

func TestObstructionReversal(t *testing.T) {
	for _, c := range []struct {
		name         string
		turn, rise   float64
		verdict      require.Verdict
		clause       string
		margin, slop float64
	}{
		{"in time and all the way up", 0.8, 6, holds, "reverse", 1.17, 0.03},
		{"too late", 2.5, 6, violated, "reverse", -0.52, 0.05},
		{"never", -1, 0, violated, "reverse", -9, 1.2},
		{"too short a rise", 0.8, 0.15, violated, "open", -0.7, 0.15},
		{"stopped half way", 0.8, 1.2, violated, "open", -0.4, 0.2},
	} {
		t.Run(c.name, func(t *testing.T) {
			closing(t, onto(0.2, c.turn, c.rise), crate(t, 1.0)).run(t).says("obstruction-reversal", c.verdict, c.clause, c.margin, c.slop)
		})
	}
	t.Run("no obstruction", func(t *testing.T) {
		closing(t, onto(0, 0, 0), nil).run(t).is("obstruction-reversal", untested)
	})
	t.Run("released by a press", func(t *testing.T) {
		s := closing(t, onto(0.2, -1, 0), crate(t, 1.0))
		s.actions = append(s.actions, press(3.2))
		s.run(t).is("obstruction-reversal", untested)
	})
	t.Run("thinner than the seal", func(t *testing.T) {
		closing(t, onto(0.2, -1, 0), crate(t, 0.02)).run(t).is("obstruction-reversal", untested)
	})
	t.Run("held up on the way", func(t *testing.T) {
		s := closing(t, onto(0.2, 0.8, 2), crate(t, 1.0))
		s.faults = append(s.faults, kind(t, "leaning-cargo", map[string]float64{"force": 900}, 2.9, 0))
		s.run(t).is("obstruction-reversal", holds)
	})
	t.Run("no path up", func(t *testing.T) {
		s := closing(t, onto(0.2, 0.8, 6), crate(t, 1.0))
		s.faults = append(s.faults, kind(t, "open-motor-lead", nil, 2.0, 0))
		s.options.Faults = []require.Active{{Kind: "open-motor-lead", From: 2000}}
		s.run(t).is("close-cut", untested)
		s = closing(t, onto(0.2, 0.8, 6), crate(t, 1.0))
		s.faults = append(s.faults, kind(t, "welded-down-contact", nil, 2.0, 0))
		s.options.Faults = []require.Active{{Kind: "welded-down-contact", From: 2000}}
		v := s.run(t)
		v.is("close-cut", holds)
		if r := v.is("obstruction-reversal", exempt); r.Exemption == nil || r.Exemption.Fault != "welded-down-contact" {
			t.Errorf("exempted by %v", r.Exemption)
		}
	})
	t.Run("an exemption needs its fault", func(t *testing.T) {
		s := closing(t, onto(0.2, -1, 6), crate(t, 1.0))
		s.options.Faults = []require.Active{{Kind: "welded-down-contact", From: 13000}}
		s.run(t).is("obstruction-reversal", violated)
	})
}

func TestContactForce(t *testing.T) {
	stiff := []sim.Scheduled{kind(t, "obstruction", map[string]float64{"height": 1.0, "stiffness": 500e3}, 0, 0)}
	s := closing(t, onto(-1, -1, 0), stiff)
	s.run(t).is("contact-force", require.Measured)
	s.options.JudgeForce = true
	s.run(t).is("contact-force", violated)
	s.door = onto(0, 0.3, 6)
	s.run(t).is("contact-force", holds)
	s.door, s.faults = onto(0, 0.3, 6), nil
	s.run(t).is("contact-force", untested)
	// A curtain that stays lying on the crate: no peak, but the force stays.
	s.door, s.faults = onto(0.45, -1, 0), crate(t, 1.0)
	if r := s.run(t).is("contact-force", violated); r.Clause != "static" {
		t.Errorf("%s, margin %g N", r.Clause, r.Margin)
	}
}

func TestTravelTimeout(t *testing.T) {
	runs := func(from, to float64, drive func(*sim.Outputs)) story {
		return story{height: 0.5, seconds: 40, actions: []sim.Action{press(0.5)}, door: func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			if between(s, from, to) {
				drive(out)
			}
		}}
	}
	slowly := func(s story) story { // so that it is still on its way
		s.height, s.truck = -1, func(p *model.TruckParams) { p.Bays[0].Friction.Viscous = 1600 }
		return s
	}
	slowly(runs(0.6, 14.6, up)).run(t).says("travel-timeout", holds, "run", 1, 0.02)
	r := slowly(runs(0.6, 18.6, up)).run(t).says("travel-timeout", violated, "run", -3, 0.02)
	if r.At < 15600 || r.At > 15640 {
		t.Errorf("violated at step %d, expected 15 s after the start", r.At)
	}
	runs(0.6, 0.6, up).run(t).is("travel-timeout", untested)

	// Driven on at the open stop.
	if r := runs(0.6, 6, up).run(t).is("travel-timeout", holds); r.Clause != "stands" || r.Margin < 0.1 || r.Margin > 1.5 {
		t.Errorf("%s, margin %g", r.Clause, r.Margin)
	}
	if r := runs(0.6, 9, up).run(t).is("travel-timeout", violated); r.Clause != "stands" || r.Margin > -1 || r.At < 6000 || r.At > 8000 {
		t.Errorf("%s, margin %g at %d", r.Clause, r.Margin, r.At)
	}

	stuck := runs(0.6, 1.6, down) // stops short of the floor and is never turned up
	stuck.height = 1.8
	r = stuck.run(t).says("travel-timeout", violated, "turn", -9.4, 0.1)
	if r.At < 30600 || r.At > 30640 {
		t.Errorf("violated at step %d, expected 30 s after the start", r.At)
	}
	stuck.actions = append(stuck.actions, press(20))
	stuck.run(t).says("travel-timeout", holds, "turn", 10.5, 0.3)
}

func TestStopOnPress(t *testing.T) {
	s := func(off float64, second func(*sim.Outputs)) story {
		return story{height: 0.5, seconds: 6, actions: []sim.Action{press(0.5), press(2), press(4)},
			door: func(s float64, _ *sim.Inputs, out *sim.Outputs) {
				switch {
				case between(s, 0.6, 2.05+off): // the press is decoded at 2.05 s
					up(out)
				case s >= 4.1 && s < 4.6:
					second(out)
				}
			}}
	}
	s(0.01, up).run(t).says("stop-on-press", holds, "off", 0.034, 0.011)
	s(0.12, up).run(t).says("stop-on-press", violated, "off", -0.076, 0.011)
	s(0.01, down).run(t).says("stop-on-press", violated, "next", -1, 0)
	// The interlock stops it as a press would.
	barred := story{height: 0.5, seconds: 6, actions: []sim.Action{press(0.5), press(4)}}
	barred.locks = func(s float64, _ *sim.Inputs, out *sim.Outputs) { out.Sides[0].Permit = !between(s, 2, 3) }
	after := func(second func(*sim.Outputs)) verdicts {
		barred.door = func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			switch {
			case between(s, 0.6, 2.05):
				up(out)
			case between(s, 4.1, 4.6):
				second(out)
			}
		}
		return barred.run(t)
	}
	after(up).says("stop-on-press", holds, "next", 1, 0)
	after(down).says("stop-on-press", violated, "next", -1, 0)
	none := s(0.01, up)
	none.actions = none.actions[:1]
	none.run(t).is("stop-on-press", untested)
}

func TestNoSurprise(t *testing.T) {
	height := 0.9
	s := func(actions []sim.Action, door func(s float64, in *sim.Inputs, out *sim.Outputs)) verdicts {
		return story{height: height, seconds: 6, actions: actions, door: door}.run(t)
	}
	run := func(from, to float64, drive func(*sim.Outputs)) func(float64, *sim.Inputs, *sim.Outputs) {
		return func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			out.Lamp = s < from && int(s/0.2)%2 == 0 // a press is answered already
			if between(s, from, to) {
				drive(out)
			}
		}
	}
	s([]sim.Action{press(0.5)}, run(0.6, 1.5, up)).says("no-surprise", holds, "start", 0.93, 0.03)
	s(nil, run(0.6, 1.5, up)).says("no-surprise", violated, "start", -10, 0)
	s([]sim.Action{press(0.5)}, run(2.0, 2.5, up)).says("no-surprise", violated, "start", -0.46, 0.03)
	s(nil, run(0, 0, up)).is("no-surprise", untested)
	height = 1.78
	reverse := func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		if between(s, 0.6, 1.5) {
			down(out)
		} else if between(s, 2, 3) {
			up(out)
		}
		out.Lamp = between(s, 0.6, 3)
	}
	s([]sim.Action{press(0.5)}, reverse).is("no-surprise", holds)
	// A closing run that a press has stopped is not reversed.
	s([]sim.Action{press(0.5), press(1.4)}, reverse).is("no-surprise", violated)
	// Nor does one resume after a restart.
	again := func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		if between(s, 0.6, 4) {
			up(out)
		}
	}
	v := s([]sim.Action{press(0.5), interrupt(1.0, 0.2)}, again)
	v.is("no-surprise", violated)
	v.is("supply-guard", holds)
	// A supply that fails for a few ms while the contacts fall is nobody's start,
	// though the controller restarts.
	blip := func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		if between(s, 0.6, 1.02) {
			up(out)
		}
	}
	s([]sim.Action{press(0.5), interrupt(1.0, 0.003)}, blip).is("no-surprise", holds)
}

// The lamp of a door that runs is lit or flashes; that of one that rests is out.
func TestDoorLamp(t *testing.T) {
	held := []sim.Action{press(0.5)}
	s := func(lamp func(s float64) bool) verdicts {
		return story{height: 0.3, seconds: 9, actions: held, door: func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			if between(s, 0.6, 3.6) {
				up(out)
			}
			out.Lamp = lamp(s)
		}}.run(t)
	}
	runs := func(s float64) bool { return between(s, 0.6, 3.6) }
	s(runs).is("no-surprise", holds)
	s(func(s float64) bool { return runs(s) && int(s/0.2)%2 == 0 }).says("no-surprise", violated, "manner", -0.11, 0.02)
	s(func(float64) bool { return false }).says("no-surprise", violated, "manner", -2.88, 0.02)
	held = append(held, teach(0.2, 1)) // a teaching may flash
	s(func(s float64) bool { return runs(s) && int(s/0.2)%2 == 0 }).says("no-surprise", holds, "lamp", 0.3, 0.02)
	s(func(s float64) bool { return between(s, 0.5, 0.6) }).says("no-surprise", violated, "lamp", -2.48, 0.02)
	held = held[:1]
	s(func(float64) bool { return true }).says("no-surprise", violated, "lamp", -2.9, 0.05)
	s(func(s float64) bool { return runs(s) || s > 3.6 && int(s/0.2)%2 == 0 }).is("no-surprise", holds)
	s(func(s float64) bool { return s > 0.5 && s < 5 }).is("no-surprise", holds) // a refusal may be told for 2 s
}

func TestDeadTime(t *testing.T) {
	s := func(gap float64) verdicts {
		return story{height: 0.9, seconds: 4, actions: []sim.Action{press(0.5)}, door: func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			switch {
			case between(s, 0.6, 1.5):
				down(out)
			case between(s, 1.5+gap, 3):
				up(out)
			}
		}}.run(t)
	}
	// Contacts make 10 ms and break 6 ms after their coils.
	s(0.2).says("dead-time", holds, "gap", 0.104, 0.002)
	s(0.05).says("dead-time", violated, "gap", -0.046, 0.002)
	s(9).is("dead-time", untested)
}

func TestSupplyGuard(t *testing.T) {
	start := func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		if between(s, 0.6, 1.2) {
			up(out)
		}
	}
	sag := func(factor float64) sim.Action {
		return sim.Action{At: 0, Kind: sim.Interrupt, Span: 60000, Factor: factor}
	}
	s := story{height: 0.5, seconds: 3, door: start}
	s.actions = []sim.Action{press(0.5)}
	s.run(t).says("supply-guard", holds, "start", 1.7, 0.1)
	s.actions = []sim.Action{press(0.5), sag(0.85)}
	s.run(t).says("supply-guard", violated, "start", -0.2, 0.1)
	s.options.Faults = []require.Active{{Kind: "wrong-supply-reading"}}
	s.run(t).is("supply-guard", exempt)
	s.options.Faults = nil
	s.actions = nil // no press, no start caused by one
	s.run(t).is("supply-guard", untested)
	s.actions = []sim.Action{press(0.5), interrupt(1.0, 0.5)}
	s.run(t).says("supply-guard", holds, "brown-out", 0.045, 0.01)
}

func TestSlackLimit(t *testing.T) {
	s := func(span float64) verdicts {
		return story{height: 1.75, seconds: 5, actions: []sim.Action{press(0.5)},
			faults: []sim.Scheduled{kind(t, "leaning-cargo", map[string]float64{"force": 900}, 0, 0)},
			door: func(s float64, _ *sim.Inputs, out *sim.Outputs) {
				if between(s, 0.6, 0.6+span) {
					down(out)
				}
			}}.run(t)
	}
	if r := s(0.3).is("slack-limit", holds); r.Margin < 0.02 || r.Margin > 0.12 {
		t.Errorf("margin %g m", r.Margin)
	}
	if r := s(1.0).is("slack-limit", violated); r.Margin > -0.1 || r.At < 900 || r.At > 1300 {
		t.Errorf("margin %g m at step %d", r.Margin, r.At)
	}
	s(0).is("slack-limit", untested)
}

func TestService(t *testing.T) {
	s := func(from, to float64, drive func(*sim.Outputs)) story {
		return story{height: -1, seconds: 14, actions: []sim.Action{press(1.5)}, options: require.Options{Rated: true},
			door: func(s float64, _ *sim.Inputs, out *sim.Outputs) {
				if between(s, from, to) {
					drive(out)
				}
			}}
	}
	if r := s(1.6, 7.5, up).run(t).is("service", holds); r.Clause != "arrives" || r.Margin < 5 || r.Margin > 7.5 {
		t.Errorf("%s, margin %g", r.Clause, r.Margin)
	}
	s(9, 9, up).run(t).says("service", violated, "arrives", -11.7, 0.1)
	teaching(t)
	s(1.6, 4, up).run(t).is("service", violated)
	unrated := s(9, 9, up)
	unrated.options.Rated = false
	unrated.run(t).is("service", untested)
	released := s(9, 9, up)
	released.actions = append(released.actions, press(8))
	released.run(t).is("service", untested)

	falsely := s(0, 0, up)
	falsely.height = 1.8
	falsely.door = func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		switch {
		case between(s, 1.6, 3):
			down(out)
		case between(s, 3.5, 6):
			up(out)
		case between(s, 6.5, 12):
			down(out)
		}
	}
	falsely.run(t).says("service", violated, "reversal", -1, 0)

	loud := s(0, 0, up)
	loud.door = func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		if between(s, 1.6, 7.5) {
			up(out)
		}
		beep(s, 3, 4, out)
	}
	loud.run(t).says("service", violated, "quiet", -1, 0)
}

func TestRecovery(t *testing.T) {
	s := func(door func(s float64, in *sim.Inputs, out *sim.Outputs), healed int64, presses ...float64) verdicts {
		r := story{height: -1, seconds: 75, door: door, options: require.Options{HealedAt: healed}}
		for _, at := range presses {
			r.actions = append(r.actions, press(at))
		}
		return r.run(t)
	}
	cycle := func(opens, closes float64) func(float64, *sim.Inputs, *sim.Outputs) {
		return func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			switch {
			case between(s, opens, opens+6):
				up(out)
			case between(s, closes, closes+6):
				down(out)
			}
		}
	}
	s(cycle(2.1, 20.1), 1000, 2, 20).says("recovery", holds, "door", 1, 0)
	s(cycle(20.1, 40.1), 1000, 2, 20, 40).says("recovery", holds, "door", 0, 0)
	s(cycle(90, 90), 1000, 2, 20, 40).says("recovery", violated, "door", -1, 0)
	s(cycle(90, 90), 1000, 2, 20).is("recovery", violated)
	s(cycle(90, 90), 1000, 2).is("recovery", untested)
	s(cycle(2.1, 20.1), 0, 2, 20).is("recovery", untested)
}

// The witness of the exemptions for a missing path up: none of the states that the
// three coils can ask for puts voltage for up on the motor.
func TestNoPathUp(t *testing.T) {
	for _, name := range []string{"open-motor-lead", "welded-down-contact", "open-up-contact", "open-enable-contact"} {
		r := story{height: 0.9, seconds: 100, faults: []sim.Scheduled{kind(t, name, nil, 0, 0)}}.rig(t)
		r.door.do = nil
		r.Advance()
		for coils := range 8 {
			r.door.do = func(_ float64, _ *sim.Inputs, out *sim.Outputs) {
				out.Up, out.Down, out.Enable = coils&1 != 0, coils&2 != 0, coils&4 != 0
			}
			for range 10 {
				r.Advance()
				if r.Truck.Bays[0].Energised > 0 {
					t.Errorf("%s: coils %03b drive up", name, coils)
				}
			}
		}
	}
}

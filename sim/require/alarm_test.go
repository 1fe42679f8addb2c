package require_test

import (
	"testing"

	"slatbench/model"
	"slatbench/sim"
)

// sounding is a door that runs by do and sounds alarm n at s0.
func sounding(n int, s0 float64, do func(float64, *sim.Outputs)) func(float64, *sim.Inputs, *sim.Outputs) {
	return func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		do(s, out)
		if n > 0 {
			beep(s, s0, n, out)
		}
	}
}

func running(from, to float64, drive func(*sim.Outputs)) func(float64, *sim.Outputs) {
	return func(s float64, out *sim.Outputs) {
		if between(s, from, to) {
			drive(out)
		}
	}
}

func TestAlarmSituations(t *testing.T) {
	lean := func(from float64) []sim.Scheduled {
		return []sim.Scheduled{kind(t, "leaning-cargo", map[string]float64{"force": 900}, from, 0)}
	}
	one := []sim.Action{press(0.5)}
	low := append([]sim.Action{{Kind: sim.Interrupt, Span: 60000, Factor: 0.83}}, one...)
	cases := []struct {
		name    string
		story   story
		do      func(float64, *sim.Outputs)
		at      float64 // when the situation has come about
		alarm   int     // that serves
		another int     // that does not
	}{
		{"slow travel", story{height: 0, actions: one}, func(s float64, out *sim.Outputs) {
			if between(s, 0.6, 11) {
				up(out)
			}
		}, 8.85, 1, 5},
		{"stalled opening", story{height: 0.3, actions: one, faults: lean(1.5)}, running(0.6, 2.2, up), 2.25, 2, 3},
		{"no motion opening", story{height: 0.3, actions: one, faults: lean(0)}, running(0.6, 1.2, up), 1.25, 5, 4},
		{"held up and not cut", story{height: 0.3, actions: one, faults: lean(0)}, running(0.6, 8, up), 1.4, 5, 4},
		{"closing ended short", story{height: 1.8, actions: one, faults: crate(t, 1.0)}, running(0.6, 3.0, down), 3.05, 3, 2},
		{"closing, curtain hung up", story{height: 1.7, actions: one, faults: lean(0)}, running(0.6, 6, down), 1.4, 5, 2},
		{"motor lead off", story{height: 0.3, actions: one, faults: []sim.Scheduled{kind(t, "open-motor-lead", nil, 0, 0)}}, running(0.6, 3, up), 1.0, 5, 6},
		{"refused, supply low", story{height: 0.3, actions: low}, running(9, 9, up), 1.2, 6, 7},
		{"refused", story{height: 0.3, actions: one, faults: []sim.Scheduled{kind(t, "open-edge-wire", nil, 0, 0)}}, running(9, 9, up), 1.2, 7, 2},
		{"edge wire off", story{height: 1.8, actions: append([]sim.Action{}, press(1.5)), faults: []sim.Scheduled{kind(t, "open-edge-wire", nil, 0, 0)}},
			running(1.6, 7.5, down), 1.65, 7, 6},
	}
	for _, c := range cases {
		s := c.story
		s.seconds = 22
		if c.name == "slow travel" {
			s.truck = func(p *model.TruckParams) { p.Bays[0].Friction.Viscous = 400 }
		}
		t.Run(c.name, func(t *testing.T) {
			s.door = sounding(c.alarm, c.at+0.3, c.do)
			if r := s.run(t).is("alarm", holds); r.Clause != "sounds" || r.Margin < 0.3 || r.Margin > 1 {
				t.Errorf("in time: %s, margin %.3f", r.Clause, r.Margin)
			}
			s.door = sounding(0, 0, c.do)
			if r := s.run(t).is("alarm", violated); r.Clause != "sounds" || r.Margin > -9 || float64(r.At) < (c.at+0.8)*1000 || float64(r.At) > (c.at+1.2)*1000 {
				t.Errorf("silent: %s, margin %.3f at %d", r.Clause, r.Margin, r.At)
			}
			s.door = sounding(c.alarm, c.at+1.5, c.do)
			if r := s.run(t).is("alarm", violated); r.Clause != "sounds" || r.Margin < -0.75 || r.Margin > -0.25 {
				t.Errorf("late: %s, margin %.3f", r.Clause, r.Margin)
			}
			s.door = sounding(c.another, c.at+0.3, c.do)
			s.run(t).is("alarm", violated)
		})
	}
}

func TestAlarmAtTheLock(t *testing.T) {
	s := story{height: -1, seconds: 10, faults: blocked(t)}
	with := func(n int, at float64) func(float64, *sim.Inputs, *sim.Outputs) {
		drive := bar(1, 3, 3.1, 5, true, 0)
		return func(s float64, in *sim.Inputs, out *sim.Outputs) {
			drive(s, in, out)
			beep(s, at, n, out)
		}
	}
	s.locks = with(8, 3.3)
	s.run(t).says("alarm", holds, "sounds", 0.7, 0.02)
	s.locks = with(0, 0)
	if r := s.run(t).is("alarm", violated); r.Bay != -1 || r.Side != -1 {
		t.Errorf("bay %d, side %d", r.Bay, r.Side)
	}
	s.locks, s.faults = with(8, 0.2), nil
	s.locks = func(s float64, _ *sim.Inputs, out *sim.Outputs) { beep(s, 1, 8, out) }
	s.run(t).says("alarm", violated, "false", -10, 0)
}

func TestAlarmsOutOfNothing(t *testing.T) {
	// A full opening and closing, unfaulted, with nothing to tell.
	cycle := func(s float64, out *sim.Outputs) {
		switch {
		case between(s, 0.6, 6.3):
			up(out)
		case between(s, 8.1, 12.72):
			down(out)
		}
	}
	s := story{height: -1, seconds: 18, actions: []sim.Action{press(0.5), press(8)}}
	s.door = sounding(0, 0, cycle)
	s.run(t).is("alarm", untested)
	for n := 1; n <= 10; n++ {
		for _, at := range []float64{3, 11} {
			s.door = sounding(n, at, cycle)
			if r := s.run(t).is("alarm", violated); r.Clause != "false" || r.At < int64(at*1000)-20 || r.At > int64(at*1000)+20 {
				t.Errorf("alarm %d at %g s: %s at %d, %v", n, at, r.Clause, r.At, r.Margin)
			}
		}
	}
	// The same alarm soon after its situation, and again as a repetition.
	crash := func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		running(0.6, 3, down)(s, out)
		beep(s, 3.2, 3, out)
		beep(s, 9, 3, out)
	}
	story{height: 1.8, seconds: 14, actions: []sim.Action{press(0.5)}, faults: crate(t, 1), door: crash}.run(t).is("alarm", holds)
}

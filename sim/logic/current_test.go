package logic_test

import (
	"testing"

	"slatbench/sim"
)

func TestCurrentWhileClosing(t *testing.T) {
	r := closing(t, baseline(t), 300) // 1.5 m
	r.in.Current = amps(9)
	for r.height > 262 { // above 1.3 m the drive winds its own spring up
		r.step()
	}
	r.is("closing")
	r.in.Current = amps(3)
	for r.height > 200 {
		r.step()
	}
	r.in.Current = amps(5.5)
	r.wait(0.3)
	r.is("closing")
	r.in.Current = amps(7)
	r.wait(0.05)
	r.in.Current = amps(3) // a break: it begins anew
	r.step()
	r.in.Current = amps(7)
	r.about("current time", r.until("pausing", 1), 0.080, 0.005)
	r.in.Current = 0
	r.hears(sim.ObstructionClosing)
}

// The sensor sees the current before the chopper: at 45 % a motor that takes 7 A takes 3.2 A.
func TestCurrentIsScaledToTheDuty(t *testing.T) {
	r := closing(t, baseline(t), 40)
	r.is("landing")
	if r.out.Duty != 45 {
		t.Fatalf("duty %d %%, expected 45", r.out.Duty)
	}
	r.in.Current = amps(2.5)
	r.wait(0.15)
	r.is("landing")
	r.in.Current = amps(3.2)
	r.until("pausing", 0.1)
	r.in.Current = 0
	r.hears(sim.ObstructionClosing)
}

// slowly is a door that has come down slowly to a height in pulses: with a bad edge, or teaching.
func slowly(t *testing.T, teach bool, to int) (r *rig, next string) {
	t.Helper()
	r = newRig(t, baseline(t), rigTravel)
	state := "creeping"
	if r.rate, next = 30, "pausing"; teach {
		r.in.Teach, state, next = true, "measuring down", "giving up"
	} else {
		r.in.Edge = sim.EdgeOpenWire
	}
	r.press()
	for r.height > to {
		if r.wait(r.tick); r.now > 2000 {
			t.Fatalf("not down to %d pulses in 20 s: %q", to, r.door.State())
		}
	}
	r.is(state)
	return r, next
}

// A door that comes slowly presses what is soft for longer. Its current is watched all the way.
func TestCurrentWhileClosingSlowlyHighUp(t *testing.T) {
	for _, teach := range []bool{false, true} {
		r, next := slowly(t, teach, 310)
		r.in.Current = amps(0.45 * 2)
		for r.height > 300 { // 1.5 m
			r.step()
		}
		r.in.Current = amps(0.45 * 7)
		r.about("current time", r.until(next, 0.2), 0.080, 0.005)
	}
}

// Its speed is watched as well, but for where the seal may slow it down.
func TestSlowDoorThatSlowsDown(t *testing.T) {
	for _, teach := range []bool{false, true} {
		for _, sill := range []bool{false, true} {
			r, next := slowly(t, teach, 100)
			here := r.door.State()
			r.in.Sill, r.rate = sill, 20
			r.wait(0.5)
			r.is(here) // two thirds of the speed that it has had
			if r.rate = 10; sill {
				next = here
			}
			r.wait(0.2)
			r.is(next)
		}
	}
}

func TestInrushIsNotWatched(t *testing.T) {
	r := newRig(t, baseline(t), 100)
	r.in.Current = amps(25)
	r.press()
	r.wait(0.2)
	r.is("opening")
	r.in.Current = amps(4)
	r.until("open", 6)
	r.hears()
}

// A contact that opens for a moment, or a lead that is loose, leaves a motor without current;
// what it takes at once when that comes back is the inrush of another start. It is watched
// again once that is over, and after 'current after' at the latest.
func TestInrushOfAContactThatComesBack(t *testing.T) {
	for _, c := range []struct {
		name         string
		dead, rising float64 // s without current, and at 4 A after it
		hot          float64 // s at 8 A after that
		want         string
	}{
		{"it comes back", 0.05, 0, 0.30, "closing"},
		{"it takes too long", 0.05, 0, 0.50, "pausing"},
		{"not straight from nothing", 0.05, 0.03, 0.10, "pausing"},
		{"never gone", 0, 0, 0.10, "pausing"},
	} {
		r := closing(t, baseline(t), 240)
		for _, part := range []struct{ amps, seconds float64 }{{0.5, 0.1}, {0, c.dead}, {4, c.rising}, {8, c.hot}} {
			r.in.Current = amps(part.amps)
			r.wait(part.seconds)
		}
		if got := r.door.State(); got != c.want {
			t.Errorf("%s: %s, expected %s", c.name, got, c.want)
		}
	}
}

// A curtain that outweighs its spring drives its motor, which takes nothing. Where that takes current again, and
// soon more, something bears the curtain. So it does not where the spring comes to carry it little by
// little, where a contact was open, or where a motor was driven for no longer than its speed took to fall.
func TestCurtainThatIsBorne(t *testing.T) {
	const held = "pausing"
	for _, c := range []struct {
		name  string
		fast  float64   // A while it closes fast
		steps []float64 // A, for 40 ms each, while it lands
		want  string
	}{
		{"borne", 0, []float64{0, 0, 0.1, 0.2, 0.3}, held},
		{"by its spring", 0, []float64{0, 0, 0.1, 0.1, 0.1, 0.2, 0.3, 0.3}, "landing"},
		{"a contact that was open", 0, []float64{0, 0, 0.3, 0.3, 0.3, 0.3}, "landing"},
		{"slowed down", 1.2, []float64{0, 0, 0, 0, 0.1, 0.2, 0.3, 0.3}, "landing"},
		{"borne, and light when fast", 1.2, []float64{0, 0, 0, 0, 0, 0, 0, 0, 0, 0.1, 0.2, 0.3}, held},
	} {
		table := baseline(t)
		r := closing(t, table, 200)
		r.in.Current = amps(c.fast)
		r.until("landing", 4)
		for _, a := range c.steps {
			r.in.Current = amps(a)
			r.wait(0.04)
		}
		if got := r.door.State(); got != c.want {
			t.Errorf("%s: %s, expected %s", c.name, got, c.want)
		}
	}
}

// Slowly as well a curtain that falls off to less than half its speed has met something, but where the sill switch says
// that it is the seal.
func TestSlowedWhileLanding(t *testing.T) {
	for sill, want := range map[bool]string{false: "pausing", true: "landing"} {
		r := closing(t, baseline(t), 48)
		r.rate = 34
		r.wait(0.5)
		r.is("landing")
		r.rate, r.in.Sill = 9, sill
		r.wait(0.14)
		r.is(want)
	}
}

func TestCurrentWhileOpening(t *testing.T) {
	r := opening(t, baseline(t), 150)
	r.in.Current = amps(15)
	r.wait(0.5)
	r.is("opening")
	r.rate, r.in.Current = 0, amps(17)
	r.about("no pulse", r.until("between", 1), 0.10, 0.02)
	r.hears(sim.StalledOpening)
}

// A jam that hardly lets the door by makes its motor labour, and pulses come yet: it is let go on
// for a while, and where it does not come free it is held up, but not by the stop. So is a door that
// looks for the stop, which stands there.
func TestJamThatLetsTheDoorBy(t *testing.T) {
	for _, c := range []struct {
		known        bool
		rate, labour float64 // pulses a second; s, after which the door is free again
		after        float64 // s, after which it is held up
		want         string
	}{
		{true, 12, 0.6, 0, "opening"}, {true, 12, 9, 0.8, "between"}, {true, 0, 9, 0.1, "between"},
		{false, 12, 0.6, 0, "homing"}, {false, 12, 9, 0.8, "between"}, {false, 0, 9, 0.1, "open"},
	} {
		r := newRig(t, baseline(t), 100)
		if !c.known { // it has moved at rest
			r.pulsesAtRest(60, 61, 62, 63)
		}
		r.press()
		r.in.Current = amps(6)
		r.wait(1)
		r.rate, r.in.Current = c.rate, amps(17)
		if c.after == 0 {
			r.wait(c.labour)
			r.rate, r.in.Current = 70, amps(6)
			r.wait(0.5)
			r.is(c.want)
			continue
		}
		r.about(c.want, r.until(c.want, 1.5), c.after, 0.04)
		r.hears(sim.StalledOpening)
	}
}

// A jam that lets the door by so slowly that a pulse comes every 200 ms only: the motor labours, by its voltage, and takes
// less than 'opening current'. That is no stop, which gives no pulse for 250 ms, whether the door looks for it or is taught.
func TestJamThatLetsTheDoorByVerySlowly(t *testing.T) {
	for _, c := range []struct {
		rate  float64 // pulses a second
		teach bool
		want  string
		alarm []sim.Alarm
	}{
		{5, false, "between", []sim.Alarm{sim.StalledOpening}}, {0, false, "open", []sim.Alarm{sim.StalledOpening}},
		{5, true, "between", []sim.Alarm{sim.EarlyFloor, sim.SelfTest}}, {0, true, "open", []sim.Alarm{sim.EarlyFloor, sim.StalledOpening}},
	} {
		r := newRig(t, baseline(t), 100)
		if c.teach {
			r.in.Teach, r.in.Sill, r.in.Edge = true, true, sim.EdgePressed
		} else { // it has moved at rest
			r.pulsesAtRest(60, 61, 62, 63)
		}
		r.press()
		if r.in.Teach = false; c.teach {
			r.until("measuring up", 1)
			r.in.Sill, r.in.Edge = false, sim.EdgeFree
		}
		r.in.Current = amps(6)
		r.wait(3)
		r.rate, r.in.Current = c.rate, amps(13)
		if !c.teach { // at full duty it takes so much on a low supply
			r.in.Supply, r.in.Current = volts(9.6), amps(13.5)
		}
		r.until(c.want, 1.2)
		r.in.Current, r.rate = 0, 0
		r.wait(2)
		r.hears(c.alarm...)
	}
}

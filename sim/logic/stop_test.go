package logic_test

import (
	"testing"

	"slatbench/sim"
)

// A travel that is shorter than the record is stored, and said aloud: it may be a jam.
func TestTeachingOnTheRig(t *testing.T) {
	for _, c := range []struct {
		top   int // pulses
		alarm []sim.Alarm
	}{{355, nil}, {300, []sim.Alarm{sim.StalledOpening}}} {
		r := newRig(t, baseline(t), 300)
		r.in.Teach = true
		r.press()
		r.is("measuring down")
		r.in.Teach = false
		for r.height > 0 {
			r.step()
		}
		r.in.Sill, r.in.Edge = true, sim.EdgePressed
		r.until("turning", 0.1)
		floor := r.height
		r.in.Edge = sim.EdgeFree
		r.until("measuring up", 1)
		r.in.Sill = false
		for r.height < c.top {
			r.step()
		}
		r.rate = 0
		r.in.Current = amps(14)
		r.until("open", 1)
		r.in.Current = 0
		r.wait(1)
		if got, ok := r.door.Taught(&r.store); !ok || got != c.top-floor {
			t.Errorf("taught %d, %v, expected %d", got, ok, c.top-floor)
		}
		r.hears(c.alarm...)
	}
}

func TestTooShortATravelIsNotTaught(t *testing.T) {
	for _, c := range []struct {
		sill bool // it sticks
		want sim.Alarm
	}{{false, sim.StalledOpening}, {true, sim.SelfTest}} {
		r := measuringUp(t, 30)
		for r.height < 100 { // half a metre, then held
			r.step()
		}
		r.in.Sill = c.sill
		r.rate = 0
		r.until("between", 1)
		if got, ok := r.door.Taught(&r.store); !ok || got != rigTravel {
			t.Errorf("taught %d, %v, expected the old %d", got, ok, rigTravel)
		}
		r.hears(c.want)
	}
}

// A stop is believed only where the motor stands against it, and the sill switch is open.
func TestTravelIsStoredOnlyAtTheStop(t *testing.T) {
	for _, c := range []struct {
		amps  float64
		sill  bool
		state string
	}{{14, false, "open"}, {14, true, "between"}, {3, false, "between"}, {0, false, "between"}} {
		r := measuringUp(t, 30)
		for r.height < 340 {
			r.step()
		}
		r.in.Sill, r.in.Current = c.sill, amps(c.amps)
		r.rate = 0
		r.until(c.state, 1)
		r.wait(1)
		if got, _ := r.door.Taught(&r.store); (got != rigTravel) != (c.state == "open") {
			t.Errorf("%g A, sill made %v: taught %d", c.amps, c.sill, got)
		}
	}
}

// Home is where the motor stands, unless the count says that it is the top anyway.
func TestHomingBelievesTheStop(t *testing.T) {
	for _, c := range []struct {
		climb int // pulses
		amps  float64
		sill  bool
		state string
		alarm []sim.Alarm
	}{
		{150, 14, false, "open", []sim.Alarm{sim.StalledOpening}}, {150, 14, true, "between", []sim.Alarm{sim.StalledOpening}},
		{150, 1, false, "between", []sim.Alarm{sim.StalledOpening}}, {rigTravel, 14, false, "open", nil},
		{rigTravel, 1, false, "open", []sim.Alarm{sim.StalledOpening}}, {rigTravel, 0.3, false, "open", []sim.Alarm{sim.StalledOpening}},
		{rigTravel, 0, false, "open", []sim.Alarm{sim.SelfTest}}, // no motor takes nothing: the sensor is dead
	} {
		r := newRig(t, baseline(t), 0)
		r.in.Sill = false // down by the record, and not by the switch
		r.door.PowerOn(&r.store)
		r.wait(0.5)
		r.press()
		r.is("homing")
		for r.height < c.climb {
			r.step()
		}
		r.rate, r.in.Sill, r.in.Current = 0, c.sill, amps(c.amps)
		r.until(c.state, 1)
		r.in.Current = 0
		r.hears(c.alarm...)
	}
}

// A reel that sticks gives no pulses on the way up from an obstruction.
func TestRisingOnTheCurrentAlone(t *testing.T) {
	for _, c := range []struct {
		amps float64
		want string
	}{{4, "rising"}, {0.7, "between"}, {12, "between"}} {
		r := closing(t, baseline(t), 200)
		r.in.Edge = sim.EdgePressed
		r.step()
		r.in.Edge, r.rate, r.in.Current = sim.EdgeFree, 0, amps(c.amps)
		r.wait(2)
		r.is(c.want)
	}
}

// A door that looks for its stop goes on where its motor lifts and pulses fail: it does not ask the
// pulses for the stop. A teaching that has met something and knows no count goes up like that.
func TestHomingOnTheCurrentAlone(t *testing.T) {
	for _, c := range []struct {
		climb int // pulses, before they fail
		amps  float64
		want  string
		alarm sim.Alarm
	}{
		{0, 4, "homing", sim.NoMotion}, {150, 4, "homing", sim.StalledOpening},
		{0, 0.7, "between", sim.NoMotion}, {150, 0.7, "between", sim.StalledOpening},
	} {
		r := newRig(t, baseline(t), 0)
		r.in.Sill = false
		r.door.PowerOn(&r.store)
		r.wait(0.5)
		if c.climb == 0 {
			r.rate = 0
		}
		r.press()
		for r.height < c.climb {
			r.step()
		}
		r.rate, r.in.Current = 0, amps(c.amps)
		r.wait(2)
		r.is(c.want)
		if c.want == "homing" {
			r.in.Current = amps(17)
			r.until("open", 0.2)
		}
		r.hears(c.alarm)
	}
}

// A curtain that falls with the release open counts as one that rises. Where it lies the pulses
// stop, and the count may say that this is the top: a motor that drives nothing says that it is not.
func TestTopIsNotBelievedOfAMotorThatDrivesNothing(t *testing.T) {
	told, untold := []sim.Alarm{sim.ObstructionClosing, sim.StalledOpening}, []sim.Alarm{sim.ObstructionClosing}
	for _, c := range []struct {
		amps  float64
		state string
		alarm []sim.Alarm
	}{
		{0.7, "between", told}, {4, "open", untold}, {14, "open", untold},
		{0, "open", untold}, // the sensor is dead: that says nothing
	} {
		r := closing(t, baseline(t), 200)
		r.in.Edge = sim.EdgePressed
		r.step()
		r.in.Edge, r.in.Current = sim.EdgeFree, amps(c.amps)
		r.until(c.state, 6)
		r.in.Current = 0
		r.hears(c.alarm...)
		r.press()
		if c.state == "between" {
			r.is("homing") // nor is the count
		}
	}
}

package logic_test

import (
	"testing"

	"slatbench/sim"
)

// tooLow is a rig without an edge whose curtain has met something on its way down, and was thrown back from
// there: so many pulses that came once its drive was cut were counted down.
func tooLow(t *testing.T, thrown int) *rig {
	t.Helper()
	r := newRig(t, baseline(t), rigTravel-5)
	r.in.EdgeFitted = false
	r.press()
	for r.height > 300 {
		r.step()
	}
	r.rate = 25 // it slows down
	r.until("pausing", 1)
	for range thrown {
		r.in.Pulses = 1
		r.raw()
		r.height++
	}
	r.rate = 70
	r.until("rising", 1)
	return r
}

// held lets the curtain stand at a height, its motor labouring.
func (r *rig) held(at int) {
	r.t.Helper()
	for r.height < at {
		r.step()
	}
	r.rate, r.in.Current = 0, amps(17)
}

// The stop lies below the stop, by a count that is too low: it may be a jam, and is told of, but the next press
// looks for the stop, and the one after it closes the door. Believed, the count would call it a jam at every press.
func TestStopBelowTheStopByACountThatMayBeTooLow(t *testing.T) {
	for _, c := range []struct {
		thrown, below int // of the stop, in truth
		then          string
	}{
		{7, 0, "homing"},
		{7, 12, "homing"},  // a jam that nothing tells from it
		{7, 20, "opening"}, // by no count the stop
		{3, 12, "opening"}, // any count is off by so much
		{0, 20, "opening"},
	} {
		r := tooLow(t, c.thrown)
		r.held(rigTravel - c.below)
		r.until("between", 1)
		r.hears(sim.ObstructionClosing, sim.StalledOpening)
		r.press()
		r.is(c.then)
		if c.then == "homing" {
			r.until("open", 2)
			r.is("open")
		}
	}
}

// Nor is such a count put on record while the door lies in between, and a stop that it confirms sets nothing in doubt.
func TestCountThatMayBeTooLow(t *testing.T) {
	for thrown, want := range map[int]string{7: "homing", 3: "opening"} {
		r := tooLow(t, thrown)
		r.press()
		r.wait(1)
		r.door.PowerOn(&r.store)
		r.wait(0.5)
		r.press()
		r.is(want)
	}
	r := tooLow(t, 4)
	r.held(rigTravel)
	r.until("open", 1)
}

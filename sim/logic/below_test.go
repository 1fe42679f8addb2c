package logic_test

import (
	"testing"

	"slatbench/sim"
)

// Lower than the floor nothing lies: a count that says so is wrong, and only the stop sets it right.

// ranOut is a rig whose door closes, its count 40 pulses too low: it has come to so many below zero.
func ranOut(t *testing.T, below int) *rig {
	r := closing(t, baseline(t), 20)
	r.height += 40
	for r.door.Counts() > -below {
		r.step()
	}
	return r
}

// Whatever ends the run, the next one up looks for the stop, and at the press after that the door closes.
func TestCountBelowTheFloorLooksForTheStop(t *testing.T) {
	for name, c := range map[string]struct {
		below int
		end   func(r *rig)
		alarm []sim.Alarm
	}{
		"a press": {10, func(r *rig) { r.press(); r.is("between"); r.wait(1); r.press() },
			[]sim.Alarm{sim.CountRanOut, sim.StalledOpening}},
		"something in the way": {10, func(r *rig) { r.in.Edge = sim.EdgePressed; r.step(); r.in.Edge = sim.EdgeFree; r.is("pausing") },
			[]sim.Alarm{sim.CountRanOut, sim.ObstructionClosing, sim.StalledOpening}},
		"no floor to the end of the overrun": {60, func(r *rig) { r.until("pausing", 1) },
			[]sim.Alarm{sim.CountRanOut, sim.StalledOpening}},
	} {
		t.Run(name, func(t *testing.T) {
			r := ranOut(t, c.below)
			c.end(r)
			r.in.Current = amps(14)
			r.until("homing", 0.5)
			r.until("open", 8)
			r.in.Current = 0
			r.hears(c.alarm...)
			if got := r.door.Counts(); got != rigTravel {
				t.Errorf("count %d at the stop, expected %d", got, rigTravel)
			}
			r.press()
			r.is("closing")
		})
	}
}

// A press before the stop leaves the count in doubt, though it says nothing impossible any more.
func TestCountBelowTheFloorStaysInDoubt(t *testing.T) {
	r := ranOut(t, 10)
	r.press()
	r.wait(1)
	for range 2 {
		r.press()
		r.is("homing")
		r.wait(1)
		r.press()
		r.is("between")
		r.wait(1)
	}
}

// Three pulses below zero a count may be, with nothing wrong.
func TestCountWithinTheFloorWindowIsBelieved(t *testing.T) {
	for _, c := range []struct {
		end  func(r *rig)
		next string
	}{
		{func(r *rig) { r.press(); r.wait(1); r.press() }, "opening"},
		{func(r *rig) { r.in.Edge = sim.EdgePressed; r.step(); r.in.Edge = sim.EdgeFree }, "rising"},
	} {
		r := ranOut(t, 1)
		c.end(r)
		r.until(c.next, 0.5)
	}
}

// Where sill switch and edge both say that a door which is taken for open lies on the floor, it does. One of
// them may be at fault.
func TestDoorOnTheFloorIsNotOpen(t *testing.T) {
	for _, c := range []struct {
		sill bool
		edge uint16
		next string
	}{
		{true, sim.EdgePressed, "opening"}, {true, sim.EdgeFree, "creeping"}, {true, sim.EdgeOpenWire, "creeping"},
		{true, sim.EdgeShort, "creeping"}, {false, sim.EdgePressed, "closing"},
	} {
		r := newRig(t, baseline(t), rigTravel-4)
		r.in.Sill, r.in.Edge = c.sill, c.edge
		r.wait(1)
		floor := c.next == "opening"
		if got := r.door.Counts(); (got == 0) != floor {
			t.Errorf("sill switch made %v, edge %d: count %d", c.sill, c.edge, got)
		}
		r.in.Press = true
		r.step()
		r.is(c.next)
		if r.out.Lines.Says() {
			t.Error("it says down")
		}
	}
}

package logic_test

import (
	"testing"

	"slatbench/sim"
)

func TestSupplyIsAveragedAtRest(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.in.Supply = volts(10.5)
	r.step() // one of ten readings: 12.2 V in the mean
	r.in.Supply = volts(12.4)
	r.press()
	r.is("opening")

	r = newRig(t, baseline(t), 0)
	r.in.Supply = volts(10.95)
	r.wait(0.2)
	r.press()
	r.is("down")
	r.in.Supply = volts(11.03)
	r.wait(0.2)
	r.press()
	r.is("opening")
	r.hears(sim.LowSupply)
}

// A run goes on down to brown-out, and a reversal asks nobody.
func TestSagDoesNotStopARun(t *testing.T) {
	r := closing(t, baseline(t), 200)
	r.in.Supply = volts(8.5)
	r.wait(0.3)
	r.is("closing")
	r.in.Edge = sim.EdgePressed
	r.step()
	r.in.Edge = sim.EdgeFree
	r.until("open", 8)
	r.hears(sim.ObstructionClosing)
}

func TestEdgeReadings(t *testing.T) {
	for _, c := range []struct {
		reading uint16
		fitted  bool
		want    string // state after a press from open
	}{
		{sim.EdgeFree, true, "closing"}, {480, true, "closing"}, {560, true, "closing"},
		{sim.EdgeOpenWire, true, "creeping"}, {950, true, "creeping"},
		{sim.EdgeShort, true, "creeping"}, {25, true, "creeping"},
		{sim.EdgeOpenWire, false, "closing"}, {sim.EdgeShort, false, "closing"}, {sim.EdgePressed, false, "closing"},
		{sim.EdgePressed, true, "pausing"}, {100, true, "pausing"}, {250, true, "pausing"},
	} {
		r := newRig(t, baseline(t), rigTravel-4)
		r.in.Edge, r.in.EdgeFitted = c.reading, c.fitted
		r.in.Press = true
		r.wait(0.1)
		r.is(c.want)
	}
}

func TestEdgeThatFailsWhileClosing(t *testing.T) {
	r := closing(t, baseline(t), 200)
	r.in.Edge = sim.EdgeOpenWire
	r.step()
	r.is("pausing")
	r.until("open", 8)
	r.press()
	r.is("open") // the pause
	r.wait(0.5)
	r.press()
	r.is("creeping")
	if r.out.Duty != 45 {
		t.Errorf("duty %d %%, expected slow", r.out.Duty)
	}
	for r.height > 0 {
		r.step()
	}
	r.in.Sill, r.rate = true, 0
	r.until("down", 1)
	r.wait(3)
	for i, a := range r.heard {
		if a != sim.SelfTest && a != sim.SlowTravel {
			t.Errorf("alarm %d: %v", i, a)
		}
	}
}

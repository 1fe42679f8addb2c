package fault_test

import (
	"testing"

	"slatbench/sim"
)

// Two faults of one kind on one part, as docs/faults.md says what they do
// together, in either order.
func TestTwoOnOnePart(t *testing.T) {
	for _, c := range []struct {
		kind          string
		first, second values
		read          func(r *rig) float64
		forth, back   float64 // first before second, second before first
	}{
		{"leaning-cargo", values{"force": 30}, values{"force": 50}, func(r *rig) float64 { return r.bay(0).Condition.LeanForce }, 80, 80},
		{"weak-counterbalance", values{"torque": 0.5}, values{"torque": 0.75}, func(r *rig) float64 { return r.bay(0).Condition.SpringFactor }, 0.375, 0.375},
		{"weak-closing-spring", values{"pull": 0.5}, values{"pull": 0.25}, func(r *rig) float64 { return r.bay(0).Condition.ClosingFactor }, 0.125, 0.125},
		{"jammed-closing-spring", values{"drag": 30}, values{"drag": 50}, func(r *rig) float64 { return r.bay(0).Condition.LeanForce }, 80, 80},
		{"missed-pulses", values{"pulses": 2, "above": 0.25}, values{"pulses": 5, "above": 0.5}, func(r *rig) float64 { return float64(r.bay(0).Condition.GapPulses) }, 5, 5},
		{"missed-pulses", values{"pulses": 2, "above": 0.25}, values{"pulses": 5, "above": 0.5}, func(r *rig) float64 { return r.bay(0).Condition.GapSpeed }, 0.25, 0.25},
		{"extra-pulses", values{"rate": 2}, values{"rate": 5}, func(r *rig) float64 { return r.Wires[0].NoiseRate }, 7, 7},
		{"slipping-reel", values{"slip": 0.5}, values{"slip": 0.25}, func(r *rig) float64 { return r.bay(0).Condition.Slip }, 0.625, 0.625},
		{"stuck-reel", values{"rewind": 0.5}, values{"rewind": 0.25}, func(r *rig) float64 { return r.bay(0).Condition.RewindFactor }, 0.125, 0.125},
		{"exchanged-encoder", values{"resolution": 100}, values{"resolution": 300}, func(r *rig) float64 { return r.bay(0).Condition.PulseScale }, 1.5, 0.5},
		{"dirty-lens", values{"clear": 0.5}, values{"clear": 0.25}, func(r *rig) float64 { return r.bay(0).Condition.LensFactor }, 0.125, 0.125},
		{"weak-remote-cell", values{"intensity": 0.5}, values{"intensity": 0.25}, func(r *rig) float64 { return r.bay(0).Condition.CellFactor }, 0.125, 0.125},
		{"sunlight", values{"illuminance": 40e3}, values{"illuminance": 70e3}, func(r *rig) float64 { return r.Truck.Ambient.Sunlight }, 70e3, 70e3},
		{"reflected-press", values{"reflectance": 0.4}, values{"reflectance": 0.7}, func(r *rig) float64 { return r.Truck.Remote.Reflectance }, 0.7, 0.7},
		{"low-battery", values{"charge": 0.5}, values{"charge": 0.25}, func(r *rig) float64 { return r.Truck.Battery.Charge }, 0.25, 0.25},
		{"aged-battery", values{"age": 1}, values{"age": 0.5}, func(r *rig) float64 { return r.Truck.Battery.R / oldBattery(t) }, 1, 1},
		{"corroded-connector", values{"resistance": 0.25}, values{"resistance": 0.5}, func(r *rig) float64 { return r.bay(0).Condition.BranchOhms }, 0.75, 0.75},
		{"corroded-feed-connector", values{"resistance": 0.25}, values{"resistance": 0.5}, func(r *rig) float64 { return r.Truck.Supply().FeedOhms }, 0.75, 0.75},
		{"supply-interruption", values{"left": 0.5}, values{"left": 0.75}, func(r *rig) float64 { return r.Truck.Supply().VoltageFactor }, 0.375, 0.375},
		{"wrong-supply-reading", values{"error": 1}, values{"error": -0.5}, func(r *rig) float64 { return r.Wires[0].SupplyBias }, 0.5, 0.5},
		{"blocked-lock-bar", values{"position": 0.02}, values{"position": 0.04}, func(r *rig) float64 { return r.Truck.Locks[0].Condition.JamAt }, 0.04, 0.02},
		{"stuck-lock-switch", values{"state": 1}, values{"state": 0}, func(r *rig) float64 { return float64(r.Sides[0].Locked) }, float64(sim.WireLow), float64(sim.WireHigh)},
		{"stuck-door-down-wire", values{"level": 1}, values{"level": 0}, func(r *rig) float64 { return float64(r.Wires[0].Down) }, float64(sim.WireLow), float64(sim.WireHigh)},
	} {
		first, second := made(t, c.kind, c.first), made(t, c.kind, c.second)
		near(t, c.kind, c.read(newRig(t).with(first).with(second)), c.forth, 1e-12)
		near(t, c.kind+", the other way round", c.read(newRig(t).with(second).with(first)), c.back, 1e-12)
	}
}

// oldBattery is the resistance, in Ω, of the default truck's battery at the end of
// its service life.
func oldBattery(t *testing.T) float64 {
	return newRig(t).with(made(t, "aged-battery", values{"age": 1})).Truck.Battery.R
}

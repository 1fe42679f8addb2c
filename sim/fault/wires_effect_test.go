package fault_test

import (
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// weakLinkEffect: a share s of the light reaches √s as far. The remote is heard
// from √(0.1 W/sr / 0.5 mW/m²) = 14.1 m.
func weakLinkEffect(t *testing.T, kind, param string) {
	heard := func(distance, share float64) bool {
		return newRig(t, pressed(0, distance)).with(made(t, kind, values{param: share})).run(0.3).doors[0].in.Press
	}
	want(t, "14 m, all of the light", heard(14, 1), true)
	want(t, "15 m, all of the light", heard(15, 1), false)
	want(t, "1.4 m, a hundredth", heard(1.4, 0.01), true)
	want(t, "1.5 m, a hundredth", heard(1.5, 0.01), false)
}

func sunlightEffect(t *testing.T) {
	f := made(t, "sunlight", nil)
	// 100 klx over 20 klx: six times the irradiance is needed, so 14.1/√6 = 5.77 m.
	want(t, "5.7 m", newRig(t, pressed(0, 5.7)).with(f).run(0.3).doors[0].in.Press, true)
	want(t, "5.9 m", newRig(t, pressed(0, 5.9)).with(f).run(0.3).doors[0].in.Press, false)
	want(t, "5.9 m without sun", newRig(t, pressed(0, 5.9)).run(0.3).doors[0].in.Press, true)
	r := newRig(t).with(f).with(made(t, "sunlight", values{"illuminance": 50e3}))
	want(t, "the greater counts", r.Truck.Ambient.Sunlight, 100e3)
}

func unpluggedEffect(t *testing.T) {
	want(t, "heard", newRig(t, pressed(0, 2)).run(0.3).doors[0].in.Press, true)
	want(t, "heard unplugged", newRig(t, pressed(0, 2)).with(made(t, "unplugged-receiver", nil)).run(0.3).doors[0].in.Press, false)
}

func reflectedPressEffect(t *testing.T) {
	f := made(t, "reflected-press", nil)
	want(t, "neighbour hears", newRig(t, pressed(0, 2)).run(0.3).doors[1].in.Press, false)
	r := newRig(t, pressed(0, 2)).with(f).run(0.3)
	want(t, "neighbour hears the reflection", r.doors[1].in.Press, true)
	want(t, "the other side hears", r.doors[2].in.Press, false)
}

func heldButtonEffect(t *testing.T) {
	f := made(t, "held-remote-button", nil)
	r := newRig(t).with(f).run(3)
	want(t, "pressed", r.doors[0].in.Press, true)
	want(t, "neighbour pressed", r.doors[1].in.Press, false)
	f.Stop(r.Bench)
	want(t, "pressed, taken away", r.run(0.3).doors[0].in.Press, false)
}

func lowBatteryEffect(t *testing.T) {
	r := newRig(t).with(made(t, "low-battery", values{"charge": 0.25}))
	// 12.06 V at 25 %: table credited to BCI, secondary.
	near(t, "open-circuit voltage", r.Truck.Battery.OCV, 12.06, 1e-9)
	sound := newRig(t).up(0, 1).bay(0).Supply
	less(t, "supply while opening", r.up(0, 1).bay(0).Supply, sound-0.5)
	r = newRig(t, func(s *sim.Setup) { s.Charge = 0.1 }).with(made(t, "low-battery", values{"charge": 0.25}))
	want(t, "it charges nothing", r.Truck.Battery.Charge, 0.1)
}

func agedBatteryEffect(t *testing.T) {
	p := model.DefaultTruck()
	r := newRig(t).with(made(t, "aged-battery", values{"age": 0.8}))
	p.Battery.Age = 0.8
	want(t, "resistance", r.Truck.Battery.R, model.NewBattery(p.Battery, p.Ambient.Temperature).R)
	sound := newRig(t).up(0, 0.05).bay(0).Supply
	less(t, "supply at the inrush", r.up(0, 0.05).bay(0).Supply, sound-0.01)
}

func corrodedBranchEffect(t *testing.T) {
	f := made(t, "corroded-connector", values{"resistance": 0.1})
	r := newRig(t).with(f)
	r.up(0, 1)
	b := r.bay(0)
	built := b.Params.Branch.Resistance + b.Params.Branch.Connectors
	near(t, "drop of the branch, I·R", r.Truck.NodeVolts-b.Supply, b.FeedCurrent*(built+0.1), 1e-9)
	less(t, "drop by the connector", 0.3, b.FeedCurrent*0.1)
	other := r.bay(1)
	near(t, "drop of another branch", r.Truck.NodeVolts-other.Supply, other.FeedCurrent*built, 1e-9)
	r.with(made(t, "corroded-connector", values{"resistance": 0.2})).run(0.1)
	near(t, "two connectors", r.Truck.NodeVolts-b.Supply, b.FeedCurrent*(built+0.3), 1e-9)
}

func corrodedFeedEffect(t *testing.T) {
	r := newRig(t).with(made(t, "corroded-feed-connector", values{"resistance": 0.2}))
	r.up(0, 1)
	p := model.DefaultTruck().Feed
	ohms := r.Truck.Battery.R + p.Resistance + p.Connectors + 0.2
	near(t, "drop of battery and feed, I·R", r.Truck.Battery.OCV-r.Truck.NodeVolts, r.Truck.TotalCurrent*ohms, 1e-3)
	less(t, "drop by the connector", 0.7, r.Truck.TotalCurrent*0.2)
}

func interruptionEffect(t *testing.T) {
	f := made(t, "supply-interruption", nil)
	r := newRig(t, startingAt(0.5))
	r.up(0, 1).with(f)
	h := r.run(0.3).bay(0).Height
	want(t, "supply", r.bay(0).Supply, 0)
	want(t, "energised", r.bay(0).Energised, 0)
	want(t, "awake", r.Awake(0), false)
	near(t, "it stays", r.run(1).bay(0).Height, h, 0.02)
	f.Stop(r.Bench)
	r.run(1)
	less(t, "supply, back", 11, r.bay(0).Supply)
	want(t, "starts of the controller", r.doors[0].resets, 2)
	r = newRig(t).with(made(t, "supply-interruption", values{"left": 0.8})).run(0.1)
	near(t, "share left", r.Truck.NodeVolts, 0.8*r.Truck.Battery.OCV, 0.1)
}

func currentSensorEffect(t *testing.T) {
	f := made(t, "failed-current-sensor", nil)
	r := newRig(t).up(0, 1)
	less(t, "reading", 20, float64(r.doors[0].in.Current))
	want(t, "reading, dead", r.with(f).run(0.1).doors[0].in.Current, 0)
	less(t, "true current", 2, r.bay(0).MotorCurrent)
	f.Stop(r.Bench)
	less(t, "reading, mended", 20, float64(r.run(0.1).doors[0].in.Current))
}

func supplyReadingEffect(t *testing.T) {
	read := func(r *rig) float64 {
		return float64(r.run(0.1).doors[0].in.Supply) * sim.SupplyFullV / sim.ConverterMax
	}
	near(t, "reading", read(newRig(t).with(made(t, "wrong-supply-reading", values{"error": 1.5}))), newRig(t).bay(0).Supply+1.5, 0.02)
	near(t, "reading", read(newRig(t).with(made(t, "wrong-supply-reading", values{"error": -2}))), newRig(t).bay(0).Supply-2, 0.02)
	want(t, "the supply itself", newRig(t).with(made(t, "wrong-supply-reading", nil)).run(0.1).bay(0).Supply, newRig(t).run(0.1).bay(0).Supply)
}

func sillEffect(t *testing.T, kind string, height float64, stuck bool) {
	f := made(t, kind, nil)
	r := newRig(t, startingAt(height)).run(0.1)
	want(t, "reading", r.doors[0].in.Sill, !stuck)
	want(t, "reading, stuck", r.with(f).run(0.1).doors[0].in.Sill, stuck)
	want(t, "neighbour's reading", r.doors[1].in.Sill, true)
	f.Stop(r.Bench)
	want(t, "reading, mended", r.run(0.1).doors[0].in.Sill, !stuck)
}

func edgeWireEffect(t *testing.T, kind string, reading uint16) {
	f := made(t, kind, nil)
	r := newRig(t, startingAt(1)).run(0.1)
	want(t, "reading", r.doors[0].in.Edge, sim.EdgeFree)
	want(t, "reading, failed", r.with(f).run(0.1).doors[0].in.Edge, reading)
	f.Stop(r.Bench)
	want(t, "reading, mended", r.run(0.1).doors[0].in.Edge, sim.EdgeFree)
}

func deafEdgeEffect(t *testing.T) {
	crate := made(t, "obstruction", nil)
	f := made(t, "deaf-edge", nil)
	r := newRig(t, startingAt(1)).with(crate)
	r.down(0, 3)
	less(t, "force on the seal", r.bay(0).Params.Seal.EdgeForce, r.bay(0).SealForce())
	want(t, "reading", r.doors[0].in.Edge, sim.EdgePressed)
	want(t, "reading, deaf", r.with(f).run(0.1).doors[0].in.Edge, sim.EdgeFree)
}

func doorDownWireEffect(t *testing.T) {
	for _, c := range []struct {
		values   values
		expected sim.DownLines
	}{
		{nil, sim.DownLines{Down: true, NotDown: true}},
		{values{"wire": 0, "level": 0}, sim.DownLines{NotDown: true}},
		{values{"wire": 1, "level": 0}, sim.DownLines{}},
		{values{"wire": 1, "level": 1}, sim.DownLines{NotDown: true}},
	} {
		r := newRig(t)
		r.doors[0].lines = sim.DownLines{NotDown: true}
		r.doors[1].lines = sim.DownLines{Down: true}
		f := made(t, "stuck-door-down-wire", c.values)
		r.with(f).run(0.1)
		want(t, f.(fault.Fault).String(), r.locks.in.Sides[0].Down[0], c.expected)
		want(t, "neighbour's lines", r.locks.in.Sides[0].Down[1], r.doors[1].lines)
	}
}

func blockedBarEffect(t *testing.T) {
	f := made(t, "blocked-lock-bar", values{"position": 0.025})
	r := newRig(t).with(f)
	r.locks.lock = 1
	r.run(3)
	near(t, "bar stops at", r.Truck.Locks[0].Position, 0.025, 0.003)
	near(t, "the other side's arrives at", r.Truck.Locks[1].Position, 0.060, 0.003)
	f.Stop(r.Bench)
	near(t, "cleared, it arrives at", r.run(2).Truck.Locks[0].Position, 0.060, 0.003)

	r = newRig(t, func(s *sim.Setup) { s.Locked[0] = true }).with(f)
	r.locks.lock = -1
	near(t, "from the locked end it stops at", r.run(3).Truck.Locks[0].Position, 0.025, 0.003)
}

func openActuatorEffect(t *testing.T) {
	f := made(t, "open-lock-actuator", nil)
	r := newRig(t).with(f)
	r.locks.lock = 1
	r.run(1)
	want(t, "current", r.Truck.Locks[0].Current, 0)
	near(t, "bar stays at", r.Truck.Locks[0].Position, 0, 0.001)
	f.Stop(r.Bench)
	near(t, "mended, it arrives at", r.run(2).Truck.Locks[0].Position, 0.060, 0.003)
}

func lockSwitchEffect(t *testing.T) {
	over, back := sim.EndSwitch{Made: true}, sim.EndSwitch{Released: true}
	for _, c := range []struct {
		values           values
		unlocked, locked sim.EndSwitch
	}{
		{values{"end": 0, "state": 0}, back, back},
		{values{"end": 0, "state": 1}, over, back},
		{values{"end": 1, "state": 0}, over, back},
		{nil, over, over},
	} {
		f := made(t, "stuck-lock-switch", c.values)
		r := newRig(t).with(f).run(0.1)
		want(t, f.(fault.Fault).String(), r.locks.in.Sides[0].Unlocked, c.unlocked)
		want(t, f.(fault.Fault).String(), r.locks.in.Sides[0].Locked, c.locked)
		want(t, "told to the doors", r.doors[0].in.Locked, c.locked)
		want(t, "the other side's", r.locks.in.Sides[1].Locked, back)
	}
}

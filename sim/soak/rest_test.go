package soak

import (
	"math"
	"testing"

	"slatbench/model"
	"slatbench/sim"
)

// idle is a controller that does nothing: what is skipped is the truck's.
type idle struct{}

func (idle) PowerOn(*sim.Store)             {}
func (idle) Tick(*sim.Inputs, *sim.Outputs) {}

func idleRig(t *testing.T, charge float64) *rig {
	t.Helper()
	p := model.DefaultTruck()
	s := sim.Setup{Truck: p, Locks: idle{}}
	for range p.Bays {
		s.Doors = append(s.Doors, idle{})
	}
	c := Default()
	c.Charge = charge
	r, err := newRig(s, c)
	if err != nil {
		t.Fatal(err)
	}
	r.bench.Truck.Bays[0].WindingTemp = 90
	r.settle(10)
	if !r.calm() {
		t.Fatal("an idle truck is not calm after 10 s")
	}
	return r
}

// A rest that is skipped ends as one that is stepped, to rounding.
func TestSkippingIsExact(t *testing.T) {
	for _, charge := range []float64{0.9, 0.3, 0.01} {
		skipped, stepped := idleRig(t, charge), idleRig(t, charge)
		const seconds = 1000
		skipped.rest(seconds, 0)
		for end := stepped.bench.Now + stepped.bench.Steps(seconds); stepped.bench.Now < end; {
			stepped.bench.Advance()
		}
		a, b := skipped.bench.Truck, stepped.bench.Truck
		near := func(what string, x, y, within float64) {
			if math.Abs(x-y) > within {
				t.Errorf("charge %g: %s %.15g skipped, %.15g stepped", charge, what, x, y)
			}
		}
		near("time", float64(skipped.bench.Now), float64(stepped.bench.Now), float64(stepped.bench.TickSteps))
		near("steps", float64(a.Steps), float64(b.Steps), float64(stepped.bench.TickSteps))
		// One slow step may fall on either side of the end: 0.1 s of 1.1 A.
		near("charge", a.Battery.Charge, b.Battery.Charge, 1e-6)
		near("winding", a.Bays[0].WindingTemp, b.Bays[0].WindingTemp, 0.002)
		near("supply", a.NodeVolts, b.NodeVolts, 1e-6)
		near("drawn", skipped.watch.drawn, stepped.watch.drawn, 0.2)
	}
}

// Where the supply falls past the brown-out in the middle of a rest, the
// controllers are reset as they would be if every tick were played.
func TestSkippingStopsAtABrownOut(t *testing.T) {
	r := idleRig(t, 0.9)
	r.bench.Setup().Ratings.BrownOut = 12.48 // reached after some minutes
	r.bench.Setup().Ratings.Restart = 12.52
	if !r.bench.Awake(0) {
		t.Fatal("asleep from the start")
	}
	r.rest(6*3600, 0)
	if r.bench.Awake(0) || r.bench.Truck.Bays[0].Supply >= 12.48 {
		t.Errorf("supply %.3f V, awake %v", r.bench.Truck.Bays[0].Supply, r.bench.Awake(0))
	}
	r.rest(3600, 20)
	r.rest(10, 0)
	if !r.bench.Awake(0) {
		t.Errorf("still asleep after charging to %.3f V", r.bench.Truck.Bays[0].Supply)
	}
}

// Weather changes the copper of feed, branch and winding, the grease and the
// battery to what a truck built at that temperature has.
func TestWeatherIsThatOfATruckBuiltThere(t *testing.T) {
	r := idleRig(t, 0.7)
	r.weather(-18)
	r.settle(20)
	cold := model.DefaultTruck()
	cold.Ambient.Temperature = -18
	want := model.NewTruck(cold, model.DefaultStep)
	want.SetCharge(r.bench.Truck.Battery.Charge)
	for range 100 { // up to its first slow step
		want.Step()
	}
	want.Step()
	if d := math.Abs(want.NodeVolts - r.bench.Truck.NodeVolts); d > 1e-5 {
		t.Errorf("%.7f V, a truck built at -18 °C has %.7f V", r.bench.Truck.NodeVolts, want.NodeVolts)
	}
	if d := math.Abs(want.Battery.R - r.bench.Truck.Battery.R); d > 1e-7 {
		t.Errorf("battery %.9f Ω, want %.9f", r.bench.Truck.Battery.R, want.Battery.R)
	}
}

// A cycle allocates for its row at most, however many steps it has.
func TestNoAllocationWhilePlaying(t *testing.T) {
	r := idleRig(t, 0.9)
	n := testing.AllocsPerRun(200, func() { r.bench.Advance() })
	if n != 0 {
		t.Errorf("%g allocations a tick", n)
	}
}

package model

import (
	"math"
	"testing"
)

// Seal and obstruction are springs in series: at any force the deflections add, the
// seal's with its soft part first.
func TestSealInSeries(t *testing.T) {
	seal := DefaultBay().Seal
	for _, other := range []float64{5e3, 50e3, 500e3} {
		c := newSeriesContact(seal, other)
		for _, force := range []float64{10, 60, 179, 181, 400, 2000} {
			bulb := force / seal.Stiffness
			if flat := seal.Stiffness * seal.SoftTravel; force > flat {
				bulb = seal.SoftTravel + (force-flat)/seal.HardStiffness
			}
			near(t, "force, N", c.push(bulb+force/other, 0), force, 1e-9*force)
		}
		if f := c.push(-1e-6, 1); f != 0 {
			t.Errorf("not touching: %g N", f)
		}
		if f := c.push(0.010, -10); f != 0 {
			t.Errorf("torn away: pulls with %g N", f)
		}
	}
}

// Closing on the instrument at full speed: more than the curtain's own momentum,
// since the drive pays out until the cable is slack and the whole weight lies on it.
// The still edge is left with what hangs, less friction.
func TestObstructionCarriesTheWeight(t *testing.T) {
	truck := NewTruck(DefaultTruck(), DefaultStep)
	b := &truck.Bays[0]
	b.Place(1.2)
	if b.SetObstacle(Obstacle{Top: 1.3, Stiffness: 500e3}) {
		t.Error("an obstruction appeared inside the curtain")
	}
	if !b.SetObstacle(Obstacle{Top: 0.6, Stiffness: 500e3}) {
		t.Fatal("no obstruction")
	}
	drive(truck, 0, -1, 1)
	peak := 0.0
	pressed := until(truck, 5, func() bool { return b.EdgePressed() })
	until(truck, 0.3, func() bool { peak = math.Max(peak, b.ContactForce); return false })
	if math.IsNaN(pressed) || b.Slack() < 0.02 || b.CableForce != 0 {
		t.Errorf("pressed after %g s, slack %g m, cable %g N", pressed, b.Slack(), b.CableForce)
	}
	hang := gravityForce(b) + b.Params.ClosingSpring.Preload + b.Params.ClosingSpring.Rate*b.Height
	near(t, "resting on the obstruction, N", b.ContactForce, hang, b.Params.Friction.Breakaway+1)
	// Design trial, a drive that pulses alone stop: 740 to 980 N.
	within(t, "peak, N", peak, 740, 980)
	if f := b.SealForce(); f != b.ContactForce+b.FloorForce {
		t.Errorf("seal %g N", f)
	}
	b.Condition.EdgeDeaf = true
	truck.RefreshBay(0)
	if b.EdgePressed() {
		t.Error("a deaf edge tells that it is pressed")
	}
	b.ClearObstacle()
	run(truck, 3)
	if b.Height > 0.01 || !b.SillMade() {
		t.Errorf("obstruction gone, edge at %g m", b.Height)
	}
}

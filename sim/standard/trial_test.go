package standard_test

import (
	"math"
	"testing"

	"slatbench/model"
	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/standard"
)

// script is a door controller that, once pressed, drives down for some ticks,
// rests, drives up for some, and then does nothing: it is deaf to all that happens.
type script struct {
	down, pause, up int // ticks
	since           int
	pressed         bool
}

func (s *script) PowerOn(*sim.Store) { s.since, s.pressed = 0, false }

func (s *script) Tick(in *sim.Inputs, out *sim.Outputs) {
	*out = sim.Outputs{Duty: 100}
	s.pressed = s.pressed || in.Press
	if !s.pressed {
		return
	}
	switch t := s.since; {
	case t < s.down:
		out.Down, out.Enable = true, true
	case t < s.down+s.pause:
	case t < s.down+s.pause+s.up:
		out.Up, out.Enable = true, true
	}
	s.since++
}

// idle is a lock controller that does nothing.
type idle struct{}

func (idle) PowerOn(*sim.Store)             {}
func (idle) Tick(*sim.Inputs, *sim.Outputs) {}

// trial runs a scripted door of the shipped truck.
func trial(t *testing.T, s *script, obstacle *model.Obstacle) (standard.Result, model.TruckParams) {
	t.Helper()
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	truck, err := l.LoadTruck(scenarios.DefaultTruck)
	if err != nil {
		t.Fatal(err)
	}
	setup := sim.Setup{Truck: truck.Params(), Charge: 0.9, Locks: idle{}}
	for i := range setup.Truck.Bays {
		if i == 1 {
			setup.Doors = append(setup.Doors, s)
			continue
		}
		setup.Doors = append(setup.Doors, &script{})
	}
	r, err := standard.Run(setup, 1, obstacle)
	if err != nil {
		t.Fatal(err)
	}
	return r, setup.Truck
}

// near fails unless got is within a tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %v, want %v within %v", what, got, want, tolerance)
	}
}

// Down and up are asked for 2.5 s apart, and the contacts of both directions take
// the same time to make: so far apart the motor has voltage.
func TestTurnedIsTheTimeBetweenTheDirections(t *testing.T) {
	r, _ := trial(t, &script{down: 200, pause: 50, up: 600}, nil)
	near(t, "turned", r.Turned, 2.5, 0.0011)
	if !math.IsNaN(r.Contact) || !math.IsNaN(r.Reversal) || !math.IsNaN(r.Closed) {
		t.Errorf("contact %v, reversal %v, closed %v, want none of them: nothing was met", r.Contact, r.Reversal, r.Closed)
	}
	if r.Peak != 0 || r.Above != 0 || r.Static != 0 {
		t.Errorf("peak %v N, above %v s, static %v N without an object", r.Peak, r.Above, r.Static)
	}
	if !r.Open {
		t.Error("6 s up from the middle do not end open")
	}
}

// Statics of a door whose drive goes on paying out over an object: the cable is
// slack, and the object carries what hangs and the closing spring, give or take
// the friction of the track, which holds either way.
func TestPayingOutOverAnObjectItCarriesTheDoor(t *testing.T) {
	const top = 0.30
	r, p := trial(t, &script{down: 5000}, &model.Obstacle{Top: top, Stiffness: 500e3})
	b := &p.Bays[1]
	// Bottom edge at 0.3 m: the curtain fills the straight 1.7 m from there, the
	// bend, and lies on the roof: it reaches Vertical + Bend high.
	hangs := b.Curtain.Mass * model.Gravity / b.Curtain.Length * (b.Track.Vertical + b.Track.Bend - top)
	want := hangs + b.ClosingSpring.Preload + b.ClosingSpring.Rate*top
	near(t, "residual", r.Residual, want, b.Friction.Breakaway+1)
	near(t, "static", r.Static, want, b.Friction.Breakaway+40) // it still swings a little at 0.75 s
	near(t, "above 150 N", r.Above, standard.RecordTime, 0.4)  // but for the first bounces
	if !math.IsNaN(r.Reversal) || r.Open {
		t.Errorf("reversal %v, open %v: it was never driven up", r.Reversal, r.Open)
	}
	if r.Static < r.Residual || r.Peak < r.Static {
		t.Errorf("peak %v, static %v, residual %v N: each should be at least the next", r.Peak, r.Static, r.Residual)
	}
	if r.PeakSlack < 0.05 {
		t.Errorf("%.3f m of slack: the drive went on paying out", r.PeakSlack)
	}
}

// The drive is turned 0.5 s before the door would reach the object: no contact.
// Turned later, the same script meets it, and its reversal is what is left.
func TestReversalCountsFromContact(t *testing.T) {
	object := &model.Obstacle{Top: 0.60, Stiffness: 500e3}
	late, _ := trial(t, &script{down: 400, pause: 50, up: 700}, object)
	if math.IsNaN(late.Contact) {
		t.Fatal("the object was not met within 4 s")
	}
	near(t, "contact + reversal", late.Contact+late.Reversal, late.Turned, 1e-9)
	near(t, "turned", late.Turned, 4.5, 0.0011)
	if !late.Open || late.Rise < 1.0 {
		t.Errorf("open %v, rise %v m after 7 s up", late.Open, late.Rise)
	}
	early, _ := trial(t, &script{down: int(100*late.Contact) - 50, pause: 50, up: 700}, object)
	if !math.IsNaN(early.Contact) || early.Peak != 0 {
		t.Errorf("contact %v, peak %v N, though the drive was turned before", early.Contact, early.Peak)
	}
}

// The run without an object ends on the floor.
func TestClosedIsTheTimeToTheFloor(t *testing.T) {
	r, _ := trial(t, &script{down: 1000}, nil)
	if !(r.Closed > 3 && r.Closed < 6) {
		t.Errorf("closed after %v s, want the 4 to 6 s of an unhindered door", r.Closed)
	}
	if r.Open || !math.IsNaN(r.Turned) {
		t.Errorf("open %v, turned %v", r.Open, r.Turned)
	}
}

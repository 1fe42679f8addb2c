package fault_test

import (
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// hand is a controller that does what the test says, and keeps what it is told.
type hand struct {
	up, down bool
	duty     uint8
	lines    sim.DownLines
	lock     int8
	in       sim.Inputs
	resets   int
	pulses   int
}

func (h *hand) PowerOn(*sim.Store) { h.resets++ }

func (h *hand) Tick(in *sim.Inputs, out *sim.Outputs) {
	h.in = *in
	h.pulses += int(in.Pulses)
	out.Up, out.Down, out.Enable, out.Duty = h.up, h.down, h.up || h.down, h.duty
	out.Lines = h.lines
	for s := range out.Sides {
		out.Sides[s].Drive = h.lock
	}
}

// rig is a truck driven by hand.
type rig struct {
	*sim.Bench
	t     testing.TB
	doors []*hand
	locks *hand
}

// setup changes what the rig is made from.
type setup func(*sim.Setup)

func startingAt(heights ...float64) setup {
	return func(s *sim.Setup) { s.Heights = heights }
}

func pressed(bay int, distance float64) setup {
	return func(s *sim.Setup) {
		s.Actions = append(s.Actions, sim.Action{Kind: sim.Press, Bay: bay, Distance: distance, Span: 500})
	}
}

func newRig(t testing.TB, change ...setup) *rig {
	t.Helper()
	r := &rig{t: t, locks: &hand{}}
	s := sim.Setup{Truck: model.DefaultTruck(), Charge: 1, Duration: 1e9, Locks: r.locks, Seed: 1}
	for range s.Truck.Bays {
		h := &hand{duty: 100}
		r.doors = append(r.doors, h)
		s.Doors = append(s.Doors, h)
	}
	for _, c := range change {
		c(&s)
	}
	b, err := sim.New(s)
	if err != nil {
		t.Fatal(err)
	}
	r.Bench = b
	return r
}

// run lets seconds pass.
func (r *rig) run(seconds float64) *rig {
	r.t.Helper()
	for end := r.Now + r.Steps(seconds); r.Now < end; {
		r.Advance()
	}
	if r.Err() != nil {
		r.t.Fatal(r.Err())
	}
	return r
}

func (r *rig) up(bay int, seconds float64) *rig   { return r.drive(bay, true, false, seconds) }
func (r *rig) down(bay int, seconds float64) *rig { return r.drive(bay, false, true, seconds) }
func (r *rig) off(bay int, seconds float64) *rig  { return r.drive(bay, false, false, seconds) }

func (r *rig) drive(bay int, up, down bool, seconds float64) *rig {
	r.t.Helper()
	r.doors[bay].up, r.doors[bay].down = up, down
	return r.run(seconds)
}

// with brings a fault on.
func (r *rig) with(f sim.Fault) *rig {
	r.t.Helper()
	if err := r.Fault(f, true); err != nil {
		r.t.Fatal(err)
	}
	return r
}

func (r *rig) bay(i int) *model.Bay { return &r.Truck.Bays[i] }

type values = map[string]float64

// made is a fault, on bay or side 0.
func made(t testing.TB, name string, v values) sim.Fault {
	t.Helper()
	k, ok := fault.Find(name)
	if !ok {
		t.Fatalf("no kind %s", name)
	}
	f, err := k.New(0, v)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// near fails unless got is within tol of want.
func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(got >= want-tol && got <= want+tol) {
		t.Errorf("%s: %g, expected %g ± %g", what, got, want, tol)
	}
}

func less(t testing.TB, what string, a, b float64) {
	t.Helper()
	if !(a < b) {
		t.Errorf("%s: expected %g < %g", what, a, b)
	}
}

func want[T comparable](t testing.TB, what string, got, expected T) {
	t.Helper()
	if got != expected {
		t.Errorf("%s: %v, expected %v", what, got, expected)
	}
}

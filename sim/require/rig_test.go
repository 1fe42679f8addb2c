package require_test

import (
	"math"
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// hand is a controller that does at each instant what the test says.
type hand struct {
	rig  *rig
	do   func(s float64, in *sim.Inputs, out *sim.Outputs)
	boot int
}

func (h *hand) PowerOn(*sim.Store) { h.boot++ }

func (h *hand) Tick(in *sim.Inputs, out *sim.Outputs) {
	out.Up, out.Down, out.Enable, out.Tone, out.Lamp = false, false, false, false, false
	out.Duty = 100
	for i := range out.Sides {
		out.Sides[i] = sim.SideOutputs{Permit: true}
	}
	if h.do != nil && h.rig.Bench != nil {
		h.do(float64(h.rig.Now)*1e-3, in, out)
	}
}

// rig is a truck with one door, C1, and the locks driven by hand.
type rig struct {
	*sim.Bench
	door, locks *hand
	set         *require.Set
}

// story is what happens in a run: times in s.
type story struct {
	door     func(s float64, in *sim.Inputs, out *sim.Outputs)
	locks    func(s float64, in *sim.Inputs, out *sim.Outputs)
	height   float64
	locked   bool
	untaught bool // no travel on record
	charge   float64
	truck    func(*model.TruckParams)
	actions  []sim.Action
	faults   []sim.Scheduled
	options  require.Options
	seconds  float64
	store    sim.Controller                                    // instead of door
	others   func(s float64, in *sim.Inputs, out *sim.Outputs) // the other doors
}

func (s story) rig(t testing.TB) *rig {
	t.Helper()
	r := &rig{}
	r.door, r.locks = &hand{rig: r, do: s.door}, &hand{rig: r, do: s.locks}
	truck := model.DefaultTruck()
	if s.truck != nil {
		s.truck(&truck)
	}
	r.set = require.New(len(truck.Bays), s.options)
	if s.charge == 0 {
		s.charge = 1
	}
	setup := sim.Setup{
		Truck: truck, Charge: s.charge, Duration: int64(s.seconds * 1000), Locks: r.locks, Seed: 1,
		Heights: []float64{s.height}, Locked: [2]bool{s.locked}, Actions: s.actions, Faults: s.faults,
		Watch: []sim.Observer{r.set}, Untaught: s.untaught,
	}
	for i := range truck.Bays {
		switch {
		case i > 0:
			setup.Doors = append(setup.Doors, &hand{rig: r, do: s.others})
		case s.store != nil:
			setup.Doors = append(setup.Doors, s.store)
		default:
			setup.Doors = append(setup.Doors, r.door)
		}
	}
	b, err := sim.New(setup)
	if err != nil {
		t.Fatal(err)
	}
	r.Bench = b
	return r
}

// run plays the story and gives the verdicts.
func (s story) run(t testing.TB) verdicts {
	t.Helper()
	r := s.rig(t)
	if err := r.Run(); err != nil {
		t.Fatal(err)
	}
	return verdicts{t, r.set.Results()}
}

type verdicts struct {
	t    testing.TB
	list []require.Result
}

func (v verdicts) of(id string) require.Result {
	v.t.Helper()
	for _, r := range v.list {
		if r.ID == id {
			return r
		}
	}
	v.t.Fatalf("no requirement %s", id)
	return require.Result{}
}

func (v verdicts) is(id string, want require.Verdict) require.Result {
	v.t.Helper()
	r := v.of(id)
	if r.Verdict != want {
		v.t.Errorf("%s: %v, want %v (%s, margin %.4g %s at %d, %d tests)", id, r.Verdict, want, r.Clause, r.Margin, r.Unit, r.At, r.Tests)
	}
	return r
}

// says checks clause and margin as well.
func (v verdicts) says(id string, want require.Verdict, clause string, margin, tolerance float64) require.Result {
	v.t.Helper()
	r := v.is(id, want)
	if r.Clause != clause || !(math.Abs(r.Margin-margin) <= tolerance) {
		v.t.Errorf("%s: clause %s, margin %.4g %s; want %s, %.4g ± %.2g", id, r.Clause, r.Margin, r.Unit, clause, margin, tolerance)
	}
	return r
}

func down(out *sim.Outputs) { out.Down, out.Enable, out.Lamp = true, true, true }
func up(out *sim.Outputs)   { out.Up, out.Enable, out.Lamp = true, true, true }

// beep sounds a count of n pulses that began at s0, as the shipped sounders do.
func beep(s, s0 float64, n int, out *sim.Outputs) {
	k := int(math.Floor((s - s0) / 0.24))
	if s >= s0 && k < n && s-s0-float64(k)*0.24 < 0.1195 {
		out.Tone = true
	}
}

// between tells whether s lies in [a, b).
func between(s, a, b float64) bool { return s >= a-1e-9 && s < b-1e-9 }

func press(at float64) sim.Action {
	return sim.Action{At: int64(at * 1000), Kind: sim.Press, Span: 200, Distance: 1}
}

func ask(at float64, kind sim.ActionKind) sim.Action {
	return sim.Action{At: int64(at * 1000), Kind: kind, Span: 200}
}

func interrupt(at, span float64) sim.Action {
	return sim.Action{At: int64(at * 1000), Kind: sim.Interrupt, Span: int64(span * 1000)}
}

func kind(t testing.TB, name string, values map[string]float64, from, to float64) sim.Scheduled {
	t.Helper()
	k, ok := fault.Find(name)
	if !ok {
		t.Fatalf("no kind %s", name)
	}
	f, err := k.New(0, values)
	if err != nil {
		t.Fatal(err)
	}
	return sim.Scheduled{Fault: f, From: int64(from * 1000), To: int64(to * 1000)}
}

// crate is an obstruction of 20 N/mm, h m high, from the start.
func crate(t testing.TB, h float64) []sim.Scheduled {
	return []sim.Scheduled{kind(t, "obstruction", map[string]float64{"height": h}, 0, 0)}
}

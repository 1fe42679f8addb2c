package fault_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// state is everything in and around a truck that a fault may change.
type state struct {
	Conditions  []model.Condition
	Wires       []sim.BayWires
	Locks       [model.Sides]model.LockCondition
	Sides       [model.Sides]sim.SideWires
	Supply      model.SupplyCondition
	OCV, R      float64
	Charge      float64
	Sunlight    float64
	Reflectance float64
	Obstructed  []bool
	Contacts    [][3]bool
}

func stateOf(r *rig) state {
	s := state{
		Wires: append([]sim.BayWires(nil), r.Wires...), Sides: r.Sides, Supply: r.Truck.Supply(),
		OCV: r.Truck.Battery.OCV, R: r.Truck.Battery.R, Charge: r.Truck.Battery.Charge,
		Sunlight: r.Truck.Ambient.Sunlight, Reflectance: r.Truck.Remote.Reflectance,
	}
	for i := range r.Truck.Bays {
		b := r.bay(i)
		_, there := b.ObstacleAt()
		s.Conditions = append(s.Conditions, b.Condition)
		s.Obstructed = append(s.Obstructed, there)
		s.Contacts = append(s.Contacts, [3]bool{b.Stage.UpMade(), b.Stage.DownMade(), b.Stage.EnableMade()})
	}
	for i := range s.Locks {
		s.Locks[i] = r.Truck.Locks[i].Condition
	}
	return s
}

func differ(t testing.TB, what string, before, after state) {
	t.Helper()
	if d := cmp.Diff(before, after, cmp.AllowUnexported(model.LockCondition{})); d != "" {
		t.Errorf("%s (-as built +now):\n%s", what, d)
	}
}

// worn is a truck that is not as built to begin with, so that what is given back
// cannot be mistaken for the defaults.
func worn(t testing.TB) *rig {
	r := newRig(t, startingAt(1.6, 0.4, 1.2, 0), func(s *sim.Setup) { s.Charge = 0.83 })
	for i := range r.Truck.Bays {
		c := &r.bay(i).Condition
		c.SpringFactor, c.ClosingFactor, c.FrictionFactor, c.Slip = 0.97, 0.91, 1.07, 0.003
		c.LensFactor, c.CellFactor, c.PulseScale, c.BranchOhms = 0.83, 0.77, 1.01, 0.0123
		r.Truck.RefreshBay(i)
	}
	r.Truck.Ambient.Sunlight, r.Truck.Remote.Reflectance = 1234, 0.017
	return r.run(0.5)
}

// all is one fault of every kind with its defaults, and another with other values
// where it has any.
func all(t testing.TB) (list []sim.Fault) {
	for _, k := range fault.Kinds() {
		f, err := k.New(0, nil)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, f)
		i, ok := k.Severity()
		if !ok {
			continue
		}
		p := &k.Params[i]
		g, err := k.New(0, values{p.Name: (p.Mild + p.Severe) / 2})
		if k.Name == "missed-pulses" {
			g, err = k.New(0, values{p.Name: 3})
		}
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, g)
	}
	return list
}

func TestEveryFaultChangesSomethingAndGivesItBack(t *testing.T) {
	for _, f := range all(t) {
		r := worn(t)
		before := stateOf(r)
		r.with(f)
		if cmp.Equal(before, stateOf(r), cmp.AllowUnexported(model.LockCondition{})) {
			t.Errorf("%v changes nothing", f)
		}
		f.Stop(r.Bench)
		differ(t, f.(fault.Fault).String(), before, stateOf(r))
		f.Stop(r.Bench) // once more does nothing
		differ(t, f.(fault.Fault).String()+" stopped twice", before, stateOf(r))
	}
}

// Any two faults, started and stopped in any order: stopping the first leaves
// exactly the second, and stopping both leaves the truck exactly as it was.
func TestTwoFaultsInAnyOrder(t *testing.T) {
	list := all(t)
	r := worn(t)
	built := stateOf(r)
	for _, a := range list {
		r.with(a)
		alone := stateOf(r)
		a.Stop(r.Bench)
		for _, b := range list {
			pair := a.(fault.Fault).String() + " and " + b.(fault.Fault).String()
			r.with(a).with(b)
			b.Stop(r.Bench)
			differ(t, pair+", second stopped", alone, stateOf(r))
			a.Stop(r.Bench)
			differ(t, pair, built, stateOf(r))
			r.with(b).with(a)
			b.Stop(r.Bench)
			differ(t, pair+", first stopped", alone, stateOf(r))
			a.Stop(r.Bench)
			differ(t, pair+", in the order they came", built, stateOf(r))
			if t.Failed() {
				return
			}
		}
	}
}

func TestManyFaultsInAnyOrder(t *testing.T) {
	list := all(t)
	r := worn(t)
	built := stateOf(r)
	rapid.Check(t, func(rt *rapid.T) {
		var on []sim.Fault
		for range rapid.IntRange(1, 12).Draw(rt, "changes") {
			if len(on) > 0 && rapid.Bool().Draw(rt, "stop one") {
				i := rapid.IntRange(0, len(on)-1).Draw(rt, "which")
				on[i].Stop(r.Bench)
				on = append(on[:i:i], on[i+1:]...)
				continue
			}
			f := rapid.SampledFrom(list).Draw(rt, "fault")
			if err := r.Fault(f, true); err != nil {
				rt.Fatal(err)
			}
			on = append(on, f)
		}
		for _, f := range on {
			f.Stop(r.Bench)
		}
		if d := cmp.Diff(built, stateOf(r), cmp.AllowUnexported(model.LockCondition{})); d != "" {
			rt.Fatalf("-as built +now:\n%s", d)
		}
	})
}

// What the model has folded from its parameters is given back too: after a fault
// has come and gone, a run is the same to the bit as one without it.
func TestRunAfterAFaultIsTheSameToTheBit(t *testing.T) {
	type shot struct{ height, speed, supply, current, slack, node, bar float64 }
	play := func(f sim.Fault) (shots []shot) {
		r := newRig(t, startingAt(1.6))
		if f != nil {
			r.with(f)
			f.Stop(r.Bench)
		}
		r.locks.lock = 1
		for range 4 {
			r.down(0, 0.3).up(1, 0.3)
			b := r.bay(0)
			shots = append(shots, shot{b.Height, b.Speed, b.Supply, b.MotorCurrent, b.Slack(), r.Truck.NodeVolts, r.Truck.Locks[1].Position})
		}
		return shots
	}
	expected := play(nil)
	for _, f := range all(t) {
		if d := cmp.Diff(expected, play(f), cmp.AllowUnexported(shot{})); d != "" {
			t.Errorf("after %v (-never +come and gone):\n%s", f, d)
		}
	}
}

// A run in which faults are on steps without allocating.
func TestNoAllocationWhileFaultsAreOn(t *testing.T) {
	r := newRig(t, startingAt(1.6))
	for _, k := range fault.Kinds() {
		switch k.Name {
		case "supply-interruption", "low-battery": // they would stop everything else
			continue
		}
		r.with(made(t, k.Name, nil))
	}
	r.with(made(t, "obstruction", values{"height": 1.7, "appears": 1}))
	r.down(1, 0.1)
	if n := testing.AllocsPerRun(200, r.Advance); n != 0 {
		t.Errorf("%g allocations a tick", n)
	}
}

// A fault that spans a run and is scheduled is on exactly from its first step to
// its last.
func TestOnsetAndEnd(t *testing.T) {
	f := made(t, "sill-switch-stuck-open", nil)
	r := newRig(t, func(s *sim.Setup) { s.Faults = []sim.Scheduled{{Fault: f, From: 1000, To: 2000}} })
	for _, c := range []struct {
		at   float64
		sill bool
	}{{0.5, true}, {1.5, false}, {2.5, true}} {
		r.run(c.at - r.Seconds(r.Now))
		want(t, "sill switch", r.doors[0].in.Sill, c.sill)
	}
}

func TestABadOnsetStopsTheRun(t *testing.T) {
	f := made(t, "obstruction", nil)
	r := newRig(t, func(s *sim.Setup) { s.Faults, s.Duration = []sim.Scheduled{{Fault: f, From: 100}}, 1000 })
	if err := r.Run(); err == nil {
		t.Error("an obstruction appeared inside a closed curtain")
	}
}

// An interruption in the script and one as a fault share the feed: neither end
// brings back what the other still takes away.
func TestInterruptionsOverlap(t *testing.T) {
	sag := made(t, "supply-interruption", values{"left": 0.9})
	for _, c := range []struct {
		name     string
		from, to int64
		expected []float64 // at 0.5, 1.5, 2.5, 3.5 s
	}{
		{"fault around the script's", 100, 3000, []float64{0.9, 0.45, 0.9, 1}},
		{"fault outlasts the script's", 1200, 3000, []float64{1, 0.45, 0.9, 1}},
		{"script's outlasts the fault", 100, 1800, []float64{0.9, 0.45, 1, 1}},
	} {
		r := newRig(t, func(s *sim.Setup) {
			s.Faults = []sim.Scheduled{{Fault: sag, From: c.from, To: c.to}}
			s.Actions = []sim.Action{{At: 1000, Kind: sim.Interrupt, Span: 1000, Factor: 0.5}}
		})
		for i, expected := range c.expected {
			r.run(float64(i) + 0.5 - r.Seconds(r.Now))
			near(t, c.name, r.Truck.Supply().VoltageFactor, expected, 1e-15)
		}
		want(t, c.name+", in the end", r.Truck.Supply().VoltageFactor, 1)
	}
}

// A battery that is mended has what it had, less what was drawn meanwhile.
func TestMendedBatteryKeepsWhatWasDrawn(t *testing.T) {
	f := made(t, "low-battery", nil)
	r := newRig(t)
	before := r.Truck.Battery.Charge
	r.with(f)
	r.run(60).with(made(t, "dirty-lens", nil)).run(60)
	drawn := 0.15 - r.Truck.Battery.Charge
	less(t, "drawn in two minutes", 0, drawn)
	f.Stop(r.Bench)
	near(t, "charge", r.Truck.Battery.Charge, before-drawn, 1e-12)
}

// The bench keeps wear that comes while a fault is on.
func TestWearUnderAFault(t *testing.T) {
	r := newRig(t)
	f := made(t, "weak-counterbalance", values{"torque": 0.5})
	r.with(f)
	r.Alter(func(p *sim.Parts) { p.Bays[0].SpringFactor = 0.9 })
	want(t, "torque with both", r.bay(0).Condition.SpringFactor, 0.45)
	f.Stop(r.Bench)
	want(t, "torque with wear alone", r.bay(0).Condition.SpringFactor, 0.9)
}

package compare_test

import (
	"testing"

	"slatbench/sim"
	"slatbench/sim/compare"
)

// fuse is a controller that fails as a whole after some ticks.
type fuse struct {
	sim.Controller
	left int
}

func (f *fuse) PowerOn(s *sim.Store) {
	f.left = 500
	f.Controller.PowerOn(s)
}

func (f *fuse) Tick(in *sim.Inputs, out *sim.Outputs) {
	if f.left--; f.left < 0 {
		*out = sim.Outputs{}
		return
	}
	f.Controller.Tick(in, out)
}

func (f *fuse) Silent() string {
	if f.left < 0 {
		return "it burnt"
	}
	return ""
}

// fused puts a fuse into each door.
func fused(of func() ([]sim.Controller, sim.Controller)) func() ([]sim.Controller, sim.Controller) {
	return func() ([]sim.Controller, sim.Controller) {
		doors, locks := of()
		for i := range doors {
			doors[i] = &fuse{Controller: doors[i]}
		}
		return doors, locks
	}
}

// Controllers that fail as a whole are counted by side, even where both fail alike and
// nothing differs, and the course says when and why.
func TestSilent(t *testing.T) {
	p := pair(t, 0, same)
	if sum := tally(t, p, 4, all()); sum.OldSilent.Runs != 0 || sum.NewSilent.Runs != 0 {
		t.Errorf("tables: %+v, %+v", sum.OldSilent, sum.NewSilent)
	}

	p.New = fused(p.New)
	sum := tally(t, p, 4, all())
	if sum.OldSilent.Runs != 0 || sum.NewSilent.Runs != 4 || sum.NewSilent.What.Why != "it burnt" || sum.Differ == 0 {
		t.Fatalf("new with a fuse: %+v, %+v, %d differ", sum.OldSilent, sum.NewSilent, sum.Differ)
	}
	pl := compare.NewPlayer(p)
	r := pl.Play(p.Plan.Draw(sum.NewSilent.First))
	told := false
	for _, row := range pl.Timeline(r.Difference) {
		told = told || row.New == "goes silent: it burnt" && row.Old == ""
	}
	if !told {
		t.Error("the course does not say that the new controller goes silent")
	}

	p.Old = fused(p.Old)
	if sum := tally(t, p, 4, all()); sum.OldSilent != sum.NewSilent || sum.OldSilent.Runs != 4 || sum.Differ != 0 {
		t.Errorf("both with a fuse: %+v, %+v, %d differ", sum.OldSilent, sum.NewSilent, sum.Differ)
	}
}

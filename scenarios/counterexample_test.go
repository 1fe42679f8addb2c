package scenarios

import (
	"math"
	"slices"
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/logic"
)

// player makes a player of a plan whose controllers run a table.
func player(p *campaign.Plan, table *logic.Table) *campaign.Player {
	return campaign.NewPlayer(p, func() (doors []sim.Controller, locks sim.Controller) {
		for range p.Truck.Bays {
			doors = append(doors, logic.NewDoor(table, 0.01))
		}
		return doors, logic.NewLocks(table, 0.01)
	})
}

// lastHash is an observer that keeps the hash of the state after the last step.
type lastHash struct{ hash uint64 }

func (h *lastHash) Tick(*sim.Bench)   {}
func (h *lastHash) Step(b *sim.Bench) { h.hash = campaign.HashState(b) }

func baseline(t testing.TB) *logic.Table {
	t.Helper()
	table, err := (&Loader{Shipped: Shipped()}).LoadLogic(BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// Every drawn case, written as a file and run as anybody would run it, comes to the
// same verdicts, margins, times and final state as when the campaign played it.
func TestWrittenCaseIsTheSameRun(t *testing.T) {
	table := baseline(t)
	l := &Loader{Shipped: Shipped()}
	truck, err := l.LoadTruck(DefaultTruck)
	if err != nil {
		t.Fatal(err)
	}
	taught, recovered := 0, 0
	for faults := range 3 {
		p := &campaign.Plan{Truck: truck.Params(), Faults: faults, Seed: 20 + uint64(faults)}
		pl := player(p, table)
		for i := range uint64(100) {
			c := p.Draw(i)
			if faults == 0 && i%2 == 0 { // cut short, as shrinking does
				c.End = c.HealAt / 2
				c.Faults = slices.DeleteFunc(c.Faults, func(f campaign.FaultDraw) bool { return f.From >= c.End })
			}
			want := pl.Play(c)
			if want.Err != nil {
				t.Fatal(want.Err)
			}
			s := StoryOf(p, pl.Played())
			s.Name, s.Truck, s.Logic = "A case", DefaultTruck, BaselineLogic
			text, err := l.Write("case.yaml", &s)
			if err != nil {
				t.Fatalf("case %d of %d faults: %v\n%s", i, faults, err, text)
			}
			for _, a := range s.Setup.Actions {
				if a.Kind == sim.TeachHold {
					taught++
				}
			}
			recovered += int(min(s.HealedAt, 1))
			if !sameRun(t, text, table, &want) {
				t.Fatalf("case %d of %d faults:\n%s", i, faults, text)
			}
		}
	}
	if taught < 20 || recovered < 200 {
		t.Errorf("only %d teachings and %d recoveries among the cases", taught, recovered)
	}
}

// sameRun runs a text and compares what came of it with an outcome.
func sameRun(t *testing.T, text string, table *logic.Table, want *campaign.Outcome) bool {
	t.Helper()
	var sc Scenario
	if err := (&Loader{Shipped: Shipped()}).LoadBytes("case.yaml", []byte(text), &sc); err != nil {
		t.Error(err)
		return false
	}
	var hash lastHash
	got, err := Run(&sc, table, RunOptions{Watch: []sim.Observer{&hash}})
	if err != nil {
		t.Error(err)
		return false
	}
	same := hash.hash == want.Hash
	if !same {
		t.Errorf("the final state differs: %x, want %x", hash.hash, want.Hash)
	}
	for i := range want.Results {
		g, w := &got.Requirements[i], &want.Results[i]
		at := math.NaN()
		if !math.IsNaN(w.Margin) {
			at = float64(w.At) * model.DefaultStep
		}
		if g.ID != w.ID || g.Verdict != w.Verdict || g.Clause != w.Clause || !equal(g.Margin, w.Margin) || !equal(g.At, at) || (g.Exempt != w.Exemption) {
			t.Errorf("%s: %+v, want %+v", w.ID, g, w)
			same = false
		}
	}
	return same
}

// equal takes NaN for equal to NaN.
func equal(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

package compare_test

import (
	"context"
	"runtime"
	"slices"
	"testing"

	"slatbench/model"
	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/compare"
	"slatbench/sim/logic"
)

// baseline is the shipped table, a copy of one's own to change.
func baseline(t testing.TB) *logic.Table {
	t.Helper()
	table, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).LoadLogic(scenarios.BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// running makes controllers that run a table, for a truck of so many bays.
func running(t testing.TB, table *logic.Table, bays int) campaign.Controllers {
	t.Helper()
	if p := table.Check(); p != nil {
		t.Fatal(p)
	}
	return func() (doors []sim.Controller, locks sim.Controller) {
		for range bays {
			doors = append(doors, logic.NewDoor(table, 0.01))
		}
		return doors, logic.NewLocks(table, 0.01)
	}
}

// pair of the shipped table and one that is changed, on a truck of two bays, one a side.
func pair(t testing.TB, faults int, change func(*logic.Table)) *compare.Pair {
	t.Helper()
	truck := model.DefaultTruck()
	truck.Bays = []model.BayParams{truck.Bays[0], truck.Bays[2]}
	changed := baseline(t)
	change(changed)
	return &compare.Pair{
		Plan: &campaign.Plan{Truck: truck, Faults: faults, Seed: 7},
		Old:  running(t, baseline(t), 2), New: running(t, changed, 2),
	}
}

// tally plays so many runs.
func tally(t testing.TB, p *compare.Pair, runs uint64, workers int) *compare.Tally {
	t.Helper()
	sum := compare.NewTally()
	err := compare.Play(context.Background(), p, 0, runs, workers, func(r *compare.Run) error {
		sum.Add(r)
		return r.Err
	})
	if err != nil {
		t.Fatal(err)
	}
	return sum
}

// all workers of this machine.
func all() int { return runtime.GOMAXPROCS(0) }

// same changes nothing.
func same(*logic.Table) {}

// rename gives a state of a machine another name, wherever it stands.
func rename(m *logic.Machine, from, to string) {
	if m.Start == from {
		m.Start = to
	}
	for i := range m.States {
		if m.States[i].Name == from {
			m.States[i].Name = to
		}
	}
	for i := range m.Transitions {
		t := &m.Transitions[i]
		t.From = slices.Clone(t.From)
		for k := range t.From {
			if t.From[k] == from {
				t.From[k] = to
			}
		}
		if t.To == from {
			t.To = to
		}
	}
}

func ids(t *compare.Tally) (list []string) {
	for _, c := range t.Classes() {
		list = append(list, c.ID())
	}
	return list
}

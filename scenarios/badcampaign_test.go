package scenarios_test

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/fault"
	"slatbench/sim/logic"
	"slatbench/sim/require"
)

// badRuns is how many runs of a campaign a bad logic is given to be caught in.
const badRuns = 1000

// errCaught ends a campaign that has caught its bad logic.
var errCaught = errors.New("caught")

// A campaign catches every bad logic that it draws the occasion for, each by a requirement that it must be caught
// by. Of them it knows no more than which fault, if any, brings them out.
func TestCampaignCatchesBadLogics(t *testing.T) {
	if testing.Short() {
		t.Skip("plays some thousand runs")
	}
	for _, bad := range badLogics {
		if bad.seldom {
			continue
		}
		t.Run(bad.name, func(t *testing.T) {
			t.Parallel()
			p := &campaign.Plan{Truck: model.DefaultTruck(), Faults: 1, Seed: 11, Only: faultsIn(bad.text)}
			runs := 0
			err := campaign.Run(context.Background(), p, badControllers(t, p, &bad), 0, badRuns, 1, func(_ *campaign.Case, o campaign.Outcome) error {
				runs++
				if slices.ContainsFunc(o.Results, func(r require.Result) bool {
					return r.Verdict == require.Violated && slices.Contains(bad.caught, r.ID)
				}) {
					return errCaught
				}
				return o.Err
			})
			if err != errCaught {
				t.Errorf("not caught by %v in %d runs: %v", bad.caught, badRuns, err)
			}
			t.Logf("caught in run %d", runs)
		})
	}
}

// faultsIn are the kinds of fault in a scenario; nil where there is none but events.
func faultsIn(text string) (kinds []string) {
	for _, k := range fault.Kinds() {
		if !k.Event && strings.Contains(text, "{"+k.Name+":") {
			kinds = append(kinds, k.Name)
		}
	}
	return kinds
}

// badControllers run a bad logic.
func badControllers(t *testing.T, p *campaign.Plan, bad *badLogic) campaign.Controllers {
	table := shippedLogic(t)
	if bad.edit != nil {
		bad.edit(table)
	}
	return func() (doors []sim.Controller, locks sim.Controller) {
		s := sim.Setup{Locks: logic.NewLocks(table, 0.01)}
		for range p.Truck.Bays {
			s.Doors = append(s.Doors, logic.NewDoor(table, 0.01))
		}
		if bad.put != nil {
			bad.put(&s)
		}
		return s.Doors, s.Locks
	}
}

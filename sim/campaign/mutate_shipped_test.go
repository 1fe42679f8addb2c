package campaign_test

import (
	"reflect"
	"testing"

	"slices"

	"github.com/google/go-cmp/cmp"

	"slatbench/model"
	"slatbench/scenarios"
	"slatbench/sim/campaign"
	"slatbench/sim/logic"
)

func shippedLogic(t testing.TB) *logic.Table {
	t.Helper()
	l := scenarios.Loader{Shipped: scenarios.Shipped()}
	table, err := l.LoadLogic(scenarios.BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

func TestMutantsLeaveTheTableAlone(t *testing.T) {
	base, fresh := shippedLogic(t), shippedLogic(t)
	list := campaign.Mutants(base, 0.01)
	ids, texts := map[string]string{}, map[string]bool{}
	for i := range list {
		u := &list[i]
		if reflect.DeepEqual(u.Apply(base), fresh) {
			t.Errorf("%s: the table is as it was", u.Text)
		}
		if other, taken := ids[u.ID]; taken || texts[u.Text] {
			t.Errorf("%s is %q and %q", u.ID, u.Text, other)
		}
		ids[u.ID], texts[u.Text] = u.Text, true
	}
	if d := cmp.Diff(fresh, base); d != "" {
		t.Errorf("the original has changed: %s", d)
	}
}

// Equivalent mutants must answer any inputs as the original does, also such as no truck
// would ever give. Shipped and mutant are given the same noise, tick by tick.
func TestEquivalentMutantsAnswerAlike(t *testing.T) {
	base := shippedLogic(t)
	list := campaign.Mutants(base, 0.01)
	shown, seen := 0, 0
	for i := range list {
		u := &list[i]
		if u.Equivalent == "" {
			continue
		}
		shown++
		if at := campaign.NoiseDiffers(base, u.Apply(base), 3000); at >= 0 {
			t.Errorf("%s: differs at tick %d, though %s", u.Text, at, u.Equivalent)
		}
	}
	for i := range list {
		u := &list[i]
		if u.Plays() && i%16 == 0 && campaign.NoiseDiffers(base, u.Apply(base), 3000) >= 0 {
			seen++
		}
	}
	if shown < 100 || seen < 20 {
		t.Errorf("%d equivalent mutants, and the noise tells %d of the others apart", shown, seen)
	}
}

// Mutants that anybody would want caught are caught by the requirements alone, also in a
// small audit; and an audit comes out the same with any number of workers.
func TestSmallAuditCatches(t *testing.T) {
	must := []string{
		"door: state closing: drive up, not down",
		"door: state open: drive down, not off",
		"door: waking on awake [was down, sill made] -> down: deleted",
		"door: opening on press -> between: deleted",
		"lock: state freed: drive lock, not off",
		"tuning: pause x 10",
	}
	audit := func(workers int) *campaign.AuditResult {
		a := &campaign.Audit{
			Plan: &campaign.Plan{Truck: campaign.AuditTruck(model.DefaultTruck()), Faults: 1, Seed: 1},
			Base: shippedLogic(t), Draws: 24, Budget: 40, Workers: workers, NoRules: true,
			Only: func(u *campaign.Mutant) bool { return slices.Contains(must, u.Text) },
		}
		r, err := a.Run(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	one, three := audit(1), audit(3)
	if len(one.Audited) != len(must) {
		t.Errorf("%d of %d mutants read as they should", len(one.Audited), len(must))
	}
	for i := range one.Audited {
		a, b := &one.Audited[i], &three.Audited[i]
		if a.Fate != campaign.Caught {
			t.Errorf("%s: %s", a.Mutant.Text, a.Text())
		}
		if a.Text() != b.Text() || a.Runs != b.Runs || a.Case.Hash() != b.Case.Hash() {
			t.Errorf("%s: %s by one worker, %s by three", a.Mutant.Text, a.Text(), b.Text())
		}
	}
	if one.Stimuli != three.Stimuli || one.Runs != three.Runs {
		t.Errorf("%d stimuli and %d runs by one worker, %d and %d by three", one.Stimuli, one.Runs, three.Stimuli, three.Runs)
	}
}

// A reason is about a mutant of the shipped logic that plays.
func TestReasonsAreAboutMutants(t *testing.T) {
	plays := map[string]bool{}
	list := campaign.Mutants(shippedLogic(t), 0.01)
	for i := range list {
		plays[list[i].ID] = list[i].Plays()
	}
	reasons := campaign.ShippedReasons()
	if len(reasons) == 0 {
		t.Error("no reason is read, and some mutants are not caught")
	}
	for id := range reasons {
		switch there, plain := plays[id]; {
		case !plain:
			t.Errorf("%s has a reason, and is no mutant", id)
		case !there:
			t.Errorf("%s has a reason, and is refused or equivalent", id)
		}
	}
}

package campaign_test

import (
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"

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

package campaign_test

import (
	"context"
	"strings"
	"testing"

	"slatbench/sim/campaign"
	"slatbench/sim/logic"
	"slatbench/sim/require"
)

// slowApproach breaks service in the coldest, heaviest and emptiest corner only,
// with no fault: its margin tells the way there.
func slowApproach(t testing.TB, q campaign.Quest) campaign.SearchResult {
	t.Helper()
	for i := range subtleFaults {
		if subtleFaults[i].name == "slow approach" {
			return subtleFaults[i].search(t, q)
		}
	}
	t.Fatal("no logic fault is named slow approach")
	return campaign.SearchResult{}
}

// Over a few seeds, search finds a subtle fault more often, and in fewer runs, than
// sampling with the same budget. docs/search.md has the figures over more.
func TestSearchIsSooner(t *testing.T) {
	const budget = 220
	var plays, found [2]int
	for seed := range uint64(3) {
		for i, first := range [2]int{budget, 40} {
			r := slowApproach(t, campaign.Quest{Budget: budget, Seed: 1 + seed, First: first})
			plays[i] += r.Plays
			if r.Found != nil {
				found[i]++
			}
		}
	}
	t.Logf("sampling: %d found in %d runs; search: %d found in %d runs", found[0], plays[0], found[1], plays[1])
	if found[1] <= found[0] || plays[1] >= plays[0] {
		t.Errorf("search found %d in %d runs, sampling %d in %d: it ought to be better", found[1], plays[1], found[0], plays[0])
	}
}

// What search finds is a case like any other: played by itself, it violates the
// target, and it has what a draw has at most.
func TestFoundReplays(t *testing.T) {
	f := &subtleFaults[0]
	r := f.search(t, campaign.Quest{Budget: 1500, Seed: 1})
	if r.Found == nil {
		t.Fatalf("nothing found in %d runs, the smallest share is %g", r.Plays, r.Near.Share)
	}
	table := shipped(t)
	f.edit(table)
	p := defaultPlan(f.faults)
	o := campaign.NewPlayer(p, running(p, table)).Play(r.Found)
	if o.Err != nil {
		t.Fatal(o.Err)
	}
	for _, x := range o.Results {
		if x.ID == f.target && (x.Verdict != require.Violated || x.At != r.Near.At || x.Clause != r.Near.Clause) {
			t.Errorf("played by itself: %s, %s at %d; the search said %s, %s at %d",
				x.Verdict, x.Clause, x.At, r.Near.Verdict, r.Near.Clause, r.Near.At)
		}
	}
	p.Seed = r.Found.Seed
	drawn := p.Draw(r.Found.Index)
	if same := drawn.Hash() == r.Found.Hash(); same == r.Guided {
		t.Errorf("guided is %t, and the case is as drawn: %t", r.Guided, same)
	}
}

func TestSearchIsRepeatable(t *testing.T) {
	q := campaign.Quest{Budget: 90, Seed: 3, First: 30}
	a, b := slowApproach(t, q), slowApproach(t, q)
	if a.Plays != b.Plays || a.Near != b.Near || a.Nearest.Hash() != b.Nearest.Hash() {
		t.Errorf("two searches of one quest: %+v and %+v", a, b)
	}
	if a.Pushed == 0 || a.Drawn+a.Pushed != a.Plays || a.Plays > q.Budget {
		t.Errorf("of %d plays, %d were drawn and %d pushed", a.Plays, a.Drawn, a.Pushed)
	}
	if a.Found == nil && a.Plays != q.Budget {
		t.Errorf("given up after %d plays of %d", a.Plays, q.Budget)
	}
	if r := slowApproach(t, campaign.Quest{Budget: 90, Seed: 4, First: 30}); r.Near == a.Near {
		t.Error("another seed came to the same")
	}
}

// Sampling alone is the campaign's own runs, in their order.
func TestSearchCanOnlySample(t *testing.T) {
	f := subtle{target: "service", edit: subtleFaults[2].edit}
	r := f.search(t, campaign.Quest{Budget: 40, Seed: 11, First: 40})
	p := defaultPlan(0)
	p.Seed = 11
	if r.Drawn != 40 || r.Pushed != 0 || r.Nearest.Hash() != p.Draw(r.Nearest.Index).Hash() {
		t.Errorf("drawn %d, pushed %d; the nearest is number %d", r.Drawn, r.Pushed, r.Nearest.Index)
	}
}

// A search for any requirement ends at the first run that violates one, here at the
// first reversal: its pause is longer than the limit.
func TestSearchForAny(t *testing.T) {
	f := subtle{faults: 1, edit: func(t *logic.Table) { t.Tuning.Pause = 2.5 }}
	r := f.search(t, campaign.Quest{Budget: 150, Seed: 5})
	if r.Found == nil {
		t.Fatalf("nothing found in %d plays", r.Plays)
	}
	table := shipped(t)
	f.edit(table)
	p := defaultPlan(f.faults)
	p.Seed = 5
	player := campaign.NewPlayer(p, running(p, table))
	for i := range uint64(r.Plays) {
		for _, x := range player.Play(p.Draw(i)).Results {
			if v := x.Verdict == require.Violated; v && !r.Guided && i < r.Found.Index {
				t.Errorf("run %d violates %s, and the search went on to %d", i, x.ID, r.Found.Index)
			}
		}
	}
	for _, x := range player.Play(r.Found).Results {
		if x.ID == r.Near.ID && x.Verdict != require.Violated {
			t.Errorf("%s %s by itself, and violated in the search", x.ID, x.Verdict)
		}
	}
}

func TestSearchRefuses(t *testing.T) {
	p := defaultPlan(1)
	table := shipped(t)
	for _, test := range []struct {
		quest campaign.Quest
		text  string
	}{
		{campaign.Quest{Target: "close-cut", Budget: 0}, "0 runs"},
		{campaign.Quest{Target: "close-kut", Budget: 10}, `"close-kut"`},
	} {
		_, err := campaign.Search(context.Background(), p, running(p, table), test.quest)
		if err == nil || !strings.Contains(err.Error(), test.text) {
			t.Errorf("%+v: %v, expected %s", test.quest, err, test.text)
		}
	}
	p.Faults = 3
	if _, err := campaign.Search(context.Background(), p, running(p, table), campaign.Quest{Budget: 10}); err == nil {
		t.Error("three faults: no error")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	p.Faults = 1
	if r, err := campaign.Search(ctx, p, running(p, table), campaign.Quest{Budget: 10}); err == nil || r.Plays != 0 {
		t.Errorf("stopped before it began: %d plays, %v", r.Plays, err)
	}
}

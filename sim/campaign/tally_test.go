package campaign_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

// outcome is one in which the first requirement has a verdict and a share, and the others were not put to the test.
func outcome(v require.Verdict, share float64) campaign.Outcome {
	o := campaign.Outcome{Results: make([]require.Result, len(require.IDs))}
	for i := range o.Results {
		o.Results[i] = require.Result{ID: require.IDs[i], Share: math.NaN(), Margin: math.NaN()}
	}
	o.Results[0].Verdict, o.Results[0].Share, o.Results[0].Margin = v, share, share/2
	if v == require.Exempt {
		o.Results[0].Exemption = &require.Exemptions[0]
	}
	return o
}

func with(index uint64, kinds ...string) *campaign.Case {
	c := &campaign.Case{Index: index}
	for _, k := range kinds {
		c.Faults = append(c.Faults, campaign.FaultDraw{Kind: k})
	}
	return c
}

func TestTally(t *testing.T) {
	a := campaign.NewTally()
	a.Add(with(1), outcome(require.Holds, 0.5))
	a.Add(with(2, "stuck-reel", "obstruction"), outcome(require.Holds, 0.2))
	a.Add(with(3, "stuck-reel"), outcome(require.Violated, -0.1))
	a.Add(with(4, "stuck-reel"), outcome(require.Exempt, -3))
	a.Add(with(5, "stuck-reel"), outcome(require.NotExercised, math.NaN()))
	a.Add(with(6, "sunlight", "stuck-reel"), outcome(require.Violated, -0.4))
	a.Add(with(7, "stuck-reel", "sunlight"), outcome(require.Violated, -0.4))
	a.Add(with(8, "stuck-reel", "stuck-reel"), outcome(require.Holds, 0.3))
	a.Add(with(9), campaign.Outcome{Err: errors.New("it is inside the curtain")})

	all := a.Requirements[0]
	if all.Runs != 8 || all.Exercised != 7 || all.Violated != 3 || all.Exempt != 1 || all.Share != -0.4 || all.At != 6 || all.FirstViolated != 3 {
		t.Errorf("over all: %+v", all)
	}
	if a.Failed != 1 || a.First != 9 || a.Error != "it is inside the curtain" || a.Runs != 8 || a.PairRuns != 2 {
		t.Errorf("%d runs, %d failed (%d: %s), %d pairs", a.Runs, a.Failed, a.First, a.Error, a.PairRuns)
	}
	m := a.Matrix()
	reel, _ := m.Cell("close-cut", "stuck-reel")
	if reel.Runs != 5 || reel.Exercised != 4 || reel.Violated != 1 || reel.Exempt != 1 || reel.Share != -0.1 || reel.FirstExempt != 4 ||
		reel.Exemption != &require.Exemptions[0] || reel.Say != campaign.Broken {
		t.Errorf("stuck reel alone: %+v", reel)
	}
	if none, _ := m.Cell("close-cut", campaign.NoFault); none.Runs != 1 || none.Say != campaign.NotShown {
		t.Errorf("no fault: %+v", none)
	}
	pairs := a.MostLikely()
	if len(pairs) != 1 || pairs[0].Kinds != [2]string{"stuck-reel", "sunlight"} || pairs[0].Violated != 2 || pairs[0].First != 6 {
		t.Errorf("pairs: %+v", pairs)
	}
}

// One requirement that is broken again and again hides no other: the plainest violation of
// each stands first, and the others follow by how many runs showed them.
func TestViolationsInOrder(t *testing.T) {
	a := campaign.NewTally()
	index := uint64(0)
	add := func(runs, requirement int, kinds ...string) {
		for range runs {
			o := outcome(require.NotExercised, math.NaN())
			o.Results[requirement].Verdict = require.Violated
			a.Add(with(index, kinds...), o)
			index++
		}
	}
	add(1, 1)
	add(5, 2)
	add(2, 2, "sunlight")
	add(3, 2, "stuck-reel")
	add(4, 2, "stuck-reel", "sunlight")
	add(2, 0, "sunlight")
	add(3, 0, "stuck-reel")
	add(9, 0, "stuck-reel", "sunlight")

	var got []string
	for _, v := range a.Violations() {
		got = append(got, fmt.Sprintf("%d%v%d", v.Requirement, v.Kinds, v.Violated))
	}
	want := []string{
		"0[stuck-reel]3", "1[]1", "2[]5",
		"0[stuck-reel sunlight]9", "2[stuck-reel sunlight]4", "2[stuck-reel]3", "0[sunlight]2", "2[sunlight]2",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// A cell says held only after a hundred runs that put the requirement to the test.
func TestWhatCellsSay(t *testing.T) {
	a := campaign.NewTally()
	say := func() campaign.Say { c, _ := a.Matrix().Cell("close-cut", "sunlight"); return c.Say }
	for i := range uint64(campaign.LeastExercised - 1) {
		a.Add(with(i, "sunlight"), outcome(require.Holds, 0.5))
	}
	if say() != campaign.NotShown {
		t.Errorf("after 99: %v", say())
	}
	a.Add(with(100, "sunlight"), outcome(require.Holds, 0.5))
	if say() != campaign.Held {
		t.Errorf("after 100: %v", say())
	}
	a.Add(with(101, "sunlight"), outcome(require.Exempt, -1))
	if say() != campaign.Excused {
		t.Errorf("after an exempt one: %v", say())
	}
	if c, _ := a.Matrix().Cell("service", "sunlight"); c.Say != campaign.NotJudged {
		t.Errorf("service under a fault: %v", c.Say)
	}
}

// Bounds come from runs that were drawn, without the exempt, and never from a search.
func TestBounds(t *testing.T) {
	a := campaign.NewTally()
	if _, ok := a.Bound(&a.Requirements[0]); ok {
		t.Error("a bound from nothing")
	}
	for i := range uint64(100) {
		a.Add(with(i), outcome(require.Holds, 1))
	}
	a.Add(with(100), outcome(require.Exempt, -1))
	a.Add(with(101), outcome(require.NotExercised, math.NaN()))
	if p, ok := a.Bound(&a.Requirements[0]); !ok || math.Abs(p-0.0295130) > 1e-7 {
		t.Errorf("0 of 100: %g, %v", p, ok)
	}
	guided := campaign.NewTally()
	guided.Guided = true
	a.Merge(guided)
	if p, ok := a.Bound(&a.Requirements[0]); ok {
		t.Errorf("%g, though some were searched for", p)
	}
}

// Runs in which controllers went silent are counted by controller and reason, each run
// once with each; pieces that are put together in any order come to the same.
func TestSilentRuns(t *testing.T) {
	trap, hang := "it trapped", "it did not come to an end"
	fell := func(list ...sim.Silence) campaign.Outcome {
		o := outcome(require.Holds, 0.5)
		o.Silent = list
		return o
	}
	runs := []campaign.Outcome{
		fell(), fell(sim.Silence{Bay: 1, At: 700, Why: trap}, sim.Silence{Bay: 1, At: 900, Why: trap}), fell(sim.Silence{Bay: sim.LockPost, At: 5, Why: hang}),
		fell(sim.Silence{Bay: 1, At: 300, Why: hang}, sim.Silence{Bay: 1, At: 400, Why: trap}),
	}
	for range 30 {
		runs = append(runs, fell(sim.Silence{Bay: 1, At: 20, Why: trap}))
	}
	whole, pieces := campaign.NewTally(), campaign.NewTally()
	for i := len(runs) - 1; i >= 0; i-- {
		one := campaign.NewTally()
		one.Add(with(uint64(i)), runs[i])
		pieces.Merge(one)
	}
	for i, o := range runs {
		whole.Add(with(uint64(i)), o)
	}
	if diff := cmp.Diff(whole.WentSilent(), pieces.WentSilent()); diff != "" || whole.Silent != pieces.Silent {
		t.Errorf("in order, and merged backwards (%+v and %+v):\n%s", whole.Silent, pieces.Silent, diff)
	}
	got := whole.WentSilent()
	if whole.Silent.Runs != 33 || whole.Silent.First != 1 || len(got) != 3 {
		t.Fatalf("%+v, of %d sorts", whole.Silent, len(got))
	}
	if g := got[0]; g.Bay != 1 || g.Why != trap || g.Runs != 32 || g.At != 700 || len(g.Cases) != 20 || g.Cases[0] != 1 || g.Cases[1] != 3 || g.Cases[19] != 21 {
		t.Errorf("most often: %+v", g)
	}
	if got[1].Bay != sim.LockPost || got[2].Why != hang || got[2].At != 300 {
		t.Errorf("then: %+v", got[1:])
	}
	for i := range 150 { // reasons without end are counted, not listed
		whole.Add(with(uint64(100+i)), fell(sim.Silence{Bay: 0, Why: fmt.Sprint("it said: ", i)}))
	}
	if len(whole.WentSilent()) != 100 || whole.SilencedElse != 53 || whole.Silent.Runs != 183 {
		t.Errorf("%d sorts, %d others, %d runs", len(whole.WentSilent()), whole.SilencedElse, whole.Silent.Runs)
	}
}

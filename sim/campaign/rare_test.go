package campaign_test

import (
	"flag"
	"runtime"
	"testing"

	"slatbench/sim/campaign"
)

var wholeCoverage = flag.Bool("coverage.whole", false, "look at the transitions and cells of 20 000 runs: some minutes")

// Whatever has a written reason for being rare is a transition of the shipped logic.
func TestRareTransitionsAreOfTheLogic(t *testing.T) {
	have := map[string]bool{}
	for _, r := range campaign.NewTally().Coverage(shipped(t)) {
		have[r.Machine+": "+r.Text] = true
	}
	for text, reason := range campaign.RareReasons() {
		if !have[text] {
			t.Errorf("a reason is written for %q, which is no transition: %s", text, reason)
		}
	}
}

func TestRareReasonsAreRead(t *testing.T) {
	for _, text := range []string{"door: a, on b: c\n", "= why\ndoor: a, on b: c\ndoor: a, on b: c\n", "= why\n\nno transition\n"} {
		if r, err := campaign.ParseRare(text); err == nil {
			t.Errorf("%q is read as %v", text, r)
		}
	}
	r, err := campaign.ParseRare("# head\n= why, in\ntwo lines\ndoor: a, on b: c\nlock: d, on e: f\n")
	if err != nil || len(r) != 2 || r["lock: d, on e: f"] != "why, in two lines" {
		t.Errorf("%v, %v", r, err)
	}
}

// In 20 000 runs every transition fires that has no reason for being rare, and every
// cell of the matrix is put to the test in at least 10: 100 in 200 000.
func TestWholeCoverage(t *testing.T) {
	if !*wholeCoverage {
		t.Skip("asked for by -coverage.whole only")
	}
	p := defaultPlan(1)
	p.Seed = 1
	tally, table := campaign.NewTally(), shipped(t)
	err := campaign.Run(t.Context(), p, running(p, table), 0, 20000, runtime.GOMAXPROCS(0), func(c *campaign.Case, o campaign.Outcome) error {
		tally.Add(c, o)
		return o.Err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range tally.Coverage(table) {
		if r.Runs == 0 && r.WhyRare() == "" {
			t.Errorf("%s: %s never fired, and no reason is written", r.Machine, r.Text)
		}
	}
	m := tally.Matrix()
	for i, id := range m.Requirements {
		for k, kind := range m.Columns {
			if c := &m.Cells[i][k]; c.Say != campaign.NotJudged && c.Exercised < 10 {
				t.Errorf("%s with %s: put to the test in %d of %d runs", id, kind, c.Exercised, c.Runs)
			}
		}
	}
}

package main

import (
	"io"
	"math"
	"slices"
	"strings"

	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

// campaignResult is what a campaign has come to, ready to be told.
type campaignResult struct {
	*work
	matrix     *campaign.Matrix
	violations []foundViolation
	coverage   []campaign.Reached
}

// foundViolation is a violation with how to see it again.
type foundViolation struct {
	campaign.Violation
	replay string

	file   string   // scenario that was written for it, or ""
	shrunk bool     // to it
	needs  []string // kinds of fault that are left in it
}

// under names the faults of a violation.
func (v *foundViolation) under() string { return kindsText(v.Kinds) }

func kindsText(kinds []string) string {
	if len(kinds) == 0 {
		return campaign.NoFault
	}
	return strings.Join(kinds, "+")
}

// needsLess tells that the simplest case has not all of the faults.
func (v *foundViolation) needsLess() bool { return v.shrunk && len(v.needs) < len(v.Kinds) }

func (v *foundViolation) id() string { return require.IDs[v.Requirement] }

func (w *work) result() *campaignResult {
	r := &campaignResult{work: w, matrix: w.tally.Matrix()}
	if w.under.Table != nil {
		r.coverage = w.tally.Coverage(w.under.Table)
	}
	for _, v := range w.tally.Violations() {
		r.violations = append(r.violations, foundViolation{Violation: v, replay: w.replay(v.First)})
	}
	return r
}

// runs are those that are in the tally, those that could not be played included.
func (r *campaignResult) runs() uint64 { return uint64(r.tally.Runs + r.tally.Failed) }

// neverFired lists the transitions that no run has reached.
func (r *campaignResult) neverFired() (list []campaign.Reached) {
	for _, t := range r.coverage {
		if t.Runs == 0 {
			list = append(list, t)
		}
	}
	return list
}

// unshown are the cells of the matrix that were drawn, and too seldom put to the test to
// show anything.
func (r *campaignResult) unshown() (list []*campaign.MatrixCell) {
	for i := range r.matrix.Cells {
		for k := range r.matrix.Cells[i] {
			if c := &r.matrix.Cells[i][k]; c.Runs > 0 && c.Say == campaign.NotShown {
				list = append(list, c)
			}
		}
	}
	return list
}

// halfShown is about how many runs it takes until half of the cells that are not shown are,
// rounded up to two figures; 0 where these runs do not tell.
func (r *campaignResult) halfShown() int {
	var takes []float64
	for _, c := range r.unshown() {
		takes = append(takes, float64(r.tally.Runs)*campaign.LeastExercised/float64(c.Exercised)) // +Inf: in none
	}
	if len(takes) == 0 {
		return 0
	}
	slices.Sort(takes)
	half := takes[(len(takes)-1)/2]
	if half > mostForecast {
		return 0
	}
	unit := math.Pow(10, math.Max(0, math.Floor(math.Log10(half))-1))
	return int(math.Ceil(half/unit) * unit)
}

// mostForecast is the number of runs beyond which nothing is said of how many are wanted.
const mostForecast = 1e9

// verdict in a word.
func (r *campaignResult) verdict() string {
	if r.violated() {
		return "violated"
	}
	return "holds"
}

// report writes what the terminal, or a program, is to read.
func (r *campaignResult) report(out io.Writer) error {
	if r.flags.asJSON {
		return r.writeJSON(out)
	}
	return r.writeText(out)
}

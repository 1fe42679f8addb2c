package main

import (
	"io"

	"slatbench/cmd/slatbench/report"
)

// writePage writes the report for a browser and for paper.
func (r *campaignResult) writePage(w io.Writer) error {
	p := report.Campaign{
		Title: campaignTitle(r.plan.Seed), Verdict: verdictTitle(len(r.violations) > 0), Why: r.summary(), Violated: len(r.violations) > 0,
		Replay: r.again(r.runs()), Tally: r.tally.Tally, Matrix: r.matrix, Coverage: r.coverage,
	}
	p.Facts = append(p.Facts, r.planRows(nil)...)
	p.Facts = append(p.Facts, [2]string{"version", r.id.Version})
	for i := range r.violations {
		v := &r.violations[i]
		row := report.CampaignViolation{Requirement: v.id(), Faults: kindsSentence(v.Kinds), What: v.worst(), Runs: v.Violated, Commands: []string{v.replay}}
		if v.file != "" {
			row.Commands = append(row.Commands, "slatbench run "+shellWord(v.file))
		}
		if v.needsLess() {
			row.Note = needsText(v.needs)
		}
		p.Violations = append(p.Violations, row)
	}
	return p.Write(w)
}

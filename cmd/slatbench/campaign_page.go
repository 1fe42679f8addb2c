package main

import (
	"io"
	"strings"

	"slatbench/cmd/slatbench/report"
)

// writePage writes the report for a browser and for paper.
func (r *campaignResult) writePage(w io.Writer) error {
	p := report.Campaign{
		Title: campaignTitle(r.plan.Seed), Verdict: verdictTitle(r.violated()), Why: r.summary(), Violated: r.violated(),
		Replay: r.again(r.runs()), Tally: r.tally.Tally, Matrix: r.matrix, Coverage: r.coverage,
	}
	p.Facts = append(p.Facts, r.planRows(nil)...)
	p.Facts = append(p.Facts, [2]string{"version", r.id.Version})
	for i := range r.violations {
		v := &r.violations[i]
		row := report.CampaignViolation{Requirement: v.id(), Faults: kindsSentence(v.Kinds), What: strings.Replace(v.worst(), " -", " −", 1), Runs: v.Violated, Commands: []string{v.replay}}
		if v.file != "" {
			row.Commands = append(row.Commands, "slatbench run "+shellWord(v.file))
		}
		if v.needsLess() {
			row.Note = needsText(v.needs)
		}
		p.Violations = append(p.Violations, row)
	}
	for _, of := range r.tally.WentSilent() {
		p.Silent = append(p.Silent, report.CampaignSilent{
			Where: r.silentWhere(&of), Why: of.Why, Runs: of.Runs, Cases: silentCases(of.Runs, of.Cases),
			At: float64(of.At) * r.id.Step, Command: r.replay(of.Cases[0]),
		})
	}
	for i := range r.sought {
		q := &r.sought[i]
		word, _ := searchWord(q)
		row := report.CampaignSearch{Requirement: q.id, Word: strings.ToLower(word), Found: q.found(), Runs: q.result.Plays, Nearest: strings.Replace(q.nearest(), "-", "−", 1), Clause: q.clause()}
		if q.file != "" {
			row.Command, row.Note = "slatbench run "+shellWord(q.file), needsText(q.needs)
		}
		p.Search = append(p.Search, row)
	}
	p.SearchMeaning = "G" + searchMeaning[1:] // a sentence of its own here
	return p.Write(w)
}

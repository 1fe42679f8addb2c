package main

import (
	"io"

	"slatbench/cmd/slatbench/report"
)

// writePage writes the report for a browser and for paper.
func (w *comparison) writePage(out io.Writer) error {
	word, _ := w.verdict()
	p := report.Compare{
		Title: compareTitle(w.flags.seed), Mark: "ok", Verdict: verdictSentences[word], Why: w.summary(), Caution: compareCaution,
		Facts: w.planRows(), Replay: w.all(), Old: w.old.Title(), New: w.new.Title(),
	}
	switch {
	case w.differs():
		p.Mark = "bad"
	case len(w.classes) > 0, len(w.silentSides()) > 0:
		p.Mark = "exempt"
	}
	for i, c := range w.classes {
		class := report.CompareClass{Mark: "bad", Name: c.Text(), ID: c.ID(), Runs: runsText(c.Runs)}
		if c.accepted() {
			class.Mark = "exempt"
		}
		if i >= mostClasses {
			p.More = append(p.More, class)
			continue
		}
		class.Facts = w.classRows(c)[1:] // the ID stands above them
		class.Commands = w.classCommands(c)
		if c.example != nil {
			class.Course = w.course(c.example)
		}
		p.Classes = append(p.Classes, class)
	}
	for _, a := range w.absent {
		p.Absent = append(p.Absent, absentText(a))
	}
	for _, side := range w.silentSides() {
		p.Silent = append(p.Silent, w.silentSideText(side))
	}
	return p.Write(out)
}

// course of an example, a row for each instant.
func (w *comparison) course(e *compareExample) (rows []report.CompareRow) {
	for i := range e.rows {
		r := &e.rows[i]
		row := report.CompareRow{At: timelineTime(r.At), Where: w.place(r), Old: r.Old, New: r.New, Stimulus: r.Stimulus, First: r.First}
		if r.Stimulus == "" && r.Old == r.New && !r.First {
			row.New, row.Same = theSame, true
		}
		rows = append(rows, row)
	}
	return rows
}

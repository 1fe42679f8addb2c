package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"

	"slatbench/model"
	"slatbench/sim/compare"
)

// The JSON object of a comparison; docs/compare.md describes it.
type comparisonJSON struct {
	Seed        uint64      `json:"seed"`
	Faults      int         `json:"faults"`
	Only        []string    `json:"only"`
	Truck       string      `json:"truck"`
	Old         underJSON   `json:"old"`
	New         underJSON   `json:"new"`
	Record      bool        `json:"record"`
	Verdict     string      `json:"verdict"` // same, allowed, differs
	Interrupted bool        `json:"interrupted"`
	Runs        int         `json:"runs"`
	Differing   int         `json:"differing_runs"`
	NotPlayed   int         `json:"runs_not_played"`
	Error       string      `json:"first_error,omitempty"`
	Ticks       int64       `json:"ticks_compared"`
	Classes     []classJSON `json:"classes"`
	Absent      []string    `json:"allowed_absent"`
	Replay      string      `json:"replay"`
}

type underJSON struct {
	File   string      `json:"file"`
	Name   string      `json:"name"`
	Digest string      `json:"digest"`
	Silent *silentJSON `json:"silent,omitempty"`
}

type classJSON struct {
	ID       string        `json:"id"`
	Machine  string        `json:"machine"`
	State    string        `json:"state"`
	Old      string        `json:"old_answers"`
	New      string        `json:"new_answers"`
	Output   string        `json:"output"`
	Runs     int           `json:"runs"`
	Share    float64       `json:"share"`
	First    uint64        `json:"first_run"`
	Allowed  bool          `json:"allowed"`
	Because  string        `json:"because,omitempty"`
	Outputs  []string      `json:"outputs"`
	Verdicts []changedJSON `json:"verdicts"`
	Margins  []marginJSON  `json:"margins"`
	Alarms   []alarmedJSON `json:"alarms"`
	Opening  float64       `json:"opening_change_s"`
	Closing  float64       `json:"closing_change_s"`
	Timed    int           `json:"runs_with_other_times"`
	EndsElse int           `json:"runs_that_end_elsewhere"`
	States   []reachedJSON `json:"states"`
	Example  *exampleJSON  `json:"example"`
}

type changedJSON struct {
	Requirement string `json:"requirement"`
	Old         string `json:"old"`
	New         string `json:"new"`
	Runs        int    `json:"runs"`
}

type marginJSON struct {
	Requirement string  `json:"requirement"`
	Clause      string  `json:"clause"`
	Old         float64 `json:"old"`
	New         float64 `json:"new"`
	Unit        string  `json:"unit"`
	Runs        int     `json:"runs"`
}

type alarmedJSON struct {
	Alarm string `json:"alarm"`
	More  int    `json:"runs_with_more"`
	Fewer int    `json:"runs_with_fewer"`
	Else  int    `json:"runs_with_others"`
}

type reachedJSON struct {
	Machine string  `json:"machine"`
	Old     *string `json:"old"`
	New     *string `json:"new"`
	OldRuns int     `json:"old_runs"`
	NewRuns int     `json:"new_runs"`
}

type exampleJSON struct {
	File     string    `json:"file,omitempty"`
	At       float64   `json:"at_s"`
	Where    string    `json:"where"`
	Steps    int       `json:"steps"`
	Faults   []string  `json:"faults"`
	Tried    int       `json:"cases_tried"`
	Timeline []rowJSON `json:"timeline"`
}

type rowJSON struct {
	At       float64 `json:"at_s"`
	Where    string  `json:"where"`
	Stimulus string  `json:"stimulus,omitempty"`
	Old      string  `json:"old,omitempty"`
	New      string  `json:"new,omitempty"`
	First    bool    `json:"first_difference,omitempty"`
}

func (w *comparison) writeJSON(out io.Writer) error {
	o, err := w.object()
	if err != nil {
		return err
	}
	text, err := json.MarshalIndent(o, "", "  ")
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "%s\n", text)
	return err
}

func (w *comparison) object() (*comparisonJSON, error) {
	f := w.flags
	o := &comparisonJSON{
		Seed: f.seed, Faults: f.faults, Only: append([]string{}, f.only...), Truck: w.truck.Name, Record: f.record,
		Verdict: w.verdictName(), Interrupted: w.interrupted, Runs: w.tally.Runs, Differing: w.tally.Differ, NotPlayed: w.tally.Failed,
		Error: w.tally.Error, Ticks: w.tally.Ticks, Classes: []classJSON{}, Absent: []string{}, Replay: w.all(),
	}
	var err, err2 error
	o.Old, o.New = underJSON{File: f.old, Name: w.old.Title()}, underJSON{File: f.new, Name: w.new.Title()}
	o.Old.Silent = silentObject(&w.tally.OldSilent, w.pair.Plan, model.DefaultStep)
	o.New.Silent = silentObject(&w.tally.NewSilent, w.pair.Plan, model.DefaultStep)
	o.Old.Digest, err = w.old.Digest()
	o.New.Digest, err2 = w.new.Digest()
	if err != nil || err2 != nil {
		return nil, fmt.Errorf("cannot name what was compared: %w", errors.Join(err, err2))
	}
	for _, c := range w.classes {
		o.Classes = append(o.Classes, w.classObject(c))
	}
	for _, a := range w.absent {
		o.Absent = append(o.Absent, a.ID)
	}
	return o, nil
}

func (w *comparison) verdictName() string {
	switch {
	case w.differs():
		return "differs"
	case len(w.classes) > 0:
		return "allowed"
	}
	return "same"
}

func machineWord(lock bool) string {
	if lock {
		return "lock"
	}
	return "door"
}

func (w *comparison) classObject(c *comparedClass) classJSON {
	o := classJSON{
		ID: c.ID(), Machine: machineWord(c.Lock), State: c.State, Old: c.Old, New: c.New, Output: c.Kind, Runs: c.Runs, Share: c.share, First: c.First,
		Allowed: c.accepted(), Outputs: c.Kinds.Names(), Opening: centi(c.Opening), Closing: centi(c.Closing), Timed: c.Timed, EndsElse: c.EndsElse,
		Verdicts: []changedJSON{}, Margins: []marginJSON{}, Alarms: []alarmedJSON{}, States: []reachedJSON{},
	}
	if c.allowed != nil {
		o.Because = c.allowed.Because
	}
	for _, v := range c.Verdicts {
		o.Verdicts = append(o.Verdicts, changedJSON{v.ID, v.Old.String(), v.New.String(), v.Runs})
	}
	for _, m := range c.Margins {
		o.Margins = append(o.Margins, marginJSON{m.ID, m.Clause, m.Old, m.New, m.Unit, m.Runs})
	}
	for _, a := range c.Alarms {
		o.Alarms = append(o.Alarms, alarmedJSON{a.Alarm.String(), a.More, a.Fewer, a.Else})
	}
	for _, s := range c.states {
		o.States = append(o.States, reachedJSON{machineWord(s.Lock), orNull(s.Old), orNull(s.New), s.OldRuns, s.NewRuns})
	}
	if e := c.example; e != nil {
		o.Example = &exampleJSON{
			File: e.file, At: e.first.At, Where: w.where(e.first), Steps: len(e.c.Steps), Faults: append([]string{}, e.c.Kinds()...), Tried: e.plays,
			Timeline: w.rowObjects(e.rows),
		}
	}
	return o
}

func (w *comparison) rowObjects(rows []compare.Row) (list []rowJSON) {
	for i := range rows {
		r := &rows[i]
		list = append(list, rowJSON{r.At, w.place(r), r.Stimulus, r.Old, r.New, r.First})
	}
	return list
}

func orNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// centi rounds to hundredths: a tick is no finer.
func centi(x float64) float64 { return math.Round(x*100) / 100 }

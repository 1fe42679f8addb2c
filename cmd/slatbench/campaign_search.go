package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"sync"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

// defaultSearchRuns are the guided runs at most for a requirement.
const defaultSearchRuns = 1000

// mostSearchRuns keep the shares that a search remembers within bounds.
const mostSearchRuns = 10_000_000

// defaultExamples is the folder of what a search finds, where none was named: its
// seed and index alone would not give it again.
const defaultExamples = "counterexamples"

// sought is a requirement that was searched for, and what came of it. It stands apart
// from the tally: its runs were not drawn from the distributions.
type sought struct {
	id     string
	result campaign.SearchResult
	file   string // scenario of what was found
	failed error  // why there is none
	needs  []string
}

func (s *sought) found() bool { return s.result.Found != nil }

// checkSearch refuses what can be refused of the flags of a search.
func (f *campaignFlags) checkSearch() error {
	switch {
	case !f.search && (f.searchRunsGiven || len(f.searchFor) > 0):
		return needsFlag("--search-runs and --search-for", "--search")
	case f.searchRuns < 1 || f.searchRuns > mostSearchRuns:
		return badCount("search-runs", f.searchRuns)
	}
	for _, id := range f.searchFor {
		if !slices.Contains(require.IDs[:], id) {
			return unknownWord("requirement", id, require.IDs[:])
		}
		if id == "contact-force" {
			return notJudged(id)
		}
	}
	return nil
}

// targets are the requirements that are searched for: those that were asked for, or all
// that are judged and that no run drawn has violated.
func (w *work) targets() (list []string) {
	for i, id := range require.IDs {
		switch {
		case len(w.flags.searchFor) > 0:
			if slices.Contains(w.flags.searchFor, id) {
				list = append(list, id)
			}
		case id != "contact-force" && w.tally.Requirements[i].Violated == 0:
			list = append(list, id)
		}
	}
	return list
}

// searchSeed is the seed of what a search draws: cases that the campaign has not played.
func (f *campaignFlags) searchSeed() uint64 { return f.seed + 1 }

// seek searches for violations of each target, side by side. Which found what does not
// depend on the number of workers.
func (w *work) seek(ctx context.Context, errs io.Writer) error {
	if !w.flags.search || w.interrupted {
		return nil
	}
	targets := w.targets()
	list, failed := make([]sought, len(targets)), make([]error, len(targets))
	fmt.Fprintln(errs, searchingText(len(targets), w.flags.searchRuns))
	var mutex sync.Mutex // of what makes controllers, and of what is told
	done := 0
	makers := func() (doors []sim.Controller, locks sim.Controller) {
		mutex.Lock()
		defer mutex.Unlock()
		return w.controllers()
	}
	next := make(chan int)
	var crew sync.WaitGroup
	for range min(w.flags.workers, len(targets)) {
		crew.Go(func() {
			for i := range next {
				list[i].id = targets[i]
				list[i].result, failed[i] = campaign.Search(ctx, &w.plan, makers, campaign.Quest{
					Target: targets[i], Budget: w.flags.searchRuns, Seed: w.flags.searchSeed(),
				})
				mutex.Lock()
				done++
				fmt.Fprintln(errs, searchedText(&list[i], done, len(targets)))
				mutex.Unlock()
			}
		})
	}
	for i := range targets {
		next <- i
	}
	close(next)
	crew.Wait()
	switch err := errors.Join(failed...); {
	case ctx.Err() != nil:
		w.interrupted = true // half a search would depend on when it was ended
		return nil
	case err != nil:
		return err
	}
	w.sought = list
	return nil
}

// writeFound writes a scenario for each violation that a search has found.
func (r *campaignResult) writeFound(errs io.Writer) error {
	for i := range r.sought {
		s := &r.sought[i]
		if !s.found() {
			continue
		}
		folder := r.flags.examples
		if folder == "" {
			folder = defaultExamples
			if err := makeFolder(folder); err != nil {
				return err
			}
		}
		name := filepath.Join(folder, "search--"+scenarios.CounterexampleName(s.id, s.result.Found.Kinds()))
		player := campaign.NewPlayer(&r.plan, r.controllers)
		f := scenarios.Finding{
			Plan: &r.plan, Player: player, Under: r.under, Case: s.result.Found, Guided: s.result.Guided, Requirement: s.id,
			Truck: fromFolder(name, r.truckName()), Logic: fromFolder(name, r.logicName()), Source: r.source(s),
		}
		e, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).Counterexample(name, &f)
		if err != nil {
			s.failed = err
			tell(errs, noSearchExample(s, err, r.searchCommand(s.id)))
			continue
		}
		if err := writeWhole(name, e.Text); err != nil {
			return notWritten(err)
		}
		s.file, s.needs = name, e.Case.Kinds()
	}
	return nil
}

// searchCommand is the one that finds the same again, without a campaign before it.
func (w *work) searchCommand(id string) string {
	return w.command("--runs", "1", "--search", "--search-for", id, "--search-runs", strconv.Itoa(w.flags.searchRuns))
}

// source is the command by which a finding, as it was before it was made simpler, is
// seen again: one that is as drawn has an index.
func (w *work) source(s *sought) string {
	if s.result.Guided {
		return w.searchCommand(s.id)
	}
	from := *w.flags
	from.seed = w.flags.searchSeed()
	of := *w
	of.flags = &from
	return of.replay(s.result.Found.Index)
}

// searchFound counts the requirements of which a search has found a violation.
func (w *work) searchFound() (n int) {
	for i := range w.sought {
		if w.sought[i].found() {
			n++
		}
	}
	return n
}

// violated tells that anything was violated, in a run that was drawn or in a guided one.
func (r *campaignResult) violated() bool { return len(r.violations) > 0 || r.searchFound() > 0 }

func (r *campaignResult) searchText(s *sheet) {
	if len(r.sought) == 0 {
		return
	}
	s.blank()
	s.line(cell{text: headSearch, width: 50, rendition: strong}, cell{text: "guided runs", width: 11, right: true, rendition: faint},
		cell{text: "nearest", width: 12, right: true, rendition: faint})
	for i := range r.sought {
		q := &r.sought[i]
		word, rendition := searchWord(q)
		s.line(cell{}, cell{text: word, width: 9, rendition: rendition}, cell{text: q.id, width: 37},
			cell{text: countText(q.result.Plays), width: 11, right: true}, cell{text: q.nearest(), width: 12, right: true})
		if q.file != "" {
			s.command(4, "slatbench run "+shellWord(q.file))
			s.line(cell{}, cell{}, cell{text: needsText(q.needs), rendition: faint})
		}
		if q.result.Unplayed > 0 {
			s.wrapped(4, odd, runsText(q.result.Unplayed)+" could not be played")
		}
	}
	s.wrapped(2, faint, searchMeaning)
}

// searchJSON is a requirement that was searched for.
type searchJSON struct {
	ID       string   `json:"id"`
	Found    bool     `json:"found"`
	Runs     int      `json:"guided_runs"` // found included
	Drawn    int      `json:"drawn"`
	Pushed   int      `json:"pushed"`
	Unplayed int      `json:"not_played"`
	Share    *float64 `json:"nearest_share"`
	Margin   *float64 `json:"nearest_margin"`
	Unit     string   `json:"unit,omitempty"`
	Clause   string   `json:"clause,omitempty"`
	Flat     []string `json:"flat"`
	File     string   `json:"file,omitempty"`
	Again    string   `json:"again"`
}

// searchObject lists them; null where no search was asked for.
func (r *campaignResult) searchObject() []searchJSON {
	if !r.flags.search {
		return nil
	}
	list := []searchJSON{}
	for i := range r.sought {
		q := &r.sought[i]
		j := searchJSON{
			ID: q.id, Found: q.found(), Runs: q.result.Plays, Drawn: q.result.Drawn, Pushed: q.result.Pushed, Unplayed: q.result.Unplayed,
			Flat: append([]string{}, q.result.Flat...), File: q.file, Again: r.searchCommand(q.id),
		}
		if q.result.Nearest != nil {
			near := &q.result.Near
			j.Share, j.Margin, j.Unit, j.Clause = numberOrNull(near.Share), numberOrNull(near.Margin), near.Unit, near.Clause
		}
		list = append(list, j)
	}
	return list
}

// searchCases are the requirements that were searched for, as test cases. One that
// nothing was found of has not passed.
func (r *campaignResult) searchCases() (list []junitCase) {
	for i := range r.sought {
		q := &r.sought[i]
		c := junitCase{Class: q.id, Name: "search"}
		if q.found() {
			text := fmt.Sprintf("%s\n%s\n", obligations[q.id], replayText(r.searchCommand(q.id)))
			if q.file != "" {
				text += replayText("slatbench run "+shellWord(q.file)) + "\n"
			}
			c.Failure = &junitText{Message: q.sentence(), Type: q.id, Text: text}
		} else {
			c.Skipped = &junitText{Message: q.sentence()}
		}
		list = append(list, c)
	}
	return list
}

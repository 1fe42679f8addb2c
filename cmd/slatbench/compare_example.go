package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"sync"

	"slatbench/scenarios"
	"slatbench/sim/campaign"
	"slatbench/sim/compare"
)

// mostClasses is how many classes get an example and a timeline: making one small takes
// seconds, and nobody reads hundreds.
const mostClasses = 12

// comparedClass is a class with what is told of it.
type comparedClass struct {
	*compare.Class
	allowed *allowedClass // nil where it is not
	share   float64       // of all runs
	states  []compare.StateChange

	example *compareExample // nil beyond the first
}

// compareExample is the simplest case of a class.
type compareExample struct {
	c     *campaign.Case
	plays int // cases that it took
	first *compare.Difference
	rows  []compare.Row
	text  string // of its scenario
	file  string // that was written, or ""
}

// accepted tells that the class is allowed, and no more frequent than it may be.
func (c *comparedClass) accepted() bool { return c.allowed != nil && !c.tooMany() }

func (c *comparedClass) tooMany() bool {
	return c.allowed != nil && c.allowed.AtMost != nil && c.share > *c.allowed.AtMost
}

// judge groups the runs, makes the examples, and says what is allowed.
func (w *comparison) judge(errs io.Writer) error {
	occurs := map[string]bool{}
	for _, c := range w.tally.Classes() {
		id := c.ID()
		occurs[id] = true
		w.classes = append(w.classes, &comparedClass{
			Class: c, allowed: w.allowed.of(id), share: float64(c.Runs) / float64(w.tally.Runs), states: w.tally.States(c),
		})
	}
	for i := range w.allowed.Classes {
		if a := &w.allowed.Classes[i]; !occurs[a.ID] && !w.flags.alone {
			w.absent = append(w.absent, a)
		}
	}
	if w.interrupted || len(w.classes) == 0 {
		return nil
	}
	return w.makeExamples(errs)
}

func (w *comparison) makeExamples(errs io.Writer) error {
	list := w.classes[:min(len(w.classes), mostClasses)]
	if !w.flags.alone {
		fmt.Fprintln(errs, compareShrinkingText(len(list)))
	}
	failed := make([]error, len(list))
	next := make(chan int)
	var crew sync.WaitGroup
	for range min(w.flags.workers, len(list)) {
		player := compare.NewPlayer(&w.pair)
		crew.Go(func() {
			for i := range next {
				failed[i] = w.example(player, list[i])
			}
		})
	}
	for i := range list {
		next <- i
	}
	close(next)
	crew.Wait()
	for i, c := range list {
		switch {
		case failed[i] != nil: // the others, and the report, are worth having all the same
			tell(errs, noCompareExample(c.ID(), failed[i]))
		case w.flags.examples != "":
			name := w.exampleName(c)
			if err := writeWhole(name, c.example.text); err != nil {
				return notWritten(err)
			}
			c.example.file = name
		}
	}
	return nil
}

func (w *comparison) exampleName(c *comparedClass) string {
	return filepath.Join(w.flags.examples, strings.ReplaceAll(c.ID(), "/", ".")+".yaml")
}

// example makes the simplest case of a class, with its timeline and its scenario. A
// single run is told as it is.
func (w *comparison) example(player *compare.Player, c *comparedClass) error {
	e := &compareExample{c: c.Simplest}
	if !w.flags.alone {
		e.c, e.plays = player.Shrink(c.Simplest, c.ID())
	}
	r := player.Play(e.c)
	switch {
	case r.Err != nil:
		return r.Err
	case r.Difference == nil || r.Difference.ID() != c.ID():
		return fmt.Errorf("run %d differs otherwise when it is played again", c.First)
	}
	e.first, e.rows = r.Difference, player.Timeline(r.Difference)
	c.example = e
	story := scenarios.StoryOf(w.pair.Plan, player.Old().Played())
	name := w.exampleName(c)
	story.Name = exampleTitle(c.Class)
	story.Truck, story.Logic = fromFolder(name, w.truckName()), fromFolder(name, scenarios.FullName(scenarios.LogicKind, w.flags.new))
	story.Comment = strings.Join(w.exampleComment(c), "\n")
	text, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).Write(name, &story)
	e.text = text
	return err
}

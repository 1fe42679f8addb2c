package campaign

import (
	"context"
	"fmt"
	"sync"

	"slatbench/sim/logic"
	"slatbench/sim/require"
)

// Audit asks whether the requirements can catch bad logic: it plays every mutant of a
// table until a requirement that the original keeps is broken, or its budget is spent.
type Audit struct {
	Plan    *Plan        // truck, seed and faults of the stimuli
	Base    *logic.Table // must pass its check
	Draws   int          // cases drawn to find stimuli among; 0 is DefaultDraws
	Budget  int          // runs a mutant at most; 0 is DefaultBudget
	Workers int          // 0 is 1
	Only    func(*Mutant) bool
	// Progress is told how far it has got, out of how much, in one phase and then in the
	// other; may be nil. It is called from one goroutine at a time.
	Progress func(phase string, done, of int)
}

// DefaultDraws and DefaultBudget keep the audit of the shipped logic within a quarter of
// an hour on two cores.
const (
	DefaultDraws  = 3000
	DefaultBudget = 120
)

// Fate is what became of a mutant.
type Fate string

// The fates.
const (
	Caught       Fate = "caught"       // a requirement was broken that the original keeps
	Survived     Fate = "survived"     // it did something else, and no requirement was broken
	Undetermined Fate = "undetermined" // it did nothing else in any run that was tried
	Equivalent   Fate = "equivalent"   // the table's structure shows that it changes nothing
	Refused      Fate = "refused"      // the loader catches it
)

// Fates in the order in which they are told.
var Fates = [...]Fate{Caught, Survived, Undetermined, Equivalent, Refused}

// Audited is a mutant and what became of it.
type Audited struct {
	Mutant *Mutant
	Fate   Fate
	Runs   int // that it took
	Reach  int // stimuli of the corpus that come to where it is mistaken

	By   require.Result // what caught it
	Case *Case          // in which it was caught; or, survived, the least strange one in which it differed

	// Survived: what differed first, at which controller (a bay, or the number of bays for
	// the locks) and at which of the ticks of its being awake.
	What string
	Who  int
	Tick int
}

// AuditResult is the outcome of an audit.
type AuditResult struct {
	Audited []Audited // in the order of Mutants
	Stimuli int       // cases of the corpus
	Dropped int       // cases drawn in which the original itself broke a requirement
	Runs    int       // of mutants
	Unfired []string  // answers of the original that no stimulus reached
}

// Run makes and plays the mutants. The result does not depend on the number of workers.
func (a *Audit) Run(ctx context.Context) (*AuditResult, error) {
	if err := a.Plan.Check(); err != nil {
		return nil, err
	}
	workers := max(1, a.Workers)
	list := a.mutants()
	k, err := a.corpus(ctx, workers)
	if err != nil {
		return nil, err
	}
	r := &AuditResult{Audited: make([]Audited, len(list)), Stimuli: len(k.stimuli), Dropped: k.dropped, Unfired: k.unfired(a.Base)}
	tell := a.teller("mutants", len(list))
	err = inParallel(ctx, len(list), workers, func(i, _ int) {
		r.Audited[i] = a.try(k, &list[i])
		tell()
	})
	for i := range r.Audited {
		r.Runs += r.Audited[i].Runs
	}
	return r, err
}

func (a *Audit) mutants() []Mutant {
	all := Mutants(a.Base, a.Plan.tick())
	if a.Only == nil {
		return all
	}
	var list []Mutant
	for i := range all {
		if a.Only(&all[i]) {
			list = append(list, all[i])
		}
	}
	return list
}

// teller counts up towards a total, for the progress.
func (a *Audit) teller(phase string, of int) func() {
	if a.Progress == nil {
		return func() {}
	}
	var mutex sync.Mutex
	done := 0
	return func() {
		mutex.Lock()
		defer mutex.Unlock()
		done++
		a.Progress(phase, done, of)
	}
}

func (a *Audit) corpus(ctx context.Context, workers int) (*corpus, error) {
	n := a.Draws
	if n == 0 {
		n = DefaultDraws
	}
	return newCorpus(ctx, a.Plan, a.Base, n, n, workers, a.teller("stimuli", 2*n))
}

// unfired lists the answers that no stimulus reached.
func (k *corpus) unfired(base *logic.Table) []string {
	var list []string
	for i, p := range k.pairs {
		reached := false
		for _, s := range k.stimuli {
			reached = reached || has(s.fired, i)
		}
		if !reached {
			m, where := &base.Door, "door: "
			if p.lock {
				m, where = &base.Lock, "lock: "
			}
			list = append(list, where+rowText(p.from, &m.Transitions[p.row]))
		}
	}
	return list
}

// try plays one mutant.
func (a *Audit) try(k *corpus, u *Mutant) Audited {
	f := Audited{Mutant: u}
	switch {
	case u.Refused != "":
		f.Fate = Refused
		return f
	case u.Equivalent != "":
		f.Fate = Equivalent
		return f
	}
	w := &watch{table: u.Apply(a.Base)}
	pl := NewPlayer(a.Plan, w.controllers(a.Plan))
	f.Fate = Undetermined
	stimuli := k.reaching(&u.site)
	f.Reach = len(stimuli)
	budget := a.Budget
	if budget == 0 {
		budget = DefaultBudget
	}
	var least *stimulus
	for _, s := range stimuli[:min(budget, len(stimuli))] {
		f.Runs++
		w.begin(nil, &s.record)
		o := pl.PlayUntil(s.c, func(r []require.Result) bool { return violated(r) != nil })
		if o.Err != nil {
			continue
		}
		if by := violated(o.Results); by != nil {
			f.Fate, f.By, f.Case, f.What = Caught, *by, s.c, ""
			return f
		}
		if d := w.differ; d != nil && (least == nil || s.milder(least)) {
			least = s
			f.Fate, f.Case, f.What, f.Who, f.Tick = Survived, s.c, d.what(), d.who, int(d.tick)
		}
	}
	return f
}

// milder tells which of two stimuli is less strange: fewer faults, fewer steps, shorter.
func (s *stimulus) milder(o *stimulus) bool {
	switch {
	case len(s.c.Faults) != len(o.c.Faults):
		return len(s.c.Faults) < len(o.c.Faults)
	case len(s.c.Steps) != len(o.c.Steps):
		return len(s.c.Steps) < len(o.c.Steps)
	}
	return s.end < o.end
}

// Text is the finding in one line.
func (f *Audited) Text() string {
	switch f.Fate {
	case Caught:
		return fmt.Sprintf("%s by %s %s, run %d", f.Fate, f.By.ID, f.By.Clause, f.Runs)
	case Survived:
		return fmt.Sprintf("%s: %s", f.Fate, f.What)
	case Equivalent:
		return string(f.Fate) + ": " + f.Mutant.Equivalent
	case Refused:
		return string(f.Fate) + ": " + f.Mutant.Refused
	}
	return string(f.Fate)
}

package campaign

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"sync"

	"slatbench/sim/logic"
	"slatbench/sim/logic/rules"
	"slatbench/sim/require"
)

// Audit asks whether the design rules and the requirements can catch bad logic: a mutant
// that breaks a rule which the original keeps is caught by it; every other is played until a
// requirement that the original keeps is broken, or its budget is spent.
type Audit struct {
	Plan    *Plan        // truck, seed and faults of the stimuli
	Base    *logic.Table // must pass its check
	Draws   int          // cases drawn to find stimuli among; 0 is DefaultDraws
	Budget  int          // runs a mutant at most; 0 is DefaultBudget
	Workers int          // 0 is 1
	NoRules bool         // leave the design rules out: what can the requirements do alone?
	Only    func(*Mutant) bool
	// Progress is told how far it has got, out of how much, in one phase and then in the
	// other; may be nil. It is called from one goroutine at a time.
	Progress func(phase string, done, of int)
}

// The defaults keep the audit of the shipped logic within a quarter of an hour on two
// cores.
const (
	DefaultDraws  = 6000
	DefaultBudget = 400
)

// Fate is what became of a mutant.
type Fate string

// The fates.
const (
	Caught       Fate = "caught"       // a rule or a requirement was broken that the original keeps
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

	Rule *rules.Finding // the design rule that caught it, before it was played
	By   require.Result // what caught it when it was played
	Case *Case          // in which it was caught; or, survived, the least strange one in which it differed

	// Survived: what differed first, at which controller (a bay, or the number of bays for
	// the locks) and at which of the ticks of its being awake.
	What  string
	Who   int
	Tick  int
	Kinds []string // all kinds of outputs that differed in any of its runs
}

// AuditResult is the outcome of an audit.
type AuditResult struct {
	Audited []Audited // in the order of Mutants
	Stimuli int       // cases of the corpus
	Dropped int       // cases drawn that could not be played
	Broken  int       // stimuli in which the original itself breaks a requirement
	Breaks  []int     // stimuli in which it breaks each, in the order of require.IDs
	Runs    int       // of mutants, and of the original in copies for them
	Unfired []string  // answers of the original that no stimulus reached
}

// Run makes and plays the mutants. The result does not depend on the number of workers.
func (a *Audit) Run(ctx context.Context) (*AuditResult, error) {
	if err := a.Plan.Check(); err != nil {
		return nil, err
	}
	workers := max(1, a.Workers)
	list := a.mutants()
	if !slices.ContainsFunc(list, func(u Mutant) bool { return a.plays(&u) }) { // nothing to look for stimuli for
		r := &AuditResult{Audited: make([]Audited, len(list))}
		for i := range list {
			r.Audited[i] = a.unplayed(&list[i])
		}
		return r, nil
	}
	k, err := a.corpus(ctx, workers)
	if err != nil {
		return nil, err
	}
	r := &AuditResult{Audited: make([]Audited, len(list)), Stimuli: len(k.stimuli), Dropped: k.dropped, Unfired: k.unfired(a.Base)}
	r.Breaks = make([]int, len(require.IDs))
	for _, s := range k.stimuli {
		if len(s.broken) > 0 {
			r.Broken++
		}
		for _, id := range s.broken {
			r.Breaks[slices.Index(require.IDs[:], id)]++
		}
	}
	tell := a.teller("mutants", len(list))
	err = inParallel(ctx, len(list), workers, func(i, worker int) {
		r.Audited[i] = a.try(k, worker, &list[i])
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

// plays tells that only playing can show what becomes of a mutant.
func (a *Audit) plays(u *Mutant) bool { return u.Plays() && (a.NoRules || len(u.Breaks) == 0) }

// unplayed is what becomes of one that need not be played.
func (a *Audit) unplayed(u *Mutant) Audited {
	switch {
	case u.Refused != "":
		return Audited{Mutant: u, Fate: Refused}
	case u.Equivalent != "":
		return Audited{Mutant: u, Fate: Equivalent}
	}
	return Audited{Mutant: u, Fate: Caught, Rule: &u.Breaks[0]}
}

// try plays one mutant: first the stimuli, then copies of those in which it differed.
func (a *Audit) try(k *corpus, worker int, u *Mutant) Audited {
	if !a.plays(u) {
		return a.unplayed(u)
	}
	budget := a.Budget
	if budget == 0 {
		budget = DefaultBudget
	}
	w := &watch{table: u.Apply(a.Base)}
	t := trial{
		Audited: Audited{Mutant: u, Fate: Undetermined}, k: k, watch: w, player: NewPlayer(a.Plan, w.controllers(a.Plan)),
		original: k.crew[worker], budget: budget,
	}
	t.stimuli = k.reaching(&u.site)
	t.Reach = len(t.stimuli)
	if !t.corpus() {
		t.copies()
	}
	t.Kinds = t.kinds.words()
	return t.Audited
}

// trial is one mutant being played.
type trial struct {
	Audited
	k        *corpus
	watch    *watch
	player   *Player
	original *original
	stimuli  []*stimulus
	budget   int

	kinds     kinds
	least     *stimulus // in which it differed
	differing []differing
}

// differing is a stimulus in which a mutant differed, and where.
type differing struct {
	*stimulus
	there visit
	probe string // what would show that the difference matters
}

// corpusShare is the share of the budget that is spent on the corpus; the rest is spent
// on copies.
const corpusShare = 0.4

// corpus plays the stimuli. It tells whether the mutant was caught.
func (t *trial) corpus() bool {
	n := min(len(t.stimuli), int(float64(t.budget)*corpusShare))
	for _, s := range t.stimuli[:n] {
		if t.play(s) {
			return true
		}
	}
	return false
}

// copies plays copies of the stimuli in which the mutant differed, in which something
// else happens about then; where it never did, of those that reach it. It tells whether
// the mutant was caught.
func (t *trial) copies() bool {
	if len(t.stimuli) == 0 {
		return false
	}
	id, _ := strconv.ParseUint(t.Mutant.ID, 16, 64)
	for n := uint64(0); t.Runs < t.budget; n++ {
		s := newSource(t.k.plan.Seed^id, n)
		if len(t.differing) > 0 {
			d := t.differing[s.below(len(t.differing))]
			if c := t.k.changed(s, d.c, d.there, d.probe); t.violates(c) && t.replay(c) {
				return true
			}
			continue
		}
		x := t.stimuli[s.below(min(len(t.stimuli), copied))]
		if t.replay(t.k.changed(s, x.c, t.k.visitOf(s, x, &t.Mutant.site), t.k.eventOf(&t.Mutant.site))) {
			return true
		}
	}
	return false
}

// violates tells that the mutant breaks a requirement in a case, whatever the original
// does in it.
func (t *trial) violates(c *Case) bool {
	t.Runs++
	t.watch.begin(nil, nil)
	o := t.player.PlayUntil(c, func(r []require.Result) bool { return catches(r, nil) != nil })
	return o.Err == nil && catches(o.Results, nil) != nil
}

// replay plays the original and then the mutant in a case.
func (t *trial) replay(c *Case) bool {
	t.Runs++
	x := t.original.play(c)
	return x != nil && t.play(x)
}

// copied is how many of the stimuli that reach a mutant are copied.
const copied = 64

// mostDiffering is how many stimuli are kept to be copied.
const mostDiffering = 32

// play plays the mutant in a stimulus. It tells whether that has caught it.
func (t *trial) play(s *stimulus) bool {
	t.Runs++
	t.watch.begin(nil, &s.record)
	o := t.player.PlayUntil(s.c, func(r []require.Result) bool { return catches(r, s.broken) != nil })
	if o.Err != nil {
		return false
	}
	d := t.watch.differ
	if by := catches(o.Results, s.broken); by != nil && d != nil {
		t.Fate, t.By, t.Case, t.What, t.Who, t.Tick = Caught, *by, s.c, d.what(), d.who, int(d.tick)
		return true
	}
	if d == nil {
		return false
	}
	t.kinds |= t.watch.kinds
	if len(t.differing) < mostDiffering {
		t.differing = append(t.differing, differing{s, t.there(d), d.probe()})
	}
	if t.least == nil || s.milder(t.least) {
		t.least = s
		t.Fate, t.Case, t.What, t.Who, t.Tick = Survived, s.c, d.what(), d.who, int(d.tick)
	}
	return false
}

// differenceSpan is how long after the first difference, in s, something is made to happen.
const differenceSpan = 4.0

// there is the time about a first difference, as a visit of no state.
func (t *trial) there(d *difference) visit {
	at := max(0, float64(float64(d.tick)*t.k.plan.tick())-0.5)
	who := d.who
	if who == len(t.k.plan.Truck.Bays) && d.was.Sides[0] == d.now.Sides[0] {
		who++ // the other side's lock
	}
	return visit{who: who, state: -1, at: at, long: differenceSpan}
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
		if f.Rule != nil {
			return string(f.Fate) + " by rule " + f.Rule.String()
		}
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

package compare

import (
	"cmp"
	"math"
	"slices"

	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

// Tally groups runs into classes. What it comes to depends on the runs alone, which
// must be added in the order of their index.
type Tally struct {
	Runs   int // compared
	Differ int
	Failed int // could not be played
	Error  string
	First  uint64 // index of the first that could not
	Ticks  int64  // compared

	OldSilent, NewSilent campaign.Silent // runs in which a controller failed as a whole

	classes map[string]*Class
	met     map[Met]int64
}

// Class is all runs that first differ by one cause.
type Class struct {
	Cause
	Runs     int
	First    uint64 // index of the first run
	Simplest *campaign.Case
	Kinds    Kinds // of outputs, in any run
	EndsElse int   // runs
	Opening  float64
	Closing  float64 // s: the greatest changes
	Timed    int     // runs in which one of them changed

	Verdicts []VerdictChange
	Margins  []MarginChange
	Alarms   []AlarmTally

	old, new map[Reached]int
}

// VerdictChange counts runs in which a requirement's verdict changed.
type VerdictChange struct {
	ID       string
	Old, New require.Verdict
	Runs     int
}

// MarginChange is the greatest change of a requirement's margin, where both runs put
// the same clause to the test.
type MarginChange struct {
	ID, Clause, Unit string
	Old, New         float64
	Share            float64 // the change, as a share of the clause's scale
	Runs             int     // in which it changed at all
}

// AlarmTally counts runs in which an alarm sounded otherwise.
type AlarmTally struct {
	Alarm             sim.Alarm
	More, Fewer, Else int
}

// StateChange is a state that the new controllers reached in more or fewer runs of a
// class than the old ones. New is "" where no state of the new ones goes together with
// it, Old where it goes together with none of the old.
type StateChange struct {
	Lock             bool
	Old, New         string
	OldRuns, NewRuns int
}

// NewTally of no runs.
func NewTally() *Tally { return &Tally{classes: map[string]*Class{}, met: map[Met]int64{}} }

// Add counts a run.
func (t *Tally) Add(r *Run) {
	if r.Err != nil {
		if t.Failed++; t.Failed == 1 {
			t.Error, t.First = r.Err.Error(), r.Case.Index
		}
		return
	}
	t.Runs++
	t.Ticks += int64(r.Ticks)
	silent(&t.OldSilent, r.Case.Index, r.OldSilent)
	silent(&t.NewSilent, r.Case.Index, r.NewSilent)
	for _, m := range r.Met {
		ticks := m.Ticks
		m.Ticks = 0
		t.met[m] += ticks
	}
	d := r.Difference
	if d == nil {
		return
	}
	t.Differ++
	id := d.ID()
	c := t.classes[id]
	if c == nil {
		c = &Class{Cause: d.Cause, First: r.Case.Index, Simplest: r.Case, old: map[Reached]int{}, new: map[Reached]int{}}
		t.classes[id] = c
	}
	c.add(r.Case, d)
}

// silent counts a run in which controllers failed as a whole, if any did.
func silent(s *campaign.Silent, index uint64, list []sim.Silence) {
	if len(list) == 0 {
		return
	}
	if s.Runs++; s.Runs == 1 {
		s.First, s.What = index, list[0]
	}
}

// Classes, the one with the most runs first; equals by their ID.
func (t *Tally) Classes() []*Class {
	var list []*Class
	for _, c := range t.classes {
		list = append(list, c)
	}
	slices.SortFunc(list, func(a, b *Class) int { return cmp.Or(b.Runs-a.Runs, cmp.Compare(a.ID(), b.ID())) })
	return list
}

func (c *Class) add(k *campaign.Case, d *Difference) {
	c.Runs++
	if simpler(k, c.Simplest) {
		c.Simplest = k
	}
	c.Kinds |= d.Kinds
	e := &d.Effects
	if e.EndsElse {
		c.EndsElse++
	}
	if e.Opening != 0 || e.Closing != 0 {
		c.Timed++
	}
	c.Opening, c.Closing = greater(c.Opening, e.Opening), greater(c.Closing, e.Closing)
	for i := range e.Old {
		c.judge(&e.Old[i], &e.New[i])
	}
	for _, a := range e.Alarms {
		c.alarm(a)
	}
	for _, r := range e.OldStates {
		c.old[r]++
	}
	for _, r := range e.NewStates {
		c.new[r]++
	}
}

// simpler tells that a case looks easier to make small than another.
func simpler(a, b *campaign.Case) bool {
	return cmp.Or(len(a.Faults)-len(b.Faults), len(a.Steps)-len(b.Steps)) < 0
}

func (c *Class) judge(old, new *require.Result) {
	if old.Verdict != new.Verdict {
		i := slices.IndexFunc(c.Verdicts, func(v VerdictChange) bool {
			return v.ID == old.ID && v.Old == old.Verdict && v.New == new.Verdict
		})
		if i < 0 {
			c.Verdicts = append(c.Verdicts, VerdictChange{old.ID, old.Verdict, new.Verdict, 0})
			i = len(c.Verdicts) - 1
		}
		c.Verdicts[i].Runs++
	}
	if old.Clause == "" || old.Clause != new.Clause || old.Margin == new.Margin || math.IsNaN(old.Share-new.Share) {
		return
	}
	i := slices.IndexFunc(c.Margins, func(m MarginChange) bool { return m.ID == old.ID && m.Clause == old.Clause })
	if i < 0 {
		c.Margins = append(c.Margins, MarginChange{ID: old.ID, Clause: old.Clause, Unit: old.Unit})
		i = len(c.Margins) - 1
	}
	m := &c.Margins[i]
	m.Runs++
	if change := new.Share - old.Share; math.Abs(change) > math.Abs(m.Share) {
		m.Old, m.New, m.Share = old.Margin, new.Margin, change
	}
}

func (c *Class) alarm(a AlarmChange) {
	i := slices.IndexFunc(c.Alarms, func(t AlarmTally) bool { return t.Alarm == a.Alarm })
	if i < 0 {
		c.Alarms = append(c.Alarms, AlarmTally{Alarm: a.Alarm})
		slices.SortFunc(c.Alarms, func(x, y AlarmTally) int { return int(x.Alarm - y.Alarm) })
		i = slices.IndexFunc(c.Alarms, func(t AlarmTally) bool { return t.Alarm == a.Alarm })
	}
	switch t := &c.Alarms[i]; {
	case a.More > 0:
		t.More++
	case a.More < 0:
		t.Fewer++
	default:
		t.Else++
	}
}

// States lists the states that the new controllers reached in another number of runs
// of a class than the old ones, by name.
func (t *Tally) States(c *Class) []StateChange {
	names := t.renamed()
	var list []StateChange
	for r, n := range c.new {
		old, known := names[r]
		s := StateChange{Lock: r.Lock, New: r.State, NewRuns: n}
		if known {
			s.Old, s.OldRuns = old, c.old[Reached{r.Lock, old}]
		}
		if s.NewRuns != s.OldRuns {
			list = append(list, s)
		}
	}
	for r, n := range c.old {
		new := ""
		for k, old := range names {
			if k.Lock == r.Lock && old == r.State {
				new = k.State
			}
		}
		if c.new[Reached{r.Lock, new}] == 0 {
			list = append(list, StateChange{Lock: r.Lock, Old: r.State, New: new, OldRuns: n})
		}
	}
	slices.SortFunc(list, func(a, b StateChange) int {
		return cmp.Or(orderOf(a.Lock)-orderOf(b.Lock), cmp.Compare(a.Old, b.Old), cmp.Compare(a.New, b.New))
	})
	return list
}

// orderOf puts false before true.
func orderOf(b bool) int {
	if b {
		return 1
	}
	return 0
}

// renamed finds for the states of the new controllers those of the old ones that they
// went together with for longest, while no output differed; each but once. A state
// that was never reached by then keeps its name, if the old ones have it.
func (t *Tally) renamed() map[Reached]string {
	type pair struct {
		Met
		ticks int64
	}
	var list []pair
	for m, ticks := range t.met {
		list = append(list, pair{m, ticks})
	}
	slices.SortFunc(list, func(a, b pair) int {
		return cmp.Or(cmp.Compare(b.ticks, a.ticks), orderOf(a.Lock)-orderOf(b.Lock), cmp.Compare(a.Old, b.Old), cmp.Compare(a.New, b.New))
	})
	names, taken := map[Reached]string{}, map[Reached]bool{}
	give := func(lock bool, old, new string) {
		if _, known := names[Reached{lock, new}]; !known && !taken[Reached{lock, old}] {
			names[Reached{lock, new}], taken[Reached{lock, old}] = old, true
		}
	}
	for _, p := range list {
		give(p.Lock, p.Old, p.New)
	}
	for _, c := range t.Classes() {
		for r := range c.new {
			if c.old[r] > 0 {
				give(r.Lock, r.State, r.State)
			}
		}
	}
	return names
}

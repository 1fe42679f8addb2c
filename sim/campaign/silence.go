package campaign

import (
	"cmp"
	"slices"

	"slatbench/sim"
)

// Silent counts the runs in which a controller went silent.
type Silent struct {
	Runs  int
	First uint64      // index of the first of them
	What  sim.Silence // the first of that run
}

func (s *Silent) add(o *Silent) {
	if o.Runs > 0 && (s.Runs == 0 || o.First < s.First) {
		s.First, s.What = o.First, o.What
	}
	s.Runs += o.Runs
}

// Silenced is one way in which controllers went silent: which of them, and why.
type Silenced struct {
	Bay   int // index, or sim.LockPost
	Why   string
	Runs  int
	At    int64    // step, in the first of the runs
	Cases []uint64 // indices of the first runs, mostCases of them
}

// Bounds of what is kept of runs in which controllers went silent, so that a tally does
// not grow with their number: ways that are told apart, and runs that are named of each.
const (
	mostSilenced = 100
	mostCases    = 20
)

// silences counts a run in which controllers went silent.
func (t *Tally) silences(index uint64, list []sim.Silence) {
	if len(list) == 0 {
		return
	}
	t.Silent.add(&Silent{1, index, list[0]})
	for i, s := range list {
		if !slices.ContainsFunc(list[:i], func(o sim.Silence) bool { return o.Bay == s.Bay && o.Why == s.Why }) {
			t.silenced(&Silenced{s.Bay, s.Why, 1, s.At, []uint64{index}})
		}
	}
}

// silenced adds what is counted of one way.
func (t *Tally) silenced(o *Silenced) {
	i := slices.IndexFunc(t.Silenced, func(s Silenced) bool { return s.Bay == o.Bay && s.Why == o.Why })
	switch {
	case i < 0 && len(t.Silenced) == mostSilenced:
		t.SilencedElse += o.Runs
		return
	case i < 0:
		s := *o
		s.Cases = slices.Clone(o.Cases)
		t.Silenced = append(t.Silenced, s)
		return
	}
	s := &t.Silenced[i]
	if o.Cases[0] < s.Cases[0] {
		s.At = o.At
	}
	s.Runs += o.Runs
	s.Cases = append(s.Cases, o.Cases...)
	slices.Sort(s.Cases)
	s.Cases = s.Cases[:min(len(s.Cases), mostCases)]
}

// WentSilent are the ways in which controllers went silent, the one with the most runs
// first; of equals the one that was met first.
func (t *Tally) WentSilent() []Silenced {
	list := slices.Clone(t.Silenced)
	slices.SortFunc(list, func(a, b Silenced) int {
		return cmp.Or(b.Runs-a.Runs, cmp.Compare(a.Cases[0], b.Cases[0]), cmp.Compare(a.At, b.At), a.Bay-b.Bay, cmp.Compare(a.Why, b.Why))
	})
	return list
}

package campaign

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"slatbench/sim/logic"
	"slatbench/sim/require"
)

// stimulus is a case of the corpus with what the original did in it.
type stimulus struct {
	c      *Case
	broken []string // requirements that the original itself breaks in it
	end    int64    // steps that it took: what it costs
	family string
	record
}

// corpus is the stimuli that mutants are played.
type corpus struct {
	plan    *Plan
	base    *logic.Table
	pairs   []pair // answers of one state each: the bits of fired
	states  []pair // and those of visited
	stimuli []*stimulus
	crew    []*original // one a worker
	dropped int         // cases that could not be played
}

// pair is a transition from one of its states, or a state where row is -1.
type pair struct {
	lock bool
	row  int
	from string
}

// singly is the table with a transition for each state that answers, in the order of
// pairs; it does the same, and tells by Fired which state's answer was given.
func singly(t *logic.Table) (*logic.Table, []pair, []pair) {
	var pairs, states []pair
	one := func(m *logic.Machine, lock bool) logic.Machine {
		c := logic.Machine{Start: m.Start, States: m.States}
		for i := range m.States {
			states = append(states, pair{lock, -1, m.States[i].Name})
		}
		for row := range m.Transitions {
			for _, from := range m.Transitions[row].From {
				r := m.Transitions[row]
				r.From = []string{from}
				c.Transitions = append(c.Transitions, r)
				pairs = append(pairs, pair{lock, row, from})
			}
		}
		return c
	}
	s := *t
	s.Door, s.Lock = one(&t.Door, false), one(&t.Lock, true)
	return &s, pairs, states
}

// inParallel calls work for 0 to n-1, shared out among workers; each worker has its own
// second argument. It ends early with the context.
func inParallel(ctx context.Context, n, workers int, work func(i, worker int)) error {
	var next atomic.Int64
	var wait sync.WaitGroup
	for worker := range workers {
		wait.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				work(i, worker)
			}
		})
	}
	wait.Wait()
	return ctx.Err()
}

// newCorpus plays the original in cases drawn by their index, and in copies of them that
// reach what is rare.
func newCorpus(ctx context.Context, p *Plan, base *logic.Table, draws, copies, workers int, done func()) (*corpus, error) {
	table, pairs, states := singly(base)
	k := &corpus{plan: p, base: base, pairs: pairs, states: states}
	for range workers {
		k.crew = append(k.crew, newOriginal(p, table))
	}
	list := make([]*stimulus, draws)
	err := inParallel(ctx, draws, workers, func(i, worker int) {
		list[i] = k.crew[worker].play(p.Draw(uint64(i)))
		done()
	})
	if err != nil {
		return nil, err
	}
	for _, s := range list {
		if s == nil {
			k.dropped++
		} else {
			k.stimuli = append(k.stimuli, s)
		}
	}
	if len(k.stimuli) == 0 {
		return nil, errNoStimuli
	}
	return k, k.vary(ctx, copies, done)
}

var errNoStimuli = errors.New("none of the cases that were drawn can be played")

// play keeps what the original does in a case; nil where the case cannot be played.
func (o *original) play(c *Case) *stimulus {
	s := &stimulus{c: c, family: familyOf(c)}
	o.watch.begin(&s.record, nil)
	out := o.player.Play(c)
	if out.Err != nil {
		return nil
	}
	o.watch.end()
	s.fired, s.end = out.Transitions, o.player.Played().End
	for i := range out.Results {
		if out.Results[i].Verdict == require.Violated {
			s.broken = append(s.broken, out.Results[i].ID)
		}
	}
	return s
}

// catches is the first requirement that is violated and that the original keeps.
func catches(list []require.Result, broken []string) *require.Result {
	for i := range list {
		if r := &list[i]; r.Verdict == require.Violated && !slices.Contains(broken, r.ID) {
			return r
		}
	}
	return nil
}

// familyOf is what goes wrong in a case, in words: two cases of a family try much the same.
func familyOf(c *Case) string {
	var kinds []string
	for i := range c.Faults {
		kinds = append(kinds, c.Faults[i].Kind)
	}
	slices.Sort(kinds)
	return strings.Join(slices.Compact(kinds), " ")
}

// reaching lists the stimuli in which a mutant could differ, the ones to try first first:
// in turn one of each family, the cheapest of each first.
func (k *corpus) reaching(s *site) []*stimulus {
	byFamily := map[string][]*stimulus{}
	var families []string
	for _, x := range k.stimuli {
		if k.reaches(x, s) {
			if byFamily[x.family] == nil {
				families = append(families, x.family)
			}
			byFamily[x.family] = append(byFamily[x.family], x)
		}
	}
	for _, f := range families {
		slices.SortStableFunc(byFamily[f], func(a, b *stimulus) int { return cmp.Compare(a.end, b.end) })
	}
	slices.SortStableFunc(families, func(a, b string) int {
		return cmp.Compare(byFamily[a][0].end, byFamily[b][0].end)
	})
	var list []*stimulus
	for round := 0; ; round++ {
		before := len(list)
		for _, f := range families {
			if round < len(byFamily[f]) {
				list = append(list, byFamily[f][round])
			}
		}
		if len(list) == before {
			return list
		}
	}
}

// reaches tells that the original came, in a stimulus, to where a mutant is mistaken.
// Until then the mutant does the same.
func (k *corpus) reaches(x *stimulus, s *site) bool {
	if s.param != "" {
		return true
	}
	if s.row < 0 {
		for _, name := range s.in {
			if i := slices.Index(k.states, pair{s.lock, -1, name}); has(x.visited, i) {
				return true
			}
		}
		return false
	}
	i := slices.Index(k.pairs, pair{s.lock, s.row, s.from})
	return has(x.fired, i)
}

package campaign

import (
	"context"
	"fmt"
	"math"
	"slices"

	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// Quest is what a search looks for, and how long.
type Quest struct {
	// Target is the requirement that is to be violated; empty is any.
	Target string
	// Budget is how many cases are played at most, 1 or more. Every case counts.
	Budget int
	// Seed takes the place of the plan's: its first draws are the first plays of
	// a search, and what is pushed on comes from it too.
	Seed uint64
	// First is how many cases are drawn before any is pushed on; 0 is 100. At
	// Budget or above, the search only samples.
	First int
}

// firstDraws is what a Quest draws first where it does not say. Fewer give shares
// with too little choice, more give sampling's runs away to sampling.
const firstDraws = 100

// SearchResult is what a search came to. Its runs are guided, not drawn: no bound
// on a probability follows from them.
type SearchResult struct {
	Found  *Case // violates the target; nil where the budget ended first
	Guided bool  // Found is not as drawn: its seed and index alone do not give it

	Plays    int // cases played, Found included
	Drawn    int // of them, as a campaign draws them
	Pushed   int // of them, near misses pushed on
	Unplayed int // of them, that the bench could not play

	Nearest *Case          // of the smallest share; Found, where something is. Its Index is of the draw that it began as
	Near    require.Result // of Nearest
	Flat    []string       // clauses whose shares gave nothing to push on, as "requirement clause"
}

// Search looks for a case that violates a requirement. It draws cases as a
// campaign does, keeps near misses, and pushes on their continuous parameters (see
// [Case.Vector]) by the cross-entropy method until a share falls below zero. Now and
// then it gives a near miss the faults of another draw. A third of the plays stay
// draws, the same as sampling would play: new near misses come in by them, and where
// shares say nothing a search needs three times the plays of sampling at the most.
//
// Unless recovery is looked for, a case is left when everything is mended: what
// [Player.Play] does after that would cost as much again.
//
// What it does is a function of the plan, the controllers and the quest alone. It
// serves one goroutine; a search for each requirement can run beside others. An
// error is a plan or quest that makes no sense, or the context's.
func Search(ctx context.Context, p *Plan, c Controllers, q Quest) (SearchResult, error) {
	s, err := newSeeker(p, c, q)
	if err != nil {
		return SearchResult{}, err
	}
	for s.left() {
		if err := ctx.Err(); err != nil {
			return s.result, err
		}
		s.round()
	}
	return s.result, nil
}

// seeker is a search under way.
type seeker struct {
	plan   Plan
	quest  Quest
	player *Player
	chance *source
	wanted []int // indices of requirements
	pools  []*pool
	next   uint64 // index of the next draw
	result SearchResult
}

// guidedStream is an index of which no campaign draws: the stream from which
// near misses are pushed on.
const guidedStream = math.MaxUint64

func newSeeker(p *Plan, c Controllers, q Quest) (*seeker, error) {
	if q.Budget < 1 {
		return nil, fmt.Errorf("a search of %d runs, expected 1 or more", q.Budget)
	}
	s := &seeker{plan: *p, quest: q, chance: newSource(q.Seed, guidedStream)}
	s.plan.Seed = q.Seed
	if s.quest.First <= 0 {
		s.quest.First = firstDraws
	}
	for i, id := range require.IDs {
		if q.Target == "" || q.Target == id {
			s.wanted = append(s.wanted, i)
		}
	}
	if len(s.wanted) == 0 {
		return nil, fmt.Errorf("no requirement is named %q, expected one of %v", q.Target, require.IDs)
	}
	if err := s.plan.Check(); err != nil {
		return nil, err
	}
	s.player = NewPlayer(&s.plan, c)
	return s, nil
}

func (s *seeker) left() bool { return s.result.Found == nil && s.result.Plays < s.quest.Budget }

// round draws until there is something to push on, and then half as many as are pushed.
func (s *seeker) round() {
	if s.result.Drawn < s.quest.First+s.result.Pushed/2 {
		s.draw()
		return
	}
	if l := s.choose(); l != nil {
		s.push(l)
	} else {
		s.draw()
	}
}

// draw plays the next case of the campaign with this seed.
func (s *seeker) draw() {
	c := s.plan.Draw(s.next)
	s.next++
	s.result.Drawn++
	for _, r := range s.play(c) {
		if near(&r) {
			s.pool(&r).offer(c, &r)
		}
	}
}

// push plays a generation of cases around a near miss, and then some with other
// faults.
func (s *seeker) push(l *lead) {
	for range generation {
		if !s.left() {
			return
		}
		c := l.cloud.sample(s.chance, l.best)
		share := math.Inf(1)
		if r := s.pushed(l, c); r != nil {
			share = r.Share
		}
		l.cloud.take(c, share)
	}
	before := l.share
	l.learn()
	for range grafts {
		if !s.left() || s.plan.Faults == 0 {
			break
		}
		c := s.graft(l)
		if r := s.pushed(l, c); r != nil && r.Share < l.share {
			l.begin(c, r)
		}
	}
	l.rest(before)
}

// pushed plays a case and gives the result on the clause that the lead is about, nil
// where it has none.
func (s *seeker) pushed(l *lead, c *Case) *require.Result {
	s.result.Pushed++
	list := s.play(c)
	for i := range list {
		if near(&list[i]) && s.pool(&list[i]) == l.pool {
			return &list[i]
		}
	}
	return nil
}

// graft is a near miss with the faults of some draw in place of its own, brought to
// the place where it was near. Events stay: they are a part of the story.
func (s *seeker) graft(l *lead) *Case {
	c := l.best.Clone()
	c.Faults = slices.DeleteFunc(c.Faults, func(f FaultDraw) bool { return !isEvent(f.Kind) })
	for _, f := range s.plan.Draw(s.chance.pcg.Uint64()).Faults {
		k, _ := fault.Find(f.Kind)
		switch {
		case k.Event:
			continue
		case k.Place == fault.OnBay && l.bay >= 0:
			f.Place = l.bay
		case k.Place == fault.OnSide && l.side >= 0:
			f.Place = l.side
		}
		f.From = math.Min(f.From, c.HealAt-lastChance)
		f.Until = math.Max(math.Min(f.Until, c.HealAt), f.From+0.01)
		c.Faults = append(c.Faults, f)
	}
	return c
}

func isEvent(kind string) bool {
	k, ok := fault.Find(kind)
	return ok && k.Event
}

// play plays a case and gives the wanted results.
func (s *seeker) play(c *Case) []require.Result {
	s.result.Plays++
	o := s.player.PlayUntil(c, s.enough(c))
	if o.Err != nil {
		s.result.Unplayed++
		return nil
	}
	var list []require.Result
	for _, i := range s.wanted {
		list = append(list, o.Results[i])
		s.closest(c, &o.Results[i])
	}
	return list
}

// enough is when a case can be left: something wanted is violated, or nothing is
// wrong any more.
func (s *seeker) enough(c *Case) func([]require.Result) bool {
	looks, last := 0, math.Inf(1)
	if !slices.ContainsFunc(s.wanted, func(i int) bool { return require.IDs[i] == "recovery" }) {
		last = c.HealAt
	}
	return func(list []require.Result) bool {
		looks++
		return float64(looks*lookEvery)*s.plan.tick() >= last ||
			slices.ContainsFunc(s.wanted, func(i int) bool { return list[i].Verdict == require.Violated })
	}
}

// closest keeps the case with the smallest share, and what violates.
func (s *seeker) closest(c *Case, r *require.Result) {
	found := r.Verdict == require.Violated
	switch {
	case s.result.Found != nil || !found && !near(r):
		return
	case !found && s.result.Nearest != nil && r.Share >= s.result.Near.Share:
		return
	}
	s.result.Nearest, s.result.Near = c, *r
	if found {
		s.result.Found, s.result.Guided = c, c.Hash() != s.plan.Draw(c.Index).Hash()
	}
}

// near tells that a result has a share to go by: a violation that is exempt has
// nothing to be pushed on to.
func near(r *require.Result) bool {
	return r.Verdict == require.Holds && !math.IsNaN(r.Share) && !math.IsInf(r.Share, 0)
}

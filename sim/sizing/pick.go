package sizing

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
)

// Candidate is a spring, or two on one shaft, that a door was tried with.
type Candidate struct {
	Springs []int   // places in the list
	Turns   float64 // recommended
	Rate    float64 // N·m per turn, together
	Window  Window
	Margin  float64 // turns to the nearer end of the window
	Verdict Verdict // of what the springs decide
	Score   float64 // the least of it
	Worst   Aspect
	Stress  float64 // of where the wire sets, the worse spring
	Life    float64 // cycles, the shorter-lived spring
	Length  float64 // m of shaft, wound
	Cost    float64 // NaN where a price is missing
	// Opening and Closing are in s: by quadrature; simulated for the first of the
	// ranking.
	Opening, Closing float64
	Simulated        bool
}

// Picked is the ranking of a list.
type Picked struct {
	List     []Spring
	Fits     []Candidate // the best first
	Tried    int         // springs and pairs
	Singles  int
	Mixed    bool // pairs of different springs were tried
	Rejected []Rejection
}

// Rejection is why candidates do not fit, and how many.
type Rejection struct {
	Why   string
	Count int
}

// Order is what candidates that fit are ranked by, after their verdict.
type Order int

// The orders.
const (
	ByMargin Order = iota // the least score
	ByLife
	ByCost
)

// OrderWords are the words for them.
var OrderWords = []string{"margin", "life", "cost"}

// PickOptions says how a list is gone through.
type PickOptions struct {
	Pairs   bool
	By      Order
	Workers int
	Done    func() // called for every candidate, from any worker; may be nil
}

const (
	// mostMixed is the longest list of which every spring is paired with every other;
	// of a longer one each is paired with its like only.
	mostMixed = 1000
	mostList  = 100_000
	// simulatedFirst is how many of the ranking are played on the whole model.
	simulatedFirst = 20
)

// springAspects are what springs decide.
var springAspects = []Aspect{
	StaysPut, InitialTurns, TurnsLeft, HandUp, HandDown, HoldOpen, OpeningTime, ClosingTime, RunningCurrent, RunningSupply,
	Stress, SpringLife, ShaftClearance, ShaftRoom,
}

// Pick tries every spring of a list, and every pair on one shaft, and ranks those
// that work. Springs and turns of the question itself do not matter.
func Pick(ctx context.Context, q *Question, list []Spring, o PickOptions) (*Picked, error) {
	bare := q.clone()
	bare.Springs, bare.RateFactor, bare.Bay.Counterbalance.InitialTurns = nil, 1, 0
	bare.Bay.Counterbalance.Rate = 1 // any: it is not used
	if err := firstProblem(bare); err != nil {
		return nil, err
	}
	if len(list) == 0 || len(list) > mostList {
		return nil, fmt.Errorf("a list of %d springs, expected 1 to %d", len(list), mostList)
	}
	p := &Picked{List: list, Singles: len(list), Mixed: o.Pairs && len(list) <= mostMixed}
	pairs := p.pairs(o.Pairs)
	p.Tried = len(pairs)
	tried := make([]Candidate, len(pairs))
	why := make([]string, len(pairs))
	err := each(ctx, len(pairs), o.Workers, o.Done, func(i int) {
		tried[i], why[i] = try(bare, list, pairs[i])
	})
	if err != nil {
		return nil, err
	}
	counts := map[string]int{}
	for i := range tried {
		if why[i] != "" {
			counts[why[i]]++
			continue
		}
		p.Fits = append(p.Fits, tried[i])
	}
	for reason, n := range counts {
		p.Rejected = append(p.Rejected, Rejection{reason, n})
	}
	slices.SortFunc(p.Rejected, func(a, b Rejection) int { return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.Why, b.Why)) })
	slices.SortStableFunc(p.Fits, func(a, b Candidate) int { return o.By.compare(&a, &b) })
	p.simulate(bare)
	return p, nil
}

// Candidates is how many springs and pairs of a list of n are tried.
func Candidates(n int, pairs bool) int {
	switch {
	case !pairs:
		return n
	case n > mostMixed:
		return 2 * n
	}
	return n + n*(n+1)/2
}

// pairs lists the candidates: each spring alone, then pairs.
func (p *Picked) pairs(too bool) [][]int {
	out := make([][]int, 0, len(p.List))
	for i := range p.List {
		out = append(out, []int{i})
	}
	for i := 0; too && i < len(p.List); i++ {
		last := i
		if p.Mixed {
			last = len(p.List) - 1
		}
		for k := i; k <= last; k++ {
			out = append(out, []int{i, k})
		}
	}
	return out
}

// with puts a candidate's springs on the shaft.
func with(bare *Question, list []Spring, pair []int, turns float64) *Question {
	q := bare.clone()
	for _, i := range pair {
		q.Springs = append(q.Springs, list[i])
	}
	q.Bay.Counterbalance.InitialTurns = turns
	return q
}

// try finds the turns for a candidate and judges it; why is empty where it fits.
func try(bare *Question, list []Spring, pair []int) (c Candidate, why string) {
	q := with(bare, list, pair, 0)
	if problems := Check(q); len(problems) > 0 {
		return c, ruleOf(problems[0])
	}
	g := newRig(q)
	w := g.window(q, atFail)
	turns := g.recommend(q, w)
	if math.IsNaN(turns) {
		return c, fmt.Sprintf("with few turns %s, with more %s", w.LowBy, w.HighBy)
	}
	q.Bay.Counterbalance.InitialTurns = turns
	if problems := Check(q); len(problems) > 0 {
		return c, ruleOf(problems[0])
	}
	r := answer(q, false)
	c = Candidate{
		Springs: pair, Turns: turns, Rate: q.Rate(), Window: w, Margin: math.Min(turns-w.Low, w.High-turns),
		Stress: r.Of(Stress).Value, Life: r.Of(SpringLife).Value, Score: math.Inf(1), Verdict: Pass,
		Opening: r.Up.Time, Closing: r.Down.Time,
	}
	for _, i := range pair {
		c.Cost += list[i].Cost
		c.Length += list[i].WoundLength(turns)
	}
	c.judge(r)
	if c.Verdict == Fail {
		return c, c.Worst.Info().Name + " fails"
	}
	return c, ""
}

// judge takes the worst of what springs decide.
func (c *Candidate) judge(r *Result) {
	c.Score, c.Verdict = math.Inf(1), Pass
	for _, aspect := range springAspects {
		a := r.Of(aspect)
		if a.Verdict == NotJudged {
			continue
		}
		c.Verdict = max(c.Verdict, a.Verdict)
		if a.Score < c.Score {
			c.Score, c.Worst = a.Score, aspect
		}
	}
}

// ruleOf is a problem in words that do not depend on its figures.
func ruleOf(p *Problem) string {
	last := "question"
	for _, step := range p.Path {
		if key, ok := step.(string); ok {
			last = key
		}
	}
	switch last {
	case "length":
		return "no room on the shaft"
	case "inside":
		return "it does not go over the shaft, or its coil index is out of range"
	}
	return last + " out of range"
}

// simulate plays the first of the ranking on the whole model.
func (p *Picked) simulate(bare *Question) {
	for i := range p.Fits[:min(len(p.Fits), simulatedFirst)] {
		c := &p.Fits[i]
		r := answer(with(bare, p.List, c.Springs, c.Turns), true)
		c.Opening, c.Closing, c.Simulated = r.Of(OpeningTime).Value, r.Of(ClosingTime).Value, true
	}
}

// compare ranks two candidates.
func (o Order) compare(a, b *Candidate) int {
	by := []int{cmp.Compare(b.Score, a.Score), cmp.Compare(b.Life, a.Life), compareCost(a.Cost, b.Cost)}
	switch o {
	case ByLife:
		by[0], by[1] = by[1], by[0]
	case ByCost:
		by[0], by[1], by[2] = by[2], by[0], by[1]
	}
	return cmp.Or(cmp.Compare(a.Verdict, b.Verdict), by[0], by[1], by[2], cmp.Compare(len(a.Springs), len(b.Springs)), slices.Compare(a.Springs, b.Springs))
}

// compareCost puts what has no price last.
func compareCost(a, b float64) int {
	switch {
	case math.IsNaN(a) && math.IsNaN(b):
		return 0
	case math.IsNaN(a):
		return 1
	case math.IsNaN(b):
		return -1
	}
	return cmp.Compare(a, b)
}

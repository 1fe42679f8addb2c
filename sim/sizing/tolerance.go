package sizing

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"slatbench/sim/campaign"
)

// Tolerance is how far an input may lie from what is stated, either way. Every
// value within is held for equally likely, and all inputs for independent: the
// least that a stated tolerance says.
type Tolerance struct {
	Input *Input
	By    float64 // in the input's unit, or a share of the stated value
	Share bool
}

// draw is the value for u of 0 to 1, kept within what the input can be.
func (t *Tolerance) draw(stated, u float64) float64 {
	by := t.By
	if t.Share {
		by *= math.Abs(stated)
	}
	return math.Max(t.Input.Low, math.Min(t.Input.High, stated+float64(by*(2*u-1))))
}

// Fleet is what came of many trucks that differ within tolerances.
type Fleet struct {
	Trucks          int
	Passing         int     // every answer passes
	Working         int     // none fails
	PassLow         float64 // of the share that passes, 95 %, Clopper and Pearson
	PassHigh        float64
	WorkLow         float64 // of the share in which nothing fails
	WorkHigh        float64
	FailedBy        [Aspects]int // trucks in which each aspect fails
	Opening         [3]float64   // s: 5 %, half, 95 % of the trucks take no longer; +Inf: never open
	Closing         [3]float64
	Influence       []Influence // the greatest first
	On              string      // what that is an influence on: ScoreWords or TimeWords
	Constant        bool        // it is the same in all trucks: no influence to tell
	Runs            int         // simulations in all
	Seed            uint64
	ScoreLow, Score float64 // 5 % and half of the trucks have no greater least score
}

// What influence is measured on: the least score, or the slower travel time, kept
// within 30 s, where the least score hardly differs from truck to truck, as when one
// answer that no tolerance bears on decides.
const (
	ScoreWords = "the least score"
	TimeWords  = "the slower travel time"
)

// hardly, of a score: a spread below it is of no interest to anybody.
const hardly = 0.05

// Influence is how much of the variance a tolerance causes.
type Influence struct {
	Tolerance Tolerance
	First     float64 // first-order index: by itself
	FirstErr  float64 // half of its 95 % interval, by bootstrap
	Total     float64 // total index: with all that it does together with others
}

// scoreBound keeps one hopeless or idle answer from being all of the variance.
const scoreBound = 3.0

// InfluenceMethod names how influence is measured.
const InfluenceMethod = "share of the variance: first-order and total indices of Sobol, estimated as by Saltelli et al. 2010 and Jansen 1999; ± is half of a 95 % bootstrap interval"

// mostTrucks bounds a fleet.
const mostTrucks = 1_000_000

// Tolerances asks of a fleet of trucks. Half of them are the rows of a matrix A,
// half of B; for every tolerance the rows of A are asked again with its column taken
// from B, for the influence. A truck is drawn from seed and its number alone, so the
// result does not depend on the number of workers.
func Tolerances(ctx context.Context, q *Question, list []Tolerance, trucks int, seed uint64, workers int, done func()) (*Fleet, error) {
	if err := firstProblem(q); err != nil {
		return nil, err
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("no tolerances, expected at least one")
	}
	if trucks < 10 || trucks > mostTrucks {
		return nil, fmt.Errorf("%d trucks, expected 10 to %d", trucks, mostTrucks)
	}
	for i := range list {
		if math.IsNaN(list[i].Input.Get(q)) {
			return nil, fmt.Errorf("this question has no %s to vary", list[i].Input.Name)
		}
	}
	s := newSample(q, list, (trucks+1)/2, seed)
	if err := each(ctx, len(s.out), workers, done, s.ask); err != nil {
		return nil, err
	}
	return s.fleet(), nil
}

// FleetRuns is how many simulations a fleet takes.
func FleetRuns(trucks, tolerances int) int { return (trucks + 1) / 2 * (tolerances + 2) }

// sample is the two matrices and what came of their rows.
type sample struct {
	q    *Question
	list []Tolerance
	n    int // rows of A, and of B
	seed uint64
	u    [][]float64 // rows of A, then of B
	out  []outcome   // A, B, then A with one column of B, column after column
}

type outcome struct {
	score            float64
	verdict          Verdict
	failed           uint32
	opening, closing float64
}

func newSample(q *Question, list []Tolerance, n int, seed uint64) *sample {
	s := &sample{q: q, list: list, n: n, seed: seed, u: make([][]float64, 2*n), out: make([]outcome, n*(len(list)+2))}
	for row := range s.u {
		rng := rand.New(rand.NewPCG(seed, uint64(row)))
		s.u[row] = make([]float64, len(list))
		for k := range list {
			s.u[row][k] = rng.Float64()
		}
	}
	return s
}

// ask plays truck i.
func (s *sample) ask(i int) {
	row, swapped := i, -1
	if i >= 2*s.n {
		row, swapped = i%s.n, i/s.n-2
	}
	q := s.q.clone()
	for k := range s.list {
		u := s.u[row][k]
		if k == swapped {
			u = s.u[row+s.n][k]
		}
		t := &s.list[k]
		t.Input.Set(q, t.draw(t.Input.Get(s.q), u))
	}
	s.out[i] = outcomeOf(q)
}

// outcomeOf counts a truck that cannot be as one in which everything fails.
func outcomeOf(q *Question) outcome {
	o := outcome{score: -scoreBound, verdict: Fail, opening: math.Inf(1), closing: math.Inf(1)}
	if firstProblem(q) != nil {
		return o
	}
	r := answer(q, true)
	o.verdict, o.opening, o.closing = r.Verdict, r.Of(OpeningTime).Value, r.Of(ClosingTime).Value
	o.score = math.Max(-scoreBound, math.Min(scoreBound, r.Worst().Score))
	for i := range r.Answers {
		if r.Answers[i].Verdict == Fail {
			o.failed |= 1 << r.Answers[i].Aspect
		}
	}
	return o
}

func (s *sample) fleet() *Fleet {
	trucks := s.out[:2*s.n]
	f := &Fleet{Trucks: len(trucks), Runs: len(s.out), Seed: s.seed}
	var opening, closing, scores []float64
	for i := range trucks {
		o := &trucks[i]
		if o.verdict == Pass {
			f.Passing++
		}
		if o.verdict != Fail {
			f.Working++
		}
		for a := range f.FailedBy {
			f.FailedBy[a] += int(o.failed >> a & 1)
		}
		opening, closing, scores = append(opening, o.opening), append(closing, o.closing), append(scores, o.score)
	}
	f.PassLow, f.PassHigh = interval(f.Passing, f.Trucks)
	f.WorkLow, f.WorkHigh = interval(f.Working, f.Trucks)
	for i, share := range [...]float64{0.05, 0.5, 0.95} {
		f.Opening[i], f.Closing[i] = quantile(opening, share), quantile(closing, share)
	}
	f.ScoreLow, f.Score = quantile(scores, 0.05), quantile(scores, 0.5)
	all := make([]float64, len(s.out))
	f.On = ScoreWords
	if quantile(scores, 0.95)-f.ScoreLow < hardly {
		f.On = TimeWords
	}
	for i := range s.out {
		all[i] = s.out[i].score
		if f.On == TimeWords {
			all[i] = math.Min(runLimit, math.Max(s.out[i].opening, s.out[i].closing))
		}
	}
	f.Influence, f.Constant = s.influence(all)
	return f
}

// interval is that of a share, to a billionth: the last digits of the quantiles of the
// beta distribution differ from machine to machine.
func interval(k, n int) (low, high float64) {
	const billion = 1e9
	low, high = campaign.Interval(k, n, campaign.Confidence)
	return math.Round(low*billion) / billion, math.Round(high*billion) / billion
}

// quantile is the value that a share of the list does not exceed.
func quantile(list []float64, share float64) float64 {
	sorted := slices.Clone(list)
	slices.Sort(sorted)
	return sorted[max(0, int(math.Ceil(share*float64(len(sorted))))-1)]
}

func (s *sample) influence(y []float64) (list []Influence, constant bool) {
	first, total := sobol(y, s.n, len(s.list), nil)
	if math.IsNaN(first[0]) {
		for k := range s.list {
			list = append(list, Influence{Tolerance: s.list[k], First: math.NaN(), FirstErr: math.NaN(), Total: math.NaN()})
		}
		return list, true
	}
	errs := bootstrap(y, s.n, len(s.list), s.seed)
	for k := range s.list {
		list = append(list, Influence{Tolerance: s.list[k], First: first[k], FirstErr: errs[k], Total: total[k]})
	}
	slices.SortStableFunc(list, func(a, b Influence) int { return cmp.Compare(b.First, a.First) })
	return list, false
}

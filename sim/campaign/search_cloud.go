package campaign

import (
	"math"
	"slices"

	"slatbench/model"
)

// cloud is the distribution from which the cases around a near miss are drawn: the
// cross-entropy method (Rubinstein, Kroese: The Cross-Entropy Method, 2004; from
// memory) with independent normal coordinates, each in shares of its bounds.
//
// It departs from the book in two ways, since a case has some fifty coordinates and
// gets some tens of runs. The cloud lies around the best case so far, not around the
// mean of the elite. And each case moves few coordinates: a press that comes half a
// second off can undo all else, so that moving all of them at once gets nowhere.
type cloud struct {
	low, wide []float64
	spread    []float64 // deviation of each coordinate
	drawn     int
	step      []float64 // of the case that was drawn last, before narrowing; NaN where it stayed
	tried     []tried
}

// tried is a case of the present generation.
type tried struct {
	c     *Case
	step  []float64
	share float64
}

const (
	// generation is how many cases are played around a near miss before the cloud moves.
	generation = 6
	elites     = 2
	// grafts is how many cases with other faults follow it.
	grafts = 3
	// firstSpread is wide: a corner is what most often breaks, and bounds turn back
	// what would lie beyond.
	firstSpread = 0.5
	leastSpread = 0.01
	// spreadLearns is how far a spread goes to that of the elite at once: all the
	// way, and a lucky pair ends the search.
	spreadLearns = 0.2
)

// narrower are the parts of the spread that cases take by turns, and sparser the
// probabilities with which a coordinate moves at all. Tried on sums of twelve
// coordinates with a dozen others that had to stay.
var (
	narrower = [...]float64{1, 1, 0.2}
	sparser  = [...]float64{0.3, 0.15, 0.06}
)

func newCloud(c *Case) cloud {
	low, high := c.Bounds()
	k := cloud{low: low, wide: make([]float64, len(low)), spread: make([]float64, len(low))}
	for i := range low {
		k.wide[i], k.spread[i] = high[i]-low[i], firstSpread
	}
	return k
}

// shares are a case's coordinates in shares of the bounds.
func (k *cloud) shares(c *Case) []float64 {
	v := c.Vector()
	for i := range v {
		if k.wide[i] > 0 {
			v[i] = (v[i] - k.low[i]) / k.wide[i]
		} else {
			v[i] = 0
		}
	}
	return v
}

// sample draws a case near the best. As in a draw, nobody does anything before the
// controllers have woken: what they make of that is no finding.
func (k *cloud) sample(s *source, best *Case) *Case {
	narrow, sparse := narrower[k.drawn%len(narrower)], sparser[k.drawn/len(narrower)%len(sparser)]
	k.drawn++
	v := k.shares(best)
	k.step = make([]float64, len(v))
	for i := range v {
		k.step[i] = math.NaN()
		if s.chance(sparse) {
			k.step[i] = float64(k.spread[i] * s.normal())
			v[i] = reflect01(v[i] + float64(narrow*k.step[i]))
		}
		v[i] = k.low[i] + float64(v[i]*k.wide[i])
	}
	c := best.Clone()
	c.SetVector(v)
	for i := range c.Steps {
		c.Steps[i].At = math.Max(c.Steps[i].At, firstLaw.low)
	}
	return c
}

// reflect01 turns back at 0 and 1 what would lie beyond.
func reflect01(x float64) float64 {
	x = math.Abs(x)
	if x > 1 {
		x = 2 - x
	}
	return math.Min(math.Max(x, 0), 1)
}

// take takes up the case that was drawn last, with the share that it came to.
func (k *cloud) take(c *Case, share float64) {
	if !math.IsInf(share, 1) {
		k.tried = append(k.tried, tried{c, k.step, share})
	}
}

// nearest of the generation; nil where none has a share.
func (k *cloud) nearest() (*Case, float64) {
	if len(k.tried) == 0 {
		return nil, math.Inf(1)
	}
	slices.SortStableFunc(k.tried, func(a, b tried) int { return compareShares(a.share, b.share) })
	return k.tried[0].c, k.tried[0].share
}

// learn lets the spreads follow the elite, and begins the next generation.
func (k *cloud) learn() {
	elite := k.tried[:min(elites, len(k.tried))]
	for i := range k.spread {
		square, n := 0.0, 0.0
		for j := range elite {
			if x := elite[j].step[i]; !math.IsNaN(x) {
				square += float64(x * x)
				n++
			}
		}
		if n > 0 {
			old := float64(k.spread[i] * k.spread[i])
			k.spread[i] = math.Max(math.Sqrt(old+float64(spreadLearns*(square/n-old))), leastSpread)
		}
	}
	k.tried = k.tried[:0]
}

// normal is a standard normal number, by the polar method (Marsaglia, Bray 1964;
// from memory).
func (s *source) normal() float64 {
	for {
		x, y := s.between(-1, 1), s.between(-1, 1)
		r := float64(x*x) + float64(y*y)
		if r > 0 && r < 1 {
			return x * math.Sqrt(-2*model.Log(r)/r)
		}
	}
}

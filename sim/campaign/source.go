package campaign

import (
	"math"
	"math/rand/v2"

	"slatbench/model"
)

// source is the chance of one case. Only the generator's 64-bit words are used,
// and everything else is worked out of them here, so that a case stays the same
// from one version of Go to the next and from one machine to another.
type source struct{ pcg *rand.PCG }

// newSource begins the stream of one index of a campaign. The index is scattered
// first: neighbouring ones would start the generator in neighbouring states.
func newSource(seed, index uint64) *source {
	return &source{rand.NewPCG(seed, scatter(index))}
}

// scatter spreads a number over all 64 bits, no two onto the same: the finalizer of
// SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators,
// OOPSLA 2014; from memory).
func scatter(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// unit is uniform in [0, 1), in steps of 2⁻⁵³.
func (s *source) unit() float64 { return float64(s.pcg.Uint64()>>11) / (1 << 53) }

// below is uniform among 0 to n−1, n at most 2³². The bias of the multiplication is below 2⁻³².
func (s *source) below(n int) int { return int((s.pcg.Uint64() >> 32) * uint64(n) >> 32) }

// chance is true with a probability.
func (s *source) chance(p float64) bool { return s.unit() < p }

// pick is an index with a probability in proportion to its weight.
func (s *source) pick(weights []float64) int {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	x := float64(s.unit() * sum)
	for i, w := range weights {
		if x < w {
			return i
		}
		x -= w
	}
	return len(weights) - 1
}

// some draws k different numbers of 0 to n−1, in rising order.
func (s *source) some(k, n int) []int {
	var list []int
	for i := range n {
		if s.below(n-i) < k-len(list) {
			list = append(list, i)
		}
	}
	return list
}

// between is uniform in [low, high).
func (s *source) between(low, high float64) float64 {
	return low + float64((high-low)*s.unit())
}

// logBetween is uniform in the logarithm; both ends are above 0.
func (s *source) logBetween(low, high float64) float64 {
	a, b := model.Log(low), model.Log(high)
	return model.Exp(a + float64((b-a)*s.unit()))
}

// roundTo rounds to so many steps a unit; what is rounded to nothing has no sign.
func roundTo(x, per float64) float64 { return math.Round(x*per)/per + 0 }

// figures rounds to three figures, at which a number is still easy to read.
func figures(x float64) float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	per := 1.0
	for a := math.Abs(x); a*per < 100; {
		per *= 10
	}
	for a := math.Abs(x); a*per >= 1000; {
		per /= 10
	}
	if per < 1 {
		back := math.Round(1 / per)
		return math.Round(x/back) * back
	}
	return math.Round(x*per) / per
}

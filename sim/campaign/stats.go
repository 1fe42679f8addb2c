package campaign

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Confidence is that of the bounds in reports.
const Confidence = 0.95

// Interval is the exact two-sided interval of a probability of which k of n
// independent trials spoke: Clopper and Pearson, The use of confidence or fiducial
// limits illustrated in the case of the binomial, Biometrika 26 (1934), by the
// quantiles of the beta distribution. The confidence is between 0 and 1. It panics
// where k is not within 0 to n, or n is 0.
func Interval(k, n int, confidence float64) (low, high float64) {
	tail := (1 - confidence) / 2
	return lowest(k, n, tail), highest(k, n, tail)
}

// UpperBound is the exact one-sided upper bound of the same probability: with this
// confidence it is no greater. For k = 0 it is 1 − (1 − confidence)^(1/n), which the
// rule of three, 3/n, comes near to at 95 %.
func UpperBound(k, n int, confidence float64) float64 { return highest(k, n, 1-confidence) }

func lowest(k, n int, tail float64) float64 {
	checkTrials(k, n)
	if k == 0 {
		return 0
	}
	return distuv.Beta{Alpha: float64(k), Beta: float64(n - k + 1)}.Quantile(tail)
}

func highest(k, n int, tail float64) float64 {
	checkTrials(k, n)
	switch k {
	case n:
		return 1
	case 0: // exact, where the quantile would be a search
		return -math.Expm1(math.Log(tail) / float64(n))
	}
	return distuv.Beta{Alpha: float64(k + 1), Beta: float64(n - k)}.Quantile(1 - tail)
}

func checkTrials(k, n int) {
	if n < 1 || k < 0 || k > n {
		panic(fmt.Sprintf("campaign: %d of %d trials", k, n))
	}
}

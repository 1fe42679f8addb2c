package sizing

import (
	"math"
	"math/rand/v2"
	"slices"
)

// sobol estimates the first-order and total indices of k inputs from the outputs y
// of the n rows of A, the n of B, and for each input the n rows of A with its column
// from B. rows chooses which rows count, each as often as it is named; nil counts
// each once. With V the variance over A and B,
//
//	S_i = mean(f(B)·(f(A_B^i) − f(A)))/V      Saltelli et al., Comput. Phys. Commun. 181 (2010)
//	T_i = mean((f(A) − f(A_B^i))²)/(2V)       Jansen, Comput. Phys. Commun. 117 (1999)
//
// from memory; a test holds them against a function whose indices are known. All
// are NaN where nothing varies.
func sobol(y []float64, n, k int, rows []int) (first, total []float64) {
	first, total = make([]float64, k), make([]float64, k)
	if rows == nil {
		rows = make([]int, n)
		for i := range rows {
			rows[i] = i
		}
	}
	mean, square := 0.0, 0.0
	for _, i := range rows {
		mean += y[i] + y[n+i]
	}
	mean /= float64(2 * len(rows))
	for _, i := range rows {
		a, b := y[i]-mean, y[n+i]-mean
		square += float64(a*a) + float64(b*b)
	}
	variance := square / float64(2*len(rows))
	for j := range first {
		s, t := 0.0, 0.0
		for _, i := range rows {
			a, b, mixed := y[i]-mean, y[n+i]-mean, y[(2+j)*n+i]-mean
			s += float64(b * (mixed - a))
			t += float64((a - mixed) * (a - mixed))
		}
		if variance < 1e-18 {
			first[j], total[j] = math.NaN(), math.NaN()
			continue
		}
		first[j] = s / float64(len(rows)) / variance
		total[j] = t / float64(2*len(rows)) / variance
	}
	return first, total
}

// resamples is how often rows are drawn anew for an interval.
const resamples = 200

// bootstrap returns half of the 95 % percentile interval of every first-order index.
func bootstrap(y []float64, n, k int, seed uint64) []float64 {
	rng := rand.New(rand.NewPCG(seed, math.MaxUint64))
	rows := make([]int, n)
	values := make([][]float64, k)
	for range resamples {
		for i := range rows {
			rows[i] = rng.IntN(n)
		}
		first, _ := sobol(y, n, k, rows)
		for j := range values {
			if !math.IsNaN(first[j]) {
				values[j] = append(values[j], first[j])
			}
		}
	}
	half := make([]float64, k)
	for j := range half {
		slices.Sort(values[j])
		half[j] = (quantile(values[j], 0.975) - quantile(values[j], 0.025)) / 2
	}
	return half
}

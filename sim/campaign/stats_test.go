package campaign_test

import (
	"math"
	"testing"

	"slatbench/sim/campaign"
)

// Published binomial limits.
func TestInterval(t *testing.T) {
	for _, c := range []struct {
		id         string
		k, n       int
		confidence float64
		low, high  float64
		tol        float64
		source     string
	}{
		{"C1", 0, 100, 0.95, 0, 0.0362167, 5e-8, "formula 1-(alpha/2)^(1/n): R package stests, manual; computed"},
		{"C2", 0, 1000, 0.95, 0, 0.00368208, 5e-9, "same; computed"},
		{"C4", 5, 100, 0.95, 0.0164319, 0.1128349, 5e-8, "computed by bisection on the exact binomial distribution"},
		{"C5", 1, 100, 0.95, 0.000253146, 0.0544594, 5e-8, "computed by bisection on the exact binomial distribution"},
		{"C6", 58, 100, 0.95, 0.4771192, 0.6780145, 5e-8, "R binom.test example"},
		{"C7", 1, 36, 0.95, 0.0007030252, 0.1452892, 1e-7, "R binom.test example"},
		{"C8", 9, 24, 0.95, 0.1879929, 0.5940636, 5e-8, "R output"},
		{"C9", 12, 50, 0.90, 0.1447182, 0.3596557, 5e-8, "R-help"},
		{"C9", 12, 50, 0.95, 0.130610, 0.381691, 5e-7, "R-help"},
		{"C10", 1, 1497, 0.90, 3.42635e-5, 3.164954e-3, 5e-10, "R-help"},
		{"C11", 3, 20, 0.95, 0.0320709, 0.3789268, 5e-8, "published table, to 4 digits; computed"},
		{"C12", 12, 30, 0.90, 0.2495, 0.5661, 5e-5, "published table"},
		{"C12", 42, 100, 0.95, 0.3220, 0.5229, 5e-5, "published table"},
		{"C12", 85, 120, 0.99, 0.5904, 0.8092, 5e-5, "published table"},
	} {
		low, high := campaign.Interval(c.k, c.n, c.confidence)
		if math.Abs(low-c.low) > c.tol || math.Abs(high-c.high) > c.tol {
			t.Errorf("%s: %d of %d at %g: %.9g to %.9g, expected %.9g to %.9g (%s)", c.id, c.k, c.n, c.confidence, low, high, c.low, c.high, c.source)
		}
	}
}

// One-sided bounds without a violation: C1 to C3, computed; C13, the rule of three.
func TestUpperBound(t *testing.T) {
	for _, c := range []struct {
		n    int
		high float64
		tol  float64
	}{{30, 0.0950339, 5e-8}, {100, 0.0295130, 5e-8}, {300, 0.00993608, 5e-9}, {1000, 0.00299125, 5e-9}} {
		if high := campaign.UpperBound(0, c.n, 0.95); math.Abs(high-c.high) > c.tol {
			t.Errorf("0 of %d: %.9g, expected %.9g", c.n, high, c.high)
		}
	}
	// Hanley and Lippman-Hand, JAMA 1983: 3/n, from n = 50 on.
	for _, n := range []int{50, 300, 1000, 1500} {
		three := 3 / float64(n)
		if high := campaign.UpperBound(0, n, 0.95); high > three || high < 0.965*three {
			t.Errorf("0 of %d: %.6g, expected a little under %.6g", n, high, three)
		}
	}
}

// The definition: at the upper bound, k or fewer of n have just the probability that is left over.
func TestUpperBoundIsWhatItSays(t *testing.T) {
	for _, c := range [][2]int{{0, 7}, {1, 7}, {3, 40}, {20, 200000}, {199999, 200000}} {
		p := campaign.UpperBound(c[0], c[1], 0.95)
		if left := binomialBelow(c[0], c[1], p); math.Abs(left-0.05) > 1e-6 {
			t.Errorf("%d of %d: at %.6g there is %.8f left, expected 0.05", c[0], c[1], p, left)
		}
	}
	if p := campaign.UpperBound(7, 7, 0.95); p != 1 {
		t.Errorf("7 of 7: %g, expected 1", p)
	}
}

// binomialBelow is the probability of k or fewer, summed term by term.
func binomialBelow(k, n int, p float64) float64 {
	sum := 0.0
	for i := range k + 1 {
		a, _ := math.Lgamma(float64(n + 1))
		b, _ := math.Lgamma(float64(i + 1))
		c, _ := math.Lgamma(float64(n - i + 1))
		sum += math.Exp(a - b - c + float64(i)*math.Log(p) + float64(n-i)*math.Log1p(-p))
	}
	return sum
}

func TestImpossibleCountsPanic(t *testing.T) {
	for _, c := range [][2]int{{0, 0}, {-1, 5}, {6, 5}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%d of %d was taken", c[0], c[1])
				}
			}()
			campaign.UpperBound(c[0], c[1], 0.95)
		}()
	}
}

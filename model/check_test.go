package model

import (
	"math"
	"testing"
)

// check is one figure of the model held against a published or computed one.
type check struct {
	id       string // row of the list of check values, with a letter where it has several figures
	quantity string // what is compared, with its unit
	inputs   string
	source   string // where the expected figure was printed, or what it was computed from
	status   string // confirmed, secondary, from memory, computed
	want     float64
	got      float64
	tol      float64 // largest |got − want| as a share of |want|; absolute where want is 0
}

// Status of a check, as in the list of check values.
const (
	confirmed  = "confirmed"
	secondary  = "secondary"
	fromMemory = "from memory"
	computed   = "computed"
)

// tight is the tolerance of arithmetic that both sides do in float64, printed to six figures.
const tight = 5e-6

// partChecks lists the checks of all parts, in the order in which they are printed.
func partChecks() []check {
	var all []check
	for _, part := range [...]func() []check{
		batteryChecks, wireChecks, springChecks, motorChecks,
		greaseChecks, opticsChecks, gearChecks, impactChecks, frictionChecks, constantChecks,
	} {
		all = append(all, part()...)
	}
	return all
}

func TestPartChecks(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range partChecks() {
		if seen[c.id] {
			t.Errorf("%s: the id is used twice", c.id)
		}
		seen[c.id] = true
		if c.quantity == "" || c.source == "" || c.status == "" {
			t.Errorf("%s: a check needs quantity, source and status: %+v", c.id, c)
		}
		scale := math.Abs(c.want)
		if scale == 0 {
			scale = 1
		}
		// Written so that NaN fails.
		if d := math.Abs(c.got - c.want); !(d <= c.tol*scale) {
			t.Errorf("%s: %s (%s) is %.8g, want %.8g, off by %.3g %%, allowed %.3g %% (%s)",
				c.id, c.quantity, c.inputs, c.got, c.want, 100*d/scale, 100*c.tol, c.source)
		}
	}
}

// must unwraps a result whose inputs are known to be good.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

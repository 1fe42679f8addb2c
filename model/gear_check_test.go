package model

import (
	"fmt"
	"math"
	"testing"
)

// threadEfficiency is the exact formula of a square thread: forward and driven
// from its load. Angles in degrees: lead, and friction.
func threadEfficiency(lead, friction float64) (forward, reverse float64) {
	l, f := lead*math.Pi/180, friction*math.Pi/180
	return math.Tan(l) / math.Tan(l+f), math.Tan(l-f) / math.Tan(l)
}

func gearChecks() []check {
	const thread = "square thread formula, secondary"
	var out []check
	for i, r := range [...]struct{ lead, friction, forward, reverse, approx float64 }{
		{10, 3, 0.763756, 0.696346, 0.690681},
		{5, 3, 0.622514, 0.399146, 0.393611},
		{20, 4, 0.817491, 0.787826, 0.776744},
	} {
		id, in := fmt.Sprintf("G%d", i+2), fmt.Sprintf("lead %g°, friction %g°", r.lead, r.friction)
		forward, reverse := threadEfficiency(r.lead, r.friction)
		approx := BackDriveEfficiency(forward)
		out = append(out,
			check{id + "a", "forward efficiency", in, thread, computed, r.forward, forward, tight},
			check{id + "b", "reverse efficiency, exact", in, thread, computed, r.reverse, reverse, tight},
			check{id + "c", "reverse efficiency, 2 − 1/η", in, "formula from memory", computed, r.approx, approx, tight},
			check{id + "d", "what the approximation is off", in, thread, computed, 0, approx - reverse, 0.012},
		)
	}
	for i, r := range [...]struct{ eta, want float64 }{
		{0.45, 0}, {0.5, 0}, {0.55, 0.1818}, {0.6, 0.3333}, {0.7, 0.5714}, {0.8, 0.75}, {0.9, 0.8889},
	} {
		out = append(out, check{fmt.Sprintf("G5%c", 'a'+i), "back-drive efficiency", fmt.Sprintf("η = %g", r.eta),
			"equal loss both ways (Niemann; linear-motion handbooks), formula from memory; negative means 0", computed, r.want, BackDriveEfficiency(r.eta), 3e-4})
	}
	return out
}

func TestBackDriveBands(t *testing.T) {
	// G6, secondary: a worm gear below 0.45 locks, one above 0.55 does not.
	if e := BackDriveEfficiency(0.449); e != 0 {
		t.Errorf("a gear of 0.449 back-drives with %v, want 0: it locks", e)
	}
	if e := BackDriveEfficiency(0.551); !(e > 0) {
		t.Errorf("a gear of 0.551 back-drives with %v, want above 0: it does not lock", e)
	}
	for _, r := range [...]struct{ eta, want float64 }{{0, 0}, {-1, 0}, {1, 1}, {1.5, 1}, {math.NaN(), 0}} {
		if e := BackDriveEfficiency(r.eta); e != r.want {
			t.Errorf("BackDriveEfficiency(%v) = %v, want %v", r.eta, e, r.want)
		}
	}
}

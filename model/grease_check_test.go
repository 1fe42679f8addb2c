package model

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func greaseChecks() []check {
	const (
		d341  = "published worked example of ASTM D341"
		first = "published worked example"
		eq    = "equation of ASTM D341"
	)
	rounded := must(waltherFromPoints(273, 40, 32, 100, 5.4))
	out := []check{
		{"V1a", "A", "(40 °C, 32 cSt) (100 °C, 5.4 cSt), T = °C + 273", first, confirmed, 9.5259, rounded.A, tight},
		{"V1b", "B", "as V1a", first, confirmed, 3.7449, rounded.B, 2 * tight},
		{"V1c", "viscosity, cSt", "as V1a, 80 °C", first, computed, 8.533, rounded.Viscosity(80), 1e-4},
		{"V2", "viscosity, cSt", "(40, 404) (100, 28), 60 °C", d341, confirmed, 132.126, must(WaltherFromPoints(40, 404, 100, 28)).Viscosity(60), tight},
		{"V3", "viscosity, cSt", "(40, 68) (80, 14.85), 100 °C", d341, confirmed, 8.792, must(WaltherFromPoints(40, 68, 80, 14.85)).Viscosity(100), 1e-4},
	}
	vg100 := must(WaltherFromPoints(40, 100, 100, 11.1))
	for i, r := range [...]struct{ t, want float64 }{
		{-20, 18933}, {-10, 5311}, {0, 1824}, {20, 341.8}, {60, 39.68}, {80, 19.47},
	} {
		out = append(out, check{fmt.Sprintf("V4%c", 'a'+i), "viscosity of ISO VG 100, cSt", fmt.Sprintf("(40, 100) (100, 11.1 from memory), %g °C", r.t),
			eq, computed, r.want, vg100.Viscosity(r.t), 3e-4})
	}
	for i, r := range [...]struct{ t, want float64 }{{-20, 2291}, {0, 336.0}, {20, 86.28}} {
		out = append(out, check{fmt.Sprintf("V5%c", 'a'+i), "viscosity of ISO VG 32, cSt", fmt.Sprintf("(40, 32) (100, 5.4), %g °C", r.t),
			eq, computed, r.want, greaseOil.Viscosity(r.t), 3e-4})
	}
	return append(out,
		check{"V6", "viscosity of the grease's oil at 40 °C, cSt", "ISO VG 32 is 32 ± 10 %", "ISO 3448, secondary charts", secondary, 32, greaseOil.Viscosity(40), 0.10},
		check{"V5d", "viscous friction at −20 °C over that at 20 °C", "√(2291/86.28)", "exponent invented", computed, math.Sqrt(2291 / 86.28), GreaseFactor(-20), 3e-4},
	)
}

func TestWaltherGoesThroughItsPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		t1 := rapid.Float64Range(-40, 60).Draw(t, "colder")
		t2 := t1 + rapid.Float64Range(5, 100).Draw(t, "warmer by")
		nu2 := rapid.Float64Range(2, 500).Draw(t, "thinner")
		nu1 := nu2 * rapid.Float64Range(1.2, 50).Draw(t, "thicker by")
		w, err := WaltherFromPoints(t1, nu1, t2, nu2)
		if err != nil {
			t.Fatal(err)
		}
		if a, b := w.Viscosity(t1), w.Viscosity(t2); math.Abs(a/nu1-1) > 1e-9 || math.Abs(b/nu2-1) > 1e-9 {
			t.Fatalf("the line through (%v, %v) and (%v, %v) reads %v and %v there", t1, nu1, t2, nu2, a, b)
		}
	})
}

func TestWaltherRefusals(t *testing.T) {
	for _, r := range [...]struct{ t1, nu1, t2, nu2 float64 }{
		{40, 32, 40, 5.4}, {40, 5.4, 100, 32}, {40, 32, 100, 32}, {-300, 32, 100, 5.4},
		{40, 0.2, 100, 0.1}, {40, math.NaN(), 100, 5.4}, {math.NaN(), 32, 100, 5.4}, {40, math.Inf(1), 100, 5.4}, {40, 32, math.Inf(1), 5.4},
	} {
		if _, err := WaltherFromPoints(r.t1, r.nu1, r.t2, r.nu2); !errors.Is(err, ErrViscosity) {
			t.Errorf("WaltherFromPoints(%v, %v, %v, %v) gives error %v, want ErrViscosity", r.t1, r.nu1, r.t2, r.nu2, err)
		}
	}
}

func TestGreaseFactorFallsWithWarmth(t *testing.T) {
	if f := GreaseFactor(20); f != 1 {
		t.Errorf("GreaseFactor(20) = %v, want 1", f)
	}
	for c := -45.0; c < 80; c++ {
		if a, b := GreaseFactor(c), GreaseFactor(c+1); !(a > b && b > 0) {
			t.Errorf("GreaseFactor is %v at %v °C and %v a degree warmer, want it to fall", a, c, b)
		}
	}
	if GreaseFactor(-60) != GreaseFactor(-45) || GreaseFactor(200) != GreaseFactor(80) {
		t.Error("GreaseFactor changes outside −45 to 80 °C, want the end values")
	}
}

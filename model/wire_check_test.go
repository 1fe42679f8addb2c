package model

import (
	"errors"
	"fmt"
	"math"
	"testing"
)

func wireChecks() []check {
	const (
		nbs   = "NBS Handbook 100 figures as reprinted by HyperPhysics (Georgia State University)"
		perKm = "NBS Handbook 100 figures, converted"
		ft    = 0.0005 // tolerance of the printed table
	)
	var out []check
	rows := [...]struct {
		awg                         int
		inch, mm, cmil, ohm1000, km float64
		computed1000                float64
	}{
		{4, 0.20431, 5.1894, 41742, 0.2485, 0.8152, 0.24846},
		{6, 0.16202, 4.1154, 26250, 0.3951, 1.2961, 0.39506},
		{8, 0.12849, 3.2636, 16509, 0.6282, 2.0609, 0.62818},
		{10, 0.10189, 2.5882, 10381, 0.9989, 3.2770, 0.99884},
		{12, 0.08081, 2.0525, 6529, 1.588, 5.2107, 1.58822},
		{14, 0.06408, 1.6277, 4106.8, 2.525, 8.2853, 2.52537},
	}
	for _, r := range rows {
		id, in := fmt.Sprintf("W%d", r.awg), fmt.Sprintf("AWG %d, 20 °C", r.awg)
		d := must(AWGDiameter(r.awg))
		mils := d / Inch * 1000
		area := must(AWGArea(r.awg)) / (math.Pi / 4) / (Inch * Inch) * 1e6
		ohm := must(AWGOhmPerMetre(r.awg, 20))
		out = append(out,
			check{id + "a", "diameter, in", in, nbs, confirmed, r.inch, mils / 1000, ft},
			check{id + "b", "diameter, mm", in, "ASTM B258", computed, r.mm, d * 1000, 2e-5},
			check{id + "c", "area, circular mils", in, nbs, confirmed, r.cmil, area, ft},
			check{id + "d", "resistance, Ω/1000 ft", in, nbs, confirmed, r.ohm1000, ohm * 1000 * Foot, ft},
			check{id + "e", "resistance, Ω/km", in, perKm, computed, r.km, ohm * 1000, ft},
			check{id + "f", "resistance, Ω/1000 ft", in, "1.7241e-8 Ω·m (IACS, from memory)", computed, r.computed1000, ohm * 1000 * Foot, 1.5e-5},
		)
	}
	perThousand := func(awg int, t float64) float64 { return must(AWGOhmPerMetre(awg, t)) * 1000 * Foot }
	const nec, alpha = "NEC, solid uncoated, 75 °C", "α = 0.00393 /K"
	return append(out, []check{
		{"W20a", "temperature coefficient at 20 °C, 1/K", "annealed copper", alpha, secondary, 0.00393, perThousand(8, 21)/perThousand(8, 20) - 1, 1e-9},
		{"W20b", "the same of a winding, 1/K", "by k = 235 instead of 234.5", "1/254.5", secondary, 0.003929, CopperFactor(21, 20) - 1, 3e-3},
		{"W21a", "winding temperature, °C", "200 to 210 mΩ from 20 °C", "worked example citing IEC 60034-1", confirmed, 32.75, WindingTemperature(0.210, 0.200, 20), 1e-12},
		{"W21b", "rise by resistance, K", "in air of 25 °C", "worked example citing IEC 60034-1", confirmed, 7.75, WindingTemperature(0.210, 0.200, 20) - 25, 1e-12},
		{"W22a", "winding temperature, °C", "80 to 100 Ω from 20 °C, k = 235", "worked problem", computed, 83.75, WindingTemperature(100, 80, 20), 1e-12},
		{"W22b", "winding temperature, °C", "80 to 100 Ω from 20 °C, k = 234.5", "worked problem", confirmed, 83.63, windingTemperature(234.5, 100, 80, 20), 1e-4},
		{"W22c", "hot over cold resistance", "83.75 °C over 20 °C", "inverse of W22a", computed, 1.25, CopperFactor(83.75, 20), 1e-12},
		{"W23a", "resistance, Ω/1000 ft", "AWG 8, 75 °C", nec, confirmed, 0.764, perThousand(8, 75), 1e-3},
		{"W23b", "resistance, Ω/1000 ft", "AWG 8, 75 °C", alpha, computed, 0.76396, perThousand(8, 75), 3e-5},
		{"W23c", "resistance, Ω/1000 ft", "AWG 8, −20 °C", alpha, computed, 0.52943, perThousand(8, -20), 3e-5},
		{"W24a", "resistance, Ω/1000 ft", "AWG 14, 75 °C", nec, confirmed, 3.07, perThousand(14, 75), 1e-3},
		{"W24b", "resistance, Ω/1000 ft", "AWG 12, 75 °C", nec, confirmed, 1.93, perThousand(12, 75), 1e-3},
		{"W24c", "resistance, Ω/1000 ft", "AWG 10, 75 °C", nec, confirmed, 1.21, perThousand(10, 75), 4e-3},
		{"W24d", "resistance, Ω/1000 ft", "AWG 14, 75 °C", alpha, computed, 3.0712, perThousand(14, 75), 3e-5},
		{"W24e", "resistance, Ω/1000 ft", "AWG 12, 75 °C", alpha, computed, 1.9315, perThousand(12, 75), 3e-5},
		{"W24f", "resistance, Ω/1000 ft", "AWG 10, 75 °C", alpha, computed, 1.2147, perThousand(10, 75), 5e-5},
		{"W25", "loop drop, V", "AWG 6, 20 ft each way, 60 A, 20 °C", "0.3951 Ω/1000 ft", computed, 0.94824, must(LoopDrop(6, 20*Foot, 60, 20)), 2e-4},
	}...)
}

func TestWireGaugeRange(t *testing.T) {
	// ASTM B258 defines 4/0 as 0.46 in and 36 AWG as 0.005 in.
	for _, r := range [...]struct {
		awg  int
		inch float64
	}{{-3, 0.46}, {36, 0.005}} {
		if d := must(AWGDiameter(r.awg)) / Inch; math.Abs(d-r.inch) > 1e-12 {
			t.Errorf("%d AWG is %v in thick, want %v", r.awg, d, r.inch)
		}
	}
	last := math.Inf(1)
	for awg := AWG4Over0; awg <= AWGFinest; awg++ {
		d := must(AWGDiameter(awg))
		if !(d > 0 && d < last) {
			t.Errorf("%d AWG is %v m thick, want thinner than the %v m before it", awg, d, last)
		}
		last = d
	}
	for _, awg := range []int{-4, 41, -1000, 1000} {
		_, dErr := AWGDiameter(awg)
		_, aErr := AWGArea(awg)
		_, rErr := AWGOhmPerMetre(awg, 20)
		_, lErr := LoopDrop(awg, 1, 1, 20)
		for _, err := range []error{dErr, aErr, rErr, lErr} {
			if !errors.Is(err, ErrWireGauge) {
				t.Errorf("%d AWG gives error %v, want ErrWireGauge", awg, err)
			}
		}
	}
}

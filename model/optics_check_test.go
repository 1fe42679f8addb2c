package model

import (
	"fmt"
	"math"
	"testing"
)

func opticsChecks() []check {
	const (
		square   = "inverse square"
		lobe     = "m = ln ½ / ln cos θ (from memory; optical-wireless textbooks)"
		deg      = math.Pi / 180
		receiver = "38 kHz receiver data sheet, secondary"
	)
	narrow := LobeExponent(22 * deg)
	out := []check{
		{"I3", "intensity that reaches 35 m, W/sr", "0.35 mW/m²", receiver, computed, 0.42875, 0.35e-3 / Irradiance(1, 1, 0, 1, 35), tight},
		{"I2", "range, m", "428.75 mW/sr, 0.35 mW/m²", receiver, secondary, 35, LinkRange(0.42875, 0.35e-3), tight},
		{"I5a", "range, m", "400 mW/sr, 0.35 mW/m²", square, computed, 33.81, LinkRange(0.400, 0.35e-3), 2e-4},
		{"I5b", "range, m", "400 mW/sr, 0.2 mW/m²", square, computed, 44.72, LinkRange(0.400, 0.2e-3), 2e-4},
		{"I5c", "range, m", "80 mW/sr, 0.2 mW/m²", square, computed, 20, LinkRange(0.080, 0.2e-3), 2e-4},
		{"I5d", "range, m", "40 mW/sr, 0.2 mW/m²", square, computed, 14.14, LinkRange(0.040, 0.2e-3), 2e-4},
		{"I6a", "irradiance, W/m²", "100 mW/sr at 5 m", square, computed, 4e-3, Irradiance(0.1, narrow, 0, 1, 5), 1e-12},
		{"I6b", "share left at twice the distance", "", square, computed, 0.25, Irradiance(0.1, narrow, 0.2, 1, 10) / Irradiance(0.1, narrow, 0.2, 1, 5), 1e-12},
		{"I9", "irradiance at the half-distance angle, as a share", "45°", "receiver data sheet, secondary", computed, 0.25, Lobe(LobeExponentHalfDistance(45*deg), 45*deg), 1e-12},
	}
	for i, r := range [...]struct{ half, want float64 }{
		{10, 45.278}, {17, 15.514}, {20, 11.143}, {22, 9.168}, {30, 4.819}, {45, 2}, {60, 1},
	} {
		out = append(out, check{fmt.Sprintf("I7%c", 'a'+i), "lobe exponent", fmt.Sprintf("half at %g°", r.half),
			lobe, computed, r.want, LobeExponent(r.half * deg), 1e-4})
	}
	for i, r := range [...]struct{ angle, want float64 }{{0, 1}, {10, 0.8691}, {22, 0.5}, {45, 0.04169}} {
		out = append(out, check{fmt.Sprintf("I8%c", 'a'+i), "lobe", fmt.Sprintf("half at 22°, seen at %g°", r.angle),
			lobe, computed, r.want, Lobe(narrow, r.angle*deg), 1e-4})
	}
	return out
}

func TestLobeBehindAndBeside(t *testing.T) {
	for _, angle := range []float64{math.Pi / 2, 2, math.Pi, -math.Pi / 2, -3, math.NaN()} {
		if g := Lobe(9, angle); g != 0 {
			t.Errorf("Lobe(9, %v) = %v, want 0 beside and behind the sender", angle, g)
		}
	}
	if a, b := Lobe(9, 0.4), Lobe(9, -0.4); a != b || a <= 0 {
		t.Errorf("Lobe(9, ±0.4) = %v and %v, want one value above 0", a, b)
	}
	if got, want := Irradiance(0.1, 1, 0, 0.3, 5), 0.3*Irradiance(0.1, 1, 0, 1, 5); math.Abs(got-want) > 1e-15 {
		t.Errorf("a lens that passes 0.3 leaves %v W/m², want %v", got, want)
	}
}

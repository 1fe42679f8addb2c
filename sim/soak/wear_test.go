package soak

import (
	"math"
	"testing"
)

func TestWearLaws(t *testing.T) {
	exponential := Relaxation{Law: "exponential", Loss: 0.2, Over: 500}
	logarithmic := Relaxation{Law: "logarithmic", Loss: 0.05, Over: 10}
	dirt := Dirt{Growth: 0.5, Most: 1.8}
	both := EncoderDrift{Slip: 0.01, SlipGrowth: 0.02, While: "both", GapSpeed: 0.6, GapFall: 0.1}
	closing := EncoderDrift{Slip: 0.01, While: "closing"}
	opening := EncoderDrift{Slip: 0.01, While: "opening"}
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"exponential, new", exponential.Left(0), 1},
		{"exponential, one time constant", exponential.Left(500), 1 - 0.2*(1-1/math.E)},
		{"exponential, in the end", exponential.Left(1000000), 0.8},
		{"logarithmic, nine times over", logarithmic.Left(90), 0.95},
		{"logarithmic, a tenfold on", logarithmic.Left(990), 0.90},
		{"logarithmic, never below nothing", Relaxation{Law: "logarithmic", Loss: 0.9, Over: 1}.Left(100000), 0},
		{"no loss", Relaxation{Over: 5}.Left(100), 1},
		{"dirt", dirt.Factor(400), 1.2},
		{"dirt, at its most", dirt.Factor(5000), 1.8},
		{"no dirt", Dirt{Most: 1}.Factor(5000), 1},
		{"slip grows", both.SlipAfter(500, true), 0.02},
		{"slip down", closing.SlipAfter(9, false), 0.01},
		{"no slip up", closing.SlipAfter(9, true), 0},
		{"slip up", opening.SlipAfter(9, true), 0.01},
		{"no slip down", opening.SlipAfter(9, false), 0},
		{"slip at its most", both.SlipAfter(1000000, false), mostSlip},
		{"gap speed", both.GapSpeedAfter(2000), 0.4},
		{"gap speed, never below 0", both.GapSpeedAfter(20000), 0},
		{"age", BatteryWear{Aging: 0.2}.Age(0.1, 1000), 0.3},
		{"age, the whole life", BatteryWear{Aging: 0.2}.Age(0.1, 100000), 1},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s: %.12g, want %.12g", c.what, c.got, c.want)
		}
	}
}

func TestWeather(t *testing.T) {
	w := Weather{Mean: 10 + kelvin, Swing: 8}
	for _, c := range []struct{ clock, want float64 }{
		{5, 2}, {15, 18}, {10, 10}, {22, 10}, {29, 2}, {24 * 30, w.At(0)},
	} {
		if got := w.At(c.clock * hour); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("at %g h: %.6f °C, want %.6f", c.clock, got, c.want)
		}
	}
	for clock := 0.0; clock < 2*day; clock += 60 {
		if d := w.At(clock+60) - w.At(clock); math.Abs(d) > 8*2*1.5/(10*60)*1.001 {
			t.Fatalf("jumps by %g K at %g h", d, clock/hour)
		}
	}
	// Against the cosine that it stands for.
	for u := 0.0; u <= 1; u += 0.01 {
		smooth, cosine := w.At((5+10*u)*hour), 10-8*math.Cos(math.Pi*u)
		if d := math.Abs(smooth-cosine) / 8; d > 0.021 {
			t.Fatalf("%.4f of the swing from a cosine at u = %.2f", d, u)
		}
	}
}

package model

import (
	"fmt"
	"math"
)

// frictionChecks runs the stick-slip rig at the default step. The tolerance covers that
// a slip begins and ends on whole steps.
func frictionChecks() []check {
	const (
		share = 0.005
		rig   = "1 kg (from memory), 2 N/m pulled at 0.1 m/s, 1.0 N running, 1.5 N breakaway"
		paper = "mechanics, closed form; rig of Canudas de Wit et al., IEEE TAC 1995, through a reimplementation"
		steps = "stepped at 10 µs; rig of Canudas de Wit et al., IEEE TAC 1995, through a reimplementation"
	)
	dry, greased := stickSlip(DefaultStep, 0), stickSlip(DefaultStep, 0.4)
	return []check{
		{"K6a", "first slip, s", rig, paper, computed, 7.5, dry.firstSlip, share},
		{"K6b", "period, s", rig, paper, computed, 7.61126, dry.period, share},
		{"K6c", "slip, s", rig, paper, computed, 2.61126, dry.slip, share},
		{"K6d", "peak speed, m/s", rig, paper, computed, 0.467423, dry.peak, share},
		{"K6e", "travel, m", rig, paper, computed, 0.761126, dry.travel, share},
		{"K6f", "end force, N", rig, paper, computed, 0.5, dry.endForce, share},
		{"K7a", "period, s", "the same with 0.4 N·s/m", steps, computed, 6.4539, greased.period, share},
		{"K7b", "slip, s", "as K7a", steps, computed, 2.8137, greased.slip, share},
		{"K7c", "peak speed, m/s", "as K7a", steps, computed, 0.3768, greased.peak, share},
		{"K7d", "travel, m", "as K7a", steps, computed, 0.6454, greased.travel, share},
		{"K7e", "end force, N", "as K7a", steps, computed, 0.772, greased.endForce, share},
	}
}

// impact lets 50 kg run with v m/s into the instrument of EN 12453, with a seal that does
// not give, no drive and no damping. It returns the greatest force, N, and deflection, m.
func impact(v float64) (peak, deepest float64) {
	rigid := SealParams{Stiffness: 1e12, SoftTravel: 1, HardStiffness: 1e12}
	c := newSeriesContact(rigid, 500e3)
	const mass, dt = 50.0, DefaultStep
	for d := 0.0; v > 0; d += v * dt {
		force := c.push(d, v)
		peak, deepest = math.Max(peak, force), math.Max(deepest, d)
		v -= force / mass * dt
	}
	return peak, deepest
}

// impactChecks: v·√(km) on the 500 N/mm of the instrument.
func impactChecks() []check {
	const source = "mechanics, v·√(km)"
	fast, _ := impact(0.20)
	slow, depth := impact(0.080)
	in := func(v float64) string { return fmt.Sprintf("50 kg at %g m/s into 500 N/mm", v) }
	return []check{
		{"E11a", "peak force, N", in(0.20), source, computed, 1000, fast, 0.01},
		{"E11b", "peak force, N", in(0.080), source, computed, 400, slow, 0.01},
		{"E11c", "deflection, mm", in(0.080), source, computed, 0.80, depth * 1000, 0.01},
	}
}

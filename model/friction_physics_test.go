package model

import (
	"math"
	"testing"
)

// rigRun is what a stick-slip rig shows: a block that a spring pulls along a dry
// floor at a steady speed.
type rigRun struct {
	firstSlip, period, slip, peak, travel, endForce float64
}

// stickSlip steps the rig exactly as Bay.move steps the curtain: velocity from
// the forces at the old position, dry friction by Stick with the breakaway force
// where the block stands, position from the new velocity.
func stickSlip(dt, viscous float64) rigRun {
	const (
		mass, stiffness, pull = 1.0, 2.0, 0.1 // kg, N/m, m/s
		running, breakaway    = 1.0, 1.5      // N
	)
	var r rigRun
	var x, v float64
	var begins []float64 // of slips, s
	var from, until float64
	for n := 1; len(begins) < 4; n++ {
		now := float64(n) * dt
		spring := stiffness * (pull*now - x)
		dry := running
		if v == 0 {
			dry = breakaway
		}
		was := v
		v = Stick(v+(spring-viscous*v)*dt/mass, dry*dt/mass)
		x += v * dt
		switch {
		case was == 0 && v > 0:
			begins = append(begins, now)
			from = x
		case was > 0 && v == 0:
			until = now
			r.endForce = stiffness * (pull*now - x)
			r.travel = x - from
		}
		if len(begins) == 3 { // a slip that starts from the state that repeats
			r.peak = math.Max(r.peak, v)
			if v == 0 && until > begins[2] {
				r.slip = until - begins[2]
			}
		}
	}
	r.firstSlip = begins[0]
	r.period = begins[3] - begins[2]
	return r
}

// What friction brings to a stand stands exactly, and friction never reverses.
func TestStickIsExact(t *testing.T) {
	for _, row := range []struct{ v, limit, want float64 }{
		{0.75, 0.25, 0.5}, {-0.75, 0.25, -0.5},
		{0.1, 0.1, 0}, {-0.1, 0.1, 0}, {0.05, 0.1, 0}, {0, 0, 0},
	} {
		if got := Stick(row.v, row.limit); got != row.want {
			t.Errorf("Stick(%g, %g) = %g, want %g", row.v, row.limit, got, row.want)
		}
	}
}

package model

import (
	"fmt"
	"math"
	"testing"
)

// figures are what a run of a bay reports, by name: times in s, forces in N,
// currents in A.
type figures struct {
	times, forces map[string]float64
}

// circumstance is a truck in a state, built for a step.
type circumstance struct {
	name  string
	build func(dt float64) *Truck
	duty  float64
}

func built(change func(p *TruckParams), wear func(t *Truck)) func(dt float64) *Truck {
	return func(dt float64) *Truck {
		p := DefaultTruck()
		if change != nil {
			change(&p)
		}
		t := NewTruck(p, dt)
		if wear != nil {
			wear(t)
			for i := range t.Bays {
				t.RefreshBay(i)
			}
		}
		return t
	}
}

func circumstances() []circumstance {
	return []circumstance{
		{"as built", built(nil, nil), 1},
		{"cold", built(func(p *TruckParams) { p.Ambient.Temperature = -20 }, nil), 1},
		{"weak spring, half charge", built(nil, func(t *Truck) {
			t.Bays[0].Condition.SpringFactor = 0.80
			t.SetCharge(0.5)
		}), 1},
		{"low duty", built(nil, nil), 0.6},
		{"on a grade", built(func(p *TruckParams) { p.Ambient.Grade = 0.10 }, nil), 1},
		{"bent track", built(nil, func(t *Truck) {
			w := &t.Bays[0].Condition
			w.StretchFrom, w.StretchTo, w.StretchForce = 0.6, 0.9, 80
		}), 1},
		{"heavy curtain, hot", built(func(p *TruckParams) { p.Ambient.Temperature = 45 }, func(t *Truck) {
			t.Bays[0].Condition.MassFactor = 1.15
		}), 1},
	}
}

// crossing steps on until bay 0 has passed height y, and returns the time since step
// begin at which it did, in s: between two steps on a straight line, since a whole
// step is 0.5 % of the first 20 mm. It gives up after 40 s.
func crossing(t *Truck, begin int64, y float64, watch func()) float64 {
	b := &t.Bays[0]
	for range int(40 / t.dt) {
		was := b.Height
		t.Step()
		watch()
		if (was < y) != (b.Height < y) {
			return (float64(t.Steps-1-begin) + (y-was)/(b.Height-was)) * t.dt
		}
	}
	return math.NaN()
}

// travelFigures opens bay 0 from the floor to the stop and closes it again.
func travelFigures(c circumstance, dt float64) figures {
	f := figures{map[string]float64{}, map[string]float64{}}
	t := c.build(dt)
	b := &t.Bays[0]
	watch := func(way string) {
		f.forces[way+" cable"] = math.Max(f.forces[way+" cable"], b.CableForce)
		f.forces[way+" current"] = math.Max(f.forces[way+" current"], math.Abs(b.MotorCurrent))
		f.forces[way+" floor"] = math.Max(f.forces[way+" floor"], b.FloorForce)
	}
	drive(t, 0, 1, c.duty)
	begin := t.Steps
	for _, y := range []float64{0.02, 0.3, 0.9, 1.5, 1.78} {
		at := crossing(t, begin, y, func() { watch("opening") })
		f.times[fmt.Sprintf("opening to %g m", y)] = at
	}
	until(t, 1, func() bool { watch("opening"); return false })
	drive(t, 0, 0, 0)
	until(t, 1, func() bool { watch("stopping"); return false })
	drive(t, 0, -1, c.duty)
	begin = t.Steps
	for _, y := range []float64{1.5, 0.9, 0.3, 0.02} {
		at := crossing(t, begin, y, func() { watch("closing") })
		f.times[fmt.Sprintf("closing to %g m", y)] = at
	}
	until(t, 0.3, func() bool { watch("closing"); return false })
	return f
}

// contactFigures closes bay 0 on an obstruction and holds on for half a second.
func contactFigures(c circumstance, dt, stiffness float64, seal func(*SealParams)) figures {
	f := figures{map[string]float64{}, map[string]float64{}}
	t := c.build(dt)
	b := &t.Bays[0]
	seal(&b.Params.Seal)
	t.RefreshBay(0)
	b.Place(1.2)
	b.SetObstacle(Obstacle{Top: 0.6, Stiffness: stiffness})
	drive(t, 0, -1, c.duty)
	f.times["to touch"] = until(t, 40, func() bool { return b.ContactForce > 0 })
	peak, after := 0.0, 0.0
	for n := range int(0.5 / dt) {
		t.Step()
		peak = math.Max(peak, b.ContactForce)
		if float64(n)*dt >= 0.4 {
			after = math.Max(after, b.ContactForce)
		}
	}
	f.forces["contact peak"], f.forces["contact after 0.4 s"] = peak, after
	return f
}

// worstShares compares two runs: the largest relative change of a time and of a
// force. Forces below 1 N or 1 A are not compared.
func (f figures) worstShares(g figures) (times, forces float64, names [2]string) {
	for _, k := range sortedKeys(f.times) {
		if s := math.Abs(g.times[k]/f.times[k] - 1); !(s <= times) {
			times, names[0] = s, k
		}
	}
	for _, k := range sortedKeys(f.forces) {
		if f.forces[k] < 1 {
			continue
		}
		if s := math.Abs(g.forces[k]/f.forces[k] - 1); !(s <= forces) {
			forces, names[1] = s, k
		}
	}
	return times, forces, names
}

// Halving the step, and halving it again, must not move a reported time by more
// than 0.5 % nor a force by more than 3 % (design limits).
func TestStepHalving(t *testing.T) {
	const timeLimit, forceLimit = 0.005, 0.03
	judge := func(t *testing.T, run func(dt float64) figures) {
		coarse := run(1e-3)
		for _, dt := range []float64{0.5e-3, 0.25e-3} {
			times, forces, names := coarse.worstShares(run(dt))
			t.Logf("1 ms to %g ms: times %.3f %% (%s), forces %.2f %% (%s)", dt*1e3, times*100, names[0], forces*100, names[1])
			if !(times <= timeLimit) {
				t.Errorf("%s moves by %.2f %%", names[0], times*100)
			}
			if !(forces <= forceLimit) {
				t.Errorf("%s moves by %.2f %%", names[1], forces*100)
			}
		}
	}
	seals := []struct {
		name   string
		change func(*SealParams)
	}{
		{"seal of 15 mm", func(*SealParams) {}},
		{"seal of 30 mm", func(s *SealParams) { s.SoftTravel = 0.030 }},
		{"hard edge", func(s *SealParams) { s.SoftTravel = 0.001 }},
	}
	for _, c := range circumstances() {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			t.Run("travel", func(t *testing.T) {
				judge(t, func(dt float64) figures { return travelFigures(c, dt) })
			})
			for _, stiffness := range []float64{10e3, 50e3, 500e3} {
				for _, s := range seals {
					t.Run(fmt.Sprintf("%g N per mm, %s", stiffness/1e3, s.name), func(t *testing.T) {
						judge(t, func(dt float64) figures { return contactFigures(c, dt, stiffness, s.change) })
					})
				}
			}
		})
	}
}

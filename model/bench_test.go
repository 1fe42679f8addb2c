package model

import (
	"testing"
)

// shuttle keeps the given bays moving: up to near the stop, down to near the floor.
// It is called now and then, since looking costs time too.
func shuttle(t *Truck, bays int, up []bool) {
	for i := range bays {
		b := &t.Bays[i]
		switch {
		case b.Height > 1.70:
			up[i] = false
		case b.Height < 0.15:
			up[i] = true
		}
		if up[i] {
			drive(t, i, 1, 1)
		} else {
			drive(t, i, -1, 1)
		}
	}
}

// perSecond reports how many seconds of bay time a second of computing yields.
func perSecond(b *testing.B, bays int) {
	b.ReportMetric(float64(b.N)*float64(bays)*DefaultStep/b.Elapsed().Seconds(), "bay-s/s")
}

func benchmarkTruck(b *testing.B, bays, moving int) {
	p := DefaultTruck()
	p.Bays = p.Bays[:bays]
	t := NewTruck(p, DefaultStep)
	up := make([]bool, bays)
	for i := range t.Bays { // spread over the travel, bend of the track and all
		t.Bays[i].Place(0.2 + 0.4*float64(i))
		up[i] = i%2 == 0
	}
	shuttle(t, moving, up)
	run(t, 0.5)
	b.ReportAllocs()
	b.ResetTimer()
	for n := range b.N {
		if n&255 == 0 {
			shuttle(t, moving, up)
		}
		t.Step()
	}
	b.StopTimer()
	perSecond(b, bays)
}

// BenchmarkBayStep is the step of a truck with one bay that opens and closes: one
// bay's mechanics, its contacts, and the shared supply.
func BenchmarkBayStep(b *testing.B) { benchmarkTruck(b, 1, 1) }

// BenchmarkTruckStep is the step of the whole truck with four bays moving.
func BenchmarkTruckStep(b *testing.B) { benchmarkTruck(b, 4, 4) }

// BenchmarkTruckStepOneMoving is what most of a campaign is: one bay of four moves.
func BenchmarkTruckStepOneMoving(b *testing.B) { benchmarkTruck(b, 4, 1) }

// BenchmarkTruckStepResting is a truck on which nothing moves.
func BenchmarkTruckStepResting(b *testing.B) { benchmarkTruck(b, 4, 0) }

// BenchmarkTruckIdle is the same truck taken on by Idle, a tick of 10 steps at a time.
func BenchmarkTruckIdle(b *testing.B) {
	t := NewTruck(DefaultTruck(), DefaultStep)
	run(t, 0.5)
	b.ReportAllocs()
	b.ResetTimer()
	for n := 0; n < b.N; {
		if t.Quiet() {
			n += int(t.Idle(10))
		} else {
			t.Step()
			n++
		}
	}
	b.StopTimer()
	perSecond(b, 4)
}

// The hot loop allocates nothing.
func TestStepAllocatesNothing(t *testing.T) {
	truck := NewTruck(DefaultTruck(), DefaultStep)
	up := make([]bool, 4)
	n := 0
	if got := testing.AllocsPerRun(2000, func() {
		if n++; n&255 == 1 {
			shuttle(truck, 4, up)
			truck.DriveLock(Curbside, n>>8%3-1)
		}
		truck.Step()
	}); got != 0 {
		t.Errorf("%g allocations a step", got)
	}
}

package model

import (
	"runtime"
	"testing"
)

// busyTruck goes through everything that a truck can go through: all doors, both
// locks, every kind of wear, a weak supply, obstructions, the manual release.
func busyTruck() *Truck {
	p := DefaultTruck()
	p.Ambient.Temperature, p.Ambient.Grade, p.Ambient.Sunlight = -7, 0.03, 15e3
	p.Battery.Age = 0.4
	p.Bays[2].Encoder.Quadrature = true
	p.Remote.Reflectance = 0.3
	t := NewTruck(p, DefaultStep)
	t.SetCharge(0.83)
	for i, wear := range []func(c *Condition){
		func(c *Condition) { c.SpringFactor, c.BranchOhms, c.Slip = 0.91, 0.08, 0.03 },
		func(c *Condition) { c.StretchFrom, c.StretchTo, c.StretchForce, c.LeanForce = 0.4, 0.8, 60, 9 },
		func(c *Condition) { c.MassFactor, c.GapPulses, c.GapSpeed, c.RewindFactor = 1.1, 3, 0.2, 0.35 },
		func(c *Condition) { c.ClosingFactor, c.FrictionFactor, c.PulseScale = 0.4, 1.3, 1.25 },
	} {
		wear(&t.Bays[i].Condition)
		t.RefreshBay(i)
	}
	for i := range t.Bays {
		drive(t, i, 1, []float64{1, 0.8, 1, 0.55}[i])
		run(t, 0.37)
	}
	run(t, 4)
	t.SetSupply(SupplyCondition{VoltageFactor: 0})
	run(t, 0.2)
	t.SetSupply(SupplyCondition{VoltageFactor: 0.97, FeedOhms: 0.03})
	run(t, 2.5)
	t.Bays[3].Condition.ReleaseOpen = true
	t.Bays[1].Condition.DownContact = ContactWelded
	t.RefreshBay(3)
	t.RefreshBay(1)
	run(t, 0.6)
	t.Bays[3].Condition.ReleaseOpen = false
	t.Bays[1].Condition.DownContact = ContactSound
	t.RefreshBay(3)
	t.RefreshBay(1)
	t.Bays[0].SetObstacle(Obstacle{Top: 0.31, Stiffness: 60e3})
	t.Bays[2].SetObstacle(Obstacle{Top: 0.0254, Stiffness: 500e3})
	t.DriveLock(Curbside, 1)
	for i := range t.Bays {
		drive(t, i, -1, 1)
		run(t, 0.11)
	}
	run(t, 6)
	for i := range t.Bays {
		drive(t, i, 0, 0)
	}
	t.Bays[0].ClearObstacle()
	t.DriveLock(Roadside, 1)
	t.MoveByHand(Curbside, -1)
	run(t, 1.7)
	t.Bays[0].Condition.LeadOpen = true
	t.RefreshBay(0)
	drive(t, 0, -1, 1)
	drive(t, 2, 1, 0.7)
	run(t, 1.234)
	return t
}

// One script gives the same bytes, twice, on one processor and on two, and on
// every machine: the hash is pinned. It changes when the physics or the parameters
// change, and then only on purpose.
func TestSameBytes(t *testing.T) {
	const want uint64 = 0x96b738d331957b60
	got := hashTruck(busyTruck())
	first, second := hashEverything(busyTruck()), hashEverything(busyTruck())
	if first != second {
		t.Error("two runs differ")
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	done := make(chan uint64)
	go func() { done <- hashTruck(busyTruck()) }()
	if again := <-done; again != got {
		t.Errorf("on one processor: %#x, else %#x", again, got)
	}
	if got != want {
		t.Errorf("state hash %#x, want %#x", got, want)
	}
}

// The hash sees a change in the last bit of a state, however small a part of it.
func TestHashSeesOneBit(t *testing.T) {
	a, b := busyTruck(), busyTruck()
	b.Bays[2].Reel.phase = nextUp(b.Bays[2].Reel.phase)
	if hashTruck(a) == hashTruck(b) {
		t.Error("the hash does not see the encoder's last bit")
	}
}

// Leaving out a bay at rest is exact: a truck whose every bay is moved at every step
// comes to the same state.
func TestRestIsExact(t *testing.T) {
	script := func(skip bool) *Truck {
		truck := NewTruck(DefaultTruck(), DefaultStep)
		truck.Bays[1].Condition.SpringFactor = 0.7
		truck.RefreshBay(1)
		truck.Bays[1].Place(1.2) // drifts
		rested := 0
		for n := range 30_000 {
			switch n {
			case 100:
				drive(truck, 0, 1, 1)
			case 4000:
				drive(truck, 0, 0, 0)
			case 15_000:
				drive(truck, 2, 1, 0.6)
				truck.DriveLock(Curbside, 1)
			case 19_000:
				drive(truck, 2, 0, 0)
			}
			for i := range truck.Bays {
				if truck.Bays[i].AtRest() {
					rested++
				}
				if !skip {
					truck.Bays[i].wake()
				}
			}
			truck.Step()
		}
		if skip && rested < 40_000 {
			t.Errorf("only %d steps of a bay were left out", rested)
		}
		return truck
	}
	if hashTruck(script(true)) != hashTruck(script(false)) {
		t.Error("leaving out bays at rest changes the state")
	}
}

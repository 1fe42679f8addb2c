package model

import "testing"

// What the step keeps of the whole truck is what its bays say one by one: the lowest supply,
// and which of them are awake. Nothing of it is left over from a step before.
func TestWhatTheStepKeeps(t *testing.T) {
	truck := NewTruck(DefaultTruck(), DefaultStep)
	for n := range 9000 {
		switch n {
		case 100:
			drive(truck, 3, 1, 1)
		case 400:
			drive(truck, 0, 1, 0.5)
		case 1500:
			truck.DriveLock(Roadside, 1)
		case 2000:
			truck.SetSupply(SupplyCondition{VoltageFactor: 0})
		case 2100:
			truck.SetSupply(SupplyCondition{VoltageFactor: 0.8, FeedOhms: 0.05})
		case 2500:
			truck.Bays[3].Condition.BranchOhms = 0.3
			truck.RefreshBay(3)
		case 3000:
			drive(truck, 3, 0, 0)
		case 6000:
			drive(truck, 0, -1, 1)
		}
		truck.Step()
		lowest, awake := truck.NodeVolts, uint64(0)
		for i := range truck.Bays {
			b := &truck.Bays[i]
			lowest = min(lowest, b.Supply)
			if !b.AtRest() {
				awake |= 1 << i
			}
		}
		if truck.LowestVolts != lowest || truck.Awake() != awake {
			t.Fatalf("step %d: lowest supply %g V, want %g; awake %b, want %b", n, truck.LowestVolts, lowest, truck.Awake(), awake)
		}
	}
}

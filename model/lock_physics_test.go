package model

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// lockedTruck is a truck whose shared node stands at about volts.
func lockedTruck(volts float64) *Truck {
	t := NewTruck(DefaultTruck(), DefaultStep)
	t.SetSupply(SupplyCondition{VoltageFactor: volts / 12.615})
	t.Step()
	return t
}

// The bar goes through its stroke in 1.2 s at 12 V, either way, and stands at the
// stop. Its end switches change over on the way.
func TestLockStroke(t *testing.T) {
	truck := lockedTruck(12)
	l := &truck.Locks[Curbside]
	near(t, "node, V", truck.NodeVolts, 12, 0.02)
	if !l.UnlockedEnd() || l.LockedEnd() || l.ReachesCurtain() {
		t.Error("a truck is built unlocked")
	}
	for _, way := range []int{1, -1} {
		truck.DriveLock(Curbside, way)
		took := until(truck, 5, func() bool { return l.LockedEnd() == (way > 0) && l.UnlockedEnd() == (way < 0) })
		near(t, "stroke to the switch, s", took, 1.2, 0.1)
		run(truck, 0.5)
		end := l.Params.Stroke * float64(max(way, 0))
		near(t, "pressed against the stop, m", l.Position, end, 0.003)
		near(t, "stalled, A", l.Current, 12/(12/l.Params.StallAmps+l.Params.Branch), 0.3)
		truck.DriveLock(Curbside, 0)
		run(truck, 0.2)
		if l.Speed != 0 || l.Current != 0 {
			t.Errorf("off: %g m/s, %g A", l.Speed, l.Current)
		}
		if l.ReachesCurtain() != (way > 0) {
			t.Errorf("bar at %g m reaches the curtain: %t", l.Position, l.ReachesCurtain())
		}
	}
	if truck.Locks[Roadside].Position != 0 {
		t.Error("the other bar moved")
	}
}

// A steady bar runs where the actuator's line meets friction: v = v0·(u/12 − F/Fs).
func TestLockSpeedFollowsTheSupply(t *testing.T) {
	for _, volts := range []float64{9, 12, 13.5} {
		truck := lockedTruck(volts)
		l := &truck.Locks[Roadside]
		truck.DriveLock(Roadside, 1)
		run(truck, 0.4)
		terminal := truck.NodeVolts - l.Params.Branch*l.Current
		want := l.Params.FreeSpeed * (terminal/12 - l.Params.Friction/l.Params.StallForce)
		near(t, "bar speed, m/s", l.Speed, want, 0.01*want)
		// The current carries friction only: i = is·F/Fs.
		near(t, "current, A", l.Current, l.Params.StallAmps*l.Params.Friction/l.Params.StallForce, 0.1)
	}
}

// A curtain that is up blocks the bar of its side, and only of its side; down
// again, the bar goes through and holds the curtain down.
func TestCurtainBlocksTheBar(t *testing.T) {
	truck := lockedTruck(12)
	l, other, b := &truck.Locks[Curbside], &truck.Locks[Roadside], &truck.Bays[1]
	b.Place(0.020) // above the play of 15 mm
	truck.DriveLock(Curbside, 1)
	truck.DriveLock(Roadside, 1)
	run(truck, 3)
	near(t, "blocked bar, m", l.Position, l.Params.Clear, latchTouch)
	if l.ReachesCurtain() || !other.LockedEnd() {
		t.Errorf("bars at %g and %g m", l.Position, other.Position)
	}
	b.Place(-0.006)
	run(truck, 2)
	if !l.LockedEnd() {
		t.Fatalf("curtain down, bar at %g m", l.Position)
	}
	drive(truck, 1, 1, 1)
	run(truck, 3)
	within(t, "latched curtain driven up, m", b.Height, 0.010, 0.025)
	if b.MotorCurrent < 10 {
		t.Errorf("driven against the bar at %g A", b.MotorCurrent)
	}
	truck.DriveLock(Curbside, -1)
	run(truck, 3)
	if !l.UnlockedEnd() || b.Height < 0.2 {
		t.Errorf("unlocked: bar at %g m, curtain at %g m", l.Position, b.Height)
	}
}

// What jams the bar stops it from whichever side it comes, and lets it back.
func TestJammedBar(t *testing.T) {
	for _, row := range []struct {
		from, jam float64
		way       int
	}{{0, 0.030, 1}, {0.060, 0.030, -1}, {0, 0.0101, 1}} {
		truck := lockedTruck(12)
		l := &truck.Locks[Curbside]
		truck.PlaceLock(Curbside, row.from > 0)
		l.Condition.Jammed, l.Condition.JamAt = true, row.jam
		truck.RefreshLock(Curbside)
		truck.DriveLock(Curbside, row.way)
		run(truck, 3)
		near(t, "jammed bar, m", l.Position, row.jam, latchTouch)
		truck.DriveLock(Curbside, -row.way)
		run(truck, 3)
		near(t, "back, m", l.Position, row.from, latchTouch)
		truck.DriveLock(Curbside, row.way)
		run(truck, 0.2)
		l.Condition.Jammed = false
		truck.RefreshLock(Curbside)
		run(truck, 3)
		near(t, "freed, m", l.Position, 0.060-row.from, latchTouch)
	}
}

// An open lead leaves the bar where it is, with no current; the manual bypass
// still moves it, but not through a curtain nor a jam.
func TestLockByHand(t *testing.T) {
	truck := lockedTruck(12)
	l := &truck.Locks[Curbside]
	l.Condition.LeadOpen = true
	truck.RefreshLock(Curbside)
	truck.DriveLock(Curbside, 1)
	run(truck, 1)
	if l.Position != 0 || l.Current != 0 {
		t.Errorf("lead open: %g m, %g A", l.Position, l.Current)
	}
	truck.MoveByHand(Curbside, 1)
	run(truck, 1)
	if l.Position != l.Params.Stroke || l.Condition.ByHand != 0 || l.Speed != 0 {
		t.Errorf("by hand to locked: %g m, %g m/s", l.Position, l.Speed)
	}
	truck.MoveByHand(Curbside, -1)
	run(truck, 1)
	if l.Position != 0 {
		t.Errorf("by hand to unlocked: %g m", l.Position)
	}
	truck.Bays[0].Place(1)
	truck.MoveByHand(Curbside, 1)
	run(truck, 1)
	if l.Position != l.Params.Clear || l.Condition.ByHand != 0 {
		t.Errorf("by hand against a curtain: %g m", l.Position)
	}
}

// Whatever is asked of bars and doors: a bar that reaches into the side holds every
// curtain of it down, and no bar leaves its stroke by more than a stop gives.
func TestBarAndCurtainNeverCross(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truck := NewTruck(DefaultTruck(), DefaultStep)
		for range rapid.IntRange(1, 8).Draw(t, "acts") {
			drive(truck, rapid.IntRange(0, 3).Draw(t, "bay"), rapid.IntRange(-1, 1).Draw(t, "direction"), 1)
			side := Side(rapid.IntRange(0, 1).Draw(t, "side"))
			truck.DriveLock(side, rapid.IntRange(-1, 1).Draw(t, "lock"))
			if rapid.IntRange(0, 4).Draw(t, "hand") == 0 {
				truck.MoveByHand(side, rapid.SampledFrom([]int{-1, 1}).Draw(t, "hand way"))
			}
			for range rapid.IntRange(1, 900).Draw(t, "steps") {
				truck.Step()
				for s := range truck.Locks {
					l := &truck.Locks[s]
					if over := math.Max(-l.Position, l.Position-l.Params.Stroke); over > 0.005 {
						t.Fatalf("bar at %g m", l.Position)
					}
					if !l.ReachesCurtain() {
						continue
					}
					for i := range truck.Bays {
						if b := &truck.Bays[i]; b.Params.Side == Side(s) && b.Height > l.Params.LatchPlay+0.020 {
							t.Fatalf("bar at %g m, %s at %g m", l.Position, b.Params.Name, b.Height)
						}
					}
				}
			}
		}
	})
}

// Whenever it is switched off after it has met its stop, a bar stays there: its
// screw holds what it has pressed, and its end switch stays over.
func TestLockDoesNotSpringBack(t *testing.T) {
	for ms := 1150; ms <= 1500; ms++ {
		truck := lockedTruck(12)
		l := &truck.Locks[Curbside]
		truck.DriveLock(Curbside, 1)
		for range ms {
			truck.Step()
		}
		if l.Position < l.Params.Stroke {
			continue
		}
		truck.DriveLock(Curbside, 0)
		run(truck, 0.3)
		if l.Speed != 0 || !l.LockedEnd() || l.Position < l.Params.Stroke-0.0005 {
			t.Errorf("off after %d ms: at %g m, %g m/s", ms, l.Position, l.Speed)
		}
	}
}

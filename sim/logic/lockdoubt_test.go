package logic_test

import (
	"testing"

	"slatbench/sim"
	"slatbench/sim/logic"
)

// The switch of the unlocked end sticks at a locked bar, which then is held on its way back. It
// is not taken for home, however often that is asked for, until the switch has let go.
func TestSwitchThatSaysHomeOfALockedBar(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.lock(0)
	r.until(0, "locked", 3)
	r.sticks(true, false)
	r.wait(0.1)
	r.is(0, "failed")
	for range 2 {
		r.in.Sides[0].UnlockRequest = true
		for range 400 {
			if r.bar[0] <= 0.030 {
				r.still[0] = true
			}
			r.sticks(true, false)
			r.step()
			r.in.Sides[0].UnlockRequest = false
		}
		r.is(0, "failed")
		if r.out.Sides[0].Permit {
			t.Fatal("permits with the bar half out")
		}
	}
	r.hand[0], r.still[0] = false, false
	r.step()
	r.unlock(0)
	r.until(0, "freed", 3)
}

// Where the switch of the locked end stuck beside a bar at home, and lets go as it is driven
// back, that of the unlocked end was right.
func TestSwitchThatSaysLockedOfABarAtHome(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.sticks(false, true)
	r.wait(0.1)
	r.is(0, "failed")
	r.unlock(0)
	r.wait(0.1)
	r.sticks(false, false)
	r.until(0, "freed", 3)
}

// A bar that is driven back does not come to its locked end: a switch that says so on the way is
// wrong, and says nothing against that of the unlocked end.
func TestSwitchThatSaysLockedOfABarOnItsWayHome(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.jam[0] = 0.018
	r.lock(0)
	r.until(0, "retracting", 4)
	r.wait(0.25)
	for range 10 {
		r.sticks(false, true)
		r.step()
	}
	if r.bar[0] > barTrip {
		t.Fatalf("bar at %.3f m, expected it home by now", r.bar[0])
	}
	r.hand[0] = false
	r.until(0, "warning", 3)
}

// Both switches change within a tick: no bar is that quick.
func TestBarThatSeemsToLeap(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.lock(0)
	r.until(0, "locking", 1)
	r.hand[0] = true
	r.in.Sides[0].Unlocked, r.in.Sides[0].Locked = endSwitch(false), endSwitch(true)
	r.step()
	r.is(0, "returning")
}

// A lock that has failed is on record: after a reset its switches are not believed at once.
func TestFailureIsOnRecord(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.sticks(false, true)
	r.wait(0.1)
	r.is(0, "failed")
	r.bar[0] = 0.015 // by hand
	r.sticks(false, true)
	r.wait(0.1)
	r.locks.PowerOn(&r.store)
	r.wait(0.1)
	r.is(0, "failed")
	r.hand[0] = false
	r.step()
	r.unlock(0)
	r.until(0, "freed", 3)
	r.wait(0.1)
	r.locks.PowerOn(&r.store)
	r.wait(0.1)
	r.is(0, "freed")
}

// A lock that has failed and is asked to lock, and to unlock before the bar is driven, drives it
// back: what the switch of a failed stroke says frees no door. Meanwhile the failure stays on record.
func TestRequestTakenBackAfterAFailure(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.lock(0)
	for range 400 { // the switch of the unlocked end sticks, and the bar is held on its way back
		r.sticks(true, false)
		r.still[0] = r.out.Sides[0].Drive < 0 && r.bar[0] <= 0.020
		r.step()
	}
	r.is(0, "failed")
	r.still[0] = false
	r.in.Sides[0].LockRequest = true
	r.step()
	r.in.Sides[0].LockRequest = false
	r.wait(0.05)
	if got := r.afterReset(0); got != "failed" {
		t.Errorf("after a reset: %q, expected failed", got)
	}
	r.in.Sides[0].UnlockRequest = true
	r.step()
	if r.out.Sides[0].Permit || r.out.Sides[0].Drive >= 0 {
		t.Fatalf("%s: %+v with the bar %.0f mm out", r.locks.SideState(0), r.out.Sides[0], r.bar[0]*1e3)
	}
	for range 300 {
		r.sticks(true, false)
		r.step()
	}
	r.is(0, "freed")
	if r.bar[0] > barTrip {
		t.Errorf("freed with the bar %.0f mm out", r.bar[0]*1e3)
	}
}

// What is doubted before a reset is doubted after it; and a switch that was made at a locked bar is
// doubted though the reset came before the bar was driven back.
func TestDoubtOutlastsAReset(t *testing.T) {
	for _, late := range []bool{false, true} {
		r := newLockRig(t, baseline(t))
		r.lock(0)
		r.until(0, "locked", 3)
		r.sticks(true, false)
		r.wait(0.1)
		reset := func() {
			r.out = sim.Outputs{}
			r.locks.PowerOn(&r.store)
			r.wait(0.2)
			r.is(0, "failed")
		}
		back := func() {
			r.in.Sides[0].UnlockRequest = true
			for range 400 {
				r.still[0] = r.bar[0] <= 0.030
				r.sticks(true, false)
				r.step()
				r.in.Sides[0].UnlockRequest = false
			}
			r.is(0, "failed")
		}
		if late {
			back()
		}
		reset()
		back()
		r.hand[0], r.still[0] = false, false // the switch lets go
		r.step()
		r.unlock(0)
		r.until(0, "freed", 3)
		r.wait(0.1)
		r.locks.PowerOn(&r.store)
		r.wait(0.2)
		r.is(0, "freed")
	}
}

// Losing power as the doubt is written down leaves some bits of the byte old and some new. None of these
// mixtures may say that no stroke is under way: beside a switch that sticks the doors would be freed.
func TestTornDoubtStillTellsOfTheStroke(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.lock(0)
	r.until(0, "locked", 3)
	r.sticks(true, false)
	r.wait(0.1)
	r.in.Sides[0].UnlockRequest = true
	torn := 0
	for range 60 {
		before := r.store
		r.sticks(true, false)
		r.step()
		was, now := before[logic.StrokeAt], r.out.Byte
		if !r.out.Write || r.out.WriteAt != logic.StrokeAt || was == 0 || now == 0 {
			continue
		}
		torn++
		after, tried := r.store, [256]bool{}
		for changed := range 256 {
			found := was&^byte(changed) | now&byte(changed)
			if tried[found] {
				continue
			}
			tried[found], r.store[logic.StrokeAt] = true, found
			if got := r.afterReset(0); got != "failed" {
				t.Errorf("%d written over %d, and %d found: %q after a reset", now, was, found, got)
			}
		}
		r.store = after
	}
	if torn != 1 {
		t.Errorf("written %d times, and once is doubted", torn)
	}
}

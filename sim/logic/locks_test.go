package logic_test

import (
	"slices"
	"strings"
	"testing"

	"slatbench/sim"
)

func TestLockAndUnlock(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.is(0, "freed")
	if !r.out.Sides[0].Permit || r.out.Sides[0].Lamp {
		t.Errorf("freed: %+v, expected permit and no lamp", r.out.Sides[0])
	}
	r.in.Sides[0].LockRequest = true
	r.step()
	if r.out.Sides[0].Permit || r.out.Sides[0].Drive != 0 {
		t.Errorf("settling: %+v, expected neither permit nor drive", r.out.Sides[0])
	}
	if took := r.until(0, "locking", 1); took < 0.095 || took > 0.115 {
		t.Errorf("settled after %.3f s, expected 0.100 s", took)
	}
	r.in.Sides[0].LockRequest = false
	r.until(0, "locked", 2)
	r.wait(1)
	if o := r.out.Sides[0]; !o.Lamp || o.Permit || o.Drive != 0 || r.lit[0] != 1 {
		t.Errorf("locked: %+v, %d changes of the lamp, expected it steady on, drive off, no permit", o, r.lit[0])
	}
	r.unlock(0)
	r.until(0, "freed", 3)
	if r.bar[0] != 0 {
		t.Errorf("bar at %.3f m, expected it driven home for the whole stroke", r.bar[0])
	}
	if n := r.alarms(); n != 0 {
		t.Errorf("%d alarms", n)
	}
}

func TestHeldSwitchIsOneRequest(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.in.Sides[0].LockRequest = true
	r.until(0, "locked", 3)
	r.wait(1)
	r.unlock(0)
	r.until(0, "freed", 3)
	r.wait(2)
	r.is(0, "freed")
}

func TestRequestHeldAtPowerOnIsNone(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.in.Sides[0].LockRequest = true
	r.locks.PowerOn(&r.store)
	r.wait(2)
	r.is(0, "freed")
}

func TestLockIsRefusedUnlessEveryDoorSaysDown(t *testing.T) {
	for name, lines := range map[string]sim.DownLines{
		"not down": {NotDown: true}, "both wires on": {Down: true, NotDown: true}, "both wires off": {},
	} {
		for door := range 2 {
			r := newLockRig(t, baseline(t))
			r.in.Sides[0].Down[door] = lines
			r.lock(0)
			r.wait(1)
			r.is(0, "freed")
			if r.bar[0] != 0 || r.lit[0] < 3 || !r.out.Sides[0].Permit {
				t.Errorf("door %d %s: bar %.3f m, %d changes of the lamp, %+v", door, name, r.bar[0], r.lit[0], r.out.Sides[0])
			}
			r.wait(1)
			if r.out.Sides[0].Lamp {
				t.Errorf("door %d %s: the lamp still flashes", door, name)
			}
			if n := r.alarms(); n != 0 {
				t.Errorf("door %d %s: %d alarms, expected none", door, name, n)
			}
		}
	}
}

func TestDoorThatLeavesWhileSettling(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.in.Sides[0].LockRequest = true
	r.step()
	r.is(0, "settling")
	r.doors(0, false)
	r.wait(0.5)
	r.is(0, "freed")
	if r.bar[0] != 0 {
		t.Error("the bar has moved")
	}
}

func TestBlockedBarGoesBackAndSaysSo(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.jam[0] = 0.030
	r.lock(0)
	r.until(0, "locking", 1)
	if took := r.until(0, "retracting", 4); took < 2.45 || took > 2.55 {
		t.Errorf("given up after %.2f s, expected 2.5 s", took)
	}
	r.until(0, "warning", 3)
	if r.bar[0] != 0 {
		t.Errorf("bar at %.3f m, expected 0", r.bar[0])
	}
	r.wait(2)
	if r.lit[0] < 6 || r.lit[1] < 3 {
		t.Errorf("lamps changed %v times, expected both to flash", r.lit)
	}
	if !r.out.Sides[0].Permit {
		t.Error("no permit, though the bar is plainly home")
	}
	if n := r.alarms(); n != 1 {
		t.Errorf("%d alarms, expected one", n)
	}
	r.unlock(0) // acknowledges
	r.is(0, "freed")
}

func TestDoorLostDuringTheStroke(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.lock(0)
	r.until(0, "locking", 1)
	r.wait(0.4)
	r.in.Sides[0].Down[1] = sim.DownLines{Down: true, NotDown: true}
	r.step()
	r.step()
	if r.out.Sides[0].Drive != -1 {
		t.Errorf("drive %d, expected back at once", r.out.Sides[0].Drive)
	}
	r.until(0, "failed", 4)
	if r.bar[0] != 0 || r.out.Sides[0].Permit {
		t.Errorf("bar %.3f m, %+v", r.bar[0], r.out.Sides[0])
	}
	if n := r.alarms(); n != 1 {
		t.Errorf("%d alarms, expected one", n)
	}
	r.doors(0, true)
	r.unlock(0)
	r.until(0, "freed", 3)
}

// A bar that its end switch does not let go, or an actuator that is off.
func TestBarThatDoesNotLeave(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.still[0] = true
	r.lock(0)
	r.until(0, "locking", 1)
	if took := r.until(0, "returning", 2); took < 0.20 || took > 0.30 {
		t.Errorf("noticed after %.2f s, expected 0.25 s", took)
	}
	r.until(0, "failed", 4)
	if r.out.Sides[0].Permit {
		t.Error("permits, though the switch of that end is not to be believed")
	}
	if n := r.alarms(); n != 1 {
		t.Errorf("%d alarms, expected one", n)
	}
}

func TestSwitchesThatContradictEachOther(t *testing.T) {
	for name, ends := range map[string][2]sim.EndSwitch{
		"both ends":              {endSwitch(true), endSwitch(true)},
		"locked end both made":   {endSwitch(false), {Made: true, Released: true}},
		"unlocked end neither":   {{}, endSwitch(false)},
		"locked end neither":     {endSwitch(false), {}},
		"unlocked end both made": {{Made: true, Released: true}, endSwitch(false)},
	} {
		r := newLockRig(t, baseline(t))
		r.lock(0)
		r.until(0, "locking", 1)
		r.wait(0.3)
		r.hand[0] = true
		r.in.Sides[0].Unlocked, r.in.Sides[0].Locked = ends[0], ends[1]
		r.wait(0.05)
		if got := r.locks.SideState(0); got != "returning" {
			t.Errorf("%s: %q, expected returning", name, got)
		}
		r.wait(3)
		if got := r.locks.SideState(0); got != "failed" || r.out.Sides[0].Permit {
			t.Errorf("%s: %q, %+v, expected failed and no permit", name, got, r.out.Sides[0])
		}
	}
}

// A lamp is never steady while the bar is not plainly locked.
func TestLockedLampGoesWithTheBar(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.lock(0)
	r.until(0, "locked", 3)
	r.bar[0] = 0.030 // the manual bypass, half way
	r.step()
	r.is(0, "failed")
	r.bar[0] = 0
	r.unlock(0)
	r.until(0, "freed", 3)
}

func TestManualBypass(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.bar[0] = 0.030
	r.step()
	r.is(0, "failed")
	if r.out.Sides[0].Permit {
		t.Error("permits with the bar half out")
	}
	r.unlock(0)
	r.until(0, "freed", 3)
	r.bar[0] = barStroke // by hand, and however fast: somebody has to ask first
	r.step()
	r.is(0, "failed")
	r.lock(0)
	r.wait(0.5)
	r.is(0, "failed") // a switch that says locked before the stroke cannot tell when it is over
	r.bar[0] = 0
	r.unlock(0)
	r.until(0, "freed", 3)
}

func TestStateAfterAReset(t *testing.T) {
	for _, c := range []struct {
		bar  float64
		want string
	}{{0, "freed"}, {barStroke, "locked"}, {0.030, "failed"}} {
		r := newLockRig(t, baseline(t))
		r.bar[0] = c.bar
		r.locks.PowerOn(&r.store)
		r.step()
		r.step()
		r.is(0, c.want)
		r.wait(3)
		if r.bar[0] != c.bar {
			t.Errorf("bar moved from %.3f to %.3f m after a reset", c.bar, r.bar[0])
		}
	}
}

// The record says that a stroke was under way: the unlocked end's switch is not believed.
func TestStrokeInterruptedByAReset(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.lock(0)
	r.until(0, "locking", 1)
	r.wait(0.4)
	r.out = sim.Outputs{}
	r.locks.PowerOn(&r.store)
	r.hand[0] = true
	r.in.Sides[0].Unlocked, r.in.Sides[0].Locked = endSwitch(true), endSwitch(false) // one that sticks
	r.wait(1)
	r.is(0, "failed")
	r.is(1, "freed")
	if r.out.Sides[0].Permit || !r.out.Sides[1].Permit {
		t.Errorf("permits %v, %v", r.out.Sides[0].Permit, r.out.Sides[1].Permit)
	}
	r.hand[0] = false
	r.unlock(0)
	r.until(0, "freed", 3)
	r.wait(0.1)
	r.locks.PowerOn(&r.store) // the stroke home is over, and the record says so
	r.wait(0.2)
	r.is(0, "freed")
}

// The record is written before the bar leaves its end.
func TestStrokeIsOnRecordBeforeTheBarMoves(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.in.Sides[1].LockRequest = true
	for r.out.Sides[1].Drive == 0 {
		if r.step(); r.now > 500 {
			t.Fatal("not driven in 5 s")
		}
	}
	if got := r.afterReset(1); got != "failed" {
		t.Errorf("after a reset at the first tick of the drive: %q, expected failed", got)
	}
}

func TestUnlockDuringTheStroke(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.lock(0)
	r.until(0, "locking", 1)
	r.wait(0.5)
	r.unlock(0)
	r.is(0, "unlocking")
	r.until(0, "freed", 3)
	if r.bar[0] != 0 {
		t.Errorf("bar at %.3f m", r.bar[0])
	}
}

// A request to unlock counts at every tick, that of the arrival and those of the settling too.
func TestUnlockAskedAtAnyTick(t *testing.T) {
	for after := range 160 {
		r := newLockRig(t, baseline(t))
		r.in.Sides[0].LockRequest = true
		r.step()
		for range after {
			r.step()
		}
		r.in.Sides[0].LockRequest, r.in.Sides[0].UnlockRequest = false, true
		r.step()
		r.in.Sides[0].UnlockRequest = false
		r.wait(3)
		if r.bar[0] > barTrip || !r.out.Sides[0].Permit {
			t.Fatalf("asked %d ticks after: the bar is %.0f mm out, permitted %v", after, r.bar[0]*1e3, r.out.Sides[0].Permit)
		}
	}
}

// A request that comes in the very tick in which a stroke ends, or has failed, is no less heard
// than one a tick later.
func TestRequestAtTheTickOfAnEnd(t *testing.T) {
	for name, c := range map[string]struct {
		ends, then string
		begin      func(r *lockRig)
		ask        func(s *sim.SideInputs)
	}{
		"to unlock, as a drive back has failed": {"failed", "freed",
			func(r *lockRig) { r.lock(0); r.until(0, "locking", 1); r.doors(0, false); r.until(0, "returning", 1) },
			func(s *sim.SideInputs) { s.UnlockRequest = true }},
		"to unlock, as the switch fails": {"failed", "unlocking",
			func(r *lockRig) { r.hand[0], r.in.Sides[0].Unlocked = true, endSwitch(false) },
			func(s *sim.SideInputs) { s.UnlockRequest = true }},
		"to lock, as the bar comes home": {"freed", "locked",
			func(r *lockRig) { r.lock(0); r.until(0, "locked", 3); r.unlock(0) },
			func(s *sim.SideInputs) { s.LockRequest = true }},
	} {
		ends := newLockRig(t, baseline(t))
		c.begin(ends)
		ticks := int(ends.until(0, c.ends, 4)/ends.tick + 0.5)
		for _, at := range []int{ticks, ticks + 1} { // at that tick, and at the next
			r := newLockRig(t, baseline(t))
			c.begin(r)
			for range at - 1 {
				r.step()
			}
			c.ask(&r.in.Sides[0])
			r.wait(0.05)
			r.in.Sides[0].LockRequest, r.in.Sides[0].UnlockRequest = false, false
			for n := 0; r.locks.SideState(0) != c.then && n < 400; n++ {
				r.step()
			}
			if got := r.locks.SideState(0); got != c.then {
				t.Errorf("%s, asked at tick %d of %d: %q, expected %q", name, at, ticks, got, c.then)
			}
		}
	}
}

func TestBarThatDoesNotComeHome(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.lock(0)
	r.until(0, "locked", 3)
	r.still[0] = true
	r.unlock(0)
	r.until(0, "failed", 4)
	if r.out.Sides[0].Permit {
		t.Error("permits")
	}
	if n := r.alarms(); n != 1 {
		t.Errorf("%d alarms, expected one", n)
	}
}

func TestSidesAreIndependent(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.doors(1, false)
	r.lock(0)
	r.until(0, "locked", 3)
	r.is(1, "freed")
	if !r.out.Sides[1].Permit || r.bar[1] != 0 {
		t.Error("the other side was touched")
	}
	r.doors(1, true)
	r.lock(1)
	r.unlock(0)
	r.until(1, "locked", 3)
	r.until(0, "freed", 3)
	if got := r.locks.State(); !slices.Equal(strings.Split(got, "/"), []string{"freed", "locked"}) {
		t.Errorf("state %q", got)
	}
}

func TestLocksAllocateNothing(t *testing.T) {
	r := newLockRig(t, baseline(t))
	if n := testing.AllocsPerRun(50, r.step); n != 0 {
		t.Errorf("%g allocations a tick", n)
	}
}

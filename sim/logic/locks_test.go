package logic_test

import (
	"slices"
	"strings"
	"testing"

	"slatbench/sim"
	"slatbench/sim/logic"
)

// lockRig is a lock controller on the test table, with bars that move as they are driven.
type lockRig struct {
	t     testing.TB
	locks *logic.Locks
	in    sim.Inputs
	out   sim.Outputs
	store sim.Store
	bar   [2]float64 // m, 0 unlocked to 0.060 locked
	jam   [2]float64 // m, 0: none
	still [2]bool    // the bar does not move
	hand  [2]bool    // switches are set by hand
	tick  float64
	now   int
	rose  int // tones
	tone  bool
	lit   [2]int // changes of the lamps
}

const barStroke, barSpeed, barTrip = 0.060, 0.050, 0.003

func newLockRig(t testing.TB, table *logic.Table) *lockRig {
	r := &lockRig{t: t, locks: logic.NewLocks(table, 0.010), tick: 0.010}
	for i := range r.in.Sides {
		r.in.Sides[i].Bays = 2
		r.doors(i, true)
	}
	r.locks.PowerOn(&r.store)
	r.wait(0.2)
	return r
}

// afterReset is the state of a side of a controller that is reset now, and wakes.
func (r *lockRig) afterReset(side int) string {
	fresh := logic.NewLocks(baseline(r.t), 0.010)
	fresh.PowerOn(&r.store)
	var out sim.Outputs
	fresh.Tick(&r.in, &out)
	fresh.Tick(&r.in, &out)
	return fresh.SideState(side)
}

// doors sets the lines of both doors of a side.
func (r *lockRig) doors(side int, down bool) {
	for k := range 2 {
		r.in.Sides[side].Down[k] = sim.DownLines{Down: down, NotDown: !down}
	}
}

func endSwitch(made bool) sim.EndSwitch { return sim.EndSwitch{Made: made, Released: !made} }

func (r *lockRig) step() {
	for i := range r.bar {
		s := &r.in.Sides[i]
		if !r.still[i] {
			r.bar[i] += float64(r.out.Sides[i].Drive) * barSpeed * r.tick
		}
		top := barStroke
		if r.jam[i] > 0 {
			top = r.jam[i]
		}
		r.bar[i] = min(max(r.bar[i], 0), top)
		if !r.hand[i] {
			s.Unlocked, s.Locked = endSwitch(r.bar[i] <= barTrip), endSwitch(r.bar[i] >= barStroke-barTrip)
		}
	}
	lamps := [2]bool{r.out.Sides[0].Lamp, r.out.Sides[1].Lamp}
	r.out.Write = false
	r.locks.Tick(&r.in, &r.out)
	if r.out.Write {
		r.store[r.out.WriteAt] = r.out.Byte
	}
	for i := range lamps {
		if r.out.Sides[i].Lamp != lamps[i] {
			r.lit[i]++
		}
	}
	if r.out.Tone && !r.tone {
		r.rose++
	}
	r.tone = r.out.Tone
	r.now++
}

func (r *lockRig) wait(seconds float64) {
	for range int(seconds/r.tick + 0.5) {
		r.step()
	}
}

func (r *lockRig) lock(side int) {
	r.in.Sides[side].LockRequest = true
	r.wait(0.05)
	r.in.Sides[side].LockRequest = false
	r.step()
}

func (r *lockRig) unlock(side int) {
	r.in.Sides[side].UnlockRequest = true
	r.wait(0.05)
	r.in.Sides[side].UnlockRequest = false
	r.step()
}

func (r *lockRig) is(side int, state string) {
	r.t.Helper()
	if got := r.locks.SideState(side); got != state {
		r.t.Fatalf("side %d is %q, expected %q", side, got, state)
	}
}

func (r *lockRig) until(side int, state string, most float64) float64 {
	r.t.Helper()
	for n := 0; ; n++ {
		if r.locks.SideState(side) == state {
			return float64(n) * r.tick
		}
		if float64(n)*r.tick > most {
			r.t.Fatalf("side %d still %q after %g s, expected %q", side, r.locks.SideState(side), most, state)
		}
		r.step()
	}
}

// alarms counts tones; the lock controller has one alarm, of eight pulses.
func (r *lockRig) alarms() int {
	r.wait(4)
	return r.rose / int(sim.LockBlocked)
}

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

// sticks lets a switch of side 0 say made, wherever the bar is.
func (r *lockRig) sticks(unlocked, locked bool) {
	r.hand[0] = true
	s := &r.in.Sides[0]
	s.Unlocked, s.Locked = endSwitch(unlocked || r.bar[0] <= barTrip), endSwitch(locked || r.bar[0] >= barStroke-barTrip)
}

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

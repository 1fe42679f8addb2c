package logic_test

import (
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

// sticks lets a switch of side 0 say made, wherever the bar is.
func (r *lockRig) sticks(unlocked, locked bool) {
	r.hand[0] = true
	s := &r.in.Sides[0]
	s.Unlocked, s.Locked = endSwitch(unlocked || r.bar[0] <= barTrip), endSwitch(locked || r.bar[0] >= barStroke-barTrip)
}

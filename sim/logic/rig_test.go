package logic_test

import (
	"math"
	"slices"
	"testing"

	"slatbench/sim"
	"slatbench/sim/logic"
)

// rig is a door controller on the test table: its wires are set by hand, and
// pulses come while it drives.
type rig struct {
	t     testing.TB
	door  *logic.Door
	in    sim.Inputs
	out   sim.Outputs
	store sim.Store
	tick  float64 // s

	rate   float64 // pulses a second while driven
	part   float64 // of a pulse
	height int     // pulses above the floor, in truth
	now    int
	heard  []sim.Alarm

	tones  int
	silent int
	tone   bool
}

const rigTravel = 360 // pulses

func converter(x, full float64) uint16 { return uint16(math.Round(x / full * sim.ConverterMax)) }

func volts(v float64) uint16 { return converter(v, sim.SupplyFullV) }
func amps(a float64) uint16  { return converter(a, sim.CurrentFullA) }

// newRig is a taught door at a height in pulses, awake and unlocked, with 12.4 V.
func newRig(t testing.TB, table *logic.Table, height int) *rig {
	return newRigWith(t, table, height, 0.010)
}

func newRigWith(t testing.TB, table *logic.Table, height int, tick float64) *rig {
	t.Helper()
	r := &rig{t: t, door: logic.NewDoor(table, tick), height: height, tick: tick, rate: 70}
	r.door.Provision(&r.store, rigTravel, height)
	r.in = sim.Inputs{
		Supply: volts(12.4), Edge: sim.EdgeFree, EdgeFitted: true, Sill: height == 0, Permit: true,
		Unlocked: sim.EndSwitch{Made: true}, Locked: sim.EndSwitch{Released: true},
	}
	r.door.PowerOn(&r.store)
	r.wait(0.6)
	return r
}

// step is one tick.
func (r *rig) step() {
	r.in.Pulses, r.in.Net = 0, 0
	dir := 0
	if r.out.Enable && r.out.Up != r.out.Down {
		dir = -1
		if r.out.Up {
			dir = 1
		}
		if r.height < rigTravel || dir < 0 { // the open stop
			r.part += r.rate * r.tick
		}
	}
	for r.part >= 1 {
		r.part--
		r.in.Pulses++
		r.in.Net += int8(dir)
		r.height += dir
	}
	r.raw()
}

// raw is a tick with the inputs as they stand.
func (r *rig) raw() {
	r.out.Write = false
	r.door.Tick(&r.in, &r.out)
	r.now++
	if r.out.Write {
		r.store[r.out.WriteAt] = r.out.Byte
	}
	r.listen()
}

// listen counts tones; silence of 0.55 s ends a count.
func (r *rig) listen() {
	if r.out.Tone && !r.tone {
		r.tones++
	}
	r.tone = r.out.Tone
	r.silent++
	if r.tone {
		r.silent = 0
	}
	if r.tones > 0 && float64(r.silent)*r.tick > 0.55 {
		r.heard = append(r.heard, sim.Alarm(r.tones))
		r.tones = 0
	}
}

func (r *rig) wait(seconds float64) {
	for range int(math.Round(seconds / r.tick)) {
		r.step()
	}
}

// press is a press that is let go again.
func (r *rig) press() {
	r.in.Press = true
	r.wait(0.1)
	r.in.Press = false
	r.step()
}

// until waits for a state and tells after how many s it came.
func (r *rig) until(state string, most float64) float64 {
	r.t.Helper()
	for n := 0; ; n++ {
		if r.door.State() == state {
			return float64(n) * r.tick
		}
		if float64(n)*r.tick > most {
			r.t.Fatalf("still %q after %g s, expected %q; heard %v", r.door.State(), most, state, r.heard)
		}
		r.step()
	}
}

func (r *rig) is(state string) {
	r.t.Helper()
	if got := r.door.State(); got != state {
		r.t.Fatalf("state %q, expected %q; heard %v", got, state, r.heard)
	}
}

// hears lets all counts end and compares them.
func (r *rig) hears(want ...sim.Alarm) {
	r.t.Helper()
	r.wait(4)
	if !slices.Equal(r.heard, want) {
		r.t.Errorf("heard %v, expected %v", r.heard, want)
	}
}

// about checks a time to within so many s.
func (r *rig) about(what string, got, want, tolerance float64) {
	r.t.Helper()
	if math.Abs(got-want) > tolerance {
		r.t.Errorf("%s: %.3f s, expected %.3f ± %.3f s", what, got, want, tolerance)
	}
}

// closing is a rig whose door closes and has come down to a height in pulses.
func closing(t testing.TB, table *logic.Table, to int) *rig {
	t.Helper()
	r := newRig(t, table, rigTravel-5)
	r.press()
	for r.height > to {
		if r.wait(r.tick); r.now > 2000 {
			t.Fatalf("not down to %d pulses in 20 s: %q", to, r.door.State())
		}
	}
	return r
}

// opening is a rig whose door opens and has come up to a height in pulses.
func opening(t testing.TB, table *logic.Table, to int) *rig {
	t.Helper()
	r := newRig(t, table, 0)
	r.press()
	r.in.Sill = false
	for r.height < to {
		if r.wait(r.tick); r.now > 2000 {
			t.Fatalf("not up to %d pulses in 20 s: %q", to, r.door.State())
		}
	}
	return r
}

// lying is a rig whose door is down, and has run out so many pulses deep into its seal.
func lying(t testing.TB, deep int) *rig {
	t.Helper()
	r := closing(t, baseline(t), 0)
	r.in.Sill, r.in.Edge = true, sim.EdgePressed
	for r.rate = 0; r.door.State() != "down"; {
		r.step()
	}
	for range deep {
		r.pulsesAtRest(3)
	}
	r.wait(1)
	return r
}

// measuringUp is a rig whose door is taught, has found the floor from a height in pulses, and goes up.
func measuringUp(t testing.TB, from int) *rig {
	t.Helper()
	r := newRig(t, baseline(t), from)
	r.in.Teach = true
	r.press()
	r.in.Teach = false
	for r.height > 0 {
		r.step()
	}
	r.in.Sill, r.in.Edge = true, sim.EdgePressed
	r.until("turning", 0.1)
	r.in.Edge = sim.EdgeFree
	r.until("measuring up", 1)
	return r
}

package require_test

import (
	"testing"

	"slatbench/sim"
	"slatbench/sim/require"
)

// clerk is a controller that writes a new travel while the teach button is held,
// byte after byte, and reads it back at a boot. It keeps one copy without a check,
// or two copies of which the first that is sealed counts.
type clerk struct {
	store    *sim.Store
	sealed   bool
	todo     []write
	started  bool
	newValue int
}

type write struct{ at, b uint8 }

func (c *clerk) PowerOn(store *sim.Store) { c.store, c.todo, c.started = store, nil, false }

func (c *clerk) Tick(in *sim.Inputs, out *sim.Outputs) {
	if in.Teach && !c.started {
		c.started = true
		v := c.newValue
		hi, lo := uint8(v>>8), uint8(v)
		if c.sealed { // the other copy, its number last
			at, number := uint8(0), c.store[2]
			if c.valid(0) && (!c.valid(3) || c.store[2] > c.store[5]) {
				at = 3
			} else {
				number = c.store[5]
			}
			c.todo = []write{{at + 2, 0}, {at, hi}, {at + 1, lo}, {at + 2, number + 1}}
		} else {
			c.todo = []write{{0, hi}, {1, lo}}
		}
	}
	if len(c.todo) > 0 && !in.StoreBusy {
		out.Write, out.WriteAt, out.Byte = true, c.todo[0].at, c.todo[0].b
		c.todo = c.todo[1:]
	}
}

func (c *clerk) valid(at int) bool { return c.store[at+2] != 0 }

func (c *clerk) Provision(store *sim.Store, travel, _ int) {
	store[0], store[1], store[2] = uint8(travel>>8), uint8(travel), 1
}

func (c *clerk) Taught(store *sim.Store) (int, bool) {
	at := 0
	if c.sealed && store[5] > store[2] {
		at = 3
	}
	return int(store[at])<<8 | int(store[at+1]), !c.sealed || store[at+2] != 0
}

// teaching plays a teaching that goes down and up, and others that do half of it.
func teaching(t *testing.T) {
	play := func(value int, door func(float64, *sim.Inputs, *sim.Outputs)) verdicts {
		r := story{height: 1.79, seconds: 55, options: require.Options{Rated: true}}
		r.store = &teacher{clerk{sealed: true, newValue: value}, door, 0}
		r.actions = []sim.Action{{At: 1400, Kind: sim.TeachHold, Span: 500}, press(1.5)}
		return r.run(t)
	}
	both := func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		switch {
		case between(s, 1.7, 6.5):
			down(out)
		case between(s, 7.5, 13.5):
			up(out)
		}
	}
	stays := func(float64, *sim.Inputs, *sim.Outputs) {}
	if r := play(360, both).is("service", holds); r.Clause != "teaches" || r.Margin < 20 || r.Margin > 35 {
		t.Errorf("%s, margin %g", r.Clause, r.Margin)
	}
	play(200, both).is("service", violated)  // the travel of another door
	play(360, stays).is("service", violated) // the record is right, and nothing was measured
}

// teacher is a clerk with a door to drive. Its clock begins when it is first ticked.
type teacher struct {
	clerk
	door  func(float64, *sim.Inputs, *sim.Outputs)
	ticks int
}

func (c *teacher) Tick(in *sim.Inputs, out *sim.Outputs) {
	out.Up, out.Down, out.Enable, out.Lamp, out.Duty = false, false, false, false, 100
	out.Write = false
	c.clerk.Tick(in, out)
	c.door(float64(c.ticks)*0.01, in, out)
	c.ticks++
}

func TestTaughtTravel(t *testing.T) {
	s := func(c *clerk, cut float64) verdicts {
		r := story{height: -1, seconds: 6, store: c}
		// The encoder now has half the pulses: 360 was taught, 180 is true.
		r.faults = []sim.Scheduled{kind(t, "exchanged-encoder", map[string]float64{"resolution": 100}, 0, 0)}
		r.actions = []sim.Action{ask(1, sim.TeachHold)}
		if cut > 0 {
			r.actions = append(r.actions, interrupt(cut, 0.3))
		}
		return r.run(t)
	}
	for cut := 1.012; cut < 1.07; cut += 0.001 {
		s(&clerk{sealed: true, newValue: 180}, cut).says("taught-travel", require.Holds, "record", 1, 0)
	}
	// One copy: between its two bytes there is a mixture, whether power fails there or not.
	s(&clerk{newValue: 180}, 1.012).is("taught-travel", require.Violated)
	s(&clerk{newValue: 180}, 0).is("taught-travel", require.Violated)
	// A whole record, and not of this door.
	s(&clerk{sealed: true, newValue: 77}, 1.2).is("taught-travel", require.Violated)
	s(&clerk{sealed: true, newValue: 180}, 0).is("taught-travel", require.NotExercised)
}

package firmware

import "slatbench/sim"

// A controller at rest may say that it sleeps: then it is not called until something on
// its wires changes. bench_io.h says what that means for firmware, under BENCH_SLEEPS.

// mostPlayed is how many of the ticks that were passed over can be asked for again: what
// a byte can say.
const mostPlayed = 255

// sleep is what is kept of a controller that has said so.
type sleep struct {
	may     bool       // it is one that says so
	never   bool       // every tick is called all the same
	deep    int        // the last so many ticks are wanted at waking; 0: it is awake
	wires   sim.Inputs // at the last call
	outputs sim.Outputs
	played  sim.Outputs // in a tick that is played: nobody looks
	n       int         // ticks passed over
	next    uint8       // place in the ring of the next

	ring [mostPlayed]reading // of the last ticks passed over
}

// reading is what may change while it sleeps.
type reading struct {
	tick            uint32
	supply, current uint16
}

// KeepAwake implements sim.Dozer.
func (c *controller) KeepAwake() { c.sleep.never = true }

// Dozes, Doze and Self implement sim.Dozer.
func (c *controller) Dozes() bool { return c.engine != nil && c.sleep.deep > 0 }

// Doze: see Dozes.
func (c *controller) Doze(in *sim.Inputs) { c.sleep.pass(in) }

// Self: see Dozes.
func (c *controller) Self() sim.Controller { return c.self }

// begin lets it sleep from here on, after a tick with these inputs and outputs.
func (s *sleep) begin(in *sim.Inputs, out *sim.Outputs, deep uint8) {
	if s.may && !s.never {
		s.deep, s.wires, s.outputs = int(deep), *in, *out
	}
}

func (s *sleep) end() { s.deep, s.n, s.next = 0, 0, 0 }

// pass passes over a tick.
func (s *sleep) pass(in *sim.Inputs) {
	s.ring[s.next] = reading{in.Tick, in.Supply, in.Current}
	s.n++
	if s.next++; s.next == mostPlayed {
		s.next = 0
	}
}

// wake plays the last of the ticks that were passed over to one that has slept.
func (c *controller) wake() error {
	s := &c.sleep
	played := min(s.n, s.deep)
	c.engine.passed(s.n - played)
	for k := s.n - played; k < s.n; k++ {
		r := &s.ring[k%mostPlayed]
		s.wires.Tick, s.wires.Supply, s.wires.Current = r.tick, r.supply, r.current
		s.wires.Pulses, s.wires.Net = 0, 0
		if err := c.call(&s.wires, &s.played); err != nil {
			return err
		}
	}
	return nil
}

// sameWires tells that nothing has happened that wakes: supply and current are read
// anew at every tick, and never stand still.
func sameWires(in, before *sim.Inputs) bool {
	return in.Pulses == 0 && in.Net == 0 && in.Edge == before.Edge && in.Sill == before.Sill && in.Press == before.Press &&
		in.Teach == before.Teach && in.Permit == before.Permit && in.Unlocked == before.Unlocked && in.Locked == before.Locked &&
		in.StoreBusy == before.StoreBusy && in.TwoChannels == before.TwoChannels && in.EdgeFitted == before.EdgeFitted
}

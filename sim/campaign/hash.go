package campaign

import (
	"math"

	"slatbench/sim"
)

// hasher is FNV-1a over 64-bit words, a byte at a time.
type hasher uint64

func newHasher() hasher { return 14695981039346656037 }

func (h *hasher) word(x uint64) {
	for range 8 {
		*h = (*h ^ hasher(x&0xff)) * 1099511628211
		x >>= 8
	}
}

func (h *hasher) number(list ...float64) {
	for _, x := range list {
		h.word(math.Float64bits(x))
	}
}

func (h *hasher) flag(list ...bool) {
	for _, b := range list {
		if b {
			h.word(1)
		} else {
			h.word(0)
		}
	}
}

func (h *hasher) text(s string) {
	for i := range len(s) {
		*h = (*h ^ hasher(s[i])) * 1099511628211
	}
	h.word(uint64(len(s)))
}

// HashState is a hash of where a bench has come to: the truth of the truck, and
// what its controllers last drove and have in store. The same run gives the same
// hash on every machine.
func HashState(b *sim.Bench) uint64 {
	h := newHasher()
	h.word(uint64(b.Now))
	h.number(b.Truck.NodeVolts, b.Truck.TotalCurrent, b.Truck.Battery.Charge)
	for i := range b.Truck.Bays {
		bay := &b.Truck.Bays[i]
		h.number(bay.Height, bay.Speed, bay.Slack(), bay.MotorCurrent, bay.Supply, bay.WindingTemp, bay.ContactForce, bay.FloorForce)
		h.word(uint64(bay.Reel.Pulses))
		h.word(uint64(bay.Reel.Net))
		h.door(b, i)
	}
	for i := range b.Truck.Locks {
		h.number(b.Truck.Locks[i].Position, b.Truck.Locks[i].Speed)
	}
	for _, s := range b.LockOutputs().Sides {
		h.word(uint64(uint8(s.Drive)))
		h.flag(s.Lamp, s.Permit)
	}
	return uint64(h)
}

func (h *hasher) door(b *sim.Bench, i int) {
	o := b.Outputs(i)
	h.flag(b.Awake(i), o.Up, o.Down, o.Enable, o.Tone, o.Lamp, o.Lines.Down, o.Lines.NotDown)
	h.word(uint64(o.Duty))
	_, store := b.Door(i)
	for _, x := range store {
		h.word(uint64(x))
	}
}

// Hash is a hash of everything that a case says.
func (c *Case) Hash() uint64 {
	h := newHasher()
	h.word(c.Seed)
	h.word(c.Index)
	h.number(c.Temperature, c.Sunlight, c.Grade, c.Charge, c.HealAt, c.End)
	h.flag(c.Locked, c.Untaught)
	h.word(uint64(len(c.Bays)))
	for i := range c.Bays {
		b := &c.Bays[i]
		h.number(b.Mass, b.Turns, b.Dry, b.Viscous, b.Motor, b.Height)
	}
	h.word(uint64(len(c.Steps)))
	for i := range c.Steps {
		s := &c.Steps[i]
		h.number(s.At, s.Span, s.Aim, s.Distance)
		h.word(uint64(s.Kind))
		h.word(uint64(s.Bay))
		h.word(uint64(s.Side))
	}
	for i := range c.Faults {
		f := &c.Faults[i]
		h.text(f.Kind)
		h.word(uint64(f.Place))
		h.number(f.From, f.Until)
		h.number(f.Values[:]...)
	}
	return uint64(h)
}

package logic

import "slatbench/sim"

// heard is what a lock has heard of the doors of its side, a bit for each. The wires of a dark door
// drop, and then one that is stuck makes the pair say "down" as plainly as a door that is down. But a
// door that has power says plainly "not down" before it says "down", also as it wakes: so a door of
// which both wires were on, or which fell silent without having said down, is believed again only after that.
type heard struct {
	down    uint8 // its last plain word was down
	doubted uint8
	noted   uint8 // as on record
}

// hear listens to the doors for one tick. It gives those that are doubted and whose wire of the word
// "down" is on: only these a reset must not forget, since it hears anew of the others.
func (h *heard) hear(in *sim.SideInputs) (lasting uint8) {
	for i := range in.Bays {
		door := uint8(1) << i
		switch says := in.Down[i]; {
		case says.Says():
			h.down |= door
		case !says.Down && says.NotDown:
			h.down, h.doubted = h.down&^door, h.doubted&^door
		case says.Down || h.down&door == 0:
			h.doubted |= door
		}
		if in.Down[i].Down {
			lasting |= door
		}
	}
	return lasting & h.doubted
}

// allDown tells that every door of the side says down, and is believed.
func (h *heard) allDown(in *sim.SideInputs) bool {
	for i := range in.Bays {
		if !in.Down[i].Says() || h.doubted>>i&1 == 1 {
			return false
		}
	}
	return true
}

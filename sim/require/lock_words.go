package require

import "slatbench/sim"

// doorWords keeps of which doors of a side the lock controller has heard enough to know a door that
// is down from one that is dark and up, whose wire of the word "down" sticks: a bit for each. Both
// give the same levels, but a door that has power says plainly "not down" before it says "down".
type doorWords struct {
	wires    [sim.MaxBaysPerSide]sim.DownLines // at the last tick
	down     uint8                             // the last plain word since the boot was down
	unproved uint8                             // both wires were on, or it fell silent without having said down; and it has not said "not down" since
}

func (w *doorWords) hear(in *sim.SideInputs) {
	w.wires = in.Down
	for i := range in.Bays {
		says, door := in.Down[i], uint8(1)<<i
		switch {
		case says.Down != says.NotDown && says.Down:
			w.down |= door
		case says.Down != says.NotDown:
			w.down &^= door
			w.unproved &^= door
		case says.Down || w.down&door == 0:
			w.unproved |= door
		}
	}
}

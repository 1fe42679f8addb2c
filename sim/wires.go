package sim

// Wire is how a two-level wire or switch fails.
type Wire uint8

// A wire follows its source or is stuck.
const (
	WireSound Wire = iota
	WireHigh
	WireLow
)

func (w Wire) carry(level bool) bool {
	switch w {
	case WireHigh:
		return true
	case WireLow:
		return false
	}
	return level
}

// EdgeWire is how the wire to a sensing edge fails.
type EdgeWire uint8

// The wire is sound, off, or its two cores touch.
const (
	EdgeWireSound EdgeWire = iota
	EdgeWireOpen
	EdgeWireShort
)

// BayWires is what lies between one door and its controller: the overlay on
// which faults are laid, so that the truck itself stays as it truly is.
type BayWires struct {
	Sill       Wire
	Edge       EdgeWire
	Down       Wire
	NotDown    Wire
	SupplyBias float64 // V that the reading is off
	CurrentOff bool    // the current sensor reads nothing
	NoiseRate  float64 // extra pulses a second while the motor is energised
	Held       bool    // a button of a remote at this door is held down
}

// SideWires is what lies between one lock and its controller.
type SideWires struct {
	Unlocked Wire // the switch of that end, stuck over (high) or back (low)
	Locked   Wire
}

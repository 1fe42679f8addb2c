package model

import "fmt"

// SpringSteel is the wire that a spring is wound from.
type SpringSteel int

// The steels of door springs.
const (
	MusicWire   SpringSteel = iota // ASTM A228
	OilTempered                    // ASTM A229
	HardDrawn                      // ASTM A227
	steelCount
)

func (s SpringSteel) String() string {
	switch s {
	case MusicWire:
		return "music wire"
	case OilTempered:
		return "oil-tempered"
	case HardDrawn:
		return "hard-drawn"
	}
	return fmt.Sprintf("spring steel %d", int(s))
}

// StrengthSet is a published set of constants for the tensile strength of spring
// wire. They differ by several per cent: name the one in use.
type StrengthSet int

// The published sets.
const (
	// StrengthShigley is Shigley, 7th edition on. Music wire seen; the other two
	// steels from memory.
	StrengthShigley StrengthSet = iota
	// StrengthShigleyOld is of older editions of Shigley (secondary). Its columns
	// in kpsi and in MPa disagree by 5 to 20 %; this is the one in MPa, which the
	// worked problems use.
	StrengthShigleyOld
	// StrengthNorton is Norton, Machine Design (secondary).
	StrengthNorton
	setCount
)

func (s StrengthSet) String() string {
	switch s {
	case StrengthShigley:
		return "Shigley, 7th edition on"
	case StrengthShigleyOld:
		return "Shigley, older editions"
	case StrengthNorton:
		return "Norton"
	}
	return fmt.Sprintf("strength set %d", int(s))
}

// strengths holds A, in MPa·mm^m, and m of Sut = A/d^m.
var strengths = [setCount][steelCount]struct{ a, m float64 }{
	StrengthShigley:    {MusicWire: {2211, 0.145}, OilTempered: {1855, 0.187}, HardDrawn: {1783, 0.190}},
	StrengthShigleyOld: {MusicWire: {2060, 0.163}, OilTempered: {1610, 0.193}, HardDrawn: {1510, 0.201}},
	StrengthNorton:     {MusicWire: {2153.5, 0.1625}, OilTempered: {1831.2, 0.1833}, HardDrawn: {1753.3, 0.1822}},
}

// TensileStrength returns the minimum tensile strength, Pa, of wire of a diameter
// in m: A/d^m. The sets were fitted to wire of about 0.5 to 13 mm (music wire to
// 6.5 mm, from memory); nothing is refused outside, since worked examples go
// beyond. An unknown set or steel, or a diameter not above 0, gives ErrSpring.
func TensileStrength(set StrengthSet, steel SpringSteel, wire float64) (float64, error) {
	if set < 0 || set >= setCount {
		return 0, fmt.Errorf("%w: %v, expected %v, %v or %v", ErrSpring, set, StrengthShigley, StrengthShigleyOld, StrengthNorton)
	}
	if err := steel.check(); err != nil {
		return 0, err
	}
	if !(wire > 0) {
		return 0, fmt.Errorf("%w: wire %g m, expected above 0", ErrSpring, wire)
	}
	c := strengths[set][steel]
	return c.a * 1e6 / powP(wire*1e3, c.m), nil
}

func (s SpringSteel) check() error {
	if s < 0 || s >= steelCount {
		return fmt.Errorf("%w: %v, expected %v, %v or %v", ErrSpring, s, MusicWire, OilTempered, HardDrawn)
	}
	return nil
}

// thickWire, m: the modulus table is known for thicker wire only.
const thickWire = 0.125 * Inch

// SpringModulus returns Young's modulus, Pa, of wire thicker than 0.125 in
// (3.175 mm): music wire 28.0, hard-drawn and oil-tempered 28.5 million psi
// (Shigley, table 10-5). Thinner wire, or an unknown steel, gives ErrSpring.
func SpringModulus(steel SpringSteel, wire float64) (float64, error) {
	if err := steel.check(); err != nil {
		return 0, err
	}
	if !(wire > thickWire) {
		return 0, fmt.Errorf("%w: wire %g m, expected above %g m (0.125 in), where the modulus is published", ErrSpring, wire, thickWire)
	}
	if steel == MusicWire {
		return 28.0e6 * Psi, nil
	}
	return 28.5e6 * Psi, nil
}

// YieldShare returns the yield strength in bending as a share of the tensile
// strength: 0.78 for music and hard-drawn wire (from memory), 0.87 for
// oil-tempered (secondary; Shigley, spring materials). An unknown steel gives
// ErrSpring.
func YieldShare(steel SpringSteel) (float64, error) {
	if err := steel.check(); err != nil {
		return 0, err
	}
	if steel == OilTempered {
		return 0.87, nil
	}
	return 0.78, nil
}

package soak

import "slatbench/sim"

// Cycle is what one cycle did. A time is NaN where the door did not go the whole way.
type Cycle struct {
	N           int     // from 1
	Start       float64 // s since the first press
	Temperature float64 // °C

	OpenTime, CloseTime float64 // s, energised to arrived, of the last full travel each way
	LongestRun          float64 // s, energised in one direction without a break
	MinSupply           float64 // V at the controller of the bay, the least
	RestSupply          float64 // V there before the first press
	Charge              float64 // of the battery when the door was done, 0 to 1
	Drawn               float64 // A·s out of the battery, first press to done
	PeakCurrent         float64 // A in the motor
	Winding             float64 // °C, the hottest

	CountTop, CountFloor   int     // pulses, as the controller believes, at rest
	HeightTop, HeightFloor float64 // m, truly
	ErrorTop, ErrorFloor   float64 // pulses: counted less true height in whole pulses as built

	Alarms    []sim.Alarm
	Reversals int // closing runs that were turned up
	Presses   int
	Refused   int     // presses that moved nothing
	RefusedAt float64 // V at rest at the first of them; NaN if there was none
	Opened    bool    // the door was fully open
	Closed    bool    // … and then down
	Misfit    Misfit
	Retrained bool
	Taught    int // pulses of travel on record, at the end

	Wear Wear
}

// Wear is what the wear laws gave for a cycle.
type Wear struct {
	Spring, Closing, Friction float64 // factors as in model.Condition
	SlipUp, SlipDown          float64
	GapSpeed                  float64 // m/s; meaningless without gap pulses
	Age                       float64 // of the battery
}

// wearAfter evaluates the laws after n cycles.
func (c *Config) wearAfter(n int, age float64) Wear {
	return Wear{
		Spring: c.Spring.Left(n), Closing: c.Closing.Left(n), Friction: c.Dirt.Factor(n),
		SlipUp: c.Encoder.SlipAfter(n, true), SlipDown: c.Encoder.SlipAfter(n, false),
		GapSpeed: c.Encoder.GapSpeedAfter(n), Age: c.Battery.Age(age, n),
	}
}

// Misfit is how it showed that the taught travel no longer fits.
type Misfit int

// The ways.
const (
	Fits          Misfit = iota
	FloorEarly           // the floor came before the count said so
	CountOver            // the count ran out before the floor
	ShortAtTop           // the open stop came before the count said so
	misfitsNumber = iota
)

var misfitWords = [misfitsNumber]string{
	"", "the floor came before the count said so", "the count ran out before the floor", "the open stop came before the count said so",
}

func (m Misfit) String() string { return misfitWords[m] }

// MarshalText writes the words; nothing for a travel that fits.
func (m Misfit) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

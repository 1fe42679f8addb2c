package campaign

import (
	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// Case is one run as drawn: what of the truck differs from the campaign's, where it
// stands, what people do and what goes wrong. Times are in s, rounded to 10 ms.
type Case struct {
	Seed, Index uint64

	Temperature float64 // °C
	Sunlight    float64 // lx
	Grade       float64 // rise over run
	Charge      float64 // of the battery
	Bays        []BayDraw
	Locked      bool // both bars, at the start; all doors are down then
	Untaught    bool // nothing is on record, at the start

	Steps  []StepDraw // in order of time
	Faults []FaultDraw

	// From HealAt on nothing is wrong any more, and the recovery is played: see
	// Player. End is when the case is over.
	HealAt, End float64
}

// BayDraw is one bay's share of the tolerances, and where it stands.
type BayDraw struct {
	Mass, Turns, Dry, Viscous, Motor float64 // factors on curtain mass, initial turns, dry and viscous friction, winding resistance
	Height                           float64 // m at the start; below 0 is down
}

// StepDraw is something that a person does.
type StepDraw struct {
	At       float64
	Kind     sim.ActionKind // never Interrupt: that is a FaultDraw
	Bay      int
	Side     model.Side
	Span     float64 // s
	Aim      float64 // rad
	Distance float64 // m
}

// FaultDraw is one fault, or one event of those that are not steps.
type FaultDraw struct {
	Kind        string
	Place       int
	From, Until float64 // s; the fault is gone at HealAt at the latest
	Values      fault.Values
}

// Outcome is what a case came to.
type Outcome struct {
	Results     []require.Result // in the order of require.IDs
	Transitions []uint64         // bits of the door's and then the lock's transitions that fired, by index in the table; nil for other controllers
	Silent      []sim.Silence    // controllers that failed as a whole
	Hash        uint64           // of the final state
	Err         error            // the bench could not play it; no verdict
}

package model

// Condition is the state of wear of one bay's parts: what a mechanic would find.
// [NewCondition] gives parts as built. After changing it call [Bay.Refresh].
type Condition struct {
	SpringFactor   float64 // counterbalance torque: 1 as built, 0 broken
	ClosingFactor  float64 // closing spring: 1 as built, 0 broken
	FrictionFactor float64 // dry friction of the track: 1 as built
	MassFactor     float64 // curtain mass: 1 as built (water, ice, a repair with other slats)

	StretchFrom, StretchTo float64 // m: a bent stretch of track …
	StretchForce           float64 // … and the dry friction that it adds, N
	LeanForce              float64 // N of dry friction by cargo that leans on the curtain

	ReleaseOpen bool    // the manual release uncouples shaft and drive
	LeadOpen    bool    // a motor lead is off
	BranchOhms  float64 // Ω added by a corroded connector in the branch

	PulseScale   float64 // pulses a metre over those built in: another encoder
	Slip         float64 // 0 to 1: share of the wire's movement that the magnet wheel misses
	GapPulses    int     // pulses of a turn at which the magnet gap is too wide …
	GapSpeed     float64 // … and the speed, m/s, above which these pulses are lost
	RewindFactor float64 // how well the reel takes up wire: 1 as built, 0 stuck

	LensFactor  float64 // what a dirty lens lets through: 1 clean
	CellFactor  float64 // intensity left in the remote's cell when used at this bay
	Unplugged   bool    // the receiver is not connected
	EdgeDeaf    bool    // the pressure strip no longer closes
	UpContact   ContactCondition
	DownContact ContactCondition
	Enable      ContactCondition
}

// ContactCondition is how a contact of the power stage fails.
type ContactCondition uint8

// A contact follows its coil, never opens, or never makes.
const (
	ContactSound ContactCondition = iota
	ContactWelded
	ContactOpen
)

// NewCondition is a door as built.
func NewCondition() Condition {
	return Condition{
		SpringFactor: 1, ClosingFactor: 1, FrictionFactor: 1, MassFactor: 1,
		PulseScale: 1, RewindFactor: 1, LensFactor: 1, CellFactor: 1,
	}
}

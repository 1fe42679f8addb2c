package sim

import "slatbench/model"

// Converter scales: what the 10-bit converters of a controller read.
const (
	ConverterMax   = 1023
	SupplyFullV    = 20.0 // V at full scale: 19.6 mV a count
	CurrentFullA   = 40.0 // A at full scale: 39 mA a count; a current that flows back reads 0
	EdgeFree       = 512  // sensing edge, terminating resistor seen
	EdgePressed    = 137  // strip closed over the resistor
	EdgeShort      = 3    // shorted at the plug
	EdgeOpenWire   = 1020 // wire off, or no edge fitted
	StoreSize      = 64   // bytes of non-volatile memory
	MaxBaysPerSide = 4
)

// Inputs is all that a controller is told at a tick. A door controller reads the
// first part, the lock controller the second; each finds the rest zero.
type Inputs struct {
	Tick uint32 // ticks since this controller came out of reset

	Supply  uint16 // converter reading at its own terminals
	Current uint16 // converter reading, from the supply into the power stage
	Edge    uint16 // converter reading of the sensing edge
	Pulses  uint8  // encoder pulses since the last tick, on one channel
	Net     int8   // pulses up less pulses down since the last tick, where there are two channels

	TwoChannels bool // strap: the encoder has two channels
	EdgeFitted  bool // strap: a sensing edge is fitted
	Sill        bool // sill switch made
	Press       bool // receiver: a valid code is being received
	Teach       bool // teach button held
	Permit      bool // the lock controller lets the doors of this side move

	Unlocked EndSwitch // lock bar of this side, unlocked end
	Locked   EndSwitch // lock bar of this side, locked end

	StoreBusy bool // the last byte is still being written

	Sides [model.Sides]SideInputs // lock controller only
}

// SideInputs is what the lock controller is told about one side.
type SideInputs struct {
	LockRequest   bool // cab switch, momentary
	UnlockRequest bool
	Unlocked      EndSwitch
	Locked        EndSwitch
	Bays          uint8 // how many door lines are connected
	Down          [MaxBaysPerSide]DownLines
}

// EndSwitch is a changeover switch: exactly one of its contacts is made, or
// something is wrong with it.
type EndSwitch struct{ Made, Released bool }

// Sound tells whether the two contacts differ, as they should.
func (s EndSwitch) Sound() bool { return s.Made != s.Released }

// DownLines are the two complementary wires over which a door controller says
// that its door is down: down is true and false, not down false and true, and
// equal levels say nothing.
type DownLines struct{ Down, NotDown bool }

// Says tells whether the wires agree that the door is down.
func (d DownLines) Says() bool { return d.Down && !d.NotDown }

// Outputs is all that a controller can do. A reset clears it.
type Outputs struct {
	Up, Down, Enable bool  // coils of the power stage
	Duty             uint8 // %, 0 to 100
	Tone, Lamp       bool
	Lines            DownLines

	Write   bool // write one byte of non-volatile memory; ignored while busy
	WriteAt uint8
	Byte    uint8

	Sides [model.Sides]SideOutputs // lock controller only
}

// SideOutputs is what the lock controller drives on one side.
type SideOutputs struct {
	Drive  int8 // +1 lock, -1 unlock, 0 off
	Lamp   bool
	Permit bool // the doors of this side may move
}

// Store is the non-volatile memory of one controller.
type Store [StoreSize]byte

// Controller is the thing under test: one for each door, and one for the locks.
//
// PowerOn follows every reset: whatever the controller kept in RAM is gone, and
// the store holds what was written, torn where power failed in the midst. Tick is
// called every tick from then on. The same calls must give the same answers.
type Controller interface {
	PowerOn(store *Store)
	Tick(in *Inputs, out *Outputs)
}

// Teller is a controller that lets itself be looked at. It serves traces and
// pictures; no requirement is judged by it.
type Teller interface {
	State() string // of its state machine
	Counts() int   // pulses above the floor, as it believes
}

// Dozer is a controller that may pass over ticks at which nothing is new to it. Its
// answers are the same with and without.
type Dozer interface {
	// KeepAwake, before its first tick, lets every one be a full tick, and serves to
	// see that.
	KeepAwake()
	// Dozes tells, after a tick, that another one with the same inputs, but for Tick,
	// Supply and Current, would leave its outputs as they are.
	Dozes() bool
	// Doze stands for such a tick.
	Doze(in *Inputs)
	// Self is the controller itself. What wraps it, and looks at every tick, gets every
	// tick.
	Self() Controller
}

// Provisioner is a controller whose store can be filled as teaching would have.
type Provisioner interface {
	// Provision writes a record of the travel in pulses, and of where the
	// curtain stands in pulses above the floor.
	Provision(store *Store, travel, at int)
	// Taught reads the travel in pulses that the controller would work with
	// after a reset, and whether it finds any.
	Taught(store *Store) (travel int, ok bool)
}

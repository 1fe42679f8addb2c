package firmware

import (
	"encoding/binary"
	"fmt"
	"strings"

	"slatbench/sim"
)

// Version of the structs in bench_io.h. A controller with another is refused.
const Version = 1

// Sizes in bytes of what bench_io.h describes, all little-endian.
const (
	layoutSize  = 28
	inputsSize  = 56
	outputsSize = 28
	sideInSize  = 16
	sideOutSize = 4
	nameSize    = 32 // of a state's name, with its closing zero
)

// Offsets in the structs, where a part does not follow from the one before.
const (
	sidesIn  = 24
	writeOut = 8
	sleepOut = 11
	sidesOut = 12
	countOut = 20
	stateOut = 24
)

// layoutMagic is "BIO1" in memory.
const layoutMagic = 0x314F4942

// Flags of a layout: what a controller serves and offers.
const (
	servesDoor = 1 << iota
	servesLocks
	tellsState
	keepsRecords
	sleeps
	knownFlags = 1<<iota - 1
)

// Layout is what a controller from outside says of itself.
type Layout struct {
	Version                  uint16
	Inputs, Outputs, Store   uint16 // sizes, bytes
	Flags                    uint32
	inputsAt, outputsAt, ram uint32 // addresses in a module's memory; 0 in a program
}

// Serves tells whether it is made for a role.
func (l *Layout) Serves(r Role) bool {
	if r == Locks {
		return l.Flags&servesLocks != 0
	}
	return l.Flags&servesDoor != 0
}

// Tells that its outputs name its state and count.
func (l *Layout) Tells() bool { return l.Flags&tellsState != 0 }

// KeepsRecords tells that its store can be filled as teaching would have, and read.
func (l *Layout) KeepsRecords() bool { return l.Flags&keepsRecords != 0 }

// Sleeps tells that its outputs say when ticks may be passed over.
func (l *Layout) Sleeps() bool { return l.Flags&sleeps != 0 }

// Role is the controller that a module or a program is to be.
type Role uint8

// The roles.
const (
	Door Role = iota
	Locks
)

func (r Role) String() string {
	if r == Locks {
		return "locks"
	}
	return "door"
}

// readLayout reads one, and tells what does not fit.
func readLayout(b []byte) (Layout, error) {
	le := binary.LittleEndian
	l := Layout{
		Version: le.Uint16(b[4:]), Inputs: le.Uint16(b[6:]), Outputs: le.Uint16(b[8:]), Store: le.Uint16(b[10:]),
		Flags: le.Uint32(b[12:]), inputsAt: le.Uint32(b[16:]), outputsAt: le.Uint32(b[20:]), ram: le.Uint32(b[24:]),
	}
	if le.Uint32(b) != layoutMagic {
		return l, fmt.Errorf("its layout begins with %#08x, expected %#08x: is it built with bench_io.h?", le.Uint32(b), layoutMagic)
	}
	return l, l.check()
}

func (l *Layout) check() error {
	if l.Version != Version {
		return fmt.Errorf("it is built for version %d of bench_io.h, expected version %d", l.Version, Version)
	}
	var bad []string
	for _, s := range []struct {
		name      string
		has, want int
	}{{"bench_inputs", int(l.Inputs), inputsSize}, {"bench_outputs", int(l.Outputs), outputsSize}, {"bench_store", int(l.Store), sim.StoreSize}} {
		if s.has != s.want {
			bad = append(bad, fmt.Sprintf("%s has %d bytes, expected %d", s.name, s.has, s.want))
		}
	}
	if len(bad) > 0 {
		return fmt.Errorf("its structs are laid out otherwise: %s", strings.Join(bad, "; "))
	}
	if l.Flags&^knownFlags != 0 || l.Flags&(servesDoor|servesLocks) == 0 {
		return fmt.Errorf("its layout says %#x of what it serves, expected BENCH_DOOR, BENCH_LOCKS or both", l.Flags)
	}
	return nil
}

// putInputs lays inputs out as bench_io.h has them, with zeros for the sides.
func putInputs(b *[inputsSize]byte, in *sim.Inputs) {
	le := binary.LittleEndian
	le.PutUint32(b[:], in.Tick)
	le.PutUint16(b[4:], in.Supply)
	le.PutUint16(b[6:], in.Current)
	le.PutUint16(b[8:], in.Edge)
	b[10], b[11] = in.Pulses, uint8(in.Net)
	b[12], b[13], b[14] = level(in.TwoChannels), level(in.EdgeFitted), level(in.Sill)
	b[15], b[16], b[17] = level(in.Press), level(in.Teach), level(in.Permit)
	b[18], b[19] = level(in.Unlocked.Made), level(in.Unlocked.Released)
	b[20], b[21] = level(in.Locked.Made), level(in.Locked.Released)
	b[22] = level(in.StoreBusy)
	clear(b[23:])
}

// putSides lays out the second part, which only the lock controller has.
func putSides(b *[inputsSize]byte, in *sim.Inputs) {
	for i := range in.Sides {
		s, at := &in.Sides[i], b[sidesIn+i*sideInSize:]
		at[0], at[1] = level(s.LockRequest), level(s.UnlockRequest)
		at[2], at[3] = level(s.Unlocked.Made), level(s.Unlocked.Released)
		at[4], at[5] = level(s.Locked.Made), level(s.Locked.Released)
		at[6] = s.Bays
		for k := range s.Down {
			at[8+2*k], at[9+2*k] = level(s.Down[k].Down), level(s.Down[k].NotDown)
		}
	}
}

// level is a byte for a wire. The branch costs nothing: compilers make it a move.
func level(on bool) byte {
	if on {
		return 1
	}
	return 0
}

// takeOutputs reads outputs as bench_io.h has them, those of the sides left out. Any byte
// but 0 is on. It reads single bytes, as they were written: a wider load would wait for
// them, and so would a copy of what it fills.
func takeOutputs(b *[outputsSize]byte, out *sim.Outputs) {
	out.Up, out.Down, out.Enable, out.Duty = b[0] != 0, b[1] != 0, b[2] != 0, b[3]
	out.Tone, out.Lamp = b[4] != 0, b[5] != 0
	out.Lines.Down, out.Lines.NotDown = b[6] != 0, b[7] != 0
	out.Write, out.WriteAt, out.Byte = b[writeOut] != 0, b[9], b[10]
}

// takeSides reads those of the sides. A drive of a lock counts by its sign.
func takeSides(b *[outputsSize]byte, out *sim.Outputs) {
	for i := range out.Sides {
		at := b[sidesOut+i*sideOutSize:]
		out.Sides[i] = sim.SideOutputs{Drive: sign(int8(at[0])), Lamp: at[1] != 0, Permit: at[2] != 0}
	}
}

// answer is what a controller says besides what it drives.
type answer struct {
	asleep uint8
	counts int32
	state  [2]uint16
}

func (a *answer) take(b *[outputsSize]byte) {
	le := binary.LittleEndian
	a.asleep = b[sleepOut]
	a.counts = int32(le.Uint32(b[countOut:]))
	a.state[0], a.state[1] = le.Uint16(b[stateOut:]), le.Uint16(b[stateOut+2:])
}

func sign(x int8) int8 { return min(max(x, -1), 1) }

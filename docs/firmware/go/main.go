//go:build wasip1

// Command go is a controller for the bench, built as a WebAssembly module:
//
//	GOOS=wasip1 GOARCH=wasm go build -buildmode=c-shared -o controller.wasm ./docs/firmware/go
//
// It is a thin front of sim/logic, the controller that ships with the bench, with
// the shipped table built in. Yours would stand where logic.Door stands. The structs
// are those of docs/firmware/bench_io.h.
package main

import (
	"runtime"
	"unsafe"

	"slatbench/sim"
	"slatbench/sim/logic"
)

// endSwitch, doorLines and what follows are laid out as in bench_io.h.
type endSwitch struct{ made, released uint8 }

type doorLines struct{ down, notDown uint8 }

type sideInputs struct {
	lockRequest, unlockRequest uint8
	unlocked, locked           endSwitch
	bays, _                    uint8
	down                       [sim.MaxBaysPerSide]doorLines
}

type inputs struct {
	tick                    uint32
	supply, current, edge   uint16
	pulses                  uint8
	net                     int8
	twoChannels, edgeFitted uint8
	sill, press             uint8
	teach, permit           uint8
	unlocked, locked        endSwitch
	storeBusy, _            uint8
	sides                   [2]sideInputs
}

type sideOutputs struct {
	drive        int8
	lamp, permit uint8
	_            uint8
}

type outputs struct {
	up, down, enable, duty uint8
	tone, lamp             uint8
	lines                  doorLines
	write, writeAt, byte   uint8
	asleep                 uint8
	sides                  [2]sideOutputs
	counts                 int32
	state                  [2]uint16
}

type layout struct {
	magic                                   uint32
	version, inputsAre, outputsAre, storeIs uint16
	serves                                  uint32
	inputs, outputs, store                  uint32
}

// What it serves and offers: a door, the locks, its state, its records, and
// when it sleeps.
const serves = 1 | 2 | 4 | 8 | 16

var (
	in    inputs
	out   outputs
	store sim.Store
	says  layout

	seen   sim.Inputs
	driven sim.Outputs
	door   *logic.Door
	locks  *logic.Locks // nil in the controller of a door
	tick   float64      // s
	next   uint32       // the tick that comes if none is slept through
)

// headroom is asked for once, while the run time sets itself up, and given back at once: the
// heap has then grown to what a power-on needs. The bench puts an instance back at a power-on
// where its memory has not grown since, and makes a new one, which takes much longer, where
// it has.
var headroom = make([]byte, 1<<20)

func init() {
	headroom = nil
	runtime.GC()
}

//go:wasmexport bench_layout
func benchLayout() unsafe.Pointer {
	address := func(p unsafe.Pointer) uint32 { return uint32(uintptr(p)) }
	says = layout{
		0x314F4942, 1, uint16(unsafe.Sizeof(in)), uint16(unsafe.Sizeof(out)), uint16(len(store)), serves,
		address(unsafe.Pointer(&in)), address(unsafe.Pointer(&out)), address(unsafe.Pointer(&store)),
	}
	return unsafe.Pointer(&says)
}

//go:wasmexport bench_power_on
func benchPowerOn(role, tickMicros uint32) {
	tick = float64(tickMicros) / 1e6
	if role == 1 {
		locks = logic.NewLocks(&baseline, tick)
		locks.PowerOn(&store)
		return
	}
	door = logic.NewDoor(&baseline, tick)
	door.PowerOn(&store)
}

//go:wasmexport bench_tick
func benchTick() {
	sense()
	driven.Write = false
	missed := int(in.tick - next)
	next = in.tick + 1
	if locks != nil {
		locks.Passed(missed)
		locks.Tick(&seen, &driven)
		out.state = [2]uint16{stateOf(&baseline.Lock, locks.SideState(0)), stateOf(&baseline.Lock, locks.SideState(1))}
		out.asleep = sleep(locks.Asleep())
	} else {
		door.Passed(missed)
		door.Tick(&seen, &driven)
		out.counts, out.state[0] = int32(door.Counts()), stateOf(&baseline.Door, door.State())
		out.asleep = sleep(door.Asleep())
	}
	drive()
}

// sleep is how many of the ticks that it misses are wanted at waking, where a byte can
// say that; else it stays awake.
func sleep(wanted int) uint8 {
	if wanted > 255 {
		return 0
	}
	return uint8(wanted)
}

//go:wasmexport bench_provision
func benchProvision(travel, at int32) { asDoor().Provision(&store, int(travel), int(at)) }

//go:wasmexport bench_taught
func benchTaught() int32 {
	if travel, ok := asDoor().Taught(&store); ok {
		return int32(travel)
	}
	return -1
}

// asDoor is a door to ask about records, which no power-on has come before.
func asDoor() *logic.Door {
	if door == nil {
		door = logic.NewDoor(&baseline, 0.01)
	}
	return door
}

var name [32]byte

//go:wasmexport bench_state_name
func benchStateName(role, state uint32) unsafe.Pointer {
	m := &baseline.Door
	if role == 1 {
		m = &baseline.Lock
	}
	clear(name[:])
	if int(state) < len(m.States) {
		copy(name[:len(name)-1], m.States[state].Name)
	}
	return unsafe.Pointer(&name)
}

func stateOf(m *logic.Machine, name string) uint16 {
	for i := range m.States {
		if m.States[i].Name == name {
			return uint16(i)
		}
	}
	return 0
}

// sense turns the bytes of the bench into what sim/logic takes.
func sense() {
	seen.Tick, seen.Supply, seen.Current, seen.Edge = in.tick, in.supply, in.current, in.edge
	seen.Pulses, seen.Net = in.pulses, in.net
	seen.TwoChannels, seen.EdgeFitted, seen.Sill = in.twoChannels != 0, in.edgeFitted != 0, in.sill != 0
	seen.Press, seen.Teach, seen.Permit = in.press != 0, in.teach != 0, in.permit != 0
	seen.Unlocked, seen.Locked = in.unlocked.read(), in.locked.read()
	seen.StoreBusy = in.storeBusy != 0
	for i := range in.sides {
		from, to := &in.sides[i], &seen.Sides[i]
		to.LockRequest, to.UnlockRequest = from.lockRequest != 0, from.unlockRequest != 0
		to.Unlocked, to.Locked, to.Bays = from.unlocked.read(), from.locked.read(), from.bays
		for k := range from.down {
			to.Down[k] = sim.DownLines{Down: from.down[k].down != 0, NotDown: from.down[k].notDown != 0}
		}
	}
}

func (s endSwitch) read() sim.EndSwitch {
	return sim.EndSwitch{Made: s.made != 0, Released: s.released != 0}
}

// drive turns what sim/logic wants into the bytes of the bench.
func drive() {
	out.up, out.down, out.enable, out.duty = level(driven.Up), level(driven.Down), level(driven.Enable), driven.Duty
	out.tone, out.lamp = level(driven.Tone), level(driven.Lamp)
	out.lines = doorLines{level(driven.Lines.Down), level(driven.Lines.NotDown)}
	out.write, out.writeAt, out.byte = level(driven.Write), driven.WriteAt, driven.Byte
	for i := range out.sides {
		s := &driven.Sides[i]
		out.sides[i] = sideOutputs{drive: s.Drive, lamp: level(s.Lamp), permit: level(s.Permit)}
	}
}

func level(on bool) uint8 {
	if on {
		return 1
	}
	return 0
}

func main() {}

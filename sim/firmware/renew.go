package firmware

import (
	"github.com/tetratelabs/wazero/api"

	"slatbench/sim/firmware/meter"
)

// A new instance costs more than a power-on need: memory, tables and lists of exports are
// made, and thrown away again. What is to be as new after a power-on is what can have
// changed, and [meter.State] says what that is: where it is memory and globals that are
// numbers, an instance can be put back. Where it is more, where memory has grown, and where
// a call has failed, a new one is made.

// renewer is an engine that can be put back to what it was before its first power-on.
type renewer interface {
	// renew does it, or tells that it can't be done.
	renew() bool
}

// snapshot is a new instance: all that one of the same module can come to differ in.
type snapshot struct {
	size    uint32 // of its memory, bytes
	pieces  []piece
	globals []uint64 // in the order of meter.State
	world   worldState
}

// piece is a stretch of memory that is not zero.
type piece struct {
	at    uint32
	bytes []byte
}

// worldState is what the stand-ins know of an engine, and what it has said.
type worldState struct {
	nanos, random uint64
	said          []byte
}

func (w *world) state() worldState { return worldState{w.nanos, w.random, w.said.copied()} }

func (w *world) put(s *worldState) {
	w.nanos, w.random = s.nanos, s.random
	w.said.put(s.said)
}

// shortPiece: memory is told to be zero in stretches of so many bytes. Shorter ones make
// more pieces, longer ones copy more zeros.
const shortPiece = 256

// photograph keeps what an instance is.
func (i *instance) photograph() *snapshot {
	s := &snapshot{size: i.memory.Size(), world: i.world.state()}
	for _, g := range i.globals {
		s.globals = append(s.globals, g.Get())
	}
	all, _ := i.memory.Read(0, s.size)
	for at := 0; at < len(all); at += shortPiece {
		bytes := all[at:min(at+shortPiece, len(all))]
		if allZero(bytes) {
			continue
		}
		if n := len(s.pieces); n > 0 && int(s.pieces[n-1].at)+len(s.pieces[n-1].bytes) == at {
			s.pieces[n-1].bytes = append(s.pieces[n-1].bytes, bytes...)
		} else {
			s.pieces = append(s.pieces, piece{uint32(at), append([]byte(nil), bytes...)})
		}
	}
	return s
}

func allZero(b []byte) bool {
	for _, x := range b {
		if x != 0 {
			return false
		}
	}
	return true
}

// renew implements renewer.
func (i *instance) renew() bool {
	s := i.module.asNew
	if s == nil || i.failed || i.memory.Size() != s.size {
		return false
	}
	all, _ := i.memory.Read(0, s.size)
	clear(all)
	for k := range s.pieces {
		copy(all[s.pieces[k].at:], s.pieces[k].bytes)
	}
	for k, g := range i.globals {
		g.Set(s.globals[k])
	}
	i.world.put(&s.world)
	// Functions have stacks that grow, and the bound to these hangs on how they have grown:
	// they begin small again.
	i.onTick = i.mod.ExportedFunction(fnTick)
	clear(i.calls)
	return true
}

// reach looks up the globals that are to be put back.
func (i *instance) reach(s meter.State) (whole bool) {
	whole = s.Whole
	for _, name := range s.Globals {
		g, ok := i.mod.ExportedGlobal(name).(api.MutableGlobal)
		whole = whole && ok
		i.globals = append(i.globals, g)
	}
	return whole
}

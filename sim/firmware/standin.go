package firmware

import (
	"context"
	"encoding/binary"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"github.com/tetratelabs/wazero/sys"
)

// wasip1 is the module of imports that compilers of languages with a run time ask
// for. What it stands for here is a world in which nothing is left to chance: time
// is the count of ticks, random numbers are always the same, what is written goes
// to a small buffer that a failure shows, and there are no files and no network.
const wasip1 = "wasi_snapshot_preview1"

// world is what the stand-ins know of one engine.
type world struct {
	nanos  uint64 // since power-on
	random uint64
	said   tail
	work   api.MutableGlobal // nil until the engine is there
}

// charge takes from the engine's work for so many bytes that a stand-in has moved.
func (w *world) charge(n int) {
	if w.work != nil {
		w.work.Set(api.EncodeI32(int32(w.work.Get()) - int32(n>>6)))
	}
}

type worldKey struct{}

// Error numbers of wasip1.
const (
	errnoNone         = 0
	errnoBadFile      = 8
	errnoInvalid      = 28
	errnoNotSupported = 58
)

// Where the simulated time begins, in ns: the first second of 2001. It is nobody's
// clock; a run time that divides by it must find something.
const epoch = 978_307_200_000_000_000

// standin is one import: the kinds of its parameters, and what it does. An import
// with no work of its own answers with an error number.
type standin struct {
	name   string
	params string // i: 32 bits, I: 64 bits
	errno  uint64
	do     func(w *world, m api.Memory, stack []uint64) uint64
}

var standins = []standin{
	{"args_get", "ii", errnoNone, nil},
	{"args_sizes_get", "ii", 0, noneOf},
	{"environ_get", "ii", errnoNone, nil},
	{"environ_sizes_get", "ii", 0, noneOf},
	{"clock_res_get", "ii", 0, clockResolution},
	{"clock_time_get", "iIi", 0, clockTime},
	{"fd_advise", "iIIi", errnoBadFile, nil},
	{"fd_allocate", "iII", errnoBadFile, nil},
	{"fd_close", "i", errnoBadFile, nil},
	{"fd_datasync", "i", errnoBadFile, nil},
	{"fd_fdstat_get", "ii", 0, fileState},
	{"fd_fdstat_set_flags", "ii", errnoNotSupported, nil},
	{"fd_fdstat_set_rights", "iII", errnoNotSupported, nil},
	{"fd_filestat_get", "ii", errnoBadFile, nil},
	{"fd_filestat_set_size", "iI", errnoBadFile, nil},
	{"fd_filestat_set_times", "iIIi", errnoBadFile, nil},
	{"fd_pread", "iiiIi", errnoBadFile, nil},
	{"fd_prestat_get", "ii", errnoBadFile, nil},
	{"fd_prestat_dir_name", "iii", errnoBadFile, nil},
	{"fd_pwrite", "iiiIi", errnoBadFile, nil},
	{"fd_read", "iiii", errnoBadFile, nil},
	{"fd_readdir", "iiiIi", errnoBadFile, nil},
	{"fd_renumber", "ii", errnoBadFile, nil},
	{"fd_seek", "iIii", errnoBadFile, nil},
	{"fd_sync", "i", errnoBadFile, nil},
	{"fd_tell", "ii", errnoBadFile, nil},
	{"fd_write", "iiii", 0, write},
	{"path_create_directory", "iii", errnoBadFile, nil},
	{"path_filestat_get", "iiiii", errnoBadFile, nil},
	{"path_filestat_set_times", "iiiiIIi", errnoBadFile, nil},
	{"path_link", "iiiiiii", errnoBadFile, nil},
	{"path_open", "iiiiiIIii", errnoBadFile, nil},
	{"path_readlink", "iiiiii", errnoBadFile, nil},
	{"path_remove_directory", "iii", errnoBadFile, nil},
	{"path_rename", "iiiiii", errnoBadFile, nil},
	{"path_symlink", "iiiii", errnoBadFile, nil},
	{"path_unlink_file", "iii", errnoBadFile, nil},
	{"poll_oneoff", "iiii", 0, poll},
	{"proc_exit", "i", 0, exit},
	{"proc_raise", "i", errnoNotSupported, nil},
	{"random_get", "ii", 0, random},
	{"sched_yield", "", errnoNone, nil},
	{"sock_accept", "iii", errnoNotSupported, nil},
	{"sock_recv", "iiiiii", errnoNotSupported, nil},
	{"sock_send", "iiiii", errnoNotSupported, nil},
	{"sock_shutdown", "ii", errnoNotSupported, nil},
}

// offered tells whether there is a stand-in for an import.
func offered(module, name string) bool {
	if module != wasip1 {
		return false
	}
	for i := range standins {
		if standins[i].name == name {
			return true
		}
	}
	return false
}

// standIn offers the stand-ins to the modules of a runtime.
func standIn(ctx context.Context, r wazero.Runtime) error {
	b := r.NewHostModuleBuilder(wasip1)
	for i := range standins {
		s := &standins[i]
		params := make([]api.ValueType, len(s.params))
		for k, p := range s.params {
			params[k] = api.ValueTypeI32
			if p == 'I' {
				params[k] = api.ValueTypeI64
			}
		}
		results := []api.ValueType{api.ValueTypeI32}
		if s.name == "proc_exit" {
			results = nil
		}
		b.NewFunctionBuilder().WithGoModuleFunction(s.function(), params, results).Export(s.name)
	}
	_, err := b.Instantiate(ctx)
	return err
}

func (s *standin) function() api.GoModuleFunc {
	return func(ctx context.Context, m api.Module, stack []uint64) {
		errno := s.errno
		if s.do != nil {
			w, _ := ctx.Value(worldKey{}).(*world)
			memory := m.Memory()
			if w == nil || memory == nil {
				errno = errnoNotSupported
			} else {
				errno = s.do(w, memory, stack)
			}
		}
		if len(stack) > 0 && s.name != "proc_exit" {
			stack[0] = errno
		}
	}
}

func ok(all ...bool) uint64 {
	for _, good := range all {
		if !good {
			return errnoInvalid
		}
	}
	return errnoNone
}

// noneOf answers that there are no arguments, no environment.
func noneOf(_ *world, m api.Memory, stack []uint64) uint64 {
	return ok(m.WriteUint32Le(uint32(stack[0]), 0), m.WriteUint32Le(uint32(stack[1]), 0))
}

func clockResolution(_ *world, m api.Memory, stack []uint64) uint64 {
	return ok(m.WriteUint64Le(uint32(stack[1]), 1))
}

func clockTime(w *world, m api.Memory, stack []uint64) uint64 {
	return ok(m.WriteUint64Le(uint32(stack[2]), epoch+w.nanos))
}

// fileState: the three standard files are there, as a terminal would be.
func fileState(_ *world, m api.Memory, stack []uint64) uint64 {
	const size, characters = 24, 2
	if uint32(stack[0]) > 2 {
		return errnoBadFile
	}
	return ok(m.Write(uint32(stack[1]), append([]byte{characters}, make([]byte, size-1)...)))
}

// write keeps the end of what is written to standard output and error.
func write(w *world, m api.Memory, stack []uint64) uint64 {
	const most = 1024 // pieces
	fd, list, n := uint32(stack[0]), uint32(stack[1]), uint32(stack[2])
	if fd != 1 && fd != 2 {
		return errnoBadFile
	}
	if n > most {
		return errnoInvalid
	}
	written := uint32(0)
	for i := range n {
		at, ok1 := m.ReadUint32Le(list + 8*i)
		size, ok2 := m.ReadUint32Le(list + 8*i + 4)
		text, ok3 := m.Read(at, size)
		if !ok1 || !ok2 || !ok3 {
			return errnoInvalid
		}
		_, _ = w.said.Write(text)
		w.charge(len(text))
		written += size
	}
	return ok(m.WriteUint32Le(uint32(stack[3]), written))
}

// poll answers at once that all waiting for time is over, and that files have
// nothing to give.
func poll(_ *world, m api.Memory, stack []uint64) uint64 {
	const most, subscription, event = 1024, 48, 32
	from, to, n := uint32(stack[0]), uint32(stack[1]), uint32(stack[2])
	if n == 0 || n > most {
		return errnoInvalid
	}
	for i := range n {
		user, ok1 := m.ReadUint64Le(from + i*subscription)
		kind, ok2 := m.ReadByte(from + i*subscription + 8)
		var e [event]byte
		binary.LittleEndian.PutUint64(e[:], user)
		e[10] = kind
		if kind != 0 {
			e[8] = errnoNotSupported
		}
		if !ok1 || !ok2 || !m.Write(to+i*event, e[:]) {
			return errnoInvalid
		}
	}
	return ok(m.WriteUint32Le(uint32(stack[3]), n))
}

func exit(_ *world, _ api.Memory, stack []uint64) uint64 {
	panic(sys.NewExitError(uint32(stack[0])))
}

// random fills with the numbers of a fixed generator (SplitMix64, G. L. Steele and
// others, 2014, from memory), the same after every power-on.
func random(w *world, m api.Memory, stack []uint64) uint64 {
	buf, good := m.Read(uint32(stack[0]), uint32(stack[1]))
	w.charge(len(buf))
	for len(buf) > 0 {
		w.random += 0x9e3779b97f4a7c15
		z := w.random
		z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
		z = (z ^ z>>27) * 0x94d049bb133111eb
		var word [8]byte
		binary.LittleEndian.PutUint64(word[:], z^z>>31)
		buf = buf[copy(buf, word[:]):]
	}
	return ok(good)
}

package firmware

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"sync"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"github.com/tetratelabs/wazero/sys"

	"slatbench/sim"
	"slatbench/sim/firmware/meter"
)

// Bounds of what a module may do. See [meter] for what is counted.
const (
	// TickWork is how many calls and turns of loops a tick may take. A hundred times
	// what a microcontroller does in 10 ms, and yet an endless loop is over in some
	// 10 ms of the bench's time.
	TickWork = 10_000_000
	// startWork is the same for getting ready: a run time sets itself up.
	startWork = 200_000_000
	// memoryPages bounds its memory, in pages of 64 KiB: 64 MiB.
	memoryPages = 1024
	// mostModule bounds its file, in bytes.
	mostModule = 64 << 20
)

// The functions of a module, as bench_io.h names them.
const (
	fnLayout    = "bench_layout"
	fnPowerOn   = "bench_power_on"
	fnTick      = "bench_tick"
	fnProvision = "bench_provision"
	fnTaught    = "bench_taught"
	fnStateName = "bench_state_name"
)

// Module is a WebAssembly module whose instances are controllers. It is compiled
// once; instances may be used by several goroutines, each by one.
type Module struct {
	title    string
	digest   string
	layout   Layout
	runtime  wazero.Runtime
	compiled wazero.CompiledModule
	state    meter.State
	asNew    *snapshot // nil: every power-on makes a new instance
	mu       sync.Mutex
	side     *instance // that records and names are asked of
}

// OpenModule compiles a module, starts it once, and checks what it says of itself.
// The title is what it is called. A module must be closed.
func OpenModule(title string, wasm []byte) (*Module, error) {
	if len(wasm) > mostModule {
		return nil, fmt.Errorf("it has %d bytes, expected %d at most", len(wasm), mostModule)
	}
	metered, state, err := meter.Meter(wasm, startWork, meter.Each{Export: fnTick, Work: TickWork})
	if err != nil {
		return nil, err
	}
	ctx := context.Background()
	sum := sha256.Sum256(wasm)
	m := &Module{title: title, digest: hex.EncodeToString(sum[:8]), state: state}
	m.runtime = wazero.NewRuntimeWithConfig(ctx, wazero.NewRuntimeConfig().WithMemoryLimitPages(memoryPages).WithDebugInfoEnabled(false))
	if err := m.open(ctx, metered); err != nil {
		m.runtime.Close(ctx)
		return nil, err
	}
	return m, nil
}

func (m *Module) open(ctx context.Context, metered []byte) (err error) {
	defer func() { // a file may be anything; the compiler is not ours
		if p := recover(); p != nil {
			err = fmt.Errorf("it does not compile: %v", p)
		}
	}()
	if m.compiled, err = m.runtime.CompileModule(ctx, metered); err != nil {
		return fmt.Errorf("it does not compile: %s", firstLine(err))
	}
	if err := m.imports(); err != nil {
		return err
	}
	if err := m.exports(); err != nil {
		return err
	}
	if err := standIn(ctx, m.runtime); err != nil {
		return err
	}
	first, err := m.instantiate()
	if err != nil {
		return err
	}
	defer first.close()
	m.layout = first.layout
	if first.whole {
		m.asNew = first.photograph()
	}
	if m.layout.KeepsRecords() {
		return m.wants(fnProvision, "ii", "", fnTaught, "", "i")
	}
	return nil
}

// imports refuses what is not offered, all of it at once.
func (m *Module) imports() error {
	var list []string
	for _, f := range m.compiled.ImportedFunctions() {
		if module, name, _ := f.Import(); !offered(module, name) {
			list = append(list, fmt.Sprintf("%s of %q", name, module))
		}
	}
	for _, f := range m.compiled.ImportedMemories() {
		module, name, _ := f.Import()
		list = append(list, fmt.Sprintf("memory %s of %q", name, module))
	}
	if len(list) > 0 {
		return fmt.Errorf("it asks for imports that the bench does not offer: %s; expected none, or those of %q", strings.Join(list, ", "), wasip1)
	}
	return nil
}

// exports wants the functions of bench_io.h.
func (m *Module) exports() error {
	f := m.compiled.ExportedFunctions()
	if _, command := f["_start"]; command {
		return errors.New("it is built as a program with a beginning and an end (it exports _start), expected a library: in C link with -Wl,--no-entry, in Go build with -buildmode=c-shared")
	}
	if len(m.compiled.ExportedMemories()) != 1 {
		return errors.New("it exports no memory, expected one named memory")
	}
	if err := m.wants(fnLayout, "", "i", fnPowerOn, "ii", "", fnTick, "", ""); err != nil {
		return err
	}
	if f[fnStateName] != nil {
		return m.wants(fnStateName, "ii", "i")
	}
	return nil
}

// wants looks for functions, each with the kinds of its parameters and of its result.
func (m *Module) wants(list ...string) error {
	f := m.compiled.ExportedFunctions()
	for i := 0; i < len(list); i += 3 {
		name, params, results := list[i], list[i+1], list[i+2]
		d := f[name]
		if d == nil {
			return fmt.Errorf("it exports no function %s: bench_io.h says which are expected", name)
		}
		if kinds(d.ParamTypes()) != params || kinds(d.ResultTypes()) != results {
			return fmt.Errorf("its function %s takes (%s) and gives (%s), expected (%s) and (%s), where i is 32 bits", name,
				kinds(d.ParamTypes()), kinds(d.ResultTypes()), params, results)
		}
	}
	return nil
}

func kinds(types []api.ValueType) string {
	letters := map[api.ValueType]byte{api.ValueTypeI32: 'i', api.ValueTypeI64: 'I', api.ValueTypeF32: 'f', api.ValueTypeF64: 'F'}
	var s []byte
	for _, t := range types {
		if letters[t] == 0 {
			letters[t] = '?'
		}
		s = append(s, letters[t])
	}
	return string(s)
}

// Title implements sim.Logic.
func (m *Module) Title() string { return m.title }

// Digest is a short name for the module's bytes.
func (m *Module) Digest() string { return m.digest }

// Layout is what the module says of itself.
func (m *Module) Layout() *Layout { return &m.layout }

// Controllers implements sim.Logic.
func (m *Module) Controllers(bays int, tick float64) (doors []sim.Controller, locks sim.Controller) {
	return controllers(m, &m.layout, bays, tick)
}

// Return implements sim.Lender.
func (m *Module) Return(doors []sim.Controller, locks sim.Controller) { stopAll(doors, locks) }

// Close frees the module and all that was made from it.
func (m *Module) Close() error { return m.runtime.Close(context.Background()) }

// instance is one controller that a module has become.
type instance struct {
	module *Module
	layout Layout
	ctx    context.Context
	world  *world
	mod    api.Module
	memory api.Memory
	work   api.MutableGlobal
	micros uint64
	onTick api.Function
	stack  [4]uint64
	size   uint32 // of memory, when these two were found in it
	in     *[inputsSize]byte
	out    *[outputsSize]byte
	calls  map[string]api.Function // those that have been asked, with their stacks

	globals []api.MutableGlobal // that of the work first
	whole   bool                // it can be put back
	failed  bool                // a call has not come to its end
}

func (m *Module) start() (engine, error) { return m.instantiate() }

// instantiate makes a new instance: memory, globals and tables as the module's file
// has them.
func (m *Module) instantiate() (*instance, error) {
	i := &instance{module: m, world: &world{}, calls: map[string]api.Function{}}
	i.ctx = context.Background()
	if len(m.compiled.ImportedFunctions()) > 0 { // the stand-ins ask for it
		i.ctx = context.WithValue(i.ctx, worldKey{}, i.world)
	}
	var err error
	i.mod, err = m.runtime.InstantiateModule(i.ctx, m.compiled, wazero.NewModuleConfig().WithName("").WithStartFunctions())
	if err != nil {
		return nil, fmt.Errorf("it does not start: %s", i.why(err))
	}
	i.memory = i.mod.Memory()
	i.whole = i.reach(m.state)
	i.work = i.globals[0]
	i.world.work = i.work
	i.onTick = i.mod.ExportedFunction(fnTick)
	if err := i.begin(); err != nil {
		i.close()
		return nil, err
	}
	return i, nil
}

// begin lets a run time set itself up, and reads the layout.
func (i *instance) begin() error {
	if f := i.mod.ExportedFunction("_initialize"); f != nil {
		if _, err := f.Call(i.ctx); err != nil {
			return fmt.Errorf("it does not start: %s", i.why(err))
		}
	}
	at, err := i.ask(fnLayout)
	if err != nil {
		return fmt.Errorf("it does not say its layout: %w", err)
	}
	raw, good := i.memory.Read(uint32(at), layoutSize)
	if !good {
		return fmt.Errorf("its layout lies outside its memory, at %#x", at)
	}
	if i.layout, err = readLayout(raw); err != nil {
		return err
	}
	return i.places()
}

// places makes sure that the structs lie in memory, apart from each other.
func (i *instance) places() error {
	l := &i.layout
	list := []struct {
		name     string
		at, size uint64
	}{{"bench_inputs", uint64(l.inputsAt), inputsSize}, {"bench_outputs", uint64(l.outputsAt), outputsSize}, {"bench_store", uint64(l.ram), sim.StoreSize}}
	for n, a := range list {
		if a.at+a.size > uint64(i.memory.Size()) {
			return fmt.Errorf("%s lies outside its memory, at %#x", a.name, a.at)
		}
		for _, b := range list[:n] {
			if a.at < b.at+b.size && b.at < a.at+a.size {
				return fmt.Errorf("%s and %s lie in the same place, at %#x", b.name, a.name, a.at)
			}
		}
	}
	return nil
}

// ask calls a function for its result, with as much work as a tick may take.
func (i *instance) ask(name string, params ...uint64) (uint64, error) {
	i.work.Set(TickWork)
	f := i.calls[name]
	if f == nil {
		f = i.mod.ExportedFunction(name)
		i.calls[name] = f
	}
	results, err := f.Call(i.ctx, params...)
	if err != nil {
		i.failed = true
		return 0, errors.New(i.why(err))
	}
	if len(results) == 0 {
		return 0, nil
	}
	return results[0], nil
}

func (i *instance) powerOn(r Role, tickMicros uint32, store *sim.Store) error {
	i.micros, i.world.nanos = uint64(tickMicros), 0
	i.memory.Write(i.layout.ram, store[:])
	_, err := i.ask(fnPowerOn, uint64(r), uint64(tickMicros))
	i.look()
	return err
}

func (i *instance) inputs() *[inputsSize]byte { return i.in }

// tick begins with work of its own: see [meter.Each].
func (i *instance) tick() (*[outputsSize]byte, error) {
	if err := i.onTick.CallWithStack(i.ctx, i.stack[:]); err != nil {
		i.failed = true
		return nil, errors.New(i.why(err))
	}
	i.world.nanos += i.micros * 1000
	if i.memory.Size() != i.size {
		i.look()
	}
	return i.out, nil
}

// look finds inputs and outputs in memory, which has moved if it has grown.
func (i *instance) look() {
	i.size = i.memory.Size()
	in, _ := i.memory.Read(i.layout.inputsAt, inputsSize)
	out, _ := i.memory.Read(i.layout.outputsAt, outputsSize)
	i.in, i.out = (*[inputsSize]byte)(in), (*[outputsSize]byte)(out)
}

func (i *instance) passed(ticks int) { i.world.nanos += uint64(ticks) * i.micros * 1000 }

func (i *instance) close() { _ = i.mod.Close(i.ctx) }

// why words the failure of a call.
func (i *instance) why(err error) string {
	var ended *sys.ExitError
	said := i.world.said.said()
	what := ""
	switch {
	case errors.As(err, &ended):
		what = fmt.Sprintf("it ended itself with exit code %d", ended.ExitCode())
	case i.work != nil && int32(i.work.Get()) < 0:
		what = "it did not come to an end, and was stopped after as many calls and turns of loops as it may take"
	default:
		what = "it trapped: " + strings.TrimPrefix(firstLine(err), "wasm error: ")
	}
	if said != "" {
		what += "; it said: " + said
	}
	return what
}

func firstLine(err error) string {
	line, _, _ := strings.Cut(err.Error(), "\n")
	return strings.TrimSpace(line)
}

// beside runs a question on the instance that is kept for questions. One that has
// failed is thrown away.
func (m *Module) beside(ask func(*instance) error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.side == nil {
		i, err := m.instantiate()
		if err != nil {
			return
		}
		m.side = i
	}
	if ask(m.side) != nil {
		m.side.close()
		m.side = nil
	}
}

func (m *Module) provision(store *sim.Store, travel, at int) {
	m.beside(func(i *instance) error {
		i.memory.Write(i.layout.ram, store[:])
		if _, err := i.ask(fnProvision, uint64(uint32(int32(travel))), uint64(uint32(int32(at)))); err != nil {
			return err
		}
		raw, _ := i.memory.Read(i.layout.ram, sim.StoreSize)
		copy(store[:], raw)
		return nil
	})
}

func (m *Module) taught(store *sim.Store) (travel int, ok bool) {
	m.beside(func(i *instance) error {
		i.memory.Write(i.layout.ram, store[:])
		answer, err := i.ask(fnTaught)
		travel = int(int32(uint32(answer)))
		return err
	})
	return max(travel, 0), travel > 0
}

func (m *Module) stateName(r Role, n uint16) string {
	name := fmt.Sprintf("state %d", n)
	if m.compiled.ExportedFunctions()[fnStateName] == nil {
		return name
	}
	m.beside(func(i *instance) error {
		at, err := i.ask(fnStateName, uint64(r), uint64(n))
		if raw, good := i.memory.Read(uint32(at), nameSize); err == nil && at != 0 && good {
			name = nameOf(raw, name)
		}
		return err
	})
	return name
}

// nameOf is a name that ends with a zero, or the other where it is none.
func nameOf(raw []byte, other string) string {
	name, _, _ := strings.Cut(string(raw), "\x00")
	name = strings.ToValidUTF8(strings.TrimSpace(name), "?")
	if name == "" {
		return other
	}
	return name
}

package meter_test

import (
	"context"
	"strings"
	"testing"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"

	"slatbench/sim/firmware/meter"
)

// run compiles a module and calls its function, with so much work.
func run(t *testing.T, wasm []byte, work int32) (n, left int32, err error) {
	t.Helper()
	ctx := context.Background()
	metered, _, err := meter.Meter(wasm, work)
	if err != nil {
		t.Fatal(err)
	}
	r := wazero.NewRuntime(ctx)
	defer r.Close(ctx)
	m, err := r.Instantiate(ctx, metered)
	if err != nil {
		t.Fatal(err)
	}
	_, err = m.ExportedFunction("run").Call(ctx)
	global := func(name string) int32 {
		g := m.ExportedGlobal(name)
		if g == nil {
			return 0
		}
		return api.DecodeI32(g.Get())
	}
	return global("n"), global(meter.Export), err
}

// A loop of ten turns: local 0 counts down, and the global up.
var tenTurns = join([]byte{0x41, 10, 0x21, 0, loop, empty}, count, []byte{0x20, 0, 0x41, 1, 0x6B, 0x22, 0, 0x0D, 0, end})

// The work is counted exactly: one for the call, one for each turn.
func TestWorkIsCounted(t *testing.T) {
	n, left, err := run(t, withCode(tenTurns...), 1000)
	if err != nil || n != 10 || left != 1000-11 {
		t.Errorf("%d turns, %d left, %v; expected 10 turns and %d left", n, left, err, 1000-11)
	}
	if n, left, err = run(t, withCode(tenTurns...), 11); err != nil || n != 10 || left != 0 {
		t.Errorf("with just enough: %d turns, %d left, %v", n, left, err)
	}
	if n, left, err = run(t, withCode(tenTurns...), 10); err == nil || n != 9 || left != -1 {
		t.Errorf("with one too few: %d turns, %d left, %v; expected to be stopped in the tenth", n, left, err)
	}
}

// Every way to work without end is stopped, at the same place each time.
func TestWithoutEnd(t *testing.T) {
	const work = 50_000
	for _, c := range []struct {
		what string
		code []byte
		n    int32
	}{
		{"an endless loop", join([]byte{loop, empty}, count, []byte{branch, 0, end}), work - 1},
		{"a loop in a loop", join([]byte{loop, empty, loop, empty}, count, []byte{branch, 1, end, end}), work/2 - 1},
		{"recursion", join(count, []byte{call, 0}), -1},
		// Each fill of 64 KiB costs 1024, and a turn 1.
		{"a fill of memory again and again", join([]byte{loop, empty}, count,
			[]byte{0x41, 0, 0x41, 0, 0x41, 0x80, 0x80, 0x04, 0xFC, 11, 0, branch, 0, end}), (work-1)/1025 + 1},
	} {
		first, left, err := run(t, withCode(c.code...), work)
		if err == nil {
			t.Fatalf("%s came to an end", c.what)
		}
		if c.n >= 0 && (first != c.n || left >= 0) {
			t.Errorf("%s: stopped after %d, %d left; expected after %d", c.what, first, left, c.n)
		}
		if again, _, _ := run(t, withCode(c.code...), work); again != first {
			t.Errorf("%s: stopped after %d, then after %d", c.what, first, again)
		}
	}
}

// What is moved in bulk is still moved, with the count between.
func TestBulkIsMoved(t *testing.T) {
	// fill memory[3:8] with 7, then n = memory[7]
	code := []byte{0x41, 3, 0x41, 7, 0x41, 5, 0xFC, 11, 0, 0x41, 7, 0x2D, 0, 0, 0x24, 0}
	if n, _, err := run(t, withCode(code...), 100); err != nil || n != 7 {
		t.Errorf("memory[7] is %d, %v; expected 7", n, err)
	}
}

// A module cannot reach what is put into it.
func TestOutOfReach(t *testing.T) {
	for _, c := range []struct {
		what string
		wasm []byte
		says string
	}{
		{"its own work", withCode(0x41, 100, 0x24, 1), "global 1, of 1"},
		{"the scratch local", withCode(0x20, 1, 0x1A), "local 1, of 1"},
		{"an export of it", join([]byte("\x00asm\x01\x00\x00\x00"), section(7, list(append(name("x"), 3, 0)))), "global 0, of 0"},
		{"a table that grows", withCode(0xD0, 0x70, 0x41, 1, 0xFC, 15, 0, 0x1A), "instruction 0xfc 15 is not offered"},
		{"threads", withCode(0xFE, 3, 0), "instruction 0xfe is not offered"},
		{"a local of a type of its own", join(withCode()[:len(withCode())-3], []byte{1, 0x63, end}), "a local of type 0x63 is not offered"},
		{"a block of a type of its own", withCode(0x02, 0x63, 0, 0xD0, 0, end, 0x1A), "a block of type 0x63 is not offered"},
		{"a select of a type of its own", withCode(0xD0, 0x70, 0xD0, 0x70, 0x41, 0, 0x1C, 1, 0x63, 0x1A), "a select of such a type is not offered"},
		{"a function of a type of its own", join([]byte("\x00asm\x01\x00\x00\x00"), section(1, list([]byte{0x60, 1, 0x63, 0}))), "a function of such types is not offered"},
		{"code that is broken off", withCode(0x41)[:len(withCode(0x41))-1], "broken"},
		{"no module", []byte("logic: mine"), "no WebAssembly module"},
		{"sections out of order", join([]byte("\x00asm\x01\x00\x00\x00"), section(7, list()), section(1, list())), "out of order"},
	} {
		if _, _, err := meter.Meter(c.wasm, 1); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v; expected %q", c.what, err, c.says)
		}
	}
}

// A module that has no globals and no exports gets both.
func TestMissingSections(t *testing.T) {
	bare := join([]byte("\x00asm\x01\x00\x00\x00"), section(1, list([]byte{0x60, 0, 0})), section(3, list([]byte{0})), section(10, list([]byte{2, 0, end})))
	metered, _, err := meter.Meter(bare, 5)
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	r := wazero.NewRuntime(ctx)
	defer r.Close(ctx)
	m, err := r.Instantiate(ctx, metered)
	if err != nil {
		t.Fatal(err)
	}
	if g := m.ExportedGlobal(meter.Export); g == nil || g.Get() != 5 {
		t.Errorf("the work is %v, expected 5", g)
	}
}

// hasCustom tells whether a module has a custom section. These are left out, whatever
// is in them; a compiler is not so easily content.
func hasCustom(wasm []byte) bool {
	for at := 8; at < len(wasm); {
		if wasm[at] == 0 {
			return true
		}
		at++
		size, shift := 0, 0
		for at < len(wasm) {
			b := wasm[at]
			at++
			size |= int(b&0x7f) << shift
			if shift += 7; b < 0x80 {
				break
			}
		}
		at += size
	}
	return false
}

// Whatever the bytes: no panic, and what compiles without the count compiles with it,
// and the other way round.
func FuzzMeter(f *testing.F) {
	f.Add(withCode(tenTurns...))
	f.Add(withCode(0x41, 3, 0x41, 7, 0x41, 5, 0xFC, 11, 0))
	f.Add(withCode(0x02, empty, 0x41, 0, 0x0E, 1, 0, 0, end))
	f.Add(withCode(0xFD, 12, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 0x1A))
	f.Add([]byte("\x00asm\x01\x00\x00\x00"))
	ctx := context.Background()
	f.Fuzz(func(t *testing.T, wasm []byte) {
		metered, _, err := meter.Meter(wasm, 100, meter.Each{Export: "run", Work: 100})
		if err != nil || hasCustom(wasm) {
			return // refusing more than the compiler does is no harm
		}
		r := wazero.NewRuntimeWithConfig(ctx, wazero.NewRuntimeConfigInterpreter().WithMemoryLimitPages(16))
		defer r.Close(ctx)
		_, plain := r.CompileModule(ctx, wasm)
		_, counted := r.CompileModule(ctx, metered)
		if (plain == nil) != (counted == nil) {
			t.Errorf("without the count: %v; with it: %v", plain, counted)
		}
	})
}

// A function that is told begins with work of its own at each call from outside, whatever
// was left; called from inside it does not.
func TestEach(t *testing.T) {
	ctx := context.Background()
	metered, _, err := meter.Meter(withCode(tenTurns...), 5, meter.Each{Export: "run", Work: 40}, meter.Each{Export: "absent", Work: 1})
	if err != nil {
		t.Fatal(err)
	}
	r := wazero.NewRuntime(ctx)
	defer r.Close(ctx)
	m, err := r.Instantiate(ctx, metered)
	if err != nil {
		t.Fatal(err)
	}
	for n := range uint64(5) {
		if _, err := m.ExportedFunction("run").Call(ctx); err != nil || m.ExportedGlobal("n").Get() != 10*(n+1) || m.ExportedGlobal(meter.Export).Get() != 40-11 {
			t.Errorf("call %d: %v, %d turns, %d left; expected %d and %d", n, err, m.ExportedGlobal("n").Get(), m.ExportedGlobal(meter.Export).Get(), 10*(n+1), 40-11)
		}
	}
	endless, _, err := meter.Meter(withCode(join(count, []byte{call, 0})...), 5, meter.Each{Export: "run", Work: 40})
	if err != nil {
		t.Fatal(err)
	}
	if m, err = r.InstantiateWithConfig(ctx, endless, wazero.NewModuleConfig().WithName("endless")); err != nil {
		t.Fatal(err)
	}
	for n := range uint64(3) {
		if _, err := m.ExportedFunction("run").Call(ctx); err == nil || m.ExportedGlobal("n").Get() != 40*(n+1) {
			t.Errorf("call %d of itself without end: %v after %d in all, expected to be stopped after %d", n, err, m.ExportedGlobal("n").Get(), 40*(n+1))
		}
	}
}

package firmware

import (
	"strings"
	"testing"

	"slatbench/sim"
)

func openCrafted(t *testing.T, c crafted) *Module {
	t.Helper()
	m, err := OpenModule("crafted", c.wasm())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { m.Close() })
	return m
}

// counts are the counts that a door tells, tick by tick.
func counts(t *testing.T, c sim.Controller, ticks int) (list []int) {
	t.Helper()
	var in sim.Inputs
	var out sim.Outputs
	for range ticks {
		c.Tick(&in, &out)
		list = append(list, c.(sim.Teller).Counts())
	}
	return list
}

func same(a, b []int) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// everything is a tick that keeps something in every kind of memory a module has, and
// tells the sum of it: a word of memory, a global, a table's entry, the size of memory
// and a word in a page that it has grown by.
func everything() []byte {
	tableSet := []byte{0xD2, 0, 0xD1}                                                      // ref.func 0 is null: 0
	isSet := []byte{0x41, 0, 0x25, 0, 0xD1}                                                // table[0] is null
	grown := join([]byte{0x3F, 0}, constant(16), []byte{0x74}, constant(-4), []byte{0x6A}) // the last word of memory
	sum := add(load(scratchAt), []byte{0x23, 0})
	sum = add(sum, isSet)
	sum = add(sum, []byte{0x3F, 0})
	sum = add(sum, join(grown, []byte{0x28, 0, 0}))
	return join(
		store(outputsAt+countOut, sum),
		store(scratchAt, add(load(scratchAt), constant(10))),
		[]byte{0x23, 0}, constant(100), []byte{0x6A, 0x24, 0}, // the global
		[]byte{0x41, 0, 0xD2, 0, 0x26, 0}, // table[0] = function 0
		[]byte{0x41, 1, 0x40, 0, 0x1A},    // grow by a page
		grown, constant(1000), []byte{0x36, 0, 0},
		tableSet, []byte{0x1A},
	)
}

// A power-on leaves nothing of what a module had in memory, globals or tables.
func TestPowerOnForgetsEverything(t *testing.T) {
	m := openCrafted(t, crafted{tick: everything()})
	doors, _ := m.Controllers(2, 0.01)
	var store sim.Store
	doors[0].PowerOn(&store)
	first := counts(t, doors[0], 4)
	// 1 for the empty table and 1 page; then 10 + 100 + 2 pages + 1000, and so on.
	if want := []int{2, 1112, 1223, 1334}; !same(first, want) {
		t.Fatalf("the module counts %v, expected %v: it does not keep what it should", first, want)
	}
	doors[0].PowerOn(&store)
	if again := counts(t, doors[0], 4); !same(again, first) {
		t.Errorf("after a reset it counts %v, before it counted %v", again, first)
	}
	doors[1].PowerOn(&store)
	if other := counts(t, doors[1], 4); !same(other, first) {
		t.Errorf("another controller counts %v, the first %v: they share something", other, first)
	}
}

// What is in the store comes through.
func TestStoreComesThrough(t *testing.T) {
	m := openCrafted(t, crafted{tick: store(outputsAt+countOut, load(storeAt))})
	doors, _ := m.Controllers(1, 0.01)
	kept := sim.Store{7, 1}
	doors[0].PowerOn(&kept)
	if got := counts(t, doors[0], 1); got[0] != 263 {
		t.Errorf("the module reads %v from its store, expected 263", got)
	}
}

// The bytes of inputs and outputs lie where bench_io.h has them.
func TestInputsAndOutputs(t *testing.T) {
	in := sim.Inputs{
		Tick: 0x01020304, Supply: 0x0506, Current: 0x0708, Edge: 0x090A, Pulses: 11, Net: -12, TwoChannels: true, EdgeFitted: false,
		Sill: true, Press: false, Teach: true, Permit: false, Unlocked: sim.EndSwitch{Made: true}, Locked: sim.EndSwitch{Released: true}, StoreBusy: true,
	}
	in.Sides[1] = sim.SideInputs{LockRequest: true, Unlocked: sim.EndSwitch{Made: true}, Locked: sim.EndSwitch{Made: true, Released: true}, Bays: 2}
	in.Sides[1].Down[1] = sim.DownLines{Down: true}
	in.Sides[1].Down[3] = sim.DownLines{NotDown: true}
	var b [inputsSize]byte
	putInputs(&b, &in)
	putSides(&b, &in)
	want := [inputsSize]byte{4, 3, 2, 1, 6, 5, 8, 7, 0x0A, 9, 11, 0xF4, 1, 0, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0}
	copy(want[40:], []byte{1, 0, 1, 0, 1, 1, 2, 0, 0, 0, 1, 0, 0, 0, 0, 1})
	if b != want {
		t.Errorf("inputs are\n% x, expected\n% x", b, want)
	}
	raw := [outputsSize]byte{1, 0, 2, 80, 0, 1, 1, 0, 1, 63, 0xAB, 0, 0xFF, 1, 0, 0, 5, 0, 1, 0}
	var out sim.Outputs
	takeOutputs(&raw, &out)
	takeSides(&raw, &out)
	wantOut := sim.Outputs{
		Up: true, Enable: true, Duty: 80, Lamp: true, Lines: sim.DownLines{Down: true}, Write: true, WriteAt: 63, Byte: 0xAB,
		Sides: [2]sim.SideOutputs{{Drive: -1, Lamp: true}, {Drive: 1, Permit: true}},
	}
	if out != wantOut {
		t.Errorf("outputs are\n%+v, expected\n%+v", out, wantOut)
	}
}

// A module that fails goes silent with its outputs off, says why, and works again after
// a power-on.
func TestModuleGoesSilent(t *testing.T) {
	failing := func(fail []byte) []byte { // drives up, and fails at the third tick
		return join(store(outputsAt, constant(0x64010001)),
			store(scratchAt, add(load(scratchAt), constant(1))), load(scratchAt), constant(3), []byte{0x4E, 0x04, 0x40}, fail, []byte{end})
	}
	for _, c := range []struct {
		what string
		code []byte
		says string
	}{
		{"a trap", []byte{0x00}, "it trapped: unreachable"},
		{"a division by zero", join(constant(1), constant(0), []byte{0x6E, 0x1A}), "it trapped: integer divide by zero"},
		{"memory out of bounds", join(load(0x7FFFFFF0), []byte{0x1A}), "it trapped: out of bounds memory access"},
		{"an endless loop", []byte{0x03, 0x40, 0x0C, 0, end}, "it did not come to an end"},
		{"recursion", []byte{0x10, 0}, ""},
	} {
		m := openCrafted(t, crafted{tick: failing(c.code)})
		doors, _ := m.Controllers(1, 0.01)
		var kept sim.Store
		var in sim.Inputs
		for round := range 2 {
			doors[0].PowerOn(&kept)
			var out sim.Outputs
			for n := 1; n <= 5; n++ {
				doors[0].Tick(&in, &out)
				why := doors[0].(sim.Faller).Silent()
				if n < 3 && (why != "" || !out.Up || !out.Enable || out.Duty != 100) {
					t.Fatalf("%s, round %d, tick %d: %+v, silent %q", c.what, round, n, out, why)
				}
				if n >= 3 && (out != sim.Outputs{} || why == "" || !strings.Contains(why, c.says)) {
					t.Fatalf("%s, round %d, tick %d: %+v, silent %q; expected %q", c.what, round, n, out, why, c.says)
				}
			}
		}
	}
}

// What cannot be used is refused with what is wrong.
func TestRefusedModules(t *testing.T) {
	layout := func(at int, bytes ...byte) []byte {
		l := goodLayout(servesDoor)
		copy(l[at:], bytes)
		return l
	}
	for _, c := range []struct {
		what string
		c    crafted
		says string
	}{
		{"another version", crafted{layout: layout(4, 2)}, "version 2 of bench_io.h, expected version 1"},
		{"other sizes", crafted{layout: layout(6, 60)}, "bench_inputs has 60 bytes, expected 56"},
		{"no layout", crafted{layout: layout(0, 0)}, "is it built with bench_io.h?"},
		{"serves nothing", crafted{layout: goodLayout(tellsState)}, "expected BENCH_DOOR, BENCH_LOCKS or both"},
		{"inputs outside memory", crafted{layout: layout(16, 0xF0, 0xFF, 0xFF, 0x7F)}, "bench_inputs lies outside its memory"},
		{"outputs over inputs", crafted{layout: layout(20, 0x10, 0x08)}, "bench_inputs and bench_outputs lie in the same place"},
		{"no tick", crafted{without: "bench_tick"}, "it exports no function bench_tick"},
		{"no memory", crafted{without: "memory"}, "it exports no memory"},
		{"a program", crafted{start: true}, "-buildmode=c-shared"},
		{"records that are not there", crafted{layout: goodLayout(servesDoor | keepsRecords)}, "it exports no function bench_provision"},
		{"an import", crafted{imports: [][]byte{importOf("env", "read_sensor", 0)}}, `read_sensor of "env"`},
		{"an import of another kind", crafted{imports: [][]byte{importOf(wasip1, "sched_yield", 0)}}, "it does not start"},
		{"a broken tick", crafted{tick: []byte{0x6A}}, "it does not compile"},
	} {
		m, err := OpenModule("crafted", c.c.wasm())
		if err == nil {
			m.Close()
		}
		if err == nil || !strings.Contains(err.Error(), c.says) || strings.ContainsRune(err.Error(), '\n') {
			t.Errorf("%s: %v; expected %q", c.what, err, c.says)
		}
	}
}

// Time, random numbers and output of a module come from the run, never from the machine.
func TestStandIns(t *testing.T) {
	c := crafted{
		types: [][]byte{{0x60, 2, i32, i32, 1, i32}, {0x60, 3, i32, i64, i32, 1, i32}, {0x60, 1, i32, 0}},
		imports: [][]byte{
			importOf(wasip1, "random_get", 3), importOf(wasip1, "clock_time_get", 4), importOf(wasip1, "proc_exit", 5),
		},
	}
	random := join(constant(scratchAt), constant(8), []byte{0x10, 0, 0x1A})
	clock := join(constant(0), []byte{0x42, 1}, constant(scratchAt+8), []byte{0x10, 1, 0x1A})
	c.tick = join(random, store(outputsAt+countOut, load(scratchAt)))
	m := openCrafted(t, c)
	var kept sim.Store
	doors, _ := m.Controllers(2, 0.01)
	doors[0].PowerOn(&kept)
	first := counts(t, doors[0], 3)
	doors[1].PowerOn(&kept)
	if other := counts(t, doors[1], 3); !same(first, other) || first[0] == first[1] {
		t.Errorf("random numbers %v, then %v", first, other)
	}
	// The clock in µs since power-on: what it says less what it said first.
	c.tick = join(clock, constant(outputsAt+countOut), constant(scratchAt+8),
		[]byte{0x29, 0, 0, 0x42, 0xE8, 0x07, 0x80, 0xA7, 0x36, 0, 0}) // 64 bits, by 1000, as 32
	m = openCrafted(t, c)
	doors, _ = m.Controllers(1, 0.02)
	doors[0].PowerOn(&kept)
	got := counts(t, doors[0], 3)
	if got[1]-got[0] != 20_000 || got[2]-got[1] != 20_000 {
		t.Errorf("µs at each tick: %v, expected 20000 apart", got)
	}
	c.tick = join(constant(3), []byte{0x10, 2})
	m = openCrafted(t, c)
	doors, _ = m.Controllers(1, 0.01)
	doors[0].PowerOn(&kept)
	counts(t, doors[0], 1)
	if why := doors[0].(sim.Faller).Silent(); !strings.Contains(why, "exit code 3") {
		t.Errorf("an exit is told as %q", why)
	}
}

// A tick allocates nothing.
func TestModuleTickAllocatesNothing(t *testing.T) {
	m := openCrafted(t, crafted{tick: store(outputsAt+countOut, add(load(outputsAt+countOut), constant(1)))})
	doors, _ := m.Controllers(1, 0.01)
	var kept sim.Store
	doors[0].PowerOn(&kept)
	var in sim.Inputs
	var out sim.Outputs
	if n := testing.AllocsPerRun(100, func() { doors[0].Tick(&in, &out); _ = doors[0].(sim.Teller).State() }); n != 0 {
		t.Errorf("%v allocations a tick", n)
	}
}

// BenchmarkEmptyTick is what a module costs that does nothing: inputs and outputs, the
// call, and the guard against what does not end.
func BenchmarkEmptyTick(b *testing.B) {
	m, err := OpenModule("crafted", crafted{}.wasm())
	if err != nil {
		b.Fatal(err)
	}
	defer m.Close()
	doors, _ := m.Controllers(1, 0.01)
	var kept sim.Store
	doors[0].PowerOn(&kept)
	var in sim.Inputs
	var out sim.Outputs
	b.ReportAllocs()
	for b.Loop() {
		doors[0].Tick(&in, &out)
	}
}

package firmware

import (
	"bytes"
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slatbench/sim"
)

// differs tells in what an instance differs from another of the same module: of memory,
// every byte is looked at.
func differs(a, b *instance) string {
	if a.memory.Size() != b.memory.Size() {
		return fmt.Sprintf("memory of %d and %d bytes", a.memory.Size(), b.memory.Size())
	}
	ma, _ := a.memory.Read(0, a.memory.Size())
	mb, _ := b.memory.Read(0, b.memory.Size())
	for at := range ma {
		if ma[at] != mb[at] {
			return fmt.Sprintf("memory at %#x: %#x and %#x", at, ma[at], mb[at])
		}
	}
	for k, g := range a.globals {
		if x, y := g.Get(), b.globals[k].Get(); x != y {
			return fmt.Sprintf("%s: %#x and %#x", a.module.state.Globals[k], x, y)
		}
	}
	wa, wb := a.world.state(), b.world.state()
	if wa.nanos != wb.nanos || wa.random != wb.random || !bytes.Equal(wa.said, wb.said) {
		return fmt.Sprintf("the world: %+v and %+v", wa, wb)
	}
	return ""
}

// change is something that a tick can do to what an instance keeps.
type change struct {
	name string
	code func(draw func(most int) int) []byte
	// hidden: it leaves what can't be put back
	hidden bool
}

// Values that take all bytes of a constant.
func wide(draw func(int) int, op byte, size int) []byte {
	out := []byte{op}
	for range size {
		out = append(out, byte(draw(255)))
	}
	return out
}

var changes = []change{
	{"a byte", func(draw func(int) int) []byte {
		return join(constant(draw(65535)), constant(draw(255)), []byte{0x3A, 0, 0})
	}, false},
	{"two bytes", func(draw func(int) int) []byte {
		return join(constant(draw(65534)), constant(draw(65535)), []byte{0x3B, 0, 0})
	}, false},
	{"a word", func(draw func(int) int) []byte { return store(draw(65532), constant(draw(1<<30))) }, false},
	{"eight bytes", func(draw func(int) int) []byte {
		return join(constant(draw(65528)), wide(draw, 0x44, 8), []byte{0x39, 0, 0})
	}, false},
	{"the last byte", func(func(int) int) []byte { return join(constant(65535), constant(1), []byte{0x3A, 0, 0}) }, false},
	{"a stretch of memory", func(draw func(int) int) []byte {
		at := draw(65535)
		return join(constant(at), constant(draw(255)), constant(draw(65536-at)), []byte{0xFC, 11, 0})
	}, false},
	{"a copy of memory", func(draw func(int) int) []byte {
		from, to := draw(65535), draw(65535) // the first: the layout
		return join(constant(to), constant(from), constant(draw(65536-max(from, to))), []byte{0xFC, 10, 0, 0})
	}, false},
	{"a copy of a segment", func(draw func(int) int) []byte {
		return join(constant(draw(65000)), constant(0), constant(draw(4)), []byte{0xFC, 8, 1, 0})
	}, false},
	{"a global", func(draw func(int) int) []byte { return join(constant(draw(1<<30)), []byte{0x24, 0}) }, false},
	{"a global of 64 bits", func(draw func(int) int) []byte {
		return join([]byte{0x42}, constant(draw(1 << 30))[1:], []byte{0x24, 1})
	}, false},
	{"a global of 32 bits, broken", func(draw func(int) int) []byte { return join(wide(draw, 0x43, 4), []byte{0x24, 2}) }, false},
	{"a global of 64 bits, broken", func(draw func(int) int) []byte { return join(wide(draw, 0x44, 8), []byte{0x24, 3}) }, false},
	{"a page", func(func(int) int) []byte { return []byte{0x41, 1, 0x40, 0, 0x1A} }, true},
	{"an entry of the table", func(func(int) int) []byte { return []byte{0x41, 0, 0xD2, 0, 0x26, 0} }, true},
	{"a stretch of the table", func(func(int) int) []byte { return []byte{0x41, 0, 0xD2, 0, 0x41, 1, 0xFC, 17, 0} }, true},
	{"a copy of the table", func(func(int) int) []byte { return []byte{0x41, 0, 0x41, 0, 0x41, 1, 0xFC, 14, 0, 0} }, true},
	{"entries from a segment", func(func(int) int) []byte { return []byte{0x41, 0, 0x41, 0, 0x41, 1, 0xFC, 12, 0, 0} }, true},
	{"no more of a segment of data", func(func(int) int) []byte { return []byte{0xFC, 9, 1} }, true},
	{"no more of a segment of the table", func(func(int) int) []byte { return []byte{0xFC, 13, 0} }, true},
	{"the end", func(func(int) int) []byte { return []byte{0x00} }, true},
}

// withState is a module with a global of each kind of number, one that does not change
// between them, and passive segments.
func withState(tick []byte) crafted {
	return crafted{tick: tick, passive: true, globals: [][]byte{
		{i64, 1, 0x42, 13, end}, {0x7D, 1, 0x43, 0, 0, 0xC0, 0x3F, end}, {0x7C, 1, 0x44, 0, 0, 0, 0, 0, 0, 0xF0, 0x3F, end},
		{i32, 0, 0x41, 3, end},
	}}
}

// play powers an instance on and lets it work, and gives what it answers; it ends early
// where a call fails.
func play(i *instance, ticks int, kept *sim.Store) (answers [][outputsSize]byte) {
	if i.powerOn(Door, 10_000, kept) != nil {
		return nil
	}
	for n := range ticks {
		putInputs(i.inputs(), &sim.Inputs{Tick: uint32(n), Supply: 640, Pulses: uint8(n)})
		out, err := i.tick()
		if err != nil {
			break
		}
		answers = append(answers, *out)
	}
	return answers
}

func instanceOf(t require, m *Module) *instance {
	t.Helper()
	i, err := m.instantiate()
	if err != nil {
		t.Fatal(err)
	}
	return i
}

// require is what testing.T and rapid.T have in common here.
type require interface {
	Helper()
	Fatal(...any)
}

// An instance that is put back is as a new one, byte by byte and global by global,
// whatever its firmware has done before; and it behaves as a new one from there on. One
// that has changed what can't be put back is not.
func TestRenewedIsNew(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(most int) int { return rapid.IntRange(0, most).Draw(t, "number") }
		var tick []byte
		hidden := false
		for range rapid.IntRange(0, 6).Draw(t, "changes") {
			c := rapid.SampledFrom(changes).Draw(t, "change")
			tick = append(tick, c.code(func(most int) int { return draw(max(most, 0)) })...)
			hidden = hidden || c.hidden
		}
		m, err := OpenModule("drawn", withState(tick).wasm())
		if err != nil {
			t.Fatal(err)
		}
		defer m.Close()
		used, fresh := instanceOf(t, m), instanceOf(t, m)
		if d := differs(used, fresh); d != "" {
			t.Fatalf("two new instances differ: %s", d)
		}
		kept := sim.Store{byte(draw(255)), 1, 2, 3}
		play(used, rapid.IntRange(0, 3).Draw(t, "ticks"), &kept)
		worked := used.failed || used.memory.Size() != fresh.memory.Size() || !m.state.Whole
		if used.renew() == worked {
			t.Fatalf("it was put back: %v; its state is told to be whole: %v", !worked, m.state.Whole)
		}
		if worked {
			if !hidden {
				t.Fatal("it can't be put back, and has changed nothing but memory and globals")
			}
			return
		}
		if d := differs(used, fresh); d != "" {
			t.Fatalf("put back and new differ: %s", d)
		}
		if a, b := play(used, 3, &kept), play(fresh, 3, &kept); !slices.Equal(a, b) {
			t.Fatalf("put back it answers % x, new % x", a, b)
		}
		if d := differs(used, fresh); d != "" {
			t.Fatalf("put back and new differ after the same ticks: %s", d)
		}
	})
}

// Each single change that can be put back is seen where it is not, so that the comparison
// can fail; each other is seen by the module's state, or by the size of its memory, or by
// its failure.
func TestEveryChangeIsSeen(t *testing.T) {
	for _, c := range changes {
		n := 0
		draw := func(most int) int { // other ones, so that a copy has another place than what is copied
			n++
			return min(most, n*layoutAt)
		}
		m := openCrafted(t, withState(c.code(draw)))
		used, fresh := instanceOf(t, m), instanceOf(t, m)
		var kept sim.Store
		play(used, 1, &kept)
		play(fresh, 0, &kept)
		putInputs(fresh.inputs(), &sim.Inputs{Supply: 640})
		fresh.work.Set(used.work.Get())
		fresh.world.nanos = used.world.nanos
		if d := differs(used, fresh); !c.hidden && d == "" {
			t.Errorf("%s: changed, and not seen", c.name)
		}
		if used.renew() == c.hidden {
			t.Errorf("%s: put back: %v", c.name, !c.hidden)
		}
	}
}

// What is left out when an instance is put back is seen.
func TestLeftOutIsSeen(t *testing.T) {
	var tick []byte
	for _, c := range changes {
		if !c.hidden {
			tick = append(tick, c.code(func(most int) int { return min(most, 7) })...)
		}
	}
	for _, c := range []struct {
		what  string
		spoil func(s *snapshot)
	}{
		{"nothing", func(*snapshot) {}},
		{"a piece of memory", func(s *snapshot) { s.pieces = s.pieces[1:] }},
		{"a byte of a piece", func(s *snapshot) { s.pieces[0].bytes = s.pieces[0].bytes[:8] }},
		{"a global", func(s *snapshot) { s.globals[2]++ }},
		{"the time", func(s *snapshot) { s.world.nanos++ }},
		{"the random numbers", func(s *snapshot) { s.world.random++ }},
		{"what it has said", func(s *snapshot) { s.world.said = []byte("!") }},
	} {
		m := openCrafted(t, withState(tick))
		used, fresh := instanceOf(t, m), instanceOf(t, m)
		var kept sim.Store
		play(used, 2, &kept)
		c.spoil(m.asNew)
		if !used.renew() {
			t.Fatal("it can't be put back")
		}
		if d := differs(used, fresh); (d != "") != (c.what != "nothing") {
			t.Errorf("%s left out: differs in %q", c.what, d)
		}
	}
}

// A power-on puts back the instance of a controller where it can, and a module's firmware
// finds nothing of what was before.
func TestPowerOnPutsBack(t *testing.T) {
	// It tells the sum of a word, a global and its clock, and adds to the first two.
	m := openCrafted(t, withState(join(
		store(outputsAt+countOut, add(load(scratchAt), []byte{0x23, 0})),
		store(scratchAt, add(load(scratchAt), constant(10))),
		[]byte{0x23, 0}, constant(100), []byte{0x6A, 0x24, 0})))
	doors, _ := m.Controllers(1, 0.01)
	var kept sim.Store
	doors[0].PowerOn(&kept)
	was := doors[0].(*telling).engine
	first := counts(t, doors[0], 3)
	if want := []int{0, 110, 220}; !same(first, want) {
		t.Fatalf("the module counts %v, expected %v", first, want)
	}
	for range 2 {
		doors[0].PowerOn(&kept)
		if again := counts(t, doors[0], 3); !same(again, first) || doors[0].(*telling).engine != was {
			t.Errorf("after a reset it counts %v, before %v; the same instance: %v", again, first, doors[0].(*telling).engine == was)
		}
	}
}

// BenchmarkPowerOnNew is a power-on that makes a new instance, since memory has grown.
func BenchmarkPowerOnNew(b *testing.B) { benchPowerOn(b, []byte{0x41, 1, 0x40, 0, 0x1A}) }

// BenchmarkPowerOnAgain is a power-on that puts an instance back.
func BenchmarkPowerOnAgain(b *testing.B) { benchPowerOn(b, nil) }

func benchPowerOn(b *testing.B, tick []byte) {
	m, err := OpenModule("crafted", crafted{tick: tick}.wasm())
	if err != nil {
		b.Fatal(err)
	}
	defer m.Close()
	doors, _ := m.Controllers(1, 0.01)
	var kept sim.Store
	var in sim.Inputs
	var out sim.Outputs
	b.ReportAllocs()
	for b.Loop() {
		doors[0].PowerOn(&kept)
		doors[0].Tick(&in, &out)
	}
}

package meter_test

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/tetratelabs/wazero"
	"pgregory.net/rapid"

	"slatbench/sim/firmware/meter"
)

// outcome is what a module has come to: its memory, its global, and how its call ended.
type outcome struct {
	memory []byte
	n      uint64
	ended  string
}

// played calls the function of a module as it is, or with the count in it.
func played(wasm []byte, metered bool) (o outcome, err error) {
	ctx := context.Background()
	if metered {
		if wasm, _, err = meter.Meter(wasm, 1<<30); err != nil {
			return o, err
		}
	}
	r := wazero.NewRuntime(ctx)
	defer r.Close(ctx)
	m, err := r.Instantiate(ctx, wasm)
	if err != nil {
		return o, err
	}
	if _, err := m.ExportedFunction("run").Call(ctx); err != nil {
		o.ended, _, _ = strings.Cut(err.Error(), "\n")
	}
	all, _ := m.Memory().Read(0, m.Memory().Size())
	o.memory = bytes.Clone(all)
	o.n = m.ExportedGlobal("n").Get()
	return o, nil
}

// signed is a number as i32.const has it.
func signed(n int32) []byte {
	var out []byte
	for {
		b := byte(n & 0x7F)
		n >>= 7
		if n == 0 && b&0x40 == 0 || n == -1 && b&0x40 != 0 {
			return append(out, b)
		}
		out = append(out, b|0x80)
	}
}

// drawAddress puts an address on the stack, mostly a constant, and gives an offset.
func drawAddress(t *rapid.T) (code []byte, offset []byte) {
	base := rapid.SampledFrom([]int32{0, 0, 0, 0, 1, 7, 4444, 65535, 65532, 70_000, -1, -2147483648, 2147483647}).Draw(t, "base")
	offset = leb(rapid.SampledFrom([]int{0, 0, 1, 8, 2000, 65528, 65535, 65536, 4294967295}).Draw(t, "offset"))
	code = append([]byte{0x41}, signed(base)...)
	switch rapid.IntRange(0, 3).Draw(t, "kind") {
	case 0: // not a constant
		code = append(code, 0x20, 0, 0x6A)
	case 1: // the same, and something in between
		code = append(code, 0x01)
	}
	return code, offset
}

// drawCode is a list of statements that leave the stack as they found it.
func drawCode(t *rapid.T, deep int) (code []byte) {
	for range rapid.IntRange(0, 5).Draw(t, "statements") {
		at, offset := drawAddress(t)
		add := []byte{0x23, 0, 0x6A, 0x24, 0} // what is on the stack, to the global
		switch kind := rapid.IntRange(0, 9).Draw(t, "statement"); {
		case kind <= 2: // loads of 8, 16 and 32 bits, with and without sign
			op := rapid.SampledFrom([]byte{0x28, 0x2C, 0x2D, 0x2E, 0x2F}).Draw(t, "load")
			code = join(code, at, []byte{op, 0}, offset, add)
		case kind == 3:
			code = join(code, at, []byte{0x29, 0}, offset, []byte{0xA7}, add)
		case kind <= 5: // the value of a store may be a constant, or a load
			op := rapid.SampledFrom([]byte{0x36, 0x3A, 0x3B}).Draw(t, "store")
			value, more := drawAddress(t)
			if rapid.Bool().Draw(t, "loaded") {
				value = join(value, []byte{0x28, 0}, more)
			}
			code = join(code, at, value, []byte{op, 0}, offset)
		case kind == 6:
			code = join(code, at, []byte{0x21, 0}) // the local
		case kind == 7 && deep > 0:
			code = join(code, at, []byte{0x04, empty}, drawCode(t, deep-1), []byte{0x05}, drawCode(t, deep-1), []byte{end})
		case kind == 8 && deep > 0: // three turns, counted by a local that nothing else changes
			turns := byte(deep)
			begin := []byte{0x41, 3, 0x21, turns, loop, empty}
			again := []byte{0x20, turns, 0x41, 1, 0x6B, 0x22, turns, 0x0D, 0, end}
			code = join(code, begin, drawCode(t, deep-1), again)
		case kind == 9:
			code = join(code, []byte{0x41, 1, 0x40, 0, 0x1A}) // a page more
		}
	}
	return code
}

// What is written in another way does the same: the same memory, the same global, the same
// end, a trap included.
func TestAddressesMeanTheSame(t *testing.T) {
	ends := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		wasm := withLocals(3, drawCode(t, 2)...)
		plain, err := played(wasm, false)
		if err != nil {
			t.Fatal(err)
		}
		metered, err := played(wasm, true)
		if err != nil {
			t.Fatal(err)
		}
		if plain.n != metered.n || plain.ended != metered.ended || !bytes.Equal(plain.memory, metered.memory) {
			t.Fatalf("as it is: n %d, %q; with the count: n %d, %q; memory the same: %v",
				plain.n, plain.ended, metered.n, metered.ended, bytes.Equal(plain.memory, metered.memory))
		}
		ends[plain.ended]++
	})
	if len(ends) < 2 {
		t.Errorf("all drawn modules end in the same way: %v", ends)
	}
}

// Constant bases become the local that is 0, and the constant goes into the offset; what
// can't be said so stays as it is.
func TestAddressesAreRewritten(t *testing.T) {
	const zero = 2 // the local after the function's one and the scratch local
	touch := []byte{0x20, zero, 0x2D, 0, 0xFF, 0xFF, 0x03, 0x1A}
	load := func(base int32, offset int) []byte {
		return join([]byte{0x41}, signed(base), []byte{0x2D, 0}, leb(offset), []byte{0x1A})
	}
	rewritten := func(offset int) []byte { return join([]byte{0x20, zero, 0x2D, 0}, leb(offset), []byte{0x1A}) }
	for _, c := range []struct {
		what       string
		code, want []byte
	}{
		{"a base of 0", join(load(0, 8), load(0, 9)), join(touch, rewritten(8), rewritten(9))},
		{"another base", join(load(4444, 2), load(-1, 0)), join(touch, rewritten(4446), rewritten(4294967295))},
		{"too far", join(load(-1, 1), load(0, 1)), join(touch, load(-1, 1), rewritten(1))},
		{"one access", load(0, 8), rewritten(8)},
		{"an address that is worked out", join(load(0, 8), []byte{0x41, 4, 0x20, 0, 0x6A, 0x2D, 0, 8, 0x1A}),
			join(touch, rewritten(8), []byte{0x41, 4, 0x20, 0, 0x6A, 0x2D, 0, 8, 0x1A})},
		{"a store to a constant", join(load(0, 8), []byte{0x41, 4, 0x41, 7, 0x3A, 0, 8}), join(touch, rewritten(8), []byte{0x41, 4, 0x41, 7, 0x3A, 0, 8})},
	} {
		metered, _, err := meter.Meter(withCode(c.code...), 100)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Contains(metered, append(bytes.Clone(c.want), end)) {
			t.Errorf("%s: % x is not in %s", c.what, c.want, fmt.Sprintf("% x", metered))
		}
	}
}

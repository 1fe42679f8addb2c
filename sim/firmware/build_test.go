package firmware

import (
	"encoding/binary"

	"slatbench/sim"
)

// Modules put together by hand, so that these tests need no compiler. Memory has one
// page: the layout lies at layoutAt, then what bench_io.h has.
const (
	layoutAt  = 1024
	inputsAt  = 2048
	outputsAt = 2304
	storeAt   = 2560
	scratchAt = 3000

	i32 = 0x7F
	i64 = 0x7E
	end = 0x0B
)

// goodLayout is a layout with nothing wrong.
func goodLayout(flags uint32) []byte {
	le := binary.LittleEndian
	b := le.AppendUint32(nil, layoutMagic)
	for _, n := range []uint16{Version, inputsSize, outputsSize, sim.StoreSize} {
		b = le.AppendUint16(b, n)
	}
	for _, n := range []uint32{flags, inputsAt, outputsAt, storeAt} {
		b = le.AppendUint32(b, n)
	}
	return b
}

// crafted is a module of which single parts may be otherwise.
type crafted struct {
	layout  []byte
	imports [][]byte // entries; functions of type 0 are () -> ()
	types   [][]byte // after the three that all have
	powerOn []byte   // instructions of bench_power_on, which gets role and tick
	tick    []byte   // of bench_tick; function 0 unless there are imports
	without string   // the name of an export to leave out
	start   bool     // exports _start
	globals [][]byte // after the one that all have
	passive bool     // it has a passive segment of data, 1, and one of a table, 0
}

func (c crafted) wasm() []byte {
	if c.layout == nil {
		c.layout = goodLayout(servesDoor | servesLocks | tellsState)
	}
	types := append([][]byte{{0x60, 0, 0}, {0x60, 0, 1, i32}, {0x60, 2, i32, i32, 0}}, c.types...)
	n := byte(len(c.imports))
	exports := [][]byte{
		export("bench_tick", 0, n), export("bench_layout", 0, n+1), export("bench_power_on", 0, n+2), export("memory", 2, 0),
	}
	names := []string{"bench_tick", "bench_layout", "bench_power_on", "memory"}
	for i, name := range names {
		if name == c.without {
			exports = append(exports[:i], exports[i+1:]...)
			break
		}
	}
	if c.start {
		exports = append(exports, export("_start", 0, n))
	}
	return join([]byte("\x00asm\x01\x00\x00\x00"),
		section(1, list(types...)),
		section(2, list(c.imports...)),
		section(3, list([]byte{0}, []byte{1}, []byte{2})),
		section(4, list([]byte{0x70, 0, 1})),                                        // a table of one function
		section(5, list([]byte{0, 1})),                                              // memory of one page
		section(6, list(append([][]byte{{i32, 1, 0x41, 0, end}}, c.globals...)...)), // a global, 0
		section(7, list(exports...)),
		c.segments(),
		section(10, list(function(c.tick), function(constant(layoutAt)), function(c.powerOn))),
		section(11, list(c.data()...)),
	)
}

// segments are the elements of tables, and the count of the data.
func (c crafted) segments() []byte {
	if !c.passive {
		return nil
	}
	return join(section(9, list([]byte{1, 0, 1, 0})), []byte{12, 1, 2})
}

func (c crafted) data() [][]byte {
	layout := join([]byte{0}, constant(layoutAt), []byte{end}, leb(len(c.layout)), c.layout)
	if !c.passive {
		return [][]byte{layout}
	}
	return [][]byte{layout, {1, 4, 9, 8, 7, 6}}
}

func export(name string, kind, index byte) []byte { return append(text(name), kind, index) }

func importOf(module, name string, typ byte) []byte {
	return join(text(module), text(name), []byte{0, typ})
}

func function(code []byte) []byte {
	body := join([]byte{0}, code, []byte{end})
	return append(leb(len(body)), body...)
}

// constant puts a number on the stack.
func constant(n int) []byte {
	out := []byte{0x41}
	for {
		b := byte(n & 0x7F)
		n >>= 7
		if n == 0 && b&0x40 == 0 || n == -1 && b&0x40 != 0 {
			return append(out, b)
		}
		out = append(out, b|0x80)
	}
}

// load and store move 32 bits at an address that is known.
func load(at int) []byte { return join(constant(at), []byte{0x28, 0, 0}) }

func store(at int, value []byte) []byte { return join(constant(at), value, []byte{0x36, 0, 0}) }

func add(a, b []byte) []byte { return join(a, b, []byte{0x6A}) }

func list(items ...[]byte) []byte {
	out := leb(len(items))
	for _, i := range items {
		out = append(out, i...)
	}
	return out
}

func text(s string) []byte { return append(leb(len(s)), s...) }

func section(id byte, body []byte) []byte {
	if len(body) == 1 && body[0] == 0 {
		return nil
	}
	return join([]byte{id}, leb(len(body)), body)
}

func leb(n int) (out []byte) {
	for n >= 0x80 {
		out = append(out, byte(n)|0x80)
		n >>= 7
	}
	return append(out, byte(n))
}

func join(parts ...[]byte) (out []byte) {
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

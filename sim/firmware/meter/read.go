package meter

import (
	"errors"
	"strconv"
)

// Kinds of import and export.
const (
	externFunction = iota
	externTable
	externMemory
	externGlobal
)

// read takes a module apart.
func read(wasm []byte) (*module, error) {
	if len(wasm) < len(magic) || string(wasm[:len(magic)]) != magic {
		return nil, errors.New("no WebAssembly module of version 1")
	}
	m := &module{}
	r := reader{data: wasm, at: len(magic)}
	last := 0
	for r.at < len(wasm) {
		id := r.byte()
		body := r.bytes(int(r.u32()))
		if r.failed {
			return nil, r.err("sections")
		}
		if int(id) >= len(order) {
			return nil, r.err("sections")
		}
		if id == secCustom {
			continue
		}
		if order[id] <= last {
			return nil, errors.New("sections out of order")
		}
		last = order[id]
		if err := m.learn(id, body); err != nil {
			return nil, err
		}
		m.sections = append(m.sections, section{id, body})
	}
	return m, nil
}

// learn takes up what the count needs to know of a section.
func (m *module) learn(id byte, body []byte) error {
	if id != secStart && id != secDataCount {
		// A compiler makes room for as many items as a list claims to have.
		if r := (reader{data: body}); int64(r.u32()) > int64(len(r.rest())) || r.failed {
			return r.err("items of section " + strconv.Itoa(int(id)))
		}
	}
	r := reader{data: body}
	switch id {
	case secType:
		return m.learnTypes(&r)
	case secImport:
		return m.learnImports(&r)
	case secFunction:
		for range r.u32() {
			m.types = append(m.types, int(r.u32()))
			if r.failed {
				return r.err("functions")
			}
		}
	case secMemory:
		m.learnMemory(&r)
		return nil
	case secGlobal:
		m.learnGlobals(&r)
		return nil
	case secExport:
		m.learnExports(&r)
		return nil
	case secElement:
		return learnElements(&r)
	case secData:
		return learnData(&r)
	case secDataCount:
		if r.u32(); len(r.rest()) > 0 {
			r.failed = true
		}
	}
	if r.failed {
		return r.err("sections")
	}
	return nil
}

func (m *module) learnTypes(r *reader) error {
	for range r.u32() {
		form := r.byte()
		params := r.bytes(int(r.u32()))
		results := r.bytes(int(r.u32()))
		if r.failed || form != 0x60 {
			return r.err("types")
		}
		if !allKnown(params) || !allKnown(results) {
			return errors.New("a function of such types is not offered")
		}
		m.params = append(m.params, len(params))
		m.results = append(m.results, len(results))
	}
	return nil
}

// Types of values are one byte, but for references to a type of the module's own, which
// are told by two bytes and more, and are not offered.
const (
	typeF64       = 0x7C // numbers of 64 bits or less, up to typeI32
	typeVector    = 0x7B
	typeFunction  = 0x70
	typeExtern    = 0x6F
	typeReference = 0x64
	typeNullable  = 0x63
)

func longType(b byte) bool { return b == typeReference || b == typeNullable }

func known(kind byte) bool {
	return number(kind) || kind == typeVector || kind == typeFunction || kind == typeExtern
}

func number(kind byte) bool { return kind >= typeF64 && kind <= typeI32 }

func allKnown(kinds []byte) bool {
	for _, k := range kinds {
		if !known(k) {
			return false
		}
	}
	return true
}

func (m *module) learnImports(r *reader) error {
	for range r.u32() {
		r.bytes(int(r.u32()))
		r.bytes(int(r.u32()))
		switch r.byte() {
		case externFunction:
			r.u32()
			m.imported++
		case externTable:
			r.byte()
			r.limits()
			m.hidden = true
		case externMemory:
			r.limits()
			m.hidden = true
		case externGlobal:
			r.bytes(2)
			m.globals++
			m.hidden = true
		default:
			r.failed = true
		}
		if r.failed {
			return r.err("imports")
		}
	}
	return nil
}

// reader reads the numbers of a module. What goes past the end, or is longer than
// the format allows, fails, and reads 0 from then on.
type reader struct {
	data   []byte
	at     int
	failed bool
}

func (r *reader) err(what string) error { return errors.New("the list of " + what + " is broken") }

func (r *reader) rest() []byte { return r.data[r.at:] }

func (r *reader) byte() byte {
	if r.failed || r.at >= len(r.data) {
		r.failed = true
		return 0
	}
	r.at++
	return r.data[r.at-1]
}

func (r *reader) bytes(n int) []byte {
	if r.failed || n < 0 || n > len(r.data)-r.at {
		r.failed = true
		return nil
	}
	r.at += n
	return r.data[r.at-n : r.at]
}

// leb passes over a number of at most so many bytes, and gives its low 64 bits.
func (r *reader) leb(most int) (x uint64) {
	for i := range most {
		b := r.byte()
		x |= uint64(b&0x7f) << (7 * i)
		if b < 0x80 {
			return x
		}
	}
	r.failed = true
	return 0
}

func (r *reader) u32() uint32 {
	x := r.leb(5)
	if r.failed || x>>32 != 0 {
		r.failed = true
		return 0
	}
	return uint32(x)
}

// s32 is a signed number of 32 bits.
func (r *reader) s32() int32 {
	begin := r.at
	x := r.leb(5)
	if n := r.at - begin; n > 0 && n < 5 && r.data[r.at-1]&0x40 != 0 {
		x |= ^uint64(0) << (7 * n)
	}
	return int32(uint32(x))
}

// limits are those of a table or a memory.
func (r *reader) limits() {
	flag := r.byte()
	r.u32()
	if flag&1 == 1 {
		r.u32()
	}
}

func appendU32(out []byte, x uint32) []byte {
	for x >= 0x80 {
		out = append(out, byte(x)|0x80)
		x >>= 7
	}
	return append(out, byte(x))
}

func appendS32(out []byte, x int32) []byte {
	for {
		b := byte(x & 0x7f)
		x >>= 7
		if x == 0 && b&0x40 == 0 || x == -1 && b&0x40 != 0 {
			return append(out, b)
		}
		out = append(out, b|0x80)
	}
}

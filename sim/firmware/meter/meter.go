// Package meter puts a count of work into a WebAssembly module, so that a module
// which never comes to an end is stopped after the same number of turns on every
// machine. Wall time would stop it at another place each time, and so would decide
// a verdict by how busy the machine is.
//
// [Meter] adds one global to the module, exported as [Export], and takes from it: 1
// at the entry of every function and at the head of every loop, and one for every
// 64 bytes or entries that an instruction moves in bulk. Below zero the module
// traps. Every way to work without end goes through one of these: code between
// them is as long as the module's file, and no longer.
package meter

import "fmt"

// Export is the name of the global that holds how much work is left.
const Export = "slatbench.work"

// bulkShift: an instruction that moves n bytes or entries costs n >> bulkShift.
const bulkShift = 6

// Section numbers of a module, in the order in which they stand. That of the count
// of data segments comes before the code; custom ones stand anywhere.
const (
	secCustom = iota
	secType
	secImport
	secFunction
	secTable
	secMemory
	secGlobal
	secExport
	secStart
	secElement
	secCode
	secData
	secDataCount
)

// order of the sections in a file.
var order = [...]int{secType: 1, secImport: 2, secFunction: 3, secTable: 4, secMemory: 5, secGlobal: 6, secExport: 7, secStart: 8, secElement: 9, secDataCount: 10, secCode: 11, secData: 12}

// section is one of them as it stands in the file.
type section struct {
	id   byte
	body []byte
}

// module is what must be known of one to put the count in.
type module struct {
	sections []section
	params   []int // of each type
	results  []int
	types    []int  // of each defined function
	globals  int    // imported and defined: the index of the count
	mutable  []int  // defined globals that may change
	memory   uint64 // bytes that it has at least

	imported int            // functions
	exported map[string]int // functions, by name
	refills  []refill       // functions put in
	hidden   bool           // an instance can change more than memory and these
}

// Meter puts the count into a module, with so much work to begin with, and exports its
// mutable globals. It checks no more of the module than it needs to; whoever compiles the
// result checks the rest. Custom sections are left out: names and line numbers, of no use
// here. It never panics, whatever the bytes. Functions that are told begin with work of
// their own at each call from outside.
func Meter(wasm []byte, work int32, each ...Each) ([]byte, State, error) {
	m, err := read(wasm)
	if err != nil {
		return nil, State{}, err
	}
	m.refill(each)
	out := append([]byte(nil), magic...)
	placed := map[byte]bool{}
	for _, s := range m.sections {
		out = m.missing(out, order[s.id], placed, work)
		placed[s.id] = true
		if s.body, err = m.change(s, work); err != nil {
			return nil, State{}, err
		}
		out = appendSection(out, s)
	}
	return m.missing(out, len(order)+1, placed, work), m.state(), nil
}

// magic begins every module of version 1.
const magic = "\x00asm\x01\x00\x00\x00"

// IsModule tells whether a file begins as a WebAssembly module does.
func IsModule(data []byte) bool { return len(data) >= 4 && string(data[:4]) == magic[:4] }

// missing adds the sections that the count needs and the module has not, before one
// of a given order.
func (m *module) missing(out []byte, before int, placed map[byte]bool, work int32) []byte {
	for _, id := range []byte{secGlobal, secExport} {
		if order[id] < before && !placed[id] {
			placed[id] = true
			body, _ := m.change(section{id, []byte{0}}, work) // an empty list
			out = appendSection(out, section{id, body})
		}
	}
	return out
}

func (m *module) change(s section, work int32) ([]byte, error) {
	switch s.id {
	case secGlobal:
		return m.addGlobal(s.body, work)
	case secFunction:
		return m.addFunctions(s.body), nil
	case secExport:
		return m.addExport(s.body)
	case secCode:
		return m.code(s.body)
	}
	return s.body, nil
}

// addGlobal appends a mutable i32 to a list of globals.
func (m *module) addGlobal(body []byte, work int32) ([]byte, error) {
	r := reader{data: body}
	n := r.u32()
	if r.failed {
		return nil, r.err("globals")
	}
	out := appendU32(nil, n+1)
	out = append(out, r.rest()...)
	out = append(out, typeI32, 1, opI32Const)
	out = appendS32(out, work)
	return append(out, opEnd), nil
}

// addExport appends the count and the mutable globals to a list of exports.
func (m *module) addExport(body []byte) ([]byte, error) {
	r := reader{data: body}
	n := r.u32()
	list := r.rest()
	for range n {
		r.bytes(int(r.u32()))
		kind, index := r.byte(), r.u32()
		if kind == externGlobal && int(index) >= m.globals {
			return nil, fmt.Errorf("an export of global %d, of %d", index, m.globals)
		}
		if r.failed {
			return nil, r.err("exports")
		}
	}
	if r.failed || len(r.rest()) > 0 {
		return nil, r.err("exports")
	}
	out := appendU32(nil, n+1+uint32(len(m.mutable)+len(m.refills)))
	out = append(out, m.redirect(n, list)...)
	out = appendExport(out, Export, externGlobal, m.globals)
	for _, g := range m.mutable {
		out = appendExport(out, exportOf(g), externGlobal, g)
	}
	for i := range m.refills {
		// Code may refer only to functions that something names.
		out = appendExport(out, "slatbench.within."+m.refills[i].export, externFunction, m.refills[i].calls)
	}
	return out, nil
}

func appendExport(out []byte, name string, kind byte, index int) []byte {
	out = appendU32(out, uint32(len(name)))
	out = append(out, name...)
	return appendU32(append(out, kind), uint32(index))
}

func appendSection(out []byte, s section) []byte {
	out = append(out, s.id)
	out = appendU32(out, uint32(len(s.body)))
	return append(out, s.body...)
}

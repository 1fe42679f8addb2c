package meter

import (
	"errors"
	"fmt"
)

// Instructions that are looked at or put in.
const (
	opUnreachable = 0x00
	opLoop        = 0x03
	opIf          = 0x04
	opEnd         = 0x0B
	opCall        = 0x10
	opLocalGet    = 0x20
	opLocalTee    = 0x22
	opGlobalGet   = 0x23
	opGlobalSet   = 0x24
	opTableSet    = 0x26
	opI32Const    = 0x41
	opI32LtS      = 0x48
	opI32Sub      = 0x6B
	opI32ShrU     = 0x76
	opMore        = 0xFC // bulk, saturating
	opVector      = 0xFD
	blockEmpty    = 0x40
	typeI32       = 0x7F
)

// code puts the count into every function.
func (m *module) code(body []byte) ([]byte, error) {
	r := reader{data: body}
	n := r.u32()
	if r.failed || int64(n) != int64(len(m.types)) {
		return nil, fmt.Errorf("%d functions are declared, and %d have code", len(m.types), n)
	}
	out := appendU32(nil, n+uint32(len(m.refills)))
	for i := range int(n) {
		f := r.bytes(int(r.u32()))
		if r.failed {
			return nil, r.err("code")
		}
		changed, err := m.function(i, f)
		if err != nil {
			return nil, fmt.Errorf("function %d: %w", i, err)
		}
		out = appendU32(out, uint32(len(changed)))
		out = append(out, changed...)
	}
	if len(r.rest()) > 0 {
		return nil, r.err("code")
	}
	for i := range m.refills {
		out = m.appendRefill(out, &m.refills[i])
	}
	return out, nil
}

// function is one body with the count in it: its locals with two more, and its
// instructions.
func (m *module) function(i int, body []byte) ([]byte, error) {
	t := m.types[i]
	if t >= len(m.params) {
		return nil, fmt.Errorf("type %d, of %d", t, len(m.params))
	}
	r := reader{data: body}
	groups := r.u32()
	begin, locals := r.at, uint64(m.params[t])
	for range groups {
		locals += uint64(r.u32())
		if kind := r.byte(); !r.failed && !known(kind) {
			return nil, fmt.Errorf("a local of type %#02x is not offered", kind)
		}
		if r.failed {
			return nil, r.err("locals")
		}
	}
	if r.failed || locals >= 1<<31 {
		return nil, r.err("locals")
	}
	out := make([]byte, 0, len(body)+len(body)/4+32)
	out = appendU32(out, groups+1)
	out = append(out, body[begin:r.at]...)
	out = append(out, 2, typeI32)
	w := writer{module: m, scratch: uint32(locals)}
	for r.at < len(body) {
		if err := w.instruction(&r); err != nil {
			return nil, err
		}
	}
	code := w.out
	w.out = out
	w.charge()
	w.touch()
	return append(w.out, code...), nil
}

// writer writes the instructions of one function.
type writer struct {
	*module
	out     []byte
	scratch uint32 // a local of our own; the next is always 0

	accesses int    // to memory, so far
	known    bool   // the last instruction was a constant,
	base     uint32 // of this value,
	baseAt   int    // and stands here
}

// charge takes 1 from the count.
func (w *writer) charge() {
	w.out = w.global(opGlobalGet)
	w.out = append(w.out, opI32Const, 1, opI32Sub)
	w.out = w.global(opGlobalSet)
	w.trap()
}

// trap ends it where the count is below zero.
func (w *writer) trap() {
	w.out = w.global(opGlobalGet)
	w.out = append(w.out, opI32Const, 0, opI32LtS, opIf, blockEmpty, opUnreachable, opEnd)
}

func (w *writer) global(op byte) []byte { return appendU32(append(w.out, op), uint32(w.globals)) }

// chargeBulk takes from the count for the number that is on top of the stack.
func (w *writer) chargeBulk() {
	w.out = appendU32(append(w.out, opLocalTee), w.scratch)
	w.out = w.global(opGlobalGet)
	w.out = appendU32(append(w.out, opLocalGet), w.scratch)
	w.out = append(w.out, opI32Const, bulkShift, opI32ShrU, opI32Sub)
	w.out = w.global(opGlobalSet)
	w.trap()
}

// instruction copies one, with what is to be counted about it.
func (w *writer) instruction(r *reader) error {
	begin := r.at
	op := r.byte()
	bulk, err := w.skip(op, r)
	if err != nil {
		return err
	}
	if r.failed {
		return errors.New("code is broken off")
	}
	if bulk {
		w.chargeBulk()
	}
	w.hidden = w.hidden || hides(r.data[begin:r.at])
	if !w.addressed(r.data[begin:r.at]) {
		w.out = append(w.out, r.data[begin:r.at]...)
	}
	if op == opLoop {
		w.charge()
	}
	return nil
}

// skip passes over what belongs to an instruction.
func (w *writer) skip(op byte, r *reader) (bulk bool, err error) {
	switch {
	case op == opGlobalGet || op == opGlobalSet:
		if x := r.u32(); int64(x) >= int64(w.globals) {
			return false, fmt.Errorf("global %d, of %d", x, w.globals)
		}
	case op >= opLocalGet && op <= opLocalTee:
		if x := r.u32(); x >= w.scratch {
			return false, fmt.Errorf("local %d, of %d", x, w.scratch)
		}
	case op == opMore:
		return more(r)
	case op == opVector:
		return false, vector(r)
	case op == 0x0E: // br_table
		for range r.u32() {
			if r.u32(); r.failed {
				return false, nil
			}
		}
		r.u32()
	case op == 0x1C: // select with types
		if !allKnown(r.bytes(int(r.u32()))) {
			return false, errors.New("a select of such a type is not offered")
		}
	case op >= 0x02 && op <= opIf:
		if next := r.rest(); len(next) > 0 && longType(next[0]) {
			return false, fmt.Errorf("a block of type %#02x is not offered", next[0])
		}
		r.leb(5)
	case op == 0x43: // f32.const
		r.bytes(4)
	case op == 0x44: // f64.const
		r.bytes(8)
	case op == opI32Const:
		r.leb(5)
	case op == 0x42: // i64.const
		r.leb(10)
	default:
		n, ok := plain(op)
		if !ok {
			return false, fmt.Errorf("instruction %#02x is not offered", op)
		}
		for range n {
			r.leb(5)
		}
	}
	return false, nil
}

// plain is how many numbers of 32 or 33 bits follow an instruction.
func plain(op byte) (n int, ok bool) {
	switch {
	case op <= 0x01, op == 0x05, op == opEnd, op == 0x0F, op == 0x1A, op == 0x1B, op == 0xD1, op >= 0x45 && op <= 0xC4:
		return 0, true
	case op == 0x0C, op == 0x0D, op == 0x10,
		op == 0x25, op == 0x26, op == 0x3F, op == 0x40, op == 0xD0, op == 0xD2:
		return 1, true
	case op == 0x11, op >= 0x28 && op <= 0x3E:
		return 2, true
	}
	return 0, false
}

// more passes over what follows 0xFC.
func more(r *reader) (bulk bool, err error) {
	op := r.u32()
	switch {
	case op <= 7: // saturating truncation
		return false, nil
	case op == 8, op == 10, op == 12, op == 14: // init and copy
		r.u32()
		r.u32()
		return true, nil
	case op == 11, op == 17: // fill
		r.u32()
		return true, nil
	case op == 9, op == 13, op == 16: // drop, size; table.grow has no bound worth the name
		r.u32()
		return false, nil
	}
	return false, fmt.Errorf("instruction 0xfc %d is not offered", op)
}

// vector passes over what follows 0xFD.
func vector(r *reader) error {
	op := r.u32()
	switch {
	case op <= 11, op == 92, op == 93: // loads and stores
		r.u32()
		r.u32()
	case op == 12, op == 13: // v128.const, shuffle
		r.bytes(16)
	case op >= 21 && op <= 34: // lanes
		r.byte()
	case op >= 84 && op <= 91: // loads and stores of lanes
		r.u32()
		r.u32()
		r.byte()
	case op > 255:
		return fmt.Errorf("instruction 0xfd %d is not offered", op)
	}
	return nil
}

package meter

// Most of what firmware keeps has an address that is known when it is compiled. C has it
// as a constant base of 0 and an offset, at every access anew; and the compiler of the
// module, which does not see that it is the same base, puts a check of the bounds before
// each, which takes more room than the access and about as long. It does see it where the
// base is a local. So a base that is a constant becomes a local that is always 0, and the
// constant is added to the offset; and a function that has more than one access begins
// with one to the last byte that memory is sure to have, after which its checks of smaller
// constant addresses are left out. Nothing of it changes what a module does.

// Loads and stores; loads come first.
const (
	opFirstLoad  = 0x28
	opLastLoad   = 0x35
	opLastStore  = 0x3E
	opI32Load8   = 0x2D
	opDrop       = 0x1A
	mostOffset   = 1<<32 - 1
	pageSize     = 1 << 16
	fewestAccess = 2 // from which on the first one pays
)

// learnMemory takes up how much memory there is to begin with, bytes: it never shrinks.
func (m *module) learnMemory(r *reader) {
	if r.u32() != 1 {
		return
	}
	const plain = 1 // with or without a bound; other flags mean other memories
	flag := r.byte()
	if pages := r.u32(); !r.failed && flag <= plain && pages <= 1<<16 {
		m.memory = uint64(pages) * pageSize
	}
}

// touch reads the last byte that memory has to begin with.
func (w *writer) touch() {
	if w.memory == 0 || w.accesses < fewestAccess {
		return
	}
	w.zero()
	w.out = append(w.out, opI32Load8, 0)
	w.out = appendU32(w.out, uint32(w.memory-1))
	w.out = append(w.out, opDrop)
}

// zero puts the local that is always 0 on the stack.
func (w *writer) zero() { w.out = appendU32(append(w.out, opLocalGet), w.scratch+1) }

// addressed writes an instruction in the way described above, and tells whether it is one
// that can be.
func (w *writer) addressed(instruction []byte) bool {
	r := reader{data: instruction}
	op := r.byte()
	known, base := w.known, w.base
	w.known = false
	switch {
	case op == opI32Const:
		w.known, w.base, w.baseAt = true, uint32(r.s32()), len(w.out)
		if w.base == 0 {
			w.zero()
			return true
		}
	case op >= opFirstLoad && op <= opLastStore:
		w.accesses++
		align, offset := r.byte(), uint64(r.u32())
		if !known || op > opLastLoad || align > 4 || offset+uint64(base) > mostOffset {
			break
		}
		w.out = w.out[:w.baseAt]
		w.zero()
		w.out = append(w.out, op, align)
		w.out = appendU32(w.out, uint32(offset+uint64(base)))
		return true
	}
	return false
}

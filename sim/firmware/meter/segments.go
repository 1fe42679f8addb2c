package meter

// Segments of tables and of data are read only to see that no list claims to be longer
// than the file: a compiler makes room for what is claimed.

// learnElements passes over the segments of tables.
func learnElements(r *reader) error {
	for range r.u32() {
		form := r.u32()
		passive, indexed, expressions := form&1 != 0, form&2 != 0, form&4 != 0
		if form > 7 {
			return r.err("elements")
		}
		if !passive {
			if indexed {
				r.u32()
			}
			r.constant()
		}
		if form&3 != 0 {
			r.byte() // kind
		}
		n := r.u32()
		if int64(n) > int64(len(r.rest())) {
			r.failed = true
		}
		for range n {
			if r.failed {
				break
			}
			if expressions {
				r.constant()
			} else {
				r.u32()
			}
		}
		if r.failed {
			return r.err("elements")
		}
	}
	return nil
}

// learnData passes over the segments of data.
func learnData(r *reader) error {
	for range r.u32() {
		switch r.u32() {
		case 0:
			r.constant()
		case 1:
		case 2:
			r.u32()
			r.constant()
		default:
			r.failed = true
		}
		r.bytes(int(r.u32()))
		if r.failed {
			return r.err("data")
		}
	}
	return nil
}

// constant passes over an expression that is known before anything runs.
func (r *reader) constant() {
	for !r.failed {
		switch r.byte() {
		case opEnd:
			return
		case opI32Const, opGlobalGet, 0xD0, 0xD2:
			r.leb(5)
		case 0x42:
			r.leb(10)
		case 0x43:
			r.bytes(4)
		case 0x44:
			r.bytes(8)
		case opVector:
			r.u32()
			r.bytes(16)
		default:
			r.failed = true
		}
	}
}

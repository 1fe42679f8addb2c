package meter

// Each is a function that begins its work with so much left at every call from outside,
// whatever was left before. A host that sets the count itself before each call pays more
// for that than for a short call.
type Each struct {
	Export string
	Work   int32
}

// refill is a function that is put in for that: it sets the count, and calls.
type refill struct {
	export string
	calls  int // which function
	kind   int // its type
	work   int32
}

// learnExports takes up the functions that are exported. A broken list is found when the
// exports are written.
func (m *module) learnExports(r *reader) {
	m.exported = map[string]int{}
	for range r.u32() {
		name := string(r.bytes(int(r.u32())))
		kind, index := r.byte(), int(r.u32())
		if r.failed {
			return
		}
		if kind == externFunction {
			m.exported[name] = index
		}
	}
}

// refill looks for the functions that are to begin with so much work. One that is not
// there, that is imported, or that takes or gives something is left as it is.
func (m *module) refill(list []Each) {
	for _, e := range list {
		f, ok := m.exported[e.Export]
		f -= m.imported
		if !ok || f < 0 || f >= len(m.types) {
			continue
		}
		if t := m.types[f]; t < len(m.params) && m.params[t] == 0 && m.results[t] == 0 {
			m.refills = append(m.refills, refill{e.Export, f + m.imported, t, e.Work})
		}
	}
}

// addFunctions declares what is put in.
func (m *module) addFunctions(body []byte) []byte {
	if len(m.refills) == 0 {
		return body
	}
	r := reader{data: body}
	out := appendU32(nil, r.u32()+uint32(len(m.refills)))
	out = append(out, r.rest()...)
	for i := range m.refills {
		out = appendU32(out, uint32(m.refills[i].kind))
	}
	return out
}

// redirect lets n exports lead to what is put in for them.
func (m *module) redirect(n uint32, list []byte) (out []byte) {
	r := reader{data: list}
	for range n {
		begin := r.at
		name := string(r.bytes(int(r.u32())))
		kind := r.byte()
		head := list[begin:r.at]
		index := r.u32()
		for i := range m.refills {
			if kind == externFunction && m.refills[i].export == name {
				index = uint32(m.imported + len(m.types) + i)
			}
		}
		out = appendU32(append(out, head...), index)
	}
	return out
}

// appendRefill writes the body of one.
func (m *module) appendRefill(out []byte, f *refill) []byte {
	body := []byte{0, opI32Const} // no locals
	body = appendS32(body, f.work)
	body = appendU32(append(body, opGlobalSet), uint32(m.globals))
	body = appendU32(append(body, opCall), uint32(f.calls))
	body = append(body, opEnd)
	return append(appendU32(out, uint32(len(body))), body...)
}

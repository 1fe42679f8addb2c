package meter

import "strconv"

// State is what a module's instance can change besides its memory: what must be put back
// so that an instance is as a new one is.
type State struct {
	// Globals are the exports of all its mutable globals, that of the count first.
	Globals []string
	// Whole: there is nothing else. It is false where code writes into a table or drops a
	// segment, where a mutable global is no number of 64 bits or less, and where the list
	// of globals has something in it that is not known here.
	Whole bool
}

// exportOf is the name by which a mutable global of the module can be reached.
func exportOf(global int) string { return "slatbench.global." + strconv.Itoa(global) }

// learnGlobals looks for the mutable ones. What it can't read is no error here: the
// compiler, which reads it too, may know more; the state is not whole then.
func (m *module) learnGlobals(r *reader) {
	n := int(r.u32())
	first := m.globals
	m.globals += n
	for i := 0; i < n && !m.hidden; i++ {
		kind, mutable := r.byte(), r.byte()
		r.constant()
		if mutable == 1 {
			m.mutable = append(m.mutable, first+i)
		}
		m.hidden = r.failed || !known(kind) || mutable > 1 || mutable == 1 && !number(kind)
	}
	if len(r.rest()) > 0 {
		m.hidden = true
	}
	if m.hidden {
		m.mutable = nil
	}
}

// state is that of a module all of whose sections have been changed.
func (m *module) state() State {
	s := State{Globals: []string{Export}, Whole: !m.hidden}
	for _, g := range m.mutable {
		s.Globals = append(s.Globals, exportOf(g))
	}
	return s
}

// hides tells that an instruction changes what is neither memory nor a global: table.set,
// and after 0xFC data.drop, table.init, elem.drop, table.copy and table.fill.
func hides(instruction []byte) bool {
	r := reader{data: instruction}
	switch r.byte() {
	case opTableSet:
		return true
	case opMore:
		switch r.u32() {
		case 9, 12, 13, 14, 17:
			return true
		}
	}
	return false
}

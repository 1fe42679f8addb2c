package logic

import (
	"slices"
	"strings"
)

// Mark tells how a part of a table stands to the base that the table changes.
type Mark uint8

// The marks. Without a base everything is [Kept].
const (
	Kept Mark = iota
	Added
	Dropped
	Changed
)

// markSigns stand before what is marked, in drawings.
var markSigns = [...]string{Kept: "", Added: "+ ", Dropped: "− ", Changed: "≠ "}

// Sign of a mark, as it stands in drawings.
func (m Mark) Sign() string { return strings.TrimSpace(markSigns[m]) }

// Drawing is a table as it is to be drawn: alone, or with the base that it changes, so
// that what was added, dropped and changed is marked.
type Drawing struct {
	Table *Table
	Base  *Table // nil: alone
	// States that have another name than in the base: new name to old.
	DoorRenamed, LockRenamed map[string]string
	Notes                    []string // lines beneath the picture: values of the tuning that changed, say
}

// machines are those of a drawing, by their words: door, lock.
func (d *Drawing) machine(word string) *marked {
	switch {
	case word == "lock" && d.Base != nil:
		return markMachine(&d.Table.Lock, &d.Base.Lock, d.LockRenamed)
	case word == "lock":
		return markMachine(&d.Table.Lock, nil, nil)
	case d.Base != nil:
		return markMachine(&d.Table.Door, &d.Base.Door, d.DoorRenamed)
	}
	return markMachine(&d.Table.Door, nil, nil)
}

// marked is a machine with what differs from its base.
type marked struct {
	start  string
	states []markedState
	lines  []markedLine
}

type markedState struct {
	State
	mark    Mark
	was     State  // of a changed one
	renamed string // its name in the base, where that is another
}

// markedLine is answers that say the same in several states: a line of the legend.
type markedLine struct {
	Transition
	mark Mark
	was  Transition // of a changed one
}

// single is one answer of one state.
type single struct {
	from string
	tr   *Transition
}

func (s single) key() string {
	return s.from + "\x00" + s.tr.On + "\x00" + strings.Join(slices.Sorted(slices.Values(s.tr.If)), "\x00")
}

func singles(m *Machine) (list []single) {
	for i := range m.Transitions {
		for _, from := range m.Transitions[i].From {
			list = append(list, single{from, &m.Transitions[i]})
		}
	}
	return list
}

// saysSame tells that two answers lead to the same and do the same.
func saysSame(a, b *Transition) bool {
	return a.To == b.To && a.Alarm == b.Alarm && slices.Equal(slices.Sorted(slices.Values(a.Do)), slices.Sorted(slices.Values(b.Do)))
}

// markMachine compares a machine with its base, if it has one.
func markMachine(m, base *Machine, renamed map[string]string) *marked {
	r := &marked{start: m.Start}
	for _, s := range m.States {
		r.states = append(r.states, markedState{State: s, renamed: renamed[s.Name]})
	}
	if base == nil {
		for _, s := range singles(m) {
			r.add(s.from, *s.tr, Kept, Transition{})
		}
		return r
	}
	base = base.underNames(renamed)
	r.markStates(m, base)
	before := map[string]single{}
	for _, s := range singles(base) {
		before[s.key()] = s
	}
	now := map[string]bool{}
	for _, s := range singles(m) {
		old, known := before[s.key()]
		now[s.key()] = true
		switch {
		case !known:
			r.add(s.from, *s.tr, Added, Transition{})
		case saysSame(s.tr, old.tr):
			r.add(s.from, *s.tr, Kept, Transition{})
		default:
			r.add(s.from, *s.tr, Changed, *old.tr)
		}
	}
	for _, s := range singles(base) {
		if !now[s.key()] {
			r.add(s.from, *s.tr, Dropped, Transition{})
		}
	}
	return r
}

func (r *marked) markStates(m, base *Machine) {
	for i := range r.states {
		s := &r.states[i]
		k := slices.IndexFunc(base.States, func(b State) bool { return b.Name == s.Name })
		if k < 0 {
			s.mark = Added
			continue
		}
		if s.was = base.States[k]; s.was.outputs() != s.outputs() {
			s.mark = Changed
		}
	}
	for _, b := range base.States {
		if !slices.ContainsFunc(m.States, func(s State) bool { return s.Name == b.Name }) {
			r.states = append(r.states, markedState{State: b, mark: Dropped})
		}
	}
}

// add puts an answer of a state into the line that says the same, or into a new one.
func (r *marked) add(from string, t Transition, mark Mark, was Transition) {
	for i := range r.lines {
		l := &r.lines[i]
		if l.mark == mark && l.On == t.On && slices.Equal(l.If, t.If) && saysSame(&l.Transition, &t) &&
			(mark != Changed || saysSame(&l.was, &was)) {
			l.From = append(l.From, from)
			return
		}
	}
	t.From = []string{from}
	r.lines = append(r.lines, markedLine{t, mark, was})
}

// underNames is a machine with its states called as they are called now.
func (m *Machine) underNames(renamed map[string]string) *Machine {
	names := map[string]string{}
	for new, old := range renamed {
		names[old] = new
	}
	of := func(name string) string {
		if new, ok := names[name]; ok {
			return new
		}
		return name
	}
	c := &Machine{Start: of(m.Start), States: slices.Clone(m.States), Transitions: slices.Clone(m.Transitions)}
	for i := range c.States {
		c.States[i].Name = of(c.States[i].Name)
	}
	for i := range c.Transitions {
		t := &c.Transitions[i]
		t.From, t.To = slices.Clone(t.From), of(t.To)
		for k := range t.From {
			t.From[k] = of(t.From[k])
		}
	}
	return c
}

// Counts is how much differs from the base, by mark.
type Counts struct {
	States, Answers [4]int
	Renamed         int
}

// Counts of a machine (door, lock). Without a base everything is kept.
func (d *Drawing) Counts(machine string) (c Counts) {
	m := d.machine(machine)
	for i := range m.states {
		s := &m.states[i]
		c.States[s.mark]++
		if s.renamed != "" {
			c.Renamed++
		}
	}
	for i := range m.lines {
		c.Answers[m.lines[i].mark] += len(m.lines[i].From)
	}
	return c
}

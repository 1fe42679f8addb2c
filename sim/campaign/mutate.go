package campaign

import (
	"fmt"
	"hash/fnv"
	"slices"
	"strings"

	"slatbench/sim"
	"slatbench/sim/logic"
	"slatbench/sim/logic/rules"
)

// Mutant is one small systematic mistake in a logic table: what a slip of the pen,
// or of thought, would have left there.
type Mutant struct {
	ID   string // eight hexadecimal digits made from Text: the same as long as the mistake reads the same
	Text string // "door: closing on stall -> pausing: deleted"
	Kind string // one of MutantKinds

	Safety     string          // why it is safety-relevant; empty where it is not. The rule: [safetyOf]
	Refused    string          // what the loader says of it; empty where it loads
	Equivalent string          // why the table's structure shows that it changes nothing; empty where it doesn't
	Breaks     []rules.Finding // design rules that it breaks and its original does not; of a mutant that plays

	site  site
	apply func(t *logic.Table)
}

// MutantKinds are the kinds of mistakes, in the order in which they are made.
var MutantKinds = [...]string{
	"deleted", "retargeted", "duplicated", "guard dropped", "guard negated",
	"output", "alarm", "action", "scaled",
}

// Scales are the factors by which every threshold and time of the tuning is scaled.
var Scales = [...]float64{0.5, 0.8, 1.25, 2, 10}

// site is where in the table a mistake is: what a run must reach before the mutant
// can behave differently from its original.
type site struct {
	lock  bool     // in the lock's machine
	row   int      // a transition of it, or -1 where none must have fired
	from  string   // … fired from this state
	in    []string // any of these states visited, where row is -1
	param string   // tuning: any run will do
}

// Mutants makes every mistake in a table that passes Check, in the order of the
// table, for controllers with a tick in s. A mutant that no longer loads, or that
// is shown to change nothing, is listed too, and says so.
func Mutants(base *logic.Table, tick float64) []Mutant {
	m := &mutator{base: base, tick: tick, was: rules.Check(base)}
	m.door, m.bar = newProof(base, false, nil), newProof(base, true, nil)
	m.machine(&m.base.Door, &logic.DoorWords, false)
	m.machine(&m.base.Lock, &logic.LockWords, true)
	m.tuning()
	for i := range m.list {
		m.judge(&m.list[i])
	}
	return m.list
}

// Apply returns a copy of the table with the mistake in it.
func (m *Mutant) Apply(base *logic.Table) *logic.Table {
	t := cloneTable(base)
	m.apply(t)
	return t
}

// Plays tells that the mutant loads and is not known to be equivalent, so that only
// playing can tell whether the requirements notice it.
func (m *Mutant) Plays() bool { return m.Refused == "" && m.Equivalent == "" }

func cloneTable(t *logic.Table) *logic.Table {
	c := *t
	c.Door, c.Lock = cloneMachine(&t.Door), cloneMachine(&t.Lock)
	return &c
}

func cloneMachine(m *logic.Machine) logic.Machine {
	c := logic.Machine{Start: m.Start, States: slices.Clone(m.States), Transitions: slices.Clone(m.Transitions)}
	for i := range c.Transitions {
		t := &c.Transitions[i]
		t.From, t.If, t.Do = slices.Clone(t.From), slices.Clone(t.If), slices.Clone(t.Do)
	}
	return c
}

// mutator collects the mutants of one table.
type mutator struct {
	base *logic.Table
	tick float64
	list []Mutant
	was  []rules.Finding // what breaks a rule in the original

	door, bar *proof // of the original

	// of the machine in hand
	m     *logic.Machine
	words *logic.Vocabulary
	lock  bool
}

func (m *mutator) machine(machine *logic.Machine, words *logic.Vocabulary, lock bool) {
	m.m, m.words, m.lock = machine, words, lock
	for row := range machine.Transitions {
		for _, from := range machine.Transitions[row].From {
			m.delete(row, from)
			m.retarget(row, from)
		}
		m.duplicate(row)
		m.guards(row)
		m.does(row)
	}
	for i := range machine.States {
		m.outputs(i)
	}
}

// add lists a mistake in the machine in hand.
func (m *mutator) add(kind, text string, s site, safety string, apply func(*logic.Machine)) {
	where := "door"
	if m.lock {
		where = "lock"
	}
	lock := m.lock
	s.lock = lock
	m.list = append(m.list, Mutant{
		ID: "", Text: where + ": " + text, Kind: kind, Safety: safety, site: s,
		apply: func(t *logic.Table) {
			if lock {
				apply(&t.Lock)
			} else {
				apply(&t.Door)
			}
		},
	})
}

// judge names a mutant, and asks whether it loads and whether it can matter.
func (m *mutator) judge(u *Mutant) {
	h := fnv.New32a()
	h.Write([]byte(u.Text))
	u.ID = fmt.Sprintf("%08x", h.Sum32())
	t := u.Apply(m.base)
	if p := t.Check(); len(p) > 0 {
		u.Refused = p[0].String()
		return
	}
	if u.Refused = outOfRange(&t.Tuning); u.Refused != "" {
		return
	}
	if u.Equivalent == "" {
		u.Equivalent = m.equivalent(t, u.site.lock)
	}
	if u.Plays() {
		u.Breaks = rules.Beyond(m.was, rules.Check(t))
	}
}

// rowText is how a transition reads: "closing on floor [near zero] -> down".
func rowText(from string, t *logic.Transition) string {
	s := from + " on " + t.On
	if len(t.If) > 0 {
		s += " [" + strings.Join(t.If, ", ") + "]"
	}
	return s + " -> " + t.To
}

func (m *mutator) rowText(row int) string {
	t := &m.m.Transitions[row]
	return rowText(strings.Join(t.From, ", "), t)
}

// split takes state from out of a transition and gives it a transition of its own.
// The check has made sure that the order of transitions does not matter.
func split(m *logic.Machine, row int, from string) *logic.Transition {
	own := m.Transitions[row]
	own.From = []string{from}
	m.Transitions = append(remove(m, row, from), own)
	return &m.Transitions[len(m.Transitions)-1]
}

// remove returns the transitions without the answer of one state.
func remove(m *logic.Machine, row int, from string) []logic.Transition {
	t := &m.Transitions[row]
	t.From = slices.DeleteFunc(t.From, func(s string) bool { return s == from })
	if len(t.From) == 0 {
		return slices.Delete(m.Transitions, row, row+1)
	}
	return m.Transitions
}

func (m *mutator) delete(row int, from string) {
	t := &m.m.Transitions[row]
	m.add("deleted", rowText(from, t)+": deleted", site{row: row, from: from},
		m.safetyOfMove(from, landing(from, t.To), from),
		func(machine *logic.Machine) { machine.Transitions = remove(machine, row, from) })
}

// landing is the state that an answer leads to.
func landing(from, to string) string {
	if to == logic.Stay {
		return from
	}
	return to
}

// retarget sends one state's answer elsewhere: to stay; to every state that puts out the
// very same as the right one, since nothing but what happens next tells them apart; and
// to one state, the first of the table, of each other sort, by what it drives, says and
// permits. Further states of another sort differ from that one in what they answer, and
// their answers are mutated on their own.
func (m *mutator) retarget(row int, from string) {
	t := &m.m.Transitions[row]
	right := stateOf(m.m, landing(from, t.To))
	targets := []string{logic.Stay}
	met := map[string]bool{}
	for i := range m.m.States {
		name := m.m.States[i].Name
		sort := m.sort(name)
		same := sort == m.sort(right.Name)
		if same && sameOutputs(&m.m.States[i], right) || !same && !met[sort] {
			targets = append(targets, name)
		}
		met[sort] = true
	}
	for _, to := range targets {
		if to == t.To {
			continue
		}
		m.add("retargeted", rowText(from, t)+": to "+to+" instead", site{row: row, from: from},
			m.safetyOfMove(from, landing(from, t.To), landing(from, to)),
			func(machine *logic.Machine) { split(machine, row, from).To = to })
	}
}

// sameOutputs tells that two states put out the same.
func sameOutputs(a, b *logic.State) bool {
	x, y := *a, *b
	x.Name, y.Name = "", ""
	return x == y
}

// duplicate gives a transition's answer a second time. As it stands, the loader
// refuses it. The mistake that loads is the one of copying: another state answers as
// well. One state of each sort is tried, the first of the table that the transition
// does not name.
func (m *mutator) duplicate(row int) {
	t := &m.m.Transitions[row]
	m.add("duplicated", m.rowText(row)+": stands twice", site{row: -1, in: t.From}, m.safety(t.From[0]),
		func(machine *logic.Machine) {
			machine.Transitions = append(machine.Transitions, machine.Transitions[row])
		})
	met := map[string]bool{}
	for i := range m.m.States {
		name := m.m.States[i].Name
		if sort := m.sort(name); !slices.Contains(t.From, name) && !met[sort] {
			met[sort] = true
			m.add("duplicated", m.rowText(row)+": also from "+name, site{row: -1, in: []string{name}},
				m.safetyOfMove(name, name, landing(name, t.To)),
				func(machine *logic.Machine) {
					r := &machine.Transitions[row]
					r.From = append(r.From, name)
				})
		}
	}
}

// guards drops and turns round each guard of a transition. Alone, that mostly leaves two
// answers to one event, which the loader refuses; so each mistake is also made as somebody
// would make it who wants the table to load. Dropped: the transition answers in place of
// those that its guard kept it apart from. Turned round: in every transition that tells
// the same event apart by that guard, as if the detector meant the opposite.
func (m *mutator) guards(row int) {
	t := &m.m.Transitions[row]
	for k, g := range t.If {
		safety := m.safetyOfRows(append(m.without(row, k), row)...)
		here := site{row: -1, in: t.From}
		m.add("guard dropped", m.rowText(row)+": guard '"+g+"' dropped", here, safety,
			func(machine *logic.Machine) { dropGuard(machine, row, k) })
		if len(m.without(row, k)) > 0 {
			m.add("guard dropped", m.rowText(row)+": guard '"+g+"' dropped, in place of its counterparts", here, safety,
				func(machine *logic.Machine) { dropGuard(machine, row, k); takePlace(machine, row) })
		}
		m.add("guard negated", m.rowText(row)+": guard '"+g+"' turned round", here, safety,
			func(machine *logic.Machine) { turnGuard(&machine.Transitions[row], k) })
		word := strings.TrimPrefix(g, "not ")
		if rows := m.together(row, word); len(rows) > 1 && rows[0] == row {
			m.turnAll(rows, word)
		}
	}
}

func dropGuard(m *logic.Machine, row, k int) {
	r := &m.Transitions[row]
	r.If = slices.Delete(r.If, k, k+1)
}

func turnGuard(t *logic.Transition, k int) { t.If[k] = negation(t.If[k]) }

// without are the counterparts of a transition without one of its guards.
func (m *mutator) without(row, k int) []int {
	c := cloneMachine(m.m)
	dropGuard(&c, row, k)
	return counterparts(&c, row)
}

// counterparts are the other transitions that may answer the same event in the same state.
func counterparts(m *logic.Machine, row int) []int {
	var list []int
	t := &m.Transitions[row]
	for i := range m.Transitions {
		o := &m.Transitions[i]
		if i != row && o.On == t.On && !excluded(o.If, t.If) &&
			slices.ContainsFunc(o.From, func(s string) bool { return slices.Contains(t.From, s) }) {
			list = append(list, i)
		}
	}
	return list
}

// excluded tells that two lists of guards cannot hold together, in the words of the check.
func excluded(a, b []string) bool {
	return slices.ContainsFunc(a, func(g string) bool { return slices.Contains(b, negation(g)) })
}

// takePlace takes the states of a transition out of its counterparts.
func takePlace(m *logic.Machine, row int) {
	states := m.Transitions[row].From
	for _, i := range counterparts(m, row) {
		t := &m.Transitions[i]
		t.From = slices.DeleteFunc(t.From, func(s string) bool { return slices.Contains(states, s) })
	}
	m.Transitions = slices.DeleteFunc(m.Transitions, func(t logic.Transition) bool { return len(t.From) == 0 })
}

// together are the transitions that tell an event apart by one guard, and share states,
// directly or by way of others.
func (m *mutator) together(row int, word string) []int {
	on := m.m.Transitions[row].On
	rows := []int{row}
	states := slices.Clone(m.m.Transitions[row].From)
	for grown := true; grown; {
		grown = false
		for i := range m.m.Transitions {
			t := &m.m.Transitions[i]
			if t.On == on && guardOf(t, word) >= 0 && !slices.Contains(rows, i) &&
				slices.ContainsFunc(t.From, func(s string) bool { return slices.Contains(states, s) }) {
				rows, states, grown = append(rows, i), append(states, t.From...), true
			}
		}
	}
	slices.Sort(rows)
	return rows
}

// guardOf finds a guard, as it stands or with a not.
func guardOf(t *logic.Transition, word string) int {
	return slices.IndexFunc(t.If, func(g string) bool { return strings.TrimPrefix(g, "not ") == word })
}

func (m *mutator) turnAll(rows []int, word string) {
	var states []string
	for _, i := range rows {
		for _, s := range m.m.Transitions[i].From {
			if !slices.Contains(states, s) {
				states = append(states, s)
			}
		}
	}
	t := &m.m.Transitions[rows[0]]
	m.add("guard negated", strings.Join(states, ", ")+" on "+t.On+": guard '"+word+"' turned round throughout",
		site{row: -1, in: states}, m.safetyOfRows(rows...),
		func(machine *logic.Machine) {
			for _, i := range rows {
				r := &machine.Transitions[i]
				turnGuard(r, guardOf(r, word))
			}
		})
}

// does mutates the alarm and the actions of a transition.
func (m *mutator) does(row int) {
	t := &m.m.Transitions[row]
	for _, from := range t.From {
		if t.Alarm != "" {
			m.add("alarm", rowText(from, t)+": alarm "+t.Alarm+" dropped", site{row: row, from: from}, "",
				func(machine *logic.Machine) { split(machine, row, from).Alarm = "" })
			other := nextAlarm(t.Alarm)
			m.add("alarm", rowText(from, t)+": alarm "+other+" for "+t.Alarm, site{row: row, from: from}, "",
				func(machine *logic.Machine) { split(machine, row, from).Alarm = other })
		}
		for k, d := range t.Do {
			m.add("action", rowText(from, t)+": action '"+d+"' dropped", site{row: row, from: from}, safetyOfAction(d),
				func(machine *logic.Machine) {
					r := split(machine, row, from)
					r.Do = slices.Delete(slices.Clone(r.Do), k, k+1)
				})
		}
	}
}

// nextAlarm is the next in the list, the first after the last.
func nextAlarm(name string) string {
	i := slices.Index(sim.AlarmNames[:], name)
	return sim.AlarmNames[(i+1)%len(sim.AlarmNames)]
}

// outputs changes each output of a state to each other word. A duty is an output only
// where the state drives.
func (m *mutator) outputs(i int) {
	s := &m.m.States[i]
	m.output(s, i, "drive", s.Drive, "off", m.words.Drives)
	if drives(s) {
		m.output(s, i, "duty", s.Duty, "full", m.words.Duties)
	}
	m.output(s, i, "lamp", s.Lamp, "off", logic.Lamps)
	if m.lock {
		m.output(s, i, "permit", s.Permit, "no", []string{"no", "yes"})
	} else {
		m.output(s, i, "says", s.Says, "nothing", []string{"nothing", "down"})
	}
}

func (m *mutator) output(s *logic.State, i int, what, is, left string, words []string) {
	if is == "" {
		is = left
	}
	for _, word := range words {
		if word == is {
			continue
		}
		safety := ""
		if what != "lamp" {
			safety = "it changes what a state puts on " + what
		}
		m.add("output", fmt.Sprintf("state %s: %s %s, not %s", s.Name, what, word, is), site{row: -1, in: []string{s.Name}}, safety,
			func(machine *logic.Machine) { setOutput(&machine.States[i], what, word) })
	}
}

func setOutput(s *logic.State, what, word string) {
	if word == "nothing" {
		word = ""
	}
	switch what {
	case "drive":
		s.Drive = word
	case "duty":
		s.Duty = word
	case "lamp":
		s.Lamp = word
	case "says":
		s.Says = word
	case "permit":
		s.Permit = word
	}
}

// drives tells that a state drives a motor or an actuator.
func drives(s *logic.State) bool { return s.Drive != "" && s.Drive != "off" }

// stateOf finds a state by name.
func stateOf(m *logic.Machine, name string) *logic.State {
	return &m.States[stateIndexOf(m, name)]
}

// sort of a state: what it drives, says and permits.
func (m *mutator) sort(name string) string {
	s := stateOf(m.m, name)
	drive := s.Drive
	if drive == "" {
		drive = "off"
	}
	return drive + "/" + s.Says + "/" + fmt.Sprint(s.Permit == "yes")
}

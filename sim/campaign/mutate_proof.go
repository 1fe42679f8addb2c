package campaign

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"slatbench/sim/logic"
)

// equivalent says why a mutated table does what the original does, by its structure
// alone; or nothing. Only the machine that the mistake is in is looked at; for a mistake
// in the tuning both are as they were.
func (m *mutator) equivalent(mutant *logic.Table, lock bool) string {
	if m.base.Tuning != mutant.Tuning {
		if sameGrain(&m.base.Tuning, &mutant.Tuning, m.tick) {
			return "to the controllers it is the same number of ticks, pulses, percents or converter counts"
		}
		return ""
	}
	was := m.door
	if lock {
		was = m.bar
	}
	return was.equals(newProof(mutant, lock, was))
}

// equals compares the forms of two machines. It gives the first simplification that one
// of them needed and the other did not.
func (p *proof) equals(o *proof) string {
	if !slices.EqualFunc(p.states, o.states, func(a, b simplified) bool { return slices.Equal(a.form, b.form) }) {
		return ""
	}
	for i := range p.states {
		a, b := p.states[i].notes, o.states[i].notes
		for _, note := range b {
			if !slices.Contains(a, note) {
				return note
			}
		}
		for _, note := range a {
			if !slices.Contains(b, note) {
				return note
			}
		}
	}
	return "with this tuning both words are the same output"
}

func outputsInNumbers(s *logic.State, t *logic.Tuning) string {
	duty, slow := 1.0, ""
	switch s.Duty {
	case "closing":
		duty = t.ClosingDuty
	case "slow":
		duty, slow = t.SlowDuty, "slow"
	case "teaching":
		duty, slow = t.TeachingDuty, "slow"
	}
	if !drives(s) {
		duty, slow = 0, ""
	}
	lamp := s.Lamp
	if lamp == "" {
		lamp = "off"
	}
	drive := s.Drive
	if drive == "" {
		drive = "off"
	}
	permit := s.Permit
	if permit == "" {
		permit = "no"
	}
	return strings.Join([]string{drive, strconv.Itoa(int(math.Round(duty * 100))), slow, lamp, s.Says, permit}, "/")
}

// proof brings a machine into a form in which only what can matter is left: answers
// that can never be given are gone, guards that follow from the rest are gone, an answer
// that leads to its own state is a stay where nothing there is timed, and outputs are in
// numbers. Two machines of the same form do the same.
type proof struct {
	*language
	m           *logic.Machine
	tuning      *logic.Tuning
	answers     [][]candidate // by state
	known       []facts       // lasting facts that hold whenever a state is looked at
	states      []simplified
	leastTravel bool // a plausible travel is a pulse or more
	comesBack   bool // the start is come to again without a reset
}

// candidate is a transition as an answer of one state.
type candidate struct {
	*logic.Transition
	event int
	need  facts
	to    int
}

// simplified is one state in that form.
type simplified struct {
	form  []string // outputs, then answers
	notes []string // what was left out, and why
}

// newProof simplifies a machine. What was the same in another is taken from there.
func newProof(t *logic.Table, lock bool, other *proof) *proof {
	p := &proof{
		language: doorLanguage, m: &t.Door, tuning: &t.Tuning,
		leastTravel: t.Tuning.LeastTravel*t.Tuning.PulsesAMetre >= 1,
	}
	if lock {
		p.language, p.m = lockLanguage, &t.Lock
	}
	p.candidates()
	p.known = make([]facts, len(p.m.States))
	if !lock {
		p.spread()
	}
	p.states = make([]simplified, len(p.m.States))
	for i := range p.states {
		if other != nil && p.m.States[i] == other.m.States[i] && p.known[i] == other.known[i] &&
			slices.EqualFunc(p.answers[i], other.answers[i], sameAnswer) {
			p.states[i] = other.states[i]
		} else {
			p.simplify(i)
		}
	}
	return p
}

func (p *proof) candidates() {
	index := make(map[string]int, len(p.m.States))
	for i := range p.m.States {
		index[p.m.States[i].Name] = i
	}
	start := index[p.m.Start]
	p.answers = make([][]candidate, len(p.m.States))
	for i := range p.m.Transitions {
		t := &p.m.Transitions[i]
		a := candidate{t, p.eventIndex(t.On), p.all(t.If), 0}
		for _, from := range t.From {
			a.to = index[landing(from, t.To)]
			p.comesBack = p.comesBack || a.to == start
			p.answers[index[from]] = append(p.answers[index[from]], a)
		}
	}
}

// sameAnswer tells that two transitions answer the same, whatever states they are from.
func sameAnswer(a, b candidate) bool {
	return a.On == b.On && a.To == b.To && a.Alarm == b.Alarm && slices.Equal(a.If, b.If) && slices.Equal(a.Do, b.Do)
}

// simplify brings one state into its form, with its answers sorted: two answers to one
// event exclude each other, and events have their precedence whatever their order here.
func (p *proof) simplify(state int) {
	z := &p.states[state]
	var list []string
	for i := range p.answers[state] {
		if text, given := p.least(z, state, &p.answers[state][i]); given {
			list = append(list, text)
		}
	}
	slices.Sort(list)
	z.form = append([]string{outputsInNumbers(&p.m.States[state], p.tuning)}, list...)
}

// least form of an answer, and whether it can ever be given.
func (p *proof) least(z *simplified, state int, a *candidate) (text string, given bool) {
	name := p.m.States[state].Name
	note := func(why string) { z.notes = append(z.notes, rowText(name, a.Transition)+": "+why) }
	if p.neverComes(state, a.On) {
		note("the event never comes in this state, by the way that it drives")
		return "", false
	}
	if e := p.masked(state, a); e != "" {
		note("it comes only together with '" + e + "', which is answered before it")
		return "", false
	}
	facts := p.circumstances(state, a)
	if p.close(facts | a.need).contradict() {
		note("it can never be given: what is known in the state, its event, its guards and the events before it exclude each other")
		return "", false
	}
	to := a.To
	if to == name && !p.timed(state) {
		note("nothing there is timed, so that entering it again is staying")
		to = logic.Stay
	}
	if to == logic.Stay && a.Alarm == "" && len(a.Do) == 0 && p.lastWord(state, a) {
		note("it does nothing, and keeps no later event from being answered")
		return "", false
	}
	guards := p.needed(facts, a.If)
	if len(guards) < len(a.If) {
		note("of its guards [" + strings.Join(guards, ", ") + "] imply the others, with what is known in the state and the events before it")
	}
	do := slices.Clone(a.Do)
	slices.Sort(do)
	return "  " + a.On + " [" + strings.Join(guards, ", ") + "] -> " + to + " / " + a.Alarm + " " + strings.Join(do, ","), true
}

// neverComes tells that an event cannot come about in a state, by the way it drives.
func (p *proof) neverComes(state int, event string) bool {
	ways, listed := raisedDriving[event]
	if p.lock || !listed {
		return false
	}
	drive := p.m.States[state].Drive
	if drive == "" {
		drive = "off"
	}
	return !slices.Contains(ways, drive)
}

// masked is an earlier event that comes whenever this one does, and is always answered.
func (p *proof) masked(state int, a *candidate) string {
	if p.lock || comesWith[a.On] == nil {
		return ""
	}
	for i := range p.answers[state] {
		if o := &p.answers[state][i]; len(o.If) == 0 && slices.Contains(comesWith[a.On], o.On) {
			return o.On
		}
	}
	return ""
}

// circumstances of an answer being looked at: what is known in its state, what its event
// implies, and the silence of every earlier event that the state would have answered come
// what may.
func (p *proof) circumstances(state int, a *candidate) facts {
	f := p.known[state] | p.language.event[a.event]
	for i := range p.answers[state] {
		if o := &p.answers[state][i]; o.event < a.event && len(o.If) == 0 {
			f |= p.quiet[o.event]
		}
	}
	return f
}

// needed leaves out the guards that follow from the circumstances and the others.
func (p *proof) needed(given facts, guards []string) []string {
	left := slices.Clone(guards)
	slices.Sort(left)
	for i := 0; i < len(left); {
		rest := slices.Delete(slices.Clone(left), i, i+1)
		if p.close(given|p.all(rest))>>p.bit(left[i])&1 == 1 {
			left = rest
		} else {
			i++
		}
	}
	return left
}

// timed tells that a state answers an event that looks at how long it has lasted.
func (p *proof) timed(state int) bool {
	return slices.ContainsFunc(p.answers[state], func(a candidate) bool {
		return slices.Contains(timedEvents[p.lock], a.On) && !p.neverComes(state, a.On)
	})
}

// lastWord tells that no later event is answered in a state: an answer that does
// nothing then keeps nothing else from being answered.
func (p *proof) lastWord(state int, a *candidate) bool {
	return !slices.ContainsFunc(p.answers[state], func(o candidate) bool { return o.event > a.event })
}

// spread works out which lasting facts hold in every state, however it is come to: it
// begins with all of them and takes away what some way into the state does not bring.
func (p *proof) spread() {
	for i := range p.known {
		p.known[i] = p.all([]string{"count known", "not count known", "taught", "not taught"})
	}
	p.known[stateIndexOf(p.m, p.m.Start)] = 0
	for shrunk := true; shrunk; {
		shrunk = false
		for state := range p.answers {
			for i := range p.answers[state] {
				a := &p.answers[state][i]
				if p.neverComes(state, a.On) || p.masked(state, a) != "" {
					continue
				}
				brought, can := p.after(state, a)
				if left := p.known[a.to] & brought; can && left != p.known[a.to] {
					p.known[a.to], shrunk = left, true
				}
			}
		}
	}
}

// after is what holds of the lasting facts once an answer has been given, and whether it
// can be given at all.
func (p *proof) after(state int, a *candidate) (brought facts, can bool) {
	before := p.close(p.circumstances(state, a) | a.need)
	if before.contradict() {
		return 0, false
	}
	if p.m.States[state].Name == p.m.Start && !p.comesBack {
		for _, g := range a.If {
			before |= p.all(remembered[g])
		}
	}
	for _, d := range a.Do {
		for _, f := range lasting[d] {
			before &^= 1<<p.bit(f) | 1<<p.bit(negation(f))
			if d != "store" || p.leastTravel && slices.Contains(a.If, "plausible") {
				before |= 1 << p.bit(f)
			}
		}
	}
	return before, true
}

func stateIndexOf(m *logic.Machine, name string) int {
	return slices.IndexFunc(m.States, func(s logic.State) bool { return s.Name == name })
}

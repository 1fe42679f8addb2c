package campaign

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"slatbench/sim/logic"
)

// What is known of the words of a table, whatever the truck does. mutate_words_test.go
// tries each against the detectors.

// raisedDriving says which way a door must be driven for an event to come about: up,
// down, or either; "off" is at rest. Events that are not listed can always come.
var raisedDriving = map[string][]string{
	"moved": {"off"},
	"floor": {"down"}, "near floor": {"down"}, "overrun": {"down"}, "ran out": {"down"},
	"at top": {"up"}, "wound back": {"up"},
	"held up": {"up", "down"}, "stall": {"up", "down"}, "slowed": {"up", "down"},
	"no motion": {"up", "down"}, "time up": {"up", "down"}, "slow": {"up", "down"},
}

// impliedBy says what must hold where a guard holds, or while an event comes.
type impliedBy map[string][]string

var doorGuardFacts = impliedBy{
	"near zero": {"count known", "not past zero"},
	"past zero": {"count known", "not near zero"},
	"near top":  {"count known"},
	"plausible": {"count known"},
	"was down":  {"not was open"},
	"was open":  {"not was down"},
	"loaded":    {"not lifting"},
	"lifting":   {"not loaded"},
}

var doorEventFacts = impliedBy{
	"barred":      {"not permitted"},
	"floor":       {"sill made"},
	"edge faulty": {"not edge sound"},
	"at top":      {"count known"},
	"near floor":  {"count known"},
	"overrun":     {"count known"},
	"ran out":     {"count known", "past zero", "not near zero"},
	"wound back":  {"wound back"},
}

// doorSilent says what holds while an event does not come.
var doorSilent = impliedBy{
	"barred":      {"permitted"},
	"edge faulty": {"edge sound"},
}

var lockGuardFacts = impliedBy{
	"at unlocked": {"not at locked"},
	"at locked":   {"not at unlocked"},
}

var lockEventFacts = impliedBy{
	"switches wrong":   {"not at unlocked", "not at locked"},
	"doors lost":       {"not doors down"},
	"arrived locked":   {"at locked", "not at unlocked"},
	"arrived unlocked": {"at unlocked", "not at locked"},
	"locked lost":      {"not at locked"},
	"unlocked lost":    {"not at unlocked"},
}

var lockSilent = impliedBy{
	"doors lost":     {"doors down"},
	"arrived locked": {"not at locked"},
	"locked lost":    {"at locked"},
	"unlocked lost":  {"at unlocked"},
}

// timedEvents look at how long the machine has been in its state; "slowed" at what it
// has seen since it came into it.
var timedEvents = map[bool][]string{
	false: {"awake", "paused", "slowed"},
	true:  {"not left", "late", "arrived unlocked", "settled"},
}

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
	m      *logic.Machine
	words  *logic.Vocabulary
	lock   bool
	states []simplified
}

// simplified is one state in that form.
type simplified struct {
	form  []string // outputs, then answers
	notes []string // what was left out, and why
	rows  []logic.Transition
}

// newProof simplifies a machine. What was the same in another is taken from there.
func newProof(t *logic.Table, lock bool, other *proof) *proof {
	p := &proof{m: &t.Door, words: &logic.DoorWords, lock: lock}
	if lock {
		p.m, p.words = &t.Lock, &logic.LockWords
	}
	p.states = make([]simplified, len(p.m.States))
	for i := range p.states {
		s := &p.m.States[i]
		p.states[i].rows = p.rowsOf(s.Name)
		if other != nil && *s == other.m.States[i] && slices.EqualFunc(p.states[i].rows, other.states[i].rows, sameAnswer) {
			p.states[i] = other.states[i]
			continue
		}
		p.state(&p.states[i], s, &t.Tuning)
	}
	return p
}

func (p *proof) rowsOf(state string) []logic.Transition {
	var rows []logic.Transition
	for i := range p.m.Transitions {
		if slices.Contains(p.m.Transitions[i].From, state) {
			rows = append(rows, p.m.Transitions[i])
		}
	}
	return rows
}

// sameAnswer tells that two transitions answer the same, whatever states they are from.
func sameAnswer(a, b logic.Transition) bool {
	return a.On == b.On && a.To == b.To && a.Alarm == b.Alarm && slices.Equal(a.If, b.If) && slices.Equal(a.Do, b.Do)
}

// state brings one state into its form, with its answers sorted: two answers to one event
// exclude each other, and events have their precedence whatever their order here.
func (p *proof) state(z *simplified, s *logic.State, t *logic.Tuning) {
	var list []string
	for i := range z.rows {
		if text, given := p.answer(z, s.Name, &z.rows[i]); given {
			list = append(list, text)
		}
	}
	slices.Sort(list)
	z.form = append([]string{outputsInNumbers(s, t)}, list...)
}

func (z *simplified) note(state string, t *logic.Transition, why string) {
	z.notes = append(z.notes, rowText(state, t)+": "+why)
}

// answer in its least form, and whether it can ever be given.
func (p *proof) answer(z *simplified, state string, t *logic.Transition) (text string, given bool) {
	if p.neverComes(state, t.On) {
		z.note(state, t, "the event never comes in this state, by the way that it drives")
		return "", false
	}
	facts := p.factsOf(state, t)
	if contradicts(p.close(append(slices.Clone(facts), t.If...))) {
		z.note(state, t, "it can never be given: its event, its guards and the events before it exclude each other")
		return "", false
	}
	to := t.To
	if to == state && !p.timed(state) {
		z.note(state, t, "nothing there is timed, so that entering it again is staying")
		to = logic.Stay
	}
	if to == logic.Stay && t.Alarm == "" && len(t.Do) == 0 && p.lastWord(state, t) {
		z.note(state, t, "it does nothing, and keeps no later event from being answered")
		return "", false
	}
	guards := p.needed(facts, t.If)
	if len(guards) < len(t.If) {
		z.note(state, t, "of its guards ["+strings.Join(guards, ", ")+"] imply the others, with the events before it")
	}
	do := slices.Clone(t.Do)
	slices.Sort(do)
	return "  " + t.On + " [" + strings.Join(guards, ", ") + "] -> " + to + " / " + t.Alarm + " " + strings.Join(do, ","), true
}

func (p *proof) event(name string) int {
	return slices.IndexFunc(p.words.Events, func(w logic.Word) bool { return w.Name == name })
}

// neverComes tells that an event cannot come about in a state, by the way it drives.
func (p *proof) neverComes(state, event string) bool {
	ways, listed := raisedDriving[event]
	if p.lock || !listed {
		return false
	}
	drive := stateOf(p.m, state).Drive
	if drive == "" {
		drive = "off"
	}
	return !slices.Contains(ways, drive)
}

// factsOf an answer being looked at: what its event implies, and the silence of every
// earlier event that the state would have answered come what may.
func (p *proof) factsOf(state string, t *logic.Transition) []string {
	events, silent := doorEventFacts, doorSilent
	if p.lock {
		events, silent = lockEventFacts, lockSilent
	}
	facts := slices.Clone(events[t.On])
	for _, o := range p.rowsOf(state) {
		if p.event(o.On) < p.event(t.On) && len(o.If) == 0 {
			facts = append(facts, silent[o.On]...)
		}
	}
	return facts
}

// close adds all that follows from guards that hold.
func (p *proof) close(facts []string) []string {
	implied := doorGuardFacts
	if p.lock {
		implied = lockGuardFacts
	}
	all := slices.Clone(facts)
	for i := 0; i < len(all); i++ {
		for _, f := range implied[all[i]] {
			if !slices.Contains(all, f) {
				all = append(all, f)
			}
		}
		// A guard that would imply something false is false.
		for g, list := range implied {
			for _, f := range list {
				if negation(f) == all[i] && !slices.Contains(all, "not "+g) {
					all = append(all, "not "+g)
				}
			}
		}
	}
	return all
}

func negation(fact string) string {
	if word, not := strings.CutPrefix(fact, "not "); not {
		return word
	}
	return "not " + fact
}

func contradicts(facts []string) bool {
	return slices.ContainsFunc(facts, func(f string) bool { return slices.Contains(facts, negation(f)) })
}

// needed leaves out the guards that follow from what is given and the others.
func (p *proof) needed(given, guards []string) []string {
	left := slices.Clone(guards)
	slices.Sort(left)
	for i := 0; i < len(left); {
		rest := slices.Delete(slices.Clone(left), i, i+1)
		if slices.Contains(p.close(append(slices.Clone(given), rest...)), left[i]) {
			left = rest
		} else {
			i++
		}
	}
	return left
}

// timed tells that a state answers an event that looks at how long it has lasted.
func (p *proof) timed(state string) bool {
	return slices.ContainsFunc(p.m.Transitions, func(t logic.Transition) bool {
		return slices.Contains(t.From, state) && slices.Contains(timedEvents[p.lock], t.On) && !p.neverComes(state, t.On)
	})
}

// lastWord tells that no later event is answered in a state: an answer that does
// nothing then keeps nothing else from being answered.
func (p *proof) lastWord(state string, t *logic.Transition) bool {
	return !slices.ContainsFunc(p.m.Transitions, func(o logic.Transition) bool {
		return slices.Contains(o.From, state) && p.event(o.On) > p.event(t.On)
	})
}

package campaign

import (
	"slices"
	"strings"

	"slatbench/sim/logic"
)

// What is known of the words of a table, whatever the truck does. mutate_proof_test.go
// tries each against the detectors.

// raisedDriving says which way a door must be driven for an event to come about: up,
// down, or either; "off" is at rest. Events that are not listed can always come.
var raisedDriving = map[string][]string{
	"moved": {"off"}, "sill open": {"off"},
	"floor": {"down"}, "near floor": {"down"}, "overrun": {"down"}, "ran out": {"down"},
	"at top": {"up"}, "wound back": {"up"},
	"held up": {"up", "down"}, "stall": {"up", "down"}, "slowed": {"down"},
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
	"loaded":    {"not lifting", "not idling"},
	"lifting":   {"not loaded", "not idling"},
	"idling":    {"drawing", "not loaded", "not lifting"},
	"at stop":   {"loaded", "not lifting", "not idling", "not sill made"},
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
	"sill open":   {"not sill made"},
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

// comesWith says which earlier events come whenever an event does.
var comesWith = map[string][]string{
	"overrun": {"near floor"},
	"ran out": {"near floor"},
}

// lasting facts stay as they are until an action changes them, or a reset.
var lasting = map[string][]string{
	"doubt": {"not count known"},
	"zero":  {"count known"},
	"top":   {"count known"},
	"store": {"taught"}, // of a plausible travel
}

// remembered is what the record of a rest goes with, until somebody doubts the count.
var remembered = map[string][]string{
	"was down": {"count known", "taught"},
	"was open": {"count known", "taught"},
}

// timedEvents look at how long the machine has been in its state; "slowed" at what it
// has seen since it came into it.
var timedEvents = map[bool][]string{
	false: {"awake", "paused", "slowed"},
	true:  {"not left", "late", "arrived unlocked", "settled"},
}

// facts are guards that hold or do not, two bits each.
type facts uint64

const negatives facts = 0xaaaaaaaaaaaaaaaa

// contradict tells that a guard both holds and does not.
func (f facts) contradict() bool { return f&(f&negatives>>1) != 0 }

// language is what is known of one machine's words, in bits.
type language struct {
	words *logic.Vocabulary
	lock  bool
	event []facts // that hold while an event comes
	quiet []facts // that hold while it doesn't
	then  []facts // that follow from each fact, by its bit
}

var doorLanguage = newLanguage(&logic.DoorWords, false, doorGuardFacts, doorEventFacts, doorSilent)
var lockLanguage = newLanguage(&logic.LockWords, true, lockGuardFacts, lockEventFacts, lockSilent)

func newLanguage(words *logic.Vocabulary, lock bool, guards, events, silent impliedBy) *language {
	l := &language{words: words, lock: lock, then: make([]facts, 2*len(words.Guards))}
	for _, w := range words.Events {
		l.event = append(l.event, l.all(events[w.Name]))
		l.quiet = append(l.quiet, l.all(silent[w.Name]))
	}
	for g, list := range guards {
		for _, f := range list { // and the other way round: where f does not hold, g doesn't
			l.then[l.bit(g)] |= 1 << l.bit(f)
			l.then[l.bit(negation(f))] |= 1 << l.bit(negation(g))
		}
	}
	return l
}

// bit of a guard, with or without a not.
func (l *language) bit(guard string) int {
	word, not := strings.CutPrefix(guard, "not ")
	i := 2 * slices.IndexFunc(l.words.Guards, func(w logic.Word) bool { return w.Name == word })
	if not {
		i++
	}
	return i
}

func (l *language) all(guards []string) (f facts) {
	for _, g := range guards {
		f |= 1 << l.bit(g)
	}
	return f
}

// close adds all that follows.
func (l *language) close(f facts) facts {
	for {
		more := f
		for i, then := range l.then {
			if f>>i&1 == 1 {
				more |= then
			}
		}
		if more == f {
			return f
		}
		f = more
	}
}

// eventIndex is also an event's precedence.
func (l *language) eventIndex(name string) int {
	return slices.IndexFunc(l.words.Events, func(w logic.Word) bool { return w.Name == name })
}

// negation of a guard.
func negation(guard string) string {
	if word, not := strings.CutPrefix(guard, "not "); not {
		return word
	}
	return "not " + guard
}

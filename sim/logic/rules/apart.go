package rules

import (
	"slices"
	"strings"
)

// What must be asked before an answer is given: cases that look alike, and are not.

var doorApart = []Rule{
	{"door tell apart", "After a reset it asks for the record and the sill switch; pulses that stop on the way up, for the stop, and for a motor that drives nothing; away from an obstruction, or looking for the stop, for a motor that lifts; " +
		"where it looks for the stop or measures, for all that makes it one; winding back, for the stop and for pulses; teaching at the floor, for the old count and for a switch that works, and, without a pulse, for what the motor carries.",
		"An answer that suits one case and is given in both is wrong in the other.", (*view).doorApart},
	{"door stay", "An answer that leaves a state as it was says 'stay'.",
		"Entering it again begins its times anew.", (*view).again},
}

func (v *view) doorApart() {
	v.tellsApart(v.start, "awake", "was down", "was open", "sill made")
	v.each(v.up, func(s int) {
		switch {
		case v.winds(s):
			v.tellsApart(s, "wound back", "near top", "moving")
		case v.measures(s):
			v.tellsApart(s, "stall", "plausible", "at stop", "shorter", "sill wrong")
			v.tellsApart(s, "held up", "plausible", "at stop", "shorter", "sill wrong")
		case v.findsTop(s):
			v.tellsApart(s, "stall", "top confirmed", "loaded", "drawing", "at stop")
			v.tellsApart(s, "held up", "top confirmed", "at stop")
			v.tellsApart(s, "no motion", "at stop")
			v.mustAsk(s, "stall", "not lifting", "loaded", "not drawing", "at stop")
			v.mustAsk(s, "no motion", "not lifting", "at stop")
		default:
			v.tellsApart(s, "stall", "near top", "idling")
			v.tellsApart(s, "held up", "near top")
			if v.afterPause(s) { // a reel that sticks gives no pulses, and the motor shows that it lifts
				v.mustAsk(s, "stall", "near top", "not lifting")
				v.mustAsk(s, "no motion", "near top", "not lifting")
			}
		}
	})
	v.each(v.down, func(s int) {
		if v.taught[s] {
			v.tellsApart(s, "floor", "near zero", "past zero", "count known", "sill works")
			v.tellsApart(s, "no motion", "lifting", "loaded")
		}
	})
}

// afterPause tells of a run up that follows a run down by itself.
func (v *view) afterPause(s int) bool {
	for _, a := range v.into[s] {
		if v.pauses(a.from) {
			return true
		}
	}
	return false
}

// mustAsk wants every answer to an event to ask for one of some guards.
func (v *view) mustAsk(s int, event string, guards ...string) {
	for _, a := range v.on(s, event) {
		if !slices.ContainsFunc(guards, func(g string) bool { return a.asks(g) }) {
			v.answerAt(a, "asks for neither '%s'", strings.Join(guards, "' nor '"))
		}
	}
}

package rules

import (
	"slices"

	"slatbench/sim/logic"
)

// What a door does while it is driven, and between two runs.

var doorRun = []Rule{
	{"door stop", "Every state that drives, or pauses between two runs, answers a press and a lock that is no longer plainly unlocked: it goes to rest, where nothing is taken for known. Where it is the lock, the lamp flashes.",
		"A stop that asks nothing is the one that can be relied on; and whoever has just pressed is told that the lock refuses it.", (*view).doorStop},
	{"door limit", "Every state that drives answers 'time up', and has told that it is slow by then, unless it only winds back.",
		"A run must end though all else fails.", (*view).doorLimit},
	{"door meet", "Driven down it answers the edge, pulses that stop or do not come, and the motor held up, whatever the guards say; a fault of the edge where it began with a sound one; " +
		"that it slows down, and, by the count, that it goes past its floor, where these have a meaning; and nothing that has none.",
		"Each is the only one left under some fault.", (*view).doorMeet},
	{"door turn", "What ends a run down, other than the floor, a press or the lock, leads to a pause from which only a run up follows, to the stop. " +
		"Where no pulse came, what was paid out is wound back first; in a teaching only where the motor carries nothing.",
		"Stopping on something is not enough, and a count that may be wrong must not end the way back.", (*view).doorTurn},
	{"door pause", "A pause answers a press, the lock and 'paused', in every case, and then drives up: to measure where the count was set to zero; " +
		"to look for the stop where the count is not known, or says, but while teaching, that the door has turned below the floor; else to the stop.",
		"A state that is not left is a door that stays.", (*view).doorPause},
	{"door lift", "Driven up it answers the motor held up, pulses that stop and pulses that do not come, but where the motor shows that it lifts, and comes to rest. " +
		"One that only winds back ends by its time. Nothing else is answered on the way up.",
		"A motor that stands burns.", (*view).doorLift},
	{"door floor", "Driven down it answers the floor in every case: where the count confirms it, it is down; where not, it turns. Teaching sets the count to zero there, and measures.",
		"A floor too early is something that lies there.", (*view).doorFloor},
	{"door slow", "A fast run down slows near the floor into one that keeps every watch that still has a meaning, and only a fast one does.",
		"Slowing down is no reason to look away.", (*view).doorSlow},
}

func (v *view) doorStop() {
	v.each(v.moving, func(s int) {
		for _, event := range []string{"press", "barred"} {
			v.mustAnswer(s, event)
			for _, a := range v.on(s, event) {
				switch {
				case len(a.If) > 0:
					v.answerAt(a, "a stop asks nothing")
				case !v.idle(a.to):
					v.answerAt(a, "does not come to rest")
				case v.says(a.to) || v.open(a.to):
					v.answerAt(a, "stops on its way, and takes the door for open or down")
				case event == "barred" && !a.does("flash"):
					v.answerAt(a, "is stopped by the lock and the lamp does not flash")
				}
			}
		}
	})
}

func (v *view) doorLimit() {
	v.each(v.moving, func(s int) {
		if v.drives(s) == "" {
			return
		}
		v.mustAnswer(s, "time up")
		told := false
		for _, a := range v.on(s, "time up") {
			told = told || a.Alarm == "slow-travel"
			if a.stays() || v.drives(a.to) != "" {
				v.answerAt(a, "goes on driving")
			}
			if a.Alarm != "" && a.Alarm != "slow-travel" {
				v.answerAt(a, "is told by alarm %q, not slow-travel", a.Alarm)
			}
		}
		for _, a := range v.on(s, "slow") {
			if told {
				v.answerAt(a, "is told again when time is up")
			}
			told = true
			if a.To != logic.Stay || a.Alarm != "slow-travel" {
				v.answerAt(a, "a slow run goes on, and is told by slow-travel")
			}
		}
		if !told && !v.winds(s) {
			v.at(v.name(s), "a slow run is never told of")
		}
		if told && v.winds(s) {
			v.at(v.name(s), "only winds back, and has no time to be slow in")
		}
	})
}

func (v *view) doorMeet() {
	v.each(v.down, func(s int) {
		v.only(s, "press", "barred", "floor", "edge pressed", "edge faulty", "held up", "stall", "slowed", "no motion", "time up",
			"near floor", "overrun", "ran out", "slow", "paused")
		for _, event := range []string{"edge pressed", "stall", "held up", "no motion"} {
			v.mustAnswer(s, event)
		}
		v.meaning(s, "edge faulty", v.edged[s], "it did not begin with a sound edge")
		v.slowsDown(s)
		v.meaning(s, "overrun", !v.taught[s], "while teaching the count is that of before")
		if v.taught[s] {
			v.meaning(s, "ran out", false, "while teaching the count is that of before")
			return
		}
		v.mustAnswer(s, "ran out", "sill made")
		for _, a := range v.on(s, "ran out") {
			if !a.stays() || a.Alarm != "count-ran-out" || !a.asks("not sill made") {
				v.answerAt(a, "goes on looking for the floor, tells count-ran-out, and does so where the sill switch is not made")
			}
		}
		for _, a := range v.on(s, "overrun") {
			if a.asks("sill made") == (a.Alarm == "") || a.Alarm != "" && a.Alarm != "self-test" || !a.asks("sill made") && !a.asks("not sill made") {
				v.answerAt(a, "tells self-test where the sill switch is made, and nothing again where it is not")
			}
		}
	})
}

// slowsDown: a curtain that falls off from the speed it has had in a state is held up ('most speed'
// bounds what it brings along from a faster one). One that comes slowly is slowed down by the seal on the floor as well.
func (v *view) slowsDown(s int) {
	if v.fast(s) {
		v.mustAnswer(s, "slowed")
		return
	}
	v.mustAnswer(s, "slowed", "sill made")
	for _, a := range v.on(s, "slowed") {
		if !a.asks("not sill made") {
			v.answerAt(a, "the seal slows it down as well: it must ask that the sill switch is not made")
		}
	}
}

// meaning wants an event answered in every case where it has a meaning, and never where not.
func (v *view) meaning(s int, event string, has bool, why string) {
	if has {
		v.mustAnswer(s, event)
	} else if v.answers(s, event) {
		v.at(v.name(s)+" on "+event, "has no meaning there: %s", why)
	}
}

// ends are the events that end a run down short of the floor.
var ends = []string{"edge pressed", "edge faulty", "stall", "held up", "slowed", "no motion", "overrun", "time up"}

func (v *view) doorTurn() {
	v.each(v.down, func(s int) {
		for _, event := range ends {
			for _, a := range v.on(s, event) {
				switch {
				case !v.turns(a.to):
					v.answerAt(a, "does not lead to a pause that turns")
				case v.zeroed(a.to):
					v.answerAt(a, "leads to where the floor is taken for found")
				default:
					v.windsBack(a, event == "no motion" && (!v.taught[s] || a.asks("not lifting", "not loaded")))
				}
				if v.taught[s] && !v.taught[a.to] && event != "no motion" {
					v.answerAt(a, "a teaching that is given up goes on flashing")
				}
			}
		}
	})
}

// windsBack: a pause leads to a run that only winds back where it should, and else to one
// that opens.
func (v *view) windsBack(a *answer, should bool) {
	for _, p := range v.on(a.to, "paused") {
		switch winds := v.winds(p.to); {
		case winds && !should:
			v.answerAt(a, "is only wound back, and not opened")
		case should && !winds:
			v.answerAt(a, "what was paid out is not wound back first")
		}
	}
}

// turnsBelow tells of a run up that begins where the count says that the door is below the floor. Nothing
// lies there: the count is wrong.
func turnsBelow(a *answer) bool { return a.On != "floor" && a.asks("past zero") }

func (v *view) doorPause() {
	v.each(v.moving, func(s int) {
		v.meaning(s, "paused", v.drives(s) == "", "it is driven")
	})
	v.each(v.pauses, func(s int) {
		v.mustAnswer(s, "paused")
		zero := v.zeroed(s)
		for i := range v.gives[s] {
			a := &v.gives[s][i]
			switch {
			case a.On == "press" || a.On == "barred":
			case a.On != "paused":
				v.answerAt(a, "a pause answers a press, the lock and 'paused' alone")
			case !v.up(a.to):
				v.answerAt(a, "a pause leads up")
			case a.Alarm != "" || len(a.Do) > 0 && !(turnsBelow(a) && slices.Equal(a.Do, []string{"doubt"})):
				v.answerAt(a, "there is nothing to tell or do")
			case zero != v.measures(a.to):
				v.answerAt(a, "measures from a count set to zero, and from there alone")
			case v.answers(a.to, "at top"):
				v.answerAt(a, "the way back ends by a count that may be wrong")
			case !zero && v.taught[s] && !a.asks("count known") && !a.asks("not count known"):
				v.answerAt(a, "does not ask whether the count is known")
			case !zero && !v.taught[s] && !v.winds(a.to) && !a.asks("past zero") && !a.asks("not past zero"):
				v.answerAt(a, "does not ask whether the count is below the floor")
			case v.findsTop(a.to) != (a.asks("not count known") || turnsBelow(a)):
				v.answerAt(a, "looks for the stop where the count is not known, or cannot be, and there alone")
			}
		}
	})
}

func (v *view) doorLift() {
	v.each(v.up, func(s int) {
		v.only(s, "press", "barred", "held up", "stall", "no motion", "time up", "at top", "slow", "wound back", "paused")
		if !v.winds(s) { // that lasts no longer than the run down did
			v.mustAnswer(s, "held up")
			v.mustAnswer(s, "stall", "lifting")
			v.mustAnswer(s, "no motion", "lifting")
		} else {
			v.mustAnswer(s, "wound back")
		}
		for _, event := range []string{"held up", "stall", "no motion", "at top", "time up"} {
			for _, a := range v.on(s, event) {
				if !v.idle(a.to) {
					v.answerAt(a, "does not come to rest")
				}
				if event == "at top" && len(a.If) > 0 {
					v.answerAt(a, "the count is enough")
				}
			}
		}
		for _, a := range v.on(s, "wound back") {
			if !v.idle(a.to) && !(a.asks("moving") && v.up(a.to) && !v.findsTop(a.to) && !v.measures(a.to) && !v.answers(a.to, "at top") && !a.stays()) {
				v.answerAt(a, "comes to rest, or, where the curtain moves, goes on up to the stop")
			}
		}
		for i := range v.gives[s] {
			if a := &v.gives[s][i]; a.asks("near top") && !fallen(a) && !v.open(a.to) {
				v.answerAt(a, "ends at the stop, and is not taken for open")
			}
		}
	})
}

func (v *view) doorFloor() {
	v.each(v.down, func(s int) {
		v.mustAnswer(s, "floor")
		for _, a := range v.on(s, "floor") {
			confirmed := a.asks("near zero") || a.asks("past zero")
			switch {
			case v.taught[s]:
				if !v.turns(a.to) || !a.does("zero") {
					v.answerAt(a, "teaching sets the count to zero, and turns")
				}
			case confirmed && !v.says(a.to):
				v.answerAt(a, "the floor is found, and not said")
			case confirmed:
			case !v.turns(a.to) || !a.asks("not near zero", "not past zero"):
				v.answerAt(a, "a floor that the count does not confirm is none: it turns")
			default:
				v.windsBack(a, false)
			}
		}
	})
}

func (v *view) doorSlow() {
	v.each(v.down, func(s int) {
		v.meaning(s, "near floor", v.fast(s), "it is slow already")
		for _, a := range v.on(s, "near floor") {
			if !v.down(a.to) || v.fast(a.to) || v.taught[a.to] || len(a.If) > 0 {
				v.answerAt(a, "does not slow down")
				continue
			}
			for i := range v.gives[s] {
				e := v.gives[s][i].On
				if e != "near floor" && e != "slowed" && !v.answers(a.to, e) {
					v.answerAt(a, "'%s' is no longer answered", e)
				}
			}
		}
	})
}

package rules

import "slices"

// What a door tells, and what it keeps of its count.

var doorTell = []Rule{
	{"door alarm", "A run that ends where it should not is told of, by the alarm that belongs to what ended it; one that ends at the stop that a known count, or count and current together, confirm is not.",
		"People act on the number.", (*view).doorAlarm},
	{"door count", "The count becomes zero only at the floor of a teaching, at one that lies lower than the count says, or where edge and sill switch tell of the floor at rest; it becomes the travel only at the stop. A teaching that has set it to zero stores a travel, or leaves it in doubt, whatever ends it; nothing else but 'moved', pulses that stop as the motor drives nothing, a record that the switch contradicts, and a run up from below the floor, doubts it.",
		"Down is said by the count, and a run up ends by it.", (*view).doorCount},
	{"door cap", "A table that lowers a count above the travel ('cap') where a run up has met the stop does so in every answer that takes the stop for met: the motor held up, or pulses that stop, where a known count confirms it. One that does so nowhere is of another design, and is not asked.",
		"Where it is left out, a count that is too high stays so, and the door turns at every floor from then on.", (*view).doorCap},
	{"door lamp", "The lamp is out at rest and on while the door moves or is about to; in a state that only teaching leads to it flashes.",
		"It is all that people beside the door have.", (*view).doorLamp},
	{"door duty", "Up goes at full duty but while measuring; down at the closing duty where it slows near the floor, else slowly.",
		"A reversal lifts with all that there is; what looks for a floor comes slowly.", (*view).doorDuty},
}

// alarmOf is the alarm that belongs to an event, down and up.
var alarmOf = []struct {
	event string
	words [2]string
}{
	{"edge pressed", [2]string{"obstruction-closing", ""}},
	{"edge faulty", [2]string{"self-test", ""}},
	{"held up", [2]string{"obstruction-closing", "stalled-opening"}},
	{"stall", [2]string{"obstruction-closing", "stalled-opening"}},
	{"slowed", [2]string{"obstruction-closing", ""}},
	{"no motion", [2]string{"no-motion", "no-motion"}},
}

// untold are events that are no news: none of their answers sounds an alarm.
var untold = []string{"awake", "barred", "at top", "near floor", "paused", "wound back", "moved", "sill open"}

func (v *view) doorAlarm() {
	for s := range v.gives {
		for i := range v.gives[s] {
			a := &v.gives[s][i]
			quiet := slices.Contains(untold, a.On) || v.idle(s) && a.On != "press" || a.On == "press" && (v.moving(s) || v.up(a.to))
			if quiet && a.Alarm != "" {
				v.answerAt(a, "tells %q, and there is nothing to tell", a.Alarm)
			}
		}
	}
	v.each(func(s int) bool { return v.drives(s) != "" }, func(s int) {
		way := 0
		if v.up(s) {
			way = 1
		}
		for _, e := range alarmOf {
			event := e.event
			for _, a := range v.on(s, event) {
				want := e.words[way]
				switch {
				case v.up(s) && v.winds(s) && a.Alarm == "":
					continue // told before it was wound back
				case v.up(s) && v.confirmed(a):
					want = ""
				case v.findsTop(s) && event == "stall" && a.asks("top confirmed", "not loaded", "not drawing"):
					want = "self-test" // a motor that turns and takes nothing: its sensor has failed
				case v.measures(s) && event != "no motion" && (a.asks("plausible", "not at stop") || a.asks("sill wrong")):
					want = "self-test"
				}
				if a.Alarm != want {
					v.answerAt(a, "tells %q, not %q", a.Alarm, want)
				}
			}
		}
		for _, a := range v.on(s, "floor") {
			if want := v.floorAlarm(s, a); a.Alarm != want {
				v.answerAt(a, "tells %q, not %q", a.Alarm, want)
			}
		}
	})
}

// confirmed tells that a run up ends where the count, or what the motor takes, says that it
// should. Held up is the motor's current by itself; pulses that stop are not.
func (v *view) confirmed(a *answer) bool {
	switch {
	case a.On == "no motion", fallen(a):
		return false
	case a.asks("near top"), a.asks("plausible", "at stop", "not shorter"):
		return true
	}
	return a.asks("top confirmed") && (a.On == "held up" || a.asks("loaded"))
}

// fallen tells of pulses that stop where the motor drives nothing: the curtain may have come down,
// and been counted up.
func fallen(a *answer) bool { return a.On == "stall" && a.asks("idling") }

// floorAlarm is what is to be told of a floor: that it is early, or, where nothing is
// known of the count and teaching finds it, that the switch was never seen to work.
func (v *view) floorAlarm(s int, a *answer) string {
	switch {
	case a.asks("near zero"), a.asks("past zero"):
		return ""
	case !v.taught[s], a.asks("count known"):
		return "early-floor"
	case a.asks("not sill works"):
		return "self-test"
	}
	return ""
}

func (v *view) doorCount() {
	for s := range v.gives {
		for i := range v.gives[s] {
			a := &v.gives[s][i]
			switch {
			case a.does("zero") && !v.liesOnFloor(a) && !(v.down(s) && a.On == "floor" && (v.taught[s] || a.asks("past zero") && v.says(a.to))):
				v.answerAt(a, "the count becomes zero at the floor of a teaching, at one that lies lower, or where edge and sill switch tell of it at rest, alone")
			case a.does("store") && !(a.asks("plausible", "at stop") && v.open(a.to)):
				v.answerAt(a, "a travel is stored at the stop, where it is plausible, and leads to open")
			case a.does("top") && !((a.asks("top confirmed") || a.asks("at stop")) && v.open(a.to)):
				v.answerAt(a, "the count becomes the travel at the stop alone")
			case v.findsTop(s) && v.open(a.to) && !a.does("top"):
				v.answerAt(a, "has found the stop, and does not set the count")
			case v.findsTop(s) && !a.does("top") && (a.asks("top confirmed") || a.asks("at stop")):
				v.answerAt(a, "has found the stop, and goes elsewhere")
			}
		}
	}
	v.measuring()
}

// measuring follows a teaching from where it sets the count to zero.
func (v *view) measuring() {
	in := make(set, len(v.gives))
	v.each(v.zeroed, func(s int) { in[s] = true })
	in = v.grow(in, func(a *answer) bool { return !v.idle(a.to) })
	for s := range in {
		for i := range v.gives[s] {
			a := &v.gives[s][i]
			contradicted := s == v.start && a.asks("was down", "not sill made")
			switch {
			case a.does("doubt") && (a.does("store") || a.On != "moved" && !fallen(a) && !contradicted && !turnsBelow(a) && !(in[s] && v.idle(a.to))):
				v.answerAt(a, "there is no reason to doubt the count")
			case fallen(a) && !a.does("doubt"):
				v.answerAt(a, "the curtain may have fallen, and the count is not doubted")
			case turnsBelow(a) && v.up(a.to) && !a.does("doubt"):
				v.answerAt(a, "nothing lies below the floor, and the count is not doubted")
			case a.does("trim") && !(a.On == "floor" && v.says(a.to)):
				v.answerAt(a, "corrects the count, and has found no floor")
			case !in[s]:
			case v.idle(a.to) && !a.does("store") && !a.does("doubt"):
				v.answerAt(a, "ends a teaching with neither a travel stored nor the count in doubt")
			case v.measures(s) && a.asks("plausible", "at stop") && !a.does("store"):
				v.answerAt(a, "has the travel, and does not store it")
			}
		}
	}
}

// doorCap: the ways to meet the stop are seldom met alike (another current, a press in between), but
// the count that is too high is the same in all of them.
func (v *view) doorCap() {
	var leaves []*answer
	caps := false
	v.each(v.up, func(s int) {
		for i := range v.gives[s] {
			switch a := &v.gives[s][i]; {
			case !v.meetsStop(a):
			case a.does("cap"):
				caps = true
			default:
				leaves = append(leaves, a)
			}
		}
	})
	if !caps {
		return
	}
	for _, a := range leaves {
		v.answerAt(a, "has met the stop, and leaves a count above the travel as it is, which others lower there")
	}
}

// meetsStop tells that a run up has come to the stop, by a count that is known. One that ends
// before the stop, or after a time, has met nothing.
func (v *view) meetsStop(a *answer) bool {
	return (a.On == "stall" || a.On == "held up") && a.asks("near top") && !fallen(a) && v.open(a.to)
}

func (v *view) doorLamp() {
	for s := range v.gives {
		want := "off"
		switch {
		case v.moving(s) && v.taught[s]:
			want = "flash"
		case v.moving(s):
			want = "on"
		}
		if got := v.lamp(s); got != want {
			v.at(v.name(s), "its lamp is %s, not %s", got, want)
		}
	}
}

func (v *view) doorDuty() {
	for s := range v.gives {
		got, want := v.state(s).Duty, ""
		switch {
		case v.up(s) && v.measures(s):
			want = "teaching"
		case v.down(s) && v.answers(s, "near floor"):
			want = "closing"
		case v.down(s):
			want = "slow"
		}
		if v.drives(s) != "" && got != want && !(got == "full" && want == "") {
			v.at(v.name(s), "drives at duty %q, not %q", got, want)
		}
	}
}

package rules

import "slices"

// What a door does at rest, and how a run begins.

var doorRest = []Rule{
	{"door start", "The start answers 'awake' alone, whatever the guards say, and leads to rest; nothing leads back to it.",
		"What it answers by is the record of the last rest, which is true after a reset and at no other time.", (*view).doorStart},
	{"door down", "Down is said at rest only, in a state that is come to by a floor that the count confirms, or by a record that the sill switch confirms; " +
		"it is left on 'moved' and on 'sill open'.",
		"A lock may be driven for as long as it is said, and a wrong word for one tick can be the one that it is driven by.", (*view).doorDown},
	{"door rest", "At rest a press starts a run, 'moved' doubts the count, 'sill open' ends the word that it is down, the edge pressed with the sill switch made that it is open, and nothing else is answered; " +
		"a state that says where the door is, or lets it close, is left by 'moved'.",
		"Nobody expects a door at rest to do anything by itself.", (*view).doorRest},
	{"door begin", "A run begins from rest at a press only, and asks first: permitted, supply not low, rested; then taught, or, for teaching, that the edge is sound.",
		"Each is refused by its own guard, so that none hangs on what another happens to cover.", (*view).doorBegin},
	{"door way", "A press sends a door down, but to teach, only from a state that every way into it shows to be open, and up from every other.",
		"Up is the way in which nothing can be caught under it.", (*view).doorWay},
	{"door care", "Closing at its full duty asks for a sound edge and a sill switch that is not made up there; without them the way down is slow, and told of. " +
		"Teaching from open asks for the switch as well.",
		"What cannot notice a hand must not be fast.", (*view).doorCare},
	{"door count known", "A run up by a press asks whether the count is known and, but where the door is down, whether it says below the floor, where nothing lies. If it is known, and may be right, it ends the run before the stop; else the run looks for the stop and sets the count there.",
		"A count that is not believed, or cannot be right, must not end a run, and one that is spares the stop.", (*view).doorByCount},
	{"door refuse", "At rest every press is answered. One that starts nothing leaves the state as it was, and tells by its alarm, or where the lock or the pause stands against it by its lamp.",
		"Who presses and sees nothing presses again.", (*view).doorRefuse},
}

func (v *view) doorStart() { v.startAlone() }

// startAlone is the same for both machines.
func (v *view) startAlone() {
	v.mustAnswer(v.start, "awake")
	for _, a := range v.into[v.start] {
		v.answerAt(a, "leads back to the start")
	}
	for s := range v.gives {
		for i := range v.gives[s] {
			a := &v.gives[s][i]
			switch {
			case (s == v.start) != (a.On == "awake"):
				v.answerAt(a, "the start answers 'awake' alone, and nothing else does")
			case s == v.start && a.to == v.start:
				v.answerAt(a, "does not lead out of the start")
			case s == v.start && v.drives(a.to) != "":
				v.answerAt(a, "drives after a reset")
			case s == v.start && a.asks("was down", "not sill made") && !a.does("doubt"):
				v.answerAt(a, "record and sill switch contradict each other, and the count is still believed")
			}
		}
	}
}

func (v *view) doorDown() {
	v.each(v.says, func(s int) {
		if v.moving(s) {
			v.at(v.name(s), "says down while it moves, or is about to")
		}
		for _, a := range v.into[s] {
			byFloor := v.down(a.from) && a.On == "floor" && (a.asks("near zero") || a.asks("past zero"))
			byRecord := a.from == v.start && a.asks("was down", "sill made")
			if !byFloor && !byRecord {
				v.answerAt(a, "leads to a state that says down, and no floor is shown")
			}
			switch {
			case !byFloor:
			case a.asks("near zero") && !a.does("trim"):
				v.answerAt(a, "a floor that is found corrects the count by a pulse")
			case a.asks("past zero") && !a.does("zero"):
				v.answerAt(a, "nothing lies lower than the floor, and the count is not set right")
			}
		}
		for _, event := range []string{"moved", "sill open"} {
			v.mustAnswer(s, event)
			for _, a := range v.on(s, event) {
				if v.says(a.to) {
					v.answerAt(a, "goes on saying down")
				}
			}
		}
	})
}

func (v *view) doorRest() {
	v.each(v.idle, func(s int) {
		for i := range v.gives[s] {
			a := &v.gives[s][i]
			switch a.On {
			case "press":
			case "moved":
				if !a.does("doubt") {
					v.answerAt(a, "a curtain that moves at rest leaves the count in doubt")
				}
			case "sill open":
				if !v.says(s) {
					v.answerAt(a, "is of no concern to a state that does not say down")
				}
			case "edge pressed":
				if !v.liesOnFloor(a) {
					v.answerAt(a, "where the sill switch is made as well, a door that is taken for open lies on the floor; else it means nothing at rest")
				}
			default:
				v.answerAt(a, "nothing but a press, 'moved', 'sill open' and the edge is answered at rest")
			}
			if a.On != "press" && v.moving(a.to) {
				v.answerAt(a, "starts by itself")
			}
		}
		switch certain := v.says(s) || v.open(s); {
		case certain:
			v.mustAnswer(s, "moved")
			for _, a := range v.on(s, "moved") {
				if a.stays() {
					v.answerAt(a, "it is no longer known to be there")
				}
			}
		default:
			v.mustAnswer(s, "moved", "not count known")
		}
		if v.open(s) {
			v.mustAnswer(s, "edge pressed", "not sill made")
		}
	})
}

// liesOnFloor tells of an answer at rest to a door that is taken for open, and lies on the floor by its
// edge and by its sill switch: there the count is zero.
func (v *view) liesOnFloor(a *answer) bool {
	return a.On == "edge pressed" && a.asks("sill made") && a.does("zero") && v.open(a.from) && v.idle(a.to) && !v.open(a.to) && !v.says(a.to)
}

// starts calls f for every answer to a press that starts a run from rest.
func (v *view) starts(f func(a *answer)) {
	v.each(v.idle, func(s int) {
		for _, a := range v.on(s, "press") {
			if v.moving(a.to) {
				f(a)
			}
		}
	})
}

func (v *view) doorBegin() {
	v.starts(func(a *answer) {
		for _, g := range []string{"permitted", "not supply low", "rested"} {
			if !a.asks(g) {
				v.answerAt(a, "starts without asking for '%s'", g)
			}
		}
		switch {
		case v.pauses(a.to):
			v.answerAt(a, "a press starts a run, not a pause")
		case a.asks("teach asked"):
			if !a.asks("edge sound") {
				v.answerAt(a, "teaches without asking for 'edge sound'")
			}
			if !v.taught[a.to] || !v.down(a.to) {
				v.answerAt(a, "teaching begins on its way down, in a state of its own")
			}
		case !a.asks("not teach asked", "taught"):
			v.answerAt(a, "starts without asking for 'not teach asked' and 'taught'")
		case v.winds(a.to):
			v.answerAt(a, "there is nothing to wind back")
		}
	})
}

func (v *view) doorWay() {
	v.starts(func(a *answer) {
		switch {
		case a.asks("teach asked"):
		case v.down(a.to) && !v.open(a.from):
			v.answerAt(a, "goes down from a state that is not shown to be open")
		case v.up(a.to) && v.open(a.from):
			v.answerAt(a, "goes up from a state that is open")
		}
	})
	v.each(v.idle, func(s int) { // what shows that it is open leads to where it may close
		for _, a := range v.into[s] {
			if shownOpen(a) && !v.open(s) {
				v.answerAt(a, "it is open, and goes where it is not taken for open")
			}
		}
	})
}

func (v *view) doorCare() {
	v.starts(func(a *answer) {
		sure := a.asks("edge sound", "not sill made")
		switch {
		case v.fast(a.to) && !sure:
			v.answerAt(a, "closes fast without asking for 'edge sound' and 'not sill made'")
		case v.down(a.to) && !a.asks("teach asked") && sure && !v.fast(a.to):
			v.answerAt(a, "closes slowly with nothing against it")
		case v.down(a.to) && !a.asks("teach asked") && !sure && a.Alarm != "self-test":
			v.answerAt(a, "closes slowly and does not say why")
		case a.asks("teach asked") && v.open(a.from) && !a.asks("not sill made"):
			v.answerAt(a, "teaches from open without asking for 'not sill made'")
		case !v.fast(a.to) && v.down(a.to) && !a.asks("teach asked") && v.edged[a.to]:
			v.answerAt(a, "without its edge it goes where the edge is relied on")
		}
	})
}

func (v *view) doorByCount() {
	v.starts(func(a *answer) {
		if !v.up(a.to) {
			return
		}
		switch {
		case a.asks("not count known"), turnsBelow(a):
			if v.answers(a.to, "at top") || !v.findsTop(a.to) {
				v.answerAt(a, "the count is not known, or cannot be, and the run does not look for the stop")
			}
		case a.asks("count known"):
			if !v.answers(a.to, "at top") {
				v.answerAt(a, "the count is known, and does not end the run")
			}
			if !v.says(a.from) && !a.asks("not past zero") {
				v.answerAt(a, "does not ask whether the count is below the floor")
			}
		default:
			v.answerAt(a, "does not ask whether the count is known")
		}
	})
}

// refusals are what a press may be refused for. An edge or a sill switch at fault keeps a
// door from teaching, and from closing fast, but not from closing.
var refusals = [][]string{{"not permitted"}, {"supply low"}, {"not rested"}, {"not taught"}, {"teach asked", "not edge sound"}, {"teach asked", "sill made"}}

func (v *view) doorRefuse() {
	v.each(v.idle, func(s int) {
		v.mustAnswer(s, "press")
		for _, a := range v.on(s, "press") {
			if v.moving(a.to) {
				continue
			}
			lamp := a.asks("not permitted") || a.asks("not rested")
			want := "self-test"
			switch {
			case lamp:
				want = ""
			case a.asks("supply low"):
				want = "low-supply"
			}
			switch {
			case !a.stays():
				v.answerAt(a, "a press that starts nothing leads elsewhere")
			case lamp && !a.does("flash"):
				v.answerAt(a, "is refused and the lamp does not flash")
			case a.Alarm != want:
				v.answerAt(a, "is refused with alarm %q, not %q", a.Alarm, want)
			}
			if !slices.ContainsFunc(refusals, a.asksAll) {
				v.answerAt(a, "is refused for no reason")
			}
		}
	})
}

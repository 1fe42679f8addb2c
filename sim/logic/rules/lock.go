package rules

import "slices"

// What the lock of a side does.

var lockRules = []Rule{
	{"lock start", "The start answers 'awake' alone, whatever the guards say, and drives nothing; nothing leads back to it.",
		"What it answers by is the record of a stroke, or of a failure.", func(v *view) { v.startAlone() }},
	{"lock drive", "A bar is driven out only from a state in which the doors are held, that is come to by a request with every door down, and after it has settled, with every door still down. " +
		"It is driven back only by a request, or by the end of a stroke out.",
		"A bar that comes out beside a running door is the worst that a lock can do.", (*view).lockDrive},
	{"lock permit", "Doors are permitted at rest, where, and only where, the bar was plainly at its unlocked end, was never moved from it, or has come back to it in a stroke whose switch is believed; " +
		"and no longer once that end is lost.",
		"A permit lets a door run past the bar.", (*view).lockPermit},
	{"lock locked", "The lamp is steadily on where, and only where, the bar was plainly at its locked end, with no stroke interrupted and no failure on record, and no longer once that end is lost.",
		"It is the driver's only word that the load is locked in.", (*view).lockLocked},
	{"lock stroke", "A stroke out ends at its end, at its limit, at a request to unlock, where a door is no longer down, where an end switch contradicts itself and where the bar was not seen to leave: " +
		"but for the first, the bar is brought back. A stroke back ends at its limit, and at its end where its switch is believed.",
		"A bar must not be left half way.", (*view).lockStroke},
	{"lock request", "At rest a request to lock is answered in every case, unless the bar is locked or about to be driven, and shown by the lamp where it is refused; one to unlock frees a bar that is not home.",
		"Who asks and sees nothing asks again.", (*view).lockRequest},
	{"lock tell", "What goes wrong in a stroke is told once, by lock-blocked and both lamps.",
		"A driver who walks away must see it from either side.", (*view).lockTell},
	{"lock lamp", "The lamp flashes where the bar is at fault or what came before was told of, until it is driven at a request; else it is out, but where it is locked.",
		"A lamp that is out says that nothing is wrong.", (*view).lockLamp},
	{"lock tell apart", "After a reset it asks for both ends and for the record of a stroke or failure; where a request is taken back or refused, for the unlocked end, or, after a failure, for nothing that its switches say.",
		"An answer that suits one case and is given in both is wrong in the other.", (*view).lockApart},
	{"lock stay", "An answer that leaves a state as it was says 'stay'.",
		"Entering it again begins its times anew.", (*view).again},
}

// settles tells of a state at rest from which a bar is driven out.
func (v *view) settles(s int) bool {
	return v.drives(s) == "" && slices.ContainsFunc(v.gives[s], func(a answer) bool { return v.drives(a.to) == "lock" && a.On == "settled" })
}

// retries tells of such a state that a failure leads to: nothing is known of the bar.
func (v *view) retries(s int) bool {
	return v.settles(s) && slices.ContainsFunc(v.into[s], func(a *answer) bool { return v.fault(a.from) })
}

func (v *view) lit(s int) bool { return v.lamp(s) == "on" }

// fault tells of a state at rest that knows nothing of the bar.
func (v *view) fault(s int) bool {
	return s != v.start && v.drives(s) == "" && !v.permits(s) && !v.lit(s) && !v.settles(s)
}

func (v *view) lockDrive() {
	for s := range v.gives {
		for _, a := range v.into[s] {
			switch v.drives(s) {
			case "lock":
				if !v.settles(a.from) || a.On != "settled" || !a.asks("doors down") {
					v.answerAt(a, "drives the bar out without having settled, or without asking for 'doors down'")
				}
			case "unlock":
				if a.On != "unlock asked" && v.drives(a.from) == "" {
					v.answerAt(a, "drives the bar back, and nobody has asked for it")
				}
			}
		}
		if !v.settles(s) {
			continue
		}
		if v.permits(s) {
			v.at(v.name(s), "permits the doors while the bar is about to be driven")
		}
		for _, a := range v.into[s] {
			if a.On != "lock asked" || !a.asks("doors down") {
				v.answerAt(a, "a bar is about to be driven, and nobody has asked for it with 'doors down'")
			}
			if !v.permits(a.from) && !a.asks("not at locked") {
				v.answerAt(a, "a switch that says locked beforehand cannot tell when the stroke is over")
			}
		}
	}
}

// home tells that an answer leads to where the bar is known to be at its unlocked end.
func (v *view) home(a *answer) bool {
	switch {
	case v.drives(a.from) == "unlock":
		return a.On == "arrived unlocked"
	case v.drives(a.from) != "":
		return false
	case a.from == v.start:
		return a.asks("at unlocked", "not interrupted")
	case v.permits(a.from):
		return a.On != "unlocked lost"
	case v.settles(a.from):
		return !v.retries(a.from) && a.asks("at unlocked") && (a.On == "unlock asked" || a.On == "doors lost")
	}
	return false
}

func (v *view) lockPermit() {
	for s := range v.gives {
		if !v.permits(s) {
			for _, a := range v.into[s] {
				if v.home(a) && v.drives(s) == "" && !v.settles(s) {
					v.answerAt(a, "the bar is home, and the doors are not permitted")
				}
			}
			continue
		}
		if v.drives(s) != "" || s == v.start {
			v.at(v.name(s), "permits the doors while the bar is driven, or nothing is known of it")
		}
		for _, a := range v.into[s] {
			if !v.home(a) {
				v.answerAt(a, "permits the doors, and nothing shows that the bar is home")
			}
		}
		v.mustAnswer(s, "unlocked lost")
		for _, a := range v.on(s, "unlocked lost") {
			if v.permits(a.to) {
				v.answerAt(a, "goes on permitting the doors")
			}
		}
	}
}

// shut tells that an answer leads to where the bar is known to be at its locked end.
func (v *view) shut(a *answer) bool {
	switch {
	case v.drives(a.from) == "lock":
		return a.On == "arrived locked"
	case a.from == v.start:
		return a.asks("at locked", "not interrupted")
	}
	return false
}

func (v *view) lockLocked() {
	for s := range v.gives {
		for _, a := range v.into[s] {
			if v.lit(s) != v.shut(a) {
				v.answerAt(a, "the bar is shown as locked where it is known to be, and there alone")
			}
		}
		if !v.lit(s) {
			continue
		}
		if v.drives(s) != "" || v.permits(s) || s == v.start {
			v.at(v.name(s), "shows locked while the bar is driven, the doors are permitted or nothing is known")
		}
		v.mustAnswer(s, "locked lost")
		for _, a := range v.on(s, "locked lost") {
			if v.lit(a.to) {
				v.answerAt(a, "goes on showing locked")
			}
		}
	}
}

// strokeEnds are the events that end a stroke out before its time.
var strokeEnds = []string{"late", "doors lost", "switches wrong", "not left"}

// doubted tells of a stroke back after which nothing is freed by itself: a switch was seen
// not to let go, or to contradict itself, or a door stood in the way of the bar.
func (v *view) doubted(s int) bool {
	return slices.ContainsFunc(v.into[s], func(a *answer) bool {
		return a.On == "not left" || a.On == "switches wrong" || a.On == "doors lost" && v.drives(s) == "unlock"
	})
}

func (v *view) lockStroke() {
	for s := range v.gives {
		switch v.drives(s) {
		case "lock":
			v.strokeOut(s)
		case "unlock":
			v.strokeBack(s)
		default:
			for _, event := range []string{"late", "not left", "switches wrong", "arrived locked", "arrived unlocked"} {
				v.meaning(s, event, false, "nothing is driven")
			}
			if v.settles(s) {
				v.mustAnswer(s, "settled", "not doors down") // then it is 'doors lost'
			} else {
				v.meaning(s, "settled", false, "nothing is about to be driven")
			}
			v.meaning(s, "doors lost", v.settles(s), "nothing is about to be driven")
		}
	}
}

// strokeOut: what ends it, and where that leads.
func (v *view) strokeOut(s int) {
	for _, event := range append([]string{"arrived locked", "unlock asked"}, strokeEnds...) {
		v.mustAnswer(s, event)
		for _, a := range v.on(s, event) {
			switch {
			case event == "arrived locked":
				if !v.lit(a.to) {
					v.answerAt(a, "is locked, and goes where that is not shown")
				}
			case v.drives(a.to) != "unlock":
				v.answerAt(a, "does not bring the bar back")
			case (event == "late" || event == "unlock asked") && !v.answers(a.to, "arrived unlocked"):
				v.answerAt(a, "the bar was seen to leave, and is not believed to be back")
			}
		}
	}
	v.only(s, append([]string{"arrived locked", "unlock asked"}, strokeEnds...)...)
}

// strokeBack: the same.
func (v *view) strokeBack(s int) {
	v.mustAnswer(s, "late")
	for _, a := range v.on(s, "late") {
		if !v.fault(a.to) {
			v.answerAt(a, "has not arrived, and comes to rest as if it had")
		}
	}
	v.meaning(s, "arrived unlocked", !v.doubted(s), "a switch was seen to lie, or a door was not down")
	for _, a := range v.on(s, "arrived unlocked") {
		if !v.permits(a.to) {
			v.answerAt(a, "the bar is home, and the doors are not permitted")
		}
	}
	v.only(s, "late", "arrived unlocked")
}

// only reports other events that a state answers.
func (v *view) only(s int, events ...string) {
	for i := range v.gives[s] {
		if a := &v.gives[s][i]; !slices.Contains(events, a.On) {
			v.answerAt(a, "has no meaning there")
		}
	}
}

func (v *view) lockRequest() {
	for s := range v.gives {
		if s == v.start || v.drives(s) != "" {
			continue
		}
		switch {
		case v.settles(s):
			v.mustAnswer(s, "unlock asked")
			v.mustAnswer(s, "doors lost")
			for _, a := range slices.Concat(v.on(s, "unlock asked"), v.on(s, "doors lost")) {
				switch home := a.asks("at unlocked") && !v.retries(s); {
				case home && !v.permits(a.to):
					v.answerAt(a, "the bar is home, and the doors are not permitted")
				case !home && a.On == "unlock asked" && v.drives(a.to) != "unlock":
					v.answerAt(a, "does not drive the bar back")
				case !home && a.On == "doors lost" && !v.fault(a.to):
					v.answerAt(a, "nobody knows where the bar is, and it is taken for known")
				case a.On == "doors lost" && !a.does("flash"):
					v.answerAt(a, "is refused and the lamp does not flash")
				}
			}
			v.only(s, "unlock asked", "doors lost", "settled")
		case v.lit(s):
			v.unlocks(s)
			v.only(s, "unlock asked", "locked lost")
		case v.permits(s):
			v.locks(s)
			v.only(s, "lock asked", "unlock asked", "unlocked lost")
			for _, a := range v.on(s, "unlock asked") {
				if !v.permits(a.to) || v.lamp(a.to) != "off" {
					v.answerAt(a, "is free already, and is asked to be")
				}
			}
		default:
			v.locks(s)
			v.unlocks(s)
			v.only(s, "lock asked", "unlock asked")
		}
		if v.permits(s) && v.lamp(s) == "flash" {
			v.mustAnswer(s, "unlock asked")
		}
	}
}

// locks: every request to lock is taken up, or refused by the lamp.
func (v *view) locks(s int) {
	v.mustAnswer(s, "lock asked")
	for _, a := range v.on(s, "lock asked") {
		switch refused := a.asks("not doors down") || a.asks("at locked"); {
		case refused && (!a.stays() || !a.does("flash")):
			v.answerAt(a, "is refused, and stays and flashes")
		case !refused && !v.settles(a.to):
			v.answerAt(a, "every door is down, and nothing follows")
		}
	}
}

// unlocks: a request to unlock drives the bar back.
func (v *view) unlocks(s int) {
	v.mustAnswer(s, "unlock asked")
	for _, a := range v.on(s, "unlock asked") {
		if v.drives(a.to) != "unlock" || len(a.If) > 0 {
			v.answerAt(a, "does not drive the bar back")
		}
	}
}

// told tells that every way into a state has told of something.
func (v *view) told(s int) bool {
	return len(v.into[s]) > 0 && !slices.ContainsFunc(v.into[s], func(a *answer) bool { return a.Alarm == "" })
}

func (v *view) lockTell() {
	for s := range v.gives {
		for i := range v.gives[s] {
			a := &v.gives[s][i]
			wrong := slices.Contains(strokeEnds, a.On) && v.drives(s) != "" && !v.told(s)
			if wrong != (a.Alarm == "lock-blocked") || !wrong && a.Alarm != "" || wrong != a.does("flash both") {
				v.answerAt(a, "lock-blocked and both lamps tell what goes wrong in a stroke, once, and nothing else")
			}
		}
	}
}

func (v *view) lockLamp() {
	for s := range v.gives {
		lamp := v.lamp(s)
		switch {
		case v.lit(s): // lock locked
		case v.fault(s) || v.retries(s) || v.drives(s) == "unlock" && v.told(s):
			if lamp != "flash" {
				v.at(v.name(s), "its lamp is %s, and the bar is at fault", lamp)
			}
		case lamp != "off" && !(v.permits(s) && v.afterFlash(s)):
			v.at(v.name(s), "its lamp is %s, and nothing is wrong", lamp)
		}
		for _, a := range v.into[s] {
			if (a.Alarm != "" || v.drives(a.from) == "unlock" && v.lamp(a.from) == "flash") && lamp != "flash" {
				v.answerAt(a, "what was told of no longer flashes, and nobody has asked anything of it")
			}
		}
	}
}

// afterFlash tells that every way into a state comes from one that flashes.
func (v *view) afterFlash(s int) bool {
	return len(v.into[s]) > 0 && !slices.ContainsFunc(v.into[s], func(a *answer) bool { return v.lamp(a.from) != "flash" })
}

func (v *view) lockApart() {
	v.tellsApart(v.start, "awake", "at unlocked", "at locked")
	v.each(func(s int) bool { return v.settles(s) && !v.retries(s) }, func(s int) {
		v.tellsApart(s, "unlock asked", "at unlocked")
		v.tellsApart(s, "doors lost", "at unlocked")
	})
	for _, a := range v.on(v.start, "awake") {
		if (a.asks("at unlocked") || a.asks("at locked")) && !a.asks("interrupted") && !a.asks("not interrupted") {
			v.answerAt(a, "does not ask for 'interrupted'")
		}
	}
}

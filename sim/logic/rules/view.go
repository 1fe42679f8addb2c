package rules

import (
	"slices"
	"strings"

	"slatbench/sim/logic"
)

// answer is a transition as one state gives it.
type answer struct {
	*logic.Transition
	from, to int // states; the same where it stays
}

// asks tells that all of these guards must hold for the answer to be given.
func (a *answer) asks(guards ...string) bool {
	return !slices.ContainsFunc(guards, func(g string) bool { return !slices.Contains(a.If, g) })
}

func (a *answer) asksAll(guards []string) bool { return a.asks(guards...) }

func (a *answer) does(action string) bool { return slices.Contains(a.Do, action) }

func (a *answer) stays() bool { return a.to == a.from }

// view is one machine by states, with what its states are by their conduct.
type view struct {
	lock   bool
	m      *logic.Machine
	tuning *logic.Tuning
	start  int
	gives  [][]answer  // answers of each state
	into   [][]*answer // answers of other states that lead to each
	taught set         // door: states that only teaching leads to
	edged  set         // door: states driving down that began with a sound edge

	rule  string
	found []Finding
}

// set of states.
type set []bool

func newView(t *logic.Table, lock bool) *view {
	v := &view{lock: lock, m: &t.Door, tuning: &t.Tuning}
	if lock {
		v.m = &t.Lock
	}
	n := len(v.m.States)
	v.start, v.gives, v.into = v.index(v.m.Start), make([][]answer, n), make([][]*answer, n)
	for i := range v.m.Transitions {
		t := &v.m.Transitions[i]
		for _, from := range t.From {
			s := v.index(from)
			to := s
			if t.To != logic.Stay {
				to = v.index(t.To)
			}
			v.gives[s] = append(v.gives[s], answer{t, s, to})
		}
	}
	for s := range v.gives {
		for i := range v.gives[s] {
			if a := &v.gives[s][i]; !a.stays() {
				v.into[a.to] = append(v.into[a.to], a)
			}
		}
	}
	if !lock {
		v.taught, v.edged = v.teachingOnly(), v.beganWithEdge()
	}
	return v
}

func (v *view) index(name string) int {
	return slices.IndexFunc(v.m.States, func(s logic.State) bool { return s.Name == name })
}

func (v *view) state(s int) *logic.State { return &v.m.States[s] }
func (v *view) name(s int) string        { return v.m.States[s].Name }

// drives gives what a state drives, or nothing at rest.
func (v *view) drives(s int) string {
	if d := v.state(s).Drive; d != "off" {
		return d
	}
	return ""
}

func (v *view) lamp(s int) string {
	if l := v.state(s).Lamp; l != "" {
		return l
	}
	return "off"
}

func (v *view) says(s int) bool    { return v.state(s).Says == "down" }
func (v *view) permits(s int) bool { return v.state(s).Permit == "yes" }

// on lists the answers of a state to an event.
func (v *view) on(s int, event string) (list []*answer) {
	for i := range v.gives[s] {
		if v.gives[s][i].On == event {
			list = append(list, &v.gives[s][i])
		}
	}
	return list
}

func (v *view) answers(s int, event string) bool { return len(v.on(s, event)) > 0 }

// always tells that a state answers an event whatever the guards say, or whatever they
// say while those in unless do not hold.
func (v *view) always(s int, event string, unless ...string) bool {
	list := v.on(s, event)
	guards := slices.Clone(unless)
	for _, a := range list {
		guards = append(guards, a.If...)
	}
	var words []string
	for _, g := range guards {
		if w := strings.TrimPrefix(g, "not "); !slices.Contains(words, w) {
			words = append(words, w)
		}
	}
	for holding := range 1 << len(words) {
		holds := func(guard string) bool {
			w, not := strings.CutPrefix(guard, "not ")
			return holding>>slices.Index(words, w)&1 == 1 != not
		}
		if slices.ContainsFunc(unless, holds) {
			continue
		}
		if !slices.ContainsFunc(list, func(a *answer) bool {
			return !slices.ContainsFunc(a.If, func(g string) bool { return !holds(g) })
		}) {
			return false
		}
	}
	return true
}

// tellsApart reports guards that no answer to an event asks, either way.
func (v *view) tellsApart(s int, event string, guards ...string) {
	for _, g := range guards {
		if !slices.ContainsFunc(v.on(s, event), func(a *answer) bool { return a.asks(g) || a.asks("not "+g) }) {
			v.at(v.name(s)+" on "+event, "does not ask for '%s'", g)
		}
	}
}

// again reports answers that enter their own state a second time.
func (v *view) again() {
	for s := range v.gives {
		for i := range v.gives[s] {
			if a := &v.gives[s][i]; a.To == v.name(s) {
				v.answerAt(a, "enters its own state again, where 'stay' is meant")
			}
		}
	}
}

// mustAnswer reports a state that leaves an event unanswered.
func (v *view) mustAnswer(s int, event string, unless ...string) {
	switch {
	case v.always(s, event, unless...):
	case !v.answers(s, event):
		v.at(v.name(s)+" on "+event, "nothing answers it")
	default:
		v.at(v.name(s)+" on "+event, "some cases are left unanswered")
	}
}

// Conduct of a door's states.

// pauses tells of a state at rest that goes on by itself.
func (v *view) pauses(s int) bool { return v.drives(s) == "" && v.answers(s, "paused") }

// idle tells of a state at rest in which only a press starts anything.
func (v *view) idle(s int) bool { return s != v.start && v.drives(s) == "" && !v.pauses(s) }

// open tells of an idle state that every way into it shows to be open.
func (v *view) open(s int) bool {
	return v.idle(s) && !v.says(s) && len(v.into[s]) > 0 && !slices.ContainsFunc(v.into[s], func(a *answer) bool { return !shownOpen(a) })
}

func shownOpen(a *answer) bool {
	return a.On == "at top" || a.asks("near top") && !fallen(a) || a.asks("top confirmed") || a.asks("at stop") || a.asks("was open")
}

// acts tells that a state has an answer with an action.
func (v *view) acts(s int, action string) bool {
	return slices.ContainsFunc(v.gives[s], func(a answer) bool { return a.does(action) })
}

func (v *view) findsTop(s int) bool { return v.acts(s, "top") }
func (v *view) measures(s int) bool { return v.acts(s, "store") }
func (v *view) winds(s int) bool    { return v.answers(s, "wound back") }

// turns tells of a pause that leads to nothing but runs up.
func (v *view) turns(s int) bool {
	return v.pauses(s) && !slices.ContainsFunc(v.on(s, "paused"), func(a *answer) bool { return v.drives(a.to) != "up" })
}

// zeroed tells of a pause that is come to by setting the count to zero.
func (v *view) zeroed(s int) bool {
	return v.pauses(s) && slices.ContainsFunc(v.into[s], func(a *answer) bool { return a.does("zero") })
}

// fast tells of a run down above 'slow below'.
func (v *view) fast(s int) bool { return v.drives(s) == "down" && v.state(s).Duty != "slow" }

// grow adds to a set what its members lead to, by the answers that count.
func (v *view) grow(in set, counts func(a *answer) bool) set {
	for grown := true; grown; {
		grown = false
		for s := range v.gives {
			for i := range v.gives[s] {
				if a := &v.gives[s][i]; in[s] && !in[a.to] && counts(a) {
					in[a.to], grown = true, true
				}
			}
		}
	}
	return in
}

func (v *view) teachingOnly() set {
	in := make(set, len(v.gives))
	in[v.start] = true
	in = v.grow(in, func(a *answer) bool { return !a.asks("teach asked") })
	for s := range in {
		in[s] = !in[s]
	}
	return in
}

// beganWithEdge are the states driving down that no run without a sound edge comes to.
func (v *view) beganWithEdge() set {
	without := make(set, len(v.gives))
	for s := range v.gives {
		for i := range v.gives[s] {
			if a := &v.gives[s][i]; v.drives(s) != "down" && v.drives(a.to) == "down" && !a.asks("edge sound") {
				without[a.to] = true
			}
		}
	}
	without = v.grow(without, func(a *answer) bool { return v.drives(a.to) == "down" })
	in := make(set, len(v.gives))
	for s := range in {
		in[s] = v.drives(s) == "down" && !without[s]
	}
	return in
}

// each calls f for the states that a condition holds of.
func (v *view) each(holds func(s int) bool, f func(s int)) {
	for s := range v.gives {
		if holds(s) {
			f(s)
		}
	}
}

func (v *view) up(s int) bool     { return v.drives(s) == "up" }
func (v *view) down(s int) bool   { return v.drives(s) == "down" }
func (v *view) moving(s int) bool { return v.drives(s) != "" || v.pauses(s) }

package rules

import (
	"fmt"
	"slices"
	"strings"

	"slatbench/sim/logic"
)

// Rule is one design rule.
type Rule struct {
	Name string // "door stop": unique
	Says string // what a table must do
	Why  string

	check func(v *view)
}

// Finding is a place where a table breaks a rule.
type Finding struct {
	Rule string // its name
	At   string // the place: "landing on barred", a state, or a key of the tuning
	Text string // what is wrong there
}

func (f Finding) String() string { return f.Rule + ": " + f.At + ": " + f.Text }

// doorRules and All stand in the order in which they are checked and told.
var (
	doorRules = slices.Concat(doorRest, doorRun, doorTell, doorApart)
	All       = slices.Concat(doorRules, lockRules, tuningRules)
)

// Check finds all that breaks a rule in a table that passes its own check.
func Check(t *logic.Table) []Finding {
	var list []Finding
	for _, v := range []*view{newView(t, false), newView(t, true)} {
		rules := doorRules
		if v.lock {
			rules = lockRules
		}
		for i := range rules {
			v.rule = rules[i].Name
			rules[i].check(v)
		}
		list = append(list, v.found...)
	}
	v := &view{tuning: &t.Tuning}
	for i := range tuningRules {
		v.rule = tuningRules[i].Name
		tuningRules[i].check(v)
	}
	return append(list, v.found...)
}

// Beyond lists what a changed table breaks and its original does not.
func Beyond(was, now []Finding) []Finding {
	return slices.DeleteFunc(slices.Clone(now), func(f Finding) bool { return slices.Contains(was, f) })
}

// at reports a state, answerAt an answer.
func (v *view) at(place, format string, args ...any) {
	f := Finding{v.rule, place, fmt.Sprintf(format, args...)}
	if !slices.Contains(v.found, f) {
		v.found = append(v.found, f)
	}
}

func (v *view) answerAt(a *answer, format string, args ...any) {
	place := v.name(a.from) + " on " + a.On
	if len(a.If) > 0 {
		place += " [" + strings.Join(a.If, ", ") + "]"
	}
	v.at(place, format, args...)
}

package campaign

import (
	"fmt"
	"slices"
)

// The rule by which a mutant is safety-relevant. It looks at the table and the
// mistake alone, never at how an audit ended.
//
//   - A mistake in where the lock's machine goes, or when.
//   - A mistake in where the door's machine goes, or when, if one of the states that it
//     is about (from, right target, wrong target) drives or says down.
//   - An output changed that is drive, duty, says or permit.
//   - The action by which the count is no longer believed, or becomes zero, dropped:
//     what the door says hangs on them.
//   - A threshold or time scaled so far that, alone, it no longer keeps the limit of
//     the requirement that it serves: [safetyLimits].
//
// Alarms, lamps and the rest of the actions and tuning tell or spare, and are not.

// safety says why a mistake in a transition is safety-relevant, given the states that
// it is about.
func (m *mutator) safety(states ...string) string {
	if m.lock {
		return "it is about when a bar moves and when doors may"
	}
	for _, name := range states {
		s := stateOf(m.m, name)
		switch {
		case drives(s):
			return "it is about '" + name + "', which drives"
		case s.Says == "down":
			return "it is about '" + name + "', which says down"
		}
	}
	return ""
}

// safetyOfMove says it of a mistake in where one state's answer leads.
func (m *mutator) safetyOfMove(from, right, wrong string) string {
	if right == wrong {
		return "" // the machine stays where it should; only what it tells is another
	}
	return m.safety(from, right, wrong)
}

// safetyOfRows says it of a mistake in which of some transitions answers.
func (m *mutator) safetyOfRows(rows ...int) string {
	for _, row := range rows {
		t := &m.m.Transitions[row]
		for _, from := range t.From {
			if why := m.safetyOfMove(from, from, landing(from, t.To)); why != "" {
				return why
			}
		}
	}
	return ""
}

func safetyOfAction(do string) string {
	if do == "doubt" || do == "zero" {
		return "what the door says down by hangs on the count"
	}
	return ""
}

// safetyLimit is the value of a threshold or time at which it alone no longer keeps
// a requirement.
type safetyLimit struct {
	param string
	limit float64 // in the SI unit of the tuning
	above bool    // too much is above the limit, or below
	why   string
}

// safetyLimits: speeds are those of the default truck, 0.4 m/s closing.
var safetyLimits = []safetyLimit{
	{"supply floor", 10.9, false, "supply-guard: no start below 10.9 V"},
	{"floor window", 0.0254, true, "obstruction-reversal: things 25.4 mm high are no floor"},
	{"stall closing", 0.5, true, "close-cut: 0.5 s"},
	{"stall slow", 0.5, true, "close-cut: 0.5 s"},
	{"stall opening", 0.7, true, "alarm: a curtain that stands is to be told of after 0.7 s and 1 s"},
	{"grace closing", 0.375, true, "slack-limit: 150 mm are paid out in 0.375 s"},
	{"current time", 0.5, true, "close-cut: 0.5 s"},
	{"pause", 0.1, false, "dead-time: 100 ms"},
	{"travel limit", 15, true, "travel-timeout: 15 s"},
	{"lock limit", 4, true, "lock-fault: 4 s without arriving"},
}

// safetyOfScale says why a scaled value of the tuning is safety-relevant.
func safetyOfScale(param string, value float64) string {
	i := slices.IndexFunc(safetyLimits, func(l safetyLimit) bool { return l.param == param })
	if i < 0 {
		return ""
	}
	l := &safetyLimits[i]
	if l.above && value > l.limit || !l.above && value < l.limit {
		return fmt.Sprintf("it is past the limit of %s", l.why)
	}
	return ""
}

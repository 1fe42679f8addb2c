package campaign

import "slatbench/sim/logic/rules"

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
//     the requirement that it serves: [rules.Limits].
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

// safetyOfScale says why a scaled value of the tuning is safety-relevant.
func safetyOfScale(param string, value float64) string { return rules.Past(param, value) }

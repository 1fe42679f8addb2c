package campaign

import (
	"fmt"
	"strings"

	"slatbench/sim/logic"
)

// Reached is in how many runs one transition of a logic fired.
type Reached struct {
	Machine string // door or lock
	Index   int    // of the transition in the machine's list
	Text    string // the transition, as a table has it
	Runs    int
}

// Coverage lists every transition of a table with the runs in which it fired. The
// tally must be of runs of this table.
func (t *Tally) Coverage(table *logic.Table) []Reached {
	var list []Reached
	for _, m := range []struct {
		name string
		of   *logic.Machine
	}{{"door", &table.Door}, {"lock", &table.Lock}} {
		for i := range m.of.Transitions {
			r := Reached{Machine: m.name, Index: i, Text: Describe(&m.of.Transitions[i])}
			if n := len(list); n < len(t.Fired) {
				r.Runs = t.Fired[n]
			}
			list = append(list, r)
		}
	}
	return list
}

// States lists the states of a machine that some transition of the coverage has
// led to, or that it begins in, and those that none has.
func States(m *logic.Machine, machine string, list []Reached) (reached, never []string) {
	seen := map[string]bool{m.Start: true}
	for i := range list {
		if r := &list[i]; r.Machine == machine && r.Runs > 0 {
			seen[m.Transitions[r.Index].To] = true
		}
	}
	for _, s := range m.States {
		if seen[s.Name] {
			reached = append(reached, s.Name)
		} else {
			never = append(never, s.Name)
		}
	}
	return reached, never
}

// Describe is a transition in one line.
func Describe(t *logic.Transition) string {
	var s strings.Builder
	fmt.Fprintf(&s, "%s, on %s", strings.Join(t.From, " or "), t.On)
	if len(t.If) > 0 {
		fmt.Fprintf(&s, ", if %s", strings.Join(t.If, " and "))
	}
	fmt.Fprintf(&s, ": %s", t.To)
	return s.String()
}

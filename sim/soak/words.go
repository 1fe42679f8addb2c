package soak

import (
	"fmt"
	"strings"

	"slatbench/sim"
)

// alarmWords joins the names of alarms.
func alarmWords(list []sim.Alarm) string {
	words := make([]string, len(list))
	for i, a := range list {
		words[i] = a.String()
	}
	return strings.Join(words, " ")
}

// Cautions are said with every result.
const Cautions = "Wound springs hold energy that maims: only trained people work on them, with the tools made for it. " +
	"This is a simulation with invented wear, neither a certification nor a statement of life."

// Outcome is a milestone in words: the cycle, or that it was not reached.
func (r *Result) Outcome(m *Milestone) string {
	if m.Cycle > 0 {
		return fmt.Sprintf("cycle %d", m.Cycle)
	}
	return fmt.Sprintf("not within %d cycles", len(r.Cycles))
}

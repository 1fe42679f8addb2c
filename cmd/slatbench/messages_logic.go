package main

import (
	"fmt"
	"strings"

	"slatbench/sim/logic"
	"slatbench/sim/logic/rules"
)

// What the logic command says to a person, by the rules of messages.go.

const (
	argLogic = "a logic table: a file, or the name of a shipped one"

	flagOut     = "write to `FILE` instead: .svg, .md, or .mmd with --machine"
	flagMachine = "one `MACHINE` alone: door or lock"
)

func twoMachines(name string) error {
	return wrong{fmt.Sprintf("%s would hold one diagram, and a table has two", name), "name one with --machine door or --machine lock, or let the file end in .svg or .md"}
}

var helpLogic = help{
	"check or draw a logic table",
	`A logic table is the state machines that the doors and locks run, with the tuning of
their detectors. A file is a whole table, or says "based on:" and what it changes.`,
	`slatbench logic check my-logic.yaml
slatbench logic draw baseline --out baseline.svg`,
}

var helpLogicCheck = help{
	"check a logic table",
	`Checks a logic table: unknown words, states that nothing leads to or out of, and two
answers to one event. Of a table that is based on another it also says what it
changes, and refuses a line that changes nothing. Lists where the table breaks a
design rule (docs/rules.md): it can be played all the same.

Exit codes: 0 it keeps every rule, 1 it breaks one, 2 it cannot be loaded.`,
	`slatbench logic check my-logic.yaml
slatbench logic check baseline`,
}

var helpLogicDraw = help{
	"draw a logic table",
	`Draws the two machines of a logic table, or one of them. A file that ends in .svg is
a picture for any browser, with a legend of every answer. Else it is Mermaid
state diagrams: both in a Markdown text, or one of them bare.

Of a table that is based on another the picture marks what was added (+), dropped
(−) and changed (≠).`,
	`slatbench logic draw baseline --out logic.svg
slatbench logic draw my-logic.yaml --machine lock --out lock.svg
slatbench logic draw my-logic.yaml --machine door --out door.mmd`,
}

func logicSound(t *logic.Table) string { return t.Name + ": sound" }

// logicSize says how large a table is, a line for each machine.
func logicSize(t *logic.Table) (lines []string) {
	for i, m := range []*logic.Machine{&t.Door, &t.Lock} {
		lines = append(lines, fmt.Sprintf("%s: %d states, %d transitions", machineWords[i], len(m.States), len(m.Transitions)))
	}
	return lines
}

func logicRules(broken int) string {
	if broken == 0 {
		return fmt.Sprintf("keeps all %d design rules", len(rules.All))
	}
	return counted(broken, "place") + " where it breaks a design rule (docs/rules.md has the reasons):"
}

// logicChanges says what an overlay changes, a line for each part.
func logicChanges(base string, tuning []string, door, lock logic.Counts) []string {
	lines := []string{"based on " + base}
	for _, t := range tuning {
		lines = append(lines, "tuning, "+t)
	}
	for _, m := range []struct {
		word string
		logic.Counts
	}{{"door", door}, {"lock", lock}} {
		var parts []string
		for _, c := range []struct {
			n             int
			one, more, to string
		}{
			{m.Renamed, "state", "states", "renamed"}, {m.States[logic.Added], "state", "states", "added"},
			{m.States[logic.Dropped], "state", "states", "dropped"}, {m.States[logic.Changed], "state", "states", "changed"},
			{m.Answers[logic.Added], "answer", "answers", "added"}, {m.Answers[logic.Dropped], "answer", "answers", "dropped"},
			{m.Answers[logic.Changed], "answer", "answers", "changed"},
		} {
			switch c.n {
			case 0:
			case 1:
				parts = append(parts, "1 "+c.one+" "+c.to)
			default:
				parts = append(parts, fmt.Sprintf("%d %s %s", c.n, c.more, c.to))
			}
		}
		if parts != nil {
			lines = append(lines, "changes in "+m.word+": "+strings.Join(parts, ", "))
		}
	}
	return lines
}

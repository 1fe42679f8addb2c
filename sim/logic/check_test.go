package logic_test

import (
	"slices"
	"strings"
	"testing"

	"slatbench/sim"
	"slatbench/sim/logic"
)

func TestBaselineHasNoProblem(t *testing.T) {
	if p := baseline(t).Check(); len(p) != 0 {
		t.Errorf("problems: %v", p)
	}
}

// Every kind of problem, each made by one change of the baseline.
func TestCheckFindsEveryKindOfProblem(t *testing.T) {
	press := logic.Transition{From: []string{"open"}, On: "press", To: "closing"}
	for _, c := range []struct {
		name   string
		change func(b *logic.Table)
		path   string
		text   string // part of the message
		word   string // the unknown word …
		known  string // … and one of those that are offered for it
	}{
		{"start", func(b *logic.Table) { b.Door.Start = "wakin" }, "door.start", `unknown state "wakin"`, "wakin", "waking"},
		{"state without a name", func(b *logic.Table) { b.Door.States[1].Name = "" }, "door.states[1].state", "cannot be called", "", ""},
		{"state called stay", func(b *logic.Table) { b.Door.States[1].Name = "stay" }, "door.states[1].state", "cannot be called", "", ""},
		{"state twice", func(b *logic.Table) { b.Door.States[2].Name = "down" }, "door.states[2].state", "a second time", "", ""},
		{"drive", func(b *logic.Table) { b.Door.States[4].Drive = "upp" }, "door.states[4].drive", `unknown output "upp"`, "upp", "up"},
		{"duty", func(b *logic.Table) { b.Door.States[5].Duty = "half" }, "door.states[5].duty", `unknown output "half"`, "half", "slow"},
		{"lamp", func(b *logic.Table) { b.Lock.States[5].Lamp = "steady" }, "lock.states[5].lamp", `unknown output "steady"`, "steady", "flash"},
		{"says", func(b *logic.Table) { b.Door.States[1].Says = "closed" }, "door.states[1].says", `unknown output "closed"`, "closed", "down"},
		{"permit", func(b *logic.Table) { b.Lock.States[1].Permit = "maybe" }, "lock.states[1].permit", `unknown output "maybe"`, "maybe", "yes"},
		{"a door that permits", func(b *logic.Table) { b.Door.States[1].Permit = "yes" }, "door.states[1].permit", "a door has no such output", "", ""},
		{"a lock that says down", func(b *logic.Table) { b.Lock.States[1].Says = "down" }, "lock.states[1].says", "a lock has no such output", "", ""},
		{"a lock with a duty", func(b *logic.Table) { b.Lock.States[4].Duty = "slow" }, "lock.states[4].duty", "a lock has no such output", "", ""},
		{"a lock driven up", func(b *logic.Table) { b.Lock.States[4].Drive = "up" }, "lock.states[4].drive", `unknown output "up"`, "up", "lock"},
		{"from", func(b *logic.Table) { b.Door.Transitions[0].From = []string{"wake"} }, "door.transitions[0].from[0]", `unknown state "wake"`, "wake", "waking"},
		{"from twice", func(b *logic.Table) { b.Door.Transitions[0].From = []string{"waking", "waking"} }, "door.transitions[0].from[1]", "a second time", "", ""},
		{"from nowhere", func(b *logic.Table) { b.Door.Transitions[0].From = nil }, "door.transitions[0].from", "no state to start from", "", ""},
		{"event", func(b *logic.Table) { b.Door.Transitions[0].On = "awoken" }, "door.transitions[0].on", `unknown event "awoken"`, "awoken", "awake"},
		{"event of the other machine", func(b *logic.Table) { b.Lock.Transitions[0].On = "press" }, "lock.transitions[0].on", `unknown event "press"`, "press", "lock asked"},
		{"guard", func(b *logic.Table) { b.Door.Transitions[0].If[1] = "not sil made" }, "door.transitions[0].if[1]", `unknown guard "sil made"`, "sil made", "sill made"},
		{"guard both ways", func(b *logic.Table) { b.Door.Transitions[0].If = []string{"taught", "not taught"} }, "door.transitions[0].if[1]", "both ways", "", ""},
		{"guard both ways, turned round", func(b *logic.Table) { b.Door.Transitions[0].If = []string{"not taught", "taught"} }, "door.transitions[0].if[1]", "both ways", "", ""},
		{"to", func(b *logic.Table) { b.Door.Transitions[0].To = "downn" }, "door.transitions[0].to", `unknown state "downn"`, "downn", "down"},
		{"alarm", func(b *logic.Table) { b.Door.Transitions[0].Alarm = "slow travel" }, "door.transitions[0].alarm", `unknown alarm "slow travel"`, "slow travel", "slow-travel"},
		{"action", func(b *logic.Table) { b.Door.Transitions[0].Do = []string{"doubts"} }, "door.transitions[0].do[0]", `unknown action "doubts"`, "doubts", "doubt"},
		{"unreachable", func(b *logic.Table) {
			b.Door.States = append(b.Door.States, logic.State{Name: "attic"})
			b.Door.Transitions = append(b.Door.Transitions, logic.Transition{From: []string{"attic"}, On: "press", To: "down"})
		}, "door.states[18].state", `"attic" cannot be reached from "waking"`, "", ""},
		{"reached from an island only", func(b *logic.Table) {
			b.Door.States = append(b.Door.States, logic.State{Name: "attic"}, logic.State{Name: "loft"})
			b.Door.Transitions = append(b.Door.Transitions,
				logic.Transition{From: []string{"attic"}, On: "press", To: "loft"}, logic.Transition{From: []string{"loft"}, On: "press", To: "attic"})
		}, "door.states[18].state", "cannot be reached", "", ""},
		{"no way out", func(b *logic.Table) {
			b.Door.States = append(b.Door.States, logic.State{Name: "cellar"})
			b.Door.Transitions = append(b.Door.Transitions,
				logic.Transition{From: []string{"down"}, On: "edge faulty", To: "cellar"},
				logic.Transition{From: []string{"cellar"}, On: "press", To: logic.Stay})
		}, "door.states[18].state", `"cellar" has no way out`, "", ""},
		{"overlapping answers", func(b *logic.Table) { b.Door.Transitions = append(b.Door.Transitions, press) },
			"", `answers "press" in state "open", and so does`, "", ""},
	} {
		b := baseline(t)
		c.change(b)
		list := b.Check()
		i := slices.IndexFunc(list, func(p logic.Problem) bool {
			return (c.path == "" || p.Path == c.path) && strings.Contains(p.Text, c.text)
		})
		if i < 0 {
			t.Errorf("%s: expected %s: …%s…, found %v", c.name, c.path, c.text, list)
			continue
		}
		if p := list[i]; p.Word != c.word || c.word != "" && !slices.Contains(p.Want, c.known) {
			t.Errorf("%s: word %q of %q, expected %q and %q among the known", c.name, p.Word, p.Want, c.word, c.known)
		}
		if s := list[i].String(); !strings.HasPrefix(s, list[i].Path+": ") {
			t.Errorf("%s: %q does not begin with its place", c.name, s)
		}
	}
}

// A lock is checked as a door is, and all problems are told at once.
func TestCheckTellsAllProblemsOfBothMachines(t *testing.T) {
	b := baseline(t)
	b.Door.Start, b.Lock.Start = "x", "y"
	b.Lock.Transitions[3].On = "z"
	list := b.Check()
	var paths []string
	for _, p := range list {
		paths = append(paths, p.Path)
	}
	if want := []string{"door.start", "lock.start", "lock.transitions[3].on"}; !slices.Equal(paths, want) {
		t.Errorf("places %q, expected %q", paths, want)
	}
}

// Guards that exclude each other make two answers to one event right.
func TestGuardsThatExcludeEachOtherAreNoOverlap(t *testing.T) {
	m := logic.Machine{Start: "a", States: []logic.State{{Name: "a"}, {Name: "b"}}, Transitions: []logic.Transition{
		{From: []string{"a"}, On: "press", If: []string{"taught", "sill made"}, To: "b"},
		{From: []string{"a"}, On: "press", If: []string{"teach asked", "not sill made"}, To: "b"},
		{From: []string{"b"}, On: "press", To: "a"},
	}}
	b := baseline(t)
	b.Door = m
	if list := b.Check(); len(list) != 0 {
		t.Errorf("problems %v", list)
	}
	b.Door.Transitions[1].If = []string{"teach asked", "sill made"}
	if list := b.Check(); len(list) != 1 {
		t.Errorf("problems %v, expected one overlap", list)
	}
}

// Every alarm has a word that a table may use.
func TestEveryAlarmIsAWord(t *testing.T) {
	for i := range sim.AlarmNames {
		b := baseline(t)
		b.Door.Transitions[0].Alarm = sim.AlarmNames[i]
		if list := b.Check(); len(list) != 0 {
			t.Errorf("%s: %v", sim.AlarmNames[i], list)
		}
	}
}

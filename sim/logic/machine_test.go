package logic

import (
	"testing"

	"slatbench/sim"
)

// rest is a table of two states for tests of the machine alone.
func twoStates(transitions ...Transition) *Machine {
	return &Machine{Start: "a", States: []State{{Name: "a"}, {Name: "b"}}, Transitions: transitions}
}

var inA = []string{"a"}

func TestEarlierEventOfTheVocabularyIsAnsweredFirst(t *testing.T) {
	// Written the other way round on purpose.
	m := newMachine(twoStates(
		Transition{From: inA, On: "slow", To: Stay, Alarm: "slow-travel"},
		Transition{From: inA, On: "stall", To: "b", Alarm: "obstruction-closing"},
		Transition{From: inA, On: "press", To: "b"},
		Transition{From: []string{"b"}, On: "press", To: "a"},
	), &DoorWords)
	for _, c := range []struct {
		events []int
		want   int
	}{
		{[]int{evSlow, evStall, evPress}, evPress},
		{[]int{evSlow, evStall}, evStall},
		{[]int{evSlow}, evSlow},
		{[]int{evSlow, evBarred}, evSlow}, // barred comes first, but nobody answers it here
	} {
		var bits uint32
		for _, e := range c.events {
			bits |= 1 << e
		}
		if a := m.answerTo(bits, 0); a == nil || a.event != c.want {
			t.Errorf("events %v: answer %+v, expected event %d", c.events, a, c.want)
		}
	}
	if a := m.answerTo(1<<evAwake|1<<evFloor, 0); a != nil {
		t.Errorf("answer %+v to events that nothing waits for", a)
	}
}

func TestGuardsPickTheAnswer(t *testing.T) {
	m := newMachine(twoStates(
		Transition{From: inA, On: "press", If: []string{"taught", "not teach asked"}, To: "b"},
		Transition{From: inA, On: "press", If: []string{"not taught"}, To: Stay, Alarm: "self-test", Do: []string{"flash", "doubt"}},
		Transition{From: inA, On: "stall", To: "b"},
		Transition{From: []string{"b"}, On: "press", To: "a"},
	), &DoorWords)
	const taught, teach = 1 << gdTaught, 1 << gdTeach
	if a := m.answerTo(1<<evPress, taught); a == nil || a.to != 1 {
		t.Errorf("taught: %+v", a)
	}
	a := m.answerTo(1<<evPress, 0)
	if a == nil || a.to != -1 || a.alarm != sim.SelfTest || a.do != 1<<acFlash|1<<acDoubt {
		t.Errorf("not taught: %+v", a)
	}
	if a := m.answerTo(1<<evPress, taught|teach); a != nil {
		t.Errorf("taught and teach asked: %+v, expected none", a)
	}
	// An event whose guards do not hold hides no later one.
	if a := m.answerTo(1<<evPress|1<<evStall, taught|teach); a == nil || a.event != evStall {
		t.Errorf("press refused, stalled: %+v", a)
	}
}

func TestFireMovesOnTransitionsOnly(t *testing.T) {
	m := newMachine(twoStates(
		Transition{From: inA, On: "press", To: "b"},
		Transition{From: inA, On: "slow", To: Stay},
		Transition{From: []string{"b"}, On: "stall", To: "b"},
		Transition{From: []string{"b"}, On: "press", To: "a"},
	), &DoorWords)
	if m.fire(m.answerTo(1<<evSlow, 0)) || m.name() != "a" {
		t.Errorf("stay: state %q", m.name())
	}
	if !m.fire(m.answerTo(1<<evPress, 0)) || m.name() != "b" {
		t.Errorf("press: state %q", m.name())
	}
	if !m.fire(m.answerTo(1<<evStall, 0)) || m.name() != "b" {
		t.Errorf("back to itself: state %q, expected to be entered again", m.name())
	}
	m.fire(m.answerTo(1<<evPress, 0))
	m.fire(m.answerTo(1<<evPress, 0))
	m.reset()
	if m.name() != "a" || m.fsm.Current() != "a" {
		t.Errorf("after a reset: %q, fsm %q", m.name(), m.fsm.Current())
	}
}

// The library's machine and the compiled one never part.
func TestLibraryMachineFollows(t *testing.T) {
	m := newMachine(twoStates(
		Transition{From: []string{"a"}, On: "press", To: "b"},
		Transition{From: []string{"b"}, On: "press", To: "a"},
	), &DoorWords)
	for range 7 {
		m.fire(m.answerTo(1<<evPress, 0))
		if m.fsm.Current() != m.name() {
			t.Fatalf("fsm %q, machine %q", m.fsm.Current(), m.name())
		}
	}
}

func TestLookingForAnAnswerAllocatesNothing(t *testing.T) {
	m := newMachine(twoStates(
		Transition{From: inA, On: "press", To: "b"}, Transition{From: []string{"b"}, On: "press", To: "a"},
	), &DoorWords)
	if n := testing.AllocsPerRun(100, func() { m.answerTo(1<<evStall|1<<evAwake, 0) }); n != 0 {
		t.Errorf("%g allocations a tick", n)
	}
}

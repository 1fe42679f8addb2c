package logic_test

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"slatbench/sim/logic"
)

// drawn is a Mermaid state diagram, read back.
type drawn struct {
	names  map[string]string // by id
	texts  map[string]string // by id
	start  string
	arrows map[[2]string][]string
}

var (
	drawnState = regexp.MustCompile(`^ {4}state "([^"]+)" as (\w+)$`)
	drawnText  = regexp.MustCompile(`^ {4}(\w+) : ([^:;"]+)$`)
	drawnStart = regexp.MustCompile(`^ {4}\[\*\] --> (\w+)$`)
	drawnArrow = regexp.MustCompile(`^ {4}(\w+) --> (\w+) : ([^:;"]+)$`)
)

// readDrawing is the part of Mermaid's grammar for state diagrams that drawings use.
func readDrawing(t *testing.T, text string) drawn {
	t.Helper()
	d := drawn{names: map[string]string{}, texts: map[string]string{}, arrows: map[[2]string][]string{}}
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	if lines[0] != "stateDiagram-v2" {
		t.Fatalf("first line %q", lines[0])
	}
	known := func(id string) string {
		name, ok := d.names[id]
		if !ok {
			t.Fatalf("%q is used before it is declared", id)
		}
		return name
	}
	for _, line := range lines[1:] {
		if m := drawnState.FindStringSubmatch(line); m != nil {
			if _, twice := d.names[m[2]]; twice {
				t.Fatalf("id %q twice", m[2])
			}
			d.names[m[2]] = m[1]
		} else if m := drawnStart.FindStringSubmatch(line); m != nil {
			d.start = known(m[1])
		} else if m := drawnArrow.FindStringSubmatch(line); m != nil {
			key := [2]string{known(m[1]), known(m[2])}
			if d.arrows[key] != nil {
				t.Fatalf("two arrows from %q to %q", key[0], key[1])
			}
			d.arrows[key] = strings.Split(m[3], "<br/>")
		} else if m := drawnText.FindStringSubmatch(line); m != nil {
			d.texts[known(m[1])] = m[2]
		} else {
			t.Fatalf("line %q fits no rule", line)
		}
	}
	return d
}

func TestDrawingShowsEveryStateAndTransition(t *testing.T) {
	table := baseline(t)
	for name, m := range map[string]*logic.Machine{"door": &table.Door, "lock": &table.Lock} {
		d := readDrawing(t, m.Mermaid())
		if len(d.names) != len(m.States) || d.start != m.Start {
			t.Errorf("%s: %d states from %q, expected %d from %q", name, len(d.names), d.start, len(m.States), m.Start)
		}
		for _, s := range m.States {
			for _, word := range []string{s.Drive, s.Duty, s.Lamp, s.Says, s.Permit} {
				if !strings.Contains(d.texts[s.Name], word) {
					t.Errorf("%s: state %q says %q, expected %q in it", name, s.Name, d.texts[s.Name], word)
				}
			}
		}
		want := 0
		for i, tr := range m.Transitions {
			for _, from := range tr.From {
				want++
				to := tr.To
				if to == logic.Stay {
					to = from
				}
				if !slices.ContainsFunc(d.arrows[[2]string{from, to}], func(label string) bool { return saysAll(label, &tr) }) {
					t.Errorf("%s: transition %d from %q is missing among %q", name, i, from, d.arrows[[2]string{from, to}])
				}
			}
		}
		got := 0
		for _, labels := range d.arrows {
			got += len(labels)
		}
		if got != want {
			t.Errorf("%s: %d labels, expected %d", name, got, want)
		}
	}
}

// saysAll tells that a label is that of a transition: its event first, every word of it later.
func saysAll(label string, tr *logic.Transition) bool {
	if label != tr.On && !strings.HasPrefix(label, tr.On+" ") {
		return false
	}
	for _, word := range append(append([]string{tr.Alarm}, tr.If...), tr.Do...) {
		if !strings.Contains(label, word) {
			return false
		}
	}
	return true
}

func TestDrawingIsTheSameEveryTimeAndHasBothMachines(t *testing.T) {
	table := baseline(t)
	text := logic.Mermaid(table)
	for range 5 {
		if again := logic.Mermaid(table); again != text {
			t.Fatal("two drawings of one table differ")
		}
	}
	for _, part := range []string{table.Door.Mermaid(), table.Lock.Mermaid()} {
		if !strings.Contains(text, "```mermaid\n"+part+"```") {
			t.Errorf("a machine is missing:\n%s", part)
		}
	}
}

// Names of a user's own states may be anything.
func TestDrawingOfAwkwardNames(t *testing.T) {
	names := []string{"end", "a b", "a-b", "a_b", `say "open"`, "one: two; three", "tür", "<br/>"}
	m := logic.Machine{Start: names[0]}
	for i, n := range names {
		m.States = append(m.States, logic.State{Name: n})
		m.Transitions = append(m.Transitions, logic.Transition{From: []string{n}, On: "press", To: names[(i+1)%len(names)]})
	}
	text := m.Mermaid()
	text = strings.ReplaceAll(text, "tür", "tuer") // \w of the test's grammar knows no other letters
	d := readDrawing(t, text)
	if len(d.names) != len(names) || len(d.arrows) != len(names) {
		t.Errorf("%d states, %d arrows, expected %d of both:\n%s", len(d.names), len(d.arrows), len(names), text)
	}
	if _, ok := d.names["end"]; ok {
		t.Error("a keyword names a state")
	}
	if fmt.Sprint(d.arrows[[2]string{"end", "a b"}]) != "[press]" {
		t.Errorf("arrow from end: %q", d.arrows[[2]string{"end", "a b"}])
	}
}

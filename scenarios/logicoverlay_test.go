package scenarios

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"slatbench/sim/logic"
)

// overlay loads an overlay of the shipped logic with this under its head.
func overlay(t *testing.T, text string) (*logic.Table, error) {
	t.Helper()
	return overlayFile(t, map[string]string{"mine.yaml": "logic: mine\nbased on: baseline\n" + text}, "mine.yaml")
}

// overlayFile loads one of some files in a folder of their own.
func overlayFile(t *testing.T, files map[string]string, name string) (*logic.Table, error) {
	t.Helper()
	folder := t.TempDir()
	for name, text := range files {
		if err := os.MkdirAll(filepath.Dir(filepath.Join(folder, name)), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	table, err := (&Loader{Shipped: Shipped()}).LoadLogic(filepath.Join(folder, name))
	if err != nil {
		err = plainError(strings.ReplaceAll(err.Error(), folder+string(filepath.Separator), ""))
	}
	return table, err
}

type plainError string

func (e plainError) Error() string { return string(e) }

func baselineTable(t *testing.T) *logic.Table {
	t.Helper()
	table, err := (&Loader{Shipped: Shipped()}).LoadLogic(BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// answersOf is a machine as a set of single answers, whatever lines they stand in.
func answersOf(m *logic.Machine) map[string]logic.Transition {
	set := map[string]logic.Transition{}
	for _, t := range m.Transitions {
		for _, from := range t.From {
			one := t
			one.From = nil
			set[from+"|"+t.On+"|"+strings.Join(slices.Sorted(slices.Values(t.If)), ",")] = one
		}
	}
	return set
}

// What an overlay says differs, and all else is the base's.
func TestOverlayChangesWhatItSays(t *testing.T) {
	got, err := overlay(t, `
tuning: {pause: 500 ms}
door:
  change states: [{state: pausing, lamp: none}, {state: rising, duty: slow}]
  add states: [{state: looking, lamp: flash}]
  drop transitions: [{from: closing, on: slowed}]
  change transitions:
    - {from: pausing, on: paused, if: [not past zero], to: looking}
    - {from: [down, open], on: press, if: [not permitted], alarm: lock-blocked, do: []}
    - {from: landing, on: floor, if: [near zero], new if: [near zero, edge sound]}
  add transitions:
    - {from: looking, on: paused, to: rising}
`)
	if err != nil {
		t.Fatal(err)
	}
	want := baselineTable(t)
	want.Name = "mine"
	want.Tuning.Pause = 0.5
	answers := answersOf(&want.Door)
	delete(answers, "closing|slowed|")
	change := func(key string, by func(*logic.Transition)) {
		tr, ok := answers[key]
		if !ok {
			t.Fatalf("the base has no answer %q", key)
		}
		by(&tr)
		answers[key] = tr
	}
	change("pausing|paused|not past zero", func(tr *logic.Transition) { tr.To = "looking" })
	for _, from := range []string{"down", "open"} {
		change(from+"|press|not permitted", func(tr *logic.Transition) { tr.Alarm, tr.Do = "lock-blocked", nil })
	}
	floor := answers["landing|floor|near zero"]
	floor.If = []string{"near zero", "edge sound"}
	delete(answers, "landing|floor|near zero")
	answers["landing|floor|edge sound,near zero"] = floor
	answers["looking|paused|"] = logic.Transition{On: "paused", To: "rising"}
	if diff := cmp.Diff(answers, answersOf(&got.Door), cmpopts.EquateEmpty()); diff != "" {
		t.Error(diff)
	}
	for i := range want.Door.States {
		switch s := &want.Door.States[i]; s.Name {
		case "pausing":
			s.Lamp = ""
		case "rising":
			s.Duty = "slow"
		}
	}
	want.Door.States = append(want.Door.States, logic.State{Name: "looking", Lamp: "flash"})
	if diff := cmp.Diff(want.Door.States, got.Door.States); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff(want.Tuning, got.Tuning); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff(want.Lock, got.Lock); diff != "" {
		t.Error(diff)
	}
}

// States are renamed wherever they stand, also two that change names; the base's names
// are known afterwards.
func TestOverlayRenames(t *testing.T) {
	files := map[string]string{"mine.yaml": "logic: mine\nbased on: baseline\ndoor:\n  rename states: {open: down, down: open, waking: booting}\n"}
	folder := t.TempDir()
	name := filepath.Join(folder, "mine.yaml")
	if err := os.WriteFile(name, []byte(files["mine.yaml"]), 0o666); err != nil {
		t.Fatal(err)
	}
	l := &Loader{Shipped: Shipped()}
	got, err := l.LoadLogic(name)
	if err != nil {
		t.Fatal(err)
	}
	want := baselineTable(t)
	swap := map[string]string{"open": "down", "down": "open", "waking": "booting"}
	of := func(s string) string {
		if new, ok := swap[s]; ok {
			return new
		}
		return s
	}
	want.Door.Start = of(want.Door.Start)
	for i := range want.Door.States {
		want.Door.States[i].Name = of(want.Door.States[i].Name)
	}
	for i := range want.Door.Transitions {
		tr := &want.Door.Transitions[i]
		tr.To = of(tr.To)
		for k := range tr.From {
			tr.From[k] = of(tr.From[k])
		}
	}
	if diff := cmp.Diff(want.Door, got.Door); diff != "" {
		t.Error(diff)
	}
	base, err := l.LoadLogicBase(name)
	if err != nil {
		t.Fatal(err)
	}
	if base.Name != "baseline" || base.Table.Name != "baseline" || base.Door["booting"] != "waking" || len(base.Door) != 3 || len(base.Lock) != 0 {
		t.Errorf("based on %q (%s), renamed %v and %v", base.Name, base.Table.Name, base.Door, base.Lock)
	}
	if whole, err := l.LoadLogicBase(BaselineLogic); whole != nil || err != nil {
		t.Errorf("a whole table is based on %v, %v", whole, err)
	}
}

// A dropped state takes its answers with it, and an overlay may change another overlay.
func TestOverlayOfOverlay(t *testing.T) {
	got, err := overlayFile(t, map[string]string{
		"one.yaml": `
logic: one
based on: baseline
tuning: {pause: 500 ms, lock settle: 200 ms}
door:
  drop states: [loosening, rewinding]
  change transitions:
    - {from: [closing, landing, creeping], on: no motion, to: pausing}
    - {from: measuring down, on: no motion, if: [not lifting, not loaded], to: giving up}
`, "sub/two.yaml": "logic: two\nbased on: ../one.yaml\ntuning: {pause: 300 ms}\ndoor:\n  rename states: {pausing: waiting}\n",
	}, "sub/two.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if got.Name != "two" || got.Tuning.Pause != 0.3 || got.Tuning.LockSettle != 0.2 || len(got.Door.States) != len(baselineTable(t).Door.States)-2 {
		t.Errorf("%s: pause %g s, lock settle %g s, %d states", got.Name, got.Tuning.Pause, got.Tuning.LockSettle, len(got.Door.States))
	}
	for key, tr := range answersOf(&got.Door) {
		if strings.HasPrefix(key, "loosening|") || tr.To == "rewinding" || tr.To == "pausing" {
			t.Errorf("%s leads to %s", key, tr.To)
		}
	}
}

// Everything that can be wrong with an overlay is told with its place.
func TestOverlayProblems(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"value that is so already", "tuning: {pause: 0.3 s}", `mine.yaml:3:10: this changes nothing: pause is 300 ms in the base already`},
		{"unknown value", "tuning: {paus: 0.4 s}", `mine.yaml:3:10: unknown key "paus"`},
		{"wrong dimension", "tuning: {pause: 4 mm}", `mine.yaml:3:17: pause: `},
		{"nothing", "", `mine.yaml:1:1: this file changes nothing in "baseline"`},
		{"empty machine", "door: {}", `mine.yaml:3:7: this changes nothing: no change stands here`},
		{"unknown key", "door: {drop sttes: [x]}", `mine.yaml:3:8: unknown key "drop sttes"`},
		{"rename of none", "door: {rename states: {opn: x}}", "mine.yaml:3:24: unknown state \"opn\"\n  hint: did you mean \"open\"?"},
		{"rename to itself", "door: {rename states: {open: open}}", `mine.yaml:3:30: this changes nothing: the state is called "open" already`},
		{"rename to another", "door: {rename states: {open: down}}", `mine.yaml:3:30: there is a state "down" already`},
		{"drop of none", "door: {drop states: [clering]}", "mine.yaml:3:22: unknown state \"clering\"\n  hint: did you mean \"clearing\"?"},
		{"drop of what is needed", "door: {drop states: [clearing]}", `mine.yaml:3:22: "clearing" is dropped, and "paused" in giving up if [count known] still leads to it`},
		{"drop of the start", "door: {drop states: [waking]}", `mine.yaml:3:22: "waking" is dropped, and the machine starts in it`},
		{"same start", "door: {start: waking}", `mine.yaml:3:15: this changes nothing: the base starts in "waking"`},
		{"same output", "door: {change states: [{state: open, lamp: off}]}", `mine.yaml:3:38: this changes nothing: lamp of state "open" is off in the base already`},
		{"no output", "door: {change states: [{state: open}]}", `mine.yaml:3:24: this changes nothing: no output stands here`},
		{"twice the same state", "door: {change states: [{state: open, lamp: on}, {state: open, lamp: flash}]}", `mine.yaml:3:49: state "open" is changed in line 3 already`},
		{"wrong output", "door: {change states: [{state: open, lamp: blnk}]}", `mine.yaml:3:44: unknown output "blnk"`},
		{"state that is there", "door: {add states: [{state: open}]}", `mine.yaml:3:29: there is a state "open" already`},
		{"unreachable", "door: {add states: [{state: attic}], add transitions: [{from: attic, on: press, to: open}]}", `mine.yaml:3:29: state "attic" cannot be reached from "waking"`},
		{"no way out", "door: {add states: [{state: attic}], change transitions: [{from: loosening, on: paused, to: attic}]}", `mine.yaml:3:29: state "attic" has no way out`},
		{"overlap", "door: {add transitions: [{from: loosening, on: paused, to: open}]}", "mine.yaml:3:26: answers \"paused\" in state \"loosening\", and so does transitions["},
		{"unknown event", "door: {drop transitions: [{from: open, on: pess}]}", "mine.yaml:3:44: unknown event \"pess\"\n  hint: did you mean \"press\"?"},
		{"no such answer", "door: {drop transitions: [{from: closing, on: moved}]}", "mine.yaml:3:34: state \"closing\" has no answer to \"moved\"\n  hint: it has answers to: press, barred"},
		{"which answer", "door: {drop transitions: [{from: homing, on: stall}]}", " answers to \"stall\"\n  hint: say which by guards that only one of them has, if: [top confirmed, loaded] or"},
		{"no such guards", "door: {drop transitions: [{from: homing, on: stall, if: [taught]}]}", "mine.yaml:3:57: state \"homing\" has no answer to \"stall\" with these guards"},
		{"changed twice", "door: {change transitions: [{from: loosening, on: paused, to: open}, {from: loosening, on: paused, to: down}]}", `mine.yaml:3:70: "paused" in loosening is changed or added in line 3 already`},
		{"changed to the same", "door: {change transitions: [{from: loosening, on: paused, to: rewinding}]}", `mine.yaml:3:29: this changes nothing: the base answers so already`},
		{"changed in nothing", "door: {change transitions: [{from: loosening, on: paused}]}", `mine.yaml:3:29: this changes nothing: neither new if, to, alarm nor do stands here`},
		{"old name", "door: {rename states: {open: up}, drop transitions: [{from: open, on: moved}]}", `mine.yaml:3:61: unknown state "open"`},
		{"wrong target", "door: {change transitions: [{from: loosening, on: paused, to: risng}]}", `mine.yaml:3:63: unknown state "risng"`},
	} {
		_, err := overlay(t, c.text)
		if err == nil {
			t.Errorf("%s: read without a problem", c.name)
		} else if !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got\n%v\nwant\n%s", c.name, err, c.want)
		}
	}
	_, err := overlay(t, "door: {add transitions: [{from: loosening, on: paused, to: open}]}")
	if err == nil || !strings.Contains(err.Error(), "hint: the other one stands in shipped:logic/baseline.yaml:") {
		t.Errorf("the other of two answers has no place: %v", err)
	}
}

// Bases that cannot be read, or that go round in a circle.
func TestOverlayBases(t *testing.T) {
	const change = "tuning: {pause: 1 s}\n"
	for _, c := range []struct{ name, base, other, want string }{
		{"absent", "absent.yaml", "", "mine.yaml:2:11: no file \"absent.yaml\""},
		{"misspelled", "baselin", "", "mine.yaml:2:11: no logic \"baselin\", neither a file nor a shipped one\n  hint: did you mean baseline?"},
		{"itself", "mine.yaml", "", `mine.yaml:2:11: "mine.yaml" starts from itself`},
		{"circle", "other.yaml", "logic: other\nbased on: mine.yaml\n" + change, `other.yaml:2:11: "mine.yaml" starts from itself`},
		{"no table", "other.yaml", "truck: x\n", `mine.yaml:2:11: "other.yaml", on which this is based, is no sound table`},
		{"no yaml", "other.yaml", "a: [", `other.yaml:1:4: `},
		{"unsound", "other.yaml", "logic: other\nbased on: baseline\ndoor: {add states: [{state: attic}]}\n", `other.yaml:3:29: state "attic" has no way out`},
		{"a truck", "shipped:trucks/produce-4bay.yaml", "", `shipped:trucks/produce-4bay.yaml:4:1: this is a truck file, expected a logic table`},
		{"a list", "[baseline]", "", `mine.yaml:2:11: based on: found a list, expected a text`},
	} {
		files := map[string]string{"mine.yaml": "logic: mine\nbased on: " + c.base + "\n" + change, "other.yaml": c.other}
		_, err := overlayFile(t, files, "mine.yaml")
		if err == nil {
			t.Errorf("%s: read without a problem", c.name)
		} else if !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got\n%v\nwant\n%s", c.name, err, c.want)
		}
	}
}

// A file that changes a table and does not name it is told so, and nothing else; a
// whole table, and one that lacks a machine, are not taken for it.
func TestForgottenBase(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"logic: x\ndoor:\n  change states:\n    - {state: pausing, lamp: flash}\n", "mine.yaml:3:3: " + noBase + "\n  hint: " + noBaseHint},
		{"logic: x\ntuning: {pause: 500 ms}\n", "mine.yaml:1:1: " + noBase + "\n  hint: " + noBaseHint},
		{"logic: x\nbase on: baseline\ntuning: {pause: 500 ms}\n", "mine.yaml:2:1: unknown key \"base on\"\n  hint: did you mean \"based on\"?"},
		{"logic: x\nlock: {drop states: [failed], start: locked}\n", "mine.yaml:2:8: " + noBase + "\n  hint: " + noBaseHint},
	} {
		_, err := overlayFile(t, map[string]string{"mine.yaml": c.text}, "mine.yaml")
		if err == nil || err.Error() != c.want {
			t.Errorf("%q: got\n%v\nwant\n%s", c.text, err, c.want)
		}
	}
	_, err := overlayFile(t, map[string]string{"mine.yaml": "logic: x\ntuning: {}\ndoor: {start: a}\n"}, "mine.yaml")
	if err == nil || strings.Contains(err.Error(), noBase) || !strings.Contains(err.Error(), `missing key "lock"`) {
		t.Errorf("a table without a lock: %v", err)
	}
}

// Every overlay of docs/logic.md is read.
func TestOverlaysOfTheDocs(t *testing.T) {
	text, err := os.ReadFile("../docs/logic.md")
	if err != nil {
		t.Fatal(err)
	}
	schema := compiled(t, logicSchema())
	n := 0
	for _, e := range regexp.MustCompile("(?s)```yaml\n(logic: .*?)```").FindAllStringSubmatch(string(text), -1) {
		n++
		if _, err := overlayFile(t, map[string]string{"mine.yaml": e[1]}, "mine.yaml"); err != nil {
			t.Errorf("%s\n%v", e[1], err)
		}
		if err := schema.Validate(asJSON(t, e[1])); err != nil {
			t.Errorf("%s\n%v", e[1], err)
		}
	}
	if n == 0 {
		t.Error("docs/logic.md shows no overlay")
	}
	if schema.Validate(asJSON(t, "logic: x\nbased on: baseline\ndoor: {drop sttes: [x]}")) == nil {
		t.Error("the schema accepts a misspelled key")
	}
	if schema.Validate(asJSON(t, "logic: x\ntuning: {pause: 1 s}")) == nil {
		t.Error("the schema accepts a piece of a table without a base")
	}
}

// Any bytes under the head of an overlay are read or refused, without a panic.
func FuzzOverlay(f *testing.F) {
	for _, seed := range []string{
		"tuning: {pause: 1 s}", "door: {rename states: {open: up}, drop states: [rising]}", "door: {drop states: [open, open]}",
		"door: {start: open, change states: [{state: open, lamp: none}]}", "lock: {add states: [{state: x}]}",
		"door: {drop transitions: [{from: [closing, closing], on: stall}]}", "door: {change transitions: [{from: [], on: stall, to: x}]}",
		"door: {add transitions: [{from: open, on: moved, if: [], to: stay, alarm: , do: [x]}]}", "door: [x]", "tuning: []", "tuning:", "door:",
		"door: {change transitions: [{from: [opening, rising, clearing], on: stall, if: [near top], new if: [], to: down}]}",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		start := time.Now()
		var file logicFile
		err := (&Loader{Shipped: Shipped()}).LoadBytes("fuzz.yaml", []byte("logic: x\nbased on: baseline\n"+text), &file)
		if took := time.Since(start); took > time.Minute {
			t.Fatalf("reading took %v", took)
		}
		if err == nil && len(file.table().Check()) > 0 {
			t.Errorf("accepted with problems: %v", file.table().Check())
		}
	})
}

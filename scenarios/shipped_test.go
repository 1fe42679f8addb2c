package scenarios

import (
	"io/fs"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"slatbench/sim/fault"
)

// runShipped runs a shipped scenario, after change has been made to it.
func runShipped(t *testing.T, name string, change func(sc *Scenario)) *Result {
	t.Helper()
	l := &Loader{Shipped: Shipped()}
	sc, err := l.LoadScenario(shippedPrefix + name)
	if err != nil {
		t.Fatal(err)
	}
	change(sc)
	table, err := l.LoadLogicOf(sc)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Run(sc, table, RunOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func asShipped(*Scenario) {}

func TestEveryShippedScenarioHolds(t *testing.T) {
	for _, name := range ShippedNames(ScenarioKind) {
		t.Run(ShortName(name), func(t *testing.T) {
			r := runShipped(t, name, asShipped)
			if len(r.Expectations) == 0 {
				t.Error("it expects nothing")
			}
			if r.Violated() {
				reportViolations(t, r)
			}
		})
	}
}

func reportViolations(t *testing.T, r *Result) {
	t.Helper()
	for _, j := range r.Requirements {
		if j.Verdict.String() == "violated" {
			t.Errorf("%s %s violated by %g %s at %.3f s, %s%s", j.ID, j.Clause, j.Margin, j.Unit, j.At, j.Bay, j.Side)
		}
	}
	for _, m := range r.Expectations {
		if !m.Met {
			t.Errorf("not met: %s", m.Text)
		}
	}
	for _, a := range r.Alarms {
		t.Logf("%.2f s %s %s", a.At, a.Bay, a.Alarm)
	}
}

func TestEveryKindOfFaultHasAScenario(t *testing.T) {
	names := ShippedNames(ScenarioKind)
	for _, k := range fault.Kinds() {
		name := "faults/" + k.Name + ".yaml"
		if !slices.Contains(names, name) {
			t.Errorf("no %s", name)
			continue
		}
		sc, err := (&Loader{Shipped: Shipped()}).LoadScenario(shippedPrefix + name)
		if err != nil {
			t.Error(err)
		} else if !slices.Contains(sc.FaultKinds(), k.Name) {
			t.Errorf("%s has no fault %s", name, k.Name)
		}
	}
}

// hiddenFaults change nothing that somebody beside the truck could tell: what they take
// away is one of two ways to notice or to cut. Their scenarios show that the other is enough.
var hiddenFaults = []string{"welded-enable-contact", "failed-current-sensor", "deaf-edge"}

// A scenario that holds just as well without its fault shows nothing of it.
func TestExpectationsShowTheFault(t *testing.T) {
	for _, k := range fault.Kinds() {
		if slices.Contains(hiddenFaults, k.Name) {
			continue
		}
		t.Run(k.Name, func(t *testing.T) {
			r := runShipped(t, "faults/"+k.Name+".yaml", func(sc *Scenario) {
				sc.Faults = slices.DeleteFunc(sc.Faults, func(f FaultItem) bool { return f.Kind.Name == k.Name })
			})
			if !slices.ContainsFunc(r.Expectations, func(m Met) bool { return !m.Met }) {
				t.Error("every expectation is met without the fault, too")
			}
		})
	}
}

// In January each of the three alone, and any two together, stay within 8 s.
func TestOnlyAllThreeTogetherAreSlow(t *testing.T) {
	const name, warm, full = "demo/january.yaml", 20 + kelvin, 0.9
	for _, c := range []struct {
		what   string
		change func(sc *Scenario)
	}{
		{"sound spring", func(sc *Scenario) { sc.Faults = nil }},
		{"warm", func(sc *Scenario) { sc.Ambient.Temperature = warm }},
		{"full battery", func(sc *Scenario) { sc.Start.Charge = full }},
	} {
		r := runShipped(t, name, c.change)
		if len(r.Alarms) > 0 {
			t.Errorf("%s: an alarm sounds all the same, opened in %.2f s", c.what, r.Bays[0].OpenTime)
		}
	}
}

func TestShippedFilesFitTheirSchemas(t *testing.T) {
	schemas := map[FileKind]*jsonschema.Schema{
		ScenarioKind: compileSchema(t, &Scenario{}),
		TruckKind:    compileSchema(t, &TruckFile{}),
		LogicKind:    compiled(t, logicSchema()),
		StandardKind: compileSchema(t, &StandardTest{}),
		LessonKind:   compileSchema(t, &Lesson{}),
		SizeKind:     compileSchema(t, &SizeFile{}),
		SoakKind:     compileSchema(t, &SoakFile{}),
	}
	for _, kind := range FileKinds {
		names := ShippedNames(kind)
		if len(names) == 0 && kind != FirmwareKind {
			t.Errorf("no shipped %s", kind)
		}
		for _, name := range names {
			text, err := fs.ReadFile(Shipped(), name)
			if err != nil {
				t.Fatal(err)
			}
			if err := schemas[kind].Validate(asJSON(t, string(text))); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
}

func TestShippedNamesAreUniqueWithoutFolder(t *testing.T) {
	seen := map[string]string{}
	for _, name := range AllShipped() {
		if other, ok := seen[ShortName(name)]; ok {
			t.Errorf("%s and %s have one short name", name, other)
		}
		seen[ShortName(name)] = name
	}
}

func TestShippedScenariosSayWhatTheyShow(t *testing.T) {
	for _, name := range ShippedNames(ScenarioKind) {
		text, err := fs.ReadFile(Shipped(), name)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(string(text), "# ") {
			t.Errorf("%s has no remark at its head", name)
		}
		for i, line := range strings.Split(string(text), "\n") {
			if len([]rune(line)) > 100 {
				t.Errorf("%s:%d is %d columns wide", name, i+1, len([]rune(line)))
			}
		}
	}
}

func TestFullName(t *testing.T) {
	for _, c := range [][2]string{
		{"morning-stop", "demo/morning-stop.yaml"},
		{"morning-stop.yaml", "demo/morning-stop.yaml"},
		{"demo/morning-stop.yaml", "demo/morning-stop.yaml"},
		{"shipped:demo/morning-stop.yaml", "shipped:demo/morning-stop.yaml"},
		{"dirty-lens", "faults/dirty-lens.yaml"},
		{"of-mine", "of-mine"},
	} {
		if got := FullName(ScenarioKind, c[0]); got != c[1] {
			t.Errorf("%s stands for %s, want %s", c[0], got, c[1])
		}
	}
}

package scenarios

import (
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Every example of docs/scenarios.md is read; a piece of a scenario with what it leaves out.
func TestExamplesOfTheDocs(t *testing.T) {
	const name = "../docs/scenarios.md"
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	examples := regexp.MustCompile("(?s)```yaml\n(.*?)```").FindAllStringSubmatch(string(text), -1)
	if len(examples) < 9 {
		t.Errorf("%d examples, want one for each key", len(examples))
	}
	seen := ""
	for _, e := range examples {
		example := e[1]
		seen += example
		if !strings.HasPrefix(example, "scenario:") && !strings.HasPrefix(example, "from:") {
			example = "scenario: Piece\ntruck: trucks/produce-4bay.yaml\nduration: 1 min\n" + example
		}
		l := &Loader{Shipped: Shipped()}
		if _, err := l.LoadScenarioFrom(strings.NewReader(example), "example"); err != nil {
			t.Errorf("%s\n%v", example, err)
		}
	}
	for _, key := range shapeOfStruct(reflect.TypeFor[Scenario]()).keys() {
		if !strings.Contains(seen, key+":") {
			t.Errorf("no example shows the key %q", key)
		}
	}
}

// The first example runs, and what the text says of it is true.
func TestFirstExampleOfTheDocs(t *testing.T) {
	text, err := os.ReadFile("../docs/scenarios.md")
	if err != nil {
		t.Fatal(err)
	}
	_, example, _ := strings.Cut(string(text), "```yaml\n")
	example, _, _ = strings.Cut(example, "```")
	r := mustRun(t, example)
	if r.Violated() {
		reportViolations(t, r)
	}
	if !slices.ContainsFunc(r.Alarms, func(a HeardAlarm) bool { return a.Alarm.String() == "obstruction-closing" && a.Bay == "C1" }) {
		t.Error("the door does not turn on the crate")
	}
}

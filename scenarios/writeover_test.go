package scenarios

import (
	"strings"
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// overStory is a story on the truck and in the weather of a shipped scenario that a file
// cannot say by itself: its truck has an old battery.
func overStory(t *testing.T) *Story {
	t.Helper()
	sc, err := (&Loader{Shipped: Shipped()}).LoadScenario("demo/two-doors.yaml")
	if err != nil {
		t.Fatal(err)
	}
	setup, err := sc.setup()
	if err != nil {
		t.Fatal(err)
	}
	setup.Actions = []sim.Action{
		{At: 1000, Kind: sim.Press, Bay: 2, Span: 200, Distance: 3},
		{At: 3330, Kind: sim.UnlockAsk, Side: model.Roadside, Span: 1500},
	}
	setup.Faults = []sim.Scheduled{scheduled(t, "leaning-cargo", 1, map[string]float64{"force": 42.5}, 2500, 4000)}
	setup.Duration = 12_340
	return &Story{Name: "Over: another", Setup: setup}
}

func scheduled(t *testing.T, kind string, place int, values map[string]float64, from, to int64) sim.Scheduled {
	t.Helper()
	k, ok := fault.Find(kind)
	if !ok {
		t.Fatalf("no kind %s", kind)
	}
	f, err := k.New(place, values)
	if err != nil {
		t.Fatal(err)
	}
	return sim.Scheduled{Fault: f, From: from, To: to}
}

func TestWriteOver(t *testing.T) {
	l := &Loader{Shipped: Shipped()}
	s := overStory(t)
	text, err := l.WriteOver("saved.yaml", "shipped:demo/two-doors.yaml", s)
	if err != nil {
		t.Fatal(err)
	}
	want := `from: shipped:demo/two-doors.yaml
scenario: 'Over: another'
duration: 12.34 s
healed at: none
steps:
  - {at: 1 s, press: R1}
  - {at: 3.33 s, unlock: roadside, length: 1.5 s}
faults:
  - {leaning-cargo: C2, from: 2.5 s, until: 4 s, force: 42.5 N}
expect: []
`
	if text != want {
		t.Errorf("written:\n%s", text)
	}
	s.Setup.Actions, s.Setup.Faults = nil, nil
	if text, err = l.WriteOver("saved.yaml", "demo/two-doors.yaml", s); err != nil || !strings.Contains(text, "steps: []\nfaults: []\n") {
		t.Errorf("with nothing done: %v\n%s", err, text)
	}
	s.Setup.Charge = 0.7
	if _, err = l.WriteOver("saved.yaml", "demo/two-doors.yaml", s); err == nil {
		t.Error("another charge than the file's was not noticed")
	}
	if _, err = l.WriteOver("saved.yaml", "demo/no-such.yaml", s); err == nil {
		t.Error("a file that there is not was not noticed")
	}
}

func TestWriteInto(t *testing.T) {
	l := &Loader{Shipped: Shipped(), Sealed: true}
	const text = `# Kept.
scenario: >-
  Goes, both
  lines of it
truck:
  from: trucks/produce-4bay.yaml
  battery: {age: 100 %}   # kept
ambient: {temperature: -10 °C}

steps:
  - {at: 1 s, press: C1}
  # gone
faults: [{sunlight: receivers, light: 50 klx, until: 2 s}]
start: {charge: 30 %}
healed at: 5 s
duration: 40 s
`
	s := overStory(t)
	got, err := l.WriteInto("dropped.yaml", text, s)
	if err != nil {
		t.Fatal(err)
	}
	for _, kept := range []string{"# Kept.\n", "  battery: {age: 100 %}   # kept\n", "ambient: ", "start: ", "duration: 12.34 s\n", "healed at: none\n"} {
		if !strings.Contains(got, kept) {
			t.Errorf("no %q in\n%s", kept, got)
		}
	}
	for _, gone := range []string{"lines of it", "press: C1", "# gone", "sunlight", "40 s", "5 s\n"} {
		if strings.Contains(got, gone) {
			t.Errorf("%q is still in\n%s", gone, got)
		}
	}
	if again, err := l.WriteInto("dropped.yaml", got, s); err != nil || again != got {
		t.Errorf("written again: %v\n%s", err, again)
	}
	flowed := "{scenario: x, truck: trucks/produce-4bay.yaml, duration: 5 s}"
	if _, err := l.WriteInto("dropped.yaml", flowed, s); err == nil {
		t.Error("keys on one line were cut apart")
	}
}

// TestSealed: a sealed loader opens what ships, and nothing else.
func TestSealed(t *testing.T) {
	text := "scenario: x\nduration: 5 s\ntruck: "
	var sc Scenario
	l := &Loader{Shipped: Shipped(), Sealed: true}
	if err := l.LoadBytes("x.yaml", []byte(text+"trucks/produce-4bay.yaml\n"), &sc); err != nil {
		t.Error(err)
	}
	for _, name := range []string{"scenario.go", "./trucks/produce-4bay.yaml", "../scenarios/trucks/produce-4bay.yaml", "/etc/hostname"} {
		var sc Scenario
		err := l.LoadBytes("x.yaml", []byte(text+name+"\n"), &sc)
		if name[0:2] == "./" { // the same name, cleaned
			continue
		}
		if err == nil || !strings.Contains(err.Error(), "no file") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

package scenarios

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// aStory is a run of the shipped truck that has a bit of everything.
func aStory(t *testing.T) *Story {
	t.Helper()
	truck, err := (&Loader{Shipped: Shipped()}).LoadTruck(DefaultTruck)
	if err != nil {
		t.Fatal(err)
	}
	p := truck.Params()
	p.Ambient = model.Ambient{Temperature: -4.5, Sunlight: 12_000, Grade: 0.025}
	p.Bays[1].Curtain.Mass, p.Bays[1].Friction.Running, p.Bays[1].Friction.Viscous = 32.5, 22.5, 33
	p.Bays[3].Drive.Resistance = 0.57
	return &Story{
		Name: "Written: by hand", Comment: "What goes wrong.\n\nAnd when. ", Truck: DefaultTruck, Logic: BaselineLogic, HealedAt: 31_000,
		Setup: sim.Setup{
			Truck: p, StepSize: 0.001, TickSteps: 10, Seed: 77, Duration: 60_000, Charge: 0.7, Untaught: true,
			Heights: []float64{1.775, 0.9, -1, -3},
			Actions: []sim.Action{
				{At: 45_000, Kind: sim.LockAsk, Side: model.Curbside, Span: 300},
				{At: 45_000, Kind: sim.LockAsk, Side: model.Roadside, Span: 300},
				{At: 50_000, Kind: sim.UnlockAsk, Side: model.Roadside, Span: 1500},
				{At: 55_000, Kind: sim.BypassLock, Side: model.Curbside},
				{At: 1000, Kind: sim.Press, Bay: 0, Span: 200, Distance: 3},
				{At: 2340, Kind: sim.Press, Bay: 1, Span: 90, Distance: 1.5, Aim: 0.07},
				{At: 10_000, Kind: sim.TeachHold, Bay: 0, Span: 2000},
				{At: 10_500, Kind: sim.Press, Bay: 0, Span: 200, Distance: 1},
				{At: 20_000, Kind: sim.TeachHold, Bay: 1, Span: 2500},
				{At: 61_000, Kind: sim.Press, Bay: 1, Span: 200, Distance: 3}, // after the end
			},
			Faults: []sim.Scheduled{
				{Fault: fault.Fault{Name: "extra-pulses", Place: 2, Values: fault.Values{2}}, To: 30_000},
				{Fault: fault.Fault{Name: "obstruction", Place: 0, Values: fault.Values{0.3, 20e3, 1}}, From: 12_250, To: 20_000},
				{Fault: fault.Fault{Name: "stuck-lock-switch", Place: 1, Values: fault.Values{1, 0}}, From: 5000, To: 20_000},
				{Fault: fault.Fault{Name: "supply-interruption", Values: fault.Values{0.35}}, From: 5000, To: 5020},
			},
		},
	}
}

const aStoryText = `# What goes wrong.
# And when.
scenario: 'Written: by hand'
truck:
  from: trucks/produce-4bay.yaml
  bays:
    C2: {curtain: {mass: 32.5 kg}, friction: {running: 22.5 N, viscous: 33 N·s/m}}
    R2: {drive: {resistance: 570 mΩ}}
logic: logic/baseline.yaml
ambient: {temperature: -4.5 °C, sunlight: 12 klx, grade: 2.5 %}
start: {charge: 70 %, doors: {C1: open, C2: 900 mm}, taught: no}
duration: 60 s
healed at: 31 s
seed: 77
steps:
  - {at: 1 s, press: C1}
  - {at: 2.34 s, press: C2, length: 90 ms, aim: 0.07 rad, distance: 1.5 m}
  - {at: 10 s, teach: C1}
  - {at: 20 s, hold teach: C2, length: 2.5 s}
  - {at: 45 s, lock: both}
  - {at: 50 s, unlock: roadside, length: 1.5 s}
  - {at: 55 s, bypass: curbside, to: locked}
faults:
  - {extra-pulses: R1, until: 30 s, rate: 2 pulses/s}
  - {obstruction: C1, from: 12.25 s, until: 20 s, height: 300 mm, appears: when-clear}
  - {stuck-lock-switch: roadside, from: 5 s, until: 20 s, end: locked, state: released}
  - {supply-interruption: feed, from: 5 s, until: 5.02 s, left: 35 %}
`

func TestWrite(t *testing.T) {
	got, err := (&Loader{Shipped: Shipped()}).Write("story.yaml", aStory(t))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(aStoryText, got); diff != "" {
		t.Error(diff)
	}
}

// A step of teaching is two actions. They are not taken together where another action
// of the same instant would change places with one of them.
func TestWriteKeepsTheOrderOfActions(t *testing.T) {
	s := aStory(t)
	s.Setup.Actions = []sim.Action{
		{At: 10_000, Kind: sim.TeachHold, Bay: 0, Span: 2000},
		{At: 10_500, Kind: sim.Press, Bay: 1, Span: 200, Distance: 3},
		{At: 10_500, Kind: sim.Press, Bay: 0, Span: 200, Distance: 1},
		{At: 20_000, Kind: sim.LockAsk, Side: model.Roadside, Span: 300},
		{At: 20_000, Kind: sim.LockAsk, Side: model.Curbside, Span: 300},
	}
	got, err := (&Loader{Shipped: Shipped()}).Write("story.yaml", s)
	if err != nil {
		t.Fatal(err)
	}
	const want = `steps:
  - {at: 10 s, hold teach: C1}
  - {at: 10.5 s, press: C2}
  - {at: 10.5 s, press: C1, distance: 1 m}
  - {at: 20 s, lock: roadside}
  - {at: 20 s, lock: curbside}
`
	if !strings.Contains(got, want) {
		t.Errorf("written is\n%s\nwant in it\n%s", got, want)
	}
}

func TestWriteRefusesWhatAFileCannotSay(t *testing.T) {
	for _, c := range []struct {
		want   string
		change func(s *Story)
	}{
		{"is no step that a file can name", func(s *Story) { s.Setup.Actions[0].Kind = sim.Interrupt }},
		{"the truck cannot be written", func(s *Story) { s.Setup.Truck.Bays[0].Track.Opening = 1.9 }},
		{"has 4 bays, and the run 3", func(s *Story) { s.Setup.Truck.Bays = s.Setup.Truck.Bays[:3] }},
		{"is no fault that a file can name", func(s *Story) { s.Setup.Faults[0].Fault = nil }},
		{"and this goes on", func(s *Story) { s.Setup.Faults[0].To = 0 }},
		{"the locks cannot be written", func(s *Story) { s.Setup.Locked[model.Roadside] = true }},
		{`no file "trucks/none.yaml"`, func(s *Story) { s.Truck = "trucks/none.yaml" }},
		{"out of range", func(s *Story) {
			s.Setup.Faults[3].Fault = fault.Fault{Name: "supply-interruption", Values: fault.Values{2}}
		}},
	} {
		s := aStory(t)
		c.change(s)
		if _, err := (&Loader{Shipped: Shipped()}).Write("story.yaml", s); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}

func TestPlainText(t *testing.T) {
	for text, want := range map[string]string{
		"Morning stop, crate on the sill": "Morning stop, crate on the sill",
		"a: b":                            "'a: b'",
		"it's":                            "'it''s'",
		"- x":                             "'- x'",
		"":                                "''",
		" a\nb ":                          "a b",
		"null":                            "'null'",
		"12":                              "'12'",
	} {
		if got := plainText(text); got != want {
			t.Errorf("%q is written %s, want %s", text, got, want)
		}
	}
}

// What is left out of a setup is what the bench would take.
func TestWriteTheLeastStory(t *testing.T) {
	s := aStory(t)
	s.Setup = sim.Setup{Truck: s.Setup.Truck, Duration: 5000, Charge: 0.9, Faults: []sim.Scheduled{}}
	s.Setup.Truck.Ambient = model.Ambient{Temperature: 20}
	s.Setup.Truck.Bays[1], s.Setup.Truck.Bays[3] = s.Setup.Truck.Bays[0], s.Setup.Truck.Bays[2]
	s.Setup.Truck.Bays[1].Name, s.Setup.Truck.Bays[1].Station = "C2", 2.4
	s.Setup.Truck.Bays[3].Name, s.Setup.Truck.Bays[3].Station = "R2", 2.4
	s.Name, s.Comment, s.HealedAt = "Nothing", "", 0
	got, err := (&Loader{Shipped: Shipped()}).Write("story.yaml", s)
	const want = "scenario: Nothing\ntruck: trucks/produce-4bay.yaml\nlogic: logic/baseline.yaml\nduration: 5 s\n"
	if err != nil || got != want {
		t.Errorf("%v, written is\n%s\nwant\n%s", err, got, want)
	}
}

package scenarios

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestDecodeScenario(t *testing.T) {
	got, err := loadText(testScenarioFile)
	if err != nil {
		t.Fatal(err)
	}
	bay := testBay{Height: 1.8, Mass: 32, Spring: testSpring{Rate: 2.48, Turns: 6.6}}
	heavier := bay
	heavier.Mass = 31.7514659 // 70 lb
	want := &testScenario{
		Title:   "Morning stop",
		Ambient: testAmbient{Temperature: 277.15},
		Length:  40,
		Truck: testTruck{
			Name:    "produce truck",
			Battery: testBattery{Cranking: 650},
			Bays:    Map[testBay]{[]Entry[testBay]{{Key: "C1", Value: bay}, {Key: "C2", Value: heavier}}},
			Gauges:  []float64{8, -1},
			Edge:    &testEdge{Force: 60},
			Side:    "level",
			Locks:   true,
		},
		Faults: []testFault{{Kind: "obstruction", Value: &testObstruction{
			testWhen: testWhen{From: 10}, Bay: "C1", Height: 0.3, Stiffness: 20000}}},
		Steps: []testStep{{Kind: "press", Value: &testPress{At: 1, Bay: "C1"}}},
	}
	if diff := cmp.Diff(want, got, cmp.AllowUnexported(testObstruction{})); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

func TestDecodeOtherShapes(t *testing.T) {
	got, err := loadText(`scenario: 42
duration: 1 min
seed: 18446744073709551615
truck:
  battery: {cold cranking: 650 A, age: 40 %}
  bays: {}
  parked: uphill
  spare charge: 2 Ah
  coils: 12
  pulses: 360 pulses
  locks: no
  lines: {one: A->B, two: "B->C"}
`)
	if err != nil {
		t.Fatal(err)
	}
	truck := got.Truck
	if got.Title != "42" || got.Seed != 1<<64-1 || truck.Side != "uphill" || *truck.Spare != 7200 || truck.Coils != 12 || truck.Pulses != 360 || truck.Locks {
		t.Errorf("got %+v", got)
	}
	if truck.Battery.Age != 0.4 {
		t.Errorf("age: got %v", truck.Battery.Age)
	}
	if keys := truck.Lines.Keys(); !reflect.DeepEqual(keys, []string{"one", "two"}) || truck.Lines.Get("two").To != "C" || truck.Lines.Get("three") != nil {
		t.Errorf("lines: got %+v", truck.Lines)
	}
}

// What the file leaves out keeps the value that the target had.
func TestDecodeKeepsPresetValues(t *testing.T) {
	scenario := &testScenario{Seed: 7, Ambient: testAmbient{Sunlight: 5}}
	loader := &Loader{Shipped: testShipped()}
	if err := loader.LoadBytes("a.yaml", []byte("scenario: x\nduration: 1 s\ntruck: trucks/produce.yaml\n"), scenario); err != nil {
		t.Fatal(err)
	}
	if scenario.Seed != 7 || scenario.Ambient.Sunlight != 5 {
		t.Errorf("got %+v", scenario)
	}
}

// head is a correct beginning of a file, three lines long.
const head = "scenario: x\nduration: 4 s\ntruck: trucks/produce.yaml\n"

func TestMessages(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"unknown key", head + "sead: 3\n",
			`morning.yaml:4:1: unknown key "sead"
  hint: did you mean "seed"? valid keys: from, scenario, truck, ambient, duration, seed, faults, steps`},
		{"unknown key with nothing near", head + "weather: 3\n",
			`morning.yaml:4:1: unknown key "weather"
  hint: valid keys: from, scenario, truck, ambient, duration, seed, faults, steps`},
		{"misspelled required key is one problem", "scenario: x\nduraton: 4 s\ntruck: trucks/produce.yaml\n",
			`morning.yaml:2:1: unknown key "duraton"
  hint: did you mean "duration"? valid keys: from, scenario, truck, ambient, duration, seed, faults, steps`},
		{"missing keys", "seed: 3\n",
			`morning.yaml:1:1: missing key "scenario"
morning.yaml:1:1: missing key "truck"
morning.yaml:1:1: missing key "duration"
  hint: add a line such as "duration: 20 s"`},
		{"duplicate key", head + "scenario: y\n",
			`morning.yaml:4:1: key "scenario" stands twice, first in line 1
  hint: delete one of the two`},
		{"no value", head + "seed:\nambient: ~\n",
			`morning.yaml:4:1: seed: no value, expected a whole number
  hint: give a value, or leave the key out
morning.yaml:5:1: ambient: no value, expected keys with values such as temperature, sunlight
  hint: give a value, or leave the key out`},
		{"list for a value", head + "seed: [1]\n",
			`morning.yaml:4:7: seed: found a list, expected a whole number`},
		{"value for a list", head + "faults: none\n",
			`morning.yaml:4:9: faults: found "none", expected a list: lines that begin with "- ", or [item, item]`},
		{"mapping for a list", head + "faults: {obstruction: C1}\n",
			`morning.yaml:4:9: faults: found keys with values, expected a list: lines that begin with "- ", or [item, item]`},
		{"value for a mapping", head + "ambient: warm\n",
			`morning.yaml:4:10: ambient: found "warm", expected keys with values such as temperature, sunlight`},
		{"mapping for a quantity", head + "ambient: {temperature: {value: 3}}\n",
			`morning.yaml:4:24: temperature: found keys with values, expected a temperature such as 4 °C, 40 °F or 277 K`},
		{"positions count characters", head + "ambient: {temperature: 4 µK, sunlight: 20 °C}\n",
			`morning.yaml:4:24: temperature: unknown unit "µK"
  hint: did you mean K? a temperature is written in K, °C or °F
morning.yaml:4:40: sunlight: "20 °C" is a temperature, an illuminance is expected
  hint: an illuminance is written in lx, klx or fc`},
		{"out of range", head + "ambient:\n  temperature: 100 °C\n  sunlight: -1 lx\n",
			`morning.yaml:5:16: temperature: "100 °C" is out of range, it must be at least -60 °C and at most 80 °C
morning.yaml:6:13: sunlight: "-1 lx" is out of range, it must be at least 0 and at most 150 klx`},
		{"excluded bound", "scenario: x\nduration: 0 s\ntruck: trucks/produce.yaml\n",
			`morning.yaml:2:11: duration: "0 s" is out of range, it must be above 0 and at most 24 h`},
		{"percent without its sign", head[:26] + "truck: {from: trucks/produce.yaml, battery: {age: 40}}\n",
			`morning.yaml:3:51: age: "40" is out of range, it must be at least 0 and at most 1
  hint: a bare number is a fraction of 1: write 40 %`},
		{"unknown word", head[:26] + "truck: {from: trucks/produce.yaml, parked: uphil}\n",
			`morning.yaml:3:44: parked: unknown word "uphil"
  hint: did you mean "uphill"? valid words: level, uphill, downhill`},
		{"no flag", head[:26] + "truck: {from: trucks/produce.yaml, locks: maybe}\n",
			`morning.yaml:3:43: locks: found "maybe", expected yes or no`},
		{"no whole number", head + "seed: 1.5\n",
			`morning.yaml:4:7: seed: "1.5" is no whole number of 0 or more`},
		{"too large a number", head + "seed: 18446744073709551616\n",
			`morning.yaml:4:7: seed: "18446744073709551616" is no whole number of 0 or more and at most 18446744073709551615`},
		{"whole pulses", head[:26] + "truck: {from: trucks/produce.yaml, pulses: 3.5 pulses, coils: 0}\n",
			`morning.yaml:3:44: pulses: "3.5 pulses" is no whole number
morning.yaml:3:63: coils: "0" is out of range, it must be at least 1 and at most 200`},
		{"too many pulses", head[:26] + "truck: {from: trucks/produce.yaml, pulses: 70000 pulses}\n",
			`morning.yaml:3:44: pulses: "70000 pulses" is out of range`},
		{"unknown kind", head + "faults:\n  - {obstuction: C1, from: 3 s}\n",
			`morning.yaml:5:6: faults[0]: unknown kind "obstuction"
  hint: did you mean "obstruction"? kinds: obstruction, open lead`},
		{"no kind", head + "faults:\n  - {from: 3 s}\n",
			`morning.yaml:5:5: faults[0]: nothing tells the kind, expected one of obstruction or open lead`},
		{"two kinds", head + "faults:\n  - {open lead: C1, obstruction: C1}\n",
			`morning.yaml:5:21: both "open lead" and "obstruction" in one item
  hint: give each an item of its own`},
		{"bare item", head + "faults:\n  - obstruction\n",
			`morning.yaml:5:5: faults[0]: found "obstruction", expected keys with values, one of them obstruction or open lead`},
		{"key of another kind", head + "faults:\n  - {open lead: C1, height: 3 m}\n",
			`morning.yaml:5:21: unknown key "height"
  hint: valid keys: from, until, open lead`},
		{"wrong word in an item", head + "faults:\n  - open lead: C7\n",
			`morning.yaml:5:16: open lead: unknown word "C7"
  hint: did you mean "C1"? valid words: C1, C2`},
		{"own reader", head[:26] + "truck: {from: trucks/produce.yaml, lines: {one: AB, two: [A]}}\n",
			`morning.yaml:3:49: a line is written A->B
morning.yaml:3:58: two: found a list, expected a text`},
		{"own reader of a mapping", head[:26] + "truck: {from: trucks/produce.yaml, lines: {one: {strat: A, colour: blu, length: 3 kg}}}\n",
			`morning.yaml:3:49: a line leads from  to itself
morning.yaml:3:50: unknown key "strat"
  hint: did you mean "start"? valid keys: start, colour, length
morning.yaml:3:68: one: unknown word "blu"
  hint: valid words: red, black
morning.yaml:3:81: one: "3 kg" is a mass, a length is expected
  hint: a length is written in m, mm, cm, km, in or ft`},
		{"common values of nothing", head[:26] + "truck: {from: trucks/produce.yaml, each line: A->B}\n",
			`morning.yaml:3:47: "each line" has nothing to apply to, there is no key "lines"`},
		{"check of the whole", head[:26] + "truck: {from: trucks/produce.yaml, bays: {C2: {mass: 200 kg}}}\n",
			`morning.yaml:3:54: the curtain is too heavy for its height`},
		{"a list where the file begins", "- 1\n",
			`morning.yaml:1:1: found a list, expected keys with values such as scenario, truck, ambient, ...`},
		{"empty file", "", `morning.yaml:1:1: the file is empty`},
		{"only a comment", "# nothing\n", `morning.yaml:1:1: the file is empty`},
		{"anchor", "scenario: &a x\n",
			`morning.yaml:1:11: anchors (&name) are not used here
  hint: common values belong under "from:" or "each bay:"; quote a text that begins with &`},
		{"alias", "scenario: *a\n",
			`morning.yaml:1:11: aliases (*name) are not used here
  hint: common values belong under "from:" or "each bay:"; quote a text that begins with *`},
		{"merge key", "<<: {seed: 3}\n",
			`morning.yaml:1:1: merge keys (<<) are not used here
  hint: name another file with "from:"`},
		{"tag", "scenario: !!str x\n",
			`morning.yaml:1:11: tags (!name) are not used here
  hint: quote a text that begins with !`},
		{"question mark key", "? scenario\n: x\n",
			`morning.yaml:1:1: keys written with ? are not used here
  hint: write "key: value"`},
		{"two documents", head + "---\nscenario: y\n",
			`morning.yaml:4:1: only one document a file
  hint: split the file at the line "---"`},
		{"directive", "%YAML 1.2\n---\nscenario: x\n",
			`morning.yaml:1:1: directives (%) are not used here
  hint: write a percentage as number and sign: 80 %`},
		{"two colons", "scenario: stop: start\n",
			`morning.yaml:1:11: a second ":" on one line
  hint: quote a text that holds ": ", or put the second key on a line of its own`},
		{"tab", "ambient:\n\ttemperature: 4 °C\n",
			`morning.yaml:2:1: a tab is used for indentation
  hint: indent with spaces`},
		{"bad indentation", "scenario: x\n  seed: 3\n",
			`morning.yaml:1:11: a second ":" on one line
  hint: quote a text that holds ": ", or put the second key on a line of its own`},
		{"open list", "faults: [1, 2\nseed: 3\n",
			`morning.yaml:2:1: a list in [ ] is not closed`},
		{"open mapping", "ambient: {temperature: 4 °C\nseed: 3\n",
			`morning.yaml:2:1: a mapping in { } is not closed`},
		{"cut off within a mapping", "steps:\n  - {at: 1 s, press: C1",
			`morning.yaml:2:5: a mapping in { } is not closed`},
		{"cut off as a mapping begins", "steps:\n  - {",
			`morning.yaml:2:5: a mapping in { } is not closed`},
		{"open quote", "scenario: \"x\nseed: 3\n",
			`morning.yaml:1:11: the text that begins here has no closing quote`},
		{"list on the line of its key", "faults: - x\n",
			`morning.yaml:1:9: a list may not begin on the line of its key
  hint: put "- item" on the next line, or write [item, item]`},
		{"not UTF-8", "scenario: Stra\xdfe\n",
			`morning.yaml:1:15: the file is not UTF-8 text
  hint: save it with the encoding UTF-8`},
		{"control character", "scenario: a\x07b\n",
			`morning.yaml:1:12: invisible character U+0007 in the text
  hint: delete it`},
		{"list as a key", "[a]: 3\n",
			`morning.yaml:1:4: no plain key stands before this ":"`},
		{"list as a key in brackets", "ambient: {[a]: 3}\n",
			`morning.yaml:1:14: no plain key stands before this ":"`},
		{"too deep", "scenario: " + strings.Repeat("[", 40) + strings.Repeat("]", 40) + "\n",
			`morning.yaml:1:43: mappings and lists lie within each other more than 32 deep`},
		{"far too deep", "scenario: " + strings.Repeat("[", 50000),
			`morning.yaml:1:74: mappings and lists lie within each other more than 32 deep`},
		{"too large", strings.Repeat("#", 1<<20+1),
			`morning.yaml:1:1: the file is larger than 1 MiB`},
		{"far too many words", strings.Repeat("- 1\n", 50000),
			`morning.yaml:1:1: the file has more than 30000 words and signs`},
		{"too many words", strings.Repeat("- 1\n", 20000),
			`morning.yaml:15001:1: the file has more than 30000 words and signs`},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, err := loadText(test.text)
			if err == nil {
				t.Fatalf("no error, want\n%s", test.want)
			}
			if err.Error() != test.want {
				t.Errorf("got\n%s\nwant\n%s", err, test.want)
			}
			var problems Problems
			if !errors.As(err, &problems) {
				t.Errorf("the error is a %T", err)
			}
		})
	}
}

func TestProblemsAreSortedAndBounded(t *testing.T) {
	var text strings.Builder
	text.WriteString(head)
	for i := range 30 {
		fmt.Fprintf(&text, "wrong%d: 1\n", i)
	}
	_, err := loadText(text.String())
	problems := err.(Problems)
	if len(problems) != 21 || problems[20].Error() != "and 10 more problems" {
		t.Fatalf("got %d problems:\n%v", len(problems), err)
	}
	for i := range 20 {
		if problems[i].Pos != (Pos{"morning.yaml", i + 4, 1}) {
			t.Errorf("problem %d stands at %v", i, problems[i].Pos)
		}
	}
}

// The same slip in the common values of all bays is told once.
func TestCommonValuesReportOnce(t *testing.T) {
	_, err := loadText(head[:26] + "truck: {from: trucks/produce.yaml, each bay: {mas: 3 kg, height: 5 kg}}\n")
	want := `morning.yaml:3:47: unknown key "mas"
  hint: did you mean "mass"? valid keys: height, counterbalance, mass, comment
morning.yaml:3:66: height: "5 kg" is a mass, a length is expected
  hint: a length is written in m, mm, cm, km, in or ft`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

// Scalars written in any YAML style have their positions where they begin.
func TestPositions(t *testing.T) {
	got, err := loadText("# a comment\n\nscenario: |\n  Morning\n  stop\nduration:   '40 s'\ntruck:\n  from: trucks/produce.yaml\n  bays:\n    C1:\n      mass: 30 kg\n  wires:\n    - 8 AWG\n    - 10 AWG\nsteps:\n- at: 1 s\n  press: C1\n-   press: C2\n    at: 2 s\n")
	if err != nil {
		t.Fatal(err)
	}
	bay := got.Truck.Bays.Get("C1")
	tests := []struct {
		name string
		got  Pos
		want string
	}{
		{"block text", got.PosOf("scenario"), "morning.yaml:3:11"},
		{"quoted text", got.PosOf("duration"), "morning.yaml:6:13"},
		{"file", got.Pos(), "morning.yaml:3:1"},
		{"mapping", got.Truck.Pos(), "morning.yaml:8:3"},
		{"overridden value", bay.PosOf("mass"), "morning.yaml:11:13"},
		{"value of the file below", bay.PosOf("counterbalance", "rate"), "shipped:trucks/produce.yaml:7:11"},
		{"value that is nowhere", bay.PosOf("comment"), "morning.yaml:11:7"},
		{"list item", got.PosOf("truck", "wires", 1), "morning.yaml:14:7"},
		{"no list item", got.PosOf("truck", "wires", 9), "morning.yaml:13:5"},
		{"first step", got.Steps[0].Pos(), "morning.yaml:16:3"},
		{"second step", got.Steps[1].PosOf("at"), "morning.yaml:19:9"},
		{"key of an entry", got.Truck.Bays.Entries[0].KeyAt.Pos(), "morning.yaml:10:5"},
		{"key of an entry below", got.Truck.Bays.Entries[1].KeyAt.Pos(), "shipped:trucks/produce.yaml:11:3"},
		{"nothing was read", Located{}.PosOf("x"), ""},
	}
	for _, test := range tests {
		if test.got.String() != test.want {
			t.Errorf("%s: got %s, want %s", test.name, test.got, test.want)
		}
	}
	if !bay.Has("mass") || bay.Has("comment") {
		t.Error("Has: a bay has a mass and no comment")
	}
	if got.Title != "Morning\nstop\n" {
		t.Errorf("title: got %q", got.Title)
	}
}

// Wherever an unknown key is put among random blanks and line ends, the reported
// line and column are where it stands.
func TestPositionOfRandomLayout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		newline := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "newline")
		var b strings.Builder
		blank := func(label string) {
			for range rapid.IntRange(0, 2).Draw(t, label) {
				b.WriteString(rapid.SampledFrom([]string{"", "# Größe °C", "   # x"}).Draw(t, "filler") + newline)
			}
		}
		blank("before")
		b.WriteString("scenario: " + rapid.SampledFrom([]string{"x", "'µ Ω'", "\"a\\tb\"", "über °"}).Draw(t, "title") + newline)
		blank("between")
		b.WriteString("ambient:" + newline)
		indent := strings.Repeat(" ", rapid.IntRange(1, 6).Draw(t, "indent"))
		b.WriteString(indent + "sunlight: 3 klx   # °" + newline)
		blank("inside")
		line := strings.Count(b.String(), "\n") + 1
		column := len(indent) + 1
		if rapid.Bool().Draw(t, "flow") {
			b.WriteString(indent + "temperature: 4 °C" + newline + "truck: {name: Ö, ")
			line, column = line+1, 18
		} else {
			b.WriteString(indent)
		}
		b.WriteString("wrong: 3")
		if column == 18 {
			b.WriteString("}")
		}
		b.WriteString(newline)
		_, err := loadText(b.String())
		var problems Problems
		errors.As(err, &problems)
		for _, p := range problems {
			if p.Message == `unknown key "wrong"` && p.Pos == (Pos{"morning.yaml", line, column}) {
				return
			}
		}
		t.Fatalf("want the unknown key at %d:%d of\n%s\ngot\n%v", line, column, b.String(), err)
	})
}

// Tags that make no sense are a mistake of the programmer, told at first use.
func TestBadTagsPanic(t *testing.T) {
	tests := []struct {
		target any
		want   string
	}{
		{&struct{ A float64 }{}, "needs a yaml tag"},
		{&struct {
			A float64 `yaml:"a"`
		}{}, "needs a unit tag"},
		{&struct {
			A float64 `yaml:"a" unit:"weight"`
		}{}, `unknown dimension "weight"`},
		{&struct {
			A float64 `yaml:"a" unit:"mass" range:"0 to 3 kg"`
		}{}, "a range is written like"},
		{&struct {
			A float64 `yaml:"a" unit:"mass" range:"[3 kg,2 kg]"`
		}{}, "is empty"},
		{&struct {
			A float64 `yaml:"a" unit:"mass" range:"[0,3]"`
		}{}, "needs a unit"},
		{&struct {
			A float64 `yaml:"a" unit:"mass" range:"[0,3 m]"`
		}{}, "a mass is expected"},
		{&struct {
			A float64 `yaml:"a" unit:"mass" default:"3 m"`
		}{}, "a mass is expected"},
		{&struct {
			A float64 `yaml:"a,required" unit:"mass" default:"3 kg"`
		}{}, "a required key has no default"},
		{&struct {
			A []string `yaml:"a" default:"x"`
		}{}, "only single values have a default"},
		{&struct {
			A string `yaml:"a,optional"`
		}{}, "the yaml tag is"},
		{&struct {
			A string `yaml:"a"`
			B string `yaml:"a"`
		}{}, "twice"},
		{&struct {
			Overlay
			A string `yaml:"from"`
		}{}, "twice"},
		{&struct {
			A chan int `yaml:"a"`
		}{}, "cannot be read"},
		{&struct {
			A []string `yaml:"a" each:"each a"`
		}{}, "an each tag belongs to a Map"},
	}
	for _, test := range tests {
		func() {
			defer func() {
				if got := fmt.Sprint(recover()); !strings.Contains(got, test.want) {
					t.Errorf("%T: got the panic %q, want %q in it", test.target, got, test.want)
				}
			}()
			_ = (&Loader{}).LoadBytes("x.yaml", []byte("a: 1\n"), test.target)
		}()
	}
}

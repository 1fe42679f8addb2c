package scenarios

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"
)

// truckFrom loads a scenario around the given lines of its truck.
func truckFrom(lines string, sets ...string) (testTruck, error) {
	scenario, err := loadText("scenario: x\nduration: 4 s\ntruck:\n  from: trucks/produce.yaml\n"+lines, sets...)
	return scenario.Truck, err
}

func TestOverrideInPlace(t *testing.T) {
	truck, err := truckFrom("  battery: {age: 0.5}\n  wires: [10 AWG]\n  bays:\n    C1: {counterbalance: {initial turns: 5 turns}}\n")
	if err != nil {
		t.Fatal(err)
	}
	c1, c2 := truck.Bays.Get("C1"), truck.Bays.Get("C2")
	switch {
	case truck.Battery.Age != 0.5 || truck.Battery.Cranking != 650:
		t.Errorf("mappings merge: battery is %+v", truck.Battery)
	case len(truck.Gauges) != 1 || truck.Gauges[0] != 10:
		t.Errorf("lists replace: wires are %v", truck.Gauges)
	case c1.Spring.Turns != 5 || c1.Spring.Rate != 2.48 || c1.Mass != 32:
		t.Errorf("one value of one bay: C1 is %+v", c1)
	case c2.Spring.Turns != 6.6:
		t.Errorf("the other bay stays: C2 is %+v", c2)
	case truck.Base() != "trucks/produce.yaml":
		t.Errorf("base: got %q", truck.Base())
	}
}

// Of common values and a bay's own, the outer file wins; within a file the bay.
func TestEachBayOrder(t *testing.T) {
	tests := []struct {
		name, lines    string
		massC1, massC2 float64
	}{
		{"the base: common for C1, own for C2", "", 32, 31.7514659},
		{"outer common values beat inner own ones", "  each bay: {mass: 40 kg}\n", 40, 40},
		{"an outer bay beats outer common values", "  each bay: {mass: 40 kg}\n  bays: {C1: {mass: 50 kg}}\n", 50, 40},
		{"the order in the file is of no matter", "  bays: {C1: {mass: 50 kg}}\n  each bay: {mass: 40 kg}\n", 50, 40},
	}
	for _, test := range tests {
		truck, err := truckFrom(test.lines)
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		if c1, c2 := truck.Bays.Get("C1").Mass, truck.Bays.Get("C2").Mass; c1 != test.massC1 || c2 != test.massC2 {
			t.Errorf("%s: got C1 %v and C2 %v, want %v and %v", test.name, c1, c2, test.massC1, test.massC2)
		}
	}
}

func TestNewBayTakesAllCommonValues(t *testing.T) {
	truck, err := truckFrom("  each bay: {mass: 40 kg}\n  bays: {R1: {height: 2 m}}\n")
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(truck.Bays.Keys(), " "); got != "C1 C2 R1" {
		t.Errorf("bays: got %s", got)
	}
	if r1 := truck.Bays.Get("R1"); r1.Height != 2 || r1.Mass != 40 || r1.Spring.Rate != 2.48 {
		t.Errorf("R1: got %+v", r1)
	}
}

// Names of the user's own choice merge one by one, below them their keys.
func TestMapsMerge(t *testing.T) {
	scenario, err := loadText("from: demo/morning.yaml\ntruck:\n  from: trucks/produce.yaml\n  weights: {b: {left: 3 kg}, c: {left: 1 kg}}\n", "truck.weights.b.right=4 kg")
	if err != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprint(scenario.Truck.Weights.Keys(), *scenario.Truck.Weights.Get("b")); got != "[b c] {3 4}" {
		t.Errorf("got %s", got)
	}
	files := testShipped()
	files["trucks/mine.yaml"] = &fstest.MapFile{Data: []byte(testTruckFile + "weights: {a: {left: 1 kg}, b: {left: 1 kg, right: 2 kg}}\n")}
	scenario = &testScenario{}
	err = (&Loader{Shipped: files}).LoadBytes("x.yaml", []byte("scenario: x\nduration: 1 s\ntruck: {from: trucks/mine.yaml, weights: {b: {left: 3 kg}, c: {right: 9 kg}}}\n"), scenario)
	if err != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprint(scenario.Truck.Weights.Keys(), *scenario.Truck.Weights.Get("b")); got != "[a b c] {3 2}" {
		t.Errorf("got %s", got)
	}
}

// A changed value of an item keeps its kind; another kind replaces all of it.
func TestKindsMerge(t *testing.T) {
	base := "from: demo/morning.yaml\ntruck: {from: trucks/produce.yaml, usual fault: {obstruction: C1, height: 1 m, stiffness: 5 N/mm}}\n"
	files := testShipped()
	files["base.yaml"] = &fstest.MapFile{Data: []byte(base)}
	usual := func(change string) (string, error) {
		s := &testScenario{}
		err := (&Loader{Shipped: files}).LoadBytes("x.yaml", []byte("from: base.yaml\ntruck: {usual fault: "+change+"}\n"), s)
		if err != nil || s.Truck.Usual == nil {
			return "none", err
		}
		return fmt.Sprintf("%+v", s.Truck.Usual.Value), nil
	}
	tests := []struct{ change, want string }{
		{"{height: 2 m}", "&{testWhen:{From:0 Until:<nil>} Bay:C1 Height:2 Stiffness:5000}"},
		{"{obstruction: C2}", "&{testWhen:{From:0 Until:<nil>} Bay:C2 Height:1 Stiffness:5000}"},
		{"{open lead: C2}", "&{testWhen:{From:0 Until:<nil>} Bay:C2}"},
		{"none", "none"},
	}
	for _, test := range tests {
		if got, err := usual(test.change); err != nil || got != test.want {
			t.Errorf("%s: got %s, %v, want %s", test.change, got, err, test.want)
		}
	}
	if _, err := usual("{hight: 2 m}"); err == nil || !strings.Contains(err.Error(), `did you mean "height"?`) {
		t.Errorf("a slip in a changed item: got %v", err)
	}
}

func TestNoneTakesAway(t *testing.T) {
	truck, err := truckFrom("  sensing edge: none\n")
	if err != nil || truck.Edge != nil {
		t.Errorf("got %+v, %v", truck.Edge, err)
	}
	scenario, err := loadText("scenario: x\nduration: 4 s\ntruck:\n  from: trucks/no-edge.yaml\n  sensing edge: {force: 80 N}\n")
	if err != nil || scenario.Truck.Edge == nil || scenario.Truck.Edge.Force != 80 {
		t.Errorf("put back: got %+v, %v", scenario.Truck.Edge, err)
	}
}

// A chain of three files, the middle one relative to itself.
func TestChainOfFiles(t *testing.T) {
	scenario, err := loadText("scenario: x\nduration: 4 s\ntruck: trucks/no-edge.yaml\n")
	if err != nil {
		t.Fatal(err)
	}
	if scenario.Truck.Edge != nil || scenario.Truck.Name != "produce truck" {
		t.Errorf("got %+v", scenario.Truck)
	}
}

func TestScenarioFromScenario(t *testing.T) {
	scenario, err := loadText("from: demo/morning.yaml\nduration: 10 s\ntruck: {battery: {age: 0.3}}\nfaults: []\n")
	if err != nil {
		t.Fatal(err)
	}
	if scenario.Length != 10 || scenario.Title != "Morning stop" || scenario.Truck.Battery.Age != 0.3 || scenario.Truck.Battery.Cranking != 650 || len(scenario.Faults) != 0 || len(scenario.Steps) != 1 {
		t.Errorf("got %+v", scenario)
	}
}

func TestOverlayMessages(t *testing.T) {
	tests := []struct{ name, lines, want string }{
		{"error in the override", "  battery: {age: 2}\n",
			`morning.yaml:5:18: age: "2" is out of range, it must be at least 0 and at most 1
  hint: a bare number is a fraction of 1: write 2 %`},
		{"name of no file", "  from: x\n", `morning.yaml:5:3: key "from" stands twice, first in line 4
  hint: delete one of the two`},
		{"bays as a list", "  bays: [C1]\n", `morning.yaml:5:9: bays: found a list, expected names with values`},
		{"common values as a word", "  each bay: heavy\n", `morning.yaml:5:13: C1: found "heavy", expected keys with values such as height, counterbalance, mass, ...
morning.yaml:5:13: C2: found "heavy", expected keys with values such as height, counterbalance, mass, ...`},
	}
	for _, test := range tests {
		_, err := truckFrom(test.lines)
		if err == nil || err.Error() != test.want {
			t.Errorf("%s: got\n%v\nwant\n%s", test.name, err, test.want)
		}
	}
}

// A mistake in a file below is told at its place there, and the rest of the
// outer file is still checked.
func TestErrorInBase(t *testing.T) {
	files := testShipped()
	tests := []struct{ name, base, want string }{
		{"wrong value", testTruckFile + "coils: many\n",
			`shipped:trucks/mine.yaml:14:8: coils: "many" is no whole number`},
		{"bad YAML", "name: [",
			`morning.yaml:4:1: unknown key "sead"
  hint: did you mean "seed"? valid keys: from, scenario, truck, ambient, duration, seed, faults, steps
shipped:trucks/mine.yaml:1:7: a list in [ ] is not closed`},
		{"no mapping", "produce truck\n",
			`morning.yaml:4:1: unknown key "sead"
  hint: did you mean "seed"? valid keys: from, scenario, truck, ambient, duration, seed, faults, steps
shipped:trucks/mine.yaml:1:1: found a single value, expected keys with values such as name, battery, each bay, ...`},
		{"names no file", "from: [a]\n",
			`morning.yaml:4:1: unknown key "sead"
  hint: did you mean "seed"? valid keys: from, scenario, truck, ambient, duration, seed, faults, steps
shipped:trucks/mine.yaml:1:7: found a list, expected the name of a file`},
		{"names itself", "from: mine.yaml\n",
			`morning.yaml:4:1: unknown key "sead"
  hint: did you mean "seed"? valid keys: from, scenario, truck, ambient, duration, seed, faults, steps
shipped:trucks/mine.yaml:1:7: "mine.yaml" starts from itself
  hint: the files name each other in a circle`},
	}
	for _, test := range tests {
		files["trucks/mine.yaml"] = &fstest.MapFile{Data: []byte(test.base)}
		loader := &Loader{Shipped: files}
		text := "scenario: x\nduration: 4 s\ntruck: trucks/mine.yaml\n"
		if strings.Contains(test.want, "sead") {
			text += "sead: 3\n"
		}
		err := loader.LoadBytes("morning.yaml", []byte(text), &testScenario{})
		if err == nil || err.Error() != test.want {
			t.Errorf("%s: got\n%v\nwant\n%s", test.name, err, test.want)
		}
	}
}

func TestFileBounds(t *testing.T) {
	files := testShipped()
	for i := range 12 {
		files[fmt.Sprintf("deep/%d.yaml", i)] = &fstest.MapFile{Data: []byte(fmt.Sprintf("from: %d.yaml\n", i+1))}
	}
	files["deep/12.yaml"] = &fstest.MapFile{Data: []byte(testTruckFile)}
	load := func(text string) error {
		return (&Loader{Shipped: files}).LoadBytes("a.yaml", []byte("scenario: x\nduration: 4 s\n"+text), &testScenario{})
	}
	if err := load("truck: deep/5.yaml\n"); err != nil {
		t.Errorf("8 files deep: %v", err)
	}
	want := "shipped:deep/11.yaml:1:7: more than 8 files name one another"
	if err := load("truck: deep/4.yaml\n"); err == nil || err.Error() != want {
		t.Errorf("9 files deep: got %v, want %s", err, want)
	}
	var bays strings.Builder
	for i := range 65 {
		fmt.Fprintf(&bays, "    B%d: {}\n", i)
	}
	want = "a.yaml:6:5: more than 64 entries in bays"
	if err := load("truck:\n  from: trucks/produce.yaml\n  bays:\n" + bays.String()); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("65 bays: got %v, want %s", err, want)
	}
}

// Files on disk are looked for beside the file that names them, before shipped
// ones of the same name.
func TestFilesOnDisk(t *testing.T) {
	folder := t.TempDir()
	write := func(name, text string) string {
		name = filepath.Join(folder, name)
		if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		return name
	}
	scenario := write("mine/stop.yaml", "scenario: x\nduration: 4 s\ntruck: trucks/own.yaml\n")
	write("mine/trucks/own.yaml", "from: trucks/produce.yaml\nname: my truck\n")
	write("mine/shipped.yaml", "scenario: x\nduration: 4 s\ntruck: shipped:trucks/own.yaml\n")
	write("mine/folder.yaml", "scenario: x\nduration: 4 s\ntruck: trucks\n")
	write("mine/typo.yaml", "scenario: x\nduration: 4 s\ntruck: foldr.yaml\n")
	loader := &Loader{Shipped: testShipped()}
	load := func(name string) (*testScenario, error) {
		s := &testScenario{}
		return s, loader.Load(name, s)
	}
	got, err := load(scenario)
	if err != nil || got.Truck.Name != "my truck" || got.Truck.Battery.Cranking != 650 {
		t.Errorf("own file over a shipped one: got %+v, %v", got.Truck, err)
	}
	if got, err := load("demo/morning.yaml"); err != nil || got.Title != "Morning stop" {
		t.Errorf("shipped scenario by name: got %+v, %v", got, err)
	}
	tests := []struct{ name, want string }{
		{filepath.Join(folder, "mine/shipped.yaml"), `/mine/shipped.yaml:3:8: no file "shipped:trucks/own.yaml"
  hint: files are looked for beside the one that names them, then among the shipped ones`},
		{filepath.Join(folder, "mine/folder.yaml"), `/mine/folder.yaml:3:8: cannot read "trucks": it is a folder`},
		{filepath.Join(folder, "mine/typo.yaml"), `/mine/typo.yaml:3:8: no file "foldr.yaml"
  hint: did you mean folder.yaml?`},
		{"demo/mornin.yaml", `no file "demo/mornin.yaml"
  hint: did you mean demo/morning.yaml?`},
		{"no/such/thing", `no file "no/such/thing"
  hint: give the path of a file, or the name of a shipped one`},
		{"../../etc/passwd\x00", `no file "../../etc/passwd\x00"
  hint: give the path of a file, or the name of a shipped one`},
	}
	for _, test := range tests {
		if _, err := load(test.name); err == nil || strings.TrimPrefix(err.Error(), folder) != test.want {
			t.Errorf("%s: got\n%v\nwant\n%s", test.name, err, test.want)
		}
	}
}

// A file that a plain value names is found the same way, and --set leaves it alone.
func TestLoadNamed(t *testing.T) {
	loader := &Loader{Shipped: testShipped(), Set: []string{"duration=3 s"}}
	tests := []struct {
		name string
		at   Pos
		want string // the error, or "" for none
	}{
		{"trucks/produce.yaml", Pos{"mine/x.yaml", 3, 8}, ""},
		{"produce.yaml", Pos{"shipped:trucks/no-edge.yaml", 1, 1}, ""},
		{"trucks/produce.yaml", Pos{File: "--set truck"}, ""},
		{"produce.yml", Pos{"shipped:trucks/no-edge.yaml", 2, 3}, `shipped:trucks/no-edge.yaml:2:3: no file "produce.yml"
  hint: did you mean trucks/produce.yaml?`},
		{"produce.yml", Pos{File: "--set truck"}, `--set truck: no file "produce.yml"
  hint: did you mean trucks/produce.yaml?`},
	}
	for _, test := range tests {
		truck := &testTruck{}
		err := loader.LoadNamed(test.name, test.at, truck)
		if test.want == "" && (err != nil || truck.Battery.Cranking != 650) || test.want != "" && (err == nil || err.Error() != test.want) {
			t.Errorf("%s from %v: got %v, want %q", test.name, test.at, err, test.want)
		}
	}
}

func TestSet(t *testing.T) {
	tests := []struct {
		set  string
		seen func(s *testScenario) any
		want any
	}{
		{"truck.battery.age=0.4", func(s *testScenario) any { return s.Truck.Battery.Age }, 0.4},
		{" truck.battery.age = 40 % ", func(s *testScenario) any { return s.Truck.Battery.Age }, 0.4},
		{"truck.bays.C1.counterbalance.initial turns=5.0 turns", func(s *testScenario) any {
			return fmt.Sprint(s.Truck.Bays.Get("C1").Spring.Turns, s.Truck.Bays.Get("C2").Spring.Turns)
		}, "5 6.6"},
		{"truck.each bay.mass=40 kg", func(s *testScenario) any {
			return fmt.Sprint(s.Truck.Bays.Get("C1").Mass, s.Truck.Bays.Get("C2").Mass)
		}, "40 40"},
		{"truck.each bay.counterbalance={rate: 3 N·m/turn, initial turns: 5 turns}", func(s *testScenario) any { return s.Truck.Bays.Get("C2").Spring }, testSpring{3, 5}},
		{"truck.each bay.counterbalance={rate: 3 N·m/turn}", func(s *testScenario) any { return s.Truck.Bays.Get("C2").Spring }, testSpring{3, 6.6}},
		{"ambient.sunlight=20 klx", func(s *testScenario) any { return s.Ambient.Sunlight }, 20000.0},
		{"ambient={sunlight: 20 klx}", func(s *testScenario) any { return s.Ambient }, testAmbient{277.15, 20000}},
		{"truck=trucks/no-edge.yaml", func(s *testScenario) any { return s.Truck.Edge == nil }, true},
		{"truck.sensing edge=none", func(s *testScenario) any { return s.Truck.Edge == nil }, true},
		{"truck.sensing edge.force=1 kN", func(s *testScenario) any { return s.Truck.Edge.Force }, 1000.0},
		{"truck.spare charge=1 Ah", func(s *testScenario) any { return *s.Truck.Spare }, 3600.0},
		{"truck.wires.1=10 AWG", func(s *testScenario) any { return fmt.Sprint(s.Truck.Gauges) }, "[8 10]"},
		{"steps[0].at=3 s", func(s *testScenario) any { return s.Steps[0].Value.(*testPress).At }, 3.0},
		{"faults.0.stiffness=30 N/mm", func(s *testScenario) any { return s.Faults[0].Value.(*testObstruction).Stiffness }, 30000.0},
		{"truck.spare charge=none", func(s *testScenario) any { return s.Truck.Spare == nil }, true},
		{"faults=[]", func(s *testScenario) any { return len(s.Faults) }, 0},
		{"scenario=a = b: c", func(s *testScenario) any { return s.Title }, "a = b: c"},
	}
	for _, test := range tests {
		scenario, err := loadText(testScenarioFile, test.set)
		if err != nil {
			t.Errorf("%s: %v", test.set, err)
			continue
		}
		if got := test.seen(scenario); got != test.want {
			t.Errorf("%s: got %v, want %v", test.set, got, test.want)
		}
	}
}

// Later changes win, and a changed truck can be changed further.
func TestSetsInOrder(t *testing.T) {
	scenario, err := loadText(testScenarioFile, "truck.battery.age=0.4", "truck=trucks/no-edge.yaml", "truck.battery.age=0.6", "truck.battery.age=0.7", "truck.each bay.mass=40 kg", "truck.bays.C1.mass=41 kg")
	if err != nil {
		t.Fatal(err)
	}
	truck := scenario.Truck
	if truck.Battery.Age != 0.7 || truck.Bays.Get("C1").Mass != 41 || truck.Bays.Get("C2").Mass != 40 || truck.Base() != "trucks/no-edge.yaml" {
		t.Errorf("got %+v", truck)
	}
}

func TestSetMessages(t *testing.T) {
	tests := []struct{ set, want string }{
		{"truck.battery.agee=0.4", `--set truck.battery.agee: unknown key "agee" in battery
  hint: did you mean "age"? valid keys: cold cranking, age`},
		{"trucks.battery=3", `--set trucks.battery: unknown key "trucks"
  hint: did you mean "truck"? valid keys: scenario, truck, ambient, duration, seed, faults, steps`},
		{"truck.battery.age=4 kg", `--set truck.battery.age: age: "4 kg" is a mass, a ratio is expected
  hint: a ratio is written in %, or without a unit`},
		{"truck.battery.age.x=3", `--set truck.battery.age.x: "truck.battery.age" is a single value, there is nothing below it`},
		{"truck.bays.C3.mass=1 kg", `--set truck.bays.C3.mass: there is no "C3" in bays
  hint: did you mean "C1"? there are: C1, C2`},
		{"truck.each bay.mas=1 kg", `--set truck.each bay.mas: unknown key "mas" in each bay
  hint: did you mean "mass"? valid keys: height, counterbalance, mass, comment`},
		{"truck.each bay=1 kg", `--set truck.each bay: "each bay" is no single value
  hint: name one of its values, as in --set "truck.each bay.mass=30 kg"`},
		{"steps.4.at=1 s", `--set steps.4.at: there is no item "4" in steps
  hint: it has 1 item, counted from 0`},
		{"steps.first.at=1 s", `--set steps.first.at: there is no item "first" in steps
  hint: it has 1 item, counted from 0`},
		{"steps[0].att=2 s", `--set steps[0].att: unknown key "att" in steps[0]
  hint: did you mean "at"? valid keys: at, press`},
		{"truck.from=x.yaml", `--set truck.from: the file that a part starts from is not changed by "from"
  hint: set the whole part to another file: --set "truck=FILE"`},
		{"truck=trucks/produc.yaml", `--set truck: no file "trucks/produc.yaml"
  hint: did you mean trucks/produce.yaml?`},
		{"faults=[{obstruction: C1}", `--set faults: a list in [ ] is not closed`},
		{"faults=[{obstruction: C1}]", `--set faults: missing key "height" in faults[0]
  hint: add a line such as "height: 300 mm"`},
		{"truck.battery.age", `--set truck.battery.age: expected path=value
  hint: write it like --set "truck.battery.age=0.4"`},
		{"=3", `--set =3: expected path=value
  hint: write it like --set "truck.battery.age=0.4"`},
		{"truck.battery.age=", `--set truck.battery.age=: expected path=value
  hint: write it like --set "truck.battery.age=0.4"`},
		{"scenario=a\nb", `--set scenario: the value must be one line of text`},
		{"truck..age=3", `--set truck..age: unknown key "" in truck
  hint: valid keys: name, battery, each bay, bays, wires, sensing edge, parked, spare charge, coils, pulses, each line, lines, usual fault, weights, locks`},
		{strings.Repeat("a.", 40) + "a=3", "--set " + strings.Repeat("a.", 40) + "a: the path has more than 32 keys"},
	}
	for _, test := range tests {
		_, err := loadText(testScenarioFile, test.set)
		if err == nil || err.Error() != test.want {
			t.Errorf("%s: got\n%v\nwant\n%s", test.set, err, test.want)
		}
	}
}

// Overriding a value in the file, in an outer file, and by --set come to the same.
func TestThreeWaysToOverride(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bay := rapid.SampledFrom([]string{"C1", "C2"}).Draw(t, "bay")
		mass := FormatQuantity(rapid.Float64Range(1, 100).Draw(t, "mass"), "mass")
		outer, err := truckFrom(fmt.Sprintf("  bays: {%s: {mass: %s}}\n", bay, mass))
		if err != nil {
			t.Fatal(err)
		}
		set, err := truckFrom("", fmt.Sprintf("truck.bays.%s.mass=%s", bay, mass))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"C1", "C2"} {
			if a, b := outer.Bays.Get(name).Mass, set.Bays.Get(name).Mass; a != b {
				t.Fatalf("%s: by the file %v, by --set %v", name, a, b)
			}
		}
		if want, _ := ParseQuantity(mass, "mass"); outer.Bays.Get(bay).Mass != want {
			t.Fatalf("got %v, want %v", outer.Bays.Get(bay).Mass, want)
		}
	})
}

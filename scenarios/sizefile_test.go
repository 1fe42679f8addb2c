package scenarios

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"slatbench/model"
	"slatbench/sim/sizing"
)

func loadSize(t *testing.T, name string, flags ...SizeFlag) *SizeFile {
	t.Helper()
	f, err := (&Loader{Shipped: Shipped()}).LoadSize(name, flags)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Every shipped size file has an answer, and none of it fails.
func TestShippedSizes(t *testing.T) {
	for _, name := range []string{DefaultSize, "sizing/shop-door.yaml"} {
		f := loadSize(t, name)
		r, err := sizing.Ask(f.Question())
		if err != nil {
			t.Fatal(err)
		}
		if r.Verdict == sizing.Fail {
			t.Errorf("%s fails", name)
		}
		for i := range r.Answers {
			if a := &r.Answers[i]; a.Verdict == sizing.Marginal && a.Fix == "" {
				t.Errorf("%s: %s is marginal, and nothing is to be tried", name, a.Aspect.Info().ID)
			}
		}
		if len(f.ToleranceList()) == 0 {
			t.Errorf("%s states no tolerances", name)
		}
	}
}

// The file's values get where they belong, by the definitions of the units.
func TestSizeFileValues(t *testing.T) {
	q := loadSize(t, "sizing/shop-door.yaml").Question()
	rows := []struct {
		what      string
		got, want float64
	}{
		{"height, m", q.Bay.Track.Opening, 78 * model.Inch},
		{"mass, kg", q.Bay.Curtain.Mass, 130 * model.Pound},
		{"curtain as long as the opening is high, m", q.Bay.Curtain.Length, 78 * model.Inch},
		{"drum radius, m", q.Bay.Counterbalance.DrumRadius, 2.25 * model.Inch},
		{"closing spring, N/m", q.Bay.ClosingSpring.Rate, 2 * model.PoundForce / model.Foot},
		{"breakaway, N", q.Bay.Friction.Breakaway, 11 * model.PoundForce},
		{"viscous friction is the truck's, N·s/m", q.Bay.Friction.Viscous, 30},
		{"temperature, °C", q.Ambient.Temperature, math.Round((40-32)/1.8*1e9) / 1e9},
		{"reserve, min", q.Battery.ReserveMin, 140},
		{"copper there and back, m", q.Feed.Copper, 36 * model.Foot},
		{"no branch, Ω", q.Branch.Connectors + q.Branch.Ohms + q.Branch.Copper, 0},
		{"springs", float64(len(q.Springs)), 2},
		{"dead coils of a rate book", q.Springs[0].Wire.DeadCoils, 5},
		{"modulus of a rate book, Pa", q.Springs[0].Wire.E, 30e6 * model.Psi},
		{"coils wound close", q.Springs[0].Wire.Coils, 32 / 0.225},
		{"grade of holding open", q.Limits.Grade, 0.08},
		{"running current fails at, A", q.Limits.Of[sizing.RunningCurrent].Fail, 30},
		{"life passes at", q.Limits.Of[sizing.SpringLife].Pass, sizing.LifeScatter * 15000},
	}
	for _, row := range rows {
		if math.Abs(row.got-row.want) > 1e-9*math.Max(1, math.Abs(row.want)) {
			t.Errorf("%s: got %v, want %v", row.what, row.got, row.want)
		}
	}
	side := loadSize(t, DefaultSize).Question()
	if want := 36*0.72*1.10 + 3.5; math.Abs(side.Bay.Curtain.Mass-want) > 1e-9 {
		t.Errorf("slats weigh %v kg, want %v", side.Bay.Curtain.Mass, want)
	}
	if side.Feed.Copper != 9 || side.Feed.Return != 0.005 {
		t.Errorf("a harness with the chassis as its way back is %+v", side.Feed)
	}
	// The controllers of the other bays draw from the same battery.
	if want := 0.2; side.Loads != want {
		t.Errorf("accessories of %v A, want the %v A that the file states", side.Loads, want)
	}
}

// A part on the command line changes that part alone; a harness or a mass takes the
// place of what the file says of it.
func TestSizeFlags(t *testing.T) {
	base := loadSize(t, DefaultSize).Question()
	q := loadSize(t, DefaultSize,
		SizeFlag{"spring", "wire 0.218 in, inside 2 in, length 28 in, turns 6.6"},
		SizeFlag{"spring", "wire 0.2 in, mean 2 in, coils 28, steel hard-drawn, count 2"},
		SizeFlag{"harness", "wire 8 AWG, length 20 ft"},
		SizeFlag{"door", "mass 70 lb, bend 8 in"},
		SizeFlag{"battery", "charge 55 %"},
		SizeFlag{"temperature", "-20C"}, SizeFlag{"grade", "3 %"},
		SizeFlag{"tolerances", "mass 2 kg, spring rate 5 %, temperature 10 K"},
	).Question()
	switch {
	case len(q.Springs) != 3 || q.Springs[2].Steel != model.HardDrawn || q.Springs[1].Wire.Coils != 28:
		t.Errorf("springs %+v", q.Springs)
	case q.Bay.Counterbalance.InitialTurns != 6.6 || q.Shaft != base.Shaft:
		t.Errorf("%v turns on %+v", q.Bay.Counterbalance.InitialTurns, q.Shaft)
	case q.Feed != sizing.Harness{Wired: true, Gauge: 8, Copper: 40 * model.Foot}:
		t.Errorf("harness %+v", q.Feed)
	case math.Abs(q.Bay.Curtain.Mass-70*model.Pound) > 1e-9 || math.Abs(q.Bay.Track.Bend-8*model.Inch) > 1e-12 || q.Bay.Track.Opening != base.Bay.Track.Opening:
		t.Errorf("door %+v %+v", q.Bay.Curtain, q.Bay.Track)
	case q.Charge != 0.55 || q.Battery != base.Battery:
		t.Errorf("battery %+v at %v", q.Battery, q.Charge)
	case q.Ambient.Temperature != -20 || q.Ambient.Grade != 0.03 || q.Loads != base.Loads:
		t.Errorf("place %+v, loads %v", q.Ambient, q.Loads)
	}
	f := loadSize(t, DefaultSize, SizeFlag{"tolerances", "mass 2 kg, temperature 10 K"})
	last := f.ToleranceList()[len(f.ToleranceList())-1]
	if last.Input.Name != "temperature" || last.By != 10 || last.Share {
		t.Errorf("tolerance %+v", last)
	}
	q = loadSize(t, DefaultSize, SizeFlag{"spring", "rate 20 in-lbf/turn, turns 7"}).Question()
	if c := q.Bay.Counterbalance; len(q.Springs) != 0 || math.Abs(c.Rate-20*model.Inch*model.PoundForce) > 1e-9 || c.InitialTurns != 7 {
		t.Errorf("springs %v, rate %v, %v turns", q.Springs, c.Rate, c.InitialTurns)
	}
}

// What is wrong is told with its place, its field and its rule.
func TestBadSizes(t *testing.T) {
	folder := t.TempDir()
	file := func(text string) string {
		name := filepath.Join(folder, "size.yaml")
		if err := os.WriteFile(name, []byte("size: Bad\ntruck: trucks/produce-4bay.yaml\n"+text), 0o644); err != nil {
			t.Fatal(err)
		}
		return name
	}
	rows := []struct {
		text string
		flag SizeFlag
		want []string
	}{
		{"bay: C9\n", SizeFlag{}, []string{":3:6: ", `the truck has no bay "C9"`}},
		{"springs: {list: [{wire: 5 mm, inside: 12 mm, length: 600 mm}]}\n", SizeFlag{}, []string{":3:39: ", "coil index 3.40", "expected 4 to 16"}},
		{"springs: {list: [{wire: 5 mm, inside: 80 mm, length: 600 mm}]}\n", SizeFlag{}, []string{"coil index 17.00"}},
		{"springs: {shaft: {length: 500 mm}, list: [{wire: 5 mm, inside: 50 mm, length: 600 mm}]}\n", SizeFlag{}, []string{":3:27: ", "the free coils are 600 mm long together, and the shaft has 500 mm"}},
		{"springs: {shaft: {length: 620 mm}, list: [{wire: 5 mm, inside: 50 mm, length: 600 mm}]}\n", SizeFlag{}, []string{"bind at full wind", "620 mm"}},
		{"springs: {shaft: {diameter: 49 mm}, list: [{wire: 5 mm, inside: 50 mm, length: 600 mm}]}\n", SizeFlag{}, []string{"binds on the shaft"}},
		{"springs: {list: [{wire: 5 mm, inside: 50 mm}]}\n", SizeFlag{}, []string{"needs its length or its coils"}},
		{"springs: {list: [{wire: 5 mm, length: 600 mm}]}\n", SizeFlag{}, []string{"inside, mean or outside"}},
		{"springs: {list: [{wire: 5 mm, inside: 50 mm, mean: 55 mm, length: 600 mm}]}\n", SizeFlag{}, []string{"not several"}},
		{"springs: {list: [{wire: 2 mm, inside: 20 mm, length: 600 mm}]}\n", SizeFlag{}, []string{"wire: 0.002 m, expected above 0.003175 m", "give its modulus"}},
		{"springs: {rate: 2 N·m/turn, list: [{wire: 5 mm, inside: 50 mm, length: 600 mm}]}\n", SizeFlag{}, []string{"not both"}},
		{"springs: {list: [{wire: 5 mm, inside: 50 mm, length: 600 mm, steel: bronze}]}\n", SizeFlag{}, []string{`unknown word "bronze"`, "oil-tempered, hard-drawn, music wire"}},
		{"springs: {list: [{wire: 5, inside: 50 mm, length: 600 mm}]}\n", SizeFlag{}, []string{`"5" has no unit, a length needs one`}},
		{"springs: {rate: 2 N·m}\n", SizeFlag{}, []string{"is a torque, a torque per turn is expected"}},
		{"door: {vertical: 1.9 m}\n", SizeFlag{}, []string{":3:18: ", "the bend begins at 1.900 m, above the opening of 1.800 m"}},
		{"door: {mass: 32 kg, slats: 30, slat mass: 1 kg/m, width: 1 m}\n", SizeFlag{}, []string{"not both"}},
		{"door: {slats: 30, slat mass: 1 kg/m}\n", SizeFlag{}, []string{"slats need the width"}},
		{"harness: {wire: 10 AWG}\n", SizeFlag{}, []string{"needs wire and length both"}},
		{"limits: {opening time: {pass: 12 s, fail: 8 s}}\n", SizeFlag{}, []string{"pass is expected below fail"}},
		{"limits: {openning time: {pass: 8 s, fail: 12 s}}\n", SizeFlag{}, []string{`did you mean "opening time"?`}},
		{"limits: {opening time: {pass: 8 V, fail: 12 s}}\n", SizeFlag{}, []string{"opening time, pass: ", "is a voltage, a time is expected"}},
		{"limits: {grade: 50 %}\n", SizeFlag{}, []string{"grade: ", "out of range"}},
		{"tolerances: {masss: 3 %}\n", SizeFlag{}, []string{`did you mean "mass"?`}},
		{"tolerances: {mass: 3}\n", SizeFlag{}, []string{"mass: ", "has no unit"}},
		{"tolerances: {gauge: 1 AWG}\n", SizeFlag{}, []string{"a wire gauge has no tolerance"}},
		{"battery: {cold cranking: 60 A, reserve: 10 min}\nsprings: {rate: 2.48 N·m/turn}\nplace: {temperature: -80 °C}\n", SizeFlag{}, []string{"out of range"}},
		{"", SizeFlag{"spring", "wire 0.2 in, lenght 28 in"}, []string{"--spring: ", `unknown key "lenght"`, `did you mean "length"?`}},
		{"", SizeFlag{"spring", "wire, inside 2 in, length 28 in"}, []string{"--spring: wire: no value"}},
		{"", SizeFlag{"spring", "wire 0.2 in, wire 0.3 in"}, []string{"wire is given twice"}},
		{"", SizeFlag{"spring", "rate 21 in-lbf/turn, inside 2 in"}, []string{"--spring: ", "nothing but the rate is known"}},
		{"battery: {cold cranking: 50 A, reserve: 1000 min, age: 80 %}\n", SizeFlag{}, []string{"battery: 50 A of cold cranking is too weak"}},
		{"", SizeFlag{"temperature", "-20"}, []string{"--temperature: temperature: ", "has no unit"}},
		{"", SizeFlag{"door", "height 70 lb"}, []string{"--door: height: ", "is a mass, a length is expected"}},
		{"", SizeFlag{"door", ","}, []string{"--door: nothing is given"}},
	}
	for _, row := range rows {
		var flags []SizeFlag
		if row.flag.Name != "" {
			flags = append(flags, row.flag)
		}
		_, err := (&Loader{Shipped: Shipped()}).LoadSize(file(row.text), flags)
		if err == nil {
			t.Errorf("%q %v: taken", row.text, row.flag)
			continue
		}
		for _, want := range row.want {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%q %v: got %v, want %q in it", row.text, row.flag, err, want)
			}
		}
	}
}

func TestParseAxis(t *testing.T) {
	a, err := ParseAxis("temperature=-30..45C", true)
	if err != nil {
		t.Fatal(err)
	}
	if a.At[0] != -30 || a.At[len(a.At)-1] != 45 || len(a.At) != axisX {
		t.Errorf("got %v", a.At)
	}
	a, err = ParseAxis("initial-turns = 5..8 turns : 4", false)
	if err != nil {
		t.Fatal(err)
	}
	if len(a.At) != 4 || a.At[1] != 6 {
		t.Errorf("got %v", a.At)
	}
	a, err = ParseAxis("gauge=4..8 AWG", true)
	if err != nil {
		t.Fatal(err)
	}
	if len(a.At) != 5 { // each whole number once
		t.Errorf("got %v", a.At)
	}
	a, err = ParseAxis("temperature=0F..100F", true)
	if err != nil || math.Abs(a.At[0]+160.0/9) > 1e-9 {
		t.Errorf("got %v, %v", a, err)
	}
	for text, want := range map[string]string{
		"temperature":             "no axis",
		"temprature=1..2C":        `did you mean "temperature"?`,
		"temperature=1C":          "no range",
		"temperature=1..2":        "has no unit",
		"temperature=2..1C":       "lower value first",
		"temperature=1..2C:1":     "no number of values",
		"temperature=1..2C:many":  "no number of values",
		"temperature=1..2C:9999":  "no number of values",
		"temperature=-90..2C":     "out of range",
		"mass=10..20 N":           "is a force, a mass is expected",
		"charge=20..120%":         "out of range",
		"charge=..":               "empty value",
		"initial turns=5..8 kg":   "is a mass",
		"temperature=1..2..3C":    "unknown unit",
		"temperature=1C..2000000": "has no unit",
	} {
		if _, err := ParseAxis(text, true); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, want %q", text, err, want)
		}
	}
}

func TestSpringList(t *testing.T) {
	l := &Loader{Shipped: Shipped()}
	list, err := l.LoadSprings(DefaultSprings, "textbook")
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != 139 || list[0].Wire.Wire != 0.177*model.Inch || list[0].Steel != model.HardDrawn || math.IsNaN(list[0].Cost) {
		t.Errorf("%d springs, the first %+v", len(list), list[0])
	}
	p, err := sizing.Pick(context.Background(), loadSize(t, DefaultSize).Question(), list, sizing.PickOptions{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Fits) == 0 || p.Fits[0].Verdict != sizing.Pass {
		t.Errorf("nothing on the shipped shelf fits the shipped door")
	}
	folder := t.TempDir()
	read := func(text string) ([]sizing.Spring, error) {
		name := filepath.Join(folder, "list.csv")
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return l.LoadSprings(name, "rate book")
	}
	list, err = read("\ufeffname,Wire (in),inside (in),Length,Cost\nA,0.225,1-3/4,28 in,\n# rusty\nB,5.5 mm,50 mm,700 mm,12.50\n")
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != 2 || math.Abs(list[0].Wire.InnerDia()-1.75*model.Inch) > 1e-12 || !math.IsNaN(list[0].Cost) || list[1].Cost != 12.5 || list[1].Wire.DeadCoils != 5 {
		t.Errorf("got %+v", list)
	}
	for text, want := range map[string]string{
		"":                                              "the file is empty",
		"wire,inside,length\n":                          "the list has no springs",
		"wire,inside\n1 mm,2 mm\n":                      "no column length or coils",
		"wyre,inside,length\n":                          `did you mean "wire"?`,
		"wire,inside,length\n5 mm,50 mm\n":              ":2:1: 2 cells, expected 3",
		"wire,inside,length\n5 mm,50 mm,70\n":           ":2:12: length: \"70\" has no unit",
		"wire,inside,length\n-5 mm,50 mm,700 mm\n":      "must be above 0",
		"wire,inside,length\n,50 mm,700 mm\n":           "wire: empty value",
		"wire (kg),inside,length\n":                     `"kg" is no unit of it`,
		"wire,inside,length,steel\n5 mm,5 cm,1 m,tin\n": `unknown word "tin"`,
		"wire,inside,length\n\"5 mm,50 mm,700 mm\n":     "quote",
	} {
		if _, err := read(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %v, want %q", text, err, want)
		}
	}
}

// The schema describes what is shipped, and the keys of a custom shape.
func TestSizeSchema(t *testing.T) {
	s := Schema(&SizeFile{}, "size")
	text, err := s.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	parsed, err := jsonschema.UnmarshalJSON(strings.NewReader(string(text)))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("size.json", parsed); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Compile("size.json"); err != nil {
		t.Error(err)
	}
	for _, want := range []string{`"opening time"`, `"charge floor"`, `"spring rate"`, `"initial turns"`} {
		if !strings.Contains(string(text), want) {
			t.Errorf("%s is not in the schema", want)
		}
	}
}

package model

import (
	"flag"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var updateDocs = flag.Bool("update-docs", false, "write docs/validation.md anew")

const validationPage = "../docs/validation.md"

// A borrowed row of the check values is a limit or a method that other parts of the
// bench take from a standard. Where it stands is looked up, so that the page
// cannot go on naming a place that has changed.
type borrowed struct {
	id, quantity, expected, source, status string
	places                                 []place
}

type place struct {
	file string // from the root
	text string // regular expression that must be found in it
}

const (
	limitsFile      = "sim/require/limits.go"
	obstructionFile = "scenarios/standards/obstruction-16cfr1211.yaml"
	forceFile       = "scenarios/standards/force-en12453.yaml"
)

func borrowedRows() []borrowed {
	const (
		cfr     = "16 CFR 1211.7 (annual edition 2002)"
		summary = "secondary summary of EN 12453"
		extract = "instrument extract of EN 12453:2001"
		current = "current edition of 16 CFR 1211.7"
	)
	return []borrowed{
		{"R1", "contact to start of reversal, closing", "≤ 2.0 s", cfr, confirmed, []place{{limitsFile, `reverseLimit\s*=\s*2\.0`}, {obstructionFile, `reversal: 2 s`}}},
		{"R2", "top of the travel that is not judged", "305 mm", cfr, confirmed, []place{{limitsFile, `exemptTop\s*=\s*0\.305`}, {obstructionFile, `1490 mm\]`}}},
		{"R3", "after reversal", "opens fully", cfr, confirmed, []place{{"sim/standard/trial.go", `Open\s+bool`}, {limitsFile, `openTolerance\s*=`}}},
		{"R4", "with and without the external device", "both", cfr, confirmed, []place{{obstructionFile, `sensing edge: deaf`}, {obstructionFile, `sensing edge: none`}}},
		{"R5", "object on the floor, and at various heights", "25.4 mm", cfr, confirmed, []place{{limitsFile, `leastHeight\s*=\s*0\.0254`}, {obstructionFile, `heights: \[25\.4 mm,`}}},
		{"R9", "lower end not reached: turned up", "≤ 30 s", current, fromMemory, []place{{limitsFile, `turnLimit\s*=\s*30\.0`}, {obstructionFile, `lower end: 30 s`}}},
		{"R11", "least rise", "50.8 mm", current, fromMemory, []place{{obstructionFile, `rise: 50\.8 mm`}}},
		{"R15", "force that actuates a sensing edge", "≤ 66.7 N; the default edge takes 60 N", "16 CFR 1211.12 (2007)", confirmed, []place{{"model/params.go", `EdgeForce: 60\b`}}},
		{"E1", "dynamic force", "≤ 400 N", summary, secondary, []place{{limitsFile, `peakLimit\s*=\s*400\.0`}, {forceFile, `peak: 400 N`}}},
		{"E2", "time until below 150 N", "≤ 0.75 s", summary, secondary, []place{{limitsFile, `dynamicTime\s*=\s*0\.75`}, {limitsFile, `staticLimit\s*=\s*150\.0`}, {forceFile, `above 150 N: 0\.75 s`}}},
		{"E3", "record from impact", "5 s", extract, secondary, []place{{limitsFile, `recordLength\s*=\s*5\.0`}, {"sim/standard/trial.go", `RecordTime\s*=\s*5\.0`}}},
		{"E4", "force left after 5 s, measured and not judged", "25 N", "EN 12453", fromMemory, []place{{"sim/standard/trial.go", `Residual\s+float64`}}},
		{"E5", "which limit a vertically moving door has", "400 N at its closing edge", "EN 12453", fromMemory, []place{{forceFile, `from memory`}}},
		{"E6", "stiffness of the instrument", "500 N/mm", extract, secondary, []place{{forceFile, `stiffness: 500 N/mm`}}},
		{"E10", "heights of measurement", "50 mm; 300 mm; 300 mm below the top", extract, secondary, []place{{forceFile, `heights: \[50 mm, 300 mm, .*1500 mm\]`}}},
		{"B3", "ratings, as inputs of B1 and B2", "600 A and 115 min, 770/115, 750/160, 625/180", "a vehicle service table (1997 to 2000)", confirmed, []place{{"model/battery_check_test.go", `ColdCrankA: 625, ReserveMin: 180`}}},
		{"B18", "Peukert exponents, as the stated range", "flooded 1.2 to 1.6; absorbed glass mat 1.05 to 1.15", "secondary table", secondary, []place{{"model/battery.go", `1\.2 to 1\.6 for flooded`}}},
		{"G6", "self-locking bands of worms", "< 0.45 locks, > 0.55 does not", "secondary", secondary, []place{{"model/gear_check_test.go", `func TestBackDriveBands`}}},
		{"K2", "rig of K6 and K7", "2 N/m, 0.1 m/s; 1 kg from memory", "Canudas de Wit et al., IEEE TAC 1995, through a reimplementation", secondary, []place{{"model/friction_physics_test.go", `mass, stiffness, pull = 1\.0, 2\.0, 0\.1`}}},
	}
}

// An unused row says why.
type unused struct{ ids, what, why string }

func unusedRows() []unused {
	return []unused{
		{"R6 R7 R8 R10", "object across the width (from memory); 50 cycles (secondary); 25 lbf (low confidence); position in steps of 25.4 mm (from memory)",
			"the curtain has one coordinate, so a place across the width has no meaning; a deterministic model gives the same fifty times, and wear has its own command; the force figure is too uncertain; the encoder's steps are 5 mm anyway"},
		{"R12 R13 R14 R16 R17", "constant-pressure control, endurance of relays and edges, relay faults, supervision each cycle",
			"the shipped controller has no constant-pressure mode; endurance of parts is for a test house; welded and open contacts and the edge's wires are faults of the bench, judged by its own requirements and not clause by clause"},
		{"F1 F2 F3 F4 F5 F6 F7 F8 F9 F10", "49 CFR 571.118 and UN R21", "written for windows and partitions that a person can be caught in, with rods of 4 to 200 mm; a cargo door is outside both, and two borrowed yardsticks are enough"},
		{"E7 E8 E9", "range, sampling and accuracy of the instrument; mean of three; places across the width", "the bench reads the true force every millisecond, gives the same three times, and has one coordinate"},
		{"B5 B12", "definition of cranking amps; OCV = 6·(SG + 0.84)", "B5 is the definition behind B6; B12 is from memory and contradicts B10 by up to 0.13 V"},
		{"S6", "rate required, weight × arm/turns", "a rule for choosing springs, which the sizing study will use; the model takes the rate as it is given"},
		{"S18 S19", "stress allowed for a life (from memory); 10,000 cycles (trade)", "the model computes no life of springs; the soak takes relaxation as an input"},
		{"V7", "viscosity index (ASTM D2270)", "the model draws the oil's line through two points and never needs its index"},
		{"I1 I11", "what sets the range; sunlight as a disturbance", "qualitative: the form of the link in docs/theory.md, section 12, follows them"},
		{"I4 I10 I12", "newer receivers (from memory), sunlight in W/m²", "the receiver's threshold and its loss by sunlight are invented values, in lux"},
		{"K1 K3 K4 K5", "LuGre friction", "the model has static and Coulomb friction (K6, K7), which sticks exactly; LuGre would need steps of 50 µs"},
		{"C1 C2 C3 C4 C5 C6 C7 C8 C9 C10 C11 C12 C13", "binomial bounds", "not yet used: they belong to campaigns, whose statistics must be held against them"},
		{"P1 P2 P3 P4 P5 P6 P7", "functional safety numbers", "a simulation cannot show a performance level or a stop category, and none is claimed"},
	}
}

// Every row of the list of check values is on the page, exactly once in one of its tables.
func TestValidationAccountsForEveryRow(t *testing.T) {
	listed := map[string]int{"R": 17, "F": 10, "E": 11, "B": 18, "S": 19, "M": 8, "V": 7, "I": 12, "C": 13, "G": 6, "K": 7, "P": 7, "N": 3}
	gaps := []string{"B8", "S8"} // the list has no such rows
	known := map[string]string{}
	for letter, last := range listed {
		for n := 1; n <= last; n++ {
			if id := fmt.Sprint(letter, n); !slices.Contains(gaps, id) {
				known[id] = ""
			}
		}
	}
	for _, n := range []int{4, 6, 8, 10, 12, 14, 20, 21, 22, 23, 24, 25} {
		known[fmt.Sprint("W", n)] = ""
	}
	row := regexp.MustCompile(`^[A-Z][0-9]+`)
	put := func(id, table string) {
		was, ok := known[id]
		switch {
		case !ok:
			t.Errorf("%s is not in the list of check values", id)
		case was != "" && was != table:
			t.Errorf("%s is in two tables: %s and %s", id, was, table)
		}
		known[id] = table
	}
	for _, c := range partChecks() {
		put(row.FindString(c.id), "checks")
	}
	for _, b := range borrowedRows() {
		put(b.id, "borrowed")
	}
	for _, u := range unusedRows() {
		for _, id := range strings.Fields(u.ids) {
			put(id, "unused")
		}
	}
	// G1 is the formula that G2 to G4 are computed with.
	put("G1", "checks")
	for id, table := range known {
		if table == "" {
			t.Errorf("%s is nowhere on the page", id)
		}
	}
}

// What is said to be borrowed stands where it is said to stand.
func TestValidationPlaces(t *testing.T) {
	for _, b := range borrowedRows() {
		for _, p := range b.places {
			text, err := os.ReadFile("../" + p.file)
			if err != nil {
				t.Errorf("%s: %v", b.id, err)
			} else if !regexp.MustCompile(p.text).Match(text) {
				t.Errorf("%s: %s no longer holds %q", b.id, p.file, p.text)
			}
		}
	}
}

// The page is what the checks give.
func TestValidationPage(t *testing.T) {
	page := validationText()
	for _, c := range partChecks() {
		if !strings.Contains(page, "\n| "+c.id+" |") {
			t.Errorf("%s is in no section of the page", c.id)
		}
	}
	if *updateDocs {
		if err := os.WriteFile(validationPage, []byte(page), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if have, err := os.ReadFile(validationPage); err != nil || string(have) != page {
		t.Errorf("docs/validation.md is out of date (%v): go test ./model -run Validation -update-docs", err)
	}
}

func validationText() string {
	var b strings.Builder
	b.WriteString(`# Validation

Written by ` + "`go test ./model ./docs/validation -run Validation -update-docs`" + `; the tests fail when it is out of date.

Published and computed figures that the model is held against, each by a test that runs with ` + "`go test ./model`" + `. The second half of the
evidence, the same equations written anew and solved by another program, is in [the independent integrator](validation/README.md).

Status of the expected figure: **confirmed** was seen in the named text; **secondary** was seen in another text that quotes
it; **from memory** was not seen; **computed** is arithmetic from the stated inputs. *Off* is the difference over the expected figure
(over 1 where that is 0). A standard named here was written for other doors, windows or parts, and is a yardstick: no conformity is claimed.

`)
	fmt.Fprintf(&b, "%s\n", counts(partChecks()))
	for _, section := range []struct{ letter, title string }{
		{"B", "Lead-acid battery"}, {"W", "Wire and copper"}, {"S", "Torsion springs"}, {"M", "Motor"}, {"V", "Grease in the cold"},
		{"I", "Infrared link"}, {"G", "Gear"}, {"E", "Impact on the instrument"}, {"K", "Dry friction"}, {"N", "Constants"},
	} {
		fmt.Fprintf(&b, "\n## %s\n\n| id | quantity | inputs | source | status | expected | obtained | off | allowed |\n|---|---|---|---|---|---|---|---|---|\n", section.title)
		for _, c := range checksOf(section.letter) {
			b.WriteString(checkLine(c))
		}
	}
	b.WriteString(`
## Limits and methods borrowed from standards, and inputs

Not figures that the model could miss, but limits, methods and inputs that the bench takes over. A test looks each up where it is
said to stand.

| id | quantity | value | source | status | where |
|---|---|---|---|---|---|
`)
	for _, r := range borrowedRows() {
		var files []string
		for _, p := range r.places {
			if f := "`" + p.file + "`"; !slices.Contains(files, f) {
				files = append(files, f)
			}
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s |\n", r.id, r.quantity, r.expected, r.source, r.status, strings.Join(files, ", "))
	}
	b.WriteString("\n## Not used, and why\n\n| rows | what | why |\n|---|---|---|\n")
	for _, u := range unusedRows() {
		fmt.Fprintf(&b, "| %s | %s | %s |\n", u.ids, u.what, u.why)
	}
	return b.String()
}

// checksOf lists the checks whose rows begin with a letter, by their number.
func checksOf(letter string) []check {
	var out []check
	for _, c := range partChecks() {
		if strings.HasPrefix(c.id, letter) {
			out = append(out, c)
		}
	}
	number := func(c check) (n int) {
		fmt.Sscanf(c.id[1:], "%d", &n)
		return n
	}
	slices.SortStableFunc(out, func(a, b check) int { return number(a) - number(b) })
	return out
}

func checkLine(c check) string {
	scale := math.Abs(c.want)
	if scale == 0 {
		scale = 1
	}
	allowed := share(c.tol)
	if allowed == "0" {
		allowed = "rounding"
	}
	return fmt.Sprintf("| %s | %s | %s | %s | %s | %s | %s | %s | %s |\n", c.id, c.quantity, c.inputs, c.source, c.status,
		figure(c.want), figure(c.got), share(math.Abs(c.got-c.want)/scale), allowed)
}

func counts(checks []check) string {
	var parts []string
	for _, status := range []string{confirmed, secondary, fromMemory, computed} {
		n := 0
		for _, c := range checks {
			if c.status == status {
				n++
			}
		}
		parts = append(parts, fmt.Sprintf("%d %s", n, status))
	}
	return fmt.Sprintf("%d figures: %s.", len(checks), strings.Join(parts, ", "))
}

// figure has six digits, with a power of ten only where it must.
func figure(v float64) string {
	if v != 0 && (math.Abs(v) < 1e-3 || math.Abs(v) >= 1e6) {
		return fmt.Sprintf("%.6g", v)
	}
	return fmt.Sprintf("%.6g", math.Round(v*1e10)/1e10+0)
}

// share is in per cent, 0 where only rounding is left.
func share(v float64) string {
	switch {
	case v < 1e-9:
		return "0"
	case v < 1e-5:
		return "< 0.001 %"
	}
	return fmt.Sprintf("%.2g %%", 100*v)
}

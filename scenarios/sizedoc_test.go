package scenarios

import (
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"slatbench/sim/sizing"
)

func sizingGuide(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../docs/sizing.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// handTolerance is how far a pocket calculator, with what it leaves out, may be off.
const handTolerance = 0.01

// The door by hand ends in the tool's numbers: what the page prints of the tool is what
// the tool says, to the last digit printed, and the calculation comes to it within 1 %.
func TestSizingByHand(t *testing.T) {
	f := loadSize(t, DefaultSize)
	r, err := sizing.Ask(f.Question())
	if err != nil {
		t.Fatal(err)
	}
	closed, open := r.Balance[0], r.Balance[len(r.Balance)-1]
	turns := f.Question().Bay.Counterbalance.InitialTurns
	says := map[string]float64{
		"rate": f.Question().Rate(), "stress": r.Springs[0].Stress / 1e6, "stress-share": 100 * r.Of(sizing.Stress).Value,
		"travel-turns": turns - r.Of(sizing.TurnsLeft).Value, "window-low": r.Window.Low, "window-high": r.Window.High,
		"gravity-closed": closed.Gravity, "gravity-open": open.Gravity, "net-open": open.Net, "hand-open": open.HandUp, "spare-open": open.HeldDown,
		"harness": 1000 * r.HarnessOhms, "rest": r.Of(sizing.RestSupply).Value, "inrush": r.Of(sizing.InrushCurrent).Value,
		"inrush-supply": r.Of(sizing.InrushSupply).Value, "running": r.Of(sizing.RunningCurrent).Value, "running-supply": r.Of(sizing.RunningSupply).Value,
		"opening-quadrature": r.Up.Time, "opening-simulated": r.Simulation.Opening.Time,
	}
	rows := regexp.MustCompile("(?m)^\\| [^|]+ \\| (-?[0-9.]+) \\| (-?[0-9.]+) \\| `([a-z-]+)` \\|$").FindAllStringSubmatch(sizingGuide(t), -1)
	if len(rows) != len(says) {
		t.Errorf("%d rows, want %d", len(rows), len(says))
	}
	for _, row := range rows {
		want, known := says[row[3]]
		if !known {
			t.Errorf("no figure is called %s", row[3])
			continue
		}
		hand, _ := strconv.ParseFloat(row[1], 64)
		printed, _ := strconv.ParseFloat(row[2], 64)
		_, decimals, _ := strings.Cut(row[2], ".")
		if half := 0.501 * math.Pow(10, -float64(len(decimals))); math.Abs(printed-want) > half {
			t.Errorf("%s: the page says %s, the tool %v", row[3], row[2], want)
		}
		if math.Abs(hand/want-1) > handTolerance {
			t.Errorf("%s: by hand %v, the tool %v", row[3], hand, want)
		}
		delete(says, row[3])
	}
	for id := range says {
		t.Errorf("%s is not on the page", id)
	}
}

// The page names every answer with its limits, every key and every input; its example
// is read, and the tests it names are there.
func TestSizingGuideIsWhole(t *testing.T) {
	text := sizingGuide(t)
	for a := range sizing.Aspects {
		if !strings.Contains(text, "`"+a.Info().ID+"`") {
			t.Errorf("%s is not explained", a.Info().ID)
		}
	}
	for _, name := range sizing.InputNames() {
		if !strings.Contains(strings.Join(strings.Fields(text), " "), name) {
			t.Errorf("input %s is not named", name)
		}
	}
	_, example, _ := strings.Cut(text, "```yaml\n")
	example, _, _ = strings.Cut(example, "```")
	var f SizeFile
	if err := (&Loader{Shipped: Shipped()}).LoadBytes("example", []byte(example), &f); err != nil {
		t.Error(err)
	}
	if _, err := sizing.Ask(f.Question()); err != nil {
		t.Error(err)
	}
	for _, folder := range []string{"../sim/sizing/spring_test.go ../sim/sizing/fleet_test.go"} {
		var code string
		for _, name := range strings.Fields(folder) {
			file, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			code += string(file)
		}
		for _, m := range regexp.MustCompile("`(Test\\w+)`").FindAllStringSubmatch(text, -1) {
			if !strings.Contains(code, "func "+m[1]+"(") {
				t.Errorf("there is no %s", m[1])
			}
		}
	}
	for _, m := range regexp.MustCompile(`(?m)^    --(\w+) "(.*)"$`).FindAllStringSubmatch(text, -1) {
		if _, err := (&Loader{Shipped: Shipped()}).LoadSize(DefaultSize, []SizeFlag{{m[1], m[2]}}); err != nil {
			t.Errorf("--%s %q: %v", m[1], m[2], err)
		}
	}
}

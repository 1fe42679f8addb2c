package scenarios

import (
	"encoding/json"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"slatbench/sim"
	"slatbench/sim/require"
)

const aRun = `scenario: A run
truck: trucks/produce-4bay.yaml
`

// runText runs a scenario given as text.
func runText(t *testing.T, text string, o RunOptions) (*Result, error) {
	t.Helper()
	l := &Loader{Shipped: Shipped()}
	sc, err := l.LoadScenarioFrom(strings.NewReader(text), "text.yaml")
	if err != nil {
		t.Fatal(err)
	}
	table, err := l.LoadLogicOf(sc)
	if err != nil {
		t.Fatal(err)
	}
	return Run(sc, table, o)
}

func mustRun(t *testing.T, text string) *Result {
	t.Helper()
	r, err := runText(t, text, RunOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestFaultThatCannotBeBroughtOnIsBadInputAtItsPlace(t *testing.T) {
	_, err := runText(t, aRun+`duration: 5 s
faults:
  - {dirty-lens: C2}
  - {obstruction: C1, from: 2 s, height: 300 mm}
`, RunOptions{})
	var problems Problems
	if !errors.As(err, &problems) || len(problems) != 1 {
		t.Fatalf("the error is %v, want one problem", err)
	}
	want := Pos{"text.yaml", 6, 5}
	if p := problems[0]; p.Pos != want || !strings.Contains(p.Message, "inside the curtain") {
		t.Errorf("the problem is %v, want one at %v about the curtain", p, want)
	}
}

func TestStopped(t *testing.T) {
	asked := 0
	_, err := runText(t, aRun+"duration: 1 h\n", RunOptions{Stopped: func() bool { asked++; return asked == 3 }})
	if !errors.Is(err, ErrStopped) || asked != 3 {
		t.Errorf("after %d questions the error is %v", asked, err)
	}
}

func TestRated(t *testing.T) {
	for _, c := range []struct {
		text string
		want bool
	}{
		{"", true},
		{"ambient: {temperature: -20 °C, grade: 5 %}\n", true},
		{"ambient: {temperature: 45 °C, grade: -5 %}\n", true},
		{"ambient: {temperature: -21 °C}\n", false},
		{"ambient: {temperature: 46 °C}\n", false},
		{"ambient: {grade: 6 %}\n", false},
		{"ambient: {grade: -6 %}\n", false},
		{"faults: [{dirty-lens: C2}]\n", false},
		{"faults: [{obstruction: C2, appears: when-clear}]\n", false},
	} {
		sc, err := (&Loader{Shipped: Shipped()}).LoadScenarioFrom(strings.NewReader(aRun+"duration: 1 s\n"+c.text), "text.yaml")
		if err != nil {
			t.Fatal(err)
		}
		if got := sc.rated(); got != c.want {
			t.Errorf("%q: rated is %v", c.text, got)
		}
	}
}

// The service of a door that takes too long is judged in an unfaulted run only.
func TestServiceIsJudged(t *testing.T) {
	of := func(r *Result) Judged {
		i := slices.IndexFunc(r.Requirements, func(j Judged) bool { return j.ID == "service" })
		return r.Requirements[i]
	}
	const press = "duration: 20 s\nsteps: [{at: 2 s, press: C1}]\n"
	if j := of(mustRun(t, aRun+press)); j.Verdict != require.Holds || j.Bay != "C1" || j.Margin < 5 || j.Margin > 7 {
		t.Errorf("a sound door: %+v, want it to hold by some 6 s at C1", j)
	}
	if j := of(mustRun(t, aRun+press+"faults: [{dirty-lens: C2}]\n")); j.Verdict != require.NotExercised {
		t.Errorf("with a fault: %v, want it not to be exercised", j.Verdict)
	}
}

func TestExemptIsNotViolated(t *testing.T) {
	r := runShipped(t, "faults/welded-down-contact.yaml", asShipped)
	i := slices.IndexFunc(r.Requirements, func(j Judged) bool { return j.Verdict == require.Exempt })
	if i < 0 {
		t.Fatal("nothing is exempt")
	}
	j := r.Requirements[i]
	if j.ID != "obstruction-reversal" || j.Exempt == nil || j.Exempt.Fault != "welded-down-contact" || !(j.Margin < 0) {
		t.Errorf("exempt is %+v", j)
	}
	if r.Violated() || r.Verdict() != "holds" {
		t.Error("the run counts as violated")
	}
}

func TestExpectationNotMetViolates(t *testing.T) {
	r := mustRun(t, aRun+"duration: 2 s\nexpect: [{by: 1 s, bay: C1, is: open}]\n")
	if !r.Violated() || r.Verdict() != "violated" {
		t.Error("the run counts as holding")
	}
}

func TestResultAsJSON(t *testing.T) {
	r := mustRun(t, aRun+`duration: 10 s
seed: 7
steps: [{at: 1 s, press: C1}]
faults: [{wrong-supply-reading: C1, error: -2 V}]
expect:
  - {by: 3 s, bay: C1, alarm: low-supply}
  - {by: 3 s, bay: C2, is: moving}
`)
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	got := string(text)
	start, rest, _ := strings.Cut(got, `"requirements":[`)
	if want := `{"scenario":"A run","seed":7,"duration_s":10,"verdict":"violated",`; start != want {
		t.Errorf("it begins %s\nwant      %s", start, want)
	}
	_, end, _ := strings.Cut(rest, `],"expectations":`)
	wantEnd := `[{"expectation":"by 3 s C1 sounds low-supply","met":true,"at_s":1.06},` +
		`{"expectation":"by 3 s C2 is moving","met":false,"at_s":null}],` +
		`"bays":{"C1":{"open_time_s":null,"close_time_s":null,"min_supply_v":12.5308,"peak_current_a":0,"peak_contact_n":0,` +
		`"final_height_m":-0.006,"final_counts":0},"C2":`
	if !strings.HasPrefix(end, wantEnd) {
		t.Errorf("it goes on %.400s\nwant       %s", end, wantEnd)
	}
	if want := `"alarms":[{"t_s":1.06,"bay":"C1","alarm":"low-supply"}]}`; !strings.HasSuffix(got, want) {
		t.Errorf("it ends %s\nwant    %s", got[max(0, len(got)-100):], want)
	}
	keys := []string{"id", "verdict", "margin", "unit", "at_s", "bay"}
	var back struct{ Requirements []map[string]any }
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	if len(back.Requirements) != len(require.IDs) {
		t.Errorf("%d requirements, want %d", len(back.Requirements), len(require.IDs))
	}
	for _, q := range back.Requirements {
		for _, k := range keys {
			if _, ok := q[k]; !ok || len(q) != len(keys) {
				t.Errorf("requirement %v, want the keys %v", q, keys)
			}
		}
		if q["verdict"] == "not exercised" && (q["margin"] != nil && q["margin"].(float64) < 0) {
			t.Errorf("not exercised, with the margin %v", q["margin"])
		}
	}
}

// What there is none of is null, in the middle of a count too.
func TestNullsOfJSON(t *testing.T) {
	r := &Result{
		Duration:     math.NaN(),
		Requirements: []Judged{{ID: "alarm", Margin: math.NaN(), At: math.NaN()}},
		Bays:         []BayResult{{Name: `B"1`, BayFigures: sim.BayFigures{OpenTime: math.NaN(), CloseTime: math.NaN(), MinSupply: math.Inf(1)}}},
		Alarms:       []HeardAlarm{{At: 0.1 + 0.2, Alarm: sim.EarlyFloor, CutOff: true}},
	}
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	want := `{"scenario":"","seed":0,"duration_s":null,"verdict":"holds",` +
		`"requirements":[{"id":"alarm","verdict":"not exercised","margin":null,"unit":null,"at_s":null,"bay":null}],` +
		`"expectations":[],` +
		`"bays":{"B\"1":{"open_time_s":null,"close_time_s":null,"min_supply_v":null,"peak_current_a":0,"peak_contact_n":0,"final_height_m":0,"final_counts":null}},` +
		`"alarms":[{"t_s":0.3,"bay":null,"alarm":null}]}`
	if diff := cmp.Diff(want, string(text)); diff != "" {
		t.Error(diff)
	}
}

// A count that the end of the run cuts off may be any alarm with at least so many
// pulses, so no expectation is met by it.
func TestCountCutOffByTheEnd(t *testing.T) {
	// Six pulses of 0.12 s, 0.12 s apart, begin at 1.06 s; at 1.7 s three have sounded.
	r := mustRun(t, aRun+`duration: 1.7 s
steps: [{at: 1 s, press: C1}]
faults: [{wrong-supply-reading: C1, error: -2 V}]
expect: [{by: 1.7 s, bay: C1, alarm: obstruction-closing}]
`)
	if len(r.Alarms) != 1 || !r.Alarms[0].CutOff || r.Alarms[0].Alarm != 3 {
		t.Errorf("heard %+v, want three pulses cut off", r.Alarms)
	}
	if r.Expectations[0].Met {
		t.Error("an alarm that never sounded is taken for heard")
	}
}

func TestLogicIsFoundBesideTheScenario(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "mine.yaml", shippedText(t, BaselineLogic)+"\n# mine\n", "logic: baseline", "logic: mine")
	write(t, dir, "sc.yaml", aRun+"logic: mine.yaml\nduration: 1 s\n")
	l := &Loader{Shipped: Shipped()}
	sc, err := l.LoadScenario(dir + "/sc.yaml")
	if err != nil {
		t.Fatal(err)
	}
	table, err := l.LoadLogicOf(sc)
	if err != nil || table.Name != "mine" {
		t.Errorf("the table is %v, %v", table, err)
	}
	sc.Logic = "min.yaml"
	_, err = l.LoadLogicOf(sc)
	if err == nil || !strings.Contains(err.Error(), `sc.yaml:3:8: no file "min.yaml"`) || !strings.Contains(err.Error(), "mine.yaml") {
		t.Errorf("a slip in the name gives %v", err)
	}
}

// write writes a file into a folder, with pairs of texts replaced.
func write(t *testing.T, folder, name, text string, replace ...string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(folder, name), []byte(strings.NewReplacer(replace...).Replace(text)), 0o600); err != nil {
		t.Fatal(err)
	}
}

func shippedText(t *testing.T, name string) string {
	t.Helper()
	text, err := fs.ReadFile(Shipped(), name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

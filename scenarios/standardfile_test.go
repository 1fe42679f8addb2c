package scenarios

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"slatbench/sim/standard"
)

func runShippedTest(t *testing.T, name string) *StandardResult {
	t.Helper()
	l := &Loader{Shipped: Shipped()}
	st, err := l.LoadStandardTest(name)
	if err != nil {
		t.Fatal(err)
	}
	table, err := l.LoadLogicOfTest(st)
	if err != nil {
		t.Fatal(err)
	}
	r, err := RunStandard(st, table, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The baseline keeps the limits borrowed from 16 CFR 1211.7 at every height, in
// every condition, with the sensing edge sound, deaf and absent.
func TestBaselineKeepsTheObstructionTest(t *testing.T) {
	r := runShippedTest(t, "standards/obstruction-16cfr1211.yaml")
	for i := range r.Rows {
		if row := &r.Rows[i]; !row.Passed {
			t.Errorf("%s, %s, %v m: %s (%+v)", row.Arrangement, row.Condition, row.Height, row.Why, row.Result)
		}
	}
	if want := 4 * 5 * 9; len(r.Rows) != want {
		t.Errorf("%d trials, want %d", len(r.Rows), want)
	}
}

// What docs/standards.md says of the force test. The trade must come out of the
// physics: these are orders, not figures.
func TestForceFindings(t *testing.T) {
	r := runShippedTest(t, "standards/force-en12453.yaml")
	peak, closing := map[string]float64{}, map[string]float64{}
	for i := range r.Rows {
		row := &r.Rows[i]
		if row.Condition != "nominal" {
			continue
		}
		if math.IsNaN(row.Height) {
			closing[row.Arrangement] = row.Closed
		} else {
			peak[row.Arrangement] = max(peak[row.Arrangement], row.Peak)
		}
	}
	const with, with80, with60 = "sensing edge", "sensing edge, 80 % duty", "sensing edge, 60 % duty"
	const none, none60, none40 = "no sensing edge", "no sensing edge, 60 % duty", "no sensing edge, 40 % duty"
	if peak[with] > standard.DynamicForce {
		t.Errorf("with a sensing edge %.0f N, want within %g N", peak[with], standard.DynamicForce)
	}
	if peak[none] <= standard.DynamicForce {
		t.Errorf("by pulses alone %.0f N: the finding that it misses %g N has gone; say so in docs/standards.md", peak[none], standard.DynamicForce)
	}
	for _, pair := range [][2]string{{with, with80}, {with80, with60}, {none, none60}, {none60, none40}} {
		fast, slow := pair[0], pair[1]
		if peak[slow] >= peak[fast] {
			t.Errorf("%s: %.0f N, not less than the %.0f N of %s", slow, peak[slow], peak[fast], fast)
		}
		if closing[slow] <= closing[fast] {
			t.Errorf("%s closes in %.2f s, not longer than the %.2f s of %s", slow, closing[slow], closing[fast], fast)
		}
	}
}

// smallTest is a standard test in a file, with lines replaced.
func smallTest(replace ...string) string {
	return strings.NewReplacer(replace...).Replace(`standard test: Small
after: nothing
edition: none
kind: force
truck: trucks/produce-4bay.yaml
bay: C1
heights: [300 mm]
arrangements:
  - {arrangement: as it is}
conditions:
  - {condition: nominal}
limits: {peak: 400 N, above 150 N: 0.75 s, static: 150 N}
`)
}

func TestStandardTestErrors(t *testing.T) {
	rows := []struct{ name, text, want string }{
		{"no such bay", smallTest("bay: C1", "bay: C9"), `t.yaml:6:6: the truck has no bay "C9"`},
		{"object over the door", smallTest("300 mm", "1.79 m"), "t.yaml:7:11: an object must fit under the open door"},
		{"object of no height", smallTest("300 mm", "0 mm"), "an object must fit under the open door"},
		{"force without its limits", smallTest("peak: 400 N, ", ""), "a force test has the limits peak, above 150 N and static"},
		{"obstruction without its limits", smallTest("kind: force", "kind: obstruction"), "an obstruction test has the limits reversal and lower end"},
		{"unknown kind", smallTest("kind: force", "kind: forse"), `did you mean "force"?`},
		{"unknown key", smallTest("heights:", "hights:"), `did you mean "heights"?`},
		{"wrong dimension", smallTest("peak: 400 N", "peak: 400 kg"), "t.yaml:12:16"},
		{"no such truck", smallTest("produce-4bay", "produce-4bat"), "did you mean"},
		{"an edge that is not there", smallTest("produce-4bay", "produce-4bay-no-edge"), "bay C1 has no sensing edge that could be sound"},
		{"a duty that is a percentage without its sign", smallTest("as it is", "as it is, closing duty: 60"), "60"},
	}
	for _, row := range rows {
		l := &Loader{Shipped: Shipped()}
		_, err := l.LoadStandardTestBytes("t.yaml", []byte(row.text))
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: got %v, want %q in it", row.name, err, row.want)
		}
	}
	l := &Loader{Shipped: Shipped()}
	if _, err := l.LoadStandardTestBytes("t.yaml", []byte(smallTest())); err != nil {
		t.Errorf("the test itself: %v", err)
	}
}

// What misses which limit, one figure at a time.
func TestLimits(t *testing.T) {
	l := &Loader{Shipped: Shipped()}
	force, err := l.LoadStandardTestBytes("t.yaml", []byte(smallTest()))
	if err != nil {
		t.Fatal(err)
	}
	obstruction, err := l.LoadStandardTestBytes("t.yaml", []byte(smallTest("kind: force", "kind: obstruction",
		"{peak: 400 N, above 150 N: 0.75 s, static: 150 N}", "{reversal: 2 s, rise: 50 mm, lower end: 30 s}")))
	if err != nil {
		t.Fatal(err)
	}
	nan := math.NaN()
	good := standard.Result{Contact: 3, Reversal: 0.4, Rise: 1.5, Open: true, Turned: 3.4, Closed: nan, Peak: 300, Above: 0.3, Static: 0}
	with := func(change func(r *standard.Result)) TrialRow {
		r := TrialRow{Height: 0.3, Result: good}
		change(&r.Result)
		return r
	}
	without := func(turned, closed float64, open bool) TrialRow {
		return TrialRow{Height: nan, Result: standard.Result{Contact: nan, Reversal: nan, Turned: turned, Closed: closed, Open: open}}
	}
	rows := []struct {
		name string
		test *StandardTest
		row  TrialRow
		want string
	}{
		{"good", force, with(func(*standard.Result) {}), ""},
		{"good", obstruction, with(func(*standard.Result) {}), ""},
		{"at the limit", force, with(func(r *standard.Result) { r.Peak = 400 }), ""},
		{"over it", force, with(func(r *standard.Result) { r.Peak = 400.1 }), "peak too high"},
		{"long", force, with(func(r *standard.Result) { r.Above = 0.76 }), "above 150 N too long"},
		{"heavy", force, with(func(r *standard.Result) { r.Static = 151 }), "static force too high"},
		{"no contact", force, with(func(r *standard.Result) { r.Contact = nan }), "never reached the object"},
		{"not open, force", force, with(func(r *standard.Result) { r.Open = false }), ""},
		{"not open", obstruction, with(func(r *standard.Result) { r.Open = false }), "not fully open at the end"},
		{"late", obstruction, with(func(r *standard.Result) { r.Reversal = 2.001 }), "not turned in time"},
		{"never turned", obstruction, with(func(r *standard.Result) { r.Reversal = nan }), "not turned in time"},
		{"low", obstruction, with(func(r *standard.Result) { r.Rise = 0.049 }), "rose too little"},
		{"closes", force, without(nan, 5, false), ""},
		{"closes", obstruction, without(nan, 5, false), ""},
		{"does not close", force, without(nan, nan, false), "did not close"},
		{"does not close", obstruction, without(nan, nan, false), "neither down nor turned"},
		{"turned in time", obstruction, without(29, 5, true), ""},
		{"turned late", obstruction, without(31, 5, true), "not turned in time"},
	}
	for _, row := range rows {
		if got := row.test.misses(&row.row); got != row.want {
			t.Errorf("%s, %s: got %q, want %q", row.name, row.test.Kind, got, row.want)
		}
	}
}

// A file of one's own starts from a shipped test and changes what differs.
func TestOwnTestStartsFromAShippedOne(t *testing.T) {
	folder := t.TempDir()
	name := filepath.Join(folder, "mine.yaml")
	text := "from: standards/force-en12453.yaml\nstandard test: Mine\nheights: [300 mm]\nconditions: [{condition: nominal}]\n"
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	l := &Loader{Shipped: Shipped()}
	st, err := l.LoadStandardTest(name)
	if err != nil {
		t.Fatal(err)
	}
	if st.Name != "Mine" || len(st.Heights) != 1 || len(st.Arrangements) < 5 || st.Kind != "force" {
		t.Errorf("got %q, %d heights, %d arrangements, kind %q", st.Name, len(st.Heights), len(st.Arrangements), st.Kind)
	}
}

func TestKindOf(t *testing.T) {
	folder := t.TempDir()
	write := func(name, text string) string {
		full := filepath.Join(folder, name)
		if err := os.WriteFile(full, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return full
	}
	l := &Loader{Shipped: Shipped()}
	rows := []struct {
		name string
		want FileKind
	}{
		{DemoScenario, ScenarioKind},
		{"standards/force-en12453.yaml", StandardKind},
		{"shipped:standards/obstruction-16cfr1211.yaml", StandardKind},
		{write("from.yaml", "from: standards/force-en12453.yaml\nbay: C2\n"), StandardKind},
		{write("again.yaml", "from: from.yaml\n"), StandardKind},
		{write("round.yaml", "from: round.yaml\n"), ScenarioKind},
		{write("broken.yaml", "a: [\n"), ScenarioKind},
		{write("list.yaml", "- standard test\n"), ScenarioKind},
		{write("empty.yaml", ""), ScenarioKind},
		{filepath.Join(folder, "absent.yaml"), ScenarioKind},
	}
	for _, row := range rows {
		if got := l.KindOf(row.name); got != row.want {
			t.Errorf("%s: got %q, want %q", row.name, got, row.want)
		}
	}
	if got := l.KindOfBytes([]byte(smallTest())); got != StandardKind {
		t.Errorf("a text: got %q", got)
	}
}

// One object; what there is none of is null, and nothing is NaN.
func TestStandardResultAsJSON(t *testing.T) {
	l := &Loader{Shipped: Shipped()}
	st, err := l.LoadStandardTestBytes("t.yaml", []byte(smallTest()))
	if err != nil {
		t.Fatal(err)
	}
	table, err := l.LoadLogicOfTest(st)
	if err != nil {
		t.Fatal(err)
	}
	r, err := RunStandard(st, table, nil)
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var back struct {
		Verdict string              `json:"verdict"`
		Caution string              `json:"caution"`
		Limits  map[string]*float64 `json:"limits"`
		Trials  []map[string]any    `json:"trials"`
	}
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	if back.Verdict != r.Verdict() || !strings.Contains(back.Caution, "yardstick") {
		t.Errorf("verdict %q, caution %q", back.Verdict, back.Caution)
	}
	if back.Limits["reversal_s"] != nil || back.Limits["peak_n"] == nil || *back.Limits["peak_n"] != 400 {
		t.Errorf("limits: %s", text)
	}
	if len(back.Trials) != 2 || back.Trials[0]["height_m"] != nil || back.Trials[1]["height_m"] != 0.3 || back.Trials[0]["closed_s"] == nil {
		t.Errorf("trials: %v", back.Trials)
	}
}

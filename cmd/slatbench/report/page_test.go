package report

import (
	"bytes"
	"encoding/xml"
	"io"
	"regexp"
	"strings"
	"testing"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/require"
)

func load(t *testing.T, name string, set ...string) (*scenarios.Scenario, sim.Setup) {
	t.Helper()
	l := &scenarios.Loader{Shipped: scenarios.Shipped(), Set: set}
	sc, err := l.LoadScenario(name)
	if err != nil {
		t.Fatal(err)
	}
	l.Set = nil
	table, err := l.LoadLogicOf(sc)
	if err != nil {
		t.Fatal(err)
	}
	s, err := sc.Setup(table)
	if err != nil {
		t.Fatal(err)
	}
	return sc, s
}

func shippedBench(t *testing.T, watch ...sim.Observer) *sim.Bench {
	t.Helper()
	_, s := load(t, scenarios.DemoScenario)
	s.Watch = watch
	b, err := sim.New(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// runPage is the report of a scenario.
func runPage(t *testing.T, name string, set ...string) (*Run, string) {
	t.Helper()
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	sc, _ := load(t, name, set...)
	table, err := l.LoadLogicOf(sc)
	if err != nil {
		t.Fatal(err)
	}
	series := NewSeries()
	result, err := scenarios.Run(sc, table, scenarios.RunOptions{Watch: []sim.Observer{series}})
	if err != nil {
		t.Fatal(err)
	}
	r := &Run{Scenario: sc, Result: result, Series: series, Version: "test", Replay: "slatbench run " + name}
	return r, written(t, r.Write)
}

func written(t *testing.T, write func(io.Writer) error) string {
	t.Helper()
	var out bytes.Buffer
	if err := write(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// selfContained fails where a page needs anything but itself, or a script.
func selfContained(t *testing.T, page string) {
	t.Helper()
	for _, bad := range []string{"<script", "http:", "https:", "//", " src=", "@import", "<link", "<img", "NaN", "Inf"} {
		if at := strings.Index(page, bad); at >= 0 {
			t.Errorf("%q in the page: …%s…", bad, page[max(0, at-40):min(len(page), at+40)])
		}
	}
	for _, m := range regexp.MustCompile(`(?:href="|url\()(.)`).FindAllStringSubmatch(page, -1) {
		if m[1] != "#" {
			t.Errorf("a reference out of the page: %s", m[0])
		}
	}
}

// pictures parses every SVG strictly, and returns them.
func pictures(t *testing.T, page string) []string {
	t.Helper()
	list := regexp.MustCompile(`(?s)<svg .*?</svg>`).FindAllString(page, -1)
	for _, p := range list {
		d := xml.NewDecoder(strings.NewReader(p))
		for {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("%v in %.200s", err, p)
			}
		}
	}
	return list
}

// uses are the marks of the page that are used, and all of them exist.
func checkReferences(t *testing.T, page string) {
	t.Helper()
	for _, m := range regexp.MustCompile(`(?:href="#|url\(#)([\w-]+)`).FindAllStringSubmatch(page, -1) {
		if !strings.Contains(page, `id="`+m[1]+`"`) {
			t.Errorf("nothing has the id %q", m[1])
		}
	}
}

func TestRunPage(t *testing.T) {
	r, page := runPage(t, scenarios.DemoScenario)
	selfContained(t, page)
	checkReferences(t, page)
	if n := len(pictures(t, page)); n < 4 {
		t.Errorf("%d pictures", n)
	}
	for _, want := range []string{
		"Morning stop", "Produce truck, four bays", "slatbench run demo/morning-stop.yaml", "Slatbench test",
		"obstruction-closing", "Height of the bottom edge, m", "Speed, m/s", "Motor current, A", "Supply at the controller, V",
		"Cable tension, N", "Slack cable, mm", ">true<", ">counted<", "Lock bar of the curbside, mm",
		"2.48 N·m a turn, 6.6 initial turns", "12 N/mm over 24 mm, then 400 N/mm", "Stood still all the time: R1 down, R2 down",
		"prefers-color-scheme:dark", "@media print", "no certification", "torsion spring",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not in the page", want)
		}
	}
	for _, id := range require.IDs {
		if !strings.Contains(page, "<b>"+id+"</b>") || asks[id] == "" {
			t.Errorf("requirement %s is not in the page with what it asks", id)
		}
	}
	if word := "<strong>Holds</strong>"; strings.Contains(page, word) == r.Result.Violated() {
		t.Errorf("%s in the page, and violated is %v", word, r.Result.Violated())
	}
	for _, e := range r.Result.Expectations {
		if !strings.Contains(page, e.Text) {
			t.Errorf("expectation %q is not in the page", e.Text)
		}
	}
}

func TestSameBytes(t *testing.T) {
	_, a := runPage(t, scenarios.DemoScenario)
	_, b := runPage(t, scenarios.DemoScenario)
	if a != b {
		t.Error("two reports of the same run differ")
	}
}

// What does not hold is said in words and drawn hatched, to the left of the limit.
func TestViolatedIsMoreThanColour(t *testing.T) {
	r, page := runPage(t, scenarios.DemoScenario, "expect=[{by: 1 s, bay: C1, is: open}]")
	if !r.Result.Violated() || !strings.Contains(page, "<strong>Violated</strong>") || !strings.Contains(page, "not met") {
		t.Error("an expectation that is not met does not show")
	}
	bar := marginBar(-0.35, require.Violated)
	if !strings.Contains(bar, `class="broken"`) || !strings.Contains(bar, "35 % of the limit beyond it") || !strings.Contains(bar, `x="85"`) {
		t.Errorf("got %s", bar)
	}
	kept := marginBar(0.35, require.Holds)
	if !strings.Contains(kept, `class="kept"`) || !strings.Contains(kept, `x="120"`) {
		t.Errorf("got %s", kept)
	}
	for _, share := range []float64{-7, 7} { // both ends of the scale
		if bar := marginBar(share, require.Violated); !strings.Contains(bar, `width="100"`) {
			t.Errorf("share %v: %s", share, bar)
		}
	}
}

// A title is only ever text.
func TestHostileWordsStayWords(t *testing.T) {
	_, page := runPage(t, scenarios.DemoScenario, `scenario="</style><script>alert(1)</script> & <b>"`)
	if strings.Contains(page, "<script") || !strings.Contains(page, "&lt;script&gt;") {
		t.Error("markup of a scenario's name got into the page")
	}
	pictures(t, page)
}

// Every shipped scenario gives a whole page.
func TestEveryShippedScenario(t *testing.T) {
	if testing.Short() {
		t.Skip("short")
	}
	for _, name := range scenarios.ShippedNames(scenarios.ScenarioKind) {
		t.Run(name, func(t *testing.T) {
			_, page := runPage(t, name)
			selfContained(t, page)
			pictures(t, page)
			if n := len(page); n > 1_000_000 {
				t.Errorf("%d bytes", n)
			}
		})
	}
}

func TestStandardPage(t *testing.T) {
	for _, name := range scenarios.ShippedNames(scenarios.StandardKind) {
		l := &scenarios.Loader{Shipped: scenarios.Shipped()}
		st, err := l.LoadStandardTest(name)
		if err != nil {
			t.Fatal(err)
		}
		table, err := l.LoadLogicOfTest(st)
		if err != nil {
			t.Fatal(err)
		}
		result, err := scenarios.RunStandard(st, table, nil)
		if err != nil {
			t.Fatal(err)
		}
		s := &Standard{result, "test", "slatbench run " + name}
		page := written(t, s.Write)
		if again := written(t, s.Write); again != page {
			t.Errorf("%s: two pages of the same trials differ", name)
		}
		selfContained(t, page)
		checkReferences(t, page)
		for _, p := range pictures(t, page) {
			crosses := strings.Count(p, `class="cross"`)
			if strings.Contains(p, "costs in closing time") && crosses != missedFigures(s) {
				t.Errorf("%s: %d crosses, want one for each of %d missed figures", name, crosses, missedFigures(s))
			}
		}
		if n := strings.Count(page, "<tr><td>"); n < len(result.Rows) {
			t.Errorf("%s: %d rows for %d trials", name, n, len(result.Rows))
		}
		for _, want := range []string{st.After, "yardstick", "Findings", "nothing about conformity"} {
			if !strings.Contains(page, want) {
				t.Errorf("%s: %q is not in the page", name, want)
			}
		}
	}
}

// missedFigures counts the figures that the chart shows as missed.
func missedFigures(s *Standard) (n int) {
	for _, c := range s.columns() {
		for i := range s.Rows {
			if !c.bars && c.measure.missed(&s.Rows[i]) && !unshown(c.measure.of(&s.Rows[i])) {
				n++
			}
		}
	}
	return n
}

// A bay that did nothing has no plot, but a line that says so, and when its controller went dark.
func TestBaysAtRestAreALine(t *testing.T) {
	_, page := runPage(t, "faults/supply-interruption.yaml")
	if !strings.Contains(page, "(its controller lost power for a time)") || !strings.Contains(page, "Stood still all the time: ") {
		t.Error("nothing says that bays stood still without power")
	}
	if n := strings.Count(page, "<h2>Bay "); n != 1 {
		t.Errorf("%d bays have plots, want the one that was pressed", n)
	}
}

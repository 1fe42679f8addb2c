package report

import (
	"context"
	"math"
	"strings"
	"testing"

	"slatbench/scenarios"
	"slatbench/sim/sizing"
)

// sizeReport is the report of a size file, with a map and trucks.
func sizeReport(t *testing.T, name string, flags ...scenarios.SizeFlag) (*Size, string) {
	t.Helper()
	f, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).LoadSize(name, flags)
	if err != nil {
		t.Fatal(err)
	}
	q := f.Question()
	s := &Size{Title: f.Name, Version: "test", Replay: "slatbench size " + name, Facts: [][2]string{{"place", "<cold> & dark"}}}
	if s.Result, err = sizing.Ask(q); err != nil {
		t.Fatal(err)
	}
	x, y := sizing.FindInput("temperature").Spread(-30, 45, 7), sizing.FindInput("charge").Spread(0.2, 1, 5)
	if s.Study, err = sizing.Study(context.Background(), q, x, y, 2, nil); err != nil {
		t.Fatal(err)
	}
	if s.Fleet, err = sizing.Tolerances(context.Background(), q, f.ToleranceList(), 40, 1, 2, nil); err != nil {
		t.Fatal(err)
	}
	return s, written(t, s.Write)
}

func TestSizePage(t *testing.T) {
	for _, name := range []string{"sizing/side-door.yaml", "sizing/shop-door.yaml"} {
		s, page := sizeReport(t, name)
		selfContained(t, page)
		checkReferences(t, page)
		if n := len(pictures(t, page)); n < 8 {
			t.Errorf("%s: %d pictures", name, n)
		}
		for i := range s.Result.Answers {
			a := &s.Result.Answers[i]
			if !strings.Contains(page, "<b>"+a.Aspect.Info().Name+"</b>") {
				t.Errorf("%s: no answer to %s", name, a.Aspect.Info().ID)
			}
			if a.Fix != "" && !strings.Contains(page, "Try: "+a.Fix) {
				t.Errorf("%s: %q is not told", name, a.Fix)
			}
		}
		for _, want := range []string{
			"Balance through the travel", "Initial turns", "Travel time over temperature and charge", "Which tolerance matters most", "Where the limits come from",
			"maim or kill", "&lt;cold&gt; &amp; dark", `class="contour"`, `class="s-fail"`, `class="here"`, "lives of like springs scatter",
			"from memory; written for other doors", "prefers-color-scheme:dark", "@media print", "slatbench size " + name,
		} {
			if !strings.Contains(page, want) {
				t.Errorf("%s: %q is not in the page", name, want)
			}
		}
		if again := written(t, s.Write); again != page {
			t.Errorf("%s: two pages of the same answers differ", name)
		}
	}
}

// A door that nothing will do for still has a page, and it says so.
func TestSizePageOfAFailure(t *testing.T) {
	_, page := sizeReport(t, "sizing/side-door.yaml", scenarios.SizeFlag{Name: "spring", Text: "wire 0.3 in, inside 2.6 in, length 20 in, turns 3"})
	selfContained(t, page)
	pictures(t, page)
	for _, want := range []string{"It fails", "No number of turns will do", "<b>No single change that was tried mends it</b>"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not in the page", want)
		}
	}
}

// The lines of equal time of a plane are straight and where they belong: with a time
// of x + 2y, that of 3 runs from (3, 0) to (1, 1).
func TestContourOfAPlane(t *testing.T) {
	in := sizing.FindInput("charge")
	m := &sizing.Map{X: sizing.Axis{Input: in, At: []float64{0, 1, 2, 3, 4}}, Y: sizing.Axis{Input: in, At: []float64{0, 1}}}
	for y := range 2 {
		for x := range 5 {
			m.Cells = append(m.Cells, sizing.Cell{Opening: float64(x + 2*y), Closing: 0})
		}
	}
	segments := crossings(m, 2.5)
	if len(segments) == 0 {
		t.Fatal("no line")
	}
	for _, s := range segments {
		for _, p := range [][2]float64{{s[0], s[1]}, {s[2], s[3]}} {
			if v := p[0] + 2*p[1]; math.Abs(v-2.5) > 1e-12 {
				t.Errorf("the line of 2.5 s passes (%v, %v), where it is %v s", p[0], p[1], v)
			}
		}
	}
	m.Cells[1].Opening = math.Inf(1)
	for _, s := range crossings(m, 0.5) {
		t.Errorf("a line beside a door that never opens: %v", s)
	}
}

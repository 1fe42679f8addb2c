package validation

import (
	"flag"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

var updateDocs = flag.Bool("update-docs", false, "write docs/validation/README.md and its plots anew")

// head is what stands above the table. The figures of the norm are those of compare_test.go.
const head = `# The independent integrator

Written by ` + "`go test ./docs/validation -run Validation -update-docs`" + `; the test fails when it is out of date.

[reference.py](reference.py) integrates the truck anew. It was written from [the theory](../theory.md) and not from the Go code, takes
its values from the table there, and solves the equations another way: SciPy's LSODA with its own choice of step and a
relative tolerance of 10⁻⁹, where Go takes fixed steps of 1 ms. Sticking is a mode that an event begins and another
ends, with Coulomb's law as it stands and nothing smoothed; so are a slack cable, the gear's load changing sign, and each region
of a contact. ` + "`--method Radau`" + ` solves doors and locks with a second method.

Both sides read the circumstances from [cases.json](cases.json). ` + "`go test ./docs/validation`" + ` runs the script where a python3 with SciPy is
installed (Debian: python3-scipy), and skips, saying so, where there is none.

## How the difference is measured

Every millisecond (battery: each 10 s), as a share of the **scale**: the range that the reference runs through in that case, or, where it hardly
moves, a least scale stated in ` + "`compare_test.go`" + `.

- **at once**: the greatest difference between the two at one instant. On a steep flank it is mostly time: a tension that grows by 300 N in a
  millisecond is 100 N off when it comes a third of a step early; and the current of a lock falls from its inrush within a time constant of 0.37 ms, less than a step.
- **within 2 ms**: the greatest distance from Go's value to the range that the reference runs through within two steps before and
  after. This is what is held to 1 % for height, bar, current, voltage and charge, and to 3 % for speed, tension, slack and contact force.
- **peak**: how far the greatest and the least value differ, whenever they come. Held to the same share.
- **mean**: the mean of the sizes of the differences at once, with no band in time. Held to half that share, so that the band cannot
  hide a lasting error.
- **¼ step**: that mean with steps of 0.25 ms. It must be less than half (plus 0.1 % of the scale): what is left over is then
  the step, not the equations.

Height and speed are Go's state at the instant. Forces and currents are those of the step that begins there, since a step works with the forces of its start;
a trace that stamps them with the step's end shows them a step late.

## What came out

`

// tail is what stands below it.
const tail = `
## What it has found

- The table in section 14 of the theory had kept 15 mm of soft travel of the seal, and a sill switch at 8 mm, when the model had gone on to 24 mm and −2 mm. Contact forces differed by up
  to 40 % of their scale. The table was wrong and is corrected; ` + "`TestTheoryTable`" + ` now holds it against the model, and the plain C loop follows.
- Nothing in the Go code. What is left falls to a quarter with a quarter of the step, in every case.

## Plots

Broad and light: SciPy. Thin and dark: Go.

`

// writeOrCompare writes the page and the plots, or holds the page against what came out.
func writeOrCompare(t *testing.T, all, fine []comparison) {
	t.Helper()
	page := head + table(all, fine) + tail
	for _, c := range all {
		page += fmt.Sprintf("![%s](%s.svg)\n\n", c.title, c.name)
	}
	page = strings.TrimSuffix(page, "\n")
	if *updateDocs {
		write := func(name, text string) {
			if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		write("README.md", page)
		for _, c := range all {
			write(c.name+".svg", plotSVG(c))
		}
		return
	}
	have, err := os.ReadFile("README.md")
	if err != nil || !same(string(have), page) {
		t.Errorf("docs/validation/README.md is out of date (%v): go test ./docs/validation -run Validation -update-docs", err)
	}
	for _, c := range all {
		if _, err := os.Stat(c.name + ".svg"); err != nil {
			t.Error("a plot is missing: ", err)
		}
	}
}

func table(all, fine []comparison) string {
	var b strings.Builder
	b.WriteString("| case | channel | scale | at once | within 2 ms | peak | allowed | mean | allowed | mean, ¼ step |\n|---|---|---|---|---|---|---|---|---|---|\n")
	percent := func(v float64) string {
		// Never −0 and never more digits than another release of SciPy would give.
		return fmt.Sprintf("%.2f %%", 100*math.Abs(v))
	}
	for k, c := range all {
		title := "**" + c.name + "** " + c.title
		for i, ch := range channels {
			d, f := c.differences[i], fine[k].differences[i]
			if d.scale == 0 || d.scale == ch.least && d.at < 5e-5 { // not in this case, or nothing moves
				continue
			}
			fmt.Fprintf(&b, "| %s | %s | %s %s | %s | %s | %s | %g %% | %s | %g %% | %s |\n", title, ch.title, threeDigits(d.scale), ch.unit,
				percent(d.at), percent(d.within), percent(d.peak), 100*ch.tolerance, percent(d.mean), 50*ch.tolerance, percent(f.mean))
			title = ""
		}
	}
	return b.String()
}

func threeDigits(v float64) string {
	if v >= 1000 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.3g", v)
}

// same compares pages word by word. Numbers may differ by what another release of
// SciPy, with other steps, changes: 0.03 in the last of two decimals.
func same(a, b string) bool {
	x, y := strings.Fields(a), strings.Fields(b)
	if len(x) != len(y) {
		return false
	}
	for i := range x {
		if x[i] == y[i] {
			continue
		}
		p, errP := strconv.ParseFloat(x[i], 64)
		q, errQ := strconv.ParseFloat(y[i], 64)
		if errP != nil || errQ != nil || !(math.Abs(p-q) <= 0.03) {
			return false
		}
	}
	return true
}

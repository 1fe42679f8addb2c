package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"slatbench/scenarios"
	"slatbench/sim/sizing"
)

// What sizing says to a person; the rules are those of messages.go.

func init() {
	flagWants["trucks"] = "a whole number from 10 to 1000000"
	flagWants["top"] = "a whole number from 1 to 10000"
	flagWants["single"] = "true or false"
}

// Flags of size and size pick.
const (
	flagDoor        = "the door `PART`: height, width, mass, bend ..."
	flagSpring      = "a spring `PART`: wire, inside, length; repeatable"
	flagTurns       = "initial turns `N` of all springs"
	flagBattery     = "the battery `PART`: cold cranking, reserve, charge, age"
	flagHarness     = "the wiring `PART`: wire, length each way, connectors"
	flagTemperature = "`T` of air, battery and grease, as in -20C or 0F"
	flagGrade       = "slope `G` across the truck, as in 5%"
	flagTolerances  = "how far trucks may differ, a `PART` of inputs"
	flagSizeTruck   = "start from the truck `FILE` instead of the file's"
	flagSizeWorkers = "ask on `N` cores; the answers do not depend on it"
	flagSweep       = "study a `RANGE`, INPUT=LOW..HIGH[:STEPS]; two make a map"
	flagTrucks      = "ask of `N` trucks that differ within the tolerances"
	flagSizeSeed    = "seed `N` of those trucks"
	flagSizeReport  = "write a report to `FILE`.html, for screen and paper"
	flagSprings     = "the springs, `FILE`.csv"
	flagConvention  = "textbook or rate book, a `WORD`"
	flagBy          = "rank by `WORD`: margin, life or cost"
	flagSingle      = "single springs only, no pairs"
	flagTop         = "show the first `N`"
)

var helpSize = help{
	"spring, wiring and battery of a door: will it work, and by what margin?",
	`Answers an upfitter's question: will this door work with this spring, this
wiring and this battery, where the truck stands? Prints how the door is
balanced, the range of initial turns in which it works, times, currents, supply,
heat, spring stress and life. Every answer passes, is marginal or fails, with
the reason and the nearest change that would mend it.

FILE is a size file, a shipped one by its name, or none for the shipped door.
The flags change single parts of it. ` + partText + `

--sweep, twice, makes a map over two inputs:` + "\n" + wrappedInputs() + `

A wound torsion spring can maim or kill: leave winding to people who are
qualified for it. Every answer is that of a model.

Exit codes: 0 nothing fails, 1 an answer fails, 2 bad input or usage.`,
	`slatbench size
slatbench size --spring "wire 0.218 in, inside 2 in, length 28 in, turns 6.6"
slatbench size --harness "wire 14 AWG, length 20 ft" --temperature -4F
slatbench size --sweep temperature=-30..45C charge=20..100%
slatbench size side-door --trucks 1000 --report door.html
slatbench size my-door.yaml --set "battery.age=60 %" --json
slatbench size pick --springs my-shelf.csv --by cost`,
}

// partText tells what a part of a size file looks like on the command line.
const partText = `A PART is keys and quantities with their
units, in SI or US customary, apart by commas (see docs/sizing.md):
  --door "height 1.8 m, width 1.1 m, mass 32 kg, bend 200 mm, drum radius 50 mm"
  --spring "wire 0.218 in, inside 2 in, length 28 in, turns 6.5"
  --battery "cold cranking 650 A, reserve 120 min, charge 80 %, age 20 %"
  --harness "wire 10 AWG, length 20 ft, connectors 6 mohm"
  --tolerances "spring rate 5 %, mass 3 %, friction 30 %"`

// wrappedInputs lists the inputs of a sweep.
func wrappedInputs() string {
	return strings.Join(wrap(strings.Join(sizing.InputNames(), ", ")+".", lineWidth-2), "\n")
}

var helpSizePick = help{
	"which springs of a list fit a door, with how many turns",
	`Tries every spring of a list, and every pair on one shaft, on the door of FILE,
and ranks those that work: by the least margin of all that springs decide, by
life, or by cost. Each gets its initial turns. The list is a CSV file whose
first line names the columns: name, wire, inside (or mean, or outside), length
(or coils), steel, rate, dead coils, modulus, cost, note. A cell carries its
unit ("0.218 in"), or the column does ("wire (in)"). Of a list of more than
1000, pairs are of like springs only. --convention tells how rates are reckoned
from the wire: textbook counts every coil, rate book leaves five dead.

The door is told as for slatbench size, whose help has examples of a PART.

Exit codes: 0 it was ranked, whether anything fits or not, 2 bad input or usage.`,
	`slatbench size pick
slatbench size pick my-door.yaml --springs my-shelf.csv --by cost --top 5
slatbench size pick --door "height 7 ft, mass 95 lb" --single --json`,
}

func noSize(typed, hint string) error {
	return wrong{fmt.Sprintf("no size file %q, neither a file nor a shipped one", typed), hint}
}

func emptyPart(flag string) error {
	return wrong{fmt.Sprintf("--%s: nothing is given", flag), "keys and quantities apart by commas, as in the examples of slatbench size --help"}
}

func needTwoAxes(n int) error {
	return wrong{fmt.Sprintf("a map has two axes, found %d", n), `as in --sweep temperature=-30..45C --sweep charge=20..100%`}
}

func sameAxes(name string) error {
	return wrong{fmt.Sprintf("--sweep: both axes are %s, expected two different inputs", name), ""}
}

func badAxis(err error) error {
	var q *scenarios.QuantityError
	if errors.As(err, &q) {
		return wrong{"--sweep: " + q.Message, q.Hint}
	}
	return err
}

func noTolerances() error {
	return wrong{"--trucks draws trucks within tolerances, and none are stated", `state them in the file, or as in --tolerances "spring rate 5 %, mass 3 %"`}
}

func notForPick() error {
	return wrong{"--spring and --turns are what pick finds", "leave them out, and give a list with --springs"}
}

func questionsText(now, all int64) string { return fmt.Sprintf("asked %d of %d", now, all) }

// Heads and notes of the report.
const (
	headAnswers = "Answers"
	headBalance = "Balance, N"
	headTurns   = "Initial turns"
	headSprings = "Springs"
	headCycle   = "A cycle"
	headFleet   = "Trucks within tolerances"
	headPick    = "Springs that fit"

	balanceNote = "Pulls along the track: gravity and closing spring down, spring up. By hand: to lift and to pull down with the " +
		"manual release open; below zero it goes by itself. Spare: before it drifts up or sinks, drive engaged and off."
	sizeCaution = "Every answer is that of a model, with invented data where the files say so. It replaces no test on a door and " +
		"certifies nothing. A wound torsion spring can maim or kill: only people who are qualified for it wind or release one. " +
		"Keep clear of a moving door. Local codes and licensed or qualified practice decide."
	lifeNote = "Life: finite-life method of Shigley with the Gerber parabola, some constants from memory; lives of like springs " +
		"scatter by a factor of five either way (common practice, no source). Rust, nicks and dry coils shorten it."
)

// sizeWord is a verdict as it is told.
func sizeWord(v sizing.Verdict) (word, rendition string) {
	switch v {
	case sizing.Pass:
		return "pass", good
	case sizing.Marginal:
		return "MARGINAL", odd
	case sizing.Fail:
		return "FAIL", bad
	}
	return v.String(), faint
}

// sizeSymbol is a verdict in one column.
func sizeSymbol(v sizing.Verdict) (symbol, rendition string) {
	switch v {
	case sizing.Pass:
		return "+", good
	case sizing.Marginal:
		return "~", odd
	case sizing.Fail:
		return "x", bad
	}
	return ".", faint
}

// limitText is where an answer stops to pass and begins to fail.
func limitText(a *sizing.Answer) (pass, fail string) {
	i := a.Aspect.Info()
	write := func(x float64) string { return strconv.FormatFloat(x*i.Scale, 'f', -1, 64) }
	if a.Aspect == sizing.SpringLife {
		write = sizing.RoundCycles
	}
	if i.More {
		return "from " + write(a.Limit.Pass), "under " + write(a.Limit.Fail)
	}
	return "up to " + write(a.Limit.Pass), "over " + write(a.Limit.Fail)
}

// secondsText is a time, or that it never comes.
func secondsText(x float64) string {
	if absent(x) {
		return "never"
	}
	return fmt.Sprintf("%.2f s", x)
}

// apartText tells how far simulation and quadrature differ.
func apartText(simulated, quadrature float64, applies bool) string {
	switch {
	case absent(simulated) && absent(quadrature):
		return "never, by both"
	case absent(simulated) || absent(quadrature):
		return fmt.Sprintf("%s simulated, %s by quadrature", secondsText(simulated), secondsText(quadrature))
	}
	text := fmt.Sprintf("%.2f s simulated, %.2f s by quadrature, %.1f %% apart", simulated, quadrature, 100*math.Abs(quadrature/simulated-1))
	if !applies {
		text += " (where the quadrature need not agree: slack cable, a slow start, or a crawl)"
	}
	return text
}

func sizeSummary(r *sizing.Result) string {
	count := map[sizing.Verdict]int{}
	var failing, marginal []string
	for i := range r.Answers {
		a := &r.Answers[i]
		count[a.Verdict]++
		switch a.Verdict {
		case sizing.Fail:
			failing = append(failing, a.Aspect.Info().ID)
		case sizing.Marginal:
			marginal = append(marginal, a.Aspect.Info().ID)
		}
	}
	parts := []string{fmt.Sprintf("%d of %d pass", count[sizing.Pass], len(r.Answers)-count[sizing.NotJudged])}
	if len(failing) > 0 {
		parts = append(parts, "failing: "+strings.Join(failing, ", "))
	}
	if len(marginal) > 0 {
		parts = append(parts, "marginal: "+strings.Join(marginal, ", "))
	}
	if n := count[sizing.NotJudged]; n > 0 {
		parts = append(parts, fmt.Sprintf("%d not judged", n))
	}
	return strings.Join(parts, "; ")
}

func mapTitle(m *sizing.Map) string {
	return fmt.Sprintf("Travel time, s, the slower way: %s across, %s up", axisText(&m.X), axisText(&m.Y))
}

func axisText(a *sizing.Axis) string {
	return strings.TrimSpace(a.Input.Name + " in " + a.Input.Unit)
}

const (
	mapLegend = "+ passes   ~ marginal   x fails   . cannot be; a time of - is never"
	mapWide   = "more columns than a terminal has are shown by their signs; --json and --report have the times"
)

// mapReasons tells what is worst where not all passes, and why cells have no answer.
func mapReasons(m *sizing.Map) (list []string) {
	worst, refused, why := m.Deciding()
	var parts []string
	for a, n := range worst {
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%s in %d", sizing.Aspect(a).Info().ID, n))
		}
	}
	if len(parts) > 0 {
		list = append(list, fmt.Sprintf("worst where not all passes, of %d cells: %s", len(m.Cells), strings.Join(parts, ", ")))
	}
	if refused > 0 {
		list = append(list, fmt.Sprintf("%d cells cannot be: %s", refused, why))
	}
	return list
}

func shareOfTrucks(n, all int, low, high float64) string {
	return fmt.Sprintf("%d of %d, %.1f %%; between %.1f and %.1f %% with 95 %% confidence", n, all, 100*float64(n)/float64(all), 100*low, 100*high)
}

func assumedText() string {
	return "What the command line does not say is the shipped door's: see slatbench show side-door"
}

// pickCounts tells what came of a list.
func pickCounts(p *sizing.Picked) string {
	kinds := fmt.Sprintf("%d springs", p.Singles)
	if pairs := p.Tried - p.Singles; pairs > 0 {
		kinds += fmt.Sprintf(" and %d pairs", pairs)
		if !p.Mixed {
			kinds += " of like springs (the list is too long for others)"
		}
	}
	return fmt.Sprintf("%s tried, %d fit", kinds, len(p.Fits))
}

const pickNote = "By margin it is ranked by the least score of all that springs decide. Turns: recommended. Margin: turns to the nearer end of the range in which the door works. Stress: of where the wire sets. " +
	"Life: cycles, estimated, within a factor of five. Times of the first twenty are simulated. Two springs on a shaft are wound by the same " +
	"turns, one left-hand and one right-hand."

const nothingFits = "nothing fits"

func moreFits(n int) string    { return fmt.Sprintf("and %d more; --top shows them, or --json", n) }
func moreReasons(n int) string { return fmt.Sprintf("and %d more reasons; --json has them", n) }

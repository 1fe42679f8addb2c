package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"slatbench/scenarios"
	"slatbench/sim/require"
)

// What run says to a person, and the figures and verdicts that others tell alike, by the rules of messages.go.

// Flags of run; other commands have some of them.
const (
	flagJSON   = "print one JSON object instead of the report"
	flagQuiet  = "print only what is violated"
	flagTrace  = "write a trace to `FILE`: .csv, .vcd or .parquet"
	flagEvery  = "sample the trace every `N` ticks only"
	flagReport = "write a report to `FILE`.html: verdicts, plots, parameters"
	flagSet    = "change a single value: `PATH=VALUE`; repeatable"
	flagSeed   = "seed `N` for what is left to chance, instead of the scenario's"
	flagLogic  = "run the controllers of `FILE`: a table, a module, a program"
	flagTruck  = "run on the truck `FILE` instead of the scenario's"
)

var helpRun = help{
	"run a scenario and judge it",
	`Runs a scenario and prints, for every requirement, whether it holds and by what
margin; what the scenario expected; the alarms heard; and the figures of every
bay. SCENARIO is a file, a shipped scenario by its full or short name, or - for
standard input. Without one the demo runs. It may also be a standard test, which
makes its trials and prints each with its figures against the test's limits.

--set changes a single value of the scenario, its truck ("truck.…") or its logic
("logic.…"). Keys are joined by dots, items of lists counted from 0, and
"each bay" stands for all bays.

Exit codes: 0 all holds, 1 a requirement or an expectation is violated or a trial
misses a limit, 2 bad input or usage, or nothing is violated and a controller from
outside went silent.`,
	`slatbench run
slatbench run morning-stop --report morning-stop.html
slatbench run standards/force-en12453.yaml --report force.html
slatbench run missed-pulses-drift
slatbench run my.yaml --truck my-truck.yaml --logic my-logic.yaml
slatbench run two-doors --set "truck.battery.age=60 %" --trace two-doors.csv
slatbench run --set "truck.each bay.counterbalance.initial turns=5 turns"
slatbench run --set "logic.tuning.travel limit=16 s"
slatbench run crate.yaml --json | jq .verdict
generate-scenario | slatbench run - --quiet`,
}

// The report.
const (
	headRequirements = "Requirements"
	headExpectations = "Expectations"
	headAlarms       = "Alarms"
	noAlarm          = "none"
	atLocks          = "locks"

	caution = "A verdict on a model, with invented data where its files say so. It replaces no " +
		"test on a truck, and shows no conformity to a standard."

	progressWidth = 40
)

// figureHeads stand above the figures of the bays, in two lines.
var figureHeads = [2][9]string{
	{"Bays", "opened", "closed", "lowest", "motor", "contact", "most", "ends", "ends"},
	{"", "in", "in", "supply", "peak", "peak", "slack", "at", "count"},
}

// none stands where there is no figure.
const none = "-"

func figureTexts(b *scenarios.BayResult) [9]string {
	count := none
	if b.Counted {
		count = strconv.Itoa(b.Counts)
	}
	return [9]string{
		b.Name, quantityText("%.2f s", b.OpenTime), quantityText("%.2f s", b.CloseTime), quantityText("%.2f V", b.MinSupply),
		quantityText("%.1f A", b.PeakCurrent), quantityText("%.0f N", b.PeakContact), quantityText("%.0f mm", b.PeakSlack*1000),
		quantityText("%.3f m", b.Height), count,
	}
}

func quantityText(format string, x float64) string {
	if absent(x) {
		return none
	}
	text := fmt.Sprintf(format, x)
	if number, unit, _ := strings.Cut(text, " "); strings.Trim(number, "-0.") == "" {
		text = strings.TrimPrefix(number, "-") + " " + unit // no -0
	}
	return text
}

// timeText is a time of the run, or nothing.
func timeText(seconds float64) string {
	if absent(seconds) {
		return ""
	}
	return fmt.Sprintf("%.2f s", seconds)
}

// marginText is a margin with its sign and unit; lengths in mm.
func marginText(margin float64, unit string) string {
	switch {
	case absent(margin):
		return ""
	case unit == "m":
		margin, unit = margin*1000, "mm"
	}
	digits := 3
	switch size := math.Abs(margin); {
	case margin == math.Trunc(margin) && unit != "s" && unit != "V" && unit != "mm" && unit != "N", size >= 100:
		digits = 0
	case size >= 10:
		digits = 1
	case size >= 1:
		digits = 2
	}
	if one, ok := oneOf[unit]; ok && math.Abs(margin) == 1 {
		unit = one
	}
	return fmt.Sprintf("%+.*f %s", digits, margin, unit)
}

// oneOf are the units that are counted, for one of them.
var oneOf = map[string]string{"presses": "press", "records": "record"}

// shareText is a margin as a share of its limit.
func shareText(share float64) string {
	if absent(share) {
		return ""
	}
	if share > 9.99 {
		return ">999 %"
	}
	return fmt.Sprintf("%.0f %%", share*100)
}

func verdictWord(v require.Verdict) (word, rendition string) {
	switch v {
	case require.Holds:
		return "holds", good
	case require.Violated:
		return "VIOLATED", bad
	case require.Exempt:
		return "exempt", odd
	}
	return v.String(), faint
}

func metWord(met bool) (word, rendition string) {
	if met {
		return "met", good
	}
	return "NOT MET", bad
}

func untriedText(ids []string) string { return "not exercised: " + strings.Join(ids, ", ") }

func exemptText(e *require.Exemption) string {
	return fmt.Sprintf("exempt for %s: %s", e.Fault, e.Reason)
}

// alarmText names an alarm and its pulses.
func alarmText(a scenarios.HeardAlarm) (name, pulses string) {
	if a.CutOff {
		return "cut off by the end", "after " + pulsesText(int(a.Alarm))
	}
	return a.Alarm.String(), pulsesText(int(a.Alarm))
}

func pulsesText(n int) string {
	if n == 1 {
		return "1 pulse"
	}
	return strconv.Itoa(n) + " pulses"
}

// kelvin is 0 °C in K, which is what scenarios keep.
const kelvin = 273.15

// headRows say what was run.
func headRows(sc *scenarios.Scenario, r *scenarios.Result) [][2]string {
	place := []string{fmt.Sprintf("%.3g °C", sc.Ambient.Temperature-kelvin), "no sun", "level"}
	if sun := sc.Ambient.Sunlight; sun > 0 {
		place[1] = "sun " + scenarios.FormatQuantity(sun, "illuminance")
	}
	if grade := sc.Ambient.Grade; grade != 0 {
		place[2] = fmt.Sprintf("grade %.3g %%", grade*100)
	}
	rated := "service judged"
	if !r.Rated {
		rated = "service not judged: outside rated conditions"
		if len(sc.Faults) > 0 {
			rated = "service not judged: " + strings.Join(sc.FaultKinds(), ", ")
		}
	}
	return [][2]string{
		{"truck", r.Truck},
		{"logic", r.Logic},
		{"place", fmt.Sprintf("%s, battery %.0f %% charged", strings.Join(place, ", "), sc.Start.Charge*100)},
		{"run", fmt.Sprintf("%s, seed %d; %s", scenarios.FormatQuantity(r.Duration, "time"), r.Seed, rated)},
	}
}

// summary is the verdict in a sentence.
func summary(r *scenarios.Result) string {
	count := map[require.Verdict]int{}
	var violated []string
	for i := range r.Requirements {
		j := &r.Requirements[i]
		count[j.Verdict]++
		if j.Verdict == require.Violated {
			violated = append(violated, j.ID)
		}
	}
	met := 0
	for i := range r.Expectations {
		if r.Expectations[i].Met {
			met++
		}
	}
	parts := []string{fmt.Sprintf("%d hold", count[require.Holds])}
	for _, v := range []require.Verdict{require.Exempt, require.Measured, require.NotExercised} {
		if count[v] > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", count[v], v))
		}
	}
	text := strings.Join(parts, ", ")
	if len(violated) > 0 {
		text = strings.Join(violated, ", ") + "; " + text
	}
	if n := len(r.Expectations); n > 0 {
		text += fmt.Sprintf("; %d of %d expectations met", met, n)
	}
	return text
}

func replayText(command string) string { return "again: " + command }

func progressText(now, end float64) string {
	return fmt.Sprintf("running %s of %s", wholeSeconds(now), wholeSeconds(end))
}

func wholeSeconds(s float64) string { return strconv.FormatFloat(math.Floor(s), 'f', 0, 64) + " s" }

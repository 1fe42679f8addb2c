package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"slatbench/scenarios"
	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// All that the command line says to a person stands in this file, but for the
// problems of files, which the loader words. Its rules:
//
//   - A message says what is wrong, then what was expected; the next step goes on
//     a line of its own that begins with "hint:".
//   - Errors go to standard error and begin with "slatbench:", or with file, line
//     and column where they have a place in a file. Lower case, no full stop.
//   - Reports go to standard output, in at most 80 columns. Every number has its unit.
//   - What is violated, not met or exempt is said in words; colour only repeats it.
//   - Words of docs/requirements.md and docs/scenarios.md, no others.
//   - A violation ends with the command that replays it.

// errorText is an error as it is told.
func errorText(what, hint string) string {
	text := "slatbench: " + what
	if hint != "" {
		text += "\n  hint: " + hint
	}
	return text
}

func seeHelp(command string) string { return command + " --help shows how it is used" }

func unknownCommand(word string, known []string) error {
	hint := "slatbench --help lists the commands"
	if near := scenarios.Nearest(word, known); near != "" {
		hint = "did you mean " + strconv.Quote(near) + "?"
	}
	return wrong{fmt.Sprintf("unknown command %q", word), hint}
}

func unknownFlag(name, command string, known []string) error {
	hint := seeHelp(command)
	if near := scenarios.Nearest(name, known); near != "" {
		hint = "did you mean --" + near + "?"
	}
	return wrong{fmt.Sprintf("%s has no flag --%s", command, name), hint}
}

func badValue(flag, value string) error {
	return wrong{fmt.Sprintf("--%s %q: expected %s", flag, value, flagWants[flag]), ""}
}

// flagWants says what the flags that are not text want.
var flagWants = map[string]string{
	"seed": "a whole number from 0 to 18446744073709551615", "cycles": "a whole number from 1 to 100000", "every": "a whole number from 1 to 4294967295", "json": "true or false", "quiet": "true or false", "help": "true or false",
}

func unknownWord(what, word string, known []string) error {
	hint := "known are: " + strings.Join(known, ", ")
	if near := scenarios.Nearest(word, known); near != "" {
		hint = fmt.Sprintf("did you mean %q? ", near) + hint
	}
	return wrong{fmt.Sprintf("unknown %s %q", what, word), hint}
}

func tooManyArguments(command, extra string) error {
	return wrong{fmt.Sprintf("%q is one argument too many", extra), seeHelp(command)}
}

func missingArgument(command, what string) error {
	return wrong{"expected " + what, seeHelp(command)}
}

func wrongTogether(a, b string) error {
	return wrong{fmt.Sprintf("%s and %s exclude each other", a, b), ""}
}

func needs(flag, other string) error {
	return wrong{fmt.Sprintf("%s says how %s samples, and there is no %s", flag, other, other), ""}
}

// notWritten is what is wrong with a file that could not be written; nil stays nil.
func notWritten(err error) error {
	if err == nil {
		return nil
	}
	return wrong{err.Error(), "nothing was left behind"}
}

func noReport(name string) error {
	return wrong{fmt.Sprintf("a report is an HTML file, and %q does not end in .html", name), ""}
}

func emptyName(flag, what string) error {
	return wrong{fmt.Sprintf("--%s: expected the name of a %s, and it is empty", flag, what), ""}
}

func notForTests(flag string) error {
	return wrong{flag + " is for scenarios; a standard test has no such thing", ""}
}

func noScenario(typed, hint string) error {
	return wrong{fmt.Sprintf("no scenario %q, neither a file nor a shipped one", typed), hint}
}

func noShippedFile(typed string) error {
	hint := "slatbench list shows what there is"
	for _, kind := range scenarios.FileKinds {
		if near := scenarios.NearestShipped(kind, typed); near != "" {
			hint = "did you mean " + near + "?"
			break
		}
	}
	return wrong{fmt.Sprintf("no shipped file is called %q", typed), hint}
}

const (
	standardInput  = "standard input"
	wasInterrupted = "interrupted; nothing was written"

	argShipped = "the name of a shipped file"
	argKind    = "a kind of file: scenario, truck, logic, standard, lesson, size, soak or firmware"
)

// Flags.
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

// help of a command.
type help struct{ short, long, examples string }

var helpRoot = help{
	"test bench for the controllers of powered roll-up truck doors",
	`Slatbench runs the controllers of powered roll-up truck doors, and of their
locks, on a model of the truck, and judges what the truck really did.

Exit codes: 0 all that was judged holds, 1 a requirement or an expectation is
violated, 2 bad input or usage.`,
	`slatbench run                        # the demo
slatbench list scenarios             # what else there is
slatbench show morning-stop > my.yaml
slatbench run my.yaml --set "ambient.temperature=-10 °C"`,
}

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

// Flags of soak.
const (
	flagCycles     = "play `N` cycles instead of what the file says"
	flagSoakReport = "write a page to `FILE`.html, for screen and paper"
	flagSoakCSV    = "write a line a cycle to `FILE`.csv"
	flagSoakSeed   = "seed `N` for the spread of the route, instead of the file's"
	flagSoakLogic  = "run the controllers of `FILE` instead of the file's"
	flagSoakTruck  = "work a door of the truck `FILE` instead of the file's"
)

var helpSoak = help{
	"work a door over many cycles under wear: what gives way first?",
	`Works one door of a truck again and again while its springs relax, its track gets
dirty, its encoder drifts and its battery grows old and is charged on the way, and
tells in which cycle the taught travel no longer fits, a travel passes 8 s, the
supply falls under 11 V and a start is refused. Controllers and bench are those of
run. FILE is a soak file, a shipped one by its name, or none for the shipped round.
The laws of wear are common shapes with invented figures: see docs/soak.md.

Wound springs hold energy that maims: only trained people work on them. A soak is
a simulation; it certifies nothing and states no life.

Exit codes: 0 it was played, whatever came of it, 2 bad input or usage.`,
	`slatbench soak
slatbench soak --cycles 3000 --report round.html --csv round.csv
slatbench soak my-round.yaml --set "route.charging current=10 A" --seed 4
slatbench soak --set "encoder.slip growth=0 %" --set retrain=no --json`,
}

func cyclesText(now, all int64) string { return fmt.Sprintf("cycle %d of %d", now, all) }

func noSoak(typed, hint string) error {
	return wrong{fmt.Sprintf("no soak %q, neither a file nor a shipped one", typed), hint}
}

func wrongEnding(flag, name, ending string) error {
	return wrong{fmt.Sprintf("%s %q: expected a name that ends in %s", flag, name, ending), ""}
}

var helpList = help{
	"list what ships with the bench, and its words",
	`Lists what ships with the bench. KIND is scenarios, trucks, logics, standards,
lessons, sizes or soaks: files, by their short names. Without it all files are
listed.

Or it lists the words of the bench. KIND is then faults, each with its place and
parameters as a scenario writes them; requirements; or alarms.`,
	`slatbench list
slatbench list scenarios
slatbench list faults`,
}

var helpShow = help{
	"print a shipped file, to be read or copied",
	`Prints a shipped file as it is. A copy of your own may name other shipped files as
they stand: they are found wherever your file lies.`,
	`slatbench show morning-stop
slatbench show trucks/produce-4bay.yaml > my-truck.yaml
slatbench show baseline > my-logic.yaml`,
}

var helpSchema = help{
	"print the JSON Schema of a kind of file, for editors",
	`Prints a JSON Schema (2020-12) by which an editor completes and checks a file while
it is typed. KIND is scenario, truck, logic, standard, lesson, size, soak or firmware.`,
	`slatbench schema scenario > scenario.schema.json
slatbench schema truck > truck.schema.json`,
}

var helpVersion = help{"print the version", "Prints the version, the revision it was built from, and by what.", "slatbench version"}

func versionText(version, revision, compiler, platform string) string {
	text := "slatbench " + version
	if revision != "" {
		text += " (" + revision + ")"
	}
	return text + ", " + compiler + " " + platform
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

const alsoListed = "slatbench list faults, requirements or alarms has the words of the bench"

func replayText(command string) string { return "again: " + command }

func progressText(now, end float64) string {
	return fmt.Sprintf("running %s of %s", wholeSeconds(now), wholeSeconds(end))
}

func wholeSeconds(s float64) string { return strconv.FormatFloat(math.Floor(s), 'f', 0, 64) + " s" }

// faultText is a kind of fault in a few words.
func faultText(k *fault.Kind) string {
	place := k.Part
	switch k.Place {
	case fault.OnBay:
		place = "BAY"
	case fault.OnSide:
		place = "SIDE"
	}
	text := k.Doc
	if k.Event {
		text += " (an event)"
	}
	text += "\n{" + k.Name + ": " + place
	for i := range k.Params {
		p := &k.Params[i]
		value := ""
		if len(p.Words) > 0 {
			value = p.Words[int(p.Default)]
		} else {
			value = scenarios.FormatQuantity(p.Default, scenarios.Dimension(p.Unit))
		}
		text += ", " + p.Name + ": " + value
	}
	return text + "}"
}

// obligations are the requirements, each in a sentence; docs/requirements.md has them in full.
var obligations = map[string]string{
	"close-cut":            "contact above 30 N while driven down, outside the first 305 mm below full open: downward drive gone within 0.5 s",
	"obstruction-reversal": "after such contact the door is driven up within 2.0 s, rises 50 mm and ends fully open",
	"contact-force":        "contact forces stay within 400 N, and within 150 N after 0.75 s; judged where the scenario asks",
	"travel-timeout":       "no run lasts longer than 15 s; a closing run that has not reached the floor in 30 s has been turned up",
	"lock-interlock":       "no bar is driven to lock while a curtain of its side is up; no door is driven while its bar is in the way",
	"stop-on-press":        "a press while moving stops the drive within 50 ms, and the next start opens",
	"no-surprise":          "a door starts only on a press at its bay, or as the reversal of a closing run; never after a restart",
	"dead-time":            "at least 100 ms without voltage between two directions",
	"supply-guard":         "no start by a press below 10.9 V at rest; after a brown-out the drive is off until pressed again",
	"slack-limit":          "never more than 150 mm of slack cable while driven down",
	"taught-travel":        "losing power while teaching leaves the old record or the new one, never a mixture",
	"lock-fault":           "a bar that cannot arrive goes back, its lamp flashes, and it never shows locked when it is not",
	"alarm":                "every situation of the alarm table sounds one of its alarms within 1 s, and no alarm sounds without its situation",
	"service":              "without faults and within rated conditions a press opens or closes within 12 s, without false reversals or alarms",
	"recovery":             "once a fault has gone, doors open and close within two presses each way, and locks work",
}

// alarmMeanings are what alarms say, by pulses less one.
var alarmMeanings = [...]string{
	"a run takes longer than 'slow travel'",
	"opening, the door has stopped before the top",
	"closing, the door has met something and goes up again",
	"the floor was met before the taught count: retrain",
	"driven, and no pulse came",
	"the supply is too low to start",
	"a part that tests itself is at fault: edge wire, record",
	"a lock bar has not arrived",
	"the taught count ran out and no floor was met",
}

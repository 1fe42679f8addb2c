package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"slatbench/scenarios"
	"slatbench/sim/campaign"
	"slatbench/sim/campaign/keep"
	"slatbench/sim/require"
)

// What the campaign says to a person, by the rules of messages.go. One more rule:
// a report never calls a logic safe. It says what was tried, and what came of it.

// Flags of campaign.
const (
	flagRuns           = "play `N` runs: those with index 0 to N-1; with --time as many as it allows"
	flagTime           = "end after a time `D`, as in \"10 min\" or 90s"
	flagCampaignSeed   = "seed `N` of all runs"
	flagFaults         = "`N` faults at most in a run: 0, 1 or 2"
	flagOnly           = "draw these kinds of fault only: `KIND,…`; see slatbench list faults"
	flagCampaignLogic  = "judge the controllers of `FILE`"
	flagCampaignTruck  = "on the truck `FILE`"
	flagWorkers        = "play `N` runs side by side; the result does not depend on it"
	flagDB             = "keep every run in `FILE`, and go on where it ends"
	flagJUnit          = "write the matrix as test cases to `FILE`.xml"
	flagCampaignReport = "write a page to `FILE`.html, for screen and paper"
	flagExamples       = "write a scenario for every distinct violation into the folder `DIR`"
	flagSearch         = "after that, search for violations where margins are thin, in guided runs that are counted apart"
	flagSearchRuns     = "play `N` guided runs at most for each requirement"
	flagSearchFor      = "search for violations of these requirements only: `ID,…`; see slatbench list requirements"
	flagIndex          = "play only the run with index `N`, and tell what happens in it"

	flagExportDB  = "`FILE` of a campaign"
	flagExportOut = "write to `FILE`: .csv or .parquet"
)

var helpCampaign = help{
	"play thousands of random faulty runs and judge them all",
	`Draws runs from a seed, with tolerances, weather, presses, lock requests, power
failures and faults, plays them against the logic, and says for every requirement
in how many runs it was put to the test, how often it was violated, how near it
came, and what bound follows on the probability. How runs are drawn, and which
faults a logic must survive, is in docs/campaigns.md.

A run follows from seed, flags and index alone: --index N plays it again by itself.
--faults draws at most so many faults a run. With --db a campaign can be ended, or
killed, at any time, and goes on when the same command is given again.

--search looks for a violation of each requirement that no run has violated, by
changing near misses little by little: docs/search.md. What it finds is made simpler
and written as a scenario, into the folder counterexamples where none is named. Its
runs are in no count, no bound and no cell of the matrix.

Exit codes: 0 no violation, 1 a requirement is violated; without a violation 2, where
it was ended before its time, runs could not be played or a controller from outside
went silent; 2 too for bad input or usage.`,
	`slatbench campaign --runs 2000
slatbench campaign --logic my-logic.yaml --time "10 min" --db my.db
slatbench campaign --faults 2 --runs 100000 --db pairs.db --report pairs.html
slatbench campaign --only missed-pulses,extra-pulses --counterexamples found
slatbench campaign --runs 2000 --search --search-for close-cut,travel-timeout
slatbench campaign --seed 7 --index 4711
slatbench campaign export --db my.db --out runs.parquet`,
}

var helpCampaignExport = help{
	"write the runs of a campaign's file as CSV or Parquet",
	`Writes one line, or row, a run: faults, verdicts, margins. The columns are in
docs/campaign-files.md.`,
	`slatbench campaign export --db my.db --out runs.parquet
slatbench campaign export --db my.db --out runs.csv`,
}

func init() {
	flagWants["runs"] = "a whole number from 1 to 9223372036854775807"
	flagWants["time"] = `a time above 0, as in "10 min" or 90s`
	flagWants["faults"] = "0, 1 or 2"
	flagWants["workers"] = "a whole number from 1 to 1024"
	flagWants["search-runs"] = "a whole number from 1 to 10000000"
	flagWants["index"] = flagWants["seed"]
}

func badCount(flag string, n int) error { return badValue(flag, strconv.Itoa(n)) }

// notACampaignArgument says of a word after "campaign" what it may have been meant for.
func notACampaignArgument(word string) error {
	if scenarios.Nearest(word, []string{"export"}) != "" {
		return unknownWord("command", word, []string{"export"})
	}
	return wrong{fmt.Sprintf("%q is one argument too many", word), "a logic is named by --logic; the only command here is export"}
}

func twice(a, b string) error {
	return wrong{fmt.Sprintf("%s and %s name the same file", a, b), ""}
}

func notDrawn(kind string) error {
	return wrong{fmt.Sprintf("%s is an event, which runs have anyway; expected kinds of fault", kind), ""}
}

func noFolder(name string, err error) error {
	return wrong{fmt.Sprintf("cannot make folder %q: %v", name, errors.Unwrap(err)), ""}
}

func notIntoFolder(name string, err error) error {
	return wrong{fmt.Sprintf("cannot write into folder %q: %v", name, errors.Unwrap(err)), ""}
}

const fileUntouched = "the file was left as it was"

func comesOutOtherwise(name string, index uint64) error {
	what := "was written by another version of slatbench"
	if keep.HasLog(name) {
		what += fmt.Sprintf(", or the log %q beside it is that of another file", name+"-wal")
	}
	return wrong{fmt.Sprintf("%q %s: run %d comes out otherwise now", name, what, index), fileUntouched}
}

func notKept(err error, kept uint64) error {
	return wrong{err.Error(), fmt.Sprintf("the file holds %s runs; the same command goes on from there", countText(int(kept)))}
}

func notPlayed(n int, why, replay string) error {
	return wrong{fmt.Sprintf("%s could not be played: %s", runsText(n), why), "the first of them: " + replay}
}

func runsText(n int) string {
	if n == 1 {
		return "1 run"
	}
	return countText(n) + " runs"
}

func (r *campaignResult) interruption() error {
	hint := "with --db FILE a campaign can go on where it ended"
	if db := r.flags.db; db != "" {
		hint = "it goes on with: " + r.command(r.limits("--db", db)...)
	}
	return wrong{"interrupted after " + runsText(int(r.runs())), hint}
}

// limits are the flags that say how far it was to go, before others.
func (r *campaignResult) limits(more ...string) []string {
	var list []string
	if r.flags.counted || r.flags.limit == 0 {
		list = append(list, "--runs", strconv.FormatUint(r.flags.runs, 10))
	}
	if r.flags.limit > 0 {
		list = append(list, "--time", r.flags.span)
	}
	return append(list, more...)
}

func campaignTitle(seed uint64) string { return fmt.Sprintf("Campaign, seed %d", seed) }

// planRows say what is going to be played.
func (w *work) planRows(file *keep.File) [][2]string {
	f := w.flags
	kinds := fmt.Sprintf("any of %d kinds", len(faultKinds()))
	if len(f.only) > 0 {
		kinds = "of " + strings.Join(f.only, ", ")
	}
	faults := "none"
	if f.faults > 0 {
		faults = fmt.Sprintf("at most %d a run, %s", f.faults, kinds)
	}
	runs := "as many as " + f.span + " allows"
	if f.counted || f.limit == 0 {
		runs = "index 0 to " + strconv.FormatUint(f.runs-1, 10)
		if f.limit > 0 {
			runs += ", within " + f.span
		}
	}
	rows := [][2]string{
		{"truck", w.truck.Name},
		{"logic", w.under.Title()},
		{"faults", faults},
		{"runs", runs},
	}
	if file != nil {
		kept := "new"
		if w.held > 0 {
			kept = "holds " + runsText(int(w.held)) + " already"
			if w.held > w.kept {
				kept += fmt.Sprintf(", of which the first %s are reported", countText(int(w.kept)))
			}
		}
		rows = append(rows, [2]string{"file", f.db + ", " + kept})
	}
	return rows
}

const (
	headMatrix     = "By fault"
	twoFaults      = "two faults"
	pairsElsewhere = "pairs that break something are listed below"
	headViolations = "Distinct violations, one of each requirement first"
	headSearch     = "Searched for"
	headCoverage   = "Transitions of the logic"

	measuredWord = "measured"

	boundMeaning = "bound: with 95 % confidence a run that is drawn like these, and puts the " +
		"requirement to the test, violates it with no greater probability."

	searchMeaning = "guided runs lie where margins are thin; they were not drawn, so they are in none of " +
		"the counts, bounds and cells. Where nothing was found, nothing is shown."

	campaignCaution = "Verdicts on a model, with invented data and invented distributions. What was not " +
		"drawn was not tried, and no number here is a probability in the field. It replaces no test on a truck."
)

// matrixLegend explains the symbols of the terminal's matrix.
var matrixLegend = []string{
	"0 to 9: least margin in tenths of its limit  + passed without a margin",
	"X violated  e exempt  m measured, not judged  - not judged under faults",
	"? not shown: put to the test in fewer than 100 runs",
}

func halfShownText(runs int) string {
	return "some " + runsText(runs) + " would show half of those"
}

// matrixSymbol is a cell of the matrix in one character.
func matrixSymbol(c *campaign.MatrixCell) (symbol, rendition string) {
	switch c.Say {
	case campaign.Broken:
		return "X", bad
	case campaign.Excused:
		return "e", odd
	case campaign.MeasuredOnly:
		return "m", faint
	case campaign.NotShown:
		return "?", odd
	case campaign.NotJudged:
		return "-", faint
	}
	if math.IsNaN(c.Share) {
		return "+", good
	}
	tenths := min(max(int(math.Floor(c.Share*10)), 0), 9)
	if tenths == 0 {
		return "0", odd
	}
	return strconv.Itoa(tenths), good
}

// cellWord says what runs have come to on one requirement.
func cellWord(c *campaign.Cell, id string) (word, rendition string) {
	switch {
	case c.Violated > 0:
		return verdictWord(require.Violated)
	case id == "contact-force":
		return measuredWord, faint
	case c.Exempt > 0 && c.Exempt == c.Exercised:
		return verdictWord(require.Exempt)
	}
	return verdictWord(require.Holds)
}

func exemptRuns(c *campaign.Cell) string {
	if c.Exemption == nil {
		return "exempt in " + runsText(c.Exempt)
	}
	return fmt.Sprintf("exempt in %s, as for %s: %s", runsText(c.Exempt), c.Exemption.Fault, c.Exemption.Reason)
}

// exemptAgain is the same where the reason has just been told.
func exemptAgain(c *campaign.Cell) string {
	return fmt.Sprintf("exempt in %s, as for %s: the same reason", runsText(c.Exempt), c.Exemption.Fault)
}

// boundText is an upper bound, in per cent, rounded up so that it stays one.
func boundText(high float64) string {
	percent := high * 100
	digits := 1
	if percent > 0 {
		digits = max(0, 1-int(math.Floor(math.Log10(percent))))
	}
	scale := math.Pow(10, float64(digits))
	return fmt.Sprintf("%.*f %%", digits, math.Ceil(percent*scale)/scale)
}

func moreText(n int) string { return fmt.Sprintf("and %d more; --json and --report list all", n) }

func coverageText(fired, all int) string {
	if fired == all {
		return fmt.Sprintf("all %d fired", all)
	}
	return fmt.Sprintf("%d of %d fired; never:", fired, all)
}

func rareText(why string) string { return "rare: " + why }

func neverText(t campaign.Reached) string { return t.Machine + ": " + t.Text }

// summary is what was tried and what came of it, in a sentence.
func (r *campaignResult) summary() string {
	text := "no violation in " + runsText(r.tally.Runs)
	if n := len(r.violations); n > 0 {
		text = fmt.Sprintf("%d distinct violations in %s of %s", n, countText(r.tally.violating), runsText(r.tally.Runs))
		if n == 1 {
			text = strings.Replace(text, "violations", "violation", 1)
		}
	}
	if r.plan.Faults > 0 {
		text += fmt.Sprintf(", with at most %d faults each", r.plan.Faults)
		if r.plan.Faults == 1 {
			text = strings.TrimSuffix(text, "s each") + " each"
		}
	} else {
		text += " without faults"
	}
	switch n := len(r.unshown()); {
	case n == 1:
		text += "; 1 cell of the matrix not shown"
	case n > 0:
		text += fmt.Sprintf("; %d cells of the matrix not shown", n)
	}
	if r.tally.Failed > 0 {
		text += fmt.Sprintf("; %s could not be played", runsText(r.tally.Failed))
	}
	if n := r.tally.Silent.Runs; n > 0 {
		text += fmt.Sprintf("; controllers went silent in %s", runsText(n))
	}
	if r.interrupted {
		text += "; interrupted"
	}
	switch n := r.searchFound(); {
	case n == 1:
		text = "search found a violation of 1 requirement; " + text
	case n > 1:
		text = fmt.Sprintf("search found violations of %d requirements; ", n) + text
	}
	return text
}

func campaignProgressText(done, of uint64, rate float64, violating int, left float64) string {
	text := countText(int(done))
	if of > 0 {
		text += " of " + countText(int(of))
	}
	return fmt.Sprintf("%s runs, %.0f a second, %d violated, %s left", text, rate, violating, spanText(left))
}

// spanText is a time to wait.
func spanText(seconds float64) string {
	switch s := math.Ceil(seconds); {
	case s < 100:
		return fmt.Sprintf("%.0f s", s)
	case s < 100*60:
		return fmt.Sprintf("%.0f min", math.Ceil(s/60))
	case s < 1000*3600:
		return fmt.Sprintf("%.0f h", math.Ceil(s/3600))
	}
	return "very long"
}

func missingFlag(command, flag string) error {
	return wrong{command + " needs " + flag, seeHelp(command)}
}

func noRuns(name string) error {
	return wrong{fmt.Sprintf("%q holds no runs", name), ""}
}

// cellSentence says what runs have come to on one requirement.
func cellSentence(c *campaign.Cell) string {
	text := fmt.Sprintf("put to the test in %s of %s, violated in %d, exempt in %d", countText(c.Exercised), runsText(c.Runs), c.Violated, c.Exempt)
	if !absent(c.Share) {
		text += fmt.Sprintf("; least margin %s (%s), %s of its limit, in run %d", marginText(c.Margin, c.Unit), c.Clause, shareText(c.Share), c.At)
	}
	return text
}

func notShownText(exercised int) string {
	return fmt.Sprintf("not shown: put to the test in %s, and %d are wanted", runsText(exercised), campaign.LeastExercised)
}

// sentence is a violation in a line.
func (v *foundViolation) sentence() string {
	text := fmt.Sprintf("%s violated in %s with %s", v.id(), runsText(v.Violated), v.under())
	if worst := v.worst(); worst != "" {
		text += ": " + worst
	}
	return text
}

// worst is the worst margin of a violation, where it is known.
func (v *foundViolation) worst() string {
	if v.Clause == "" {
		return ""
	}
	return fmt.Sprintf("%s %s at worst", v.Clause, marginText(v.Margin, v.Unit))
}

func kindsSentence(kinds []string) string {
	return strings.ReplaceAll(kindsText(kinds), "+", " and ")
}

// verdictTitle heads a page.
func verdictTitle(violated bool) string {
	if violated {
		return "Violated"
	}
	return "No violation"
}

// absentTime is no time.
var absentTime = math.NaN()

func shrinkingText(n int) string {
	if n == 1 {
		return "looking for the simplest case of 1 violation"
	}
	return fmt.Sprintf("looking for the simplest cases of %d violations", n)
}

func oneTitle(seed, index uint64) string {
	return fmt.Sprintf("Run %d of the campaign with seed %d", index, seed)
}

func oneVerdict(violated []string, hash uint64) []cell {
	word, rendition := verdictWord(require.Holds)
	text := "no violation in this run"
	if len(violated) > 0 {
		word, rendition = verdictWord(require.Violated)
		text = strings.Join(violated, ", ")
	}
	return []cell{{text: strings.ToUpper(word), rendition: rendition}, {text: fmt.Sprintf("%s; final state %016x", text, hash)}}
}

// needsText says that a violation takes less than what it was found with.
func needsText(kinds []string) string { return "its simplest case needs " + kindsText(kinds) }

func noExample(v *foundViolation, err error) error {
	return wrong{fmt.Sprintf("no scenario for %s with %s: %v", v.id(), kindsSentence(v.Kinds), err), "its run: " + v.replay}
}

package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"slatbench/model"
	"slatbench/sim/compare"
	"slatbench/sim/require"
)

// What compare says to a person, by the rules of messages.go.

// Flags of compare.
const (
	flagCompareRuns     = "play `N` runs to both: those with index 0 to N-1"
	flagCompareRecord   = "compare what is written into the store, too, byte by byte"
	flagOutputs         = "compare outputs of these kinds only: `KIND,…`"
	flagAllow           = "accept the classes of difference that `FILE` lists"
	flagCompareExamples = "write each class's simplest example as a scenario into the folder `DIR`"
	flagCompareReport   = "write a page to `FILE`.html, for screen and paper"
	flagCompareIndex    = "compare only the run with index `N`, as it was drawn"

	argOldNew = "two controllers, the old and the new: files, or the names of shipped logic tables"
)

var helpCompare = help{
	"what differs between two controllers? the same runs to both",
	`Plays the same random faulty runs to two controllers, a table or firmware each, and
compares every output at every tick. The runs are those that a campaign draws from
the same seed. The mechanic who works the doors once a run is healed answers to the
old controllers; what he does is done to the new ones at the same times.

States are told, and not compared: a table whose states are only called otherwise
shows no difference. Runs that differ are grouped by their cause, the first differing
tick: the state, the event that was answered there, and the output that differs. Each
class comes with what followed from it (requirements, margins, alarms, times,
states), its simplest example, and both courses side by side.

What differs first hides the rest of a run. --outputs compares some kinds alone: drive,
duty, bar, permit, says-down, tone, lamp, record.

--allow FILE accepts classes by their IDs, to gate a change: docs/compare.md.

Exit codes: 0 no difference, or only allowed ones, 1 differences, 2 bad input, or
what could not be played.`,
	`slatbench compare baseline my-logic.yaml
slatbench compare release-4.yaml release-5.yaml --runs 10000 --examples found
slatbench compare baseline my-logic.yaml --allow meant.yaml --json
slatbench compare baseline my-logic.yaml --only missed-pulses,extra-pulses
slatbench compare baseline my-logic.yaml --index 4711`,
}

// Words of the report.
const (
	verdictDiffers = "DIFFERS"
	verdictAllowed = "ALLOWED"
	verdictSame    = "SAME"

	sideOld, sideNew = "old", "new"

	headAbsent = "Allowed, and did not occur"
	firstMark  = ">"
	theSame    = "the same"
	atTruck    = "truck"

	compareCaution = "No difference in the runs that were played is none in those that were not. What differs " +
		"is no verdict: slatbench campaign judges each by the requirements, on a model."

	noReason    = "because: say why this class is meant"
	classForm   = "an ID has five parts, as in door/closing/held-up/nothing/drive; compare prints it under \"id\""
	classBegins = "an ID begins with door or lock"
)

// verdictSentences are the verdicts as a page has them.
var verdictSentences = map[string]string{
	verdictDiffers: "Differs", verdictAllowed: "Differs, as allowed", verdictSame: "No difference",
}

func compareTitle(seed uint64) string { return fmt.Sprintf("Comparison, seed %d", seed) }

func (w *comparison) planRows() [][2]string {
	f := w.flags
	what := fmt.Sprintf("%s, %s", runsText(int(f.runs)), mostFaultsText(f.faults))
	if f.alone {
		what = fmt.Sprintf("run %d alone, %s", f.index, mostFaultsText(f.faults))
	}
	if len(f.only) > 0 {
		what += "; only " + strings.Join(f.only, ", ")
	}
	rows := [][2]string{
		{"old", underText(w.old.Title(), f.old)}, {"new", underText(w.new.Title(), f.new)},
		{"truck", w.truck.Name}, {"runs", what},
	}
	switch {
	case len(f.outputs) > 0:
		rows = append(rows, [2]string{"outputs", "only " + strings.Join(f.outputs, ", ")})
	case f.record:
		rows = append(rows, [2]string{"outputs", "all, and what is written into the store"})
	}
	if f.allow != "" {
		rows = append(rows, [2]string{"allowed", fmt.Sprintf("%s: %s", w.allowed.Title, classesText(len(w.allowed.Classes)))})
	}
	return rows
}

// underText is what is under test, with its file where that is not its name.
func underText(title, typed string) string {
	if title == typed {
		return title
	}
	return fmt.Sprintf("%s (%s)", title, typed)
}

func mostFaultsText(n int) string {
	switch n {
	case 0:
		return "no faults"
	case 1:
		return "at most 1 fault in each"
	}
	return fmt.Sprintf("at most %d faults in each", n)
}

func classesText(n int) string {
	if n == 1 {
		return "1 class"
	}
	return fmt.Sprintf("%d classes", n)
}

func compareProgressText(done, of uint64, rate float64, differing int, left float64) string {
	return fmt.Sprintf("%s of %s runs, %.0f a second, %d differ, %s left", countText(int(done)), countText(int(of)), rate, differing, spanText(left))
}

func compareShrinkingText(n int) string {
	if n == 1 {
		return "making the example of 1 class simple"
	}
	return fmt.Sprintf("making the examples of %d classes simple", n)
}

func noCompareExample(id string, err error) error {
	return wrong{fmt.Sprintf("no example of %s: %v", id, err), ""}
}

func compareInterrupted(runs int) error {
	return wrong{"interrupted after " + runsText(runs) + ", none of which differs", ""}
}

func notAClass(id string) string { return fmt.Sprintf("class: %q is no ID of a class", id) }

func classTwice(id string, line int) string {
	return fmt.Sprintf("class: %q is allowed in line %d already", id, line)
}

func classEnds(kinds []string, near string) string {
	hint := "an ID ends in the output that differs: " + strings.Join(kinds, ", ")
	if near != "" {
		hint = fmt.Sprintf("did you mean %q? ", near) + hint
	}
	return hint
}

func absentText(a *allowedClass) string {
	return fmt.Sprintf("%s (line %d): %s", a.ID, a.Pos().Line, a.Because)
}

// silentSideText says in how many runs controllers of one side failed as a whole.
func (w *comparison) silentSideText(s silentSide) string {
	at := timelineTime(float64(s.What.At) * model.DefaultStep)
	return fmt.Sprintf("%s: in %s; first at %s in run %d, %s: %s", s.name, runsText(s.Runs), at, s.First, w.place(&compare.Row{Bay: s.What.Bay, Side: -1}), s.What.Why)
}

func moreClasses(n int) string { return "and " + classesText(n) + " more" }

func classTitle(i int, c *compare.Class) string { return fmt.Sprintf("%d  %s", i+1, c.Text()) }

func columnOld(title string) string { return "old: " + title }
func columnNew(title string) string { return "new: " + title }

func timelineTime(at float64) string { return fmt.Sprintf("%.2f s", at) }

// classRows say what is known of a class.
func (w *comparison) classRows(c *comparedClass) (rows [][2]string) {
	add := func(name string, texts ...string) {
		if len(texts) > 0 {
			rows = append(rows, [2]string{name, strings.Join(texts, "; ")})
		}
	}
	add("id", c.ID())
	switch {
	case c.tooMany():
		add("allowed", fmt.Sprintf("in at most %.3g %% of the runs, and occurs in %.3g %%", *c.allowed.AtMost*100, c.share*100))
	case c.allowed != nil:
		add("allowed", c.allowed.Because)
	}
	add("outputs", strings.Join(c.Kinds.Names(), ", "))
	add("verdicts", verdictTexts(c.Verdicts)...)
	add("margins", marginTexts(c.Margins)...)
	add("alarms", alarmTexts(c.Alarms)...)
	add("times", timeTexts(c.Class)...)
	if c.EndsElse > 0 {
		add("ends", "a door ends elsewhere in "+runsText(c.EndsElse))
	}
	add("states", stateTexts(c.states)...)
	if !w.flags.alone {
		add("first", fmt.Sprintf("run %d of seed %d", c.First, w.flags.seed))
	}
	if e := c.example; e != nil {
		add("example", w.exampleText(e))
	}
	return rows
}

func verdictTexts(list []compare.VerdictChange) (texts []string) {
	for _, v := range list {
		texts = append(texts, fmt.Sprintf("%s %s, now %s, in %s", v.ID, v.Old, strings.ToLower(v.New.String()), runsText(v.Runs)))
	}
	return texts
}

// thinMargin is the change of a margin, as a share of its clause's scale, below which it is not told.
const thinMargin = 0.01

func marginTexts(list []compare.MarginChange) (texts []string) {
	for _, m := range list {
		if math.Abs(m.Share) >= thinMargin {
			texts = append(texts, fmt.Sprintf("%s %s up to %s, was %s, other in %s", m.ID, m.Clause,
				marginText(m.New, m.Unit), marginText(m.Old, m.Unit), runsText(m.Runs)))
		}
	}
	return texts
}

func alarmTexts(list []compare.AlarmTally) (texts []string) {
	for _, a := range list {
		var parts []string
		for _, p := range []struct {
			n    int
			word string
		}{{a.More, "more often"}, {a.Fewer, "less often"}, {a.Else, "elsewhere or at another time"}} {
			if p.n > 0 {
				parts = append(parts, p.word+" in "+runsText(p.n))
			}
		}
		texts = append(texts, a.Alarm.String()+" "+strings.Join(parts, ", "))
	}
	return texts
}

func timeTexts(c *compare.Class) (texts []string) {
	for _, t := range []struct {
		word  string
		other float64
	}{{"opening", c.Opening}, {"closing", c.Closing}} {
		if t.other != 0 {
			texts = append(texts, fmt.Sprintf("%s by up to %+.2f s", t.word, t.other))
		}
	}
	if texts != nil {
		texts[len(texts)-1] += ", in " + runsText(c.Timed)
	}
	return texts
}

func stateTexts(list []compare.StateChange) (texts []string) {
	for _, s := range list {
		name := s.New
		switch {
		case s.Old == "":
			texts = append(texts, fmt.Sprintf("%s is new, reached in %s", s.New, runsText(s.NewRuns)))
			continue
		case s.New == "":
			name = s.Old
		case s.Old != s.New:
			name = fmt.Sprintf("%s (old: %s)", s.New, s.Old)
		}
		texts = append(texts, fmt.Sprintf("%s reached in %s, was in %d", name, runsText(s.NewRuns), s.OldRuns))
	}
	return texts
}

// exampleText says what the simplest example is.
func (w *comparison) exampleText(e *compareExample) string {
	parts := []string{}
	switch n := len(e.c.Steps); n {
	case 0:
		parts = append(parts, "nobody acts")
	case 1:
		parts = append(parts, "1 step")
	default:
		parts = append(parts, fmt.Sprintf("%d steps", n))
	}
	parts = append(parts, e.c.Kinds()...)
	text := strings.Join(parts, ", ")
	if e.file != "" {
		text = e.file + ": " + text
	}
	if e.plays > 0 {
		text += fmt.Sprintf("; the simplest of %d", e.plays)
	}
	return text
}

func exampleTitle(c *compare.Class) string { return "Old and new differ: " + c.Text() }

// exampleComment stands above the scenario of an example.
func (w *comparison) exampleComment(c *comparedClass) []string {
	e := c.example
	lines := wrap(fmt.Sprintf("At %.2f s, at %s, %s first does something else than %s: %s.", e.first.At, w.where(e.first),
		strconv.Quote(w.new.Title()), strconv.Quote(w.old.Title()), c.Text()), lineWidth)
	lines = append(lines, wrap(fmt.Sprintf("Class %s, the simplest of %d cases that were tried for run %d of seed %d. Play it with each:",
		c.ID(), e.plays, e.c.Index, e.c.Seed), lineWidth)...)
	return append(lines, w.commands(w.exampleName(c))...)
}

func (w *comparison) summary() string {
	text := w.agreement()
	for i, side := range w.silentSides() {
		text += []string{"; went silent: ", ", "}[min(i, 1)] + side.name + " in " + runsText(side.Runs)
	}
	return text
}

// agreement says how many runs differ.
func (w *comparison) agreement() string {
	t := w.tally
	switch {
	case len(w.classes) == 0 && t.Runs == 0:
		return "no run was compared"
	case len(w.classes) == 0 && w.flags.alone:
		return fmt.Sprintf("no difference in this run: %s differs at any of its %s ticks", w.noOutput(), countText(int(t.Ticks)))
	case len(w.classes) == 0:
		return fmt.Sprintf("no difference in %s: %s differs at any of %s ticks; with 95 %% confidence fewer than %s of the runs that are drawn so would differ",
			runsText(t.Runs), w.noOutput(), countText(int(t.Ticks)), sharePercent(noneBound(t.Runs)))
	}
	text := fmt.Sprintf("%s of %s differ, in %s", countText(t.Differ), runsText(t.Runs), classesText(len(w.classes)))
	n := 0
	for _, c := range w.classes {
		if c.accepted() {
			n++
		}
	}
	switch {
	case n == len(w.classes):
		text += ", all of them allowed"
	case n > 0:
		text += fmt.Sprintf(", %d of them allowed", n)
	}
	if worse := w.worse(); worse > 0 {
		text += fmt.Sprintf("; in %s a requirement is newly violated", runsText(worse))
	}
	return text
}

// noOutput stands for what was compared where nothing differs.
func (w *comparison) noOutput() string {
	if len(w.flags.outputs) > 0 {
		return "none of these outputs"
	}
	return "not one output"
}

// worse counts the runs in which a requirement that held is violated: at least so many.
func (w *comparison) worse() (n int) {
	for _, c := range w.classes {
		most := 0
		for _, v := range c.Verdicts {
			if v.New == require.Violated {
				most = max(most, v.Runs)
			}
		}
		n += most
	}
	return n
}

// noneBound is the upper limit, with 95 % confidence, of the share of runs that differ
// where none of n did (exact binomial: 0.05 = (1−p)ⁿ).
func noneBound(n int) float64 { return 1 - math.Pow(0.05, 1/float64(n)) }

func sharePercent(x float64) string { return fmt.Sprintf("%.2g %%", x*100) }

package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"

	"slatbench/cmd/slatbench/report"
	"slatbench/scenarios"
	"slatbench/sim/logic"
	"slatbench/sim/wholefile"
)

// runStandard makes the trials of a standard test and reports. A trial that
// misses a limit is a violated limit like any other.
func (f *runFlags) runStandard(file runFile, out io.Writer) error {
	switch {
	case f.trace != "":
		return notForTests("--trace")
	case f.seeded:
		return notForTests("--seed")
	}
	test, table, err := f.loadStandard(file)
	if err != nil {
		return err
	}
	var page *wholefile.File
	if f.page != "" {
		if page, err = wholefile.Create(f.page); err != nil {
			return notWritten(err)
		}
		defer page.Discard()
	}
	result, err := scenarios.RunStandard(test, table, nil)
	if err != nil {
		return err
	}
	if page != nil {
		r := report.Standard{StandardResult: result, Version: version(), Replay: f.replay()}
		if err := notWritten(writePage(page, r.Write)); err != nil {
			return err
		}
	}
	if err := f.reportStandard(result, out); err != nil {
		return err
	}
	if result.Missed() > 0 {
		return errViolated
	}
	return nil
}

// loadStandard reads the test and its logic, changed as the flags say.
func (f *runFlags) loadStandard(file runFile) (*scenarios.StandardTest, *logic.Table, error) {
	ofTest, ofLogic := f.changes()
	l := &scenarios.Loader{Shipped: scenarios.Shipped(), Set: ofTest}
	var test *scenarios.StandardTest
	var err error
	if file.text != nil {
		test, err = l.LoadStandardTestBytes(standardInput, file.text)
	} else {
		test, err = l.LoadStandardTest(file.name)
	}
	if err != nil {
		return nil, nil, f.namedAsTyped(err)
	}
	under, err := underTest(f.logic, ofLogic, func(l *scenarios.Loader) (*scenarios.UnderTest, error) {
		return l.LoadUnderTestOfTest(test)
	})
	if err != nil {
		return nil, nil, err
	}
	defer under.Close()
	table, err := tableOnly(under, ofStandardTest)
	return test, table, err
}

func (f *runFlags) reportStandard(result *scenarios.StandardResult, out io.Writer) error {
	if f.asJSON {
		text, err := json.MarshalIndent(result, "", "  ")
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(out, "%s\n", text)
		return err
	}
	if f.quiet && result.Missed() == 0 {
		return nil
	}
	r := trialSheet{sheet: sheet{pen: newPen(out), replay: f.replay()}, of: result}
	r.whole(f.quiet)
	_, err := io.WriteString(out, r.text.String())
	return err
}

// trialSheet lays the trials of a standard test out for a person.
type trialSheet struct {
	sheet
	of *scenarios.StandardResult
}

func (r *trialSheet) whole(brief bool) {
	if !brief {
		r.head()
	}
	for i := range r.of.Test.Arrangements {
		r.arrangement(r.of.Test.Arrangements[i].Name, brief)
	}
	if !brief {
		r.costs()
		r.blank()
		r.wrapped(0, faint, scenarios.StandardCaution+" "+caution)
	}
	r.blank()
	r.verdict()
}

func (r *trialSheet) head() {
	t := r.of.Test
	r.line(cell{text: t.Name, rendition: strong})
	for _, row := range standardHead(r.of) {
		for i, l := range wrap(printable(row[1]), lineWidth-12) {
			name := row[0]
			if i > 0 {
				name = ""
			}
			r.line(cell{}, cell{text: name, width: 8, rendition: faint}, cell{text: l})
		}
	}
}

// trialWidths are the columns of a trial: condition, height, four figures, verdict.
var trialWidths = [...]int{14, 9, 9, 9, 9, 9, 8}

func (r *trialSheet) arrangement(name string, brief bool) {
	var rows []*scenarios.TrialRow
	for i := range r.of.Rows {
		if t := &r.of.Rows[i]; t.Arrangement == name && (!brief || !t.Passed) {
			rows = append(rows, t)
		}
	}
	if len(rows) == 0 {
		return
	}
	r.blank()
	r.line(cell{text: name, rendition: strong})
	heads := trialHeads(r.of.Test)
	cells := []cell{{}}
	for i, h := range heads {
		cells = append(cells, cell{text: h, width: trialWidths[i], right: i > 0 && i < len(heads)-1, rendition: faint})
	}
	r.line(cells...)
	for _, t := range rows {
		r.trial(t)
	}
}

// trial is a line, and below it what it missed.
func (r *trialSheet) trial(t *scenarios.TrialRow) {
	word, rendition := trialWord(t.Passed)
	texts := trialTexts(r.of.Test, t)
	cells := []cell{{}}
	for i, x := range texts {
		cells = append(cells, cell{text: x, width: trialWidths[i], right: i > 0})
	}
	r.line(append(cells, cell{text: word, rendition: rendition})...)
	if !t.Passed {
		r.wrapped(4, plain, t.Why)
	}
}

// costs sets side by side what each arrangement keeps and what it costs.
func (r *trialSheet) costs() {
	r.blank()
	heads := costHeads(r.of.Test)
	widths := [...]int{28, 9, 9, 9, 9}
	cells := []cell{{text: heads[0], width: widths[0], rendition: strong}}
	for i := 1; i < len(heads); i++ {
		cells = append(cells, cell{text: heads[i], width: widths[i], right: true, rendition: faint})
	}
	r.line(cells...)
	for i := range r.of.Test.Arrangements {
		name := r.of.Test.Arrangements[i].Name
		kept, texts := costTexts(r.of, name)
		word, rendition := trialWord(kept)
		row := []cell{{text: "  " + name, width: widths[0]}}
		for k, x := range texts {
			row = append(row, cell{text: x, width: widths[k+1], right: true})
		}
		r.line(append(row, cell{text: word, rendition: rendition})...)
	}
}

func (r *trialSheet) verdict() {
	word, rendition := "HOLDS", good
	if r.of.Missed() > 0 {
		word, rendition = "VIOLATED", bad
	}
	r.line(cell{text: word, rendition: rendition}, cell{text: trialSummary(r.of)})
	if r.of.Missed() > 0 {
		r.command(0, replayText(r.replay))
	}
}

// The words of a standard test.

func trialWord(kept bool) (word, rendition string) {
	if kept {
		return "kept", good
	}
	return "MISSED", bad
}

func trialSummary(r *scenarios.StandardResult) string {
	return fmt.Sprintf("%d of %d trials keep every limit", len(r.Rows)-r.Missed(), len(r.Rows))
}

func standardHead(r *scenarios.StandardResult) [][2]string {
	t := r.Test
	return [][2]string{
		{"after", t.After},
		{"edition", strings.TrimSpace(t.Edition)},
		{"truck", t.Truck.Name + ", bay " + t.Bay},
		{"logic", r.Logic},
		{"object", "a spring of " + scenarios.FormatQuantity(t.Stiffness, "stiffness") + ", in series with the edge seal"},
		{"limits", limitsText(t)},
	}
}

func limitsText(t *scenarios.StandardTest) string {
	l := &t.Limits
	var parts []string
	add := func(format string, x *float64, dimension scenarios.Dimension) {
		if x != nil {
			parts = append(parts, fmt.Sprintf(format, scenarios.FormatQuantity(*x, dimension)))
		}
	}
	add("turned within %s of contact", l.Reversal, "time")
	add("rises %s", l.Rise, "length")
	if t.Kind == "obstruction" {
		parts = append(parts, "ends fully open")
	}
	add("lower end not reached: turned within %s", l.LowerEnd, "time")
	add("peak at most %s", l.Peak, "force")
	add("above 150 N for at most %s", l.Above, "time")
	add("then at most %s", l.Static, "force")
	return strings.Join(parts, "; ")
}

func trialHeads(t *scenarios.StandardTest) [7]string {
	if t.Kind == "force" {
		return [7]string{"", "object", "turned", "peak", "> 150 N", "static", "limits"}
	}
	return [7]string{"", "object", "turned", "rise", "peak", "slack", "limits"}
}

func trialTexts(t *scenarios.StandardTest, r *scenarios.TrialRow) [6]string {
	if math.IsNaN(r.Height) {
		texts := [6]string{r.Condition, "none", quantityText("%.2f s", r.Turned), "", "", quantityText("%.2f s", r.Closed)}
		texts[4] = "closed"
		if absent(r.Turned) {
			texts[2] = ""
		}
		return texts
	}
	texts := [6]string{r.Condition, quantityText("%.4g mm", 1000*r.Height), quantityText("%.3f s", r.Reversal)}
	if t.Kind == "force" {
		texts[3], texts[4], texts[5] = quantityText("%.0f N", r.Peak), quantityText("%.3f s", r.Above), quantityText("%.0f N", r.Static)
		return texts
	}
	texts[3], texts[4], texts[5] = quantityText("%.0f mm", 1000*r.Rise), quantityText("%.0f N", r.Peak), quantityText("%.0f mm", 1000*r.PeakSlack)
	return texts
}

func costHeads(t *scenarios.StandardTest) [5]string {
	if t.Kind == "force" {
		return [5]string{"Arrangements", "peak", "> 150 N", "static", "closes in"}
	}
	return [5]string{"Arrangements", "turned", "least", "peak", "closes in"}
}

// costTexts are the worst figures of an arrangement, and the longest closing.
func costTexts(r *scenarios.StandardResult, name string) (kept bool, texts [4]string) {
	kept = true
	rise := math.Inf(1)
	var turned, peak, above, static, closing float64
	for i := range r.Rows {
		t := &r.Rows[i]
		if t.Arrangement != name {
			continue
		}
		kept = kept && t.Passed
		if math.IsNaN(t.Height) {
			closing = math.Max(closing, t.Closed) // NaN stays
			continue
		}
		turned, rise = math.Max(turned, t.Reversal), math.Min(rise, t.Rise)
		peak, above, static = math.Max(peak, t.Peak), math.Max(above, t.Above), math.Max(static, t.Static)
	}
	texts[3] = quantityText("%.2f s", closing)
	if r.Test.Kind == "force" {
		texts[0], texts[1], texts[2] = quantityText("%.0f N", peak), quantityText("%.3f s", above), quantityText("%.0f N", static)
		return kept, texts
	}
	texts[0], texts[1], texts[2] = quantityText("%.3f s", turned), quantityText("%.0f mm", 1000*rise), quantityText("%.0f N", peak)
	return kept, texts
}

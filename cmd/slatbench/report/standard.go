package report

import (
	"html/template"
	"io"
	"math"
	"strconv"
	"strings"

	"slatbench/scenarios"
)

// Standard is what the report of a standard test is made from.
type Standard struct {
	*scenarios.StandardResult
	Version string // of the program
	Replay  string // the command that makes the same trials again
}

type standardPage struct {
	Limits     []fact
	WorstHeads []string
	Summary    []summaryRow
	Conditions []string
	Chart      template.HTML
	ChartNote  string
	Findings   []string
	Heads      []string
	Groups     []trialGroup
	TruckFacts []fact
	ParamHeads []string
	Params     []paramRow
}

type summaryRow struct {
	Name, Mark, Verdict, Kept string
	Worst                     []template.HTML
	Closing                   []string
}

type trialGroup struct {
	Name  string
	Lines []trialLine
}

type trialLine struct {
	Condition, Height, Mark, Verdict string
	Cells                            []template.HTML
}

// measure is one figure of a trial, against its limit.
type measure struct {
	head   string // with its unit
	factor float64
	places int
	of     func(r *scenarios.TrialRow) float64
	limit  float64 // NaN where there is none
	least  bool    // the limit is a lower one
}

func (s *Standard) force() bool { return s.Test.Kind == "force" }

func limitOf(x *float64) float64 {
	if x == nil {
		return math.NaN()
	}
	return *x
}

// measures are the figures of the trials, by the kind of test.
func (s *Standard) measures() []measure {
	l := &s.Test.Limits
	none := math.NaN()
	contact := measure{"contact after, s", 1, 2, func(r *scenarios.TrialRow) float64 { return r.Contact }, none, false}
	reversal := measure{"turned after contact, s", 1, 3, func(r *scenarios.TrialRow) float64 { return r.Reversal }, limitOf(l.Reversal), false}
	if s.force() {
		return []measure{
			contact, reversal,
			{"peak, N", 1, 0, func(r *scenarios.TrialRow) float64 { return r.Peak }, limitOf(l.Peak), false},
			{"above 150 N for, s", 1, 3, func(r *scenarios.TrialRow) float64 { return r.Above }, limitOf(l.Above), false},
			{"static, N", 1, 0, func(r *scenarios.TrialRow) float64 { return r.Static }, limitOf(l.Static), false},
			{"after 5 s, N", 1, 0, func(r *scenarios.TrialRow) float64 { return r.Residual }, none, false},
		}
	}
	return []measure{
		contact, reversal,
		{"rose, mm", 1000, 0, func(r *scenarios.TrialRow) float64 { return r.Rise }, limitOf(l.Rise), true},
		{"peak, N", 1, 0, func(r *scenarios.TrialRow) float64 { return r.Peak }, none, false},
		{"slack, mm", 1000, 0, func(r *scenarios.TrialRow) float64 { return r.PeakSlack }, none, false},
	}
}

// missed tells that a figure misses its limit.
func (m *measure) missed(r *scenarios.TrialRow) bool {
	return !math.IsNaN(r.Height) && m.misses(m.of(r))
}

// misses tells the same of a value.
func (m *measure) misses(v float64) bool {
	switch {
	case math.IsNaN(m.limit):
		return false
	case m.least:
		return !(v >= m.limit)
	}
	return !(v <= m.limit)
}

// cell is a value; one that misses the limit is marked by more than colour.
func (m *measure) cell(v float64) template.HTML {
	text := decimals(v*m.factor, m.places)
	if m.misses(v) {
		return template.HTML(`<b class="missed">` + text + " ✗</b>")
	}
	return template.HTML(text)
}

// Write writes the page.
func (s *Standard) Write(w io.Writer) error {
	t := s.Test
	p := &page{
		Style: template.CSS(styleText), Kind: "standard", Title: title(t.Name), Replay: s.Replay,
		Caution: cautionStandard, Cautions: cautions, Mark: "ok", Verdict: "Every trial keeps the limits",
	}
	failed := s.Missed()
	if failed > 0 {
		p.Mark, p.Verdict = "bad", "Not every trial keeps the limits"
	}
	p.Why = strconv.Itoa(len(s.Rows)-failed) + " of " + plural(len(s.Rows), "trial") + " keep every limit."
	p.Facts = []fact{
		{"after", t.After, true}, {"edition", strings.TrimSpace(t.Edition), true}, {Name: "truck", Value: t.Truck.Name}, {Name: "bay", Value: t.Bay},
		{Name: "logic", Value: s.Logic}, {Name: "object", Value: "spring of " + quantity(t.Stiffness, "stiffness") + ", in series with the edge seal"},
		{Name: "program", Value: "Slatbench " + s.Version},
	}
	p.Standard = s.page()
	return p.write(w)
}

const cautionStandard = scenarios.StandardCaution + " " + cautionShort

func (s *Standard) page() *standardPage {
	t := s.Test
	q := &standardPage{Limits: s.limits()}
	for i := range t.Conditions {
		q.Conditions = append(q.Conditions, t.Conditions[i].Name)
	}
	for i := range t.Arrangements {
		name := t.Arrangements[i].Name
		q.Summary = append(q.Summary, s.summary(name))
		q.Groups = append(q.Groups, s.group(name))
	}
	for _, m := range s.measures() {
		q.Heads = append(q.Heads, m.head)
	}
	for _, m := range s.judged() {
		q.WorstHeads = append(q.WorstHeads, m.head)
	}
	q.Chart = template.HTML(s.chart())
	q.ChartNote = s.chartNote()
	q.Findings = s.findings()
	params := t.Truck.Params()
	q.TruckFacts = truckFacts(&params, t.Conditions[0].Charge)
	q.ParamHeads, q.Params = bayTable(params.Bays)
	return q
}

func (s *Standard) limits() []fact {
	l := &s.Test.Limits
	var list []fact
	add := func(name string, x *float64, dimension string) {
		if x != nil {
			list = append(list, fact{Name: name, Value: quantity(*x, dimension)})
		}
	}
	add("reversal begins within", l.Reversal, "time")
	add("the edge then rises by at least", l.Rise, "length")
	add("lower end not reached: turned within", l.LowerEnd, "time")
	add("peak force at most", l.Peak, "force")
	add("force above 150 N for at most", l.Above, "time")
	add("force after that at most", l.Static, "force")
	if !s.force() {
		list = append(list, fact{Name: "in the end", Value: "fully open"})
	}
	return list
}

// of calls f with the rows of an arrangement.
func (s *Standard) of(arrangement string, f func(r *scenarios.TrialRow)) {
	for i := range s.Rows {
		if r := &s.Rows[i]; r.Arrangement == arrangement {
			f(r)
		}
	}
}

// summary is one arrangement in a line: does it keep the limits, its worst figures, what it costs.
func (s *Standard) summary(name string) summaryRow {
	row := summaryRow{Name: name, Mark: "ok", Verdict: "keeps the limits"}
	kept, all := 0, 0
	s.of(name, func(r *scenarios.TrialRow) {
		all++
		if r.Passed {
			kept++
		}
		if math.IsNaN(r.Height) {
			row.Closing = append(row.Closing, s.closing(r))
		}
	})
	if kept < all {
		row.Mark, row.Verdict = "bad", "does not"
	}
	row.Kept = strconv.Itoa(kept) + " of " + strconv.Itoa(all)
	for _, m := range s.judged() {
		row.Worst = append(row.Worst, s.worst(name, &m))
	}
	return row
}

// closing is how long closing takes without an object, or that the door turned.
func (s *Standard) closing(r *scenarios.TrialRow) string {
	switch {
	case !math.IsNaN(r.Turned):
		return "turned at " + fixed(r.Turned, 2)
	case math.IsNaN(r.Closed):
		return "–"
	}
	return fixed(r.Closed, 2)
}

// judged are the measures that have a limit.
func (s *Standard) judged() []measure {
	var list []measure
	for _, m := range s.measures() {
		if !math.IsNaN(m.limit) {
			list = append(list, m)
		}
	}
	return list
}

func (s *Standard) worst(name string, m *measure) template.HTML {
	worst := math.NaN()
	s.of(name, func(r *scenarios.TrialRow) {
		if math.IsNaN(r.Height) {
			return
		}
		if v := m.of(r); m.least {
			worst = lower(v, worst)
		} else {
			worst = higher(v, worst)
		}
	})
	return m.cell(worst)
}

func (s *Standard) group(name string) trialGroup {
	g := trialGroup{Name: name}
	measures := s.measures()
	s.of(name, func(r *scenarios.TrialRow) {
		line := trialLine{Condition: r.Condition, Height: "no object", Mark: "ok", Verdict: "kept"}
		if !math.IsNaN(r.Height) {
			line.Height = short(1000*r.Height, 5) + " mm"
		}
		if !r.Passed {
			line.Mark, line.Verdict = "bad", r.Why
		} else if math.IsNaN(r.Height) {
			line.Verdict = s.closingWords(r)
		}
		for i := range measures {
			line.Cells = append(line.Cells, trialCell(&measures[i], r))
		}
		g.Lines = append(g.Lines, line)
	})
	return g
}

func (s *Standard) closingWords(r *scenarios.TrialRow) string {
	if !math.IsNaN(r.Turned) {
		return "turned after " + fixed(r.Turned, 2) + " s"
	}
	return "closed in " + decimals(r.Closed, 2) + " s"
}

// trialCell is one figure of a trial; the run without an object has none.
func trialCell(m *measure, r *scenarios.TrialRow) template.HTML {
	if math.IsNaN(r.Height) {
		return ""
	}
	return m.cell(m.of(r))
}

// findings says in words what does not keep the limits, and what keeping them costs.
func (s *Standard) findings() []string {
	var list []string
	for i := range s.Test.Arrangements {
		name := s.Test.Arrangements[i].Name
		var misses []string
		s.of(name, func(r *scenarios.TrialRow) {
			if !r.Passed {
				misses = append(misses, s.missText(r))
			}
		})
		if len(misses) == 0 {
			list = append(list, title(name)+": keeps every limit.")
			continue
		}
		list = append(list, title(name)+": "+strings.Join(misses, "; ")+".")
	}
	return list
}

// missText is a trial that missed a limit, with the figures that did.
func (s *Standard) missText(r *scenarios.TrialRow) string {
	text := r.Why
	for _, m := range s.judged() {
		if m.missed(r) && !unshown(m.of(r)) {
			unit := m.head[strings.LastIndexByte(m.head, ' ')+1:]
			text += ", " + fixed(m.of(r)*m.factor, m.places) + " " + unit
		}
	}
	where := "without an object"
	if !math.IsNaN(r.Height) {
		where = "at " + short(1000*r.Height, 5) + " mm"
	}
	return text + " (" + r.Condition + ", " + where + ")"
}

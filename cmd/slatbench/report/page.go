package report

import (
	"bytes"
	_ "embed" // the template and the style
	"html/template"
	"io"
	"strconv"
	"strings"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/require"
)

//go:embed style.css
var styleText string

//go:embed page.html
var pageText string

var pages = pageOf("page", pageText)

// mostAlarms is how many alarms the table has at the most.
const mostAlarms = 100

// page is what the template shows of a run.
type page struct {
	Style    template.CSS
	Kind     string
	Title    string
	Mark     string // ok or bad
	Verdict  string
	Why      string
	Facts    []fact
	Replay   string
	Caution  string
	Cautions []string

	Requirements []requirementRow
	Expectations []expectationRow
	Faults       []faultRow
	Alarms       []alarmRow
	AlarmsLeft   int
	Silent       []silentRow
	Figures      []figureRow
	Bays         []bayPlot
	AtRest       string
	Locks        template.HTML
	LocksAtRest  string
	ParamHeads   []string
	Params       []paramRow
	TruckFacts   []fact
	Standard     *standardPage
}

type requirementRow struct {
	ID, Asks, Mark, Verdict, Margin, Share, Clause, Where, Time, Note string
	Bar                                                               template.HTML
}

type expectationRow struct{ Text, Mark, Word, Time string }
type faultRow struct{ Kind, Place, Values, From, To string }
type alarmRow struct{ Time, Where, Pulses, Name string }

// silentRow is a controller from outside that failed as a whole.
type silentRow struct{ Time, Where, Why string }

type figureRow struct{ Bay, Open, Close, MinSupply, Peak, Contact, Slack, Height, Counts, Starts string }

type bayPlot struct {
	Name, Line, Absent string
	Figure             template.HTML
	Sequence           []moment
	Left               int
}

// Write writes the page.
func (r *Run) Write(w io.Writer) error {
	p := &page{
		Style: template.CSS(styleText), Kind: "run", Title: r.Result.Scenario, Replay: r.Replay,
		Caution: cautionShort, Cautions: cautions, Mark: "ok", Verdict: "Holds",
	}
	switch {
	case r.Result.Violated():
		p.Mark, p.Verdict = "bad", "Violated"
	case len(r.Result.Silent) > 0: // it was not there to be judged
		p.Mark = "exempt"
	}
	r.requirements(p)
	r.expectations(p)
	p.Why = r.why()
	r.facts(p)
	r.lists(p)
	r.plots(p)
	return p.write(w)
}

func (p *page) write(w io.Writer) error {
	var out bytes.Buffer
	if err := pages.Execute(&out, p); err != nil {
		return err
	}
	_, err := w.Write(out.Bytes())
	return err
}

var verdictMarks = map[require.Verdict]string{
	require.NotExercised: "none", require.Holds: "ok", require.Violated: "bad", require.Exempt: "exempt", require.Measured: "measured",
}

func (r *Run) requirements(p *page) {
	for i := range r.Result.Requirements {
		q := &r.Result.Requirements[i]
		row := requirementRow{ID: q.ID, Asks: asks[q.ID], Mark: verdictMarks[q.Verdict], Verdict: q.Verdict.String()}
		if q.Verdict != require.NotExercised && !unshown(q.Margin) {
			row.Margin, row.Share = marginText(q.Margin, q.Unit), shareText(q.Share)
			row.Clause, row.Where, row.Time = q.Clause, q.Bay+q.Side, decimals(q.At, 2)
			row.Bar = template.HTML(marginBar(q.Share, q.Verdict))
		}
		switch {
		case q.Exempt != nil:
			row.Note = "exempt for " + q.Exempt.Fault + ": " + q.Exempt.Reason
		case q.Verdict == require.Violated:
			row.Note = scenarios.Explain(q, r.Result)
		}
		p.Requirements = append(p.Requirements, row)
	}
}

func (r *Run) expectations(p *page) {
	for _, e := range r.Result.Expectations {
		row := expectationRow{Text: e.Text, Mark: "bad", Word: "not met"}
		if e.Met {
			row.Mark, row.Word = "ok", "met"
		}
		if !unshown(e.At) {
			row.Time = fixed(e.At, 2)
		}
		p.Expectations = append(p.Expectations, row)
	}
}

// why says in a line what the verdict rests on.
func (r *Run) why() string {
	count := map[require.Verdict]int{}
	var violated []string
	for i := range r.Result.Requirements {
		q := &r.Result.Requirements[i]
		count[q.Verdict]++
		if q.Verdict == require.Violated {
			violated = append(violated, q.ID)
		}
	}
	text := plural(count[require.Holds], "requirement") + " exercised and kept"
	if len(violated) > 0 {
		text = strings.Join(violated, ", ") + " violated; " + text
	}
	for _, v := range []require.Verdict{require.Exempt, require.Measured, require.NotExercised} {
		if count[v] > 0 {
			text += ", " + strconv.Itoa(count[v]) + " " + v.String()
		}
	}
	met := 0
	for _, e := range r.Result.Expectations {
		if e.Met {
			met++
		}
	}
	if n := len(r.Result.Expectations); n > 0 {
		text += "; " + strconv.Itoa(met) + " of " + plural(n, "expectation") + " met"
	}
	return title(text) + "."
}

func (r *Run) facts(p *page) {
	s := r.Series.setup
	p.Facts = []fact{
		{Name: "truck", Value: r.Result.Truck}, {Name: "logic", Value: r.Result.Logic}, {Name: "ambient", Value: ambientText(s.Truck.Ambient)},
		{Name: "duration", Value: short(r.Result.Duration, 6) + " s"}, {Name: "seed", Value: strconv.FormatUint(r.Result.Seed, 10)},
		{Name: "step", Value: short(1000*r.Series.step, 4) + " ms, controllers every " + short(1000*r.Series.step*float64(s.TickSteps), 4) + " ms"},
		{Name: "program", Value: "Slatbench " + r.Version}, {Name: "service", Value: r.rated()},
	}
	p.TruckFacts = truckFacts(&s.Truck, s.Charge)
	p.ParamHeads, p.Params = bayTable(s.Truck.Bays)
}

func (r *Run) rated() string {
	switch {
	case r.Result.Rated:
		return "judged: unfaulted and within rated conditions"
	case len(r.Scenario.Faults) > 0:
		return "not judged: a fault or an event is on"
	}
	return "not judged: outside rated conditions"
}

func (r *Run) lists(p *page) {
	for _, m := range r.faults() {
		row := faultRow{Kind: m.kind, Place: m.place, Values: m.values, From: fixed(m.from, 2), To: "the end"}
		if !m.stays {
			row.To = fixed(m.to, 2)
		}
		if m.event {
			row.Kind += " (event)"
		}
		p.Faults = append(p.Faults, row)
	}
	alarms := r.Result.Alarms
	p.AlarmsLeft = max(len(alarms)-mostAlarms, 0)
	for i := range alarms[:min(len(alarms), mostAlarms)] {
		h := &alarms[i]
		p.Alarms = append(p.Alarms, alarmRow{fixed(h.At, 2), placeOf(h.Bay), pulses(h), alarmName(h)})
	}
	for _, s := range r.Result.Silent {
		p.Silent = append(p.Silent, silentRow{fixed(s.At, 2), placeOf(s.Bay), s.Why})
	}
	for i := range r.Result.Bays {
		p.Figures = append(p.Figures, newFigureRow(&r.Result.Bays[i]))
	}
}

// placeOf is where a controller stands.
func placeOf(bay string) string {
	if bay == "" {
		return "lock controller"
	}
	return "bay " + bay
}

func newFigureRow(g *scenarios.BayResult) figureRow {
	row := figureRow{
		Bay: g.Name, Open: decimals(g.OpenTime, 2), Close: decimals(g.CloseTime, 2), MinSupply: decimals(g.MinSupply, 2),
		Peak: decimals(g.PeakCurrent, 1), Contact: decimals(g.PeakContact, 0), Slack: decimals(1000*g.PeakSlack, 0),
		Height: minus(decimals(1000*g.Height, 0)), Counts: "–", Starts: strconv.Itoa(g.Starts),
	}
	if g.Counted {
		row.Counts = minus(strconv.Itoa(g.Counts))
	}
	return row
}

// decimals writes a figure, or a dash where there is none.
func decimals(x float64, places int) string {
	if unshown(x) {
		return "–"
	}
	return fixed(x, places)
}

// minus writes the true minus sign.
func minus(s string) string {
	if len(s) > 0 && s[0] == '-' {
		return "−" + s[1:]
	}
	return s
}

func (r *Run) plots(p *page) {
	var still []string
	for i := range r.truck().Bays {
		if !r.busy(i) {
			still = append(still, r.stillText(i))
			continue
		}
		b := bayPlot{Name: r.bayName(i), Absent: r.absent(i), Figure: template.HTML(r.bayFigure(i))}
		b.Sequence, b.Left = r.sequence(i)
		p.Bays = append(p.Bays, b)
	}
	p.AtRest = strings.Join(still, ", ")
	anyLock := false
	var idle []string
	for side := range r.Series.sides {
		if r.Series.lockMoved(side) {
			anyLock = true
			continue
		}
		idle = append(idle, sideName(side)+" "+r.barText(side))
	}
	if anyLock {
		p.Locks = template.HTML(r.lockFigure())
	}
	p.LocksAtRest = strings.Join(idle, ", ")
}

// busy tells whether anything happened at a bay that is worth a plot.
func (r *Run) busy(bay int) bool {
	if r.Series.moved(bay) || len(r.pressMarks(bay)) > 0 {
		return true
	}
	for i := range r.Result.Alarms {
		if r.heardAt(&r.Result.Alarms[i], bay) {
			return true
		}
	}
	return false
}

// stillText says how a bay stood all the time, and whether its controller lost power.
func (r *Run) stillText(bay int) string {
	text := r.heightText(bay)
	if r.Series.wasDark(bay) {
		text += " (its controller lost power for a time)"
	}
	return text
}

func (r *Run) heightText(bay int) string {
	h := r.Result.Bays[bay].Height
	opening := r.truck().Bays[bay].Track.Opening
	switch {
	case h <= sim.ClosedTolerance:
		return r.bayName(bay) + " down"
	case h >= opening-sim.OpenTolerance:
		return r.bayName(bay) + " open"
	}
	return r.bayName(bay) + " at " + fixed(1000*h, 0) + " mm"
}

func (r *Run) barText(side int) string {
	_, bar := r.Series.env.Range(r.Series.lockChannel(side))
	l := &r.truck().Locks[side]
	switch {
	case bar <= l.SwitchTrip:
		return "unlocked"
	case bar >= l.Stroke-l.SwitchTrip:
		return "locked"
	}
	return "at " + fixed(1000*bar, 0) + " mm"
}

package report

import (
	"bytes"
	_ "embed" // the template and the style
	"fmt"
	"html/template"
	"io"
	"math"
	"strconv"
	"strings"

	"slatbench/model"
	"slatbench/sim/sizing"
)

//go:embed size.html
var sizeText string

//go:embed size.css
var sizeStyle string

var sizePages = pageOf("size", sizeText)

// Size is the report of a sizing.
type Size struct {
	Title           string
	Facts           [][2]string // name and value
	Result          *sizing.Result
	Study           *sizing.Map   // nil: no map
	Fleet           *sizing.Fleet // nil: no trucks
	Version, Replay string
}

// sizePage is what the template shows.
type sizePage struct {
	Style                              template.CSS
	Title, Mark, Verdict, Why, Caution string
	Facts                              []fact
	Replay                             string

	Answers  []answerRow
	Untold   string
	Balance  template.HTML
	Stays    [2]string
	Turns    template.HTML
	TurnsSay []string
	Map      template.HTML
	MapTitle string
	MapNotes []string
	Fleet    *fleetPart
	Springs  []springRow
	Travel   []travelRow
	Limits   []limitRow
	Cautions []string
}

type answerRow struct {
	Mark, Verdict, Name, Value, Pass, Fail, Reason, Advice string
	Bar                                                    template.HTML
}

type springRow struct{ Name, Cells []string }

type travelRow struct{ Way, Simulated, Quadrature, Apart, Supply, Peak, Cable, Slack string }

type limitRow struct{ Name, Pass, Fail, Source string }

type fleetPart struct {
	Say       []fact
	Influence template.HTML
	Method    string
	On        string
	Constant  bool
}

var sizeMarks = map[sizing.Verdict]string{sizing.Pass: "ok", sizing.Marginal: "exempt", sizing.Fail: "bad", sizing.NotJudged: "none"}

// springCautions stand on every sizing report, before the general ones.
var springCautions = []string{
	"Winding, adjusting or removing a torsion spring can maim or kill. It is work for people who are qualified for it; nothing here teaches it.",
	"A spring under load shows nothing: it may break or slip its cone without warning. The turns in this report say nothing about how to wind them.",
	"Two springs on one shaft carry the door together: when one breaks, the other does not hold it.",
}

// Write writes the page.
func (s *Size) Write(w io.Writer) error {
	r := s.Result
	p := &sizePage{
		Style: template.CSS(styleText + sizeStyle), Title: s.Title, Replay: s.Replay, Caution: cautionShort,
		Cautions: append(append([]string{}, springCautions...), cautions...), Mark: "ok", Verdict: "Every answer passes", Why: s.why(),
	}
	switch r.Verdict {
	case sizing.Marginal:
		p.Mark, p.Verdict = "exempt", "Marginal"
	case sizing.Fail:
		p.Mark, p.Verdict = "bad", "It fails"
	}
	for _, f := range s.Facts {
		p.Facts = append(p.Facts, fact{Name: f[0], Value: f[1]})
	}
	p.Facts = append(p.Facts, fact{Name: "program", Value: "Slatbench " + s.Version})
	s.answers(p)
	p.Balance = template.HTML(balanceFigure(r))
	p.Stays = [2]string{sizing.DriftText(r.Engaged), sizing.DriftText(r.Freed)}
	p.Turns, p.TurnsSay = template.HTML(turnsFigure(r)), turnsWords(r)
	if s.Study != nil {
		p.MapTitle = "Travel time over " + s.Study.X.Input.Name + " and " + s.Study.Y.Input.Name
		p.Map, p.MapNotes = template.HTML(heatMap(s.Study, r)), mapNotes(s.Study)
	}
	s.fleet(p)
	s.springs(p)
	s.travel(p)
	var out bytes.Buffer
	if err := sizePages.Execute(&out, p); err != nil {
		return err
	}
	_, err := w.Write(out.Bytes())
	return err
}

// why says in a line what the verdict rests on.
func (s *Size) why() string {
	count := map[sizing.Verdict]int{}
	var worse []string
	for i := range s.Result.Answers {
		a := &s.Result.Answers[i]
		count[a.Verdict]++
		if a.Verdict == s.Result.Verdict && a.Verdict != sizing.Pass {
			worse = append(worse, a.Aspect.Info().Name)
		}
	}
	judged := len(s.Result.Answers) - count[sizing.NotJudged]
	text := fmt.Sprintf("%d of %d pass, %d marginal, %d fail", count[sizing.Pass], judged, count[sizing.Marginal], count[sizing.Fail])
	if len(worse) > 0 {
		text = strings.Join(worse, ", ") + "; " + text
	}
	return title(text) + "."
}

func (s *Size) answers(p *sizePage) {
	var untold []string
	for i := range s.Result.Answers {
		a := &s.Result.Answers[i]
		info := a.Aspect.Info()
		if a.Verdict == sizing.NotJudged {
			untold = append(untold, info.Name+" ("+a.Reason+")")
			continue
		}
		row := answerRow{
			Mark: sizeMarks[a.Verdict], Verdict: a.Verdict.String(), Name: info.Name, Value: a.Aspect.Figure(a.Value),
			Reason: a.Reason, Advice: title(a.Advice()), Bar: template.HTML(scoreBar(a)),
		}
		row.Pass, row.Fail = a.Aspect.Figure(a.Limit.Pass), a.Aspect.Figure(a.Limit.Fail)
		p.Answers = append(p.Answers, row)
		p.Limits = append(p.Limits, limitRow{info.Name, row.Pass, row.Fail, info.Source})
	}
	p.Untold = strings.Join(untold, ", ")
}

// scoreBar shows where between its limits an answer lies: the left line is where it
// begins to fail, the right one where it passes.
func scoreBar(a *sizing.Answer) string {
	const width, fail, pass = 200.0, 60.0, 140.0
	x := fail + (pass-fail)*math.Max(-0.65, math.Min(1.65, a.Score))
	var d drawing
	d.put(`<svg class="bar" viewBox="0 0 200 18" role="img" aria-label="`, a.Verdict.String(), `">`)
	d.line(0, 9, width, 9, "grid")
	d.line(fail, 2, fail, 16, "limit")
	d.line(pass, 2, pass, 16, "limit")
	class := map[sizing.Verdict]string{sizing.Pass: "kept", sizing.Marginal: "exempt", sizing.Fail: "broken"}[a.Verdict]
	switch a.Verdict {
	case sizing.Pass:
		d.path("M"+number(x)+" 9m-5 0a5 5 0 1 0 10 0a5 5 0 1 0 -10 0z", class)
	case sizing.Marginal:
		d.path("M"+number(x)+" 3l6 11h-12z", class)
	default:
		d.path("M"+number(x-5)+" 4h10v10h-10z", class)
	}
	d.put("</svg>")
	return d.String()
}

func turnsWords(r *sizing.Result) []string {
	w := &r.Window
	if !w.Open() {
		return []string{fmt.Sprintf("No number of turns will do: below %.2f %s, above %.2f %s.", w.Low, w.LowBy, w.High, w.HighBy)}
	}
	list := []string{fmt.Sprintf("It opens, closes and holds from %.2f to %.2f turns. Below, %s; above, %s.", w.Low, w.High, w.LowBy, w.HighBy)}
	if r.Good.Open() {
		list = append(list, fmt.Sprintf("From %.2f to %.2f turns all that depends on them passes.", r.Good.Low, r.Good.High))
	}
	return append(list, fmt.Sprintf("Recommended: %.2f turns, with which the door is as heavy to lift as to pull down, as far as the other answers let it be.", r.Recommended))
}

func (s *Size) springs(p *sizePage) {
	r := s.Result
	if len(r.Springs) == 0 {
		return
	}
	row := func(name string, of func(i int) string) {
		one := springRow{Name: []string{name}}
		for i := range r.Springs {
			one.Cells = append(one.Cells, of(i))
		}
		p.Springs = append(p.Springs, one)
	}
	q := r.Question.Springs
	f := func(i int) *sizing.SpringFigures { return &r.Springs[i] }
	inch := func(x float64) string { return mm(round4(x)) + " (" + short(x/model.Inch, 4) + " in)" }
	row("spring", func(i int) string { return f(i).Name })
	row("wire", func(i int) string {
		return short(math.Round(q[i].Wire.Wire*1e5)/100, 4) + " mm (" + short(q[i].Wire.Wire/model.Inch, 4) + " in), " + q[i].Steel.String()
	})
	row("inside diameter; wound", func(i int) string { return inch(f(i).InnerDia) + "; " + mm(round4(f(i).WoundInnerDia)) })
	row("coils; index", func(i int) string { return short(q[i].Wire.Coils, 4) + "; " + short(f(i).Index, 3) })
	row("length; wound", func(i int) string { return inch(f(i).Length) + "; " + mm(round4(f(i).WoundLength)) })
	row("rate", func(i int) string {
		return short(f(i).Rate, 4) + " N·m/turn (" + short(f(i).Rate/model.PoundForceInch, 4) + " in·lbf/turn)"
	})
	row("rate by the other convention", func(i int) string {
		if math.IsNaN(f(i).RateByOtherConvention) {
			return "–"
		}
		return short(f(i).RateByOtherConvention, 4) + " N·m/turn, " + f(i).OtherConvention.String()
	})
	row("torque at closed", func(i int) string { return short(f(i).Torque, 4) + " N·m" })
	row("stress at closed; at open", func(i int) string {
		return fixed(f(i).Stress/1e6, 0) + "; " + fixed(math.Max(0, f(i).StressOpen)/1e6, 0) + " MPa"
	})
	row("sets at; breaks at", func(i int) string {
		return fixed(f(i).Allowable/1e6, 0) + "; " + fixed(f(i).Strength/1e6, 0) + " MPa"
	})
	row("life, estimated", func(i int) string {
		return sizing.RoundCycles(f(i).Life) + " cycles (" + sizing.RoundCycles(f(i).LifeLow) + " to " + sizing.RoundCycles(f(i).LifeHigh) + ")"
	})
	row("weight; energy stored", func(i int) string { return short(f(i).Weight, 3) + " kg; " + fixed(f(i).Energy, 0) + " J" })
}

// round4 keeps tenths of a millimetre.
func round4(x float64) float64 { return math.Round(x*1e4) / 1e4 }

func (s *Size) travel(p *sizePage) {
	sim := s.Result.Simulation
	if sim == nil {
		return
	}
	row := func(way string, r *sizing.Run, t *sizing.Travel) {
		one := travelRow{Way: way, Simulated: decimals(r.Time, 2), Quadrature: decimals(t.Time, 2), Supply: decimals(r.Volts, 2),
			Peak: decimals(r.Amps, 1), Cable: decimals(r.Cable, 0), Slack: decimals(1000*r.Slack, 0), Apart: "–"}
		if !unshown(r.Time) && !unshown(t.Time) {
			one.Apart = fixed(100*math.Abs(t.Time/r.Time-1), 1) + " %"
			if !t.Applies {
				one.Apart += ", not applicable"
			}
		}
		p.Travel = append(p.Travel, one)
	}
	row("opening", &sim.Opening, &s.Result.Up)
	row("closing", &sim.Closing, &s.Result.Down)
}

func (s *Size) fleet(p *sizePage) {
	f := s.Fleet
	if f == nil {
		return
	}
	share := func(n int, low, high float64) string {
		return fmt.Sprintf("%s of %s, %s %%; %s to %s %% with 95 %% confidence", count(n), count(f.Trucks), fixed(100*float64(n)/float64(f.Trucks), 1), fixed(100*low, 1), fixed(100*high, 1))
	}
	never := func(x float64) string {
		if unshown(x) {
			return "never"
		}
		return fixed(x, 2) + " s"
	}
	part := &fleetPart{Method: sizing.InfluenceMethod, Constant: f.Constant, On: f.On}
	part.Say = []fact{
		{Name: "every answer passes", Value: share(f.Passing, f.PassLow, f.PassHigh)},
		{Name: "no answer fails", Value: share(f.Working, f.WorkLow, f.WorkHigh)},
		{Name: "opening time", Value: never(f.Opening[1]) + " in half of the trucks, up to " + never(f.Opening[2]) + " in 95 %"},
		{Name: "closing time", Value: never(f.Closing[1]) + " in half of the trucks, up to " + never(f.Closing[2]) + " in 95 %"},
	}
	var failed []string
	for a, n := range f.FailedBy {
		if n > 0 {
			failed = append(failed, sizing.Aspect(a).Info().Name+" in "+count(n))
		}
	}
	if len(failed) > 0 {
		part.Say = append(part.Say, fact{Name: "what fails", Value: strings.Join(failed, ", ")})
	}
	part.Say = append(part.Say, fact{Name: "seed", Value: strconv.FormatUint(f.Seed, 10)})
	if !f.Constant {
		part.Influence = template.HTML(influenceFigure(f))
	}
	p.Fleet = part
}

package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/mattn/go-runewidth"

	"slatbench/model"
	"slatbench/sim/sizing"
)

// writeText writes the report of a terminal.
func (s *sized) writeText(out io.Writer) error {
	r := &sheet{pen: newPen(out)}
	r.line(cell{text: s.file.Name, rendition: strong})
	for _, row := range s.headRows() {
		sizeRow(r, row[0], row[1])
	}
	if s.assumed {
		r.wrapped(2, faint, assumedText())
	}
	s.balance(r)
	s.turns(r)
	s.answers(r)
	s.springs(r)
	s.cycle(r)
	s.mapText(r)
	s.fleetText(r)
	r.blank()
	r.wrapped(0, faint, sizeCaution)
	r.blank()
	s.verdict(r)
	_, err := io.WriteString(out, r.text.String())
	return err
}

// sizeRow is a name and a text after it, over several lines where it is long.
func sizeRow(r *sheet, name, text string) {
	for _, l := range wrap(printable(text), lineWidth-13) {
		r.line(cell{}, cell{text: name, width: 9, rendition: faint}, cell{text: l})
		name = ""
	}
}

// headRows say what was asked.
func (s *sized) headRows() [][2]string {
	q := s.result.Question
	b := &q.Bay
	rows := [][2]string{
		{"door", fmt.Sprintf("%.3g m high, %.4g kg over %.3g m, bend of %.0f mm from %.3g m; drums of %.4g mm",
			b.Track.Opening, b.Curtain.Mass, b.Curtain.Length, 1000*b.Track.Bend, b.Track.Vertical, 1000*b.Counterbalance.DrumRadius)},
		{"springs", springsText(q)},
		{"drive", fmt.Sprintf("%.4g : 1 at %.3g %%, motor of %.4g mΩ and %.4g mV·s/rad", b.Drive.Ratio, 100*b.Drive.Efficiency, 1000*b.Drive.Resistance, 1000*b.Drive.MotorConstant)},
		{"battery", fmt.Sprintf("%.4g A cold cranking, %.4g min, age %.3g %%, %.3g %% charged: %.2f V behind %.1f mΩ",
			q.Battery.ColdCrankA, q.Battery.ReserveMin, 100*q.Battery.Age, 100*q.Charge, s.result.OpenVolts, 1000*s.result.Internal)},
		{"harness", harnessText(q) + fmt.Sprintf(": %.0f mΩ to the door", 1000*s.result.HarnessOhms)},
		{"place", placeText(q)},
		{"use", fmt.Sprintf("%.4g cycles an hour, %.4g a charge; springs for %.0f cycles", q.Use.CyclesAnHour, q.Use.CyclesACharge, q.Use.Life)},
	}
	return rows
}

func springsText(q *sizing.Question) string {
	together := fmt.Sprintf("%.4g N·m/turn (%.1f in-lbf/turn), %.4g initial turns", q.Rate(), q.Rate()/model.PoundForceInch, q.Bay.Counterbalance.InitialTurns)
	if len(q.Springs) == 0 {
		return "known by their rate only: " + together
	}
	var parts []string
	for i := range q.Springs {
		w := &q.Springs[i]
		parts = append(parts, fmt.Sprintf("%s wire %.2f mm (%.3f in), inside %.1f mm, %.0f mm long, %v",
			w.Name, 1000*w.Wire.Wire, w.Wire.Wire/model.Inch, 1000*w.Wire.InnerDia(), 1000*w.Length(), w.Steel))
	}
	return strings.Join(parts, "; ") + "; together " + together
}

func harnessText(q *sizing.Question) string {
	text := stretchText(&q.Feed)
	if b := stretchText(&q.Branch); q.Branch != (sizing.Harness{}) {
		text += ", then " + b
	}
	return text
}

func stretchText(h *sizing.Harness) string {
	var parts []string
	if h.Wired {
		parts = append(parts, fmt.Sprintf("%.4g m of %s", h.Copper, sizing.GaugeText(h.Gauge)))
	} else {
		parts = append(parts, fmt.Sprintf("%.4g mΩ of wire", 1000*h.Ohms))
	}
	if h.Return > 0 {
		parts = append(parts, fmt.Sprintf("chassis %.4g mΩ", 1000*h.Return))
	}
	if h.Connectors > 0 {
		parts = append(parts, fmt.Sprintf("connectors %.4g mΩ", 1000*h.Connectors))
	}
	return strings.Join(parts, ", ")
}

func placeText(q *sizing.Question) string {
	text := strings.Replace(fmt.Sprintf("%.4g °C", q.Ambient.Temperature), "-", "−", 1) + ", level"
	if g := q.Ambient.Grade; g != 0 {
		text = strings.Replace(text, "level", strings.Replace(fmt.Sprintf("grade %.3g %%", 100*g), "-", "−", 1), 1)
	}
	return text
}

// balanceRows is how many heights the terminal shows.
const balanceRows = 12

func (s *sized) balance(r *sheet) {
	r.blank()
	heads := []string{"gravity", "closing", "spring", "net", "friction", "hand", "hand", "spare", "spare"}
	seconds := []string{"", "spring", "", "", "band", "up", "down", "up", "down"}
	for k, row := range [][]string{heads, seconds} {
		name := ""
		if k == 0 {
			name = headBalance
		}
		cells := []cell{{text: name, width: balanceName, rendition: strong}}
		for i, h := range row {
			cells = append(cells, cell{text: h, width: balanceWidths[i], right: true, rendition: faint})
		}
		r.line(cells...)
	}
	b := s.result.Balance
	for i := range balanceRows + 1 {
		p := &b[i*(len(b)-1)/balanceRows]
		cells := []cell{{text: fmt.Sprintf("%8.2f m", p.Height), width: balanceName}}
		for k, x := range []float64{p.Gravity, p.Closing, p.Spring, p.Net, p.Band, p.HandUp, p.HandDown, p.HeldUp, p.HeldDown} {
			cells = append(cells, cell{text: newtons(x), width: balanceWidths[k], right: true, rendition: spareRendition(k, x)})
		}
		r.line(cells...)
	}
	r.wrapped(2, faint, balanceNote)
	sizeRow(r, "engaged", sizing.DriftText(s.result.Engaged))
	sizeRow(r, "released", sizing.DriftText(s.result.Freed))
}

// balanceName is the column of heights, balanceWidths those of forces.
const balanceName = 10

var balanceWidths = [9]int{7, 7, 6, 4, 8, 4, 4, 5, 5}

func newtons(x float64) string {
	if absent(x) {
		return "held"
	}
	text := strconv.FormatFloat(x, 'f', 0, 64)
	if text == "-0" {
		return "0"
	}
	return strings.Replace(text, "-", "−", 1)
}

func spareRendition(column int, x float64) string {
	if column >= 7 && x < 0 {
		return bad
	}
	return plain
}

func (s *sized) turns(r *sheet) {
	w, g := &s.result.Window, &s.result.Good
	r.blank()
	r.line(cell{text: headTurns, rendition: strong})
	if !w.Open() {
		sizeRow(r, "none", fmt.Sprintf("will do: below %.2f %s, above %.2f %s", w.Low, w.LowBy, w.High, w.HighBy))
		return
	}
	sizeRow(r, "works", fmt.Sprintf("%.2f to %.2f turns; below %s, above %s", w.Low, w.High, w.LowBy, w.HighBy))
	if g.Open() {
		sizeRow(r, "passes", fmt.Sprintf("%.2f to %.2f turns", g.Low, g.High))
	}
	sizeRow(r, "best", fmt.Sprintf("%.2f turns, hand forces up and down as even as can be", s.result.Recommended))
}

func (s *sized) answers(r *sheet) {
	r.blank()
	r.line(cell{text: headAnswers, width: 46, rendition: strong}, cell{text: "value", width: 11, right: true, rendition: faint},
		cell{text: "pass", width: 9, right: true, rendition: faint}, cell{text: "fail", width: 8, right: true, rendition: faint})
	for i := range s.result.Answers {
		a := &s.result.Answers[i]
		if a.Verdict == sizing.NotJudged {
			continue
		}
		word, rendition := sizeWord(a.Verdict)
		name := a.Aspect.Info().Name
		pass, fail := limitText(a)
		r.line(cell{}, cell{text: word, width: 8, rendition: rendition}, cell{text: apartBy(name, a.Aspect.Figure(a.Value), 47)},
			cell{text: shortLimit(pass), width: 9, right: true, rendition: faint},
			cell{text: shortLimit(fail), width: 8, right: true, rendition: faint})
		r.wrapped(12, faint, a.Reason)
		if advice := a.Advice(); advice != "" {
			r.wrapped(12, strong, advice)
		}
	}
	var untold []string
	for i := range s.result.Answers {
		if a := &s.result.Answers[i]; a.Verdict == sizing.NotJudged {
			untold = append(untold, a.Aspect.Info().ID+" ("+a.Reason+")")
		}
	}
	if len(untold) > 0 {
		r.wrapped(2, faint, "not judged: "+strings.Join(untold, ", "))
	}
}

// apartBy sets two texts at the ends of so many columns.
func apartBy(left, right string, width int) string {
	return left + strings.Repeat(" ", max(1, width-runewidth.StringWidth(left)-runewidth.StringWidth(right))) + right
}

// shortLimit writes a limit with a sign instead of words.
func shortLimit(text string) string {
	return strings.NewReplacer("from ", "≥ ", "under ", "< ", "up to ", "≤ ", "over ", "> ").Replace(text)
}

func (s *sized) springs(r *sheet) {
	if len(s.result.Springs) == 0 {
		return
	}
	r.blank()
	r.line(cell{text: headSprings, rendition: strong})
	for i := range s.result.Springs {
		f := &s.result.Springs[i]
		sizeRow(r, strconv.Itoa(i+1), fmt.Sprintf("%s: %.4g N·m/turn, %.3g N·m at closed; index %.1f; stress %.0f MPa at closed and %.0f MPa at open, of %.0f MPa at which it sets; %.0f mm long, %.0f mm wound; %.2f kg; %.0f J stored",
			f.Name, f.Rate, f.Torque, f.Index, f.Stress/1e6, math.Max(0, f.StressOpen)/1e6, f.Allowable/1e6, 1000*f.Length, 1000*f.WoundLength, f.Weight, f.Energy))
		if !math.IsNaN(f.RateByOtherConvention) {
			sizeRow(r, "", fmt.Sprintf("by the %v convention the same wire would give %.4g N·m/turn (%+.1f %%)", f.OtherConvention, f.RateByOtherConvention, 100*(f.RateByOtherConvention/f.Rate-1)))
		}
	}
	r.wrapped(2, faint, lifeNote)
}

func (s *sized) cycle(r *sheet) {
	x := s.result
	r.blank()
	r.line(cell{text: headCycle, rendition: strong})
	sizeRow(r, "opening", apartText(x.Simulation.Opening.Time, x.Up.Time, x.Up.Applies))
	sizeRow(r, "closing", apartText(x.Simulation.Closing.Time, x.Down.Time, x.Down.Applies))
	if x.PerCycle > 0 {
		sizeRow(r, "energy", fmt.Sprintf("%.0f A·s or %.2f Wh in motion, %.0f A·s by other loads until the next", x.PerCycle, x.Energy/3600, x.Between))
	}
	sizeRow(r, "cable", fmt.Sprintf("at most %.0f N opening and %.0f N closing; %.0f mm of slack at most", x.Simulation.Opening.Cable, x.Simulation.Closing.Cable, 1000*math.Max(x.Simulation.Opening.Slack, x.Simulation.Closing.Slack)))
}

// mostColumns is how many columns of the map have room for their times.
const (
	mostColumns = 11
	mostSigns   = 66
	mapLabel    = 9
	mapCell     = 6
)

func (s *sized) mapText(r *sheet) {
	m := s.study
	if m == nil {
		return
	}
	r.blank()
	r.line(cell{text: mapTitle(m), rendition: strong})
	times := len(m.X.At) <= mostColumns
	if len(m.X.At) <= mostSigns {
		s.mapRows(r, times)
	}
	r.line(cell{}, cell{text: mapLegend, rendition: faint})
	if !times {
		r.wrapped(2, faint, mapWide)
		r.wrapped(2, faint, fmt.Sprintf("across: %s to %s", m.X.Input.Text(m.X.At[0]), m.X.Input.Text(m.X.At[len(m.X.At)-1])))
	}
	for _, text := range mapReasons(m) {
		r.wrapped(2, faint, text)
	}
}

func (s *sized) mapRows(r *sheet, times bool) {
	m := s.study
	for y := len(m.Y.At) - 1; y >= 0; y-- {
		line := leftPad(m.Y.Input.Number(m.Y.At[y]), mapLabel) + " "
		for x := range m.X.At {
			c := m.At(x, y)
			symbol, rendition := sizeSymbol(c.Verdict)
			if c.Refused != "" {
				symbol, rendition = ".", faint
			}
			if times {
				text := symbol + mapTime(c)
				line += strings.Repeat(" ", max(0, mapCell-len(text)))
				symbol = text
			}
			line += r.pen.draw(rendition, symbol)
		}
		r.text.WriteString(line + "\n")
	}
	if !times {
		return
	}
	line := strings.Repeat(" ", mapLabel+1)
	for x := range m.X.At {
		line += leftPad(m.X.Input.Number(m.X.At[x]), mapCell)
	}
	r.text.WriteString(r.pen.draw(faint, line) + "\n")
}

func mapTime(c *sizing.Cell) string {
	if t := c.Slower(); !absent(t) && c.Refused == "" {
		return strconv.FormatFloat(t, 'f', 1, 64)
	}
	return none
}

func leftPad(text string, width int) string {
	return strings.Repeat(" ", max(0, width-len([]rune(text)))) + text
}

func (s *sized) fleetText(r *sheet) {
	f := s.fleet
	if f == nil {
		return
	}
	r.blank()
	r.line(cell{text: headFleet, rendition: strong})
	var list []string
	for _, t := range s.file.ToleranceList() {
		list = append(list, t.String())
	}
	sizeRow(r, "drawn", fmt.Sprintf("%s; every value within equally likely; seed %d", strings.Join(list, ", "), f.Seed))
	sizeRow(r, "all pass", shareOfTrucks(f.Passing, f.Trucks, f.PassLow, f.PassHigh))
	sizeRow(r, "none fail", shareOfTrucks(f.Working, f.Trucks, f.WorkLow, f.WorkHigh))
	sizeRow(r, "opening", fmt.Sprintf("%s in half of the trucks, up to %s in 95 %%", secondsText(f.Opening[1]), secondsText(f.Opening[2])))
	sizeRow(r, "closing", fmt.Sprintf("%s in half of the trucks, up to %s in 95 %%", secondsText(f.Closing[1]), secondsText(f.Closing[2])))
	var failed []string
	for a, n := range f.FailedBy {
		if n > 0 {
			failed = append(failed, fmt.Sprintf("%s in %d", sizing.Aspect(a).Info().ID, n))
		}
	}
	if len(failed) > 0 {
		sizeRow(r, "failing", strings.Join(failed, ", "))
	}
	if f.Constant {
		sizeRow(r, "influence", "none of them: "+f.On+" is the same in all trucks")
		return
	}
	r.line(cell{}, cell{text: "what matters most", width: 30, rendition: faint}, cell{text: "by itself", width: 16, right: true, rendition: faint}, cell{text: "in all", width: 8, right: true, rendition: faint})
	for i := range f.Influence {
		x := &f.Influence[i]
		r.line(cell{}, cell{text: x.Tolerance.String(), width: 30}, cell{text: indexText(x.First) + " ± " + indexText(x.FirstErr), width: 16, right: true}, cell{text: indexText(x.Total), width: 8, right: true})
	}
	r.wrapped(2, faint, "on "+f.On+": "+sizing.InfluenceMethod)
}

// indexText is an index; the estimate of a small one may come out below zero.
func indexText(x float64) string {
	text := strconv.FormatFloat(x, 'f', 2, 64)
	return strings.Replace(strings.Replace(text, "-0.00", "0.00", 1), "-", "−", 1)
}

func (s *sized) verdict(r *sheet) {
	word, rendition := sizeWord(s.result.Verdict)
	word = strings.ToUpper(word)
	width := len(word)
	for _, l := range wrap(sizeSummary(s.result), lineWidth-width-2) {
		r.line(cell{text: word, width: width, rendition: rendition}, cell{text: l})
		word = ""
	}
	r.command(0, replayText(s.replay))
}

// pickWidths are the columns of the ranking.
var pickWidths = [...]int{4, 29, 5, 6, 6, 5, 6, 5}

// writeText writes the ranking.
func (p *picked) writeText(out io.Writer) error {
	r := &sheet{pen: newPen(out)}
	r.line(cell{text: p.file.Name, rendition: strong})
	sizeRow(r, "door", (&sized{result: &sizing.Result{Question: p.file.Question()}}).headRows()[0][1])
	sizeRow(r, "list", p.list+": "+pickCounts(p.result))
	sizeRow(r, "ranked", "by "+p.by+", what passes first")
	r.blank()
	p.ranking(r)
	for i, x := range p.result.Rejected {
		if i == 0 {
			r.blank()
			r.line(cell{text: "Why others do not fit", rendition: strong})
		}
		if i == 6 {
			r.line(cell{}, cell{text: moreReasons(len(p.result.Rejected) - i), rendition: faint})
			break
		}
		for k, l := range wrap(x.Why, lineWidth-12) {
			number := ""
			if k == 0 {
				number = countText(x.Count)
			}
			r.line(cell{}, cell{text: number, width: 8, right: true}, cell{text: l})
		}
	}
	r.blank()
	r.wrapped(0, faint, pickNote)
	r.blank()
	r.wrapped(0, faint, sizeCaution)
	r.blank()
	r.command(0, replayText(p.replay))
	_, err := io.WriteString(out, r.text.String())
	return err
}

func (p *picked) ranking(r *sheet) {
	if len(p.result.Fits) == 0 {
		r.line(cell{text: nothingFits, rendition: bad})
		return
	}
	heads := []string{"", headPick, "turns", "margin", "stress", "life", "cost", "opens"}
	var cells []cell
	for i, h := range heads {
		c := cell{text: h, width: pickWidths[i], right: i > 1, rendition: faint}
		if i == 1 {
			c.rendition = strong
		}
		cells = append(cells, c)
	}
	r.line(cells...)
	for i := range p.result.Fits[:min(p.top, len(p.result.Fits))] {
		c := &p.result.Fits[i]
		symbol, rendition := sizeSymbol(c.Verdict)
		r.line(cell{text: strconv.Itoa(i+1) + " " + symbol, width: pickWidths[0], right: true, rendition: rendition},
			cell{text: runewidth.Truncate(p.name(c), pickWidths[1], "…"), width: pickWidths[1]},
			cell{text: fmt.Sprintf("%.2f", c.Turns), width: pickWidths[2], right: true},
			cell{text: fmt.Sprintf("%.2f", c.Margin), width: pickWidths[3], right: true},
			cell{text: fmt.Sprintf("%.0f %%", 100*c.Stress), width: pickWidths[4], right: true},
			cell{text: lifeShort(c.Life), width: pickWidths[5], right: true},
			cell{text: costText(c.Cost), width: pickWidths[6], right: true},
			cell{text: fmt.Sprintf("%.1f s", c.Opening), width: pickWidths[7], right: true})
	}
	if n := len(p.result.Fits) - p.top; n > 0 {
		r.line(cell{}, cell{}, cell{text: moreFits(n), rendition: faint})
	}
	r.line(cell{}, cell{text: "+ passes   ~ marginal", rendition: faint})
}

// name of a candidate: both names where there are two.
func (p *picked) name(c *sizing.Candidate) string {
	first := p.result.List[c.Springs[0]].Name
	switch {
	case len(c.Springs) == 1:
		return first
	case c.Springs[0] == c.Springs[1]:
		return "2 × " + first
	}
	return first + " + " + p.result.List[c.Springs[1]].Name
}

// lifeShort is a life in thousands of cycles.
func lifeShort(n float64) string {
	switch {
	case math.IsInf(n, 1) || n >= 1e7:
		return ">10 M"
	case n >= 1e6:
		return fmt.Sprintf("%.1f M", n/1e6)
	}
	return fmt.Sprintf("%.0f k", n/1000)
}

func costText(x float64) string {
	if absent(x) {
		return none
	}
	return fmt.Sprintf("%.2f", x)
}

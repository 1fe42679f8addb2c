package report

import "math"

// Measures of a figure, in units of its own that a page shows at about a pixel each.
const (
	figureWidth = 760.0
	plotLeft    = 58.0
	plotRight   = 694.0
	laneHeight  = 15.0
	panelGap    = 19.0
	letter      = 10.0 // size of the lettering, as in style.css
)

// figure is a stack of rows and panels over one time axis.
type figure struct {
	body   drawing
	x      scale // of seconds
	unit   timeUnit
	step   float64 // s
	y      float64 // where the next row goes
	grid   float64 // where the grid begins
	shades []mark  // drawn behind everything, from grid to axis
	lines  []mark  // upright lines from grid to axis
}

// mark is an instant or a span of a figure, in s.
type mark struct {
	from, to float64
	class    string
	text     string
	title    string
}

func newFigure(seconds, step float64) *figure {
	return &figure{x: scale{0, math.Max(seconds, step), plotLeft, plotRight}, unit: timeUnitFor(seconds), step: step, y: 4, grid: 4}
}

// at is where a time in s lies, within the plot.
func (f *figure) at(seconds float64) float64 {
	return min(max(f.x.of(seconds), plotLeft), plotRight)
}

func (f *figure) rowLabel(words string, baseline float64) {
	f.body.text(plotLeft-7, baseline, "t end dim", words)
}

// labels puts marks with words into lanes: a bar for a span, a diamond for an
// instant, the words behind it or, near the right edge, before it.
func (f *figure) labels(name string, marks []mark) {
	if len(marks) == 0 {
		return
	}
	l := lanes{most: 6}
	top, left := f.y, 0
	for i := range marks {
		m := &marks[i]
		x, end := f.at(m.from), f.at(m.to)
		width := textWidth(m.text, letter) + 8
		inside := end-x >= width
		from, until := x-5, max(end, x+5)+width
		before := !inside && until > figureWidth
		if inside {
			until = end + 2
		}
		if before {
			from, until = x-5-width, max(end, x+5)
		}
		lane := l.place(from, until)
		base := top + 11
		if lane < 0 {
			left++
			lane = l.most - 1
			base += float64(lane) * laneHeight
			f.sign(m, x, end, base)
			continue
		}
		base += float64(lane) * laneHeight
		f.sign(m, x, end, base)
		switch {
		case inside:
			f.body.text((x+end)/2, base, "t mid on-"+m.class, m.text)
		case before:
			f.body.text(x-8, base, "t end", m.text)
		default:
			f.body.text(max(end, x+5)+3, base, "t", m.text)
		}
	}
	f.rowLabel(name, top+11)
	f.y += float64(len(l.until))*laneHeight + 2
}

// sign draws the mark itself.
func (f *figure) sign(m *mark, x, end, base float64) {
	f.body.group("", m.title)
	if m.to > m.from {
		f.body.rect(x, base-10, max(end-x, 2), 12, m.class, "")
	} else {
		f.body.path("M"+number(x)+" "+number(base-9.5)+"l5 5.5l-5 5.5l-5 -5.5z", m.class)
	}
	f.body.end()
}

// presses draws what the receiver got, and hollow what was sent and not received.
func (f *figure) presses(marks []mark) {
	if len(marks) == 0 {
		return
	}
	base := f.y + 11
	l := lanes{most: 1}
	for i := range marks {
		m := &marks[i]
		x := f.at(m.from)
		f.body.group("", m.title)
		f.body.path("M"+number(x-4.5)+" "+number(base-8)+"h9l-4.5 8z", m.class)
		if end := f.at(m.to); end-x > 5 {
			f.body.rect(x, base-8, end-x, 3, m.class, "")
		}
		f.body.end()
		width := textWidth(m.text, letter)
		if m.text != "" && x+8+width < figureWidth && l.place(x-5, x+8+width) == 0 {
			f.body.text(x+7, base, "t", m.text)
		}
	}
	f.rowLabel("presses", base)
	f.y += laneHeight + 2
}

// band draws words as boxes side by side. The word stands in its box where it fits.
func (f *figure) band(name string, spans []Span, class func(i int, s *Span) string) {
	if len(spans) == 0 {
		return
	}
	const height = 15.0
	for i := range spans {
		s := &spans[i]
		x, end := f.at(float64(s.From)*f.step), f.at(float64(s.To)*f.step)
		word, style := s.Word, class(i, s)
		title := word
		if s.Changes > 0 {
			style, title = "mixed", short(float64(s.Changes), 6)+" changes, too brief to show"
		}
		title += ", " + f.clock(float64(s.From)*f.step) + " to " + f.clock(float64(s.To)*f.step)
		f.body.rect(x, f.y, max(end-x, 0.8), height, style, title)
		if width := textWidth(word, letter); end-x > width+4 {
			f.body.text((x+end)/2, f.y+11, "t mid on-"+style, word)
		}
	}
	f.rowLabel(name, f.y+11)
	f.y += height + 3
}

func (f *figure) clock(seconds float64) string { return fixed(seconds, 2) + " s" }

// curve is one line of a panel.
type curve struct {
	channel int
	label   string
	class   string
}

// level is a value that is worth a line of its own: a limit, an end of travel.
type level struct {
	value float64
	label string
	class string
}

// panel is one plot of the stack.
type panel struct {
	title  string // with its unit
	factor float64
	curves []curve
	levels []level // shown where they lie within the range, or near it
	least  float64 // the smallest range, in the panel's unit
	zero   bool    // the range reaches to 0
	height float64
}

// add draws a panel.
func (f *figure) add(e *Envelope, p *panel) {
	lo, hi := p.span(e)
	top := f.y + panelGap
	bottom := top + p.height
	y := scale{lo, hi, bottom, top}
	f.body.text(plotLeft, top-5, "t title", p.title)
	f.frame(y, top, bottom)
	for _, l := range p.levels {
		if l.value < lo || l.value > hi {
			continue
		}
		at := y.of(l.value)
		f.body.line(plotLeft, at, plotRight, at, "level "+l.class)
	}
	for i := range p.curves {
		c := &p.curves[i]
		path := tracePath(e, c.channel, func(step float64) float64 { return f.at(step * f.step) }, func(v float64) float64 { return y.of(v * p.factor) })
		f.body.path(path, "curve "+c.class)
	}
	f.directLabels(e, p, y)
	f.y = bottom
}

// frame draws the axis of values and its lines.
func (f *figure) frame(y scale, top, bottom float64) {
	at, decimals := ticks(y.from, y.to, max(3, int((bottom-top)/17)))
	for _, v := range at {
		py := y.of(v)
		class := "grid"
		if math.Abs(v) < 1e-12 {
			class = "grid zero"
		}
		f.body.line(plotLeft, py, plotRight, py, class)
		f.body.text(plotLeft-7, py+3.5, "t end", fixed(v, decimals))
	}
	f.body.path("M"+number(plotLeft)+" "+number(top)+"V"+number(bottom), "frame")
}

// directLabels names curves where they end and levels where they lie.
func (f *figure) directLabels(e *Envelope, p *panel, y scale) {
	var list []endLabel
	for i := range p.curves {
		c := &p.curves[i]
		_, lo, hi := e.Bucket(e.Len()-1, c.channel)
		if v := (lo + hi) / 2 * p.factor; c.label != "" && !math.IsNaN(v) {
			list = append(list, endLabel{y.of(v), c.label, c.class})
		}
	}
	for _, l := range p.levels {
		if l.value >= y.from && l.value <= y.to {
			list = append(list, endLabel{y.of(l.value), l.label, l.class})
		}
	}
	placeEnds(list, y.until-2, y.at+4)
	for _, l := range list {
		f.body.text(plotRight+5, l.y+3.5, "t "+l.class, l.text)
	}
}

// span is the range that a panel shows, in its unit.
func (p *panel) span(e *Envelope) (lo, hi float64) {
	lo, hi = math.NaN(), math.NaN()
	for i := range p.curves {
		a, b := e.Range(p.curves[i].channel)
		lo, hi = lower(a*p.factor, lo), higher(b*p.factor, hi)
	}
	if p.zero || math.IsNaN(lo) {
		lo, hi = lower(0, lo), higher(0, hi)
	}
	for _, l := range p.levels { // a limit that was come near to is shown
		if l.value > hi && hi > 0.4*l.value || l.value < lo && lo-l.value < 0.15*math.Abs(l.value) {
			lo, hi = min(lo, l.value), max(hi, l.value)
		}
	}
	if short := p.least - (hi - lo); short > 0 {
		if p.zero {
			hi += short
		} else {
			lo, hi = lo-short/2, hi+short/2
		}
	}
	room := 0.06 * (hi - lo)
	if p.zero && lo == 0 {
		return 0, hi + room
	}
	return lo - room, hi + room
}

// done closes the figure with its time axis.
func (f *figure) done(label string) string {
	bottom := f.y
	var d drawing
	d.open(figureWidth, bottom+30, label)
	for i := range f.shades {
		m := &f.shades[i]
		x, end := f.at(m.from), f.at(m.to)
		d.rect(x, f.grid, max(end-x, 1), bottom-f.grid, m.class, m.title)
	}
	at, decimals := ticks(0, f.x.to/f.unit.seconds, 10)
	for _, v := range at {
		x := f.x.of(v * f.unit.seconds)
		d.line(x, f.grid, x, bottom, "grid")
		d.line(x, bottom, x, bottom+4, "frame")
		d.text(x, bottom+15, "t mid", fixed(v, decimals))
	}
	d.line(plotLeft, bottom, plotRight, bottom, "frame")
	d.text(plotRight+12, bottom+15, "t dim", "time, "+f.unit.name)
	for i := range f.lines {
		x := f.at(f.lines[i].from)
		d.line(x, f.grid, x, bottom, f.lines[i].class)
	}
	d.put(f.body.String())
	d.close()
	return d.String()
}

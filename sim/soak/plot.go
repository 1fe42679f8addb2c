package soak

import (
	"fmt"
	"html"
	"math"
	"strings"
)

// Measures of a panel, in units of its viewBox. A page shows them at about 1 px each.
const (
	plotWide   = 960.0
	plotLeft   = 52.0
	plotRight  = 118.0 // room for the names of the lines
	plotTop    = 34.0
	plotBottom = 22.0
	plotHigh   = 150.0
	mostPoints = 1200 // cycles that are drawn one by one; more are drawn as the extent of each stretch
)

// line is a quantity over the cycles.
type line struct {
	name   string
	colour string
	dash   string
	value  func(*Cycle) float64
}

// Two hues that stay apart for colour-blind eyes and in grey.
const (
	dark  = "#0b4f8a"
	light = "#d1670a"
	grey  = "#5f6b76"
)

// panel is a plot of one unit.
type panel struct {
	title     string
	lines     []line
	limit     float64 // NaN without
	limitName string
	span      float64 // the least that its axis spans
}

func panels() []panel {
	none := math.NaN()
	return []panel{
		{"Travel time, s", []line{
			{"open", dark, "", func(c *Cycle) float64 { return c.OpenTime }},
			{"close", light, "", func(c *Cycle) float64 { return c.CloseTime }},
		}, SlowTravel, "8 s", 2},
		{"Supply at the controller, V", []line{
			{"at rest", light, "", func(c *Cycle) float64 { return c.RestSupply }},
			{"least", dark, "", func(c *Cycle) float64 { return c.MinSupply }},
		}, LowSupply, "11 V", 2},
		{"Charge of the battery, %", []line{
			{"charge", dark, "", func(c *Cycle) float64 { return 100 * c.Charge }},
		}, none, "", 20},
		{"Counted less true height, at rest, pulses", []line{
			{"at the floor", dark, "", func(c *Cycle) float64 { return c.ErrorFloor }},
			{"at the top", light, "", func(c *Cycle) float64 { return c.ErrorTop }},
		}, none, "", 4},
		{"Peak motor current, A", []line{
			{"peak", dark, "", func(c *Cycle) float64 { return c.PeakCurrent }},
		}, none, "", 4},
		{"Temperature, °C", []line{
			{"winding, hottest", light, "", func(c *Cycle) float64 { return c.Winding }},
			{"air", dark, "", func(c *Cycle) float64 { return c.Temperature }},
		}, none, "", 4},
		{"Wear as given: left of it, %", []line{
			{"counterbalance", dark, "", func(c *Cycle) float64 { return 100 * c.Wear.Spring }},
			{"closing spring", light, "", func(c *Cycle) float64 { return 100 * c.Wear.Closing }},
			{"battery life", grey, "5 3", func(c *Cycle) float64 { return 100 * (1 - c.Wear.Age) }},
		}, none, "", 10},
		{"Wear as given: encoder slip, %", []line{
			{"down", dark, "", func(c *Cycle) float64 { return 100 * c.Wear.SlipDown }},
			{"up", light, "5 3", func(c *Cycle) float64 { return 100 * c.Wear.SlipUp }},
		}, none, "", 0.1},
		{"Wear as given: dry friction, % of new", []line{
			{"friction", dark, "", func(c *Cycle) float64 { return 100 * c.Wear.Friction }},
		}, none, "", 10},
	}
}

// scale maps values to the viewBox.
type scale struct{ low, high, from, to float64 }

func (s scale) at(v float64) float64 {
	return s.from + (v-s.low)/(s.high-s.low)*(s.to-s.from)
}

// drawing is an SVG under way.
type drawing struct{ strings.Builder }

func (d *drawing) add(format string, args ...any) { fmt.Fprintf(&d.Builder, format+"\n", args...) }

func (d *drawing) text(x, y float64, class, text string) {
	d.add(`<text x="%.1f" y="%.1f" class="%s">%s</text>`, x, y, class, html.EscapeString(text))
}

// draw makes the SVG of a panel.
func (r *Result) draw(p panel) string {
	var d drawing
	high := plotTop + plotHigh + plotBottom
	x := r.across()
	low, top, step := extent(r.Cycles, p)
	y := scale{low, top, plotTop + plotHigh, plotTop}
	d.add(`<svg viewBox="0 0 %g %g" role="img" aria-label="%s over the cycles">`, plotWide, high, html.EscapeString(p.title))
	d.text(0, 13, "title", p.title)
	for v := low; v <= top+step/2; v += step {
		d.add(`<line x1="%g" x2="%g" y1="%.1f" y2="%.1f" class="grid"/>`, plotLeft, plotWide-plotRight, y.at(v), y.at(v))
		d.text(plotLeft-6, y.at(v)+4, "tick end", number(v, stepDigits(step)))
	}
	r.cycleAxis(&d, x)
	if !math.IsNaN(p.limit) {
		d.add(`<line x1="%g" x2="%g" y1="%.1f" y2="%.1f" class="limit"/>`, plotLeft, plotWide-plotRight, y.at(p.limit), y.at(p.limit))
	}
	r.marks(&d, x)
	for _, l := range p.lines {
		d.add(`<path d="%s" class="line" stroke="%s" stroke-dasharray="%s"/>`, r.path(l, x, y), l.colour, l.dash)
	}
	r.names(&d, p, y)
	d.add(`</svg>`)
	return d.String()
}

// across is the scale of the cycles.
func (r *Result) across() scale {
	last := max(2, len(r.Cycles))
	return scale{1, float64(last), plotLeft, plotWide - plotRight}
}

func (r *Result) cycleAxis(d *drawing, x scale) {
	base := plotTop + plotHigh
	d.add(`<line x1="%g" x2="%g" y1="%g" y2="%g" class="axis"/>`, plotLeft, plotWide-plotRight, base, base)
	step := niceStep(x.high-x.low, 10)
	step = math.Max(1, step)
	d.text(x.at(1), base+15, "tick middle", "1")
	for v := step; v <= x.high; v += step {
		if x.at(v)-x.at(1) > 24 {
			d.text(x.at(v), base+15, "tick middle", number(v, 0))
		}
	}
	d.text(plotWide-plotRight+26, base+15, "tick", "cycle")
}

// marks draws the milestones as numbered lines; numbers that would touch are put together.
func (r *Result) marks(d *drawing, x scale) {
	type group struct {
		at, last float64
		names    string
	}
	var groups []group
	for _, i := range r.byCycle() {
		at := x.at(float64(r.Milestones[i].Cycle))
		d.add(`<line x1="%.1f" x2="%.1f" y1="%g" y2="%g" class="mark"/>`, at, at, plotTop-4, plotTop+plotHigh)
		name := fmt.Sprint(i + 1)
		if n := len(groups); n > 0 && at-groups[n-1].last < 22 {
			groups[n-1].names += " " + name
			groups[n-1].last = at
			continue
		}
		groups = append(groups, group{at, at, name})
	}
	for _, g := range groups {
		d.text((g.at+g.last)/2, plotTop-7, "mark-name", g.names)
	}
}

// byCycle lists the milestones that were reached, in order of their cycles.
func (r *Result) byCycle() []int {
	var list []int
	for i := range r.Milestones {
		if r.Milestones[i].Cycle > 0 {
			list = append(list, i)
		}
	}
	for i := 1; i < len(list); i++ { // few: insertion keeps equal cycles in order
		for j := i; j > 0 && r.Milestones[list[j]].Cycle < r.Milestones[list[j-1]].Cycle; j-- {
			list[j], list[j-1] = list[j-1], list[j]
		}
	}
	return list
}

// path draws a line, broken where there is no value. Of many cycles it draws, for
// every stretch, the least and the greatest, so that no peak is lost.
func (r *Result) path(l line, x, y scale) string {
	var b strings.Builder
	pen := "M"
	point := func(n int, v float64) {
		fmt.Fprintf(&b, "%s%.1f %.1f", pen, x.at(float64(n)), y.at(v))
		pen = "L"
	}
	stretch := (len(r.Cycles) + mostPoints - 1) / mostPoints
	for from := 0; from < len(r.Cycles); from += stretch {
		least, most := -1, -1
		for i := from; i < min(from+stretch, len(r.Cycles)); i++ {
			v := l.value(&r.Cycles[i])
			if math.IsNaN(v) {
				continue
			}
			if least < 0 || v < l.value(&r.Cycles[least]) {
				least = i
			}
			if most < 0 || v > l.value(&r.Cycles[most]) {
				most = i
			}
		}
		if least < 0 {
			pen = "M"
			continue
		}
		first, second := min(least, most), max(least, most)
		point(r.Cycles[first].N, l.value(&r.Cycles[first]))
		if second != first {
			point(r.Cycles[second].N, l.value(&r.Cycles[second]))
		}
	}
	return b.String()
}

// names writes each line's name at its end, kept apart.
func (r *Result) names(d *drawing, p panel, y scale) {
	type label struct {
		at           float64
		name, colour string
	}
	var labels []label
	if !math.IsNaN(p.limit) {
		labels = append(labels, label{y.at(p.limit), p.limitName, "#b3261e"})
	}
	for i := range p.lines {
		for j := len(r.Cycles) - 1; j >= 0; j-- {
			if v := p.lines[i].value(&r.Cycles[j]); !math.IsNaN(v) {
				labels = append(labels, label{y.at(v), p.lines[i].name, p.lines[i].colour})
				break
			}
		}
	}
	for i := 1; i < len(labels); i++ {
		for j := i; j > 0 && labels[j].at < labels[j-1].at; j-- {
			labels[j], labels[j-1] = labels[j-1], labels[j]
		}
	}
	const apart = 14
	for i := 1; i < len(labels); i++ {
		labels[i].at = math.Max(labels[i].at, labels[i-1].at+apart)
	}
	for i := len(labels) - 1; i >= 0; i-- { // back up from the axis
		room := y.from - float64(len(labels)-1-i)*apart
		labels[i].at = math.Min(labels[i].at, room)
	}
	for _, l := range labels {
		d.add(`<text x="%g" y="%.1f" class="name" style="fill:%s">%s</text>`, plotWide-plotRight+8, l.at+4, l.colour, html.EscapeString(l.name))
	}
}

// extent is the range of a panel's axis in whole steps, with its limit if that is near.
func extent(cycles []Cycle, p panel) (low, high, step float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, l := range p.lines {
		for i := range cycles {
			if v := l.value(&cycles[i]); !math.IsNaN(v) && !math.IsInf(v, 0) {
				low, high = math.Min(low, v), math.Max(high, v)
			}
		}
	}
	if low > high {
		low, high = 0, 1
	}
	if !math.IsNaN(p.limit) {
		low, high = math.Min(low, p.limit), math.Max(high, p.limit)
	}
	if high-low < p.span {
		if low >= p.span/2 {
			low -= (p.span - (high - low)) / 2
		}
		high = low + p.span
	}
	step = niceStep(high-low, 5)
	return math.Floor(low/step+1e-9) * step, math.Ceil(high/step-1e-9) * step, step
}

// niceStep is 1, 2 or 5 times a power of ten, so that a span has at most about so many.
func niceStep(span float64, most int) float64 {
	raw := span / float64(most)
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= raw*0.999 {
			return m * power
		}
	}
	return 10 * power
}

// stepDigits is how many digits after the point tell neighbouring ticks apart.
func stepDigits(step float64) int {
	return max(0, -int(math.Floor(math.Log10(step)+1e-9)))
}

// number writes a tick, with a true minus sign.
func number(v float64, digits int) string {
	text := fmt.Sprintf("%.*f", digits, v)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return strings.Replace(text, "-", "−", 1)
}

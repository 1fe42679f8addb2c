package validation

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Sizes of a plot, px.
const (
	plotWidth, panelHeight      = 900, 150
	plotLeft, plotRight         = 70, 20
	plotTop, panelGap, plotFoot = 34, 16, 34
)

// plotSVG draws the plotted channels of a case one above the other: the reference as a
// broad light line, Go as a thin dark one on it.
func plotSVG(c comparison) string {
	var shown []channel
	for _, ch := range channels {
		if v := c.got.Channels[ch.name]; ch.plot && len(v) > 0 && slices.Max(v)-slices.Min(v) > ch.least/100 {
			shown = append(shown, ch)
		}
	}
	begin, end := c.want.T[0], c.want.T[len(c.want.T)-1]
	inner := float64(plotWidth - plotLeft - plotRight)
	x := func(t float64) float64 { return plotLeft + inner*(t-begin)/(end-begin) }
	height := plotTop + len(shown)*(panelHeight+panelGap) + plotFoot
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="sans-serif" font-size="12">`+"\n", plotWidth, height)
	fmt.Fprintf(&b, `<rect width="%d" height="%d" fill="#fff"/>`+"\n", plotWidth, height)
	fmt.Fprintf(&b, `<text x="%d" y="20" font-size="14" fill="#222">%s</text>`+"\n", plotLeft, c.title)
	fmt.Fprintf(&b, `<path d="M%d 15h26" stroke="#f2b36b" stroke-width="5"/><text x="%d" y="19" fill="#222">SciPy</text>`, plotWidth-190, plotWidth-158)
	fmt.Fprintf(&b, `<path d="M%d 15h26" stroke="#1b3a57" stroke-width="1.3"/><text x="%d" y="19" fill="#222">Go</text>`+"\n", plotWidth-105, plotWidth-73)
	bottom := plotTop + len(shown)*(panelHeight+panelGap) - panelGap
	for _, t := range ticks(begin, end, 8) {
		fmt.Fprintf(&b, `<path d="M%.1f %dV%d" stroke="#e4e4e4"/><text x="%.1f" y="%d" text-anchor="middle" fill="#444">%g</text>`+"\n", x(t), plotTop, bottom, x(t), bottom+16, t)
	}
	fmt.Fprintf(&b, `<text x="%d" y="%d" text-anchor="end" fill="#444">s</text>`+"\n", plotWidth-4, bottom+16)
	for i, ch := range shown {
		top := float64(plotTop + i*(panelHeight+panelGap))
		want, got := c.want.Channels[ch.name], c.got.Channels[ch.name]
		low, high := math.Min(slices.Min(want), slices.Min(got)), math.Max(slices.Max(want), slices.Max(got))
		margin := 0.06 * (high - low)
		low, high = low-margin, high+margin
		y := func(v float64) float64 { return top + panelHeight*(high-v)/(high-low) }
		for _, v := range ticks(low, high, 5) {
			fmt.Fprintf(&b, `<path d="M%d %.1fH%d" stroke="#e4e4e4"/><text x="%d" y="%.1f" text-anchor="end" fill="#444">%g</text>`+"\n", plotLeft, y(v), plotWidth-plotRight, plotLeft-6, y(v)+4, v)
		}
		fmt.Fprintf(&b, `<text transform="translate(14 %.1f) rotate(-90)" text-anchor="middle" fill="#222">%s, %s</text>`+"\n", top+panelHeight/2, ch.title, ch.unit)
		fmt.Fprintf(&b, `<rect x="%d" y="%.1f" width="%g" height="%d" fill="none" stroke="#888"/>`+"\n", plotLeft, top, inner, panelHeight)
		fmt.Fprintf(&b, `<path d="%s" fill="none" stroke="#f2b36b" stroke-width="5" stroke-linejoin="round"/>`+"\n", polyline(c.want.T, want, x, y))
		fmt.Fprintf(&b, `<path d="%s" fill="none" stroke="#1b3a57" stroke-width="1.3" stroke-linejoin="round"/>`+"\n", polyline(c.want.T, got, x, y))
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// ticks returns about n round values between low and high.
func ticks(low, high float64, n int) []float64 {
	raw := (high - low) / float64(n)
	unit := math.Pow(10, math.Floor(math.Log10(raw)))
	step := unit
	for _, m := range []float64{2, 5, 10} {
		if step < raw {
			step = m * unit
		}
	}
	var out []float64
	for k := math.Ceil(low / step); k*step <= high; k++ {
		// Rounded, or 3·0.1 would be printed with all its digits.
		// Plus 0, or a zero from below would be −0.
		out = append(out, math.Round(k*step*1e9)/1e9+0)
	}
	return out
}

// polyline is the path of a curve, without the points that it can spare.
func polyline(t, v []float64, x, y func(float64) float64) string {
	points := make([][2]float64, len(t))
	for i := range t {
		points[i] = [2]float64{x(t[i]), y(v[i])}
	}
	var b strings.Builder
	for i, p := range spare(points) {
		fmt.Fprintf(&b, "%c%.1f %.1f", "ML"[min(i, 1)], p[0], p[1])
	}
	return b.String()
}

// spare leaves out points that lie within a quarter of a pixel of the line between
// those that are kept (Ramer, 1972; Douglas and Peucker, 1973).
func spare(p [][2]float64) [][2]float64 {
	if len(p) < 3 {
		return p
	}
	a, z := p[0], p[len(p)-1]
	length := math.Hypot(z[0]-a[0], z[1]-a[1])
	far, at := 0.0, 0
	for i, q := range p {
		d := math.Hypot(q[0]-a[0], q[1]-a[1])
		if length > 0 {
			d = math.Abs((z[0]-a[0])*(q[1]-a[1])-(z[1]-a[1])*(q[0]-a[0])) / length
		}
		if d > far {
			far, at = d, i
		}
	}
	if far < 0.25 {
		return [][2]float64{a, z}
	}
	left := spare(p[:at+1])
	return append(left[:len(left)-1:len(left)-1], spare(p[at:])...)
}

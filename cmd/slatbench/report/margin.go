package report

import (
	"cmp"
	"math"

	"slatbench/sim/require"
)

// Measures of a margin bar: the limit stands in the middle, its whole value right of it.
const (
	barWidth  = 240.0
	barHeight = 20.0
	barZero   = 120.0
	barScale  = 100.0 // for a share of 1
)

// marginBar draws a margin as a share of its limit. Kept: plain, to the right.
// Violated: hatched, to the left of the limit. What is beyond the scale ends in an arrow.
func marginBar(share float64, v require.Verdict) string {
	var d drawing
	d.put(`<svg class="bar" viewBox="0 0 240 20" role="img" aria-label="`, marginWords(share), `">`)
	d.line(barZero-barScale, 4, barZero-barScale, 16, "grid")
	d.line(barZero+barScale, 4, barZero+barScale, 16, "grid")
	if !math.IsNaN(share) && v != require.NotExercised {
		drawShare(&d, share, v)
	}
	d.line(barZero, 1, barZero, 19, "limit")
	d.close()
	return d.String()
}

func drawShare(d *drawing, share float64, v require.Verdict) {
	class := map[require.Verdict]string{require.Holds: "kept", require.Violated: "broken", require.Exempt: "exempt", require.Measured: "measured"}[v]
	length := barScale * min(max(share, -1), 1)
	x, w := barZero, length
	if length < 0 {
		x, w = barZero+length, -length
	}
	d.rect(x, 5, max(w, 1.5), 10, class, marginWords(share))
	if share > 1 {
		d.path("M221.5 5l8 5l-8 5z", class)
	}
	if share < -1 {
		d.path("M18.5 5l-8 5l8 5z", class)
	}
}

// marginWords is a share in words.
func marginWords(share float64) string {
	switch {
	case math.IsNaN(share):
		return "no margin"
	case share < 0:
		return short(-100*share, 3) + " % of the limit beyond it"
	}
	return short(100*share, 3) + " % of the limit left"
}

// shareText is a share as it stands beside its bar.
func shareText(share float64) string {
	if unshown(share) {
		return ""
	}
	if share < 0 {
		return "−" + short(-100*share, 3) + " %"
	}
	return short(100*share, 3) + " %"
}

// marginText is a margin with its unit, millimetres where metres would be clumsy.
func marginText(margin float64, unit string) string {
	if unshown(margin) {
		return ""
	}
	if unit == "m" {
		margin, unit = margin*1000, "mm"
	}
	text := short(math.Abs(margin), 3)
	if margin < 0 && text != "0" {
		text = "−" + text
	}
	if math.Abs(margin) == 1 {
		unit = cmp.Or(oneOf[unit], unit)
	}
	return text + " " + unit
}

// oneOf are the units that are counted, for one of them.
var oneOf = map[string]string{"presses": "press", "records": "record"}

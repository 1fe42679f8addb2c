package report

import (
	"html"
	"math"
	"strconv"
	"strings"
)

// drawing is an SVG picture on its way. Looks come from classes in style.css, so
// that a picture follows the page into dark and onto paper.
type drawing struct{ strings.Builder }

// number writes a coordinate with a tenth of a unit: finer than any printer shows.
func number(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		x = 0
	}
	x = math.Round(x*10) / 10
	if x == 0 {
		x = 0 // not -0
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

func (d *drawing) open(width, height float64, label string) {
	d.put(`<svg class="plot" viewBox="0 0 `, number(width), " ", number(height), `" role="img" aria-label="`, html.EscapeString(label), `">`)
}

func (d *drawing) close() { d.put("</svg>\n") }

func (d *drawing) put(parts ...string) {
	for _, p := range parts {
		d.WriteString(p)
	}
}

func (d *drawing) line(x1, y1, x2, y2 float64, class string) {
	d.put(`<path class="`, class, `" d="M`, number(x1), " ", number(y1), "L", number(x2), " ", number(y2), "\"/>")
}

func (d *drawing) rect(x, y, w, h float64, class, title string) {
	d.put(`<rect class="`, class, `" x="`, number(x), `" y="`, number(y), `" width="`, number(max(w, 0)), `" height="`, number(h), `"`)
	if title == "" {
		d.put("/>")
		return
	}
	d.put("><title>", html.EscapeString(title), "</title></rect>")
}

func (d *drawing) path(points, class string) {
	d.put(`<path class="`, class, `" d="`, points, "\"/>")
}

// text writes at a baseline. The class tells the anchor too: "end" or "mid".
func (d *drawing) text(x, y float64, class, words string) {
	d.put(`<text class="`, class, `" x="`, number(x), `" y="`, number(y), `">`, html.EscapeString(words), "</text>")
}

// group opens a group that has a text of its own for whoever points at it.
func (d *drawing) group(class, title string) {
	d.put(`<g class="`, class, `"><title>`, html.EscapeString(title), "</title>")
}

func (d *drawing) end() { d.put("</g>") }

// textWidth is about how wide words get at a size, by the mean width of sans serif letters.
func textWidth(words string, size float64) float64 {
	return 0.56 * size * float64(len([]rune(words)))
}

package report

import (
	"math"
	"strings"

	"slatbench/scenarios"
)

// Measures of the chart of a standard test, in units of its own.
const (
	labelColumn = 196.0
	chartGap    = 26.0
	chartMost   = 880.0 // height: what a page of paper takes
	leastRow    = 12.0
	groupHead   = 19.0
	chartHead   = 34.0
	chartFoot   = 22.0
)

// column is one chart beside the others.
type column struct {
	measure measure
	title   string
	from    float64
	to      float64
	bars    bool // of the run without an object
	x       scale
}

// chart shows side by side what every arrangement keeps and what it costs.
func (s *Standard) chart() string {
	columns := s.columns()
	for i := range columns {
		columns[i].fit(s.Rows)
	}
	var d drawing
	row := s.rowHeight()
	height := chartHead + float64(len(s.Test.Arrangements))*(groupHead+row*float64(len(s.Test.Conditions))) + chartFoot
	d.open(figureWidth, height, "What each arrangement keeps, and what it costs in closing time")
	for i := range columns {
		columns[i].frame(&d, chartHead-4, height-chartFoot)
	}
	y := chartHead
	for i := range s.Test.Arrangements {
		name := s.Test.Arrangements[i].Name
		if i > 0 {
			d.line(0, y-1, figureWidth, y-1, "grid zero")
		}
		d.text(0, y+12, "t title", name)
		y += groupHead
		for k := range s.Test.Conditions {
			condition := s.Test.Conditions[k].Name
			d.text(10, y+row/2+3, "t dim", condition)
			for c := range columns {
				s.marks(&d, &columns[c], name, condition, y, row)
			}
			y += row
		}
	}
	d.close()
	return d.String()
}

// rowHeight gives every object a place of its own as long as the page is high enough.
func (s *Standard) rowHeight() float64 {
	groups := float64(len(s.Test.Arrangements))
	room := (chartMost - chartHead - chartFoot - groups*groupHead) / (groups * float64(len(s.Test.Conditions)))
	return max(leastRow, min(room, max(16, 7+4.2*float64(len(s.Test.Heights)))))
}

// columns are the charts of the kind of test; the last is closing time.
func (s *Standard) columns() []column {
	var list []column
	for _, m := range s.judged() {
		if m.least || strings.HasPrefix(m.head, "static") {
			continue // in the tables
		}
		list = append(list, column{measure: m, title: title(m.head)})
	}
	list = append(list, column{title: "Closing without an object, s", bars: true,
		measure: measure{"", 1, 2, func(r *scenarios.TrialRow) float64 { return r.Closed }, math.NaN(), false}})
	width := (figureWidth - labelColumn - chartGap*float64(len(list)) - 14) / float64(len(list))
	for i := range list {
		list[i].from = labelColumn + float64(i)*(width+chartGap)
		list[i].to = list[i].from + width
	}
	return list
}

// fit makes the scale: from 0 to the greatest figure or a little past the limit.
func (c *column) fit(rows []scenarios.TrialRow) {
	top := math.NaN()
	for i := range rows {
		if c.bars == math.IsNaN(rows[i].Height) {
			top = higher(c.measure.of(&rows[i])*c.measure.factor, top)
		}
	}
	if !math.IsNaN(c.measure.limit) {
		top = higher(1.15*c.measure.limit*c.measure.factor, top)
	}
	if !(top > 0) {
		top = 1
	}
	c.x = scale{0, 1.04 * top, c.from, c.to}
}

func (c *column) frame(d *drawing, top, bottom float64) {
	d.text(c.from, 10, "t title", c.title)
	at, decimals := ticks(0, c.x.to, 5)
	for _, v := range at {
		x := c.x.of(v)
		d.line(x, top, x, bottom, "grid")
		d.text(x, bottom+13, "t mid", fixed(v, decimals))
	}
	d.line(c.from, bottom, c.to, bottom, "frame")
	d.line(c.from, top, c.from, bottom, "frame")
	if limit := c.measure.limit * c.measure.factor; !math.IsNaN(limit) {
		x := c.x.of(limit)
		d.line(x, top-3, x, bottom, "limit-line")
		d.text(x, top-6, "t mid bad", "limit "+short(limit, 3))
	}
}

// marks are the figures of one arrangement under one condition in one column.
func (s *Standard) marks(d *drawing, c *column, arrangement, condition string, y, row float64) {
	n := 0
	gap := (row - 7) / float64(len(s.Test.Heights))
	base := y + row/2 + gap*float64(len(s.Test.Heights)-1)/2
	s.of(arrangement, func(r *scenarios.TrialRow) {
		if r.Condition != condition || c.bars != math.IsNaN(r.Height) {
			return
		}
		if c.bars {
			s.bar(d, c, r, y+row/2)
			return
		}
		at := base - gap*float64(n)
		n++
		v := c.measure.of(r)
		if unshown(v) {
			return
		}
		x := c.x.of(v * c.measure.factor)
		words := fixed(v*c.measure.factor, c.measure.places)
		d.group("", short(1000*r.Height, 5)+" mm: "+words)
		if c.measure.missed(r) {
			d.path("M"+number(x-3.2)+" "+number(at-3.2)+"l6.4 6.4M"+number(x+3.2)+" "+number(at-3.2)+"l-6.4 6.4", "cross")
		} else {
			d.path("M"+number(x-2.6)+" "+number(at)+"a2.6 2.6 0 1 0 5.2 0a2.6 2.6 0 1 0 -5.2 0z", "dot")
		}
		d.end()
	})
}

// bar is a closing time.
func (s *Standard) bar(d *drawing, c *column, r *scenarios.TrialRow, middle float64) {
	if unshown(r.Closed) {
		d.text(c.from+4, middle+3.5, "t dim", "did not close")
		return
	}
	end := c.x.of(r.Closed)
	d.rect(c.from, middle-5, end-c.from, 10, "cost", "")
	words := fixed(r.Closed, 2)
	if !math.IsNaN(r.Turned) {
		words += ", then turned"
	}
	if width := textWidth(words, letter); end-c.from > width+8 {
		d.text(end-5, middle+3.5, "t end on-cost", words)
	} else {
		d.text(end+4, middle+3.5, "t", words)
	}
}

// chartNote says how the marks are read.
func (s *Standard) chartNote() string {
	var heights []string
	for i := range s.Test.Heights {
		heights = append(heights, short(1000*s.Test.Heights[i].Height, 5)+" mm")
	}
	return "In each row the marks stand one above the other as the objects do, the lowest at the bottom: " + strings.Join(heights, ", ") +
		". A dot keeps the limit, a cross does not."
}

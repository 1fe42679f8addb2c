package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"slatbench/sim/sizing"
)

// balanceFigure is three panels over the height: what pulls, what is left of it, and
// what a hand needs.
func balanceFigure(r *sizing.Result) string {
	b := r.Balance
	f := heightFigure{b: b, x: scale{0, b[len(b)-1].Height, plotLeft, plotRight}, y: 4}
	f.panel("Pulls along the track, N", 150, false,
		line{"gravity", "c2", func(p *sizing.BalancePoint) float64 { return p.Gravity }},
		line{"gravity, closing spring", "dim", func(p *sizing.BalancePoint) float64 { return p.Gravity + p.Closing }},
		line{"spring, up", "c1", func(p *sizing.BalancePoint) float64 { return p.Spring }})
	f.panel("Net pull up, N", 130, true,
		line{"net", "c1", func(p *sizing.BalancePoint) float64 { return p.Net }})
	limit := r.Of(sizing.HandUp).Limit.Pass
	f.levels = []level{{limit, "passes to " + short(limit, 4), "bad"}}
	f.panel("By hand, manual release open, N", 120, false,
		line{"to lift", "c1", func(p *sizing.BalancePoint) float64 { return p.HandUp }},
		line{"to pull down", "c2", func(p *sizing.BalancePoint) float64 { return p.HandDown }})
	return f.done("Balance of forces through the travel")
}

// heightFigure is a stack of panels over the height of the door.
type heightFigure struct {
	b      sizing.Balance
	x      scale
	y      float64
	body   drawing
	levels []level // of the next panel
}

type line struct {
	label, class string
	of           func(*sizing.BalancePoint) float64
}

// panel draws one; shaded shows where the net force may lie for the door to stay.
func (f *heightFigure) panel(name string, height float64, shaded bool, lines ...line) {
	low, high := 0.0, 0.0
	for i := range f.b {
		for _, l := range lines {
			low, high = lower(l.of(&f.b[i]), low), higher(l.of(&f.b[i]), high)
		}
		if band := 1.6 * f.b[i].Band; shaded {
			low, high = lower(-band, low), higher(band, high)
		}
	}
	for _, l := range f.levels {
		if l.value < 2.2*high {
			high = higher(l.value, high)
		}
	}
	room := 0.06 * (high - low)
	top := f.y + panelGap
	bottom := top + height
	y := scale{low - room, high + room, bottom, top}
	if low == 0 {
		y.from = 0
	}
	f.body.text(plotLeft, top-5, "t title", name)
	if shaded {
		f.shade(y)
	}
	at, decimals := ticks(y.from, y.to, max(3, int(height/22)))
	for _, v := range at {
		class := "grid"
		if math.Abs(v) < 1e-12 {
			class = "grid zero"
		}
		f.body.line(plotLeft, y.of(v), plotRight, y.of(v), class)
		f.body.text(plotLeft-7, y.of(v)+3.5, "t end", minus(fixed(v, decimals)))
	}
	f.body.path("M"+number(plotLeft)+" "+number(top)+"V"+number(bottom), "frame")
	var ends []endLabel
	for _, l := range f.levels {
		if l.value <= y.to {
			f.body.line(plotLeft, y.of(l.value), plotRight, y.of(l.value), "level "+l.class)
			ends = append(ends, endLabel{y.of(l.value), l.label, l.class})
		}
	}
	f.levels = nil
	for _, l := range lines {
		var path strings.Builder
		for i := range f.b {
			path.WriteString([]string{"L", "M"}[btoi(i == 0)] + number(f.x.of(f.b[i].Height)) + " " + number(y.of(l.of(&f.b[i]))))
		}
		f.body.path(path.String(), "curve "+l.class)
		ends = append(ends, endLabel{y.of(l.of(&f.b[len(f.b)-1])), l.label, l.class})
	}
	placeEnds(ends, top+2, bottom+2)
	for _, e := range ends {
		f.body.text(plotRight+5, e.y+3.5, "t "+e.class, e.text)
	}
	f.y = bottom + 4
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// shade fills where the net force may lie for the door to stay.
func (f *heightFigure) shade(y scale) {
	clip := func(v float64) float64 { return y.of(math.Max(y.from, math.Min(y.to, v))) }
	area := func(low, high func(*sizing.BalancePoint) float64, class string) {
		var out, back strings.Builder
		for i := range f.b {
			out.WriteString([]string{"L", "M"}[btoi(i == 0)] + number(f.x.of(f.b[i].Height)) + " " + number(clip(high(&f.b[i]))))
			p := &f.b[len(f.b)-1-i]
			back.WriteString("L" + number(f.x.of(p.Height)) + " " + number(clip(low(p))))
		}
		f.body.path(out.String()+back.String()+"Z", class)
	}
	area(func(p *sizing.BalancePoint) float64 { return p.Net - p.HeldDown }, func(p *sizing.BalancePoint) float64 { return p.Net + p.HeldUp }, "held")
	area(func(p *sizing.BalancePoint) float64 { return -p.Band }, func(p *sizing.BalancePoint) float64 { return p.Band }, "band")
	f.body.text(plotLeft+6, clip(f.b[0].Band)+11, "t dim", "friction band")
	f.body.text(plotLeft+6, y.until+11, "t dim", "held by the drive")
}

func (f *heightFigure) done(label string) string {
	bottom := f.y
	var d drawing
	d.open(figureWidth+60, bottom+28, label)
	at, decimals := ticks(f.x.from, f.x.to, 10)
	d.put(f.body.String())
	for _, v := range at {
		x := f.x.of(v)
		d.line(x, bottom, x, bottom+4, "frame")
		d.text(x, bottom+15, "t mid", fixed(v, decimals))
	}
	d.line(plotLeft, bottom, plotRight, bottom, "frame")
	d.text(plotRight+12, bottom+15, "t dim", "height, m")
	d.close()
	return d.String()
}

// turnsFigure is a line of turns: where the door works, where all passes, what was
// asked and what is recommended.
func turnsFigure(r *sizing.Result) string {
	asked := r.Question.Bay.Counterbalance.InitialTurns
	w := &r.Window
	low, high := math.Min(asked, w.Low), math.Max(asked, w.High)
	room := math.Max(0.5, 0.12*(high-low))
	x := scale{math.Max(0, low-room), high + room, plotLeft, plotRight}
	var d drawing
	d.open(figureWidth, 84, "Initial turns in which the door works")
	if w.Open() {
		d.rect(x.of(w.Low), 24, x.of(w.High)-x.of(w.Low), 20, "works", "")
		if r.Good.Open() {
			d.rect(x.of(r.Good.Low), 24, x.of(r.Good.High)-x.of(r.Good.Low), 20, "passes", "")
			if words := "passes"; x.of(r.Good.High)-x.of(r.Good.Low) > textWidth(words, letter)+6 {
				d.text((x.of(r.Good.Low)+x.of(r.Good.High))/2, 38, "mid", words)
			}
		}
		if words := "works"; x.of(w.High)-x.of(r.Good.High) > textWidth(words, letter)+6 && r.Good.Open() {
			d.text((x.of(r.Good.High)+x.of(w.High))/2, 38, "mid", words)
		}
	}
	at := x.of(asked)
	d.path("M"+number(at-6)+" 12h12l-6 10z", "asked")
	d.text(at+9, 19, "t", "as asked, "+fixed(asked, 2))
	if !math.IsNaN(r.Recommended) {
		best := x.of(r.Recommended)
		d.path("M"+number(best-6)+" 57h12l-6 -10z", "best")
		d.text(best+9, 57, "t", "recommended, "+fixed(r.Recommended, 2))
	}
	list, decimals := ticks(x.from, x.to, 10)
	d.line(plotLeft, 64, plotRight, 64, "frame")
	for _, v := range list {
		d.line(x.of(v), 64, x.of(v), 68, "frame")
		d.text(x.of(v), 79, "t mid", fixed(v, decimals))
	}
	d.text(plotRight+12, 79, "t dim", "turns")
	d.close()
	return d.String()
}

// Measures of a map.
const (
	mapTop    = 8.0
	mapHeight = 300.0
)

// heatMap is the cells of a study with the lines of equal travel time.
func heatMap(m *sizing.Map, r *sizing.Result) string {
	nx, ny := len(m.X.At), len(m.Y.At)
	w, h := (plotRight-plotLeft)/float64(nx), mapHeight/float64(ny)
	left := func(x int) float64 { return plotLeft + float64(x)*w }
	top := func(y int) float64 { return mapTop + mapHeight - float64(y+1)*h }
	var d drawing
	d.open(figureWidth, mapTop+mapHeight+44, "Verdict and travel time over "+m.X.Input.Name+" and "+m.Y.Input.Name)
	for y := range ny {
		for x := range nx {
			cellOf(&d, m, x, y, left(x), top(y), w, h)
		}
	}
	for y := range ny {
		for x := range nx {
			c := m.At(x, y)
			if x > 0 && m.At(x-1, y).Verdict != c.Verdict {
				d.line(left(x), top(y), left(x), top(y)+h, "edge")
			}
			if y > 0 && m.At(x, y-1).Verdict != c.Verdict {
				d.line(left(x), top(y)+h, left(x)+w, top(y)+h, "edge")
			}
		}
	}
	contours(&d, m, func(x float64) float64 { return plotLeft + (x+0.5)*w }, func(y float64) float64 { return mapTop + mapHeight - (y+0.5)*h })
	hereMark(&d, m, r, w, h)
	mapAxes(&d, m, w, h)
	d.close()
	return d.String()
}

func cellOf(d *drawing, m *sizing.Map, x, y int, left, top, w, h float64) {
	c := m.At(x, y)
	class := map[sizing.Verdict]string{sizing.Pass: "s-pass", sizing.Marginal: "s-marginal", sizing.Fail: "s-fail"}[c.Verdict]
	words := axisWords(&m.X, x) + ", " + axisWords(&m.Y, y) + ": "
	if c.Refused != "" {
		class, words = "s-none", words+c.Refused
	} else {
		words += c.Verdict.String() + "; opening " + timeWords(c.Opening) + ", closing " + timeWords(c.Closing)
		if c.Verdict != sizing.Pass {
			words += "; worst: " + c.Worst.Info().Name
		}
	}
	d.rect(left, top, w, h, class, words)
	if c.Verdict == sizing.Marginal && w > 9 && h > 9 {
		d.text(left+w/2, top+h/2+3.5, "mid s-mark", "~")
	}
}

func timeWords(x float64) string {
	if unshown(x) {
		return "never"
	}
	return fixed(x, 2) + " s"
}

func axisWords(a *sizing.Axis, i int) string {
	return a.Input.Name + " " + a.Input.Text(a.At[i])
}

// mapAxes labels the middles of the cells, as many as have room.
func mapAxes(d *drawing, m *sizing.Map, w, h float64) {
	widest := 0.0
	for i := range m.X.At {
		widest = math.Max(widest, textWidth(m.X.Input.Number(m.X.At[i]), letter)+8)
	}
	every := max(1, int(math.Ceil(widest/w)))
	for i := 0; i < len(m.X.At); i += every {
		d.text(plotLeft+(float64(i)+0.5)*w, mapTop+mapHeight+14, "t mid", m.X.Input.Number(m.X.At[i]))
	}
	every = max(1, int(math.Ceil(13/h)))
	for i := 0; i < len(m.Y.At); i += every {
		d.text(plotLeft-7, mapTop+mapHeight-(float64(i)+0.5)*h+3.5, "t end", m.Y.Input.Number(m.Y.At[i]))
	}
	d.text((plotLeft+plotRight)/2, mapTop+mapHeight+32, "t mid dim", "across: "+axisTitle(&m.X)+"; up: "+axisTitle(&m.Y))
}

func axisTitle(a *sizing.Axis) string { return strings.TrimSpace(a.Input.Name + ", " + a.Input.Unit) }

// hereMark circles the figures that were asked, where they lie on the map.
func hereMark(d *drawing, m *sizing.Map, r *sizing.Result, w, h float64) {
	x, ok := placeOn(&m.X, r)
	y, fine := placeOn(&m.Y, r)
	if !ok || !fine {
		return
	}
	d.group("", "as asked")
	d.path("M"+number(plotLeft+(x+0.5)*w-5)+" "+number(mapTop+mapHeight-(y+0.5)*h)+"a5 5 0 1 0 10 0a5 5 0 1 0 -10 0z", "here")
	d.end()
}

// placeOn is where the asked figure lies on an axis, in steps from its first value.
func placeOn(a *sizing.Axis, r *sizing.Result) (float64, bool) {
	v := a.Input.Get(r.Question)
	for i := 1; i < len(a.At); i++ {
		if v >= a.At[i-1] && v <= a.At[i] {
			return float64(i-1) + (v-a.At[i-1])/(a.At[i]-a.At[i-1]), true
		}
	}
	return 0, false
}

// contours draws lines of equal travel time by marching squares between the middles
// of cells, straight between corners; a square with a corner that has no time has no
// line.
func contours(d *drawing, m *sizing.Map, px, py func(float64) float64) {
	low, high := math.NaN(), math.NaN()
	for i := range m.Cells {
		if t := m.Cells[i].Slower(); !unshown(t) {
			low, high = lower(t, low), higher(t, high)
		}
	}
	if unshown(low) || high-low < 0.05 {
		return
	}
	at, decimals := ticks(low, high, 7)
	for n, v := range at {
		segments := crossings(m, v)
		if len(segments) == 0 {
			continue
		}
		var path strings.Builder
		for _, s := range segments {
			path.WriteString("M" + number(px(s[0])) + " " + number(py(s[1])) + "L" + number(px(s[2])) + " " + number(py(s[3])))
		}
		d.path(path.String(), "contour")
		best := segments[0]
		for _, s := range segments {
			if fromSpot(m, n, s) < fromSpot(m, n, best) {
				best = s
			}
		}
		d.text(px((best[0]+best[2])/2), py((best[1]+best[3])/2)+3.5, "t mid contour-label", fixed(v, max(decimals, 0))+" s")
	}
}

// fromSpot is how far a piece of line n lies from where its label is wanted: spread
// over the width, and up and down in turn, so that the labels of neighbours stay apart.
func fromSpot(m *sizing.Map, n int, s [4]float64) float64 {
	x := (s[0]+s[2])/2/float64(len(m.X.At)) - (float64(n%4)+0.8)/4.6
	y := (s[1]+s[3])/2/float64(len(m.Y.At)) - 0.3 - 0.45*float64(n%2)
	return math.Hypot(x, y)
}

// crossings are the pieces of the line of a level, in steps of the map.
func crossings(m *sizing.Map, level float64) [][4]float64 {
	var out [][4]float64
	for y := 0; y+1 < len(m.Y.At); y++ {
		for x := 0; x+1 < len(m.X.At); x++ {
			corners := [4][3]float64{
				{float64(x), float64(y), m.At(x, y).Slower()}, {float64(x + 1), float64(y), m.At(x+1, y).Slower()},
				{float64(x + 1), float64(y + 1), m.At(x+1, y+1).Slower()}, {float64(x), float64(y + 1), m.At(x, y+1).Slower()},
			}
			out = append(out, crossSquare(corners, level)...)
		}
	}
	return out
}

func crossSquare(c [4][3]float64, level float64) [][4]float64 {
	var at [][2]float64
	for i := range c {
		a, b := c[i], c[(i+1)%4]
		if unshown(a[2]) || unshown(b[2]) {
			return nil
		}
		if (a[2] < level) == (b[2] < level) {
			continue
		}
		share := (level - a[2]) / (b[2] - a[2])
		at = append(at, [2]float64{a[0] + share*(b[0]-a[0]), a[1] + share*(b[1]-a[1])})
	}
	var out [][4]float64
	for i := 0; i+1 < len(at); i += 2 {
		out = append(out, [4]float64{at[i][0], at[i][1], at[i+1][0], at[i+1][1]})
	}
	return out
}

// mapNotes tell what decides where not all passes.
func mapNotes(m *sizing.Map) []string {
	count, refused, why := m.Deciding()
	var parts, notes []string
	for a, n := range count {
		if n > 0 {
			parts = append(parts, sizing.Aspect(a).Info().Name+" in "+strconv.Itoa(n))
		}
	}
	if len(parts) > 0 {
		notes = append(notes, fmt.Sprintf("What is worst where not all passes, of %d cells: %s.", len(m.Cells), strings.Join(parts, ", ")))
	}
	if refused > 0 {
		notes = append(notes, fmt.Sprintf("%d cells cannot be: %s.", refused, why))
	}
	return append(notes, "Travel time: the longer of opening and closing, each simulated on the whole model. Everything else is as stated above.")
}

// influenceFigure is a bar for every tolerance.
func influenceFigure(f *sizing.Fleet) string {
	const row, nameWidth = 22.0, 190.0
	top := 1.0
	for i := range f.Influence {
		top = math.Max(top, f.Influence[i].Total)
	}
	x := scale{0, top, nameWidth, plotRight}
	var d drawing
	height := row*float64(len(f.Influence)) + 26
	d.open(figureWidth, height, "How much each tolerance matters")
	at, decimals := ticks(0, top, 5)
	for _, v := range at {
		d.line(x.of(v), 2, x.of(v), height-22, "grid")
		d.text(x.of(v), height-8, "t mid", fixed(v, decimals))
	}
	for i := range f.Influence {
		n := &f.Influence[i]
		y := 4 + row*float64(i)
		d.text(nameWidth-8, y+12, "t end", n.Tolerance.String())
		d.rect(nameWidth, y+2, x.of(math.Max(0, n.Total))-nameWidth, 14, "total", "")
		d.rect(nameWidth, y+4, x.of(math.Max(0, n.First))-nameWidth, 10, "first", "")
		low, high := math.Max(0, n.First-n.FirstErr), math.Min(top, math.Max(0, n.First+n.FirstErr))
		d.path("M"+number(x.of(low))+" "+number(y+9)+"H"+number(x.of(high))+"M"+number(x.of(low))+" "+number(y+6)+"v6M"+number(x.of(high))+" "+number(y+6)+"v6", "whisker")
		d.text(math.Max(x.of(high), x.of(math.Max(0, n.Total)))+6, y+12, "t", minus(fixed(n.First, 2))+" ± "+fixed(n.FirstErr, 2))
	}
	d.close()
	return d.String()
}

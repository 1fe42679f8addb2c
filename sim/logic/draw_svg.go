package logic

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"
)

// SVG draws the machines of a table, or one of them (door, lock), as a picture that
// needs no other program: states in columns by their distance from the start, exits
// with their events, and beneath it a legend with every answer by its number. What an
// overlay changes is marked by sign, by line and by colour. The same drawing gives the
// same bytes.
func (d *Drawing) SVG(machine string) string {
	p := &picture{}
	words := []string{"door", "lock"}
	if machine != "" {
		words = []string{machine}
	}
	p.y = pageMargin
	p.head(d)
	for _, w := range words {
		p.machine(w, lay(d.machine(w)))
	}
	p.notes(d.Notes)
	p.key(d.Base != nil)
	return p.whole(d.title())
}

func (d *Drawing) title() string {
	if d.Base == nil {
		return "Logic " + d.Table.Name
	}
	return "Logic " + d.Table.Name + ", based on " + d.Base.Name
}

// picture is an SVG on its way, from top to bottom.
type picture struct {
	body  strings.Builder
	y     float64
	width float64
}

// pictureStyle is black on white, whatever the screen: it is made to be printed, too.
const pictureStyle = `
text{font-family:Helvetica,Arial,"Liberation Sans",sans-serif;font-size:12px;fill:#1b1b1b}
.page{fill:#fff}
.h1{font-size:20px;font-weight:bold}
.h2{font-size:16px;font-weight:bold}
.name{font-size:14px;font-weight:bold}
.faint{fill:#555}
.num{font-weight:bold}
.box{fill:#f4f4f1;stroke:#333;stroke-width:1.2}
.box.drive{fill:#e3ecf5}
.box.rest{fill:#f7f3e4}
.box.added{stroke-width:3;stroke:#0b6b2e}
.box.dropped{stroke-dasharray:3 4;fill:#fff;stroke:#8a1f1f}
.box.changed{stroke-width:2.4;stroke-dasharray:10 3;stroke:#1f4e9e}
.pill{fill:#fff;stroke:#333;stroke-width:1}
.line{fill:none;stroke:#444;stroke-width:1.2}
.line.added,.pill.added{stroke:#0b6b2e;stroke-width:2.8}
.line.dropped,.pill.dropped{stroke:#8a1f1f;stroke-dasharray:3 4}
.line.changed,.pill.changed{stroke:#1f4e9e;stroke-width:2.2;stroke-dasharray:10 3}
.tip{fill:#444}
.tip.added{fill:#0b6b2e}.tip.dropped{fill:#8a1f1f}.tip.changed{fill:#1f4e9e}
text.added,tspan.added{fill:#0b6b2e;font-weight:bold}
text.dropped,tspan.dropped{fill:#8a1f1f;text-decoration:line-through}
text.changed,tspan.changed{fill:#1f4e9e;font-weight:bold}
.rule{stroke:#bbb;stroke-width:1}
`

var markClass = [...]string{Kept: "", Added: "added", Dropped: "dropped", Changed: "changed"}

func (p *picture) put(format string, args ...any) { fmt.Fprintf(&p.body, format, args...) }

// num writes a coordinate with a tenth of a unit.
func num(x float64) string {
	return strconv.FormatFloat(math.Round(x*10)/10+0, 'f', -1, 64)
}

func (p *picture) text(x, y float64, class, words string) {
	p.put(`<text x="%s" y="%s" class="%s">%s</text>`+"\n", num(x), num(y), class, html.EscapeString(words))
}

// tokens writes pieces one after the other, each by its mark.
func (p *picture) tokens(x, y float64, line []token) {
	p.put(`<text x="%s" y="%s">`, num(x), num(y))
	for i, t := range line {
		if i > 0 {
			p.put(" ")
		}
		if t.mark == Kept {
			p.put("%s", html.EscapeString(t.text))
		} else {
			p.put(`<tspan class="%s">%s</tspan>`, markClass[t.mark], html.EscapeString(t.text))
		}
	}
	p.put("</text>\n")
}

func (p *picture) path(class, d string) { p.put(`<path class="%s" d="%s"/>`+"\n", class, d) }

func (p *picture) rect(class string, x, y, w, h, round float64) {
	p.put(`<rect class="%s" x="%s" y="%s" width="%s" height="%s" rx="%s"/>`+"\n", class, num(x), num(y), num(w), num(h), num(round))
}

// tip is an arrow's head that points to the right, with its point at x, y.
func (p *picture) tip(x, y float64, mark Mark) {
	p.path("tip "+markClass[mark], fmt.Sprintf("M%s %sl-9 -4.5v9z", num(x), num(y)))
}

func (p *picture) head(d *Drawing) {
	p.y += 20
	p.text(pageMargin, p.y, "h1", d.title())
	p.y += 20
}

func (p *picture) machine(word string, l *layout) {
	p.y += 24
	p.text(pageMargin, p.y, "h2", strings.ToUpper(word[:1])+word[1:])
	p.y += 18
	p.width = math.Max(p.width, l.width)
	for _, column := range l.columns {
		for _, c := range column {
			p.card(c)
		}
	}
	p.arrows(l)
	p.y += l.height + 30
	p.legend(l)
}

func (p *picture) card(c *card) {
	if c.state == nil {
		return
	}
	class := "box " + markClass[c.state.mark]
	switch {
	case c.state.Drive != "" && c.state.Drive != "off":
		class += " drive"
	case c.rank <= 1:
		class += " rest"
	}
	y := p.y + c.y
	p.rect(class, c.x, y, boxWidth, c.boxH, 6)
	if c.state.mark == Added {
		p.rect(class, c.x+4, y+4, boxWidth-8, c.boxH-8, 4)
	}
	at := y + padding
	for _, t := range c.title {
		p.text(c.x+padding+1, at+12, "name "+markClass[c.state.mark], t)
		at += lineSpace
	}
	for _, t := range c.lines {
		p.text(c.x+padding+1, at+11, "faint", t)
		at += lineSpace - 2
	}
	for _, e := range c.exits {
		p.exit(c, e)
	}
}

// exit is the words of an exit, and its pill.
func (p *picture) exit(c *card, e *exit) {
	x, y := c.x+boxWidth+padding, p.y+c.y+e.top
	for i, t := range e.lines {
		p.tokens(x, y+11+float64(i)*(lineSpace-1), t)
	}
	if e.card != nil || e.stays {
		return
	}
	y += float64(len(e.lines))*(lineSpace-1) + pillHeight/2 + 1
	class := markClass[e.mark]
	p.path("line "+class, fmt.Sprintf("M%s %sh%s", num(x), num(y), num(arrowLength-7)))
	p.tip(x+arrowLength, y, e.mark)
	w := textWidth(e.to, textSize) + 14
	p.rect("pill "+class, x+arrowLength, y-pillHeight/2, w, pillHeight, pillHeight/2)
	p.text(x+arrowLength+7, y+4, "", e.to)
}

// arrows are those that are drawn whole: from the right of an exit to the left of a card.
func (p *picture) arrows(l *layout) {
	for _, column := range l.columns {
		for _, c := range column {
			for _, e := range c.exits {
				if e.card != nil {
					p.arrow(l, c, e)
				}
			}
		}
	}
	if c := l.cards[l.m.start]; c != nil {
		y := p.y + c.y + c.boxH/2
		p.put(`<circle class="tip" cx="%s" cy="%s" r="5"/>`+"\n", num(c.x-17), num(y))
		p.path("line", fmt.Sprintf("M%s %sH%s", num(c.x-17), num(y), num(c.x-7)))
		p.tip(c.x, y, Kept)
	}
}

func (p *picture) arrow(l *layout, c *card, e *exit) {
	x1, y1 := c.x, p.y+c.y+e.y
	if c.state != nil {
		x1 = c.x + boxWidth + padding + e.widest() + 5
	}
	x2, y2 := e.card.x, p.y+e.card.y+l.entry(e)
	end := x2
	if e.card.state != nil {
		end -= 7
	}
	class := "line " + markClass[e.mark]
	if c.state == nil { // goes through its column first
		p.path(class, fmt.Sprintf("M%s %sH%s", num(x1), num(y1), num(c.x+boxWidth+exitWidth)))
	}
	x := math.Max(x1, c.x+boxWidth+exitWidth)
	bend := (x2 - x) * 0.55
	p.path(class, fmt.Sprintf("M%s %sH%sC%s %s %s %s %s %s", num(x1), num(y1), num(x), num(x+bend), num(y1), num(x2-bend), num(y2), num(end), num(y2)))
	if e.card.state != nil {
		p.tip(x2, y2, e.mark)
	}
}

func (e *exit) widest() (w float64) {
	for _, t := range e.lines {
		w = math.Max(w, lineWidth(t, textSize))
	}
	return w
}

// entry is where an arrow ends on the left of a card: spread out in the order in which
// the arrows come from.
func (l *layout) entry(e *exit) float64 {
	n, k := 0, 0
	to := e.card
	for _, column := range l.columns {
		for _, c := range column {
			for _, other := range c.exits {
				if other.card == to {
					if other == e {
						k = n
					}
					n++
				}
			}
		}
	}
	if to.state == nil {
		return to.h / 2
	}
	space := math.Min(16, (to.boxH-16)/math.Max(1, float64(n-1)))
	return to.boxH/2 + (float64(k)-float64(n-1)/2)*space
}

// The legend has two columns.
const (
	legendGap    = 30.0
	numberWidth  = 46.0
	legendIndent = 12.0
)

func (p *picture) legend(l *layout) {
	width := (p.width - 2*pageMargin - legendGap) / 2
	type row struct {
		number string
		mark   Mark
		lines  []string
	}
	var rows []row
	total := 0
	for i := range l.m.lines {
		r := row{markSigns[l.m.lines[i].mark] + l.numbers[i], l.m.lines[i].mark, wrapText(l.m.lines[i].words(), textSize, width-numberWidth-legendIndent)}
		total += len(r.lines)
		rows = append(rows, r)
	}
	y, column, used := p.y, 0, 0
	bottom := y
	for _, r := range rows {
		if column == 0 && used*2 >= total {
			column, y = 1, p.y
		}
		x := pageMargin + float64(column)*(width+legendGap)
		p.text(x, y+12, "num "+markClass[r.mark], r.number)
		for k, t := range r.lines {
			at := x + numberWidth
			if k > 0 {
				at += legendIndent
			}
			p.text(at, y+12, markClass[r.mark], t)
			y += lineSpace - 1
		}
		y += 3
		used += len(r.lines)
		bottom = math.Max(bottom, y)
	}
	p.y = bottom + 14
}

// words of a line of the legend: "closing, landing: stall [guards] → pausing, alarm x, does y".
func (t *markedLine) words() string {
	text := strings.Join(t.From, ", ") + ": " + t.On
	if len(t.If) > 0 {
		text += " [" + strings.Join(t.If, ", ") + "]"
	}
	text += t.outcome()
	if t.mark == Changed {
		was := markedLine{Transition: t.was}
		text += " (was" + was.outcome() + ")"
	}
	return text
}

func (t *Transition) outcome() string {
	text := " → " + t.To
	if t.Alarm != "" {
		text += ", alarm " + t.Alarm
	}
	if len(t.Do) > 0 {
		text += ", do " + strings.Join(t.Do, ", ")
	}
	return text
}

func (p *picture) notes(notes []string) {
	if len(notes) == 0 {
		return
	}
	p.y += 22
	p.text(pageMargin, p.y, "h2", "Tuning")
	p.y += 8
	for _, n := range notes {
		p.y += lineSpace
		p.text(pageMargin, p.y, "changed", markSigns[Changed]+n)
	}
	p.y += 12
}

// key says how to read the picture.
func (p *picture) key(changes bool) {
	p.path("rule", fmt.Sprintf("M%s %sH%s", num(pageMargin), num(p.y), num(p.width-pageMargin)))
	p.y += 6
	for _, t := range []string{
		"Columns: how many transitions a state is away from the start. Beside a state: its exits, each with the events that lead out that way and the numbers of their lines in the legend.",
		"Arrows to the right are drawn whole. All others end in a rounded label with the name of the state that they lead to.",
		"Blue boxes drive; sand-coloured ones are where it rests.",
	} {
		p.y += lineSpace
		p.text(pageMargin, p.y, "faint", t)
	}
	if changes {
		p.y += 26
		x := pageMargin
		for _, k := range []struct {
			mark Mark
			text string
		}{{Added, "+ added: thick line, double box"}, {Dropped, "− dropped: fine dashes, struck out, lettered"}, {Changed, "≠ changed: long dashes, with what it was"}} {
			class := markClass[k.mark]
			p.rect("box "+class, x, p.y-13, 26, 17, 4)
			if k.mark == Added {
				p.rect("box "+class, x+4, p.y-9, 18, 9, 2)
			}
			p.path("line "+class, fmt.Sprintf("M%s %sh40", num(x+34), num(p.y-4)))
			p.tip(x+82, p.y-4, k.mark)
			p.text(x+92, p.y, class, k.text)
			x += 92 + textWidth(k.text, textSize) + 40
		}
	}
	p.y += 24
}

func (p *picture) whole(title string) string {
	w, h := num(p.width), num(p.y)
	return `<svg xmlns="http://www.w3.org/2000/svg" width="` + w + `" height="` + h + `" viewBox="0 0 ` + w + " " + h + `" role="img">` + "\n" +
		"<title>" + html.EscapeString(title) + "</title>\n<style>" + pictureStyle + "</style>\n" +
		`<rect class="page" width="` + w + `" height="` + h + `"/>` + "\n" + p.body.String() + "</svg>\n"
}

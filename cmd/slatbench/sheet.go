package main

import (
	"math"
	"strings"
	"unicode"

	"github.com/mattn/go-runewidth"

	"slatbench/scenarios"
	"slatbench/sim/require"
)

// lineWidth is what a report keeps within, in columns.
const lineWidth = 80

// sheet lays a result out for a person.
type sheet struct {
	pen      pen
	result   *scenarios.Result
	scenario *scenarios.Scenario
	replay   string
	text     strings.Builder
}

// cell is one piece of a line: a text in a column of its own.
type cell struct {
	text      string
	width     int // 0 takes what it needs
	right     bool
	rendition string
}

// line writes cells side by side, two columns apart, without trailing space.
func (r *sheet) line(cells ...cell) {
	var b strings.Builder
	held := "" // space that is written only if something follows
	for _, c := range cells {
		text := printable(c.text)
		gap := strings.Repeat(" ", max(0, c.width-runewidth.StringWidth(text)))
		switch {
		case text == "":
			held += gap
		case c.right:
			b.WriteString(held + gap + r.pen.draw(c.rendition, text))
			held = ""
		default:
			b.WriteString(held + r.pen.draw(c.rendition, text))
			held = gap
		}
		held += "  "
	}
	r.text.WriteString(b.String() + "\n")
}

func (r *sheet) blank() { r.text.WriteString("\n") }

// wrapped writes a long text over several lines after an indent.
func (r *sheet) wrapped(indent int, rendition, text string) {
	for _, l := range wrap(printable(text), lineWidth-indent) {
		r.text.WriteString(strings.Repeat(" ", indent) + r.pen.draw(rendition, l) + "\n")
	}
}

// whole is the full report.
func (r *sheet) whole() {
	r.head()
	r.requirements()
	r.expectations()
	r.alarms()
	r.silences(r.result.Silent)
	r.figures()
	r.blank()
	r.wrapped(0, faint, caution)
	r.blank()
	r.verdict()
}

// brief is what is violated, and nothing else.
func (r *sheet) brief() {
	for i := range r.result.Requirements {
		if j := &r.result.Requirements[i]; j.Verdict == require.Violated {
			r.requirement(j)
		}
	}
	for i := range r.result.Expectations {
		if m := &r.result.Expectations[i]; !m.Met {
			r.expectation(m)
		}
	}
	r.silences(r.result.Silent)
	r.verdict()
}

func (r *sheet) head() {
	r.line(cell{text: r.result.Scenario, rendition: strong})
	for _, row := range headRows(r.scenario, r.result) {
		r.line(cell{}, cell{text: row[0], width: 8, rendition: faint}, cell{text: row[1]})
	}
}

func (r *sheet) requirements() {
	r.blank()
	r.line(cell{text: headRequirements, width: 41, rendition: strong}, cell{text: "margin", width: 10, right: true, rendition: faint},
		cell{text: "share", width: 6, right: true, rendition: faint}, cell{text: "at", width: 7, right: true, rendition: faint}, cell{text: "where", rendition: faint})
	var untried []string
	for i := range r.result.Requirements {
		j := &r.result.Requirements[i]
		if j.Verdict == require.NotExercised {
			untried = append(untried, j.ID)
			continue
		}
		r.requirement(j)
	}
	if len(untried) > 0 {
		r.wrapped(2, faint, untriedText(untried))
	}
}

// requirement is a line, and for what does not hold what happened below it, or why it is exempt.
func (r *sheet) requirement(j *scenarios.Judged) {
	word, rendition := verdictWord(j.Verdict)
	name := j.ID
	if j.Clause != "" {
		name += " " + j.Clause
	}
	r.line(cell{}, cell{text: word, width: 8, rendition: rendition}, cell{text: name, width: 29},
		cell{text: marginText(j.Margin, j.Unit), width: 10, right: true}, cell{text: shareText(j.Share), width: 6, right: true},
		cell{text: timeText(j.At), width: 7, right: true}, cell{text: j.Bay + j.Side})
	switch j.Verdict {
	case require.Violated:
		r.wrapped(12, plain, scenarios.Explain(j, r.result))
	case require.Exempt:
		r.wrapped(12, plain, exemptText(j.Exempt))
	}
}

func (r *sheet) expectations() {
	if len(r.result.Expectations) == 0 {
		return
	}
	r.blank()
	r.line(cell{text: headExpectations, width: 62, rendition: strong}, cell{text: "at", width: 7, right: true, rendition: faint})
	for i := range r.result.Expectations {
		r.expectation(&r.result.Expectations[i])
	}
}

func (r *sheet) expectation(m *scenarios.Met) {
	word, rendition := metWord(m.Met)
	r.line(cell{}, cell{text: word, width: 8, rendition: rendition}, cell{text: m.Text, width: 50}, cell{text: timeText(m.At), width: 7, right: true})
}

func (r *sheet) alarms() {
	r.blank()
	if len(r.result.Alarms) == 0 {
		r.line(cell{text: headAlarms, rendition: strong}, cell{text: noAlarm, rendition: faint})
		return
	}
	r.line(cell{text: headAlarms, rendition: strong})
	for _, a := range r.result.Alarms {
		where := a.Bay
		if where == "" {
			where = atLocks
		}
		name, pulses := alarmText(a)
		r.line(cell{}, cell{text: timeText(a.At), width: 8, right: true}, cell{text: where, width: 5}, cell{text: name, width: 21, rendition: odd}, cell{text: pulses})
	}
}

// silences are the controllers that failed as a whole.
func (r *sheet) silences(list []scenarios.WentSilent) {
	if len(list) == 0 {
		return
	}
	r.blank()
	r.line(cell{text: headSilent, rendition: strong}, cell{text: silentMeaning, rendition: faint})
	for _, s := range list {
		where := s.Bay
		if where == "" {
			where = atLocks
		}
		r.line(cell{}, cell{text: timeText(s.At), width: 8, right: true}, cell{text: where, width: 5, rendition: bad})
		r.wrapped(12, plain, s.Why)
	}
}

// figureWidths are the columns of the figures; the first is the bay's name.
var figureWidths = [...]int{6, 7, 7, 7, 7, 7, 7, 8, 5}

func (r *sheet) figures() {
	r.blank()
	for _, head := range figureHeads {
		cells := []cell{{text: head[0], width: figureWidths[0], rendition: strong}}
		for i := 1; i < len(head); i++ {
			cells = append(cells, cell{text: head[i], width: figureWidths[i], right: true, rendition: faint})
		}
		r.line(cells...)
	}
	for i := range r.result.Bays {
		row := figureTexts(&r.result.Bays[i])
		cells := []cell{{text: "  " + row[0], width: figureWidths[0]}}
		for k := 1; k < len(row); k++ {
			cells = append(cells, cell{text: row[k], width: figureWidths[k], right: true})
		}
		r.line(cells...)
	}
}

func (r *sheet) verdict() {
	word, rendition := verdictWord(require.Holds)
	switch {
	case r.result.Violated():
		word, rendition = verdictWord(require.Violated)
	case len(r.result.Silent) > 0:
		rendition = odd
	}
	word = strings.ToUpper(word)
	width := len(word)
	for _, l := range wrap(summary(r.result), lineWidth-width-2) {
		r.line(cell{text: word, width: width, rendition: rendition}, cell{text: l})
		word = ""
	}
	if r.result.Violated() {
		r.command(0, replayText(r.replay))
	}
}

// wrap breaks a text at spaces into lines of so many columns, but not within a number
// whose thousands are apart. A longer word stays whole.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range joinThousands(strings.Fields(text)) {
		switch {
		case line == "":
			line = word
		case runewidth.StringWidth(line)+1+runewidth.StringWidth(word) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	return append(lines, line)
}

// joinThousands makes one word of a number again that countText has set apart.
func joinThousands(words []string) []string {
	list := words[:0]
	for _, w := range words {
		if n := len(list); n > 0 && allDigits(list[n-1][strings.LastIndex(list[n-1], " ")+1:]) && len(w) >= 3 && allDigits(w[:3]) && (len(w) == 3 || w[3] < '0' || w[3] > '9') {
			list[n-1] += " " + w
			continue
		}
		list = append(list, w)
	}
	return list
}

func allDigits(word string) bool {
	return len(word) > 0 && len(word) <= 3 && strings.Trim(word, "0123456789") == ""
}

// pad fills a text up to a width in columns.
func pad(text string, width int) string {
	return text + strings.Repeat(" ", max(0, width-runewidth.StringWidth(text)))
}

// printable keeps what a file says from steering the terminal.
func printable(text string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsPrint(c) {
			return c
		}
		return '?'
	}, text)
}

// absent tells that a number is none.
func absent(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }

package logic

import (
	"math"
	"slices"
	"strings"
)

// How a machine is laid out. States stand in columns, by how many transitions they are
// away from the start. Beside each stands its list of exits: for every state that it
// leads to, the events that do, and an arrow. An arrow to the right is drawn whole. One
// that would go back, or stay in the column, ends in a pill with the name of the state:
// that is what most of them do, home to the few states at rest, and drawn whole they
// would cover all else. So a line never crosses a word: words have their own column.

// Measures of the picture.
const (
	boxWidth    = 140.0
	exitWidth   = 190.0 // of the list of exits
	channel     = 64.0  // between it and the next column
	cardGap     = 22.0
	padding     = 8.0
	exitGap     = 7.0
	arrowLength = 20.0
	pillHeight  = 18.0
	pageMargin  = 24.0
	pitch       = boxWidth + exitWidth + channel
)

// card is a state with its exits; or, where state is nil, the place at which a long
// arrow goes through a column.
type card struct {
	state *markedState
	rank  int
	x, y  float64 // upper left
	h     float64
	boxH  float64
	lines []string // of the box, under the name
	title []string
	exits []*exit
}

// exit is one entry of a list: all answers that lead from a state to another.
type exit struct {
	to     string
	card   *card // where the arrow goes next, or nil for a pill
	lines  [][]token
	items  []exitItem
	mark   Mark // of all of it
	stays  bool
	y      float64 // of the arrow, from the top of the card
	top    float64 // of the words
	passes *card   // of a long arrow: the place where it begins
}

// exitItem is one line of the legend in an exit: its event and number.
type exitItem struct {
	event string
	line  int // index of the legend
	mark  Mark
}

// layout of one machine.
type layout struct {
	m       *marked
	cards   map[string]*card
	columns [][]*card
	numbers []string // of the legend's lines
	width   float64
	height  float64
}

func lay(m *marked) *layout {
	l := &layout{m: m, cards: map[string]*card{}}
	l.number()
	for i := range m.states {
		s := &m.states[i]
		l.cards[s.Name] = &card{state: s, rank: -1}
	}
	l.ranks()
	for i := range m.states {
		l.exits(l.cards[m.states[i].Name])
	}
	l.pass()
	l.order()
	l.place()
	return l
}

// number gives every line of the legend a number; dropped ones have letters.
func (l *layout) number() {
	n, dropped := 0, 0
	for i := range l.m.lines {
		if l.m.lines[i].mark == Dropped {
			l.numbers = append(l.numbers, letters(dropped))
			dropped++
			continue
		}
		n++
		l.numbers = append(l.numbers, digits(n))
	}
}

func digits(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return digits(n/10) + string(rune('0'+n%10))
}

// letters counts a, b, … z, aa, ab, …
func letters(n int) string {
	if n < 26 {
		return string(rune('a' + n))
	}
	return letters(n/26-1) + string(rune('a'+n%26))
}

// ranks puts every state into a column. What nothing leads to comes last.
func (l *layout) ranks() {
	next := []string{l.m.start}
	for rank := 0; len(next) > 0; rank++ {
		var after []string
		for _, name := range next {
			if c := l.cards[name]; c != nil && c.rank < 0 {
				c.rank = rank
				for i := range l.m.lines {
					if t := &l.m.lines[i]; t.To != Stay && slices.Contains(t.From, name) {
						after = append(after, t.To)
					}
					if t := &l.m.lines[i]; t.mark == Changed && t.was.To != Stay && slices.Contains(t.From, name) && l.dropped(t.was.To) {
						after = append(after, t.was.To)
					}
				}
			}
		}
		next = after
	}
	last := 0
	for _, c := range l.cards {
		last = max(last, c.rank)
	}
	l.columns = make([][]*card, last+1)
	for i := range l.m.states {
		c := l.cards[l.m.states[i].Name]
		if c.rank < 0 {
			c.rank = last
		}
		l.columns[c.rank] = append(l.columns[c.rank], c)
	}
}

// dropped tells that a state is of the base alone.
func (l *layout) dropped(name string) bool {
	c := l.cards[name]
	return c != nil && c.state.mark == Dropped
}

// exits of a state, one for each state that it leads to, in the order of the table.
func (l *layout) exits(c *card) {
	for i := range l.m.lines {
		t := &l.m.lines[i]
		if !slices.Contains(t.From, c.state.Name) {
			continue
		}
		stays := t.To == Stay || t.To == c.state.Name
		k := slices.IndexFunc(c.exits, func(e *exit) bool { return e.stays && stays || e.to == t.To && !e.stays && !stays })
		if k < 0 {
			e := &exit{to: t.To, stays: stays, mark: t.mark}
			if to := l.cards[t.To]; !stays && to != nil && to.rank > c.rank {
				e.card = to
			}
			c.exits = append(c.exits, e)
			k = len(c.exits) - 1
		}
		e := c.exits[k]
		e.items = append(e.items, exitItem{t.On, i, t.mark})
		if e.mark != t.mark {
			e.mark = Changed
			if e.items[0].mark == Kept || t.mark == Kept {
				e.mark = Kept // its words are marked one by one
			}
		}
	}
	for _, e := range c.exits {
		e.lines = wrapTokens(e.words(l.numbers), textSize, exitWidth-padding)
	}
	c.title = wrapText(markSigns[c.state.mark]+c.state.Name, nameSize, (boxWidth-2*padding)/nameWide)
	c.lines = c.state.words()
	c.boxH = 2*padding + float64(len(c.title))*lineSpace + float64(len(c.lines))*(lineSpace-2)
}

// words of an exit: each event once, with its numbers: "stall 24 25, held up 27".
func (e *exit) words(numbers []string) (list []token) {
	if e.stays {
		list = append(list, token{text: "stays:"})
	}
	var seen []string
	for _, it := range e.items {
		if slices.Contains(seen, it.event) {
			continue
		}
		if len(seen) > 0 {
			list[len(list)-1].text += ","
		}
		text := it.event + " "
		for _, same := range e.items {
			if same.event == it.event {
				list = append(list, token{text + markSigns[same.mark][:max(0, len(markSigns[same.mark])-1)] + numbers[same.line], same.mark})
				text = ""
			}
		}
		seen = append(seen, it.event)
	}
	return list
}

// words of a box: the outputs, and what they were.
func (s *markedState) words() []string {
	var list []string
	add := func(text string) { list = append(list, wrapText(text, textSize, boxWidth-2*padding)...) }
	if s.renamed != "" {
		add("(was " + s.renamed + ")")
	}
	out := s.outputs()
	if out == "" {
		out = "nothing on"
	}
	for _, part := range strings.Split(out, ", ") {
		add(part)
	}
	if s.mark == Changed {
		was := s.was.outputs()
		if was == "" {
			was = "nothing on"
		}
		add("was: " + was)
	}
	return list
}

// pass gives an arrow that goes past a column a place in it.
func (l *layout) pass() {
	for rank := range l.columns {
		for _, c := range slices.Clone(l.columns[rank]) {
			for _, e := range c.exits {
				if e.card != nil && e.card.rank > rank+1 {
					p := &card{rank: rank + 1, h: lineSpace, boxH: lineSpace, exits: []*exit{{to: e.to, card: e.card, mark: e.mark, y: lineSpace / 2}}}
					e.card, e.passes = p, p
					l.columns[rank+1] = append(l.columns[rank+1], p)
				}
			}
		}
	}
}

// sweeps is how often the columns are put in order; more changes nothing in pictures of this size.
const sweeps = 12

// order lets each card stand about where those stand that it is joined with (the
// barycentre method of layered drawing), and keeps the best of all sweeps.
func (l *layout) order() {
	best, least := l.copyColumns(), l.crossings()
	for sweep := range sweeps {
		for k := range l.columns {
			rank := k
			if sweep%2 == 1 {
				rank = len(l.columns) - 1 - k
			}
			l.sortColumn(rank, sweep%2 == 0)
		}
		if n := l.crossings(); n < least {
			best, least = l.copyColumns(), n
		}
	}
	l.columns = best
	at := l.places()
	for _, column := range l.columns { // arrows leave in the order in which they arrive
		for _, c := range column {
			slices.SortStableFunc(c.exits, func(a, b *exit) int { return exitRank(a, at) - exitRank(b, at) })
		}
	}
}

// exitRank: arrows by where they go, then pills, then what stays.
func exitRank(e *exit, at map[*card]int) int {
	switch {
	case e.card != nil:
		return at[e.card]
	case e.stays:
		return 1 << 20
	}
	return 1 << 19
}

func (l *layout) copyColumns() [][]*card {
	list := make([][]*card, len(l.columns))
	for i := range list {
		list[i] = slices.Clone(l.columns[i])
	}
	return list
}

func (l *layout) places() map[*card]int {
	at := map[*card]int{}
	for _, column := range l.columns {
		for i, c := range column {
			at[c] = i
		}
	}
	return at
}

func (l *layout) sortColumn(rank int, forward bool) {
	at := l.places()
	centre := map[*card]float64{}
	for _, c := range l.columns[rank] {
		sum, n := 0.0, 0.0
		if forward && rank > 0 {
			for _, from := range l.columns[rank-1] {
				for _, e := range from.exits {
					if e.card == c {
						sum, n = sum+float64(at[from]), n+1
					}
				}
			}
		}
		if !forward {
			for _, e := range c.exits {
				if e.card != nil {
					sum, n = sum+float64(at[e.card]), n+1
				}
			}
		}
		centre[c] = float64(at[c])
		if n > 0 {
			centre[c] = sum / n
		}
	}
	slices.SortStableFunc(l.columns[rank], func(a, b *card) int {
		switch {
		case centre[a] < centre[b]:
			return -1
		case centre[a] > centre[b]:
			return 1
		}
		return 0
	})
}

// crossings counts pairs of arrows that cross.
func (l *layout) crossings() (n int) {
	at := l.places()
	for _, column := range l.columns {
		var list [][2]int
		for _, c := range column {
			for _, e := range c.exits {
				if e.card != nil {
					list = append(list, [2]int{at[c], at[e.card]})
				}
			}
		}
		for i := range list {
			for k := range i {
				if (list[i][0]-list[k][0])*(list[i][1]-list[k][1]) < 0 {
					n++
				}
			}
		}
	}
	return n
}

// place gives every card its coordinates.
func (l *layout) place() {
	for rank, column := range l.columns {
		for _, c := range column {
			c.x = pageMargin + float64(rank)*pitch
			if c.state == nil {
				continue
			}
			y := padding / 2
			for _, e := range c.exits {
				e.top = y
				y += e.height()
				e.y = e.top + e.height()/2
				y += exitGap
			}
			c.h = math.Max(c.boxH, y-exitGap+padding/2)
		}
	}
	l.stack()
	for _, column := range l.columns {
		for _, c := range column {
			l.height = math.Max(l.height, c.y+c.h)
		}
	}
	l.width = 2*pageMargin + float64(len(l.columns))*pitch - channel + 50
}

// height of an exit: its words, and for what goes back the pill under them.
func (e *exit) height() float64 {
	h := float64(len(e.lines)) * (lineSpace - 1)
	if e.card == nil && !e.stays {
		h += pillHeight + 2
	}
	return h
}

// stack sets the cards of a column one under the other, each as near as can be to where
// its arrows come from.
func (l *layout) stack() {
	for rank, column := range l.columns {
		bottom := 0.0
		for _, c := range column {
			want, n := 0.0, 0.0
			if rank > 0 {
				for _, from := range l.columns[rank-1] {
					for _, e := range from.exits {
						if e.card == c {
							want, n = want+from.y+e.y, n+1
						}
					}
				}
			}
			c.y = bottom
			if n > 0 {
				c.y = math.Max(bottom, want/n-c.boxH/2)
			}
			bottom = c.y + c.h + cardGap
		}
	}
	l.lift()
}

// lift takes columns that hang down lower than the tallest needs to up again.
func (l *layout) lift() {
	tallest := 0.0
	for _, column := range l.columns {
		h := -cardGap
		for _, c := range column {
			h += c.h + cardGap
		}
		tallest = math.Max(tallest, h)
	}
	for _, column := range l.columns {
		floor := tallest
		for i := len(column) - 1; i >= 0; i-- {
			c := column[i]
			c.y = math.Max(0, math.Min(c.y, floor-c.h))
			floor = c.y - cardGap
		}
	}
}

package soak

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode/utf8"
)

// tableRows is how many cycles the table shows besides the first of anything.
const tableRows = 10

// WriteTable writes milestones and the drift of a few cycles, 80 columns wide at most.
func (r *Result) WriteTable(w io.Writer, h Heading) error {
	out := bufio.NewWriter(w)
	for _, line := range wrap(fmt.Sprintf("%s: bay %s of %s, logic %s", h.Title, r.Bay, h.Truck, h.Logic), 79) {
		fmt.Fprintln(out, line)
	}
	fmt.Fprintf(out, "%s, seed %d\n\n", r.played(), r.Config.Seed)
	for i := range r.Milestones {
		m := &r.Milestones[i]
		title := m.Title + " " + strings.Repeat(".", max(3, 47-utf8.RuneCountInString(m.Title)))
		fmt.Fprintf(out, "%s %s\n", title, r.Outcome(m))
		for _, line := range wrap(m.What, 75) {
			fmt.Fprintf(out, "    %s\n", line)
		}
	}
	if n := r.Retrainings(); n > 0 {
		fmt.Fprintf(out, "taught anew in %s\n", counted(n, "cycle"))
	}
	r.drift(out)
	fmt.Fprintln(out)
	for _, line := range wrap(Cautions, 79) {
		fmt.Fprintln(out, line)
	}
	return out.Flush()
}

// played tells how much of it came about.
func (r *Result) played() string {
	text := counted(len(r.Cycles), "cycle") + " in " + spanWords(r.Span())
	if r.GaveUp {
		text += fmt.Sprintf(" of %d asked for: the last %d failed", r.Config.Cycles, r.Config.GiveUp)
	}
	return text
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func spanWords(seconds float64) string {
	if seconds >= 2*day {
		return fmt.Sprintf("%.1f days", seconds/day)
	}
	return fmt.Sprintf("%.1f h", seconds/hour)
}

// drift writes the table proper.
func (r *Result) drift(out io.Writer) {
	const head = "%6s %6s %5s %6s %6s %6s %6s %6s %6s %5s\n"
	fmt.Fprintf(out, "\n"+head, "cycle", "temp", "open", "close", "supply", "charge", "top", "floor", "peak", "wind.")
	fmt.Fprintf(out, head, "", "°C", "s", "s", "V min", "%", "pulses", "pulses", "A", "°C")
	for _, i := range r.shown() {
		c := &r.Cycles[i]
		row := fmt.Sprintf("%6d %6.1f %5s %6s %6.2f %6.1f %+6.1f %+6.1f %6.1f %5.1f  %s", c.N, c.Temperature,
			decimals(c.OpenTime), decimals(c.CloseTime), c.MinSupply, 100*c.Charge, c.ErrorTop, c.ErrorFloor,
			c.PeakCurrent, c.Winding, c.remark())
		fmt.Fprintln(out, strings.TrimRight(row, " "))
	}
	fmt.Fprintln(out, "top, floor: counted less true height, at rest")
}

// remark is a word or two about a cycle.
func (c *Cycle) remark() string {
	switch {
	case c.Retrained:
		return "retrained"
	case !c.Opened:
		return "not open"
	case !c.Closed:
		return "not down"
	case c.Misfit != Fits:
		return "no fit"
	case c.Refused > 0:
		return "refused"
	case c.Reversals > 0:
		return "turned"
	}
	return ""
}

func decimals(v float64) string {
	if math.IsNaN(v) {
		return "-"
	}
	return fmt.Sprintf("%.2f", v)
}

// shown picks the cycles of the table: evenly, and the milestones.
func (r *Result) shown() []int {
	var list []int
	n := len(r.Cycles)
	for i := range tableRows {
		list = append(list, i*(n-1)/(tableRows-1))
	}
	for _, m := range r.Milestones {
		if m.Cycle > 0 {
			list = append(list, m.Cycle-1)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// wrap breaks text into lines of at most so many characters.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

package trace

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// vcd writes a value change dump: IEEE Std 1364-2005, clause 18. Only what changes is
// written. The standard knows no variable that holds text; a word is written as
// Verilog holds one, eight bits a letter in a register, and viewers show it when told
// that the register is ASCII.
type vcd struct {
	out   *bufio.Writer
	vars  []variable
	cells []cell
	line  []byte
	clock clock
	scale timescale
	last  int64 // time last written
	begun bool
}

// variable is one column, and what was last written of it.
type variable struct {
	kind  Kind
	id    string
	whole int32
	word  string
	none  bool
}

// timescale is the unit of a dump's times.
type timescale struct {
	name  string
	units float64 // a second
}

// newTimescale finds the coarsest scale, from 1 ms down, that a step is a whole
// number of; with a step that fits none, times are rounded to 1 ps.
func newTimescale(step float64) timescale {
	units := 1e3
	for _, unit := range []string{"ms", "us", "ns", "ps"} {
		for _, n := range []int{100, 10, 1} {
			if unit == "ms" && n > 1 {
				continue
			}
			s := timescale{fmt.Sprintf("%d %s", n, unit), units / float64(n)}
			if x := step * s.units; math.Abs(x-math.Round(x)) < 1e-6 && math.Round(x) > 0 {
				return s
			}
		}
		units *= 1e3
	}
	return timescale{"1 ps", 1e12}
}

func newVCD(w io.Writer) *vcd { return &vcd{out: bufio.NewWriterSize(w, 1<<16), last: -1} }

func (d *vcd) begin(h *header) error {
	d.clock, d.scale = h.clock, newTimescale(h.clock.step)
	d.cells = newCells(len(h.columns))
	d.vars = make([]variable, len(h.columns))
	d.preamble(h)
	scope := ""
	for i := range h.columns {
		c := &h.columns[i]
		if c.Scope != scope {
			if scope != "" {
				d.printf("$upscope $end\n")
			}
			scope = c.Scope
			d.printf("$scope module %s $end\n", scope)
		}
		d.vars[i] = variable{kind: c.Kind, id: identifier(i)}
		d.declare(c, d.vars[i].id)
	}
	d.printf("$upscope $end\n$enddefinitions $end\n")
	_, err := d.out.Write(d.line)
	return err
}

// preamble says what the dump is of. There is no date: the same run gives the same bytes.
func (d *vcd) preamble(h *header) {
	d.printf("$version slatbench %s $end\n", plain(h.about.Version))
	d.printf("$comment scenario: %s $end\n", plain(h.about.Scenario))
	d.printf("$comment seed: %d $end\n", h.seed)
	d.printf("$comment words (state, drive) are ASCII, eight bits a letter $end\n")
	d.printf("$timescale %s $end\n", d.scale.name)
}

func (d *vcd) declare(c *Column, id string) {
	switch c.Kind {
	case Real:
		d.printf("$var real 64 %s %s $end\n", id, c.Name)
	case Whole:
		d.printf("$var integer 32 %s %s $end\n", id, c.Name)
	case Flag:
		d.printf("$var wire 1 %s %s $end\n", id, c.Name)
	case Word:
		d.printf("$var reg %d %s %s [%d:0] $end\n", 8*WordLetters, id, c.Name, 8*WordLetters-1)
	}
	unit := ""
	if c.Unit != "" {
		unit = " [" + strings.ReplaceAll(c.Unit, "°", "deg") + "]" // the standard knows ASCII
	}
	d.printf("$comment %s%s: %s $end\n", c.FullName(), unit, c.Means)
}

func (d *vcd) printf(format string, args ...any) { d.line = fmt.Appendf(d.line, format, args...) }

// plain is text for a comment: a word $end would end it, and control characters are
// no part of a name.
func plain(text string) string {
	words := strings.FieldsFunc(text, func(r rune) bool { return r <= ' ' || r == 0x7f })
	for i := range words {
		words[i] = strings.TrimLeft(words[i], "$")
	}
	return strings.Join(words, " ")
}

// identifier is the n-th of the identifiers, shortest first, out of the printable
// characters ! to ~.
func identifier(n int) string {
	const first, letters = '!', '~' - '!' + 1
	id := []byte{byte(first + n%letters)}
	for n = n/letters - 1; n >= 0; n = n/letters - 1 {
		id = append(id, byte(first+n%letters))
	}
	return string(id)
}

func (d *vcd) put(s *sample) error {
	d.line = d.line[:0]
	all := !d.begun
	if all {
		d.begun = true
		d.time(s.step)
		d.line = append(d.line, "$dumpvars\n"...)
	}
	for i := range s.row {
		d.change(i, s.step, &s.row[i], all)
	}
	if all {
		d.line = append(d.line, "$end\n"...)
	}
	if len(d.line) == 0 {
		return nil
	}
	_, err := d.out.Write(d.line)
	return err
}

func (d *vcd) time(step int64) {
	d.last = int64(math.Round(d.clock.seconds(step) * d.scale.units))
	d.line = append(d.line, '#')
	d.line = strconv.AppendInt(d.line, d.last, 10)
	d.line = append(d.line, '\n')
}

// change writes a variable if it is another than before.
func (d *vcd) change(i int, step int64, v *Value, all bool) {
	old := &d.vars[i]
	changed := all || v.None != old.none
	switch {
	case v.None:
	case old.kind == Real:
		changed = d.cells[i].set(v.Real) || changed
	case old.kind == Word:
		changed = changed || v.Word != old.word
	default:
		changed = changed || v.Whole != old.whole
	}
	if !changed {
		return
	}
	old.none, old.word, old.whole = v.None, v.Word, v.Whole
	if len(d.line) == 0 {
		d.time(step)
	}
	d.value(i, v)
	d.line = append(d.line, old.id...)
	d.line = append(d.line, '\n')
}

// value writes a value up to the identifier. Leading zeros are left out, as 18.2.1
// allows: a reader puts zeros before a 0 or a 1.
func (d *vcd) value(i int, v *Value) {
	switch kind := d.vars[i].kind; {
	case v.None:
		d.line = append(d.line, "bx "...)
	case kind == Real:
		d.line = append(d.line, 'r')
		d.line = append(d.line, d.cells[i].text...)
		d.line = append(d.line, ' ')
	case kind == Flag:
		d.line = append(d.line, byte('0'+v.Whole))
	case kind == Word:
		d.line = append(d.line, 'b')
		d.line = appendLetters(d.line, v.Word)
		d.line = append(d.line, ' ')
	default:
		d.line = append(d.line, 'b')
		d.line = strconv.AppendUint(d.line, uint64(uint32(v.Whole)), 2)
		d.line = append(d.line, ' ')
	}
}

// appendLetters writes a word's bytes in bits, the first letter leftmost.
func appendLetters(line []byte, word string) []byte {
	if word == "" {
		return append(line, '0')
	}
	for i := 0; i < min(len(word), WordLetters); i++ {
		for bit := 7; bit >= 0; bit-- {
			line = append(line, '0'+word[i]>>bit&1)
		}
	}
	return line
}

// end writes the time at which the run ended, so that a viewer shows all of it.
func (d *vcd) end(step int64) error {
	d.line = d.line[:0]
	if before := d.last; before >= 0 {
		if d.time(step); d.last > before {
			d.out.Write(d.line) // its error comes again from Flush
		}
	}
	return d.out.Flush()
}

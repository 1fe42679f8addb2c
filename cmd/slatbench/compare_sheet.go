package main

import (
	"io"
	"strings"

	"slatbench/model"
	"slatbench/sim/campaign"
	"slatbench/sim/compare"
)

// head says what is going to be compared, before it is.
func (w *comparison) head(out io.Writer) error {
	s := sheet{pen: newPen(out)}
	s.line(cell{text: compareTitle(w.flags.seed), rendition: strong})
	for _, row := range w.planRows() {
		s.row(8, row[0], row[1])
	}
	_, err := io.WriteString(out, s.text.String())
	return err
}

// row is a name and its text, over several lines if need be.
func (r *sheet) row(width int, name, text string) {
	for _, l := range wrap(text, lineWidth-width-4) {
		r.line(cell{}, cell{text: name, width: width, rendition: faint}, cell{text: l})
		name = ""
	}
}

// report writes what the terminal, or a program, is to read.
func (w *comparison) report(out io.Writer) error {
	if w.flags.asJSON {
		return w.writeJSON(out)
	}
	s := &sheet{pen: newPen(out)}
	for i, c := range w.classes {
		if i == mostClasses {
			s.blank()
			s.line(cell{text: moreClasses(len(w.classes) - i), rendition: strong})
		}
		if i >= mostClasses {
			s.line(cell{}, cell{text: c.ID(), width: 62, rendition: c.rendition()}, cell{text: runsText(c.Runs), width: 12, right: true})
			continue
		}
		w.class(s, i, c)
	}
	if len(w.absent) > 0 {
		s.blank()
		s.line(cell{text: headAbsent, rendition: strong})
		for _, a := range w.absent {
			s.hanging(2, 4, absentText(a))
		}
	}
	w.silentText(s)
	s.blank()
	s.wrapped(0, faint, compareCaution)
	s.blank()
	word, rendition := w.verdict()
	width := len(word)
	for _, l := range wrap(w.summary(), lineWidth-width-2) {
		s.line(cell{text: word, width: width, rendition: rendition}, cell{text: l})
		word = ""
	}
	s.command(0, replayText(w.all()))
	_, err := io.WriteString(out, s.text.String())
	return err
}

// silentSides are the sides with controllers that failed as a whole.
func (w *comparison) silentSides() (list []silentSide) {
	for _, side := range []silentSide{{sideOld, &w.tally.OldSilent}, {sideNew, &w.tally.NewSilent}} {
		if side.Runs > 0 {
			list = append(list, side)
		}
	}
	return list
}

type silentSide struct {
	name string
	*campaign.Silent
}

// silentText tells that controllers failed as a whole, with the first run of each side.
// Two that fail alike show no difference, and agree in little.
func (w *comparison) silentText(s *sheet) {
	sides := w.silentSides()
	if len(sides) == 0 {
		return
	}
	s.blank()
	s.line(cell{text: headSilent, rendition: strong}, cell{text: silentMeaning, rendition: faint})
	for _, side := range sides {
		s.hanging(2, 4, w.silentSideText(side))
		if !w.flags.alone {
			s.command(2, w.one(side.First))
		}
	}
}

// verdict in a word. It is none of the requirements': a difference may be what is wanted.
func (w *comparison) verdict() (word, rendition string) {
	switch {
	case w.differs():
		return verdictDiffers, bad
	case len(w.classes) > 0:
		return verdictAllowed, odd
	case len(w.silentSides()) > 0: // they agree, in little
		return verdictSame, odd
	}
	return verdictSame, good
}

func (c *comparedClass) rendition() string {
	if c.accepted() {
		return odd
	}
	return bad
}

// class is a paragraph of one class.
func (w *comparison) class(s *sheet, i int, c *comparedClass) {
	s.blank()
	for k, l := range wrap(classTitle(i, c.Class), lineWidth-16) {
		count := ""
		if k == 0 {
			count = runsText(c.Runs)
		} else {
			l = "   " + l
		}
		s.line(cell{text: l, width: 64, rendition: strong}, cell{text: count, width: 14, right: true, rendition: c.rendition()})
	}
	for _, row := range w.classRows(c) {
		s.row(9, row[0], row[1])
	}
	for _, command := range w.classCommands(c) {
		s.command(2, command)
	}
	if c.example == nil {
		return
	}
	s.blank()
	w.timeline(s, c.example)
}

// Widths of a timeline: the mark, the time, the place, and what each does.
const (
	timeWidth  = 9
	placeWidth = 8
	sideWidth  = (lineWidth - 1 - 2*4 - timeWidth - placeWidth) / 2
)

// timeline sets what both do side by side.
func (w *comparison) timeline(s *sheet, e *compareExample) {
	row := func(mark, at, place, rendition string, old, new []string) {
		for k := 0; k < max(len(old), len(new)); k++ {
			cells := []cell{{text: mark, width: 1, rendition: bad}, {text: at, width: timeWidth, right: true, rendition: faint}, {text: place, width: placeWidth}}
			for _, side := range [][]string{old, new} {
				text := ""
				if k < len(side) {
					text = side[k]
				}
				cells = append(cells, cell{text: text, width: sideWidth, rendition: rendition})
			}
			s.line(cells...)
			mark, at, place = "", "", ""
		}
	}
	row("", "", "", faint, wrap(columnOld(w.old.Title()), sideWidth), wrap(columnNew(w.new.Title()), sideWidth))
	for i := range e.rows {
		r := &e.rows[i]
		at, place := timelineTime(r.At), w.place(r)
		switch {
		case r.Stimulus != "":
			s.line(cell{width: 1}, cell{text: at, width: timeWidth, right: true, rendition: faint}, cell{text: place, width: placeWidth}, cell{text: r.Stimulus, rendition: faint})
		case r.First:
			row(firstMark, at, place, strong, wrap(r.Old, sideWidth), wrap(r.New, sideWidth))
		case r.Old == r.New:
			row("", at, place, plain, wrap(r.Old, sideWidth), []string{theSame})
		default:
			row("", at, place, plain, wrap(r.Old, sideWidth), wrap(r.New, sideWidth))
		}
	}
}

// place of a row.
func (w *comparison) place(r *compare.Row) string {
	switch {
	case r.Bay >= 0:
		return w.pair.Plan.Truck.Bays[r.Bay].Name
	case r.Side >= 0:
		return model.Side(r.Side).String()
	case r.Stimulus != "":
		return atTruck
	}
	return atLocks
}

// where the first difference of an example is.
func (w *comparison) where(d *compare.Difference) string {
	return w.place(&compare.Row{Bay: d.Bay, Side: d.Side})
}

// classCommands are those that show a class again.
func (w *comparison) classCommands(c *comparedClass) (list []string) {
	if !w.flags.alone {
		list = append(list, w.one(c.First))
	}
	if c.example != nil && c.example.file != "" {
		list = append(list, w.commands(c.example.file)...)
	}
	return list
}

// commands are those that play an example with each of the two.
func (w *comparison) commands(file string) []string {
	var list []string
	for _, logic := range []string{w.flags.old, w.flags.new} {
		words := []string{"slatbench", "run", shellWord(file), "--logic", shellWord(logic)}
		list = append(list, strings.Join(words, " "))
	}
	return list
}

package main

import (
	"io"
	"strconv"
	"strings"

	"github.com/mattn/go-runewidth"

	"slatbench/sim/campaign"
	"slatbench/sim/campaign/keep"
	"slatbench/sim/require"
)

// head says what is going to be played, before it is.
func (w *work) head(out io.Writer, file *keep.File) error {
	s := sheet{pen: newPen(out)}
	s.line(cell{text: campaignTitle(w.flags.seed), rendition: strong})
	for _, row := range w.planRows(file) {
		for i, text := range wrap(row[1], lineWidth-12) {
			name := row[0]
			if i > 0 {
				name = ""
			}
			s.line(cell{}, cell{text: name, width: 8, rendition: faint}, cell{text: text})
		}
	}
	_, err := io.WriteString(out, s.text.String())
	return err
}

// writeText writes the report of a terminal, under the head.
func (r *campaignResult) writeText(out io.Writer) error {
	s := &sheet{pen: newPen(out)}
	r.requirements(s)
	r.matrixText(s)
	r.violationsText(s)
	r.searchText(s)
	r.silentText(s)
	r.coverageText(s)
	s.blank()
	s.wrapped(0, faint, campaignCaution)
	s.blank()
	r.verdictText(s)
	_, err := io.WriteString(out, s.text.String())
	return err
}

func (r *campaignResult) requirements(s *sheet) {
	s.blank()
	s.line(cell{text: headRequirements, width: 32, rendition: strong}, cell{text: "exercised", width: 9, right: true, rendition: faint},
		cell{text: "violated", width: 8, right: true, rendition: faint}, cell{text: "least margin", width: 12, right: true, rendition: faint},
		cell{text: "95 % bound", width: 10, right: true, rendition: faint})
	var untried []string
	told := map[*require.Exemption]bool{}
	for i := range r.tally.Requirements {
		c := &r.tally.Requirements[i]
		id := require.IDs[i]
		if c.Exercised == 0 {
			untried = append(untried, id)
			continue
		}
		word, rendition := cellWord(c, id)
		bound := ""
		if high, ok := r.tally.Bound(c); ok && word != measuredWord {
			bound = boundText(high)
		}
		s.line(cell{}, cell{text: word, width: 8, rendition: rendition}, cell{text: id, width: 20},
			cell{text: countText(c.Exercised), width: 9, right: true}, cell{text: countText(c.Violated), width: 8, right: true},
			cell{text: marginText(c.Margin, c.Unit), width: 12, right: true}, cell{text: bound, width: 10, right: true})
		if c.Exempt > 0 {
			text := exemptRuns(c)
			if told[c.Exemption] {
				text = exemptAgain(c)
			}
			s.wrapped(12, faint, text)
			told[c.Exemption] = c.Exemption != nil
		}
	}
	if len(untried) > 0 {
		s.wrapped(2, faint, untriedText(untried))
	}
	s.wrapped(2, faint, boundMeaning)
}

// Widths of the matrix: the kinds of fault and their runs. Each requirement has a
// column of one, headed by a letter.
const (
	kindWidth = 24
	runsWidth = 7
)

func (r *campaignResult) matrixText(s *sheet) {
	s.blank()
	head := []cell{{text: headMatrix, width: kindWidth, rendition: strong}, {text: "runs", width: runsWidth, right: true, rendition: faint}}
	var names []string
	for i, id := range r.matrix.Requirements {
		head = append(head, cell{text: letter(i), width: 1, rendition: faint})
		names = append(names, letter(i)+" "+id)
	}
	s.line(head...)
	for k, kind := range r.matrix.Columns {
		runs := r.tally.ByKind[k][0].Runs
		if runs == 0 {
			continue
		}
		cells := []cell{{text: "  " + kind, width: kindWidth}, {text: countText(runs), width: runsWidth, right: true}}
		for i := range r.matrix.Requirements {
			symbol, rendition := matrixSymbol(&r.matrix.Cells[i][k])
			cells = append(cells, cell{text: symbol, width: 1, rendition: rendition})
		}
		s.line(cells...)
	}
	if r.tally.PairRuns > 0 {
		s.line(cell{text: "  " + twoFaults, width: kindWidth}, cell{text: countText(r.tally.PairRuns), width: runsWidth, right: true}, cell{text: pairsElsewhere, rendition: faint})
	}
	s.blank()
	legend := append(wrapPacked(names, lineWidth-2), matrixLegend...)
	if runs := r.halfShown(); runs > 0 {
		legend = append(legend, "  "+halfShownText(runs))
	}
	for _, l := range legend {
		s.line(cell{}, cell{text: l, rendition: faint})
	}
}

// letter heads the column of a requirement.
func letter(i int) string { return string(rune('a' + i)) }

// wrapPacked sets entries side by side, as many as a line takes.
func wrapPacked(entries []string, width int) []string {
	var lines []string
	line := ""
	for _, e := range entries {
		switch {
		case line == "":
			line = e
		case runewidth.StringWidth(line)+2+runewidth.StringWidth(e) <= width:
			line += "  " + e
		default:
			lines = append(lines, line)
			line = e
		}
	}
	return append(lines, line)
}

// mostListed is how many distinct violations the terminal lists.
const mostListed = 20

func (r *campaignResult) violationsText(s *sheet) {
	if len(r.violations) == 0 {
		return
	}
	s.blank()
	s.line(cell{text: headViolations, width: 60, rendition: strong}, cell{text: "runs", width: 6, right: true, rendition: faint})
	for i := range r.violations {
		if i == mostListed {
			s.line(cell{}, cell{text: moreText(len(r.violations) - i), rendition: faint})
			break
		}
		v := &r.violations[i]
		s.line(cell{}, cell{text: v.id() + ", " + v.under(), width: 58, rendition: bad}, cell{text: countText(v.Violated), width: 6, right: true})
		s.command(4, v.replay)
		if v.file != "" {
			s.command(4, "slatbench run "+shellWord(v.file))
		}
		if v.needsLess() {
			s.line(cell{}, cell{}, cell{text: needsText(v.needs), rendition: odd})
		}
	}
}

// silentText tells that controllers failed as a whole: which, why, and the first case.
func (r *campaignResult) silentText(s *sheet) {
	list := r.tally.WentSilent()
	if len(list) == 0 {
		return
	}
	s.blank()
	s.line(cell{text: headSilent, width: 60, rendition: strong}, cell{text: "runs", width: 6, right: true, rendition: faint})
	for i := range list {
		if i == mostListed {
			s.line(cell{}, cell{text: moreText(len(list) - i), rendition: faint})
			break
		}
		of := &list[i]
		s.line(cell{}, cell{text: silentFirst(r.silentWhere(of), of.Cases[0], float64(of.At)*r.id.Step), width: 58, rendition: bad}, cell{text: countText(of.Runs), width: 6, right: true})
		s.wrapped(4, plain, of.Why)
		s.command(4, r.replay(of.Cases[0]))
	}
	s.wrapped(2, faint, silentMeaning)
}

// silentWhere is the controller that went silent.
func (r *campaignResult) silentWhere(s *campaign.Silenced) string {
	if s.Bay < 0 {
		return atLocks
	}
	return r.plan.Truck.Bays[s.Bay].Name
}

func (r *campaignResult) coverageText(s *sheet) {
	if r.under.Table == nil {
		return // nothing to look into
	}
	never := r.neverFired()
	s.blank()
	s.line(cell{text: headCoverage, rendition: strong}, cell{text: coverageText(len(r.coverage)-len(never), len(r.coverage)), rendition: faint})
	for i, t := range never {
		if i == mostListed {
			s.line(cell{}, cell{text: moreText(len(never) - i), rendition: faint})
			return
		}
		for j, l := range wrap(neverText(t), lineWidth-4) {
			s.line(cell{}, cell{text: strings.Repeat("  ", min(j, 1)) + l, rendition: odd})
		}
		if why := t.WhyRare(); why != "" {
			s.wrapped(6, faint, rareText(why))
		}
	}
}

func (r *campaignResult) verdictText(s *sheet) {
	word, rendition := verdictWord(require.Holds)
	switch {
	case r.violated():
		word, rendition = verdictWord(require.Violated)
	case r.tally.Silent.Runs > 0:
		rendition = odd
	}
	word = strings.ToUpper(word)
	width := len(word)
	for _, l := range wrap(r.summary(), lineWidth-width-2) {
		s.line(cell{text: word, width: width, rendition: rendition}, cell{text: l})
		word = ""
	}
	s.command(0, replayText(r.again(r.runs())))
}

// countText is a number of runs, its thousands apart.
func countText(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + " " + text[i:]
	}
	return text
}

package main

import (
	"fmt"
	"slices"
	"strings"

	"slatbench/sim/campaign"
	"slatbench/sim/fault"
	"slatbench/sim/logic/rules"
	"slatbench/sim/require"
)

// Places of faults.
const (
	onBay  = fault.OnBay
	onSide = fault.OnSide
)

func placeOf(kind string) fault.Place {
	k, _ := fault.Find(kind)
	return k.Place
}

// sheet lays an audit out for a person.
func (r *auditReport) sheet(s *sheet) {
	for i, row := range r.head() {
		rendition := plain
		if i == 0 {
			rendition = strong
		}
		s.wrapped(min(i, 1)*2, rendition, row)
	}
	s.blank()
	r.table(s)
	s.blank()
	for _, text := range r.by() {
		s.wrapped(0, plain, text)
	}
	r.unfired(s)
	r.missing(s)
	s.blank()
	s.wrapped(0, faint, caution)
	s.blank()
	word, rendition := verdictWord(require.Holds)
	if len(r.open) > 0 {
		word, rendition = verdictWord(require.Violated)
	}
	word = strings.ToUpper(word)
	width := len(word)
	for _, l := range wrap(r.summary(), lineWidth-width-2) {
		s.line(cell{text: word, width: width, rendition: rendition}, cell{text: l})
		word = ""
	}
	if len(r.open) > 0 {
		s.command(0, replayText(r.replay()))
	}
}

// tally counts fates.
type tally map[campaign.Fate]int

func (t tally) all() (n int) {
	for _, f := range campaign.Fates {
		n += t[f]
	}
	return n
}

// playing are those that only playing could tell.
func (t tally) playing() int {
	return t[campaign.Caught] + t[campaign.Survived] + t[campaign.Undetermined]
}

// share of those that are caught.
func (t tally) share() string {
	if t.playing() == 0 {
		return "–"
	}
	// Rounded down, so that 100 % means all.
	return fmt.Sprintf("%.1f %%", float64(1000*t[campaign.Caught]/t.playing())/10)
}

// count counts the mutants that are meant.
func (r *auditReport) count(meant func(u *campaign.Audited) bool) tally {
	t := tally{}
	for _, u := range r.list {
		if meant(u) {
			t[u.Fate]++
		}
	}
	return t
}

func all(*campaign.Audited) bool        { return true }
func byRule(u *campaign.Audited) bool   { return u.Rule != nil }
func relevant(u *campaign.Audited) bool { return u.Mutant.Safety != "" }
func isKind(kind string) func(*campaign.Audited) bool {
	return func(u *campaign.Audited) bool { return u.Mutant.Kind == kind }
}

// auditWidths are the columns of the table.
var auditWidths = [...]int{15, 7, 7, 10, 6, 8, 12}

func (r *auditReport) table(s *sheet) {
	row := func(rendition, name string, meant func(u *campaign.Audited) bool) {
		t := r.count(meant)
		if t.all() == 0 {
			return
		}
		cells := []cell{{text: name, width: auditWidths[0], rendition: rendition}}
		numbers := []int{t.all(), t[campaign.Refused], t[campaign.Equivalent], t[campaign.Caught], t[campaign.Survived], t[campaign.Undetermined]}
		for i, n := range numbers {
			cells = append(cells, cell{text: fmt.Sprint(n), width: auditWidths[i+1], right: true})
		}
		s.line(cells...)
	}
	heads := []cell{{text: auditHeads[0], width: auditWidths[0], rendition: strong}}
	for i := 1; i < len(auditHeads); i++ {
		heads = append(heads, cell{text: auditHeads[i], width: auditWidths[i], right: true, rendition: faint})
	}
	s.line(heads...)
	for _, kind := range campaign.MutantKinds {
		row(plain, kind, isKind(kind))
	}
	row(strong, auditAllMutants, all)
	row(strong, auditRelevant, relevant)
}

// by tells which rules and which requirements have caught how many.
func (r *auditReport) by() []string {
	n := map[string]int{}
	for _, u := range r.list {
		switch {
		case u.Rule != nil:
			n[u.Rule.Rule]++
		case u.Fate == campaign.Caught:
			n[u.By.ID]++
		}
	}
	var ruled, played []string
	for i := range rules.All {
		if name := rules.All[i].Name; n[name] > 0 {
			ruled = append(ruled, fmt.Sprintf("%s %d", name, n[name]))
		}
	}
	for _, id := range require.IDs {
		if n[id] > 0 {
			played = append(played, fmt.Sprintf("%s %d", id, n[id]))
		}
	}
	ruleCount := r.count(byRule)[campaign.Caught]
	lines := []string{auditCaughtBy(auditByRun, r.count(all)[campaign.Caught]-ruleCount, played)}
	if !r.flags.noRules {
		lines = append(lines, auditCaughtBy(auditByRule, ruleCount, ruled))
	}
	return lines
}

func (r *auditReport) unfired(s *sheet) {
	if len(r.result.Unfired) == 0 {
		return
	}
	s.blank()
	s.wrapped(0, strong, auditUnfired(len(r.result.Unfired), answersOf(r.audit.Base)))
	if r.flags.all {
		for _, text := range r.result.Unfired {
			s.hanging(2, 4, text)
		}
	}
}

// missing lists what was not caught: what is open first, then, if asked for or few, the rest.
func (r *auditReport) missing(s *sheet) {
	if len(r.open) > 0 {
		s.blank()
		s.wrapped(0, strong, auditOpen(len(r.open)))
		for _, u := range r.open {
			r.missed1(s, u)
		}
	}
	var rest []*campaign.Audited
	for _, u := range r.list {
		if r.missed(u) && !slices.Contains(r.open, u) {
			rest = append(rest, u)
		}
	}
	if len(rest) == 0 {
		return
	}
	s.blank()
	if !r.flags.all && len(rest) > fewMissed {
		s.wrapped(0, plain, auditMore(len(rest)))
		return
	}
	s.wrapped(0, strong, auditRest(len(rest)))
	for _, u := range rest {
		r.missed1(s, u)
	}
}

// fewMissed are shown without being asked for.
const fewMissed = 12

func (r *auditReport) missed1(s *sheet, u *campaign.Audited) {
	s.hanging(2, 12, u.Mutant.ID+"  "+u.Mutant.Text)
	s.hanging(12, 14, r.fate(u))
	if u.Case != nil {
		s.hanging(12, 14, auditRun+strings.Join(r.happens(u.Case), "; "))
	}
	if why := r.reason[u.Mutant.ID]; why != "" {
		s.hanging(12, 14, auditReason+why)
	}
}

// fate of a mutant in words.
func (r *auditReport) fate(u *campaign.Audited) string {
	switch u.Fate {
	case campaign.Survived:
		return auditSurvived(r.where(u.Who), float64(u.Tick)*auditTick, u.What, u.Kinds)
	case campaign.Undetermined:
		return auditUndetermined(u.Reach)
	}
	return u.Text()
}

// hanging writes a long text whose further lines are indented more.
func (r *sheet) hanging(first, rest int, text string) {
	indent := first
	for _, l := range wrap(printable(text), lineWidth-rest) {
		r.text.WriteString(strings.Repeat(" ", indent) + l + "\n")
		indent = rest
	}
}

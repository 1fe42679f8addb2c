package logic

import (
	"fmt"
	"strings"
)

// Markdown draws a table as [Mermaid] does, and marks what an overlay changes.
func Markdown(d *Drawing) string {
	return "## Door\n\n```mermaid\n" + d.Mermaid("door") + "```\n\n## Lock\n\n```mermaid\n" + d.Mermaid("lock") + "```\n"
}

// Mermaid draws one machine (door, lock) as [Machine.Mermaid] does. Where there is a
// base, a label says with a sign whether its answer was added (+) or changed (≠), and
// what was dropped (−) follows in comments, since these diagrams have no other line.
func (d *Drawing) Mermaid(machine string) string {
	m := &d.Table.Door
	if machine == "lock" {
		m = &d.Table.Lock
	}
	if d.Base == nil {
		return m.Mermaid()
	}
	marks := d.machine(machine)
	sign := map[string]Mark{}
	var dropped []string
	for i := range marks.lines {
		l := &marks.lines[i]
		if l.mark == Dropped {
			dropped = append(dropped, "    %% "+markSigns[Dropped]+plainLabel(l.words())+"\n")
		}
		for _, from := range l.From {
			sign[single{from, &l.Transition}.key()] = l.mark
		}
	}
	var text strings.Builder
	text.WriteString(m.mermaid(func(from string, t *Transition) string { return markSigns[sign[single{from, t}.key()]] }))
	for i := range marks.states {
		s := &marks.states[i]
		switch {
		case s.mark == Dropped:
			dropped = append(dropped, fmt.Sprintf("    %%%% %sstate %s\n", markSigns[Dropped], plainLabel(s.Name)))
		case s.mark != Kept || s.renamed != "":
			dropped = append(dropped, fmt.Sprintf("    %%%% %sstate %s%s\n", markSigns[s.mark], plainLabel(s.Name), was(s)))
		}
	}
	for _, line := range dropped {
		text.WriteString(line)
	}
	return text.String()
}

// was says what a state was in the base.
func was(s *markedState) string {
	text := ""
	if s.renamed != "" {
		text += ", was called " + plainLabel(s.renamed)
	}
	if s.mark == Changed {
		text += ", had " + plainLabel(s.was.outputs())
	}
	return text
}

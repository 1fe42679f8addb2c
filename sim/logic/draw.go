package logic

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// Mermaid draws a table as a Markdown text with two Mermaid diagrams
// (stateDiagram-v2), the door's and the lock's. The same table gives the same text.
func Mermaid(t *Table) string {
	return "## Door\n\n```mermaid\n" + t.Door.Mermaid() + "```\n\n## Lock\n\n```mermaid\n" + t.Lock.Mermaid() + "```\n"
}

// Mermaid draws one machine as a Mermaid diagram: its states with their outputs,
// and an arrow for each pair of states, labelled "event [guards] / alarm, actions"
// with a line for each transition. A transition to stay is an arrow back to its state.
func (m *Machine) Mermaid() string {
	return m.mermaid(func(string, *Transition) string { return "" })
}

// mermaid puts a sign before the label of each answer of each state.
func (m *Machine) mermaid(sign func(from string, t *Transition) string) string {
	d := drawing{m: m, ids: drawnNames(m), sign: sign}
	d.line("stateDiagram-v2")
	for i := range m.States {
		d.state(&m.States[i])
	}
	d.line("    [*] --> " + d.ids[m.Start])
	for _, a := range d.arrows() {
		d.line(fmt.Sprintf("    %s --> %s : %s", d.ids[a.from], d.ids[a.to], strings.Join(a.labels, "<br/>")))
	}
	return d.text.String()
}

type drawing struct {
	m    *Machine
	ids  map[string]string
	sign func(from string, t *Transition) string
	text strings.Builder
}

func (d *drawing) line(s string) { d.text.WriteString(s + "\n") }

func (d *drawing) state(s *State) {
	id := d.ids[s.Name]
	d.line(fmt.Sprintf("    state \"%s\" as %s", plainLabel(s.Name), id))
	if o := s.outputs(); o != "" {
		d.line(fmt.Sprintf("    %s : %s", id, plainLabel(o)))
	}
}

// outputs of a state in a few words: "drive up slow, lamp on, says down".
func (s *State) outputs() string {
	var list []string
	for _, o := range [...][2]string{
		{"drive", strings.TrimSpace(s.Drive + " " + s.Duty)}, {"lamp", s.Lamp}, {"says", s.Says}, {"permit", s.Permit},
	} {
		if o[1] != "" {
			list = append(list, o[0]+" "+o[1])
		}
	}
	return strings.Join(list, ", ")
}

type arrow struct {
	from, to string
	labels   []string
}

// arrows merges transitions between the same two states, in the order of the table.
func (d *drawing) arrows() []arrow {
	var list []arrow
	for i := range d.m.Transitions {
		t := &d.m.Transitions[i]
		for _, from := range t.From {
			to := t.To
			if to == Stay {
				to = from
			}
			k := slices.IndexFunc(list, func(a arrow) bool { return a.from == from && a.to == to })
			if k < 0 {
				list = append(list, arrow{from: from, to: to})
				k = len(list) - 1
			}
			list[k].labels = append(list[k].labels, d.sign(from, t)+plainLabel(t.label()))
		}
	}
	return list
}

// label of a transition: "press [permitted, supply low] / low-supply".
func (t *Transition) label() string {
	s := t.On
	if len(t.If) > 0 {
		s += " [" + strings.Join(t.If, ", ") + "]"
	}
	does := t.Do
	if t.Alarm != "" {
		does = append([]string{t.Alarm}, t.Do...)
	}
	if len(does) > 0 {
		s += " / " + strings.Join(does, ", ")
	}
	return s
}

// plainLabel takes out the characters that would end a label or a line of the drawing.
func plainLabel(s string) string {
	return strings.NewReplacer(":", " ", ";", " ", "\n", " ", `"`, "'", "<", "(", ">", ")").Replace(s)
}

// drawnKeywords cannot name a state in a drawing.
var drawnKeywords = []string{
	"as", "class", "classDef", "click", "default", "direction", "end", "hide", "note", "scale", "state", "style",
}

// drawnNames gives every state a name of letters, digits and _ that no other has.
func drawnNames(m *Machine) map[string]string {
	ids := make(map[string]string, len(m.States))
	taken := map[string]bool{}
	for i := range m.States {
		id := strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) {
				return r
			}
			return '_'
		}, m.States[i].Name)
		for taken[id] || slices.Contains(drawnKeywords, id) {
			id += "_"
		}
		taken[id] = true
		ids[m.States[i].Name] = id
	}
	return ids
}

package scenarios

import (
	"fmt"
	"slices"
	"strings"
)

// answers finds the transitions that a name addresses, one for each of its states, by
// their index; ok is false where it notes a problem.
func (p *patch) answers(a *answerName) (list []int, ok bool) {
	if index(p.words.Events, a.On) < 0 {
		p.problem(a.PosOf("on"), wordHint(a.On, wordNames(p.words.Events)), "unknown event %s", quoted(a.On))
		return nil, false
	}
	ok = len(a.From.names) > 0
	if !ok {
		p.problem(a.Pos(), "", "no state stands here")
	}
	for i, state := range a.From.names {
		k, found := p.answer(a, i, state)
		if !found {
			ok = false
			continue
		}
		if at, twice := p.over[p.transitions[k]]; twice {
			p.problem(a.Pos(), "make one item of both", "%q in %s is changed or added in line %d already", a.On, state, at.Line)
			ok = false
		}
		list = append(list, k)
	}
	return list, ok
}

// answer finds the transition of one state.
func (p *patch) answer(a *answerName, i int, state string) (k int, ok bool) {
	pos := a.PosOf("from", i)
	if !p.known(pos, state) {
		return 0, false
	}
	var all, fits []int
	for k, t := range p.transitions {
		if t.Get("on").Text == a.On && slices.ContainsFunc(t.Get("from").Items, func(n *Node) bool { return n.Text == state }) {
			all = append(all, k)
			if g := guardsOf(t); sameGuards(g, a.If) && a.Has("if") {
				return k, true
			} else if within(a.If, g) {
				fits = append(fits, k)
			}
		}
	}
	switch {
	case len(all) == 0:
		p.problem(pos, p.listens(state), "state %s has no answer to %q", quoted(state), a.On)
	case len(fits) == 0:
		p.problem(a.PosOf("if"), "its guards are "+p.guards(all), "state %s has no answer to %q with these guards", quoted(state), a.On)
	case len(fits) > 1:
		p.problem(pos, "say which by guards that only one of them has, if: "+p.guards(fits), "state %s has %d answers to %q%s",
			quoted(state), len(fits), a.On, pick(a.Has("if"), " with these guards", ""))
	default:
		return fits[0], true
	}
	return 0, false
}

// within tells that all guards of a list are in another.
func within(some, all []string) bool {
	return !slices.ContainsFunc(some, func(g string) bool { return !slices.Contains(all, g) })
}

// mostGuards is how many lists of guards a hint shows.
const mostGuards = 4

// guards of transitions, in words.
func (p *patch) guards(list []int) string {
	var texts []string
	for _, k := range list[:min(len(list), mostGuards)] {
		texts = append(texts, "["+strings.Join(guardsOf(p.transitions[k]), ", ")+"]")
	}
	text := strings.Join(texts, " or ")
	if more := len(list) - len(texts); more > 0 {
		text += fmt.Sprintf(" or one of %d more", more)
	}
	return text
}

// listens says what a state has answers to.
func (p *patch) listens(state string) string {
	var list []string
	for _, t := range p.transitions {
		on := t.Get("on").Text
		if !slices.Contains(list, on) && slices.ContainsFunc(t.Get("from").Items, func(n *Node) bool { return n.Text == state }) {
			list = append(list, on)
		}
	}
	if list == nil {
		return "it has none to anything"
	}
	return "it has answers to: " + strings.Join(list, ", ")
}

package scenarios

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"slatbench/sim/logic"
)

// patch makes the changes of an overlay to the nodes of its base. What is wrong is noted
// at the line of the overlay that asks for it.
type patch struct {
	report *Report
	before int // problems that were there already
	words  *logic.Vocabulary
	key    string // of the machine

	start       *Node
	states      []*Node // items, as they are by now
	transitions []*Node
	over        map[*Node]Pos  // items that come from the overlay, and where they stand there
	dropped     map[string]Pos // states
	base        *Node
}

func (p *patch) begin(key string, base *Node, words *logic.Vocabulary) {
	*p = patch{
		report: p.report, before: p.before, words: words, key: key, base: base, start: base.Get("start"),
		states: slices.Clone(base.Get("states").Items), transitions: slices.Clone(base.Get("transitions").Items),
		over: map[*Node]Pos{}, dropped: map[string]Pos{},
	}
}

func (p *patch) problem(pos Pos, hint, format string, args ...any) {
	p.report.Add(pos, fmt.Sprintf(format, args...), hint)
}

func (p *patch) changesNothing(pos Pos, format string, args ...any) {
	p.problem(pos, "delete it, or say what is to differ", "this changes nothing: "+format, args...)
}

// tuning notes values that are those of the base already.
func (p *patch) tuning(base, over *Node) {
	if len(over.Pairs) == 0 {
		p.changesNothing(over.Pos, "no value stands here")
	}
	for _, pair := range over.Pairs {
		old := base.Get(pair.Key)
		f := shapeOfStruct(reflect.TypeFor[logic.Tuning]()).field(pair.Key)
		if old == nil || f == nil || pair.Value.Kind != Scalar {
			continue // told when it is read
		}
		was, err := ParseQuantity(old.Text, f.shape.dim.name)
		is, err2 := ParseQuantity(pair.Value.Text, f.shape.dim.name)
		if err == nil && err2 == nil && was == is {
			p.changesNothing(pair.Pos, "%s is %s in the base already", pair.Key, old.Text)
		}
	}
}

// machine makes all changes to a machine.
func (p *patch) machine(c *machineChanges) *Node {
	if len(c.node.Pairs) == 0 {
		p.changesNothing(c.Pos(), "no change stands here")
	}
	p.rename(c)
	p.dropStates(c)
	p.changeStates(c)
	p.addStates(c)
	p.dropTransitions(c)
	p.changeTransitions(c)
	p.addTransitions(c)
	if at := c.node.Get("start"); at != nil {
		if at.Text == p.start.Text {
			p.changesNothing(at.Pos, "the base starts in %s", quoted(at.Text))
		}
		p.start = at
	}
	p.leftBehind()
	list := func(key string, items []*Node) Pair {
		old := p.base.pair(key)
		return Pair{key, old.Pos, &Node{Kind: List, Pos: old.Value.Pos, Items: items}}
	}
	return p.base.with(Pair{"start", p.start.Pos, p.start}).with(list("states", p.states)).with(list("transitions", p.transitions))
}

// names of the states as they are by now.
func (p *patch) names() (list []string) {
	for _, s := range p.states {
		list = append(list, s.Get("state").Text)
	}
	return list
}

// known notes a state that there is not.
func (p *patch) known(pos Pos, name string) bool {
	list := p.names()
	if slices.Contains(list, name) {
		return true
	}
	hint := wordHint(name, list)
	if at, gone := p.dropped[name]; gone {
		hint = fmt.Sprintf("it is dropped in line %d", at.Line)
	}
	p.problem(pos, hint, "unknown state %s", quoted(name))
	return false
}

func (p *patch) rename(c *machineChanges) {
	names := map[string]*Node{}
	old := p.names()
	for i := range c.Rename.Entries {
		e := &c.Rename.Entries[i]
		value := c.node.Get("rename states").Get(e.Key)
		switch {
		case !p.known(e.KeyAt.Pos(), e.Key):
		case e.Key == e.Value:
			p.changesNothing(value.Pos, "the state is called %s already", quoted(e.Value))
		default:
			names[e.Key] = value
		}
	}
	for _, key := range old {
		if value := names[key]; value != nil && slices.Contains(old, value.Text) && names[value.Text] == nil {
			p.problem(value.Pos, "rename that one, too, or choose another name", "there is a state %s already", quoted(value.Text))
		}
	}
	to := func(n *Node) *Node {
		if value := names[n.Text]; value != nil {
			return value
		}
		return n
	}
	for i, s := range p.states {
		p.states[i] = s.with(Pair{"state", s.pair("state").Pos, to(s.Get("state"))})
	}
	for i, t := range p.transitions {
		from := *t.Get("from")
		from.Items = slices.Clone(from.Items)
		for k := range from.Items {
			from.Items[k] = to(from.Items[k])
		}
		p.transitions[i] = t.with(Pair{"from", t.pair("from").Pos, &from}).with(Pair{"to", t.pair("to").Pos, to(t.Get("to"))})
	}
	p.start = to(p.start)
}

func (p *patch) dropStates(c *machineChanges) {
	for i, name := range c.Drop {
		pos := c.PosOf("drop states", i)
		if !p.known(pos, name) {
			continue
		}
		p.dropped[name] = pos
		p.states = slices.DeleteFunc(p.states, func(s *Node) bool { return s.Get("state").Text == name })
		for k := 0; k < len(p.transitions); k++ {
			k -= p.leave(k, name)
		}
	}
}

// leave takes a state out of those that a transition answers in. It gives how many
// transitions that has left out: 1 where no state remains, else 0.
func (p *patch) leave(k int, state string) int {
	t := p.transitions[k]
	from := *t.Get("from")
	from.Items = slices.DeleteFunc(slices.Clone(from.Items), func(n *Node) bool { return n.Text == state })
	if len(from.Items) == 0 {
		p.transitions = slices.Delete(p.transitions, k, k+1)
		return 1
	}
	p.transitions[k] = t.with(Pair{"from", t.pair("from").Pos, &from})
	return 0
}

// leftBehind notes answers that lead to a state that was dropped.
func (p *patch) leftBehind() {
	for _, t := range p.transitions {
		to := t.Get("to")
		if at, gone := p.dropped[to.Text]; gone {
			p.problem(at, "change where it leads to, or drop it", "%s is dropped, and %s still leads to it", quoted(to.Text), describe(t))
		}
	}
	if at, gone := p.dropped[p.start.Text]; gone {
		p.problem(at, "name another start", "%s is dropped, and the machine starts in it", quoted(p.start.Text))
	}
}

// describe names an answer: "press" in closing, landing [permitted].
func describe(t *Node) string {
	var from []string
	for _, n := range t.Get("from").Items {
		from = append(from, n.Text)
	}
	text := fmt.Sprintf("%q in %s", t.Get("on").Text, strings.Join(from, ", "))
	if g := guardsOf(t); len(g) > 0 {
		text += " if [" + strings.Join(g, ", ") + "]"
	}
	return text
}

func guardsOf(t *Node) (list []string) {
	if n := t.Get("if"); n != nil {
		for _, g := range n.Items {
			list = append(list, g.Text)
		}
	}
	return list
}

func (p *patch) changeStates(c *machineChanges) {
	for i := range c.Change {
		item := c.node.Get("change states").Items[i]
		name := c.Change[i].Name
		if !p.known(item.Get("state").Pos, name) {
			continue
		}
		k := slices.Index(p.names(), name)
		if at, twice := p.over[p.states[k]]; twice {
			p.problem(item.Pos, "put both into one item", "state %s is changed in line %d already", quoted(name), at.Line)
			continue
		}
		changed := p.states[k]
		for _, pair := range item.Pairs {
			if pair.Key == "state" {
				continue
			}
			was := ""
			if old := changed.Get(pair.Key); old != nil {
				was = old.Text
			}
			switch {
			case pair.Value.Text == was, pair.Value.Text == noneWord && was == "", was == "" && pair.Value.Text == "off":
				p.changesNothing(pair.Pos, "%s of state %s is %s in the base already", pair.Key, quoted(name), pick(was == "", "off", was))
			case pair.Value.Text == noneWord:
				changed = changed.without(pair.Key)
			default:
				changed = changed.with(pair)
			}
		}
		if len(item.Pairs) == 1 {
			p.changesNothing(item.Pos, "no output stands here")
		}
		if changed == p.states[k] {
			continue
		}
		p.over[changed] = item.Pos
		p.states[k] = changed
	}
}

func (p *patch) addStates(c *machineChanges) {
	for i := range c.Add {
		item := c.node.Get("add states").Items[i]
		if slices.Contains(p.names(), c.Add[i].Name) {
			p.problem(item.Get("state").Pos, "change it under \"change states\"", "there is a state %s already", quoted(c.Add[i].Name))
			continue
		}
		p.over[item] = item.Pos
		p.states = append(p.states, item)
	}
}

func (p *patch) dropTransitions(c *machineChanges) {
	for i := range c.DropT {
		a := &c.DropT[i]
		if _, ok := p.answers(a); !ok {
			continue
		}
		for n, state := range a.From.names {
			if k, ok := p.answer(a, n, state); ok { // again: indices have moved
				p.leave(k, state)
			}
		}
	}
}

func (p *patch) changeTransitions(c *machineChanges) {
	for i := range c.ChngT {
		t := &c.ChngT[i]
		a := t.name()
		list, ok := p.answers(&a)
		if !ok {
			continue
		}
		differs := false
		for n, state := range a.From.names {
			k := list[n]
			changed, differ := p.changed(p.transitions[k], t)
			differs = differs || differ
			if !differ {
				continue
			}
			at := p.transitions[k].pair("from")
			from := &Node{Kind: List, Pos: t.PosOf("from"), Items: []*Node{{Kind: Scalar, Text: state, Pos: t.PosOf("from", n)}}}
			changed = changed.with(Pair{"from", at.Pos, from})
			changed.Pos = t.Pos()
			p.over[changed] = t.Pos()
			gone := p.leave(k, state)
			p.transitions = slices.Insert(p.transitions, k+1-gone, changed)
			for m := range list { // what comes after has moved, unless the base's line went
				if list[m] > k {
					list[m] += 1 - gone
				}
			}
		}
		if !differs {
			p.changesNothing(t.Pos(), "%s", p.already(t))
		}
	}
}

// already says why a change is none.
func (p *patch) already(t *transitionChange) string {
	for _, key := range []string{"new if", "to", "alarm", "do"} {
		if t.Has(key) {
			return "the base answers so already"
		}
	}
	return "neither new if, to, alarm nor do stands here"
}

// changed is a transition with what a change says of it, and whether that differs.
func (p *patch) changed(base *Node, t *transitionChange) (result *Node, differs bool) {
	result = base
	set := func(key string, value *Pair) {
		if value == nil {
			if result.pair(key) != nil {
				result, differs = result.without(key), true
			}
			return
		}
		if old := result.Get(key); old == nil || !sameText(old, value.Value, key == "if") {
			result, differs = result.with(Pair{key, value.Pos, value.Value}), true
		}
	}
	if n := t.node.pair("new if"); n != nil {
		if len(t.NewIf) == 0 {
			n = nil
		}
		set("if", n)
	}
	if n := t.node.pair("to"); n != nil {
		set("to", n)
	}
	if n := t.node.pair("alarm"); n != nil {
		if t.Alarm == noneWord {
			n = nil
		}
		set("alarm", n)
	}
	if n := t.node.pair("do"); n != nil {
		if len(t.Do) == 0 {
			n = nil
		}
		set("do", n)
	}
	return result, differs
}

// sameText tells that two values say the same; of guards in any order.
func sameText(a, b *Node, anyOrder bool) bool {
	texts := func(n *Node) (list []string) {
		for _, item := range n.Items {
			list = append(list, item.Text)
		}
		return list
	}
	if anyOrder {
		return sameGuards(texts(a), texts(b))
	}
	return a.Text == b.Text && slices.Equal(texts(a), texts(b))
}

func (p *patch) addTransitions(c *machineChanges) {
	for i := range c.AddT {
		item := c.node.Get("add transitions").Items[i]
		if from := item.pair("from"); from.Value.Kind != List {
			item = item.with(Pair{"from", from.Pos, &Node{Kind: List, Pos: from.Value.Pos, Items: []*Node{from.Value}}})
		}
		known := true
		for k, state := range c.AddT[i].From.names {
			known = p.known(c.AddT[i].PosOf("from", k), state) && known
		}
		if !known {
			continue
		}
		p.over[item] = item.Pos
		p.transitions = append(p.transitions, item)
	}
}

func index(words []logic.Word, name string) int {
	return slices.IndexFunc(words, func(w logic.Word) bool { return w.Name == name })
}

func wordNames(words []logic.Word) (list []string) {
	for i := range words {
		list = append(list, words[i].Name)
	}
	return list
}

// otherAnswer finds in a problem of a table the transition that it names by its number.
func otherAnswer(text string) (i int, ok bool) {
	_, rest, found := strings.Cut(text, "so does transitions[")
	digits, _, closed := strings.Cut(rest, "]")
	i, err := strconv.Atoi(digits)
	return i, found && closed && err == nil
}

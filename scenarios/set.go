package scenarios

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// applySets changes single values of a resolved file, in order. Each change is
// "path=value"; the path is made of keys joined by dots, with list items by
// number from 0, as in "truck.bays.C1.counterbalance.initial turns=5 turns" or
// "steps.0.at=2 s".
func (r *resolver) applySets(root *Node, s *structShape, sets []string) *Node {
	for _, set := range sets {
		path, text, found := strings.Cut(set, "=")
		path, text = strings.TrimSpace(path), strings.TrimSpace(text)
		setter := &setter{resolver: r, path: path, text: text, pos: Pos{File: "--set " + path}}
		if !found || path == "" || text == "" {
			setter.pos.File = "--set " + set
			setter.problem("write it like --set \"truck.battery.age=0.4\"", "expected path=value")
			continue
		}
		if len(text) > maxFileBytes || strings.ContainsAny(text, "\n\r\x00") {
			setter.problem("", "the value must be one line of text")
			continue
		}
		keys := strings.Split(strings.NewReplacer("[", ".", "]", "").Replace(path), ".")
		if len(keys) > maxDepth {
			setter.problem("", "the path has more than %d keys", maxDepth)
			continue
		}
		if changed := setter.structure(root, s, keys); changed != nil {
			root = changed
		}
	}
	return root
}

// A setter applies one change. Its methods return the changed node, or nil when
// a problem was noted.
type setter struct {
	*resolver
	path string // as given
	text string // the new value
	pos  Pos
	done []string // keys walked so far, for messages
}

func (s *setter) problem(hint, format string, args ...any) *Node {
	s.report.Add(s.pos, fmt.Sprintf(format, args...), hint)
	return nil
}

// value changes what stands at keys below n; n is nil where the file has nothing.
func (s *setter) value(n *Node, want *shape, keys []string) *Node {
	if n != nil && n.Kind == broken {
		return n
	}
	if value := s.scalar(); len(keys) == 0 && want.takenAway(value) {
		return value
	}
	for want.kind == optionShape {
		want = want.elem
	}
	if len(keys) == 0 {
		return s.leaf(n, want)
	}
	switch want.kind {
	case structureShape:
		return s.structure(n, want.body, keys)
	case dictionaryShape:
		return s.entry(n, want, keys)
	case listShape:
		return s.item(n, want, keys)
	case choiceShape:
		if kind := want.selected(n.orEmpty()); kind != nil {
			return s.structure(n, kind.body, keys)
		}
	case customShape:
		// A type that reads itself judges its own keys, once they are in their place.
		if n != nil && n.Kind == Mapping && len(keys) == 1 {
			return n.with(Pair{keys[0], s.pos, s.scalar()})
		}
	}
	return s.problem("", "%s is a single value, there is nothing below it", quoted(strings.Join(s.done, ".")))
}

// orEmpty stands an empty mapping in for a missing node.
func (n *Node) orEmpty() *Node {
	if n == nil || n.Kind != Mapping {
		return &Node{Kind: Mapping}
	}
	return n
}

// at returns the mapping to change: a missing one is made at the option's place.
func (s *setter) at(n *Node) *Node {
	if n == nil || n.Kind != Mapping {
		return &Node{Kind: Mapping, Pos: s.pos}
	}
	return n
}

func (s *setter) structure(n *Node, want *structShape, keys []string) *Node {
	key := keys[0]
	if each := want.eachField(key); each != nil {
		return s.each(s.at(n), want, each, keys[1:])
	}
	f := want.field(key)
	if key == fromKey && want.overlay {
		return s.problem("set the whole part to another file: --set \"truck=FILE\"", "the file that a part starts from is not changed by %s", quoted(fromKey))
	}
	if f == nil {
		valid := slices.DeleteFunc(want.keys(), func(k string) bool { return k == fromKey && want.overlay })
		return s.problem(didYouMean(key, valid, "valid keys"), "unknown key %s%s", quoted(key), s.inside())
	}
	s.done = append(s.done, key)
	changed := s.value(n.Get(key), f.shape, keys[1:])
	if changed == nil {
		return nil
	}
	return s.at(n).with(Pair{key, s.pos, changed})
}

// inside names the place that the path has led to.
func (s *setter) inside() string {
	if len(s.done) == 0 {
		return ""
	}
	return " in " + s.done[len(s.done)-1]
}

// each changes a value of every entry of a Map.
func (s *setter) each(n *Node, want *structShape, f *fieldShape, keys []string) *Node {
	s.done = append(s.done, f.each)
	if len(keys) == 0 {
		return s.problem("name one of its values, as in --set \"truck.each bay.mass=30 kg\"", "%s is no single value", quoted(f.each))
	}
	above := s.value(&Node{Kind: Mapping, Pos: s.pos}, f.shape.elem, keys)
	if above == nil {
		return nil
	}
	return s.merge(n, &Node{Kind: Mapping, Pos: n.Pos, base: n.base, Pairs: []Pair{{f.each, s.pos, above}}}, want)
}

// entry changes below an entry of a Map; the entry must be there.
func (s *setter) entry(n *Node, want *shape, keys []string) *Node {
	old := n.Get(keys[0])
	if old == nil {
		var known []string
		for _, pair := range n.orEmpty().Pairs {
			known = append(known, pair.Key)
		}
		return s.problem(didYouMean(keys[0], known, "there are"), "there is no %s%s", quoted(keys[0]), s.inside())
	}
	s.done = append(s.done, keys[0])
	changed := s.value(old, want.elem, keys[1:])
	if changed == nil {
		return nil
	}
	return n.with(Pair{keys[0], s.pos, changed})
}

// item changes below an item of a list; the item must be there.
func (s *setter) item(n *Node, want *shape, keys []string) *Node {
	count := 0
	if n != nil {
		count = len(n.Items)
	}
	i, err := strconv.Atoi(keys[0])
	if err != nil || i < 0 || i >= count {
		return s.problem(fmt.Sprintf("it has %s, counted from 0", pick(count == 1, "1 item", fmt.Sprintf("%d items", count))), "there is no item %s%s", quoted(keys[0]), s.inside())
	}
	s.done[len(s.done)-1] += "[" + keys[0] + "]" // a list is always under a key
	changed := s.value(n.Items[i], want.elem, keys[1:])
	if changed == nil {
		return nil
	}
	result := *n
	result.Items = slices.Clone(n.Items)
	result.Items[i] = changed
	return &result
}

// leaf reads the new value itself: text in brackets is a list or a mapping.
func (s *setter) leaf(n *Node, want *shape) *Node {
	value := s.scalar()
	if want.kind >= listShape && (s.text[0] == '[' || s.text[0] == '{') {
		parsed, err := parseFile(s.pos.File, []byte(s.text))
		if err != nil {
			return s.problem("", "%s", err.(Problems)[0].Message)
		}
		value = parsed.movedTo(s.pos)
	}
	resolved := s.resolver.value(value, want, []source{{}})
	if n == nil || value.Kind == Scalar { // a file name replaces the whole, too
		return resolved
	}
	return s.mergeValue(n, resolved, want)
}

// scalar is the new value as a single value.
func (s *setter) scalar() *Node { return &Node{Kind: Scalar, Text: s.text, Pos: s.pos} }

// movedTo gives a whole tree one position.
func (n *Node) movedTo(pos Pos) *Node {
	result := *n
	result.Pos = pos
	result.Pairs = slices.Clone(n.Pairs)
	for i := range result.Pairs {
		result.Pairs[i].Pos = pos
		result.Pairs[i].Value = result.Pairs[i].Value.movedTo(pos)
	}
	result.Items = slices.Clone(n.Items)
	for i := range result.Items {
		result.Items[i] = result.Items[i].movedTo(pos)
	}
	return &result
}

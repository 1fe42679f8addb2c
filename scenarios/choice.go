package scenarios

import (
	"fmt"
	"reflect"
)

// A Chooser is a mapping of which one key tells the kind, as in
// {obstruction: C1, from: 10 s, height: 300 mm}. The first key that names a
// kind selects it; Select then receives the pointer that New made, filled in.
type Chooser interface {
	Kinds() []Kind
	Select(key string, value any)
}

// A Kind is one kind of a Chooser.
type Kind struct {
	Key string     // the key that selects it; the struct must have it
	Doc string     // one line for the schema
	New func() any // returns a pointer to a new struct
}

// choice reads a mapping whose selecting key tells its kind.
func (d *Decoder) choice(n *Node, s *shape, v reflect.Value) {
	var names []string
	for _, kind := range s.kinds {
		names = append(names, kind.Key)
	}
	if !d.expect(n, Mapping, "keys with values, one of them "+orList(names)) {
		return
	}
	kind := s.selected(n)
	if kind == nil {
		d.noKind(n, s, names)
		return
	}
	value := reflect.ValueOf(kind.New())
	before := len(d.report.problems)
	d.structure(n, kind.body, value.Elem())
	d.secondKind(n, s, kind, before)
	d.locate(n, v)
	v.Addr().Interface().(Chooser).Select(kind.Key, value.Interface())
	d.noteCheck(v)
}

// selected returns the kind that a mapping's first selecting key names.
func (s *shape) selected(n *Node) *kindShape {
	for _, pair := range n.Pairs {
		for i := range s.kinds {
			if s.kinds[i].Key == pair.Key {
				return &s.kinds[i]
			}
		}
	}
	return nil
}

// noKind reports a mapping that tells no kind: the likely culprit is a key that
// no kind knows.
func (d *Decoder) noKind(n *Node, s *shape, names []string) {
	for _, pair := range n.Pairs {
		if !s.knows(pair.Key) {
			d.problem(pair.Pos, didYouMean(pair.Key, names, "kinds"), "unknown kind %s", quoted(pair.Key))
			return
		}
	}
	d.problem(n.Pos, "", "nothing tells the kind, expected one of %s", orList(names))
}

func (s *shape) knows(key string) bool {
	for _, kind := range s.kinds {
		if kind.body.field(key) != nil {
			return true
		}
	}
	return false
}

// secondKind explains an unknown key that is another kind: one item, one kind.
func (d *Decoder) secondKind(n *Node, s *shape, chosen *kindShape, before int) {
	for _, problem := range d.report.problems[before:] {
		for i := range s.kinds {
			pair := n.pair(s.kinds[i].Key)
			if pair != nil && pair.Pos == problem.Pos && chosen.body.field(pair.Key) == nil {
				problem.Message = fmt.Sprintf("both %q and %q in one item", chosen.Key, pair.Key)
				problem.Hint = "give each an item of its own"
			}
		}
	}
}

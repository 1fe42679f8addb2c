package scenarios

import "reflect"

// A Map is a mapping with keys of the user's own choice, such as the bays of a
// truck by name, kept in file order.
type Map[V any] struct{ Entries []Entry[V] }

// An Entry is one key of a Map with its value.
type Entry[V any] struct {
	Key   string
	KeyAt Located // KeyAt.Pos() is where the key stands
	Value V
}

// Get returns the value of a key, or nil.
func (m *Map[V]) Get(key string) *V {
	for i := range m.Entries {
		if m.Entries[i].Key == key {
			return &m.Entries[i].Value
		}
	}
	return nil
}

// Keys lists the keys in file order.
func (m *Map[V]) Keys() []string {
	keys := make([]string, len(m.Entries))
	for i := range m.Entries {
		keys[i] = m.Entries[i].Key
	}
	return keys
}

// dictionary is what the decoder needs of a Map, whatever its values are.
type dictionary interface {
	entryType() reflect.Type
	grow(n int)
	set(i int, key string, pos Pos) reflect.Value
}

func (m *Map[V]) entryType() reflect.Type { return reflect.TypeFor[V]() }

func (m *Map[V]) grow(n int) { m.Entries = make([]Entry[V], n) }

func (m *Map[V]) set(i int, key string, pos Pos) reflect.Value {
	m.Entries[i].Key = key
	m.Entries[i].KeyAt.locate(&Node{Kind: Scalar, Text: key, Pos: pos})
	return reflect.ValueOf(&m.Entries[i].Value).Elem()
}

func (d *Decoder) dictionary(n *Node, s *shape, v reflect.Value) {
	if !d.expect(n, Mapping, "names with values") {
		return
	}
	m := v.Addr().Interface().(dictionary)
	m.grow(len(n.Pairs))
	for i, pair := range n.Pairs {
		entry := m.set(i, pair.Key, pair.Pos)
		d.within(pair.Key, func() { d.value(pair.Value, s.elem, entry) })
	}
}

package scenarios

import "slices"

// A NodeKind tells the shape of a node.
type NodeKind int

// The shapes that a file is made of.
const (
	Scalar  NodeKind = iota // one value: a word, a quantity, a text
	List                    // items in order
	Mapping                 // keys with values, in file order
	Empty                   // a key with nothing after it, or a null

	broken // stands for what could not be read and was reported; decodes to nothing
)

func (k NodeKind) String() string {
	switch k {
	case Scalar:
		return "a single value"
	case List:
		return "a list"
	case Mapping:
		return "keys with values"
	}
	return "nothing"
}

// A Node is a piece of a file as it was read, with its place. Nodes are shared
// between merged trees and must not be changed.
type Node struct {
	Kind  NodeKind
	Text  string // of a scalar, as written, without quotes
	Pos   Pos
	Pairs []Pair  // of a mapping
	Items []*Node // of a list

	base string // the file that "from:" named, on a merged mapping
}

// A Pair is one key of a mapping with its value.
type Pair struct {
	Key   string
	Pos   Pos // of the key
	Value *Node
}

// Get returns the value of a key, or nil.
func (n *Node) Get(key string) *Node {
	if pair := n.pair(key); pair != nil {
		return pair.Value
	}
	return nil
}

func (n *Node) pair(key string) *Pair {
	if n == nil {
		return nil
	}
	for i := range n.Pairs {
		if n.Pairs[i].Key == key {
			return &n.Pairs[i]
		}
	}
	return nil
}

// with returns a copy of a mapping with one key set; a new key goes last.
func (n *Node) with(pair Pair) *Node {
	result := *n
	result.Pairs = slices.Clone(n.Pairs)
	if known := result.pair(pair.Key); known != nil {
		*known = pair
	} else {
		result.Pairs = append(result.Pairs, pair)
	}
	return &result
}

// without returns a mapping less one key.
func (n *Node) without(key string) *Node {
	if n.pair(key) == nil {
		return n
	}
	result := *n
	result.Pairs = slices.DeleteFunc(slices.Clone(n.Pairs), func(p Pair) bool { return p.Key == key })
	return &result
}

// Located remembers where a struct was read. Embed it in a struct that is
// decoded, and checks made afterwards can name file, line and column. It
// survives copying of the struct.
type Located struct{ node *Node }

// Pos is where the struct begins.
func (l Located) Pos() Pos {
	if l.node == nil {
		return Pos{}
	}
	return l.node.Pos
}

// PosOf is where the value under the given keys stands, as in
// PosOf("battery", "age"); a list is entered with an int. When the file does
// not have it, the nearest thing around it is returned.
func (l Located) PosOf(path ...any) Pos {
	node := l.node
	if node == nil {
		return Pos{}
	}
	for _, step := range path {
		next := node.step(step)
		if next == nil {
			break
		}
		node = next
	}
	return node.Pos
}

// step enters a mapping by a string or a list by an int.
func (n *Node) step(step any) *Node {
	switch step := step.(type) {
	case string:
		return n.Get(step)
	case int:
		if step >= 0 && step < len(n.Items) {
			return n.Items[step]
		}
	}
	return nil
}

// Has reports whether the file (or the file below it, or --set) gives the key.
func (l Located) Has(key string) bool { return l.node.pair(key) != nil }

// Equal makes comparisons of decoded structs ignore where they were read.
func (l Located) Equal(Located) bool { return true }

// locate is how the decoder finds the embedded Located.
func (l *Located) locate(n *Node) { l.node = n }

type locatable interface{ locate(*Node) }

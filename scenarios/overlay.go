package scenarios

import (
	"fmt"
	"slices"
)

// Overlay, embedded in a struct, lets its part of a file start from another
// file: either the whole part is a file name,
//
//	truck: trucks/produce-4bay.yaml
//
// or the key "from" names one and the other keys change single values of it:
//
//	truck:
//	  from: trucks/produce-4bay.yaml
//	  battery: {age: 0.5}
//
// Mappings merge key by key; lists and single values replace.
type Overlay struct{ base string }

// Base is the file that was started from, or "".
func (o Overlay) Base() string { return o.base }

// Equal makes comparisons of decoded structs ignore which files they came from.
func (o Overlay) Equal(Overlay) bool { return true }

func (o *Overlay) setBase(name string) { o.base = name }

type overlaid interface{ setBase(string) }

// fromKey names the file that a mapping starts from.
const fromKey = "from"

// Bounds on files that name files, and on the entries that common values are
// copied to.
const (
	maxFromDepth   = 8
	maxFiles       = 64
	maxEachEntries = 64
)

// A resolver replaces file names by the content of the files, innermost first.
type resolver struct {
	loader *Loader
	report *Report
	loaded int
}

// structure resolves everything below a node that a struct is to be read from;
// nil when its base could not be read. chain holds the files being read,
// outermost first.
func (r *resolver) structure(n *Node, s *structShape, chain []source) *Node {
	var base *Node
	baseName := ""
	if isLogicOverlay(n, s) {
		return r.basedOn(n, s, chain)
	}
	if r.forgottenBase(n, s) {
		return nil
	}
	if s.overlay {
		n, base, baseName = r.startFrom(n, s, chain)
	}
	if n == nil || n.Kind != Mapping {
		return n
	}
	for _, pair := range n.Pairs {
		if f := s.field(pair.Key); f != nil {
			if resolved := r.value(pair.Value, f.shape, chain); resolved != pair.Value {
				n = n.with(Pair{pair.Key, pair.Pos, resolved})
			}
		}
	}
	if base == nil {
		return r.spreadEach(n, s)
	}
	merged := r.merge(base, n, s)
	merged.base = baseName
	return merged
}

// startFrom loads the file that a node names, either by being a file name or by
// its key "from". It returns what is left of the node, nil when a problem was noted.
func (r *resolver) startFrom(n *Node, s *structShape, chain []source) (over, base *Node, baseName string) {
	name := n.Get(fromKey)
	if n.Kind == Scalar {
		name = n
	}
	if name == nil {
		return n, nil, ""
	}
	if name.Kind != Scalar {
		r.report.Add(name.Pos, fmt.Sprintf("found %s, expected the name of a file", name.Kind), "")
		return nil, nil, ""
	}
	base = r.file(name, s, chain)
	if base == nil {
		return nil, nil, ""
	}
	if n.Kind == Scalar {
		whole := *base
		whole.Pos, whole.base = base.Pos, name.Text
		return &Node{Kind: Mapping, Pos: base.Pos}, &whole, name.Text
	}
	return n.without(fromKey), base, name.Text
}

// file reads and resolves a named file.
func (r *resolver) file(name *Node, s *structShape, chain []source) *Node {
	src, data, err := r.loader.open(name.Text, chain[len(chain)-1])
	if err != nil {
		r.report.addError(name.Pos, r.loader.missing(name, chain[len(chain)-1], err, s.kinds()...))
		return nil
	}
	for _, outer := range chain {
		if outer.identity == src.identity {
			r.report.Add(name.Pos, fmt.Sprintf("%s starts from itself", quoted(name.Text)), "the files name each other in a circle")
			return nil
		}
	}
	if len(chain) > maxFromDepth {
		r.report.Add(name.Pos, fmt.Sprintf("more than %d files name one another", maxFromDepth), "")
		return nil
	}
	if r.loaded++; r.loaded > maxFiles {
		r.report.Add(name.Pos, fmt.Sprintf("more than %d files in all", maxFiles), "")
		return nil
	}
	r.report.files = append(r.report.files, src.name)
	root, err := parseFile(src.name, data)
	if err != nil {
		r.report.addError(name.Pos, err)
		return nil
	}
	if root.Kind != Mapping {
		r.report.Add(root.Pos, fmt.Sprintf("found %s, expected keys with values such as %s", root.Kind, s.sampleKeys()), "")
		return nil
	}
	if other := otherKind(root, s); other != nil {
		r.report.addError(other.Pos, other)
		return nil
	}
	return r.structure(root, s, append(slices.Clip(chain), src))
}

// value resolves below any node.
func (r *resolver) value(n *Node, s *shape, chain []source) *Node {
	switch {
	case s.kind == structureShape:
		if resolved := r.structure(n, s.body, chain); resolved != nil {
			return resolved
		}
		return &Node{Kind: broken, Pos: n.Pos}
	case s.kind == optionShape:
		if s.takenAway(n) {
			return n
		}
		return r.value(n, s.elem, chain)
	case s.kind == dictionaryShape && n.Kind == Mapping:
		result := n
		for _, pair := range n.Pairs {
			if resolved := r.value(pair.Value, s.elem, chain); resolved != pair.Value {
				result = result.with(Pair{pair.Key, pair.Pos, resolved})
			}
		}
		return result
	case s.kind == listShape && n.Kind == List:
		result := *n
		result.Items = make([]*Node, len(n.Items))
		for i, item := range n.Items {
			result.Items[i] = r.value(item, s.elem, chain)
		}
		return &result
	}
	return n
}

// spreadEach gives every entry of a Map the common values of its each key; what
// the entry says itself wins.
func (r *resolver) spreadEach(n *Node, s *structShape) *Node {
	return r.merge(&Node{Kind: Mapping, Pos: n.Pos}, n, s)
}

// merge lays a mapping over another of the same struct. For entries with common
// values the order, weakest first, is: common values below, entries below,
// common values above, entries above. So what the outer file says always wins.
func (r *resolver) merge(below, above *Node, s *structShape) *Node {
	result := *above
	result.Pairs = slices.Clone(below.Pairs)
	for _, pair := range above.Pairs {
		f := s.field(pair.Key)
		old := result.pair(pair.Key)
		switch {
		case f != nil && f.each != "": // below
		case f == nil && s.eachField(pair.Key) != nil: // below
		case old != nil && f != nil:
			*old = Pair{pair.Key, pair.Pos, r.mergeValue(old.Value, pair.Value, f.shape)}
		case old != nil:
			*old = pair
		default:
			result.Pairs = append(result.Pairs, pair)
		}
	}
	for i := range s.fields {
		if s.fields[i].each != "" {
			r.mergeEach(&result, below, above, &s.fields[i])
		}
	}
	return &result
}

// eachField returns the field whose entries have their common values under key.
func (s *structShape) eachField(key string) *fieldShape {
	for i := range s.fields {
		if s.fields[i].each == key && key != "" {
			return &s.fields[i]
		}
	}
	return nil
}

// mergeEach merges a Map that has common values, and those.
func (r *resolver) mergeEach(result, below, above *Node, f *fieldShape) {
	common, commonPos := r.mergeCommon(below, above, f)
	if common != nil {
		*result = *result.with(Pair{f.each, commonPos, common})
	}
	entries := above.pair(f.key)
	before := below.pair(f.key)
	if entries == nil && before == nil {
		return
	}
	if entries != nil && entries.Value.Kind != Mapping || before != nil && before.Value.Kind != Mapping {
		pair := entries // the decoder will say what is wrong with it
		if pair == nil {
			pair = before
		}
		*result = *result.with(*pair)
		return
	}
	merged := r.mergeEntries(before, entries, above.Get(f.each), common, f)
	*result = *result.with(merged)
}

// mergeCommon merges the common values of both files.
func (r *resolver) mergeCommon(below, above *Node, f *fieldShape) (*Node, Pos) {
	old, new := below.pair(f.each), above.pair(f.each)
	switch {
	case new == nil && old == nil:
		return nil, Pos{}
	case new == nil:
		return old.Value, old.Pos
	case old == nil:
		return new.Value, new.Pos
	}
	return r.mergeValue(old.Value, new.Value, f.shape.elem), new.Pos
}

// mergeEntries merges the entries of a Map: entries known below take the common
// values of the file above, new ones all common values.
func (r *resolver) mergeEntries(before, entries *Pair, commonAbove, common *Node, f *fieldShape) Pair {
	result := &Node{Kind: Mapping}
	merged := Pair{Key: f.key}
	if before != nil {
		merged.Pos, result.Pos = before.Pos, before.Value.Pos
		for _, pair := range before.Value.Pairs {
			if commonAbove != nil {
				pair.Value = r.mergeValue(pair.Value, commonAbove, f.shape.elem)
			}
			result.Pairs = append(result.Pairs, pair)
		}
	}
	if entries != nil {
		merged.Pos, result.Pos = entries.Pos, entries.Value.Pos
		for _, pair := range entries.Value.Pairs {
			if old := result.pair(pair.Key); old != nil {
				*old = Pair{pair.Key, pair.Pos, r.mergeValue(old.Value, pair.Value, f.shape.elem)}
				continue
			}
			if common != nil {
				pair.Value = r.mergeValue(common, pair.Value, f.shape.elem)
			}
			result.Pairs = append(result.Pairs, pair)
		}
	}
	if len(result.Pairs) > maxEachEntries {
		r.report.Add(result.Pos, fmt.Sprintf("more than %d entries in %s", maxEachEntries, f.key), "")
		result.Pairs = nil
	}
	merged.Value = result
	return merged
}

// mergeValue lays one value over another: mappings merge, all else replaces.
func (r *resolver) mergeValue(below, above *Node, s *shape) *Node {
	for s.kind == optionShape {
		s = s.elem
	}
	if below.Kind != Mapping || above.Kind != Mapping {
		return above
	}
	switch s.kind {
	case structureShape:
		return r.merge(below, above, s.body)
	case choiceShape: // another kind is another thing
		if kind := s.selected(above); kind != nil && below.pair(kind.Key) == nil {
			return above
		}
	case dictionaryShape:
		result := below
		for _, pair := range above.Pairs {
			if old := below.Get(pair.Key); old != nil {
				pair.Value = r.mergeValue(old, pair.Value, s.elem)
			}
			result = result.with(pair)
		}
		return result
	case customShape:
		return above
	}
	result := below
	for _, pair := range above.Pairs {
		result = result.with(pair)
	}
	return result
}

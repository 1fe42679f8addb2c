package scenarios

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// A NodeDecoder reads its own shape from a file. The node is never nil. Every
// problem is to be told through d; a returned error is told at the node.
type NodeDecoder interface {
	DecodeNode(d *Decoder, n *Node) error
}

// A Worder is a string type that is one of a fixed list of words.
type Worder interface{ Words() []string }

// A Checker judges what no tag can say, such as two values that exclude each
// other. Check is called after the whole file was decoded without a problem,
// inner structs before outer ones.
type Checker interface{ Check(r *Report) }

// maxValues bounds the work on one load: values shared by all bays count once a bay.
const maxValues = 200_000

// A Decoder reads nodes into Go values and collects what is wrong with them.
type Decoder struct {
	report *Report
	path   []string // keys around the current value, for messages
	values int
	checks []Checker
}

// Report is where problems go.
func (d *Decoder) Report() *Report { return d.report }

// Into decodes a node into the struct that target points to, as the decoder
// would have done by itself.
func (d *Decoder) Into(n *Node, target any) {
	v := reflect.ValueOf(target)
	if v.Kind() != reflect.Pointer || v.IsNil() || v.Elem().Kind() != reflect.Struct {
		panic("scenarios: Into wants a pointer to a struct")
	}
	d.structure(n, shapeOfStruct(v.Elem().Type()), v.Elem())
}

// expect notes a problem unless the node has the wanted kind.
func (d *Decoder) expect(n *Node, kind NodeKind, wanted string) bool {
	if n.Kind == kind {
		return true
	}
	if n.Kind == Empty {
		d.problem(n.Pos, "give a value, or leave the key out", "no value, expected %s", wanted)
		return false
	}
	found := n.Kind.String()
	if n.Kind == Scalar {
		found = quoted(n.Text)
	}
	d.problem(n.Pos, "", "found %s, expected %s", found, wanted)
	return false
}

// problem notes a problem with the value that is being read.
func (d *Decoder) problem(pos Pos, hint, format string, args ...any) {
	message := fmt.Sprintf(format, args...)
	if len(d.path) > 0 {
		message = d.path[len(d.path)-1] + ": " + message
	}
	d.report.Add(pos, message, hint)
}

// within runs read with one more key on the path.
func (d *Decoder) within(key string, read func()) {
	d.path = append(d.path, key)
	read()
	d.path = d.path[:len(d.path)-1]
}

// value reads a node by its shape.
func (d *Decoder) value(n *Node, s *shape, v reflect.Value) {
	if d.values++; d.values > maxValues {
		if d.values == maxValues+1 {
			d.report.Add(n.Pos, fmt.Sprintf("more than %d values in all", maxValues), "")
		}
		return
	}
	if n.Kind == broken {
		return
	}
	switch s.kind {
	case quantityShape:
		d.quantity(n, s, v)
	case wholeShape:
		d.whole(n, s, v)
	case textShape:
		if text, ok := d.Text(n); ok {
			v.SetString(text)
		}
	case wordShape:
		if word, ok := d.Word(n, s.words); ok {
			v.SetString(word)
		}
	case flagShape:
		d.flag(n, v)
	case listShape:
		d.list(n, s, v)
	case dictionaryShape:
		d.dictionary(n, s, v)
	case optionShape:
		d.option(n, s, v)
	case structureShape:
		d.structure(n, s.body, v)
	case choiceShape:
		d.choice(n, s, v)
	case customShape:
		d.custom(n, v)
	}
}

func (d *Decoder) list(n *Node, s *shape, v reflect.Value) {
	if !d.expect(n, List, "a list: lines that begin with \"- \", or [item, item]") {
		return
	}
	if len(n.Items) > maxValues {
		return
	}
	items := reflect.MakeSlice(v.Type(), len(n.Items), len(n.Items))
	name := ""
	if len(d.path) > 0 {
		name = d.path[len(d.path)-1]
	}
	for i, item := range n.Items {
		d.within(fmt.Sprintf("%s[%d]", name, i), func() { d.value(item, s.elem, items.Index(i)) })
	}
	v.Set(items)
}

// option reads a pointer: the word none takes away what a file below it gives.
func (d *Decoder) option(n *Node, s *shape, v reflect.Value) {
	if s.takenAway(n) {
		v.SetZero()
		return
	}
	if v.IsNil() {
		v.Set(reflect.New(s.elem.typ))
	}
	d.value(n, s.elem, v.Elem())
}

// noneWord leaves out an optional part, as in "sensing edge: none".
const noneWord = "none"

// takenAway reports whether the node leaves out an optional part. Where none
// could be meant as a text it is one.
func (s *shape) takenAway(n *Node) bool {
	return n.Kind == Scalar && n.Text == noneWord && s.kind == optionShape && s.elem.canBeNone()
}

func (s *shape) canBeNone() bool {
	return s.kind != textShape && s.kind != customShape && !slices.Contains(s.words, noneWord)
}

func (d *Decoder) structure(n *Node, s *structShape, v reflect.Value) {
	if !d.expect(n, Mapping, "keys with values such as "+s.sampleKeys()) {
		return
	}
	d.locate(n, v)
	if over, ok := v.Addr().Interface().(overlaid); ok {
		over.setBase(n.base)
	}
	meant := d.unknownKeys(n, s.keys())
	for i := range s.fields {
		d.field(n, &s.fields[i], v, slices.Contains(meant, s.fields[i].key))
	}
	d.noteCheck(v)
}

// sampleKeys shows the first keys of a struct, for a message.
func (s *structShape) sampleKeys() string {
	keys := s.keys()
	if s.overlay {
		keys = keys[1:]
	}
	if len(keys) > 3 {
		return strings.Join(keys[:3], ", ") + ", ..."
	}
	return strings.Join(keys, ", ")
}

// locate tells a struct where it was read.
func (d *Decoder) locate(n *Node, v reflect.Value) {
	if at, ok := v.Addr().Interface().(locatable); ok {
		at.locate(n)
	}
}

func (d *Decoder) noteCheck(v reflect.Value) {
	if c, ok := v.Addr().Interface().(Checker); ok {
		d.checks = append(d.checks, c)
	}
}

// unknownKeys reports keys that are not valid and returns the valid keys that
// they were likely meant to be; those are not reported missing, too.
func (d *Decoder) unknownKeys(n *Node, valid []string) (meant []string) {
	for _, pair := range n.Pairs {
		if !slices.Contains(valid, pair.Key) {
			d.report.Add(pair.Pos, "unknown key "+quoted(pair.Key), didYouMean(pair.Key, valid, "valid keys"))
			meant = append(meant, nearest(pair.Key, valid))
		}
	}
	return meant
}

// inside names what is being read: " in curtain".
func (d *Decoder) inside() string {
	if len(d.path) == 0 {
		return ""
	}
	return " in " + d.path[len(d.path)-1]
}

// didYouMean is the hint for an unknown word: the nearest, then all valid ones.
func didYouMean(word string, valid []string, label string) string {
	hint := ""
	if near := nearest(word, valid); near != "" {
		hint = fmt.Sprintf("did you mean %q? ", near)
	}
	if len(valid) > 0 {
		hint += label + ": " + strings.Join(valid, ", ")
	}
	return strings.TrimSpace(hint)
}

// field reads one key of a struct, or its default; misspelled tells that the
// key is there under a wrong name.
func (d *Decoder) field(n *Node, f *fieldShape, v reflect.Value, misspelled bool) {
	target := v.FieldByIndex(f.index)
	child := n.Get(f.key)
	switch {
	case child != nil:
		d.within(f.key, func() { d.value(child, f.shape, target) })
	case misspelled:
	case f.required:
		d.report.Add(n.Pos, fmt.Sprintf("missing key %q%s", f.key, d.inside()), missingHint(f))
	case f.fallback != "":
		d.within(f.key, func() { d.value(&Node{Kind: Scalar, Text: f.fallback, Pos: n.Pos}, f.shape, target) })
	case f.each != "" && n.Get(f.each) != nil:
		d.report.Add(n.Get(f.each).Pos, fmt.Sprintf("%q has nothing to apply to, there is no key %q", f.each, f.key), "")
	case f.shape.kind == structureShape && target.IsZero():
		d.within(f.key, func() { d.value(&Node{Kind: Mapping, Pos: n.Pos}, f.shape, target) })
	}
}

// missingHint shows how the missing key would look.
func missingHint(f *fieldShape) string {
	switch f.shape.kind {
	case quantityShape:
		return fmt.Sprintf("add a line such as \"%s: %s\"", f.key, f.shape.dim.examples()[0])
	case wordShape:
		return fmt.Sprintf("add \"%s: \" with one of %s", f.key, orList(f.shape.words))
	}
	return ""
}

func (d *Decoder) custom(n *Node, v reflect.Value) {
	d.locate(n, v)
	if err := v.Addr().Interface().(NodeDecoder).DecodeNode(d, n); err != nil {
		d.report.addError(n.Pos, err)
	}
	d.noteCheck(v)
}

// finish runs the checks that need the whole, if all of it could be read.
func (d *Decoder) finish() {
	if !d.report.Clean() {
		return
	}
	for _, c := range d.checks {
		c.Check(d.report)
	}
}

package scenarios

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// A NodeDecoder reads its own shape from a file. The node is never nil. Every
// problem is to be told through d; a returned error is told at the node.
type NodeDecoder interface {
	DecodeNode(d *Decoder, n *Node) error
}

// A Worder is a string type that is one of a fixed list of words.
type Worder interface{ Words() []string }

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

// Quantity reads a node as a quantity; ok is false when a problem was noted.
func (d *Decoder) Quantity(n *Node, dimension Dimension) (value float64, ok bool) {
	info := dimensionsByName[dimension]
	if info == nil {
		panic(fmt.Sprintf("scenarios: unknown dimension %q", dimension))
	}
	if !d.expect(n, Scalar, info.label+" such as "+orList(info.examples())) {
		return 0, false
	}
	value, err := ParseQuantity(n.Text, dimension)
	if err != nil {
		problem := err.(*QuantityError)
		d.problem(n.Pos, problem.Hint, "%s", problem.Message)
		return 0, false
	}
	return value, true
}

// Word reads a node as one of words.
func (d *Decoder) Word(n *Node, words []string) (word string, ok bool) {
	if !d.expect(n, Scalar, "one of "+orList(words)) {
		return "", false
	}
	if !slices.Contains(words, n.Text) {
		d.problem(n.Pos, didYouMean(n.Text, words, "valid words"), "unknown word %s", quoted(n.Text))
		return "", false
	}
	return n.Text, true
}

// Text reads a node as text.
func (d *Decoder) Text(n *Node) (text string, ok bool) {
	if !d.expect(n, Scalar, "a text") {
		return "", false
	}
	return n.Text, true
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

func (d *Decoder) quantity(n *Node, s *shape, v reflect.Value) {
	value, ok := d.Quantity(n, s.dim.name)
	if !ok || !d.inRange(n, s, value) {
		return
	}
	if v.Kind() == reflect.Float64 {
		v.SetFloat(value)
		return
	}
	d.setWhole(n, v, value)
}

// setWhole stores a quantity in an integer field.
func (d *Decoder) setWhole(n *Node, v reflect.Value, value float64) {
	switch {
	case value != math.Trunc(value) || math.Abs(value) > 1<<53:
		d.problem(n.Pos, "", "%s is no whole number", quoted(n.Text))
	case v.CanInt() && !v.OverflowInt(int64(value)):
		v.SetInt(int64(value))
	case v.CanUint() && value >= 0 && !v.OverflowUint(uint64(value)):
		v.SetUint(uint64(value))
	default:
		d.problem(n.Pos, "", "%s is out of range", quoted(n.Text))
	}
}

// whole reads an integer without a unit; 64-bit seeds keep all their digits.
func (d *Decoder) whole(n *Node, s *shape, v reflect.Value) {
	if !d.expect(n, Scalar, "a whole number") {
		return
	}
	if v.CanUint() {
		number, err := strconv.ParseUint(n.Text, 10, v.Type().Bits())
		if err != nil {
			d.problem(n.Pos, "", "%s is no whole number of 0 or more%s", quoted(n.Text), atMost(err, math.MaxUint64>>(64-v.Type().Bits())))
		} else if d.inRange(n, s, float64(number)) {
			v.SetUint(number)
		}
		return
	}
	number, err := strconv.ParseInt(n.Text, 10, v.Type().Bits())
	if err != nil {
		d.problem(n.Pos, "", "%s is no whole number%s", quoted(n.Text), atMost(err, math.MaxInt64>>(64-v.Type().Bits())))
	} else if d.inRange(n, s, float64(number)) {
		v.SetInt(number)
	}
}

// atMost adds the bound to a message when the number was too large to hold.
func atMost(err error, bound uint64) string {
	if numError, ok := err.(*strconv.NumError); ok && numError.Err == strconv.ErrRange {
		return fmt.Sprintf(" and at most %d", bound)
	}
	return ""
}

func (d *Decoder) inRange(n *Node, s *shape, value float64) bool {
	if s.limit == nil || s.limit.holds(value) {
		return true
	}
	hint := ""
	if s.dim.name == "ratio" && value > 1 && s.limit.hasHigh && s.limit.holds(value/100) && !strings.Contains(n.Text, "%") {
		hint = fmt.Sprintf("a bare number is a fraction of 1: write %s %%", n.Text)
	}
	d.problem(n.Pos, hint, "%s is out of range, it must be %s", quoted(n.Text), s.limit.words)
	return false
}

func (d *Decoder) flag(n *Node, v reflect.Value) {
	if !d.expect(n, Scalar, "yes or no") {
		return
	}
	switch n.Text {
	case "yes", "true":
		v.SetBool(true)
	case "no", "false":
		v.SetBool(false)
	default:
		d.problem(n.Pos, "", "found %s, expected yes or no", quoted(n.Text))
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

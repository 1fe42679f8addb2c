package scenarios

import (
	"fmt"
	"reflect"
	"strings"
	"sync"
)

// A shape is the reading rule that a Go type and its tags amount to. Shapes are
// built once a type; a type or tag that makes no sense panics then, as a bad
// regexp in MustCompile does, so a test that loads anything finds it.
type shape struct {
	kind  shapeKind
	typ   reflect.Type
	doc   string
	dim   *dimensionInfo // of a quantity
	limit *interval      // of a quantity or whole number; nil when unbounded
	words []string       // of a word
	elem  *shape         // of a list, dictionary or option
	body  *structShape   // of a structure
	kinds []kindShape    // of a choice
}

type shapeKind int

const (
	quantityShape   shapeKind = iota // float64 or integer with a unit tag
	wholeShape                       // integer without a unit
	textShape                        // string
	wordShape                        // string out of a fixed list
	flagShape                        // bool
	listShape                        // slice
	dictionaryShape                  // Map
	optionShape                      // pointer
	structureShape                   // struct
	choiceShape                      // Chooser
	customShape                      // NodeDecoder
)

// A structShape lists the keys of a struct.
type structShape struct {
	typ     reflect.Type
	fields  []fieldShape
	overlay bool // embeds Overlay: may name a file to start from
}

// A fieldShape is one key of a struct.
type fieldShape struct {
	key      string
	each     string // key of the values common to all entries of this Map
	index    []int
	required bool
	fallback string // text to read when the key is absent
	doc      string
	shape    *shape
}

// A kindShape is one kind of a choice.
type kindShape struct {
	Kind
	body *structShape
}

// An interval bounds a quantity, in SI units.
type interval struct {
	low, high         float64
	openLow, openHigh bool // the bound itself is excluded
	hasLow, hasHigh   bool
	words             string // for messages: "above 0 kg and up to 500 kg"
}

func (i *interval) holds(v float64) bool {
	if i.hasLow && (v < i.low || i.openLow && v == i.low) {
		return false
	}
	return !i.hasHigh || v < i.high || !i.openHigh && v == i.high
}

var (
	structShapes sync.Map // reflect.Type to *structShape, complete ones only
	shapesMutex  sync.Mutex
)

// shapeOfStruct returns the reading rule of a struct type.
func shapeOfStruct(t reflect.Type) *structShape {
	if known, ok := structShapes.Load(t); ok {
		return known.(*structShape)
	}
	shapesMutex.Lock()
	defer shapesMutex.Unlock()
	b := shapeBuilder{building: map[reflect.Type]*structShape{}}
	b.structure(t)
	for typ, s := range b.building {
		structShapes.LoadOrStore(typ, s)
	}
	known, _ := structShapes.Load(t)
	return known.(*structShape)
}

// A shapeBuilder builds shapes; building holds those under way, since a type
// may contain itself.
type shapeBuilder struct{ building map[reflect.Type]*structShape }

var (
	nodeDecoderType = reflect.TypeFor[NodeDecoder]()
	chooserType     = reflect.TypeFor[Chooser]()
	dictionaryType  = reflect.TypeFor[dictionary]()
	worderType      = reflect.TypeFor[Worder]()
	locatedType     = reflect.TypeFor[Located]()
	overlayType     = reflect.TypeFor[Overlay]()
)

func (b *shapeBuilder) structure(t reflect.Type) *structShape {
	if known, ok := structShapes.Load(t); ok {
		return known.(*structShape)
	}
	if known := b.building[t]; known != nil {
		return known
	}
	s := &structShape{typ: t}
	b.building[t] = s
	b.fields(s, t, nil)
	seen := map[string]bool{}
	for _, f := range s.fields {
		for _, key := range []string{f.key, f.each} {
			if key != "" && seen[key] || key == fromKey && s.overlay {
				panic(fmt.Sprintf("scenarios: %s has the key %q twice", t, key))
			}
			seen[key] = true
		}
	}
	return s
}

// fields adds the keys of t to s; embedded structs count as part of it.
func (b *shapeBuilder) fields(s *structShape, t reflect.Type, index []int) {
	for i := range t.NumField() {
		f := t.Field(i)
		at := append(append([]int{}, index...), i)
		tag, tagged := f.Tag.Lookup("yaml")
		switch {
		case f.Anonymous && f.Type == overlayType:
			s.overlay = true
		case f.Anonymous && f.Type == locatedType, tag == "-":
		case f.Anonymous && !tagged && f.Type.Kind() == reflect.Struct:
			b.fields(s, f.Type, at)
		case tagged && f.IsExported():
			s.fields = append(s.fields, b.field(t, f, tag, at))
		case f.IsExported():
			panic(fmt.Sprintf("scenarios: %s.%s needs a yaml tag; \"-\" keeps it out of files", t, f.Name))
		}
	}
}

func (b *shapeBuilder) field(t reflect.Type, f reflect.StructField, tag string, index []int) fieldShape {
	key, options, _ := strings.Cut(tag, ",")
	if key == "" || options != "" && options != "required" {
		panic(fmt.Sprintf("scenarios: %s.%s: the yaml tag is \"key\" or \"key,required\", not %q", t, f.Name, tag))
	}
	result := fieldShape{
		key:      key,
		each:     f.Tag.Get("each"),
		index:    index,
		required: options == "required",
		fallback: f.Tag.Get("default"),
		doc:      f.Tag.Get("doc"),
	}
	defer func() {
		if problem := recover(); problem != nil {
			place := fmt.Sprintf(" (at %s.%s)", t, f.Name)
			if strings.Contains(fmt.Sprint(problem), " (at ") {
				place = "" // the innermost field is the culprit
			}
			panic(fmt.Sprint(problem, place))
		}
	}()
	result.shape = b.value(f.Type, f.Tag)
	result.shape.doc = result.doc
	if result.each != "" && result.shape.kind != dictionaryShape {
		panic("scenarios: an each tag belongs to a Map")
	}
	if result.fallback != "" {
		b.checkFallback(result)
	}
	return result
}

// checkFallback makes sure that a default reads as a value of its field.
func (b *shapeBuilder) checkFallback(f fieldShape) {
	if f.required {
		panic("scenarios: a required key has no default")
	}
	if f.shape.kind > flagShape {
		panic("scenarios: only single values have a default")
	}
	d := &Decoder{report: &Report{}}
	d.value(&Node{Text: f.fallback}, f.shape, reflect.New(f.shape.typ).Elem())
	if err := d.report.Err(); err != nil {
		panic("scenarios: default: " + err.Error())
	}
}

// value builds the shape of a type under its field's tags.
func (b *shapeBuilder) value(t reflect.Type, tag reflect.StructTag) *shape {
	s := &shape{typ: t}
	pointer := reflect.PointerTo(t)
	switch {
	case t.Kind() == reflect.Pointer:
		s.kind, s.elem = optionShape, b.value(t.Elem(), tag)
		return s
	case pointer.Implements(nodeDecoderType):
		s.kind = customShape
		return s
	case pointer.Implements(chooserType):
		s.kind = choiceShape
		for _, kind := range reflect.New(t).Interface().(Chooser).Kinds() {
			s.kinds = append(s.kinds, b.kind(kind))
		}
		return s
	case pointer.Implements(dictionaryType):
		s.kind, s.elem = dictionaryShape, b.value(reflect.New(t).Interface().(dictionary).entryType(), tag)
		return s
	}
	switch t.Kind() {
	case reflect.Struct:
		s.kind, s.body = structureShape, b.structure(t)
	case reflect.Slice:
		s.kind, s.elem = listShape, b.value(t.Elem(), tag)
	case reflect.Bool:
		s.kind = flagShape
	case reflect.String:
		b.word(s, t, tag)
	case reflect.Float64:
		if tag.Get("unit") == "" {
			panic("scenarios: a float64 needs a unit tag; unit:\"number\" for a bare number")
		}
		b.quantity(s, tag)
	case reflect.Int, reflect.Int64, reflect.Uint64, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Int32, reflect.Int16, reflect.Int8, reflect.Uint:
		if tag.Get("unit") != "" {
			b.quantity(s, tag)
			return s
		}
		s.kind, s.dim = wholeShape, dimensionsByName["number"]
		s.limit = parseInterval(tag.Get("range"), s.dim)
	default:
		panic(fmt.Sprintf("scenarios: a field of type %s cannot be read", t))
	}
	return s
}

func (b *shapeBuilder) word(s *shape, t reflect.Type, tag reflect.StructTag) {
	s.kind = textShape
	switch {
	case tag.Get("words") != "":
		s.words = splitWords(tag.Get("words"))
	case t.Implements(worderType):
		s.words = reflect.New(t).Elem().Interface().(Worder).Words()
	default:
		return
	}
	s.kind = wordShape
}

func splitWords(tag string) []string {
	words := strings.Split(tag, ",")
	for i := range words {
		words[i] = strings.TrimSpace(words[i])
	}
	return words
}

func (b *shapeBuilder) quantity(s *shape, tag reflect.StructTag) {
	s.kind = quantityShape
	s.dim = dimensionsByName[Dimension(tag.Get("unit"))]
	if s.dim == nil {
		panic(fmt.Sprintf("scenarios: unknown dimension %q", tag.Get("unit")))
	}
	s.limit = parseInterval(tag.Get("range"), s.dim)
}

// kind builds one kind of a choice; its struct must have the key that selects it.
func (b *shapeBuilder) kind(kind Kind) kindShape {
	t := reflect.TypeOf(kind.New())
	if t == nil || t.Kind() != reflect.Pointer || t.Elem().Kind() != reflect.Struct {
		panic(fmt.Sprintf("scenarios: New of kind %q must return a pointer to a struct", kind.Key))
	}
	result := kindShape{kind, b.structure(t.Elem())}
	if result.body.field(kind.Key) == nil {
		panic(fmt.Sprintf("scenarios: kind %q: %s has no such key", kind.Key, t.Elem()))
	}
	return result
}

func (s *structShape) field(key string) *fieldShape {
	for i := range s.fields {
		if s.fields[i].key == key {
			return &s.fields[i]
		}
	}
	return nil
}

// keys lists all keys that a file may use in this struct, in struct order.
func (s *structShape) keys() []string {
	var keys []string
	if s.overlay {
		keys = append(keys, fromKey)
	}
	for _, f := range s.fields {
		if f.each != "" {
			keys = append(keys, f.each)
		}
		keys = append(keys, f.key)
	}
	return keys
}

// parseInterval reads a range tag such as "(0,500 kg]" or "[-40 °C, 85 °C]":
// round brackets exclude the bound, an empty side is unbounded, and a bound
// without a unit takes that of the other.
func parseInterval(tag string, d *dimensionInfo) *interval {
	if tag == "" {
		return nil
	}
	opening, closing := tag[0], tag[len(tag)-1]
	low, high, found := strings.Cut(tag[1:len(tag)-1], ",")
	if !found || opening != '(' && opening != '[' || closing != ')' && closing != ']' {
		panic(fmt.Sprintf("scenarios: a range is written like \"(0,500 kg]\", not %q", tag))
	}
	low, high = strings.TrimSpace(low), strings.TrimSpace(high)
	i := &interval{openLow: opening == '(', openHigh: closing == ')'}
	lowText, highText := completeBound(low, high, d), completeBound(high, low, d)
	i.low, i.hasLow = bound(lowText, d)
	i.high, i.hasHigh = bound(highText, d)
	if i.hasLow && i.hasHigh && i.low >= i.high {
		panic(fmt.Sprintf("scenarios: the range %q is empty", tag))
	}
	i.words = i.say(pick(low == "0", low, lowText), pick(high == "0", high, highText))
	return i
}

// completeBound gives a bound without a unit that of the other.
func completeBound(text, other string, d *dimensionInfo) string {
	if text == "" || d.bare {
		return text
	}
	if decimalLength(strings.TrimPrefix(text, "-")) == len(strings.TrimPrefix(text, "-")) {
		unitText := strings.TrimLeft(other, "-+0123456789.eE ")
		if unitText == "" && len(d.units) == 1 {
			unitText = d.units[0].name
		}
		if unitText == "" {
			panic(fmt.Sprintf("scenarios: the bound %q needs a unit", text))
		}
		text += " " + unitText
	}
	return text
}

// bound reads one side of a range.
func bound(text string, d *dimensionInfo) (value float64, bounded bool) {
	if text == "" {
		return 0, false
	}
	value, err := ParseQuantity(text, d.name)
	if err != nil {
		panic("scenarios: range: " + err.Error())
	}
	return value, true
}

// say words an interval for a message, with its bounds as the tag writes them.
func (i *interval) say(low, high string) string {
	var parts []string
	if i.hasLow {
		parts = append(parts, pick(i.openLow, "above ", "at least ")+low)
	}
	if i.hasHigh {
		parts = append(parts, pick(i.openHigh, "below ", "at most ")+high)
	}
	return strings.Join(parts, " and ")
}

func pick(first bool, a, b string) string {
	if first {
		return a
	}
	return b
}

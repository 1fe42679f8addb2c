package scenarios

import (
	"encoding/json"
	"reflect"
	"regexp"
	"strconv"
	"strings"

	"github.com/invopop/jsonschema"
)

// A SchemaGiver is a NodeDecoder that can describe its shape to editors; others
// are described as anything at all.
type SchemaGiver interface{ JSONSchema() *jsonschema.Schema }

// Schema describes the files that load into the struct that target points to,
// as a JSON Schema (2020-12) by which editors complete and check while typing.
// It accepts every file that Load accepts, written in the usual spellings; Load
// is stricter, as it checks ranges of quantities and what lies in other files.
func Schema(target any, title string) *jsonschema.Schema {
	t := reflect.TypeOf(target)
	if t == nil || t.Kind() != reflect.Pointer || t.Elem().Kind() != reflect.Struct {
		panic("scenarios: a schema is made for a pointer to a struct")
	}
	b := &schemaBuilder{defs: jsonschema.Definitions{}, names: map[structUse]string{}}
	root := b.structure(shapeOfStruct(t.Elem()), false)
	root.Version = jsonschema.Version
	root.Title = title
	root.Definitions = b.defs
	return root
}

// A structUse is a struct in one of two uses: whole, or only the values that
// change what another file says, when nothing is required.
type structUse struct {
	typ     reflect.Type
	changes bool
}

// A schemaBuilder collects the definitions of structs, each made once.
type schemaBuilder struct {
	defs  jsonschema.Definitions
	names map[structUse]string
}

// structure returns a reference to the definition of a struct.
func (b *schemaBuilder) structure(s *structShape, changes bool) *jsonschema.Schema {
	use := structUse{s.typ, changes}
	name, known := b.names[use]
	if !known {
		name = b.newName(use)
		b.names[use] = name
		b.defs[name] = &jsonschema.Schema{} // holds the name while inner structs are described
		if s.overlay && !changes {
			b.defs[name] = b.wholeOrChanges(s)
		} else {
			b.defs[name] = b.object(s, changes)
		}
	}
	return &jsonschema.Schema{Ref: "#/$defs/" + name}
}

// newName makes a name that no other definition has.
func (b *schemaBuilder) newName(use structUse) string {
	base := use.typ.Name() + pick(use.changes, "Changes", "")
	name := base
	for i := 2; b.defs[name] != nil; i++ {
		name = base + strconv.Itoa(i)
	}
	return name
}

// wholeOrChanges describes a struct that may start from a file: with "from" all
// else is optional.
func (b *schemaBuilder) wholeOrChanges(s *structShape) *jsonschema.Schema {
	return &jsonschema.Schema{
		If:   &jsonschema.Schema{Required: []string{fromKey}},
		Then: b.structure(s, true),
		Else: b.object(s, false),
	}
}

func (b *schemaBuilder) object(s *structShape, changes bool) *jsonschema.Schema {
	o := &jsonschema.Schema{
		Type:                 "object",
		Properties:           jsonschema.NewProperties(),
		AdditionalProperties: jsonschema.FalseSchema,
	}
	if s.overlay {
		o.Properties.Set(fromKey, fileName())
	}
	for i := range s.fields {
		f := &s.fields[i]
		if f.each != "" {
			common := b.value(f.shape.elem, true)
			common.Description = "values common to all " + f.key + "; what one says itself wins"
			o.Properties.Set(f.each, common)
		}
		o.Properties.Set(f.key, b.field(f, changes))
		if f.required && !changes {
			o.Required = append(o.Required, f.key)
		}
	}
	return o
}

func fileName() *jsonschema.Schema {
	return &jsonschema.Schema{Type: "string", Description: "the file to start from; all else here changes single values of it"}
}

func (b *schemaBuilder) field(f *fieldShape, changes bool) *jsonschema.Schema {
	var s *jsonschema.Schema
	if f.each != "" { // an entry is completed by the common values
		s = b.dictionary(f.shape, true)
	} else {
		s = b.value(f.shape, changes)
	}
	description := f.doc
	if limit := limitOf(f.shape); limit != "" {
		description = strings.TrimPrefix(description+"; "+limit, "; ")
	}
	s.Description = description
	if f.fallback != "" {
		s.Default = f.fallback
	}
	return s
}

// limitOf words the range of a field.
func limitOf(s *shape) string {
	for s.elem != nil {
		s = s.elem
	}
	if s.limit == nil {
		return ""
	}
	return s.limit.words
}

func (b *schemaBuilder) value(s *shape, changes bool) *jsonschema.Schema {
	switch s.kind {
	case quantityShape:
		return quantitySchema(s.dim)
	case wholeShape:
		return wholeSchema(s)
	case wordShape:
		return wordSchema(s.words)
	case flagShape:
		return &jsonschema.Schema{Enum: []any{true, false, "yes", "no"}}
	case listShape:
		return &jsonschema.Schema{Type: "array", Items: b.value(s.elem, false)}
	case dictionaryShape:
		return b.dictionary(s, changes)
	case optionShape:
		return b.option(s, changes)
	case structureShape:
		if s.body.overlay {
			return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{fileName(), b.structure(s.body, changes)}}
		}
		return b.structure(s.body, changes)
	case choiceShape:
		return b.choice(s)
	case customShape:
		if giver, ok := reflect.New(s.typ).Interface().(SchemaGiver); ok {
			given := *giver.JSONSchema()
			return &given
		}
		return &jsonschema.Schema{}
	}
	return &jsonschema.Schema{Type: "string"}
}

func (b *schemaBuilder) dictionary(s *shape, changes bool) *jsonschema.Schema {
	return &jsonschema.Schema{Type: "object", AdditionalProperties: b.value(s.elem, changes)}
}

func (b *schemaBuilder) option(s *shape, changes bool) *jsonschema.Schema {
	inner := b.value(s.elem, changes)
	if !s.elem.canBeNone() {
		return inner
	}
	return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{inner, {Const: noneWord, Description: "leave this part out"}}}
}

func (b *schemaBuilder) choice(s *shape) *jsonschema.Schema {
	c := &jsonschema.Schema{}
	for _, kind := range s.kinds {
		one := b.structure(kind.body, false)
		one.Description = kind.Doc
		one.Required = []string{kind.Key}
		c.AnyOf = append(c.AnyOf, one)
	}
	return c
}

func wordSchema(words []string) *jsonschema.Schema {
	s := &jsonschema.Schema{Type: "string"}
	for _, word := range words {
		s.Enum = append(s.Enum, word)
	}
	return s
}

func wholeSchema(s *shape) *jsonschema.Schema {
	whole := &jsonschema.Schema{Type: "integer"}
	if s.typ.Kind() >= reflect.Uint && s.typ.Kind() <= reflect.Uint64 {
		whole.Minimum = "0"
	}
	if s.limit == nil {
		return whole
	}
	low, high := json.Number(trimFloat(s.limit.low)), json.Number(trimFloat(s.limit.high))
	switch {
	case s.limit.hasLow && s.limit.openLow:
		whole.ExclusiveMinimum = low
	case s.limit.hasLow:
		whole.Minimum = low
	}
	switch {
	case s.limit.hasHigh && s.limit.openHigh:
		whole.ExclusiveMaximum = high
	case s.limit.hasHigh:
		whole.Maximum = high
	}
	return whole
}

// quantitySchema describes a quantity as a text of number and unit; where a bare
// number will do, also as a number.
func quantitySchema(d *dimensionInfo) *jsonschema.Schema {
	text := &jsonschema.Schema{Type: "string", Pattern: quantityPattern(d)}
	for _, example := range d.examples() {
		text.Examples = append(text.Examples, example)
	}
	if !d.bare {
		return text
	}
	return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{{Type: "number"}, text}}
}

const (
	wholePattern   = `[0-9]+`
	numberPattern  = `(?:(?:[0-9]+[ -]+)?[0-9]+/[0-9]+|(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?)`
	gaugePattern   = `^(?:` + wholePattern + `|[1-4]/0) *AWG$`
	spacePattern   = "[ \u00a0\u202f\u2009]*"
	productPattern = "[ ·\u22c5\u2219\u2022*\u2011\u2013-]"
)

// quantityPattern is the regular expression of a quantity, in the syntax that
// ECMAScript and Go share.
func quantityPattern(d *dimensionInfo) string {
	if d.name == "wire gauge" {
		return gaugePattern
	}
	var units []string
	for _, u := range d.units {
		for _, spelling := range append([]string{u.name}, u.also...) {
			units = append(units, unitPattern(spelling))
		}
	}
	part := numberPattern + spacePattern + "(?:" + strings.Join(units, "|") + ")"
	return "^[-+\u2212]?" + part + "(?: +" + part + ")*$"
}

// unitPattern matches the spellings that unitKey brings together.
func unitPattern(spelling string) string {
	var b strings.Builder
	for _, r := range unitKey(spelling) {
		switch r {
		case '·':
			b.WriteString(" ?" + productPattern + " ?")
		case '/':
			b.WriteString(" ?/ ?")
		case '²':
			b.WriteString(`(?:²|\^2|2)`)
		case 'Ω':
			b.WriteString("[\u03a9\u2126]")
		case '°':
			b.WriteString("[°\u00ba\u02da] ?")
		default:
			b.WriteString(regexp.QuoteMeta(string(r)))
		}
	}
	return b.String()
}

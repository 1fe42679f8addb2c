package scenarios

import (
	"fmt"
	"strings"

	"github.com/invopop/jsonschema"

	"slatbench/sim/sizing"
)

// sizeLimits reads the limits: an aspect with its pass and fail each, the grade of
// holding open, and the charge floor.
type sizeLimits struct {
	Located
	given map[sizing.Aspect]sizing.Limit
	grade *float64
	floor *float64
}

// sizeLimit is one aspect's, as texts: their dimension depends on the aspect.
type sizeLimit struct {
	Located
	Pass string `yaml:"pass,required" doc:"up to here an answer passes"`
	Fail string `yaml:"fail,required" doc:"beyond this it fails"`
}

const (
	gradeKey = "grade"
	floorKey = "charge floor"
)

// aspectKey is an aspect as files spell it.
func aspectKey(a sizing.Aspect) string { return strings.ReplaceAll(a.Info().ID, "-", " ") }

func limitKeys() []string {
	keys := []string{gradeKey, floorKey}
	for a := range sizing.Aspects {
		keys = append(keys, aspectKey(a))
	}
	return keys
}

// DecodeNode implements NodeDecoder.
func (l *sizeLimits) DecodeNode(d *Decoder, n *Node) error {
	if !d.expect(n, Mapping, `keys with values such as "opening time: {pass: 8 s, fail: 12 s}"`) {
		return nil
	}
	d.unknownKeys(n, limitKeys())
	l.given = map[sizing.Aspect]sizing.Limit{}
	for _, pair := range n.Pairs {
		switch pair.Key {
		case gradeKey:
			l.grade = l.ratio(d, pair, 0.2)
		case floorKey:
			l.floor = l.ratio(d, pair, 1)
		}
	}
	for a := range sizing.Aspects {
		if v := n.Get(aspectKey(a)); v != nil {
			l.limit(d, a, v)
		}
	}
	return nil
}

func (l *sizeLimits) ratio(d *Decoder, pair Pair, most float64) *float64 {
	x, ok := d.quantityOf(pair.Value, pair.Key, "ratio")
	if !ok {
		return nil
	}
	if x < 0 || x > most {
		d.report.Add(pair.Value.Pos, fmt.Sprintf("%s: %s is out of range, it must be at least 0 and at most %g %%", pair.Key, quoted(pair.Value.Text), 100*most), "")
		return nil
	}
	return &x
}

func (l *sizeLimits) limit(d *Decoder, a sizing.Aspect, n *Node) {
	i := a.Info()
	var text sizeLimit
	before := len(d.report.problems)
	d.within(aspectKey(a), func() { d.Into(n, &text) })
	if len(d.report.problems) > before {
		return
	}
	pass, ok := d.quantityOf(n.Get("pass"), aspectKey(a)+", pass", i.Dimension)
	fail, fine := d.quantityOf(n.Get("fail"), aspectKey(a)+", fail", i.Dimension)
	if !ok || !fine {
		return
	}
	if (pass > fail) != i.More {
		than := "above"
		if !i.More {
			than = "below"
		}
		d.report.Add(n.Pos, fmt.Sprintf("%s: pass is expected %s fail", aspectKey(a), than), "")
		return
	}
	l.given[a] = sizing.Limit{Pass: pass, Fail: fail}
}

// quantityOf reads a quantity of a dimension that is known only here, temperatures
// into °C.
func (d *Decoder) quantityOf(n *Node, key, dimension string) (float64, bool) {
	text, ok := d.Text(n)
	if !ok {
		return 0, false
	}
	x, err := ParseQuantity(text, Dimension(dimension))
	if err != nil {
		q := err.(*QuantityError)
		d.report.Add(n.Pos, key+": "+q.Message, q.Hint)
		return 0, false
	}
	if dimension == "temperature" {
		x = celsius(x)
	}
	return x, true
}

func (l *sizeLimits) apply(to *sizing.Limits) {
	take(&to.Grade, l.grade)
	take(&to.ChargeFloor, l.floor)
	for a, limit := range l.given {
		to.Of[a] = limit
	}
}

// JSONSchema implements SchemaGiver.
func (*sizeLimits) JSONSchema() *jsonschema.Schema {
	s := &jsonschema.Schema{Type: "object", Properties: jsonschema.NewProperties(), AdditionalProperties: jsonschema.FalseSchema}
	ratio := func(doc string) *jsonschema.Schema {
		q := *quantitySchema(dimensionsByName["ratio"])
		q.Description = doc
		return &q
	}
	s.Properties.Set(gradeKey, ratio("rise over run, either way, on which the door must stay open"))
	s.Properties.Set(floorKey, ratio("charge below which the battery is charged again"))
	for a := range sizing.Aspects {
		one := &jsonschema.Schema{Type: "object", Properties: jsonschema.NewProperties(), AdditionalProperties: jsonschema.FalseSchema, Required: []string{"pass", "fail"}}
		one.Description = a.Info().Name
		for _, key := range one.Required {
			one.Properties.Set(key, quantitySchema(dimensionsByName[Dimension(a.Info().Dimension)]))
		}
		s.Properties.Set(aspectKey(a), one)
	}
	return s
}

// sizeTolerances reads them: an input with a half-width each.
type sizeTolerances struct {
	Located
	list []sizing.Tolerance
}

// DecodeNode implements NodeDecoder.
func (t *sizeTolerances) DecodeNode(d *Decoder, n *Node) error {
	if !d.expect(n, Mapping, `keys with values such as "mass: 3 %"`) {
		return nil
	}
	d.unknownKeys(n, sizing.InputNames())
	for _, pair := range n.Pairs {
		in := sizing.FindInput(pair.Key)
		if in == nil {
			continue
		}
		text, ok := d.Text(pair.Value)
		if !ok {
			continue
		}
		one, err := parseTolerance(in, text)
		if err != nil {
			q := err.(*QuantityError)
			d.report.Add(pair.Value.Pos, pair.Key+": "+q.Message, q.Hint)
			continue
		}
		t.list = append(t.list, one)
	}
	return nil
}

// parseTolerance reads a half-width: per cent of what is stated, or in the unit of
// the input. Of an input that is itself a ratio, per cent are its own.
func parseTolerance(in *sizing.Input, text string) (sizing.Tolerance, error) {
	text = strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(strings.TrimSpace(text), "±"), "+-"))
	t := sizing.Tolerance{Input: in}
	dimension := Dimension(in.Dimension)
	switch {
	case dimension == "temperature":
		dimension = "temperature difference"
	case dimension == "wire gauge":
		return t, &QuantityError{Message: "a wire gauge has no tolerance", Hint: "vary the harness length instead"}
	case dimension != "ratio" && strings.HasSuffix(text, "%"):
		dimension, t.Share = "percent", true
	}
	by, err := ParseQuantity(text, dimension)
	if err != nil {
		return t, err
	}
	if by < 0 || t.Share && by >= 1 {
		return t, &QuantityError{Message: quoted(text) + " is no tolerance, it must be at least 0 and below 100 %"}
	}
	t.By = by
	return t, nil
}

// JSONSchema implements SchemaGiver.
func (*sizeTolerances) JSONSchema() *jsonschema.Schema {
	s := &jsonschema.Schema{Type: "object", Properties: jsonschema.NewProperties(), AdditionalProperties: jsonschema.FalseSchema}
	for i := range sizing.Inputs {
		in := &sizing.Inputs[i]
		s.Properties.Set(in.Name, &jsonschema.Schema{Type: "string", Description: "half-width, in per cent of what is stated or in its unit: " + in.Doc, Examples: []any{"5 %"}})
	}
	return s
}

// ToleranceList is what the file states of tolerances, in its order.
func (f *SizeFile) ToleranceList() []sizing.Tolerance { return f.Tolerances.list }

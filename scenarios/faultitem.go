package scenarios

import (
	"fmt"
	"slices"
	"strings"

	"github.com/invopop/jsonschema"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// FaultItem is one fault of a scenario. A key names its kind and the value its
// place; the other keys are its time and its parameters:
//
//	{obstruction: C1, from: 10 s, height: 300 mm, stiffness: 20 N/mm}
type FaultItem struct {
	Located
	Kind   fault.Kind
	Place  string
	From   float64 // s
	Until  float64 // s; 0 is to the end
	Values map[string]float64
}

// Keys of a fault that are not parameters.
const (
	faultFrom  = "from"
	faultUntil = "until"
)

// DecodeNode implements NodeDecoder.
func (f *FaultItem) DecodeNode(d *Decoder, n *Node) error {
	if n.Kind != Mapping {
		return fmt.Errorf("found %s, expected a fault such as {obstruction: C1, from: 10 s, height: 300 mm}", n.Kind)
	}
	found := false
	for _, p := range n.Pairs {
		if k, ok := fault.Find(p.Key); ok && !found {
			f.Kind, found = k, true
			f.Place, _ = d.Text(p.Value)
		}
	}
	if !found {
		d.unknownKind(n)
		return nil
	}
	f.Values = map[string]float64{}
	for _, p := range n.Pairs {
		f.key(d, p)
	}
	if _, err := f.Kind.New(0, f.Values); err != nil && d.Report().Clean() {
		return err
	}
	return nil
}

// unknownKind tells that no key of a fault names a kind, with the nearest one.
func (d *Decoder) unknownKind(n *Node) {
	var kinds []string
	for _, k := range fault.Kinds() {
		kinds = append(kinds, k.Name)
	}
	for _, p := range n.Pairs {
		if near := nearest(p.Key, kinds); near != "" {
			d.Report().Add(p.Pos, fmt.Sprintf("unknown kind of fault %q", p.Key), fmt.Sprintf("did you mean %q?", near))
			return
		}
	}
	d.Report().Add(n.Pos, "no key names a kind of fault", "slatbench list faults shows them")
}

func (f *FaultItem) key(d *Decoder, p Pair) {
	switch {
	case p.Key == f.Kind.Name:
	case p.Key == faultFrom:
		f.From, _ = d.Quantity(p.Value, "time")
		f.checkTime(d, p, f.From)
	case p.Key == faultUntil:
		f.Until, _ = d.Quantity(p.Value, "time")
		f.checkTime(d, p, f.Until)
	default:
		i, ok := f.Kind.Param(p.Key)
		if !ok {
			f.unknownKey(d, p)
			return
		}
		f.param(d, p, &f.Kind.Params[i])
	}
}

func (f *FaultItem) checkTime(d *Decoder, p Pair, seconds float64) {
	if seconds < 0 {
		d.Report().Add(p.Value.Pos, "a time before the start of the run", "")
	}
}

func (f *FaultItem) param(d *Decoder, p Pair, param *fault.Param) {
	if len(param.Words) > 0 {
		if word, ok := d.Word(p.Value, param.Words); ok {
			f.Values[param.Name] = float64(slices.Index(param.Words, word))
		}
		return
	}
	v, ok := d.Quantity(p.Value, Dimension(param.Unit))
	if !ok {
		return
	}
	if v < param.Min || v > param.Max {
		d.Report().Add(p.Value.Pos, fmt.Sprintf("%s of %s is out of range", param.Name, p.Value.Text),
			fmt.Sprintf("from %s to %s", FormatQuantity(param.Min, Dimension(param.Unit)), FormatQuantity(param.Max, Dimension(param.Unit))))
		return
	}
	f.Values[param.Name] = v
}

func (f *FaultItem) keys() []string {
	keys := []string{f.Kind.Name, faultFrom, faultUntil}
	for _, p := range f.Kind.Params {
		keys = append(keys, p.Name)
	}
	return keys
}

func (f *FaultItem) unknownKey(d *Decoder, p Pair) {
	if k, ok := fault.Find(p.Key); ok {
		d.Report().Add(p.Pos, fmt.Sprintf("%q and %q are two kinds of fault in one item", f.Kind.Name, k.Name), "give each an item of its own")
		return
	}
	hint := "known are: " + strings.Join(f.keys(), ", ")
	if near := nearest(p.Key, f.keys()); near != "" {
		hint = fmt.Sprintf("did you mean %q? ", near) + hint
	}
	d.Report().Add(p.Pos, fmt.Sprintf("%s has no %q", f.Kind.Name, p.Key), hint)
}

// check judges place and times against the scenario.
func (f *FaultItem) check(r *Report, sc *Scenario) {
	at := f.PosOf(f.Kind.Name)
	var want []string
	switch f.Kind.Place {
	case fault.OnBay:
		want = sc.Truck.Bays.Keys()
	case fault.OnSide:
		want = sideWord("").Words()
	default:
		want = []string{f.Kind.Part}
	}
	if !slices.Contains(want, f.Place) {
		r.Add(at, fmt.Sprintf("%s is on a %s, and there is no %q", f.Kind.Name, f.Kind.Place, f.Place), wordHint(f.Place, want))
	}
	if f.Until != 0 && f.Until <= f.From {
		r.Add(f.PosOf(faultUntil), "a fault that ends before it begins", "")
	}
	if f.From >= sc.Duration {
		r.Add(f.PosOf(faultFrom), "a fault that begins after the end of the run", "")
	}
}

// scheduled is the fault as the bench brings it on.
func (f *FaultItem) scheduled(sc *Scenario) (sim.Scheduled, error) {
	place := 0
	switch f.Kind.Place {
	case fault.OnBay:
		place = sc.bay(f.Place)
	case fault.OnSide:
		place = int(sideWord(f.Place).side())
	}
	made, err := f.Kind.New(place, f.Values)
	return sim.Scheduled{Fault: made, From: sc.steps(f.From), To: sc.steps(f.Until)}, err
}

// JSONSchema implements SchemaGiver: one alternative a kind of fault.
func (FaultItem) JSONSchema() *jsonschema.Schema {
	s := &jsonschema.Schema{Description: "one fault: its kind with its place, its time, and how bad it is"}
	for _, k := range fault.Kinds() {
		s.OneOf = append(s.OneOf, faultSchema(&k))
	}
	return s
}

func faultSchema(k *fault.Kind) *jsonschema.Schema {
	props := jsonschema.NewProperties()
	place := &jsonschema.Schema{Type: "string", Description: k.Doc}
	if k.Place == fault.OnTruck {
		place.Enum = []any{k.Part}
	}
	if k.Place == fault.OnSide {
		place.Enum = []any{model.Curbside.String(), model.Roadside.String()}
	}
	props.Set(k.Name, place)
	props.Set(faultFrom, describedQuantity("time", "when it begins"))
	props.Set(faultUntil, describedQuantity("time", "when it ends; left out, it stays"))
	for _, p := range k.Params {
		if len(p.Words) > 0 {
			words := &jsonschema.Schema{Type: "string", Description: p.Doc}
			for _, w := range p.Words {
				words.Enum = append(words.Enum, w)
			}
			props.Set(p.Name, words)
			continue
		}
		props.Set(p.Name, describedQuantity(Dimension(p.Unit), p.Doc))
	}
	return &jsonschema.Schema{Type: "object", Properties: props, Required: []string{k.Name}, AdditionalProperties: jsonschema.FalseSchema}
}

func describedQuantity(dimension Dimension, doc string) *jsonschema.Schema {
	s := quantitySchema(dimensionsByName[dimension])
	s.Description = doc
	return s
}

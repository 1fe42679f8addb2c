package scenarios

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"slatbench/sim/sizing"
)

// A SizeFlag is a part of a question given on the command line, in the compact
// notation: "wire 0.218 in, inside 2 in, length 28 in, turns 6.6". It is the part of
// the file without colons and braces: keys and quantities with their units, apart
// by commas.
type SizeFlag struct {
	Name string // door, spring, battery, harness, tolerances, temperature, grade or turns
	Text string
}

// LoadSize reads a size file and lays flags over it. The error is of type Problems;
// what is wrong with a flag has its place there.
func (l *Loader) LoadSize(name string, flags []SizeFlag) (*SizeFile, error) {
	src, data, err := l.open(name, source{})
	if err != nil {
		return nil, Problems{l.missing(&Node{Kind: Scalar, Text: name}, source{}, err, SizeKind)}
	}
	s := shapeOfStruct(reflect.TypeFor[SizeFile]())
	report := &Report{files: []string{src.name}}
	root, err := parseFile(src.name, data)
	if err != nil {
		return nil, err
	}
	if root.Kind != Mapping {
		report.Add(root.Pos, fmt.Sprintf("found %s, expected keys with values such as %s", root.Kind, s.sampleKeys()), "")
		return nil, report.Err()
	}
	if other := otherKind(root, s); other != nil {
		return nil, Problems{other}
	}
	r := &resolver{loader: l, report: report}
	if root = r.structure(root, s, []source{src}); root == nil {
		return nil, report.Err()
	}
	root = r.applySets(root, s, l.Set)
	n := notation{report: report, shape: s}
	root = n.lay(r, root, flags)
	d := &Decoder{report: report}
	var f SizeFile
	d.structure(root, s, reflect.ValueOf(&f).Elem())
	d.finish()
	if err := report.Err(); err != nil {
		return nil, err
	}
	return &f, nil
}

// notation turns flags into nodes.
type notation struct {
	report *Report
	shape  *structShape
}

// turnsKey is how --spring says the initial turns.
const turnsKey = "turns"

// lay lays the flags over a file. Springs of the command line take the place of all
// that the file says of springs but their shaft.
func (n *notation) lay(r *resolver, root *Node, flags []SizeFlag) *Node {
	var springs []*Node
	for _, f := range flags {
		at := Pos{File: "--" + f.Name}
		switch f.Name {
		case "spring":
			one := n.mapping(f, append(n.field("springs").shape.body.field("list").shape.elem.body.keys(), turnsKey))
			if turns := one.Get(turnsKey); turns != nil {
				root = n.over(r, root, []string{"springs", "initial turns"}, bareTurns(turns))
				one = one.without(turnsKey)
			}
			if len(one.Pairs) > 0 {
				springs = append(springs, one)
			}
		case "temperature", "grade":
			root = n.over(r, root, []string{"place", f.Name}, &Node{Kind: Scalar, Text: strings.TrimSpace(f.Text), Pos: at})
		case "turns":
			root = n.over(r, root, []string{"springs", "initial turns"}, bareTurns(&Node{Kind: Scalar, Text: strings.TrimSpace(f.Text), Pos: at}))
		case "tolerances":
			root = n.over(r, root, []string{f.Name}, n.mapping(f, sizing.InputNames()))
		default:
			part := n.mapping(f, n.field(f.Name).shape.body.keys())
			root = n.over(r, n.making(root, f.Name, part), []string{f.Name}, part)
		}
	}
	if len(springs) == 0 {
		return root
	}
	at := Pos{File: "--spring"}
	if old := root.Get("springs"); old != nil && old.Kind == Mapping {
		root = root.with(Pair{"springs", at, old.without("rate").without("list")})
	}
	if rate := n.rateOnly(springs, at); rate != nil {
		return n.over(r, root, []string{"springs", "rate"}, rate)
	}
	return n.over(r, root, []string{"springs", "list"}, &Node{Kind: List, Items: springs, Pos: at})
}

// rateOnly is the rate of all springs together, where the command line says nothing
// else of them; nil where it tells of wire.
func (n *notation) rateOnly(springs []*Node, at Pos) *Node {
	for _, one := range springs {
		rate := one.Get("rate")
		switch {
		case rate == nil || one.Get("wire") != nil:
		case len(springs) > 1 || len(one.Pairs) > 1:
			n.report.Add(at, "without its wire nothing but the rate is known of a spring, and it stands for all springs together", `write it like "rate 21 in-lbf/turn, turns 6.5"`)
			return rate
		default:
			return rate
		}
	}
	return nil
}

// displaced are the keys of the file that a key of the command line takes the place
// of: another harness, or a mass instead of slats.
var displaced = map[string]map[string][]string{
	"harness": {
		"wire":       {"wire", "length", "back", "resistance", "return", "connectors"},
		"resistance": {"wire", "length", "back", "resistance", "return", "connectors"},
	},
	"door": {
		"mass":   {"slats", "slat mass", "slat height", "bottom bar"},
		"slats":  {"mass", "length"},
		"height": {"length", "vertical"},
	},
}

// making takes away from the file what a part of the command line displaces.
func (n *notation) making(root *Node, name string, part *Node) *Node {
	old := root.Get(name)
	if old == nil || old.Kind != Mapping {
		return root
	}
	for _, pair := range part.Pairs {
		for _, key := range displaced[name][pair.Key] {
			old = old.without(key)
		}
	}
	return root.with(Pair{name, old.Pos, old})
}

// field is a key of the file; the names of flags are known to be such.
func (n *notation) field(key string) *fieldShape {
	f := n.shape.field(key)
	if f == nil {
		panic("scenarios: a size file has no " + key)
	}
	return f
}

// over lays one value over the file.
func (n *notation) over(r *resolver, root *Node, path []string, value *Node) *Node {
	for _, key := range slices.Backward(path) {
		value = &Node{Kind: Mapping, Pos: value.Pos, Pairs: []Pair{{key, value.Pos, value}}}
	}
	merged := r.merge(root, value, n.shape)
	merged.Pos, merged.base = root.Pos, root.base
	return merged
}

// bareTurns lets turns go without their unit, as their key says it.
func bareTurns(v *Node) *Node {
	if _, err := ParseQuantity(v.Text, "number"); err == nil {
		return &Node{Kind: Scalar, Text: v.Text + " turns", Pos: v.Pos}
	}
	return v
}

// mapping reads "key quantity, key quantity".
func (n *notation) mapping(f SizeFlag, keys []string) *Node {
	at := Pos{File: "--" + f.Name}
	out := &Node{Kind: Mapping, Pos: at}
	for _, part := range strings.Split(f.Text, ",") {
		part = strings.Join(strings.Fields(part), " ")
		if part == "" {
			continue
		}
		key, value := splitPart(part, keys)
		switch {
		case key == "":
			word := wordsBeforeNumber(part)
			n.report.Add(at, "unknown key "+quoted(word), didYouMean(word, keys, "valid keys"))
		case value == "":
			n.report.Add(at, key+": no value", fmt.Sprintf("write it like %q", key+" 1.5 and its unit"))
		case out.Get(key) != nil:
			n.report.Add(at, key+" is given twice", "")
		default:
			out.Pairs = append(out.Pairs, Pair{key, at, &Node{Kind: Scalar, Text: value, Pos: at}})
		}
	}
	if len(out.Pairs) == 0 && n.report.Clean() {
		n.report.Add(at, "nothing is given", fmt.Sprintf("keys with quantities, apart by commas: %s", strings.Join(keys, ", ")))
	}
	return out
}

// splitPart finds the longest key that a part begins with.
func splitPart(part string, keys []string) (key, value string) {
	for _, k := range keys {
		if rest, ok := strings.CutPrefix(part, k); ok && len(k) > len(key) && (rest == "" || rest[0] == ' ') {
			key, value = k, strings.TrimSpace(rest)
		}
	}
	return key, value
}

// wordsBeforeNumber is what stands for the key in a part that has none.
func wordsBeforeNumber(part string) string {
	if i := strings.IndexAny(part, "0123456789-+."); i > 0 {
		return strings.TrimSpace(part[:i])
	}
	return part
}

// Axis lengths of a sweep that says none.
const (
	axisX, axisY = 11, 9
	mostAxis     = 200
)

// ParseAxis reads an axis of a study, "temperature=-30..45C" or, with the number of
// values, "charge=20..100%:9". The unit of the second value serves for the first.
// first tells which of the two axes it is.
func ParseAxis(text string, first bool) (sizing.Axis, error) {
	name, span, found := strings.Cut(text, "=")
	name = strings.ReplaceAll(strings.TrimSpace(name), "-", " ")
	fail := func(hint, format string, args ...any) (sizing.Axis, error) {
		return sizing.Axis{}, &QuantityError{Message: fmt.Sprintf(format, args...), Hint: hint}
	}
	if !found {
		return fail(`write it like "temperature=-30..45C"`, "%s is no axis", quoted(text))
	}
	in := sizing.FindInput(name)
	if in == nil {
		return fail(didYouMean(name, sizing.InputNames(), "inputs"), "unknown input %s", quoted(name))
	}
	n := axisY
	if first {
		n = axisX
	}
	span, number, counted := strings.Cut(span, ":")
	if counted {
		if _, err := fmt.Sscanf(strings.TrimSpace(number)+"\n", "%d\n", &n); err != nil || n < 2 || n > mostAxis {
			return fail("", "%s: %s is no number of values, expected 2 to %d", name, quoted(number), mostAxis)
		}
	}
	lowText, highText, found := strings.Cut(span, "..")
	if !found {
		return fail(fmt.Sprintf("write it like %q", name+"=LOW..HIGH"), "%s: %s is no range", name, quoted(span))
	}
	lowText, highText = strings.TrimSpace(lowText), strings.TrimSpace(highText)
	if bare := strings.TrimLeft(lowText, "+-\u2212"); decimalLength(bare) == len(bare) {
		digits := strings.TrimLeft(highText, "+-\u2212")
		lowText += " " + strings.TrimSpace(digits[decimalLength(digits):])
	}
	low, err := axisValue(in, lowText)
	if err != nil {
		return sizing.Axis{}, err
	}
	high, err := axisValue(in, highText)
	if err != nil {
		return sizing.Axis{}, err
	}
	if !(low < high) {
		return fail("", "%s: expected the lower value first, found %s", name, quoted(span))
	}
	return in.Spread(low, high, n), nil
}

// axisValue reads one end and holds it against what the input can be.
func axisValue(in *sizing.Input, text string) (float64, error) {
	x, err := ParseQuantity(text, Dimension(in.Dimension))
	if err != nil {
		q := err.(*QuantityError)
		return 0, &QuantityError{Message: in.Name + ": " + q.Message, Hint: q.Hint}
	}
	if in.Dimension == "temperature" {
		x = celsius(x)
	}
	const rounding = 1e-9
	if x < in.Low-rounding || x > in.High+rounding {
		return 0, &QuantityError{Message: fmt.Sprintf("%s: %s is out of range, it must be at least %.4g and at most %.4g %s", in.Name, quoted(text), in.Low*in.Scale, in.High*in.Scale, in.Unit)}
	}
	return max(in.Low, min(in.High, x)), nil
}

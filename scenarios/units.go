package scenarios

import (
	"fmt"
	"math/big"
	"strings"
)

// Dimension names what a quantity measures, in the words that struct tags and
// messages use: "mass", "torque per turn", "temperature difference".
type Dimension string

// A unit is one way to write a quantity. A value v in this unit is
// (v + offset)·factor in the SI unit of its dimension.
type unit struct {
	name   string   // the spelling that messages use
	also   []string // other accepted spellings, beyond those that unitKey unifies
	factor string   // product and quotient of exact decimals, e.g. "0.45359237*9.80665"
	offset string   // added before the factor; only temperatures have one
	next   string   // the smaller unit that may follow in a compound: ft, then in
	show   bool     // FormatQuantity may choose it

	scale, shift *big.Rat // factor and offset, computed once
}

// A dimensionInfo is a dimension with its units; the first is its SI unit (the
// one that values are kept in).
type dimensionInfo struct {
	name  Dimension
	label string // with its article, for messages: "a mass"
	bare  bool   // a number without a unit is accepted
	units []*unit

	byKey map[string]*unit
}

// Exact by definition: the inch is 25.4 mm and the pound 0.45359237 kg
// (international yard and pound agreement, 1959); standard gravity is
// 9.80665 m/s² (3rd CGPM, 1901). Pi is given to 40 digits, far beyond float64.
const (
	exactInch  = "0.0254"
	exactFoot  = "0.3048"
	exactPound = "0.45359237"
	exactLbf   = "0.45359237*9.80665"
	exactPi    = "3.1415926535897932384626433832795028841972"
)

// dimensions lists every dimension a file can speak of. Units keep the order
// in which messages list them.
var dimensions = []*dimensionInfo{
	{name: "length", label: "a length", units: []*unit{
		{name: "m", show: true}, {name: "mm", factor: "0.001", show: true}, {name: "cm", factor: "0.01"}, {name: "km", factor: "1000"},
		{name: "in", factor: exactInch}, {name: "ft", factor: exactFoot, next: "in"}}},
	{name: "area", label: "an area", units: []*unit{
		{name: "m²", show: true}, {name: "mm²", factor: "0.000001", show: true}, {name: "cm²", factor: "0.0001"},
		{name: "in²", factor: exactInch + "*" + exactInch}, {name: "ft²", factor: exactFoot + "*" + exactFoot}}},
	{name: "mass", label: "a mass", units: []*unit{
		{name: "kg", show: true}, {name: "g", factor: "0.001", show: true},
		{name: "lb", factor: exactPound, next: "oz"}, {name: "oz", factor: exactPound + "/16"}}},
	{name: "mass per length", label: "a mass per length", units: []*unit{
		{name: "kg/m", show: true}, {name: "g/m", factor: "0.001", show: true}, {name: "lb/ft", factor: exactPound + "/" + exactFoot}}},
	{name: "force", label: "a force", units: []*unit{
		{name: "N", show: true}, {name: "kN", factor: "1000", show: true}, {name: "mN", factor: "0.001", show: true},
		{name: "lbf", factor: exactLbf}, {name: "ozf", factor: exactLbf + "/16"}}},
	{name: "stiffness", label: "a stiffness", units: []*unit{
		{name: "N/m", show: true}, {name: "N/mm", factor: "1000", show: true}, {name: "kN/m", factor: "1000"}, {name: "kN/mm", factor: "1000000"},
		{name: "lbf/in", factor: exactLbf + "/" + exactInch}, {name: "lbf/ft", factor: exactLbf + "/" + exactFoot}}},
	{name: "force gradient", label: "a force gradient", units: []*unit{
		{name: "N/m", show: true}, {name: "N/mm", factor: "1000"},
		{name: "lbf/ft", factor: exactLbf + "/" + exactFoot}, {name: "lbf/in", factor: exactLbf + "/" + exactInch}}},
	{name: "damping", label: "a damping", units: []*unit{
		{name: "N·s/m", show: true}, {name: "N·s/mm", factor: "1000"}, {name: "kN·s/m", factor: "1000"},
		{name: "lbf·s/ft", factor: exactLbf + "/" + exactFoot}, {name: "lbf·s/in", factor: exactLbf + "/" + exactInch}}},
	{name: "torque", label: "a torque", units: []*unit{
		{name: "N·m", also: []string{"Nm"}, show: true}, {name: "mN·m", also: []string{"mNm"}, factor: "0.001", show: true},
		{name: "N·mm", also: []string{"Nmm"}, factor: "0.001"},
		{name: "in-lbf", also: []string{"lbf-in"}, factor: exactInch + "*" + exactLbf},
		{name: "ft-lbf", also: []string{"lbf-ft"}, factor: exactFoot + "*" + exactLbf},
		{name: "in-ozf", also: []string{"ozf-in"}, factor: exactInch + "*" + exactLbf + "/16"}}},
	{name: "torque per turn", label: "a torque per turn", units: []*unit{
		{name: "N·m/turn", also: []string{"Nm/turn"}, show: true}, {name: "N·mm/turn", also: []string{"Nmm/turn"}, factor: "0.001"},
		{name: "in-lbf/turn", also: []string{"lbf-in/turn"}, factor: exactInch + "*" + exactLbf},
		{name: "ft-lbf/turn", also: []string{"lbf-ft/turn"}, factor: exactFoot + "*" + exactLbf}}},
	{name: "angular stiffness", label: "an angular stiffness", units: []*unit{
		{name: "N·m/rad", also: []string{"Nm/rad"}, show: true},
		{name: "in-lbf/rad", also: []string{"lbf-in/rad"}, factor: exactInch + "*" + exactLbf}}},
	{name: "angular damping", label: "an angular damping", units: []*unit{
		{name: "N·m·s/rad", also: []string{"Nm·s/rad", "N·m·s", "Nm·s"}, show: true},
		{name: "mN·m·s/rad", also: []string{"mNm·s/rad", "mN·m·s"}, factor: "0.001", show: true}}},
	{name: "inertia", label: "an inertia", units: []*unit{
		{name: "kg·m²", show: true}, {name: "kg·mm²", factor: "0.000001"}, {name: "kg·cm²", factor: "0.0001"}, {name: "g·cm²", factor: "0.0000001"},
		{name: "lb·in²", factor: exactPound + "*" + exactInch + "*" + exactInch}, {name: "lb·ft²", factor: exactPound + "*" + exactFoot + "*" + exactFoot}}},
	{name: "time", label: "a time", units: []*unit{
		{name: "s", next: "ms", show: true}, {name: "ms", factor: "0.001", show: true},
		{name: "min", factor: "60", next: "s"}, {name: "h", factor: "3600", next: "min"}}},
	{name: "frequency", label: "a frequency", units: []*unit{{name: "Hz", show: true}, {name: "kHz", factor: "1000", show: true}}},
	{name: "speed", label: "a speed", units: []*unit{
		{name: "m/s", show: true}, {name: "mm/s", factor: "0.001", show: true}, {name: "km/h", factor: "1000/3600"},
		{name: "ft/s", factor: exactFoot}, {name: "in/s", factor: exactInch}}},
	{name: "acceleration", label: "an acceleration", units: []*unit{{name: "m/s²", show: true}, {name: "ft/s²", factor: exactFoot}}},
	{name: "angle", label: "an angle", units: []*unit{
		{name: "rad"}, {name: "°", also: []string{"deg"}, factor: exactPi + "/180", show: true}}},
	{name: "angular speed", label: "an angular speed", units: []*unit{
		{name: "rad/s", show: true}, {name: "rpm", also: []string{"r/min", "1/min"}, factor: exactPi + "/30"}, {name: "°/s", also: []string{"deg/s"}, factor: exactPi + "/180"}}},
	{name: "turns", label: "a number of turns", units: []*unit{{name: "turns", also: []string{"turn"}, show: true}}},
	{name: "cycles", label: "a number of cycles", units: []*unit{{name: "cycles", also: []string{"cycle"}, show: true}}},
	{name: "pulses", label: "a number of pulses", units: []*unit{{name: "pulses", also: []string{"pulse"}, show: true}}},
	{name: "pulses per length", label: "a number of pulses per length", units: []*unit{
		{name: "pulses/m", also: []string{"pulse/m"}, show: true},
		{name: "pulses/ft", also: []string{"pulse/ft"}, factor: "1/" + exactFoot}, {name: "pulses/in", also: []string{"pulse/in"}, factor: "1/" + exactInch}}},
	{name: "pulse rate", label: "a pulse rate", units: []*unit{{name: "pulses/s", also: []string{"pulse/s"}, show: true}}},
	{name: "voltage", label: "a voltage", units: []*unit{{name: "V", show: true}, {name: "mV", factor: "0.001", show: true}}},
	{name: "voltage rate", label: "a voltage rate", units: []*unit{{name: "V/s", show: true}}},
	{name: "current", label: "a current", units: []*unit{{name: "A", show: true}, {name: "mA", factor: "0.001", show: true}}},
	{name: "resistance", label: "a resistance", units: []*unit{
		{name: "Ω", also: []string{"ohm", "ohms", "Ohm"}, show: true}, {name: "mΩ", also: []string{"mohm", "mOhm"}, factor: "0.001", show: true},
		{name: "kΩ", also: []string{"kohm", "kOhm"}, factor: "1000", show: true}}},
	{name: "resistance per length", label: "a resistance per length", units: []*unit{
		{name: "Ω/m", also: []string{"ohm/m"}, show: true}, {name: "mΩ/m", also: []string{"mohm/m"}, factor: "0.001", show: true},
		{name: "Ω/km", also: []string{"ohm/km"}, factor: "0.001"}, {name: "Ω/1000 ft", also: []string{"ohm/1000 ft"}, factor: "1/304.8"}}},
	{name: "motor constant", label: "a motor constant", units: []*unit{
		{name: "V·s/rad", also: []string{"V·s"}, show: true}, {name: "mV·s/rad", also: []string{"mV·s"}, factor: "0.001", show: true},
		{name: "V/krpm", factor: "30/1000/" + exactPi},
		{name: "N·m/A", also: []string{"Nm/A"}}, {name: "mN·m/A", also: []string{"mNm/A"}, factor: "0.001"},
		{name: "in-lbf/A", also: []string{"lbf-in/A"}, factor: exactInch + "*" + exactLbf}, {name: "in-ozf/A", also: []string{"ozf-in/A"}, factor: exactInch + "*" + exactLbf + "/16"}}},
	{name: "charge", label: "a charge", units: []*unit{
		{name: "C"}, {name: "Ah", also: []string{"A·h"}, factor: "3600", show: true}, {name: "mAh", also: []string{"mA·h"}, factor: "3.6", show: true}}},
	{name: "power", label: "a power", units: []*unit{{name: "W", show: true}, {name: "kW", factor: "1000", show: true}, {name: "mW", factor: "0.001", show: true}}},
	{name: "energy", label: "an energy", units: []*unit{
		{name: "J", show: true}, {name: "kJ", factor: "1000", show: true}, {name: "Wh", also: []string{"W·h"}, factor: "3600"}}},
	{name: "wire gauge", label: "a wire gauge", units: []*unit{{name: "AWG", show: true}}},
	{name: "temperature", label: "a temperature", units: []*unit{
		{name: "K"}, {name: "°C", also: []string{"C", "degC", "deg C"}, offset: "273.15", show: true},
		{name: "°F", also: []string{"F", "degF", "deg F"}, factor: "5/9", offset: "459.67"}}},
	{name: "temperature difference", label: "a temperature difference", units: []*unit{{name: "K", show: true}}},
	{name: "temperature coefficient", label: "a temperature coefficient", units: []*unit{{name: "1/K", show: true}, {name: "%/K", factor: "0.01", show: true}}},
	{name: "thermal resistance", label: "a thermal resistance", units: []*unit{{name: "K/W", show: true}}},
	{name: "heat capacity", label: "a heat capacity", units: []*unit{{name: "J/K", show: true}, {name: "kJ/K", factor: "1000", show: true}}},
	{name: "pressure", label: "a pressure or stress", units: []*unit{
		{name: "Pa", show: true}, {name: "kPa", factor: "1000", show: true}, {name: "MPa", factor: "1000000", show: true}, {name: "GPa", factor: "1000000000", show: true},
		{name: "psi", factor: exactLbf + "/" + exactInch + "/" + exactInch}, {name: "ksi", also: []string{"kpsi"}, factor: "1000*" + exactLbf + "/" + exactInch + "/" + exactInch}}},
	{name: "kinematic viscosity", label: "a kinematic viscosity", units: []*unit{
		{name: "m²/s"}, {name: "mm²/s", factor: "0.000001", show: true}, {name: "cSt", factor: "0.000001"}}},
	{name: "illuminance", label: "an illuminance", units: []*unit{
		{name: "lx", also: []string{"lux"}, show: true}, {name: "klx", also: []string{"klux"}, factor: "1000", show: true}, {name: "fc", factor: "1/" + exactFoot + "/" + exactFoot}}},
	{name: "irradiance", label: "an irradiance", units: []*unit{{name: "W/m²", show: true}, {name: "mW/m²", factor: "0.001", show: true}}},
	{name: "radiant intensity", label: "a radiant intensity", units: []*unit{{name: "W/sr", show: true}, {name: "mW/sr", factor: "0.001", show: true}}},
	{name: "percent", label: "a percentage", units: []*unit{{name: "%", also: []string{"percent"}, factor: "0.01", show: true}}},
	{name: "ratio", label: "a ratio", bare: true, units: []*unit{{name: "", show: true}, {name: "%", also: []string{"percent"}, factor: "0.01"}}},
	{name: "number", label: "a number", bare: true, units: []*unit{{name: "", show: true}}},
}

// habits maps spellings that people bring along to the ones that files use.
// They are not accepted, only explained.
var habits = map[string]string{
	"lbs": "lb", "pound": "lb", "pounds": "lb", "ounces": "oz", "kgs": "kg", "kilos": "kg",
	"'": "ft", "\"": "in", "′": "ft", "″": "in", "inch": "in", "inches": "in", "foot": "ft", "feet": "ft", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
	"sec": "s", "secs": "s", "second": "s", "seconds": "s", "msec": "ms", "minute": "min", "minutes": "min", "mins": "min", "hr": "h", "hrs": "h", "hour": "h", "hours": "h",
	"CCA": "A", "volt": "V", "volts": "V", "amp": "A", "amps": "A", "newton": "N", "newtons": "N", "newton·meters": "N·m",
	"celsius": "°C", "fahrenheit": "°F", "°K": "K", "degrees": "°", "degree": "°", "pct": "%", "rev": "turns", "revs": "turns", "rev/min": "rpm", "fps": "ft/s", "mps": "m/s", "mph": "km/h",
	"counts": "pulses", "counts/m": "pulses/m", "ga": "AWG", "gauge": "AWG", "footcandles": "fc", "kgf": "N",
	"ipt":       "in-lbf/turn",
	"amp·hours": "Ah", "amp·hour": "Ah",
}

var dimensionsByName = indexDimensions()

// indexDimensions computes the exact factors and the spelling tables.
func indexDimensions() map[Dimension]*dimensionInfo {
	byName := map[Dimension]*dimensionInfo{}
	for _, d := range dimensions {
		d.byKey = map[string]*unit{}
		for _, u := range d.units {
			u.scale, u.shift = exact(u.factor, "1"), exact(u.offset, "0")
			for _, spelling := range append([]string{u.name}, u.also...) {
				key := unitKey(spelling)
				if d.byKey[key] != nil {
					panic(fmt.Sprintf("scenarios: unit %q listed twice in %s", spelling, d.name))
				}
				d.byKey[key] = u
			}
		}
		byName[d.name] = d
	}
	return byName
}

// exact evaluates a product and quotient of decimals without rounding.
func exact(expression, whenEmpty string) *big.Rat {
	if expression == "" {
		expression = whenEmpty
	}
	result := big.NewRat(1, 1)
	divide := false
	for len(expression) > 0 {
		end := strings.IndexAny(expression, "*/")
		term, operator := expression, byte(0)
		if end >= 0 {
			term, operator = expression[:end], expression[end]
		}
		value, ok := new(big.Rat).SetString(term)
		if !ok {
			panic("scenarios: bad unit factor " + term)
		}
		if divide {
			value.Inv(value)
		}
		result.Mul(result, value)
		if end < 0 {
			break
		}
		divide = operator == '/'
		expression = expression[end+1:]
	}
	return result
}

// unitKey brings the spellings of one unit together: "N m", "N*m", "N-m" and
// "N·m"; "m^2", "m2" and "m²"; the two Unicode ohms and micros.
func unitKey(text string) string {
	text = spellings.Replace(strings.TrimSpace(text))
	text = strings.Join(strings.Fields(text), " ")
	for _, joint := range []string{"·", "/"} {
		text = strings.ReplaceAll(text, " "+joint, joint)
		text = strings.ReplaceAll(text, joint+" ", joint)
	}
	text = strings.ReplaceAll(text, "° ", "°")
	text = strings.ReplaceAll(text, " ", "·")
	return squared(text)
}

var spellings = strings.NewReplacer(
	"\u22c5", "·", "\u2219", "·", "\u2022", "·", "*", "·", // dot operator, bullet operator, bullet
	"-", "·", "\u2011", "·", "\u2013", "·", // hyphen, hard hyphen, en dash
	"\u03bc", "\u00b5", "\u2126", "\u03a9", // Greek mu to micro sign, ohm sign to Greek omega
	"\u00ba", "°", "\u02da", "°", "\u2103", "°C", "\u2109", "°F", // ordinal and ring used as degree
	"^2", "²", "\u00a0", " ", "\u202f", " ", "\u2009", " ") // no-break and thin spaces

// squared turns the 2 of "m2" into "²"; a 2 after anything but a letter stays.
func squared(text string) string {
	var b strings.Builder
	previous := ' '
	for _, r := range text {
		if r == '2' && (previous >= 'a' && previous <= 'z') {
			r = '²'
		}
		b.WriteRune(r)
		previous = r
	}
	return b.String()
}

// unitList is the list of a dimension's units for a message: "kg, g, lb or oz".
func (d *dimensionInfo) unitList() string {
	var names []string
	for _, u := range d.units {
		if u.name != "" {
			names = append(names, u.name)
		}
	}
	return orList(names)
}

// orList joins words as a sentence does: "a, b or c".
func orList(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

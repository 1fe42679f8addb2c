package scenarios

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseQuantity(t *testing.T) {
	const (
		inch  = 0.0254           // m, international yard and pound agreement, 1959
		pound = 0.45359237       // kg, the same
		lbf   = 4.4482216152605  // N, exact product of the pound and standard gravity
		inlbf = 0.11298482902762 // N·m
		ftlbf = 1.35581794833140 // N·m
	)
	tests := []struct {
		text      string
		dimension Dimension
		want      float64
		tolerance float64 // relative; 0 for the nearest float64
	}{
		{"1800 mm", "length", 1.8, 0},
		{"1.8m", "length", 1.8, 0},
		{" 180  cm ", "length", 1.8, 0},
		{"1 in", "length", inch, 0},
		{"1/4 in", "length", inch / 4, 0},
		{"6 ft", "length", 1.8288, 0},
		{"6 ft 3 in", "length", 1.905, 0},
		{"6 ft 3-1/4 in", "length", 1.91135, 0},
		{"6 ft 3 1/4 in", "length", 1.91135, 0},
		{"-6 ft 3 in", "length", -1.905, 0},
		{"\u22122 mm", "length", -0.002, 0},
		{"+2 mm", "length", 0.002, 0},
		{".5 in", "length", inch / 2, 0},
		{"3.e2 mm", "length", 0.3, 0},
		{"32 kg", "mass", 32, 0},
		{"32\u00a0kg", "mass", 32, 0},
		{"70 lb", "mass", 70 * pound, 0},
		{"5 lb 8 oz", "mass", 5.5 * pound, 1e-15},
		{"1 lbf", "force", lbf, 0},                        // check value N2
		{"1 in-lbf", "torque", 0.1129848290276167, 1e-15}, // check value N3
		{"1 ft-lbf", "torque", 1.3558179483314006, 1e-15}, // check value N3
		{"1 kN", "force", 1000, 0},
		{"16 ozf", "force", lbf, 0},
		{"2.48 N·m/turn", "torque per turn", 2.48, 0},
		{"2.48 Nm/turn", "torque per turn", 2.48, 0},
		{"2.48 N m/turn", "torque per turn", 2.48, 0},
		{"2.48 N*m / turn", "torque per turn", 2.48, 0},
		{"10 in-lbf/turn", "torque per turn", 10 * inlbf, 1e-13},
		{"10 lbf-in/turn", "torque per turn", 10 * inlbf, 1e-13},
		{"10 ft·lbf/turn", "torque per turn", 10 * ftlbf, 1e-13},
		{"20 mN·m", "torque", 0.02, 0},
		{"20 mNm", "torque", 0.02, 0},
		{"0.02 kg·m²", "inertia", 0.02, 0},
		{"0.02 kg·m2", "inertia", 0.02, 0},
		{"0.02 kg m^2", "inertia", 0.02, 0},
		{"0.02 kg*m^2", "inertia", 0.02, 0},
		{"8e-5 kg·m²", "inertia", 8e-5, 0},
		{"1 lb·in²", "inertia", pound * inch * inch, 1e-15},
		{"20 N/mm", "stiffness", 20000, 0},
		{"130 kN/m", "stiffness", 130000, 0},
		{"1 lbf/in", "stiffness", 175.126835246476, 1e-14}, // computed from the exact definitions
		{"25 N/m", "force gradient", 25, 0},
		{"30 N·s/m", "damping", 30, 0},
		{"30 N s/m", "damping", 30, 0},
		{"200 ms", "time", 0.2, 0},
		{"1 min 30 s", "time", 90, 0},
		{"1 h 30 min", "time", 5400, 0},
		{"400 mm/s", "speed", 0.4, 0},
		{"1 ft/s", "speed", 0.3048, 0},
		{"8000 mV", "voltage", 8, 0},
		{"650 A", "current", 650, 0},
		{"60 mΩ", "resistance", 0.06, 0},
		{"60 m\u2126", "resistance", 0.06, 0},
		{"60 mohm", "resistance", 0.06, 0},
		{"0.6 ohm", "resistance", 0.6, 0},
		{"0.030 V·s/rad", "motor constant", 0.03, 0},
		{"0.030 V s/rad", "motor constant", 0.03, 0},
		{"30 mV·s/rad", "motor constant", 0.03, 0},
		{"0.030 N·m/A", "motor constant", 0.03, 0},
		{"1 V/krpm", "motor constant", 60 / (2 * math.Pi * 1000), 1e-15},
		{"4 °C", "temperature", 277.15, 0},
		{"4 C", "temperature", 277.15, 0},
		{"4 deg C", "temperature", 277.15, 0},
		{"4 ℃", "temperature", 277.15, 0},
		{"-40 °C", "temperature", 233.15, 0},
		{"-40 °F", "temperature", 233.15, 0},
		{"32 F", "temperature", 273.15, 0},
		{"300 K", "temperature", 300, 0},
		{"0 K", "temperature", 0, 0},
		{"5 K", "temperature difference", 5, 0},
		{"80 %", "percent", 0.8, 0},
		{"5%", "percent", 0.05, 0},
		{"80 %", "ratio", 0.8, 0},
		{"0.8", "ratio", 0.8, 0},
		{"1.5", "number", 1.5, 0},
		{"180°", "angle", math.Pi, 0},
		{"180 deg", "angle", math.Pi, 0},
		{"1 rad", "angle", 1, 0},
		{"60 rpm", "angular speed", 2 * math.Pi, 0},
		{"20 klx", "illuminance", 20000, 0},
		{"1 fc", "illuminance", 10.7639104167097, 1e-13},
		{"5 mW/m²", "irradiance", 0.005, 0},
		{"5 mW/m2", "irradiance", 0.005, 0},
		{"15 mW/sr", "radiant intensity", 0.015, 0},
		{"200 pulses/m", "pulses per length", 200, 0},
		{"360 pulses", "pulses", 360, 0},
		{"6.6 turns", "turns", 6.6, 0},
		{"6 1/2 turns", "turns", 6.5, 0},
		{"80 pulses/s", "pulse rate", 80, 0},
		{"100 Ah", "charge", 360000, 0},
		{"8 AWG", "wire gauge", 8, 0},
		{"1/0 AWG", "wire gauge", 0, 0},
		{"2/0 AWG", "wire gauge", -1, 0},
		{"4/0 AWG", "wire gauge", -3, 0},
		{"50 W", "power", 50, 0},
		{"1 Wh", "energy", 3600, 0},
		{"2 K/W", "thermal resistance", 2, 0},
		{"500 J/K", "heat capacity", 500, 0},
		{"1 psi", "pressure", 6894.75729316836, 1e-14},
		{"2 ohm/1000 ft", "resistance per length", 2 / 304.8, 0},
	}
	for _, test := range tests {
		got, err := ParseQuantity(test.text, test.dimension)
		if err != nil {
			t.Errorf("%q as %s: %v", test.text, test.dimension, err)
			continue
		}
		if math.Abs(got-test.want) > test.tolerance*math.Abs(test.want) {
			t.Errorf("%q as %s: got %v, want %v, relative tolerance %g", test.text, test.dimension, got, test.want, test.tolerance)
		}
	}
}

// Every message is the whole help a person gets: read them as one.
func TestQuantityMessages(t *testing.T) {
	tests := []struct {
		text      string
		dimension Dimension
		want      string
	}{
		{"32", "mass", `"32" has no unit, a mass needs one; write 32 kg, or another of kg, g, lb or oz`},
		{"-20", "temperature", `"-20" has no unit, a temperature needs one; write -20 °C, or another of K, °C or °F`},
		{"4", "temperature", `"4" has no unit, a temperature needs one; write 4 °C, or another of K, °C or °F`},
		{"3-1/4", "length", `"3-1/4" has no unit, a length needs one; write 3-1/4 m, or another of m, mm, cm, km, in or ft`},
		{"6.6", "turns", `"6.6" has no unit, a number of turns needs one; write 6.6 turns`},
		{"11 V", "mass", `"11 V" is a voltage, a mass is expected; a mass is written in kg, g, lb or oz`},
		{"70 lb", "force", `"70 lb" is a mass, a force is expected; lb is mass and lbf is force: write 70 lbf`},
		{"70 lbf", "mass", `"70 lbf" is a force, a mass is expected; lb is mass and lbf is force: write 70 lb`},
		{"70 N", "mass", `"70 N" is a force, a mass is expected; a mass is written in kg, g, lb or oz`},
		{"20 in-lb", "torque", `unknown unit "in-lb"; lb is mass and lbf is force: write 20 in-lbf`},
		{"20 lb/in", "stiffness", `unknown unit "lb/in"; lb is mass and lbf is force: write 20 lbf/in`},
		{"20 lb/ft", "stiffness", `"20 lb/ft" is a mass per length, a stiffness is expected; lb is mass and lbf is force: write 20 lbf/ft`},
		{"20 ft-lbs/turn", "torque per turn", `unknown unit "ft-lbs/turn"; lb is mass and lbf is force: write 20 ft-lbf/turn`},
		{"20 oz", "force", `"20 oz" is a mass, a force is expected; lb is mass and lbf is force: write 20 ozf`},
		{"20 lbs", "force", `unknown unit "lbs"; lb is mass and lbf is force: write 20 lbf`},
		{"20 ipt", "torque per turn", `unknown unit "ipt"; did you mean in-lbf/turn? a torque per turn is written in N·m/turn, N·mm/turn, in-lbf/turn or ft-lbf/turn`},
		{"70 lbs", "mass", `unknown unit "lbs"; did you mean lb? a mass is written in kg, g, lb or oz`},
		{"70 Kg", "mass", `unknown unit "Kg"; did you mean kg? a mass is written in kg, g, lb or oz`},
		{"10 sec", "time", `unknown unit "sec"; did you mean s? a time is written in s, ms, min or h`},
		{"2 m", "time", `"2 m" is a length, a time is expected; m is metres, minutes are min: write 2 min`},
		{"12 volts", "voltage", `unknown unit "volts"; did you mean V? a voltage is written in V or mV`},
		{"12 volts", "mass", `unknown unit "volts"; V would be a voltage; a mass is written in kg, g, lb or oz`},
		{"650 CCA", "current", `unknown unit "CCA"; did you mean A? a current is written in A or mA`},
		{"12 furlongs", "length", `unknown unit "furlongs"; a length is written in m, mm, cm, km, in or ft`},
		{"5 °C", "temperature difference", `"5 °C" is a temperature, a temperature difference is expected; a difference is written in K: write 5 K`},
		{"9 °F", "temperature difference", `"9 °F" is a temperature, a temperature difference is expected; a difference is written in K: write 5 K`},
		{"80", "percent", `"80" has no unit, a percentage needs one; write 80 %`},
		{"4 kg", "number", `"4 kg" is a mass, a number is expected; a number is written without a unit`},
		{"heavy", "mass", `"heavy" is not a number; write it like 32 kg or 70 lb`},
		{"kg", "mass", `"kg" is not a number; write it like 32 kg or 70 lb`},
		{"", "mass", `empty value, a mass is expected; write it like 32 kg or 70 lb`},
		{"-", "mass", `"-" is not a number; write it like 32 kg or 70 lb`},
		{".nan", "mass", `".nan" is not a number; write it like 32 kg or 70 lb`},
		{"NaN kg", "mass", `"NaN kg" is not a number; write it like 32 kg or 70 lb`},
		{".inf", "mass", `".inf" is not a number; write it like 32 kg or 70 lb`},
		{"0x20 kg", "mass", `unknown unit "x20 kg"; a mass is written in kg, g, lb or oz`},
		{"1,5 m", "length", `"1,5 m" has a comma in its number; write a decimal point, and no separator between thousands`},
		{"1,000 mm", "length", `"1,000 mm" has a comma in its number; write a decimal point, and no separator between thousands`},
		{"1e999 kg", "mass", `"1e999 kg" is beyond all reason: the exponent must lie between -30 and 30`},
		{"1e30 km", "length", `"1e30 km" is beyond all reason for a length`},
		{"1e-30 mm", "length", `"1e-30 mm" is beyond all reason for a length`},
		{"1/0 in", "length", `"1/0 in" has a fraction with no value; write it like 300 mm, 1.8 m or 6 ft 3-1/4 in`},
		{"3 in 6 ft", "length", `"3 in 6 ft" does not read as one quantity; write it like 300 mm, 1.8 m or 6 ft 3-1/4 in`},
		{"6.5 ft 3 in", "length", `"6.5 ft 3 in": a fraction may only stand in its last part`},
		{"1 m 3 mm", "length", `"1 m 3 mm" does not read as one quantity; write it like 300 mm, 1.8 m or 6 ft 3-1/4 in`},
		{"6'", "length", `unknown unit "'"; did you mean ft? a length is written in m, mm, cm, km, in or ft`},
		{"1 2 3 4 m", "length", `"1 2 3 4 m" does not read as one quantity; write it like 300 mm, 1.8 m or 6 ft 3-1/4 in`},
		{"-300 °C", "temperature", `"-300 °C" is below absolute zero`},
		{"8.5 AWG", "wire gauge", `"8.5 AWG" is no wire gauge; write a whole gauge such as 8 AWG, or 1/0 to 4/0 AWG for the heavy ones`},
		{"5/0 AWG", "wire gauge", `"5/0 AWG" has a fraction with no value; write it like 8 AWG or 2/0 AWG`},
		{"8", "wire gauge", `"8" has no unit, a wire gauge needs one; write 8 AWG`},
		{strings.Repeat("9", 100) + " kg", "mass", `"` + strings.Repeat("9", 57) + `..." is too long for a quantity`},
		{"3 kg", "weight", `unknown dimension "weight"`},
	}
	for _, test := range tests {
		value, err := ParseQuantity(test.text, test.dimension)
		if err == nil {
			t.Errorf("%q as %s: got %v, want the error %s", test.text, test.dimension, value, test.want)
			continue
		}
		if err.Error() != test.want {
			t.Errorf("%q as %s:\n got %s\nwant %s", test.text, test.dimension, err, test.want)
		}
	}
}

func TestFormatQuantity(t *testing.T) {
	tests := []struct {
		value     float64
		dimension Dimension
		want      string
	}{
		{0.3, "length", "300 mm"},
		{1.8, "length", "1.8 m"},
		{0, "length", "0 m"},
		{-0.002, "length", "-2 mm"},
		{70 * 0.45359237, "mass", "31.7514659 kg"},
		{277.15, "temperature", "4 °C"},
		{0, "temperature", "-273.15 °C"},
		{0.8, "percent", "80 %"},
		{0.8, "ratio", "0.8"},
		{0.2, "time", "200 ms"},
		{40, "time", "40 s"},
		{math.Pi, "angle", "180°"},
		{360000, "charge", "100 Ah"},
		{130000, "stiffness", "130 N/mm"},
		{25, "stiffness", "25 N/m"},
		{2.48, "torque per turn", "2.48 N·m/turn"},
		{8e-5, "inertia", "0.00008 kg·m²"},
		{0.06, "resistance", "60 mΩ"},
		{1.2800000400388711, "percent", "128.00000400388711 %"},
		{1e-29, "percent", "1e-27 %"},
		{math.NaN(), "mass", "NaN kg"},
		{8, "wire gauge", "8 AWG"},
		{0, "wire gauge", "1/0 AWG"},
		{-3, "wire gauge", "4/0 AWG"},
		{math.Nextafter(0.3, 1), "length", "300.00000000000006 mm"},
	}
	for _, test := range tests {
		if got := FormatQuantity(test.value, test.dimension); got != test.want {
			t.Errorf("%v as %s: got %q, want %q", test.value, test.dimension, got, test.want)
		}
	}
}

// allDimensions draws from every dimension there is.
func allDimensions() *rapid.Generator[*dimensionInfo] { return rapid.SampledFrom(dimensions) }

// drawValue draws an SI value that the dimension can have.
func drawValue(t *rapid.T, d *dimensionInfo) float64 {
	if d.name == "wire gauge" {
		return float64(rapid.IntRange(-3, 40).Draw(t, "gauge"))
	}
	v := rapid.Float64Range(-1e29, 1e29).Draw(t, "value")
	if rapid.Bool().Draw(t, "everyday") {
		v = rapid.Float64Range(-2000, 2000).Draw(t, "value")
	}
	if math.Abs(v) < smallestMagnitude {
		v = 0
	}
	if d.name == "temperature" {
		v = math.Abs(v)
	}
	return v
}

func TestFormatReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := allDimensions().Draw(t, "dimension")
		value := drawValue(t, d)
		text := FormatQuantity(value, d.name)
		back, err := ParseQuantity(text, d.name)
		if err != nil || back != value {
			t.Fatalf("%v as %s is written %q and read back as %v, %v", value, d.name, text, back, err)
		}
	})
}

// A number in any unit scales as its unit does, whatever the spelling, and the
// pattern given to editors accepts what the reader accepts.
func TestUnitsAreLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := allDimensions().Draw(t, "dimension")
		u := rapid.SampledFrom(d.units).Draw(t, "unit")
		spelling := rapid.SampledFrom(append([]string{u.name}, u.also...)).Draw(t, "spelling")
		number := rapid.IntRange(1, 40).Draw(t, "number")
		joint := rapid.SampledFrom([]string{" ", "", "  "}).Draw(t, "joint")
		if startsWithDigit(spelling) {
			joint = " " // "4 1/K"
		}
		text := trimFloat(float64(number)) + joint + spelling
		got, err := ParseQuantity(text, d.name)
		if err != nil {
			t.Fatal(err)
		}
		scale, _ := u.scale.Float64()
		shift, _ := u.shift.Float64()
		want := (float64(number) + shift) * scale
		if math.Abs(got-want) > 1e-14*math.Abs(want) {
			t.Fatalf("%q: got %v, want %v", text, got, want)
		}
		if !regexp.MustCompile(quantityPattern(d)).MatchString(text) {
			t.Fatalf("%q is read, but its pattern %s refuses it", text, quantityPattern(d))
		}
	})
}

// Any text at all is either a finite quantity or an error with a message.
func TestParseQuantityNeverPanics(t *testing.T) {
	pieces := []string{"1", "0", "/", "-", ".", "e", " ", "kg", "ft", "in", "°", "C", "9", "²", "lb", ",", "%", "\x00", "\xff", "AWG", "N", "·", "m"}
	rapid.Check(t, func(t *rapid.T) {
		d := allDimensions().Draw(t, "dimension")
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(pieces), 0, 12).Draw(t, "pieces"), "")
		value, err := ParseQuantity(text, d.name)
		if err == nil && (math.IsNaN(value) || math.IsInf(value, 0)) || err != nil && err.Error() == "" {
			t.Fatalf("%q: got %v, %v", text, value, err)
		}
	})
}

// No spelling may mean two things by accident: the units that several
// dimensions share are listed here on purpose.
func TestSharedUnits(t *testing.T) {
	shared := map[string][]Dimension{
		"N/m":     {"stiffness", "force gradient"},
		"N/mm":    {"stiffness", "force gradient"},
		"lbf/ft":  {"stiffness", "force gradient"},
		"lbf/in":  {"stiffness", "force gradient"},
		"K":       {"temperature", "temperature difference"},
		"C":       {"charge", "temperature"},
		"%":       {"percent", "ratio"},
		"percent": {"percent", "ratio"},
		"":        {"ratio", "number"},
	}
	found := map[string][]Dimension{}
	for _, d := range dimensions {
		for key := range d.byKey {
			found[key] = append(found[key], d.name)
		}
	}
	for key, names := range found {
		if len(names) > 1 && !slices.Equal(names, shared[key]) {
			t.Errorf("%q is a unit of %v", key, names)
		}
	}
}

func TestNearest(t *testing.T) {
	words := []string{"mass", "height", "initial turns", "dry friction", "each bay"}
	tests := []struct{ word, want string }{
		{"mas", "mass"}, {"hieght", "height"}, {"Height", "height"}, {"initial_turns", "initial turns"}, {"initialTurns", "initial turns"},
		{"turns", ""}, {"colour", ""}, {"x", ""}, {"", ""}, {"each bays", "each bay"}, {strings.Repeat("mass", 100), ""},
	}
	for _, test := range tests {
		if got := nearest(test.word, words); got != test.want {
			t.Errorf("nearest to %q: got %q, want %q", test.word, got, test.want)
		}
	}
}

func TestDistance(t *testing.T) {
	tests := []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"abc", "abc", 0}, {"abc", "", 3}, {"ab", "ba", 1}, {"ca", "abc", 3}, {"kitten", "sitting", 3}, {"°C", "°F", 1},
	}
	for _, test := range tests {
		if got := distance(test.a, test.b); got != test.want {
			t.Errorf("%q to %q: got %d, want %d", test.a, test.b, got, test.want)
		}
		if got := distance(test.b, test.a); got != test.want {
			t.Errorf("%q to %q: got %d, want %d", test.b, test.a, got, test.want)
		}
	}
}

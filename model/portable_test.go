package model

import (
	"encoding/binary"
	"hash/fnv"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// ulps is the distance between got and want in units in the last place of want.
func ulps(got, want float64) float64 {
	if got == want || math.IsNaN(got) && math.IsNaN(want) {
		return 0
	}
	unit := math.Abs(math.Nextafter(want, math.Inf(1)) - want)
	return math.Abs(got-want) / unit
}

// evaluate maps a function's name to a call, so that tables can name it.
func evaluate(name string, x, y float64) float64 {
	switch name {
	case "Exp":
		return Exp(x)
	case "Log":
		return Log(x)
	case "Log10":
		return Log10(x)
	case "Pow":
		return Pow(x, y)
	case "sin":
		return sinQuarter(x)
	case "cos":
		return cosQuarter(x)
	}
	panic("no portable function is called " + name)
}

// portableReference holds values computed with 40 decimal digits at exactly the
// float64 argument and rounded once.
var portableReference = []struct {
	name       string
	x, y, want float64
}{
	{"Exp", -700, 0, 9.85967654375977e-305},
	{"Exp", -40, 0, 4.248354255291589e-18},
	{"Exp", -1, 0, 0.36787944117144233},
	{"Exp", -0.3465, 0, 0.7071588192872713},
	{"Exp", 1e-9, 0, 1.000000001},
	{"Exp", 0.3466, 0, 1.4142509118505286},
	{"Exp", 1, 0, 2.718281828459045},
	{"Exp", 2.5, 0, 12.182493960703473},
	{"Exp", 18.25, 0, 84309069.23126505},
	{"Exp", 500, 0, 1.4035922178528375e+217},
	{"Log", 1e-300, 0, -690.7755278982137},
	{"Log", 1e-6, 0, -13.815510557964274},
	{"Log", 0.7, 0, -0.35667494393873245},
	{"Log", 0.7072, 0, -0.3464417676587033},
	{"Log", 0.9999999, 0, -1.0000000494736474e-07},
	{"Log", 1.0000001, 0, 9.999999505838704e-08},
	{"Log", 1.4142, 0, 0.3465640001880033},
	{"Log", 2, 0, 0.6931471805599453},
	{"Log", 313.15, 0, 5.746682308971422},
	{"Log", 1e30, 0, 69.07755278982137},
	{"Log10", 1e-6, 0, -6.0},
	{"Log10", 0.7, 0, -0.1549019599857432},
	{"Log10", 0.99, 0, -0.004364805402450088},
	{"Log10", 1.01, 0, 0.004321373782642578},
	{"Log10", 2, 0, 0.3010299956639812},
	{"Log10", 1000, 0, 3.0},
	{"Log10", 313.15, 0, 2.495752416037327},
	{"Log10", 1e15, 0, 15.0},
	{"Pow", 92, 0.8461538461538461, 45.88456545704829},
	{"Pow", 0.0063, 0.187, 0.3876829332714778},
	{"Pow", 0.5, 15.514, 2.137079347056893e-05},
	{"Pow", 2, 0.5, 1.4142135623730951},
	{"Pow", 10, 9.5259, 3356603166.999334},
	{"Pow", 1.00001, 1000, 1.010050116582064},
	{"Pow", 35, -3.5, 3.942410517684042e-06},
	{"Pow", 1e-3, 0.2, 0.251188643150958},
	{"sin", 0, 0, 0.0},
	{"cos", 0, 0, 1.0},
	{"sin", 1e-8, 0, 1e-08},
	{"cos", 1e-8, 0, 1.0},
	{"sin", 0.1, 0, 0.09983341664682815},
	{"cos", 0.1, 0, 0.9950041652780258},
	{"sin", 0.5, 0, 0.479425538604203},
	{"cos", 0.5, 0, 0.8775825618903728},
	{"sin", 0.7853981633974483, 0, 0.7071067811865475},
	{"cos", 0.7853981633974483, 0, 0.7071067811865476},
	{"sin", 0.7853981633974484, 0, 0.7071067811865476},
	{"cos", 0.7853981633974484, 0, 0.7071067811865475},
	{"sin", 1, 0, 0.8414709848078965},
	{"cos", 1, 0, 0.5403023058681398},
	{"sin", 1.3, 0, 0.963558185417193},
	{"cos", 1.3, 0, 0.26749882862458735},
	{"sin", 1.5, 0, 0.9974949866040544},
	{"cos", 1.5, 0, 0.0707372016677029},
	{"sin", 1.5707963267948966, 0, 1.0},
	{"cos", 1.5707963267948966, 0, 6.123233995736766e-17},
}

func TestPortableAgainstReference(t *testing.T) {
	for _, r := range portableReference {
		got := evaluate(r.name, r.x, r.y)
		if d := ulps(got, r.want); d > 2 {
			t.Errorf("%s(%v, %v) = %v, want %v: %.0f units in the last place apart, want at most 2",
				r.name, r.x, r.y, got, r.want, d)
		}
	}
}

func TestPortableAgainstMath(t *testing.T) {
	cases := []struct {
		name      string
		low, high float64
		want      func(x float64) float64
	}{
		{"Exp", -700, 700, math.Exp},
		{"Log", 1e-300, 1e300, math.Log},
		{"Log", 0.5, 2, math.Log},
		{"sin", 0, math.Pi / 2, math.Sin},
		// math.Cos loses the last bits next to π/2; the reference table covers it.
		{"cos", 0, 1.57, math.Cos},
	}
	for _, c := range cases {
		t.Run(c.name, rapid.MakeCheck(func(t *rapid.T) {
			x := rapid.Float64Range(c.low, c.high).Draw(t, "x")
			got, want := evaluate(c.name, x, 0), c.want(x)
			if d := ulps(got, want); d > 4 {
				t.Fatalf("%s(%v) = %v, package math has %v: %.1f units apart", c.name, x, got, want, d)
			}
		}))
	}
	// rapid leans to edges; a walk covers the middle.
	for _, c := range cases {
		for i := range 20000 {
			x := c.low + (c.high-c.low)*float64(i)/20000
			if d := ulps(evaluate(c.name, x, 0), c.want(x)); d > 4 {
				t.Fatalf("%s(%v) is %.1f units from package math", c.name, x, d)
			}
		}
	}
}

// TestPowAgainstRoots compares powers of n/8 with products and square roots
// taken in 300 bits. Package math is no judge here: its Pow multiplies
// repeatedly and is itself up to 7 units off at |y| = 10.
func TestPowAgainstRoots(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(1e-4, 1e4).Draw(t, "x")
		n := rapid.IntRange(-80, 80).Draw(t, "n")
		root := new(big.Float).SetPrec(300).SetFloat64(x)
		for range 3 {
			root.Sqrt(root)
		}
		product := big.NewFloat(1).SetPrec(300)
		for range max(n, -n) {
			product.Mul(product, root)
		}
		if n < 0 {
			product.Quo(big.NewFloat(1).SetPrec(300), product)
		}
		want, _ := product.Float64()
		y := float64(n) / 8
		if d := ulps(Pow(x, y), want); d > 2 {
			t.Fatalf("Pow(%v, %v) = %v, exactly %v: %.1f units apart", x, y, Pow(x, y), want, d)
		}
	})
}

func TestPortableSpecialValues(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	rows := []struct {
		name       string
		x, y, want float64
	}{
		{"Exp", inf, 0, inf}, {"Exp", -inf, 0, 0}, {"Exp", nan, 0, nan}, {"Exp", 0, 0, 1},
		{"Exp", 710, 0, inf}, {"Exp", -746, 0, 0},
		{"Log", 0, 0, -inf}, {"Log", -1, 0, nan}, {"Log", inf, 0, inf}, {"Log", nan, 0, nan}, {"Log", 1, 0, 0},
		{"Log10", 0, 0, -inf}, {"Log10", -1, 0, nan}, {"Log10", inf, 0, inf}, {"Log10", nan, 0, nan}, {"Log10", 1, 0, 0},
		{"Pow", 0, 0, 1}, {"Pow", 0, 2, 0}, {"Pow", 0, -2, inf}, {"Pow", inf, 2, inf}, {"Pow", inf, -2, 0},
		{"Pow", -2, 2, nan}, {"Pow", nan, 0, 1}, {"Pow", 1, nan, 1}, {"Pow", 2, nan, nan},
		{"Pow", 2, inf, inf}, {"Pow", 2, -inf, 0}, {"Pow", 0.5, inf, 0}, {"Pow", 10, 400, inf}, {"Pow", 10, -400, 0},
		{"Pow", 9, 0.5, 3}, {"Pow", 2, 10, 1024},
		{"sin", 0, 0, 0}, {"cos", 0, 0, 1}, {"sin", math.Pi / 2, 0, 1},
	}
	for _, r := range rows {
		got := evaluate(r.name, r.x, r.y)
		if got != r.want && !(math.IsNaN(got) && math.IsNaN(r.want)) {
			t.Errorf("%s(%v, %v) = %v, want %v", r.name, r.x, r.y, got, r.want)
		}
	}
}

// TestPortableBits pins a hash of many results. It must hold on every
// processor: a run on another architecture that fails here has found an
// operation that is rounded differently there.
func TestPortableBits(t *testing.T) {
	const want uint64 = 0x701fcc3ba11b2654
	h := fnv.New64a()
	var b [8]byte
	put := func(v float64) {
		binary.LittleEndian.PutUint64(b[:], math.Float64bits(v))
		h.Write(b[:])
	}
	for i := range 5000 {
		u := float64(i) / 5000
		put(Exp(-30 + float64(60*u)))
		put(Log(1e-3 + float64(50*u)))
		put(Log10(1e-3 + float64(50*u)))
		put(Pow(0.01+float64(20*u), -4+float64(8*u)))
		put(sinQuarter(u * math.Pi / 2))
		put(cosQuarter(u * math.Pi / 2))
	}
	if got := h.Sum64(); got != want {
		t.Errorf("hash of the results is %#x, pinned %#x", got, want)
	}
}

var benchSink float64

func BenchmarkSinQuarter(b *testing.B) {
	x, sum := 0.0, 0.0
	for b.Loop() {
		sum += sinQuarter(x)
		if x += 0.001; x > 1.57 {
			x = 0
		}
	}
	benchSink = sum
}

func BenchmarkPow(b *testing.B) {
	for b.Loop() {
		benchSink = powP(313.15, 0.5)
	}
}

package sizing

import (
	"context"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
)

// The Ishigami function, sin x₁ + 7 sin² x₂ + 0.1 x₃⁴ sin x₁ over −π to π, has the
// first-order indices 0.3139, 0.4424 and 0, and the total ones 0.5576, 0.4424 and
// 0.2437 (Ishigami and Homma 1990; analytic).
func TestSobolOfIshigami(t *testing.T) {
	const n, k = 40_000, 3
	rng := rand.New(rand.NewPCG(1, 2))
	draw := func() (x [k]float64) {
		for i := range x {
			x[i] = math.Pi * (2*rng.Float64() - 1)
		}
		return x
	}
	f := func(x [k]float64) float64 {
		return math.Sin(x[0]) + 7*math.Pow(math.Sin(x[1]), 2) + 0.1*math.Pow(x[2], 4)*math.Sin(x[0])
	}
	y := make([]float64, n*(k+2))
	for i := range n {
		a, b := draw(), draw()
		y[i], y[n+i] = f(a), f(b)
		for j := range k {
			mixed := a
			mixed[j] = b[j]
			y[(2+j)*n+i] = f(mixed)
		}
	}
	first, total := sobol(y, n, k, nil)
	for j, want := range [k]float64{0.3139, 0.4424, 0} {
		near(t, "first-order index", first[j], want, 0.02)
	}
	for j, want := range [k]float64{0.5576, 0.4424, 0.2437} {
		near(t, "total index", total[j], want, 0.02)
	}
}

func tolerances() []Tolerance {
	return []Tolerance{
		{FindInput("spring rate"), 0.05, true},
		{FindInput("mass"), 0.05, true},
		{FindInput("friction"), 0.3, true},
		{FindInput("battery age"), 0.3, false},
	}
}

func TestFleetDoesNotDependOnWorkers(t *testing.T) {
	q := sideDoor(t)
	ctx := context.Background()
	one, err := Tolerances(ctx, q, tolerances(), 60, 7, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	four, err := Tolerances(ctx, q, tolerances(), 60, 7, 4, nil)
	if err != nil {
		t.Fatal(err)
	}
	strip := func(f *Fleet) Fleet { // functions do not compare
		c := *f
		c.Influence = nil
		for _, i := range f.Influence {
			name := &Input{Name: i.Tolerance.Input.Name}
			i.Tolerance.Input = name
			c.Influence = append(c.Influence, i)
		}
		return c
	}
	if a, b := strip(one), strip(four); !reflect.DeepEqual(a, b) {
		t.Errorf("one worker: %+v\nfour: %+v", a, b)
	}
	other, err := Tolerances(ctx, q, tolerances(), 60, 8, 4, nil)
	if err != nil {
		t.Fatal(err)
	}
	if reflect.DeepEqual(strip(one), strip(other)) {
		t.Error("another seed gives the same fleet")
	}
}

// The share that passes lies within what its interval says, against a fleet of which
// the truth is known: one figure that passes below its middle and not above.
func TestFleetOfOneTolerance(t *testing.T) {
	q := sideDoor(t)
	q.Bay.Counterbalance.InitialTurns = 6.25
	for a := range q.Limits.Of { // nothing else may fail
		if i := Aspect(a).Info(); i.More {
			q.Limits.Of[a] = Limit{-1e6, -2e6}
		} else {
			q.Limits.Of[a] = Limit{1e6, 2e6}
		}
	}
	r, err := Quick(q)
	if err != nil {
		t.Fatal(err)
	}
	up := r.Of(HandUp).Value
	q.Limits.Of[HandUp] = Limit{up, up + 1000}
	f, err := Tolerances(context.Background(), q, []Tolerance{{FindInput("mass"), 0.05, true}, {FindInput("cycles an hour"), 0.5, true}}, 400, 1, 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !(f.PassLow <= 0.5 && 0.5 <= f.PassHigh) {
		t.Errorf("%d of %d pass, %.2f to %.2f, and half do", f.Passing, f.Trucks, f.PassLow, f.PassHigh)
	}
	if f.Working != f.Trucks {
		t.Errorf("%d of %d work, want all", f.Working, f.Trucks)
	}
	if f.Influence[0].Tolerance.Input.Name != "mass" || f.Influence[0].First < 0.9 || math.Abs(f.Influence[1].First) > 0.1 {
		t.Errorf("influence %+v, want all of it by the mass", f.Influence)
	}
}

func TestPick(t *testing.T) {
	q := sideDoor(t)
	list := shelf(t, 12)
	p, err := Pick(context.Background(), q, list, PickOptions{Pairs: true, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	n := len(list)
	if p.Tried != n+n*(n+1)/2 || len(p.Fits) == 0 {
		t.Fatalf("%d tried, %d fit", p.Tried, len(p.Fits))
	}
	rejected := 0
	for _, r := range p.Rejected {
		rejected += r.Count
	}
	if rejected+len(p.Fits) != p.Tried {
		t.Errorf("%d rejected and %d fit, of %d", rejected, len(p.Fits), p.Tried)
	}
	for i := range p.Fits {
		c := &p.Fits[i]
		if i > 0 && (c.Verdict < p.Fits[i-1].Verdict || c.Verdict == p.Fits[i-1].Verdict && c.Score > p.Fits[i-1].Score) {
			t.Errorf("place %d is better than the one before it", i)
		}
		r, err := Quick(with(q, p.List, c.Springs, c.Turns))
		if err != nil {
			// q has a spring of its own, which with adds to
			bare := q.clone()
			bare.Springs = nil
			r, err = Quick(with(bare, p.List, c.Springs, c.Turns))
		}
		if err != nil {
			t.Fatal(err)
		}
		if r.Of(Stress).Verdict == Fail {
			t.Errorf("place %d: its spring sets", i)
		}
	}
	byLife, err := Pick(context.Background(), q, list, PickOptions{Pairs: true, By: ByLife, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	if len(byLife.Fits) != len(p.Fits) {
		t.Errorf("%d fit by life, %d by margin", len(byLife.Fits), len(p.Fits))
	}
	for i := 1; i < len(byLife.Fits); i++ {
		if a, b := &byLife.Fits[i-1], &byLife.Fits[i]; a.Verdict == b.Verdict && a.Life < b.Life {
			t.Errorf("place %d lives longer than the one before it", i)
		}
	}
}

// shelf is springs of n sizes around what the side door needs.
func shelf(t testing.TB, n int) []Spring {
	t.Helper()
	var list []Spring
	for i := range n {
		wire := 0.15 + 0.11*float64(i)/float64(n)
		list = append(list, wound(t, Textbook, wire, 2, 16+float64(i*7%21)))
	}
	return list
}

func BenchmarkAsk(b *testing.B) {
	q := sideDoor(b)
	for b.Loop() {
		answer(q, true)
	}
}

func BenchmarkQuick(b *testing.B) {
	q := sideDoor(b)
	for b.Loop() {
		answer(q, false)
	}
}

func BenchmarkTravel(b *testing.B) {
	g := newRig(sideDoor(b))
	for b.Loop() {
		g.travel(true, g.turns)
	}
}

// BenchmarkPick tries 139 springs and their pairs: 9 869 candidates.
func BenchmarkPick(b *testing.B) {
	q, list := sideDoor(b), shelf(b, 139)
	for b.Loop() {
		if _, err := Pick(context.Background(), q, list, PickOptions{Pairs: true, Workers: 2}); err != nil {
			b.Fatal(err)
		}
	}
}

package campaign

import (
	"math"
	"slices"
	"testing"

	"slatbench/model"
	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// The polar method gives mean 0 and variance 1, and 68.27 % within one deviation
// (tables of the normal distribution, from memory); each within four standard errors.
func TestNormal(t *testing.T) {
	const n = 40000
	s := newSource(1, 1)
	sum, square, within := 0.0, 0.0, 0.0
	for range n {
		x := s.normal()
		sum += x
		square += x * x
		if math.Abs(x) < 1 {
			within++
		}
	}
	for _, c := range []struct {
		what            string
		got, want, sure float64
	}{
		{"mean", sum / n, 0, 4 / math.Sqrt(n)},
		{"variance", square / n, 1, 4 * math.Sqrt(2.0/n)},
		{"within one deviation", within / n, 0.6827, 4 * math.Sqrt(0.6827*0.3173/n)},
	} {
		if math.Abs(c.got-c.want) > c.sure {
			t.Errorf("%s: %g, expected %g to %g", c.what, c.got, c.want, c.sure)
		}
	}
}

// aFaulty draws a case with a fault that has a severity, at a bay.
func aFaulty(t *testing.T) (*Plan, *Case) {
	t.Helper()
	p := &Plan{Truck: model.DefaultTruck(), Faults: 1, Seed: 2}
	for i := range uint64(500) {
		c := p.Draw(i)
		for j := range c.Faults {
			if k, _ := fault.Find(c.Faults[j].Kind); !k.Event && k.Place == fault.OnBay {
				if _, ok := k.Severity(); ok && len(c.Faults) > 1 {
					return p, c
				}
			}
		}
	}
	t.Fatal("no case of 500 has a fault with a severity, and an event")
	return nil, nil
}

// Cases of the cloud differ from the best in nothing discrete, and stay within bounds.
func TestCloudStaysWithinBounds(t *testing.T) {
	_, c := aFaulty(t)
	k, s := newCloud(c), newSource(3, 3)
	low, high := c.Bounds()
	moved := 0
	for range 100 {
		d := k.sample(s, c)
		v := d.Vector()
		if d.Hash() != c.Hash() {
			moved++
		}
		for i := range v {
			if v[i] < low[i] || v[i] > high[i] {
				t.Fatalf("parameter %d is %g, expected %g to %g", i, v[i], low[i], high[i])
			}
		}
		for i := range d.Steps {
			if d.Steps[i].At < firstLaw.low {
				t.Fatalf("a step at %g s, while the controllers wake", d.Steps[i].At)
			}
		}
		if len(d.Steps) != len(c.Steps) || len(d.Faults) != len(c.Faults) {
			t.Fatal("steps or faults have come or gone")
		}
		for i := range d.Faults {
			if d.Faults[i].Kind != c.Faults[i].Kind || d.Faults[i].Place != c.Faults[i].Place {
				t.Fatalf("%+v has turned into %+v", c.Faults[i], d.Faults[i])
			}
		}
	}
	if moved < 95 {
		t.Errorf("%d of 100 cases are not the best case itself", moved)
	}
}

// A known answer: where the share is the distance from a corner of the bounds, the cloud gets there.
func TestCloudFindsACorner(t *testing.T) {
	_, c := aFaulty(t)
	l := &lead{pool: &pool{}}
	l.best, l.cloud = c, newCloud(c)
	distance := func(c *Case) float64 {
		v, sum := l.cloud.shares(c), 0.0
		for i := range min(len(v), 12) { // surroundings and tolerances; the rest doesn't matter
			sum += v[i]
		}
		return sum
	}
	l.share = distance(c)
	before, s := l.share, newSource(4, 4)
	for range 30 {
		for range generation {
			d := l.cloud.sample(s, l.best)
			l.cloud.take(d, distance(d))
		}
		l.learn()
	}
	if l.share > before/4 {
		t.Errorf("from %g to %g in %d tries, expected a quarter of it at most", before, l.share, 30*generation)
	}
}

// A graft has other faults, no more of them than the plan allows, and the same events.
func TestGraftKeepsToThePlan(t *testing.T) {
	p, c := aFaulty(t)
	s := &seeker{plan: *p, chance: newSource(5, 5)}
	l := &lead{best: c, bay: 2, side: -1}
	kinds := map[string]bool{}
	for range 200 {
		g := s.graft(l)
		faults, events := 0, 0
		for i := range g.Faults {
			f := &g.Faults[i]
			k, ok := fault.Find(f.Kind)
			if !ok || f.Until <= f.From || f.Until > c.HealAt+0.01 {
				t.Fatalf("a fault of %+v", *f)
			}
			if k.Event {
				events++
				continue
			}
			faults++
			kinds[f.Kind] = true
			if k.Place == fault.OnBay && f.Place != l.bay {
				t.Fatalf("%s at bay %d, expected %d", f.Kind, f.Place, l.bay)
			}
		}
		had := 0
		for i := range c.Faults {
			if isEvent(c.Faults[i].Kind) {
				had++
			}
		}
		if faults > p.Faults || events != had {
			t.Fatalf("%d faults and %d events, of %d and %d", faults, events, p.Faults, had)
		}
	}
	if len(kinds) < 20 {
		t.Errorf("%d kinds in 200 grafts", len(kinds))
	}
}

// Clauses take turns, each with its nearest lead; flat ones have none.
func TestClausesTakeTurns(t *testing.T) {
	_, c := aFaulty(t)
	s := &seeker{}
	for i := range 40 {
		for j, word := range []string{"run", "cut", "next"} {
			r := &require.Result{ID: word, Clause: word, Share: 1 / float64(1+i), Bay: -1, Side: -1}
			if j == 2 {
				r.Share = 1
			}
			s.pool(r).offer(c, r)
		}
	}
	var had []string
	for range 4 {
		l := s.choose()
		had = append(had, l.pool.clause)
		if l.share != 1.0/40 {
			t.Errorf("a lead of share %g was taken before the nearest", l.share)
		}
		if n := len(l.pool.waiting); n > leadsMost {
			t.Errorf("%d leads wait", n)
		}
	}
	if want := []string{"run", "cut", "run", "cut"}; !slices.Equal(had, want) {
		t.Errorf("turns %v, expected %v", had, want)
	}
	if want := []string{"next next"}; !slices.Equal(s.result.Flat, want) {
		t.Errorf("flat %v, expected %v", s.result.Flat, want)
	}
}

// A lead that comes no nearer is given up, so that the next has its turn.
func TestLeadTires(t *testing.T) {
	_, c := aFaulty(t)
	p := &pool{}
	for i := range 3 {
		p.offer(c, &require.Result{Share: float64(1 + i)})
	}
	l := p.waiting[0]
	for range leadPatience - 1 {
		l.rest(l.share)
	}
	if p.waiting[0] != l {
		t.Fatal("given up too early")
	}
	if l.rest(l.share); p.waiting[0] == l {
		t.Error("not given up")
	}
	if l = p.waiting[0]; l.share != 2 {
		t.Errorf("the next lead has share %g, expected 2", l.share)
	}
}

// Shares that hold or don't give nothing to push on.
func TestFlatClause(t *testing.T) {
	p := &pool{}
	for range 50 {
		p.shares = append(p.shares, 1)
	}
	if !p.flat() {
		t.Error("one share throughout is not flat")
	}
	p.shares = append(p.shares, 2, 3, 4)
	if p.flat() {
		t.Error("four shares are flat")
	}
}

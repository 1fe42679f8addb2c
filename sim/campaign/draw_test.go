package campaign_test

import (
	"fmt"
	"math"
	"reflect"
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/fault"
)

func defaultPlan(faults int) *campaign.Plan {
	return &campaign.Plan{Truck: model.DefaultTruck(), Faults: faults, Seed: 7}
}

// A case depends on its plan and index, and on nothing that was drawn before.
func TestDrawnAlone(t *testing.T) {
	p := defaultPlan(2)
	forward := map[uint64]uint64{}
	for i := range uint64(200) {
		forward[i] = p.Draw(i).Hash()
	}
	for i := uint64(200); i > 0; i-- {
		if h := p.Draw(i - 1).Hash(); h != forward[i-1] {
			t.Fatalf("case %d is another when drawn alone", i-1)
		}
	}
	q := *p
	q.Seed++
	same := 0
	for i := range uint64(200) {
		if q.Draw(i).Hash() == forward[i] {
			same++
		}
	}
	if same > 0 {
		t.Errorf("another seed draws %d of 200 cases the same", same)
	}
}

// Cases that were drawn once are drawn for ever: by any version of Go, on any
// machine. Change the number only together with a distribution.
func TestDrawnForEver(t *testing.T) {
	const pinned = 0x75eb2e06e516edc3
	all := uint64(0)
	for i := range uint64(500) {
		all = all*1099511628211 ^ defaultPlan(2).Draw(i).Hash()
	}
	if all != pinned {
		t.Errorf("hash of 500 cases is %#x, pinned %#x", all, uint64(pinned))
	}
}

// What is drawn is what the fault model allows.
func TestDrawnWithinTheFaultModel(t *testing.T) {
	for most := range 3 {
		p := defaultPlan(most)
		seen := map[string]int{}
		for i := range uint64(4000) {
			c := p.Draw(i)
			if err := checkDrawn(c, most); err != nil {
				t.Fatalf("of %d faults at most, case %d: %v", most, i, err)
			}
			for _, k := range c.Kinds() {
				seen[k]++
			}
		}
		for _, k := range fault.Kinds() {
			if n := seen[k.Name]; !k.Event && most > 0 && n < 30 {
				t.Errorf("of %d faults at most: %s in %d of 4000 cases", most, k.Name, n)
			}
		}
	}
}

func checkDrawn(c *campaign.Case, most int) error {
	faults, events := 0, 0
	for _, f := range c.Faults {
		k, ok := fault.Find(f.Kind)
		if !ok {
			return fmt.Errorf("no kind %q", f.Kind)
		}
		if k.Event {
			events++
		} else {
			faults++
		}
		if f.From < 0 || f.Until <= f.From || f.Until > c.HealAt {
			return fmt.Errorf("%s from %g to %g s, mended at %g s", f.Kind, f.From, f.Until, c.HealAt)
		}
		values := map[string]float64{}
		for i := range k.Params {
			values[k.Params[i].Name] = f.Values[i]
		}
		if _, err := k.New(f.Place, values); err != nil {
			return err
		}
	}
	if faults > most || events > 2 {
		return fmt.Errorf("%d faults and %d events", faults, events)
	}
	last := 0.0
	for _, s := range c.Steps {
		if s.At < last || s.At >= c.HealAt || s.Bay >= len(c.Bays) || s.Kind == sim.Interrupt {
			return fmt.Errorf("step %+v after one at %g s, mended at %g s", s, last, c.HealAt)
		}
		last = s.At
	}
	for i, b := range c.Bays {
		if c.Locked && b.Height >= 0 {
			return fmt.Errorf("bay %d stands at %g m behind a locked bar", i, b.Height)
		}
	}
	return nil
}

// Only the kinds that were asked for are drawn.
func TestOnlySomeKinds(t *testing.T) {
	p := defaultPlan(2)
	p.Only = []string{"stuck-reel", "sunlight"}
	for i := range uint64(300) {
		for _, k := range p.Draw(i).Kinds() {
			if k != "stuck-reel" && k != "sunlight" {
				t.Fatalf("case %d has %s", i, k)
			}
		}
	}
}

// Neighbouring indices are as different as any: the mean and the spread of what is
// drawn uniformly are those of the uniform distribution, and one case tells nothing
// of the next.
func TestNeighboursAreIndependent(t *testing.T) {
	const n = 20000
	p := defaultPlan(0)
	var sum, squares, products, last float64
	for i := range uint64(n) {
		x := (p.Draw(i).Charge - 0.4) / 0.6
		sum, squares, products = sum+x, squares+x*x, products+(x-0.5)*(last-0.5)
		last = x
	}
	mean, variance := sum/n, squares/n-sum/n*sum/n
	correlation := products / n / variance
	// Four standard errors each: 1/√(12n), about 1/√(180n), 1/√n.
	if math.Abs(mean-0.5) > 4/math.Sqrt(12*n) || math.Abs(variance-1.0/12) > 4/math.Sqrt(180*n)+1e-4 || math.Abs(correlation) > 4/math.Sqrt(n) {
		t.Errorf("mean %g, variance %g, correlation %g", mean, variance, correlation)
	}
}

// The shares of kinds in runs that are no corner are those of the table: a chi-square test at 0.1 %.
func TestSharesOfKinds(t *testing.T) {
	const n = 20000
	p := defaultPlan(1)
	p.Only = []string{"aged-battery", "sunlight", "stuck-lock-switch", "stuck-door-down-wire"}
	want := map[string]float64{"aged-battery": 1, "sunlight": 1, "stuck-lock-switch": 3, "stuck-door-down-wire": 2}
	got, total := map[string]float64{}, 0.0
	for i := range uint64(n) {
		for _, k := range p.DrawPlain(i).Kinds() {
			got[k]++
			total++
		}
	}
	square := 0.0
	for _, k := range p.Only {
		expected := total * want[k] / 7
		square += (got[k] - expected) * (got[k] - expected) / expected
	}
	const limit = 16.27 // chi-square of 3 degrees of freedom, 0.1 %
	if square > limit {
		t.Errorf("chi-square %g, expected below %g: %v", square, limit, got)
	}
	if share := total / n; math.Abs(share-0.9) > 0.01 {
		t.Errorf("%g of the runs have a fault, expected 0.9", share)
	}
}

func TestPlanIsChecked(t *testing.T) {
	for _, c := range []struct {
		change func(p *campaign.Plan)
		err    string
	}{
		{func(p *campaign.Plan) { p.Truck.Bays = p.Truck.Bays[:1] }, "the truck has fewer than 2 bays, and runs are drawn for 2 or more"},
		{func(p *campaign.Plan) { p.Faults = 3 }, "3 faults at most in a run, expected 0, 1 or 2"},
		{func(p *campaign.Plan) { p.Only = []string{"stuck-real"} }, `no kind of fault is named "stuck-real"`},
		{func(p *campaign.Plan) { p.Only = []string{"obstruction"} }, "obstruction is an event, which runs have anyway, expected a kind of fault"},
		{func(p *campaign.Plan) { p.Step = 0.02 }, "a step of 0.02 s and a tick of 0.01 s, expected a tick of whole steps"},
		{func(p *campaign.Plan) { p.Step = 0.003 }, "a step of 0.003 s and a tick of 0.01 s, expected a tick of whole steps"},
	} {
		p := defaultPlan(1)
		c.change(p)
		if err := p.Check(); err == nil || err.Error() != c.err {
			t.Errorf("got %v, expected %s", err, c.err)
		}
	}
	if err := defaultPlan(2).Check(); err != nil {
		t.Error(err)
	}
}

// A vector put back gives the same case; one out of bounds is brought within them.
func TestVector(t *testing.T) {
	p := defaultPlan(2)
	for i := range uint64(300) {
		c := p.Draw(i)
		d := c.Clone()
		d.SetVector(c.Vector())
		if !reflect.DeepEqual(c, d) {
			t.Fatalf("case %d is another after its own vector was put in:\n%+v\n%+v", i, c, d)
		}
		low, high := c.Bounds()
		v := c.Vector()
		if len(low) != len(v) || len(high) != len(v) {
			t.Fatalf("%d parameters with %d and %d bounds", len(v), len(low), len(high))
		}
		for k := range v {
			if v[k] < low[k] || v[k] > high[k] {
				t.Fatalf("case %d: parameter %d is %g, bounds %g to %g", i, k, v[k], low[k], high[k])
			}
		}
		for _, far := range [][]float64{low, high} {
			for k := range v {
				v[k] = far[k] + 1e3*(far[k]-low[k]+far[k]-high[k])
			}
			d.SetVector(v)
			if err := checkVector(d); err != nil {
				t.Fatalf("case %d: %v", i, err)
			}
		}
	}
}

// checkVector tells what makes a case unplayable.
func checkVector(c *campaign.Case) error {
	for _, f := range c.Faults {
		k, _ := fault.Find(f.Kind)
		values := map[string]float64{}
		for i := range k.Params {
			values[k.Params[i].Name] = f.Values[i]
		}
		if _, err := k.New(f.Place, values); err != nil {
			return err
		}
		if f.Until <= f.From || f.From < 0 {
			return fmt.Errorf("%s from %g to %g s", f.Kind, f.From, f.Until)
		}
	}
	return nil
}

package require_test

import (
	"math"
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/require"
)

// cycle is a door that opens and closes once.
func cycle(s float64, _ *sim.Inputs, out *sim.Outputs) {
	switch {
	case between(s, 0.6, 6.2):
		up(out)
	case between(s, 8.1, 12.6):
		down(out)
	}
}

func TestNothingHappens(t *testing.T) {
	v := story{height: -1, seconds: 5, options: require.Options{Rated: true, JudgeForce: true, HealedAt: 1}}.run(t)
	if len(v.list) != 15 {
		t.Fatalf("%d requirements, want 15", len(v.list))
	}
	for i, r := range v.list {
		if r.ID != require.IDs[i] {
			t.Errorf("requirement %d is %s, want %s", i, r.ID, require.IDs[i])
		}
		if r.Verdict != untested || !math.IsNaN(r.Margin) || r.Bay != -1 || r.Side != -1 {
			t.Errorf("%s: %v, margin %g at bay %d side %d", r.ID, r.Verdict, r.Margin, r.Bay, r.Side)
		}
	}
	fresh := require.New(4, require.Options{}).Results()
	if len(fresh) != 15 || fresh[0].Verdict != untested {
		t.Errorf("a set that has seen nothing: %v", fresh)
	}
}

// Asking for results in the midst changes nothing, and what is open by then counts
// once its deadline has passed.
func TestResultsInTheMidst(t *testing.T) {
	s := closing(t, onto(-1, -1, 0), crate(t, 1.0))
	a, b := s.rig(t), s.rig(t)
	early, late := false, false
	for a.Now < a.Duration() {
		a.Advance()
		b.Advance()
		r := verdicts{t, a.set.Results()}.of("close-cut")
		early = early || r.Verdict == untested && r.Margin > 0.1 && r.Margin < 0.4
		late = late || r.Verdict == violated
		if r.Verdict == violated && a.Now <= r.At {
			t.Fatalf("violated at step %d, said at %d", r.At, a.Now)
		}
	}
	if !early || !late {
		t.Errorf("in the midst: an open margin %v, a violation %v", early, late)
	}
	x, y := a.set.Results(), b.set.Results()
	for i := range x {
		if x[i].Verdict != y[i].Verdict || x[i].At != y[i].At || x[i].Tests != y[i].Tests ||
			math.Float64bits(x[i].Margin) != math.Float64bits(y[i].Margin) {
			t.Errorf("%s: %+v after asking often, %+v after asking once", x[i].ID, x[i], y[i])
		}
	}
}

// Margins grow smaller step by step as a controller gets worse, on both sides of
// the limit: a search can follow them.
func TestMarginsAreMonotone(t *testing.T) {
	last := math.Inf(1)
	for cut := 0.1; cut < 1; cut += 0.1 {
		r := closing(t, onto(cut, cut+0.3, 6), crate(t, 1.0)).run(t).of("close-cut")
		if !(r.Margin < last-0.05) || !(r.Margin > last-0.15) && !math.IsInf(last, 1) {
			t.Errorf("cut after %.1f s: margin %.3f after %.3f", cut, r.Margin, last)
		}
		last = r.Margin
	}
}

// A fault excuses what comes after it, and only the clauses that its exemptions name.
func TestViolationsStandBeforeExemptions(t *testing.T) {
	s := closing(t, onto(0.2, 0.8, 0.4), crate(t, 1.0)) // reverses in time, and stops too soon, at 4.5 s
	for _, c := range []struct {
		fault require.Active
		want  require.Verdict
	}{
		{require.Active{Kind: "open-up-contact"}, require.Exempt},
		{require.Active{Kind: "open-up-contact", From: 5000}, violated},
		{require.Active{Kind: "wrong-supply-reading"}, violated},
	} {
		s.options.Faults = []require.Active{c.fault}
		if r := s.run(t).is("obstruction-reversal", c.want); r.Clause != "open" {
			t.Errorf("%+v: clause %s, expected open", c.fault, r.Clause)
		}
	}
}

func TestWatchingAllocatesNothing(t *testing.T) {
	s := story{height: -1, seconds: 1e6, door: func(s float64, in *sim.Inputs, out *sim.Outputs) {
		cycle(math.Mod(s, 14), in, out)
		beep(math.Mod(s, 14), 2, 3, out)
	}, locks: bar(1, 3, 3.1, 5, true, 0), faults: append(blocked(t), crate(t, 1.0)...)}
	s.height = 1.4
	r := s.rig(t)
	r.Advance()
	if n := testing.AllocsPerRun(3000, r.Advance); n != 0 {
		t.Errorf("%g allocations a tick", n)
	}
}

// watching measures what all monitors cost in a tick of ten steps, on a truck of so
// many bays, with C1 at rest or in the midst of an opening.
func watching(b *testing.B, bays int, moving bool) {
	s := story{height: 0, seconds: 1e9, truck: func(p *model.TruckParams) { p.Bays = p.Bays[:bays] }}
	if moving {
		s.door = func(s float64, in *sim.Inputs, out *sim.Outputs) { up(out) }
	}
	r := s.rig(b)
	for r.Now < 3000 {
		r.Advance()
	}
	b.ReportAllocs()
	for b.Loop() {
		r.set.Tick(r.Bench)
		r.set.Step(r.Bench)
		for n := 1; n < 10 && moving; n++ { // a truck at rest is shown once a tick
			r.set.Step(r.Bench)
		}
	}
}

func BenchmarkWatchOneMoving(b *testing.B)  { watching(b, 1, true) }
func BenchmarkWatchOneOfFour(b *testing.B)  { watching(b, 4, true) }
func BenchmarkWatchFourAtRest(b *testing.B) { watching(b, 4, false) }

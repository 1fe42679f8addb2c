package sizing

import (
	"context"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatbench/model"
)

// sideDoor is a door of the shipped truck with a spring by its wire, wired by gauge.
func sideDoor(t testing.TB) *Question {
	t.Helper()
	p := model.DefaultTruck()
	q := FromTruck(&p, 0)
	q.Springs = []Spring{wound(t, Textbook, 0.218, 2, 26.75)}
	q.Shaft = Shaft{Diameter: model.Inch, Length: 44 * model.Inch}
	q.Feed = Harness{Wired: true, Gauge: 10, Copper: 6, Return: 3e-3, Connectors: 6e-3}
	q.Bay.Counterbalance.InitialTurns = 6.5
	q.Charge = 0.9
	if list := Check(q); len(list) > 0 {
		t.Fatal(list[0])
	}
	return q
}

// wound is an oil-tempered spring by wire, inside diameter and length in inches.
func wound(t testing.TB, c Convention, wire, inside, length float64) Spring {
	t.Helper()
	w, err := c.Wind(wire*model.Inch, (inside+wire)*model.Inch, length/wire, model.OilTempered, math.NaN(), math.NaN())
	if err != nil {
		t.Fatal(err)
	}
	return Spring{Name: "spring", Wire: w, Steel: model.OilTempered, Cost: math.NaN()}
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6g, want %.6g ± %.2g", what, got, want, tolerance)
	}
}

// drawnDoor is a door that works, more or less, in many ways.
func drawnDoor(t *rapid.T) *Question {
	p := model.DefaultTruck()
	q := FromTruck(&p, 0)
	f := func(low, high float64, what string) float64 { return rapid.Float64Range(low, high).Draw(t, what) }
	q.Ambient.Temperature = f(-30, 45, "temperature")
	q.Ambient.Grade = f(-0.05, 0.05, "grade")
	q.Charge = f(0.2, 1, "charge")
	q.Bay.Curtain.Mass = f(20, 60, "mass")
	q.FrictionFactor = f(0.5, 2, "friction")
	q.Bay.Counterbalance.Rate = f(1.5, 5, "rate")
	q.Bay.Counterbalance.InitialTurns = f(4, 12, "turns")
	q.Feed.Connectors = f(0, 0.1, "connectors")
	q.Bay.Drive.Efficiency = f(0.45, 0.9, "efficiency")
	return q
}

// agreement is how far quadrature and simulation may differ in a travel time.
const agreement = 0.03

// apart is the greatest difference in a travel time between the quadrature of q and
// the simulation of as, where both apply.
func apart(q, as *Question) (worst float64, compared int) {
	g := newRig(q)
	s := Simulate(as)
	up, down := g.travel(true, g.turns), g.travel(false, g.turns)
	for _, pair := range [...]struct {
		t Travel
		r Run
	}{{up, s.Opening}, {down, s.Closing}} {
		if pair.t.Applies && finite(pair.r.Time) {
			compared++
			worst = math.Max(worst, math.Abs(pair.t.Time/pair.r.Time-1))
		}
	}
	return worst, compared
}

// Doors of all kinds, wound with turns that they work with.
func TestQuadratureAgreesWithSimulation(t *testing.T) {
	compared := 0
	rapid.Check(t, func(t *rapid.T) {
		q := drawnDoor(t)
		w := newRig(q).window(q, atFail)
		share := rapid.Float64Range(0, 1).Draw(t, "turns within the window")
		if !w.Open() {
			return
		}
		q.Bay.Counterbalance.InitialTurns = w.Low + share*(w.High-w.Low)
		off, n := apart(q, q)
		if compared += n; off > agreement {
			t.Fatalf("travel times differ by %.1f %%", 100*off)
		}
	})
	if compared < 50 {
		t.Errorf("only %d travels compared", compared)
	}
}

// The comparison notices a quadrature that has a third more friction, or a harness
// that it has forgotten.
func TestAgreementWouldNotice(t *testing.T) {
	q := sideDoor(t)
	rough := q.clone()
	rough.FrictionFactor = 1.33
	if off, n := apart(rough, q); n != 2 || off < agreement {
		t.Errorf("a third more friction moves the times by %.1f %% only", 100*off)
	}
	q.Feed.Connectors = 0.060
	forgotten := q.clone()
	forgotten.Feed.Connectors = 0
	if off, n := apart(forgotten, q); n != 2 || off < agreement {
		t.Errorf("60 mΩ forgotten move the times by %.1f %% only", 100*off)
	}
}

// With half of the pieces the times are the same to a thousandth.
func TestPiecesAreEnough(t *testing.T) {
	q := sideDoor(t)
	for _, turns := range []float64{5, 6.5, 9} {
		for _, up := range []bool{true, false} {
			g := newRig(q)
			var slow, half []float64
			for i := range g.heights {
				v, _ := g.speed(up, i, turns)
				slow = append(slow, 1/v)
				if i%2 == 0 {
					half = append(half, 1/v)
				}
			}
			fine := simpson(slow, g.step)
			near(t, "time with half of the pieces, s", simpson(half, 2*g.step), fine, 1e-3*fine)
		}
	}
}

// Simpson's rule is exact for a cubic: ∫ x³ over 0 to 2 is 4.
func TestSimpson(t *testing.T) {
	var f []float64
	for i := range 5 {
		x := float64(i) / 2
		f = append(f, x*x*x)
	}
	near(t, "integral", simpson(f, 0.5), 4, 1e-12)
}

// Currents and voltages by the two ways.
func TestSupplyAgreesWithSimulation(t *testing.T) {
	for _, cold := range []float64{20, -20} {
		q := sideDoor(t)
		q.Ambient.Temperature = cold
		q.Bay.Counterbalance.InitialTurns = 6
		r, err := Ask(q)
		if err != nil {
			t.Fatal(err)
		}
		s := r.Simulation
		near(t, "supply at rest, V", r.Of(RestSupply).Value, s.RestVolts, 1e-6)
		near(t, "inrush, A", r.Up.Inrush, s.Opening.Amps, 0.02)
		near(t, "supply at the inrush, V", r.Up.InVolts, s.Opening.Volts, 0.02)
		near(t, "running current, A", r.Up.Amps, s.Opening.Steady, 0.03*r.Up.Amps)
		near(t, "charge of an opening, A·s", r.Up.Charge, s.Opening.Charge, 0.05*s.Opening.Charge)
		near(t, "heat of an opening, A²·s", r.Up.Heat, s.Opening.Heat, 0.05*s.Opening.Heat)
	}
}

// A door that the balance of forces leaves force to spare stays; one that lacks some
// moves, the way that the balance says.
func TestStandingIsWhatTheModelDoes(t *testing.T) {
	const sure = 3.0 // N on either side of the edge, which the cable's stretch may move
	judged := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		q := drawnDoor(t)
		released := rapid.Bool().Draw(t, "released")
		i := rapid.IntRange(4, pieces-4).Draw(t, "height")
		g := newRig(q)
		grip := g.grip
		if released {
			grip = g.gripFree
		}
		up, down := g.spare(i, g.turns, grip)
		least := math.Min(up, down)
		if math.Abs(least) < sure {
			return
		}
		truck := model.NewTruck(q.truck(), model.DefaultStep)
		b := &truck.Bays[0]
		b.Condition.ReleaseOpen = released
		truck.RefreshBay(0)
		b.Place(g.heights[i])
		// The cable carries what curtain and shaft can both bear, halfway.
		h, spring := g.pull[i], g.torque(i, g.turns)
		low := math.Max(math.Max(0, h-g.breakaway), (spring-grip)/g.r)
		high := math.Min(h+g.breakaway, (spring+grip)/g.r)
		if low <= high {
			b.ShaftAngle = (g.heights[i] + (low+high)/2/g.kc) / g.r
		}
		rest(truck, 2)
		moved := b.Height - g.heights[i]
		switch {
		case least > 0 && math.Abs(moved) > 0.002:
			t.Fatalf("%.0f N to spare, and it moved %.1f mm", least, 1000*moved)
		case least < 0 && up < down && moved < 0.002:
			t.Fatalf("%.0f N too much up, and it moved %.1f mm", -least, 1000*moved)
		case least < 0 && down < up && moved > -0.002:
			t.Fatalf("%.0f N too little, and it moved %.1f mm", -least, 1000*moved)
		}
		judged[verdictOf(least).String()]++
	})
	if judged["pass"] < 10 || judged["fail"] < 10 {
		t.Errorf("judged %v, want some of both", judged)
	}
}

// Just inside its window a door works, just outside something fails.
func TestWindowIsWhereItWorks(t *testing.T) {
	open := 0
	rapid.Check(t, func(t *rapid.T) {
		q := drawnDoor(t)
		g := newRig(q)
		w := g.window(q, atFail)
		if !w.Open() || w.High-w.Low < 0.02 {
			return
		}
		open++
		fails := func(n float64) bool {
			q.Bay.Counterbalance.InitialTurns = n
			r := answer(q, false)
			for _, a := range []Aspect{StaysPut, TurnsLeft, OpeningTime, ClosingTime} {
				if r.Of(a).Verdict == Fail {
					return true
				}
			}
			return r.Of(InitialTurns).Verdict == Fail
		}
		const hair = 1e-3
		if fails(w.Low+hair) || fails(w.High-hair) {
			t.Fatalf("window %+v: it fails inside", w)
		}
		if w.Low > hair && !fails(w.Low-hair) || w.High < mostTurns && !fails(w.High+hair) {
			t.Fatalf("window %+v: it works outside", w)
		}
		if n := g.recommend(q, w); n < w.Low || n > w.High {
			t.Fatalf("%v turns recommended, out of %+v", n, w)
		}
	})
	if open < 20 {
		t.Errorf("only %d windows", open)
	}
}

// At the recommended turns the door is as heavy up as down, where nothing else binds.
func TestEvenTurns(t *testing.T) {
	q := sideDoor(t)
	g := newRig(q)
	up, _, down, _ := g.hands(g.even())
	near(t, "hand force up against down, N", up, down, 1)
}

func TestGaugeIsMended(t *testing.T) {
	q := sideDoor(t)
	q.Feed = Harness{Wired: true, Gauge: 16, Copper: 20}
	r, err := Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	a := r.Of(RunningSupply)
	if a.Verdict == Pass || !strings.Contains(a.Fix, "gauge") {
		t.Fatalf("20 m of 16 AWG: %v, fix %q", a.Verdict, a.Fix)
	}
	after := q.clone()
	for _, awg := range gauges {
		if strings.HasSuffix(a.Fix, ": "+GaugeText(awg)) {
			after.Feed.Gauge = awg
		}
	}
	again, err := Quick(after)
	if err != nil {
		t.Fatal(err)
	}
	if got := again.Of(RunningSupply).Verdict; after.Feed.Gauge == 16 || got != Pass {
		t.Errorf("with %q it is %v", a.Fix, got)
	}
}

// What a fix of the turns says comes true at both of its ends.
func TestTurnsAreMended(t *testing.T) {
	q := sideDoor(t)
	q.Bay.Counterbalance.InitialTurns = 5
	r, err := Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	a := r.Of(StaysPut)
	if a.Verdict != Fail || a.Fix != "1.00 to 2.25 more initial turns" {
		t.Fatalf("%v, fix %q", a.Verdict, a.Fix)
	}
	for by, want := range map[float64]Verdict{0.75: Marginal, 1.00: Pass, 2.25: Pass} {
		q.Bay.Counterbalance.InitialTurns = 5 + by
		again, err := Quick(q)
		if err != nil {
			t.Fatal(err)
		}
		if got := again.Of(StaysPut).Verdict; got != want {
			t.Errorf("with %.2f more it is %v, want %v", by, got, want)
		}
	}
}

func TestStudyDoesNotDependOnWorkers(t *testing.T) {
	q := sideDoor(t)
	x, y := FindInput("temperature").Spread(-30, 45, 5), FindInput("charge").Spread(0.2, 1, 4)
	one, err := Study(context.Background(), q, x, y, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	four, err := Study(context.Background(), q, x, y, 4, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range one.Cells {
		if one.Cells[i] != four.Cells[i] {
			t.Errorf("cell %d: %+v with one worker, %+v with four", i, one.Cells[i], four.Cells[i])
		}
	}
	if cold, warm := one.At(0, 3).Opening, one.At(4, 3).Opening; !(cold > warm) {
		t.Errorf("opens in %.2f s at −30 °C and %.2f s at 45 °C", cold, warm)
	}
	if low, full := one.At(2, 0).Opening, one.At(2, 3).Opening; !(low > full) {
		t.Errorf("opens in %.2f s at 20 %% and %.2f s at full charge", low, full)
	}
}

func TestStudyRefusals(t *testing.T) {
	q := sideDoor(t)
	x := FindInput("temperature").Spread(-30, 45, 3)
	ctx := context.Background()
	if _, err := Study(ctx, q, x, x, 1, nil); err == nil {
		t.Error("one input on both axes was taken")
	}
	q.Feed, q.Branch = Harness{Ohms: 0.01}, Harness{}
	if _, err := Study(ctx, q, x, FindInput("gauge").Spread(4, 14, 3), 1, nil); err == nil {
		t.Error("the gauge of a harness without one was varied")
	}
	cancelled, stop := context.WithCancel(ctx)
	stop()
	if _, err := Study(cancelled, q, x, FindInput("charge").Spread(0, 1, 3), 1, nil); err == nil {
		t.Error("a study that was stopped gave a map")
	}
	m, err := Study(ctx, q, x, FindInput("bend").Spread(0.1, 2, 3), 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	if c := m.At(0, 2); !strings.Contains(c.Refused, "bend") || finite(c.Opening) {
		t.Errorf("a bend of 2 m in an opening of 1.8 m gives %+v", *c)
	}
}

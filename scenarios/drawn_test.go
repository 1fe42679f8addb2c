package scenarios_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/logic"
	"slatbench/sim/require"
)

// author writes random scenarios, as text, so that one that fails can be kept and replayed.
type author struct {
	*rapid.T
	text strings.Builder
	now  float64 // s, of the story so far
	last float64 // s, of the last thing that happens
}

// plot says what may happen in a scenario.
type plot struct {
	fault  *fault.Kind // the one fault, or nil
	events bool        // up to two of obstruction, blocked bar, loss of supply
	rated  bool        // what service asks for: nothing in the way, doors left alone until they arrive
}

func (a *author) line(format string, args ...any) { fmt.Fprintf(&a.text, format+"\n", args...) }

// between draws a number in steps of its hundredth part, rounded so that it is short in the text.
func (a *author) between(what string, low, high float64) float64 {
	x := low + (high-low)*float64(rapid.IntRange(0, 100).Draw(a.T, what))/100
	return math.Round(x*1e6) / 1e6
}

func (a *author) oneIn(n int, what string) bool { return rapid.IntRange(1, n).Draw(a.T, what) == n }

func (a *author) bay() string {
	return rapid.SampledFrom([]string{"C1", "C1", "C1", "C2", "R1"}).Draw(a.T, "bay")
}

func (a *author) side() string {
	return rapid.SampledFrom([]string{"curbside", "curbside", "roadside", "both"}).Draw(a.T, "side")
}

// scenario is the text of one.
func (a *author) scenario(p plot) string {
	a.line("scenario: drawn at random")
	a.truck()
	a.line("ambient: {temperature: %d °C, grade: %g %%}", rapid.IntRange(-20, 45).Draw(a.T, "temperature"), a.between("grade", -5, 5))
	low := 30.0
	if !p.rated && p.fault == nil {
		low = 2 // a flat battery is no fault of the truck's
	}
	a.line("start:\n  charge: %g %%", a.between("charge", low, 100))
	a.line("  doors: {%s}", a.heights())
	a.line("seed: %d", rapid.IntRange(0, 1000).Draw(a.T, "seed"))
	a.line("steps:")
	a.steps(p)
	var faults strings.Builder
	if p.fault != nil {
		faults.WriteString(a.fault(p.fault, a.between("onset", 0, a.last)) + "\n")
	}
	if p.events {
		for range rapid.IntRange(0, 2).Draw(a.T, "events") {
			faults.WriteString(a.event() + "\n")
		}
	}
	if faults.Len() > 0 {
		a.line("faults:\n%s", strings.TrimSuffix(faults.String(), "\n"))
	}
	a.line("duration: %.2f s", a.last+20)
	return a.text.String()
}

// truck draws tolerances of parts: a door as it comes from the workshop.
func (a *author) truck() {
	from := "produce-4bay"
	if a.oneIn(3, "no edge") {
		from = "produce-4bay-no-edge"
	}
	a.line("truck:\n  from: trucks/%s.yaml\n  each bay:", from)
	a.line("    curtain: {mass: %g kg}", a.between("mass", 31, 33))
	a.line("    counterbalance: {initial turns: %g turns}", a.between("turns", 6.4, 6.8))
	a.line("    friction: {running: %g N, viscous: %g N·s/m}", a.between("running", 20, 30), a.between("viscous", 24, 36))
	a.line("    drive: {resistance: %g Ω, efficiency: %g %%}", a.between("resistance", 0.57, 0.63), a.between("efficiency", 57, 63))
	if a.oneIn(5, "two channels") {
		a.line("    encoder: {channels: two}")
	}
}

// heights of the doors that are not down.
func (a *author) heights() string {
	var list []string
	for _, bay := range []string{"C1", "C2"} {
		switch rapid.IntRange(0, 3).Draw(a.T, "stands") {
		case 2:
			list = append(list, bay+": open")
		case 3:
			list = append(list, fmt.Sprintf("%s: %g m", bay, a.between("height", 0.1, 1.6)))
		}
	}
	return strings.Join(list, ", ")
}

// steps are presses, lock requests, a bypass and a teaching, one after the other.
func (a *author) steps(p plot) {
	a.now = 0.5
	gaps := []float64{0.3, 0.45, 0.7, 1.5, 3, 4.5, 7, 8.5}
	if p.rated {
		gaps = []float64{14}
	}
	for range rapid.IntRange(1, 7).Draw(a.T, "steps") {
		a.last = a.now
		switch kind := rapid.IntRange(0, 13).Draw(a.T, "step"); {
		case kind == 8 || kind > 11:
			a.line("  - {at: %.2f s, lock: %s}", a.now, a.side())
		case kind == 9:
			a.line("  - {at: %.2f s, unlock: %s}", a.now, a.side())
		case kind == 10 && !p.rated && a.oneIn(3, "bypass"):
			to := rapid.SampledFrom([]string{"locked", "unlocked"}).Draw(a.T, "to")
			a.line("  - {at: %.2f s, bypass: curbside, to: %s}", a.now, to)
		case kind == 11:
			a.line("  - {at: %.2f s, teach: %s}", a.now, a.bay())
			a.now += 12
		default:
			a.line("  - {at: %.2f s, press: %s}", a.now, a.bay())
		}
		a.now += rapid.SampledFrom(gaps).Draw(a.T, "gap") + a.between("more", 0, 0.5)
	}
}

// fault is one item of the list of faults, as bad as a campaign would draw it.
func (a *author) fault(k *fault.Kind, from float64) string {
	place := k.Part
	switch k.Place {
	case fault.OnBay:
		place = "C1"
	case fault.OnSide:
		place = "curbside"
	}
	s := fmt.Sprintf("  - {%s: %s, from: %.3f s", k.Name, place, from)
	for i := range k.Params {
		p := &k.Params[i]
		switch {
		case p.Words != nil:
			s += fmt.Sprintf(", %s: %s", p.Name, rapid.SampledFrom(p.Words).Draw(a.T, p.Name))
		case p.Severity() && p.Unit == "pulses":
			n := rapid.IntRange(int(p.Mild), int(p.Severe)).Draw(a.T, p.Name)
			s += fmt.Sprintf(", %s: %d pulses", p.Name, n)
		case p.Severity():
			s += fmt.Sprintf(", %s: %s", p.Name, scenarios.FormatQuantity(a.between(p.Name, p.Mild, p.Severe), scenarios.Dimension(p.Unit)))
		}
	}
	if a.oneIn(3, "mended") {
		s += fmt.Sprintf(", until: %.3f s", from+a.between("lasts", 0.5, 20))
	}
	return s + "}"
}

// event is something that a controller must cope with.
func (a *author) event() string {
	from := a.between("when", 0, a.last+4)
	switch rapid.IntRange(0, 2).Draw(a.T, "event") {
	case 0:
		stiffness := rapid.SampledFrom([]int{5, 20, 100, 500}).Draw(a.T, "stiffness")
		return fmt.Sprintf("  - {obstruction: C1, from: %.3f s, until: %.3f s, height: %g m, stiffness: %d N/mm, appears: when-clear}",
			from, from+a.between("stays", 1, 30), a.between("top", 0.026, 1.45), stiffness)
	case 1:
		return fmt.Sprintf("  - {blocked-lock-bar: curbside, from: %.3f s, position: %g m}", from, a.between("jam", 0.005, 0.055))
	}
	return fmt.Sprintf("  - {supply-interruption: feed, from: %.3f s, until: %.3f s, left: %g %%}",
		from, from+rapid.SampledFrom([]float64{0.004, 0.02, 0.3, 2}).Draw(a.T, "dark"), a.between("left", 0, 80))
}

// judge plays a scenario given as text with the controllers of a table, or with others
// that make puts in their place, and gives the verdicts.
func judge(t testing.TB, text string, table *logic.Table, put func(s *sim.Setup)) []require.Result {
	t.Helper()
	l := scenarios.Loader{Shipped: scenarios.Shipped()}
	var sc scenarios.Scenario
	if err := l.LoadBytes("drawn.yaml", []byte(text), &sc); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	s, err := sc.Setup(table)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if put != nil {
		put(&s)
	}
	var o require.Options
	if sc.HealedAt != nil {
		o.HealedAt = int64(math.Round(*sc.HealedAt / sc.TimeStep))
	}
	o.Rated = len(sc.Faults) == 0 && sc.Start.Charge >= 0.3
	for i := range sc.Faults {
		f := &sc.Faults[i]
		steps := func(seconds float64) int64 { return int64(math.Round(seconds / sc.TimeStep)) }
		o.Faults = append(o.Faults, require.Active{Kind: f.Kind.Name, From: steps(f.From), To: steps(f.Until)})
	}
	set := require.New(len(s.Truck.Bays), o)
	s.Watch = append(s.Watch, set)
	b, err := sim.New(s)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if err := b.Run(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return set.Results()
}

// tell is a result in one line.
func tell(r *require.Result) string {
	return fmt.Sprintf("%s (%s) %v: margin %.4g %s at %.3f s, bay %d, side %d, %d tests", r.ID, r.Clause, r.Verdict, r.Margin, r.Unit,
		float64(r.At)*1e-3, r.Bay, r.Side, r.Tests)
}

// shippedLogic is a fresh copy of the baseline.
func shippedLogic(t testing.TB) *logic.Table {
	t.Helper()
	l := scenarios.Loader{Shipped: scenarios.Shipped()}
	table, err := l.LoadLogic(scenarios.BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

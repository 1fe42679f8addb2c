package campaign

import (
	"fmt"
	"strings"

	"slatbench/sim"
	"slatbench/sim/fault"
)

// corner is a situation that people and weather do bring about, and independent draws
// hardly ever: several things that must come together, some within a tenth of a second.
// What it does not name is as in any other run.
type corner struct {
	name   string  // what comes together
	share  float64 // how often, against the other corners
	steps  []cornerStep
	wrongs []cornerWrong

	temperature, charge law // nil: as in any run
	below               law // m below the open stop, where the bay stands; nil: down
}

// cornerStep is something that somebody does at the bay, or at the lock beside it.
type cornerStep struct {
	kind  sim.ActionKind
	after law // s since the step before, or since the start
}

// cornerWrong is a fault or an event, at the bay, the lock beside it or what all share.
type cornerWrong struct {
	kinds  []string // one of these, in equal shares
	step   int      // its onset is counted from this step on, from 1; 0 is the start
	into   law      // s
	lasts  law      // s, to the mending at most
	values []law    // of its parameters, in their order; nil: as in any run
}

// cornerSalt keeps the stream that corners are drawn from apart from that of all else,
// so that a run which is none is the same as if there were no corners.
const cornerSalt = 0x0c08e85a17ab1e55

// corner draws whether the run of an index is a corner, and which. It is one only of
// those that the plan allows.
func (p *Plan) corner(index uint64) (*corner, *source) {
	s := newSource(p.Seed, scatter(index)^cornerSalt)
	if !cornerLaw.happens(s) {
		return nil, s
	}
	var may []*corner
	var weights []float64
	for i := range corners {
		if k := &corners[i]; k.allowed(p) {
			may, weights = append(may, k), append(weights, k.share)
		}
	}
	if len(may) == 0 {
		return nil, s
	}
	return may[s.pick(weights)], s
}

// allowed tells that a plan draws so many faults, and of these kinds.
func (k *corner) allowed(p *Plan) bool {
	faults := 0
	for i := range k.wrongs {
		kinds := k.wrongs[i].may(p)
		if len(kinds) == 0 {
			return false
		}
		if !kinds[0].Event {
			faults++
		}
	}
	return faults <= p.Faults
}

// may are the kinds of which one comes, as far as the plan draws them.
func (w *cornerWrong) may(p *Plan) (list []fault.Kind) {
	for _, name := range w.kinds {
		if k, ok := fault.Find(name); ok && (k.Event || p.draws(name)) {
			list = append(list, k)
		}
	}
	return list
}

// corner lets a case be one: its truck, its weather and its mending are as drawn.
func (a *author) corner(k *corner) {
	bay := a.below(len(a.c.Bays))
	a.acting = []int{bay}
	a.c.Locked, a.c.Untaught = false, false
	for i := range a.c.Bays {
		a.c.Bays[i].Height = -1
	}
	if k.below != nil {
		a.c.Bays[bay].Height = roundTo(max(a.plan.Truck.Bays[bay].Track.Opening-k.below.draw(a.source), 0), 1000)
	}
	if k.temperature != nil {
		a.c.Temperature = k.temperature.draw(a.source)
	}
	if k.charge != nil {
		a.c.Charge = k.charge.draw(a.source)
	}
	at := a.cornerSteps(k, bay)
	for i := range k.wrongs {
		a.cornerWrong(&k.wrongs[i], bay, at)
	}
	t := at[len(at)-1]
	for range cornerMoreLaw.count(a.source) {
		t += cornerGapLaw.draw(a.source)
		a.cornerPress(bay, t)
	}
	a.inOrder()
}

// cornerPress is a press that is well aimed: what a corner is about lies elsewhere.
func (a *author) cornerPress(bay int, at float64) {
	a.c.Steps = append(a.c.Steps, StepDraw{
		At: at, Kind: sim.Press, Bay: bay, Span: cornerPressLaw.draw(a.source),
		Aim: cornerAimLaw.draw(a.source), Distance: cornerDistanceLaw.draw(a.source),
	})
}

// cornerSteps draws what is done, and gives the time of each step after that of the start.
func (a *author) cornerSteps(k *corner, bay int) []float64 {
	at := []float64{0}
	for i := range k.steps {
		s := &k.steps[i]
		t := at[i] + s.after.draw(a.source)
		at = append(at, t)
		switch s.kind {
		case sim.Press:
			a.cornerPress(bay, t)
		case sim.TeachHold:
			a.c.Steps = append(a.c.Steps, StepDraw{At: t, Kind: s.kind, Bay: bay, Span: teachSpan})
		case sim.LockAsk, sim.UnlockAsk:
			a.c.Steps = append(a.c.Steps, StepDraw{At: t, Kind: s.kind, Side: a.plan.Truck.Bays[bay].Side, Span: askSpan})
		default:
			a.c.Steps = append(a.c.Steps, StepDraw{At: t, Kind: s.kind, Side: a.plan.Truck.Bays[bay].Side})
		}
	}
	return at
}

// cornerWrong draws what goes wrong, where steps are at these times.
func (a *author) cornerWrong(w *cornerWrong, bay int, at []float64) {
	kinds := w.may(a.plan)
	k := &kinds[a.below(len(kinds))]
	place := 0
	switch k.Place {
	case fault.OnBay:
		place = bay
	case fault.OnSide:
		place = int(a.plan.Truck.Bays[bay].Side)
	}
	from := roundTo(min(at[w.step]+w.into.draw(a.source), a.c.HealAt-lastChance), 100)
	lasts := w.lasts.draw(a.source)
	if w.values == nil {
		a.add(k, place, from, lasts, a.values(k))
		return
	}
	var v fault.Values
	for i := range w.values {
		v[i] = w.values[i].draw(a.source)
	}
	a.add(k, place, from, lasts, v)
}

// cornerDistributions are the rows of the list about corners.
func cornerDistributions() []Distribution {
	list := []Distribution{
		{"corners", "runs that are one, if the plan allows any (no fault too many, none of a kind that was not asked for); what follows is where it allows all", "", cornerLaw.String()},
		{"corners", "bay, any of the truck's: it alone acts, all others are down, nothing is locked, all is taught", "", "equal shares"},
		{"corners", "presses after the last step", "presses", cornerMoreLaw.String()},
		{"corners", "from that step or a press to the next press", "s", cornerGapLaw.String()},
		{"corners", "button held", "s", cornerPressLaw.String()},
		{"corners", "aim off the receiver, towards the next bay", "rad", cornerAimLaw.String()},
		{"corners", "distance of the remote", "m", cornerDistanceLaw.String()},
	}
	total := 0.0
	for i := range corners {
		total += corners[i].share
	}
	for i := range corners {
		k := &corners[i]
		list = append(list, Distribution{"corners", k.name, "", fmt.Sprintf("%.2f %% of runs: %s", float64(cornerLaw)*k.share/total, k.words())})
	}
	return list
}

// words are what a corner draws, uniform where two ends are given.
func (k *corner) words() string {
	var list []string
	add := func(format string, of law, more ...any) {
		if of != nil {
			list = append(list, fmt.Sprintf(format, append([]any{ends(of)}, more...)...))
		}
	}
	add("%s °C", k.temperature)
	add("charge %s", k.charge)
	add("%s m below the open stop", k.below)
	for i := range k.steps {
		add("%[2]s after %[1]s s", k.steps[i].after, stepWords[k.steps[i].kind])
	}
	for i := range k.wrongs {
		list = append(list, k.wrongs[i].words())
	}
	return strings.Join(list, "; ")
}

// words are what a fault or an event draws.
func (w *cornerWrong) words() string {
	text := strings.Join(w.kinds, " or ")
	kind, _ := fault.Find(w.kinds[0])
	for i := range w.values {
		if p := &kind.Params[i]; p.Words == nil {
			text += strings.TrimRight(fmt.Sprintf(", %s %s %s", p.Name, ends(w.values[i]), p.SI()), " ")
		}
	}
	switch {
	case w.step > 0:
		text += fmt.Sprintf(", %s s after step %d", ends(w.into), w.step)
	default:
		text += fmt.Sprintf(", at %s s", ends(w.into))
	}
	if w.lasts == law(toTheEnd) {
		return text + ", to the mending"
	}
	return text + fmt.Sprintf(", for %s s", ends(w.lasts))
}

// ends is a law of one number or of two ends in short.
func ends(l law) string {
	low, high := l.span()
	if low == high {
		return fmt.Sprintf("%g", low)
	}
	return fmt.Sprintf("%g to %g", low, high)
}

// stepWords are the kinds of step as a table has them.
var stepWords = map[sim.ActionKind]string{
	sim.Press: "press", sim.TeachHold: "teaching", sim.LockAsk: "lock request", sim.UnlockAsk: "unlock request",
	sim.BypassLock: "bar moved by hand to locked", sim.BypassUnlck: "bar moved by hand to unlocked",
}

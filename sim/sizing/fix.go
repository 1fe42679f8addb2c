package sizing

import (
	"fmt"
	"math"

	"slatbench/model"
)

// change is one thing that could be done about an answer, and how to say it.
type change struct {
	text  string
	turns float64 // more of them, where it is a change of turns alone
	apply func(q *Question)
}

// family is changes of one kind, the smallest first.
type family func(r *Result) []change

// remedies are the kinds of change that bear on each aspect, what costs least first.
var remedies = [Aspects][]family{
	StaysPut:         {turnsToo, rateAndTurns},
	InitialTurns:     {turnsToo, rateAndTurns},
	TurnsLeft:        {turnsToo, rateAndTurns},
	HandUp:           {turnsToo, rateAndTurns},
	HandDown:         {turnsToo, rateAndTurns},
	HoldOpen:         {turnsToo, rateAndTurns},
	OpeningTime:      {turnsToo, gauge, charge, newBattery, rateAndTurns},
	ClosingTime:      {turnsToo, gauge, charge, newBattery, closingSpring, rateAndTurns},
	RunningCurrent:   {turnsToo, rateAndTurns},
	RestSupply:       {charge, gauge, newBattery},
	RunningSupply:    {gauge, turnsToo, charge, newBattery, cranking},
	InrushSupply:     {gauge, charge, newBattery, cranking},
	MotorTemperature: {turnsToo, seldomer},
	ChargeCycles:     {charge, newBattery, reserve, turnsToo},
	Frost:            {charge},
	Stress:           {turnsToo, heavierWire},
	SpringLife:       {turnsToo, heavierWire},
	ShaftClearance:   {turnsToo},
	ShaftRoom:        {turnsToo},
}

// mend looks for the nearest change that makes each answer pass that does not, and
// that makes no other fail that has not failed before. Where none makes it pass, one
// that makes a failing answer marginal will do. The changes are tried by quadrature.
func (r *Result) mend() {
	for i := range r.Answers {
		if a := &r.Answers[i]; a.Verdict == Marginal || a.Verdict == Fail {
			a.Fix = r.fix(a)
		}
	}
}

// Advice is what to try about an answer that does not pass, or that none of the changes
// tried mends it by itself. It is empty for one that passes or is not judged.
func (a *Answer) Advice() string {
	switch {
	case a.Verdict != Marginal && a.Verdict != Fail:
		return ""
	case a.Fix == "":
		return "no single change that was tried mends it"
	}
	return "try: " + a.Fix
}

func (r *Result) fix(a *Answer) string {
	half := ""
	for _, changes := range remedies[a.Aspect] {
		list := changes(r)
		for i := range list {
			got := r.tried(&list[i], a.Aspect)
			if got == Pass {
				return r.upTo(list, i, a.Aspect)
			}
			if got == Marginal && a.Verdict == Fail && half == "" {
				half = list[i].text + ", and it is marginal"
			}
		}
	}
	return half
}

// tried is the verdict on one aspect after a change; Fail too where the change is
// impossible or makes something else fail.
func (r *Result) tried(c *change, a Aspect) Verdict {
	q := r.Question.clone()
	c.apply(q)
	after, err := Quick(q)
	if err != nil {
		return Fail
	}
	for i := range after.Answers {
		was := r.Of(after.Answers[i].Aspect)
		if after.Answers[i].Verdict == Fail && was.Verdict != Fail {
			return Fail
		}
	}
	return after.Of(a).Verdict
}

// upTo tells up to where a change of turns may go.
func (r *Result) upTo(list []change, i int, a Aspect) string {
	first, last := list[i].turns, list[i].turns
	for k := i + 1; k < len(list) && first != 0; k++ {
		if list[k].turns*first < 0 {
			continue
		}
		if r.tried(&list[k], a) != Pass {
			break
		}
		last = list[k].turns
	}
	switch {
	case first == last:
		return list[i].text
	case first < 0:
		return fmt.Sprintf("%.2f to %.2f fewer initial turns", -first, -last)
	}
	return fmt.Sprintf("%.2f to %.2f more initial turns", first, last)
}

// turnsToo are quarter turns more and fewer, the nearest first.
func turnsToo(r *Result) []change {
	var list []change
	for k := 1; k <= 32; k++ {
		for _, by := range [2]float64{quarter * float64(k), -quarter * float64(k)} {
			word := "more"
			if by < 0 {
				word = "fewer"
			}
			list = append(list, change{fmt.Sprintf("%.2f %s initial turns", math.Abs(by), word), by, func(q *Question) { q.Bay.Counterbalance.InitialTurns += by }})
		}
	}
	return list
}

// gauges that are sold, by AWG, from thin to thick.
var gauges = []int{18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3}

// GaugeText writes a wire gauge.
func GaugeText(awg int) string {
	if awg <= 0 {
		return fmt.Sprintf("%d/0 AWG", 1-awg)
	}
	return fmt.Sprintf("%d AWG", awg)
}

func gauge(r *Result) []change {
	h := r.Question.wired()
	if h == nil {
		return nil
	}
	var list []change
	for _, awg := range gauges {
		if awg >= h.Gauge {
			continue
		}
		text := "one gauge heavier: "
		if n := len(list) + 1; n > 1 {
			text = fmt.Sprintf("%d gauges heavier: ", n)
		}
		list = append(list, change{text + GaugeText(awg), 0, func(q *Question) { q.wired().Gauge = awg }})
	}
	return list
}

func charge(r *Result) []change {
	var list []change
	for percent := 5.0; percent <= 100; percent += 5 {
		if to := percent / 100; to > r.Question.Charge+1e-9 {
			list = append(list, change{fmt.Sprintf("charge the battery to %g %%", percent), 0, func(q *Question) { q.Charge = to }})
		}
	}
	return list
}

func newBattery(r *Result) []change {
	if r.Question.Battery.Age == 0 {
		return nil
	}
	return []change{{"a new battery of the same ratings", 0, func(q *Question) { q.Battery.Age = 0 }}}
}

func cranking(r *Result) []change {
	var list []change
	was := r.Question.Battery
	for amps := 50 * math.Ceil(was.ColdCrankA/50+0.01); amps <= 2*was.ColdCrankA; amps += 50 {
		list = append(list, change{fmt.Sprintf("a battery of %g A cold cranking", amps), 0, func(q *Question) {
			q.Battery.ColdCrankA = amps
			q.Battery.ReserveMin = was.ReserveMin * amps / was.ColdCrankA
		}})
	}
	return list
}

func reserve(r *Result) []change {
	var list []change
	was := r.Question.Battery
	for minutes := 10 * math.Ceil(was.ReserveMin/10+0.01); minutes <= 4*was.ReserveMin; minutes += 10 {
		list = append(list, change{fmt.Sprintf("a battery of %g min reserve", minutes), 0, func(q *Question) {
			q.Battery.ReserveMin = minutes
			q.Battery.ColdCrankA = math.Min(2000, was.ColdCrankA*minutes/was.ReserveMin)
		}})
	}
	return list
}

func seldomer(r *Result) []change {
	var list []change
	for n := math.Ceil(r.Question.Use.CyclesAnHour) - 1; n >= 1; n-- {
		list = append(list, change{fmt.Sprintf("no more than %g cycles an hour", n), 0, func(q *Question) { q.Use.CyclesAnHour = n }})
	}
	return list
}

func closingSpring(r *Result) []change {
	var list []change
	for by := 5.0; by <= 100; by += 5 {
		list = append(list, change{fmt.Sprintf("a closing spring that pulls %g N more", by), 0, func(q *Question) { q.Bay.ClosingSpring.Preload += by }})
	}
	return list
}

// rateAndTurns are other springs with the turns that suit them.
func rateAndTurns(r *Result) []change {
	var list []change
	for k := 1; k <= 25; k++ {
		for _, factor := range [2]float64{1 + float64(0.02*float64(k)), 1 - float64(0.02*float64(k))} {
			q := r.Question.clone()
			q.RateFactor *= factor
			g := newRig(q)
			n := g.recommend(q, g.window(q, atFail))
			if math.IsNaN(n) {
				continue
			}
			word := "stiffer"
			if factor < 1 {
				word = "softer"
			}
			text := fmt.Sprintf("springs of %.3g N·m/turn together (%.0f %% %s) with %.2f turns", q.Rate(), 100*math.Abs(factor-1), word, n)
			list = append(list, change{text, 0, func(q *Question) {
				q.RateFactor *= factor
				q.Bay.Counterbalance.InitialTurns = n
			}})
		}
	}
	return list
}

// heavierWire are springs of thicker wire with the same rate, inside diameter and
// number: N ∝ d⁴/D.
func heavierWire(r *Result) []change {
	if len(r.Question.Springs) == 0 {
		return nil
	}
	first := &r.Question.Springs[0]
	var list []change
	for by := 0.0001; by <= 0.003; by += 0.0001 {
		wire := first.Wire.Wire + by
		probe := r.Question.clone()
		thicken(probe, by)
		text := fmt.Sprintf("wire of %.1f mm (%.3f in) at the same rate, %.0f mm long", 1000*wire, wire/model.Inch, 1000*probe.Springs[0].Length())
		list = append(list, change{text, 0, func(q *Question) { thicken(q, by) }})
	}
	return list
}

func thicken(q *Question, by float64) {
	for i := range q.Springs {
		s := &q.Springs[i]
		w := &s.Wire
		thick, mean := w.Wire+by, w.MeanDia+by
		grown := thick / w.Wire
		active := w.ActiveCoils() * grown * grown * grown * grown * w.MeanDia / mean
		w.Wire, w.MeanDia, w.Coils = thick, mean, active+w.DeadCoils
		s.Body = 0
	}
}

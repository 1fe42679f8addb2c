package sizing

import (
	"fmt"
	"math"

	"slatbench/model"
)

// Answer is one judgement.
type Answer struct {
	Aspect  Aspect
	Verdict Verdict
	Value   float64 // in SI, temperatures in °C; +Inf where nothing bounds it, NaN where it is not known
	Limit   Limit
	Score   float64 // 1 where it just passes, 0 where it begins to fail; NaN where it is not judged
	Reason  string
	Fix     string // the nearest change that would make it pass; empty where it passes, or none was found
}

// Result is all that is known about a question.
type Result struct {
	Question *Question
	Verdict  Verdict
	Answers  []Answer // those of one aspect each, in their order

	Balance        Balance
	Engaged, Freed []Drift // where it drifts: drive engaged and off, manual release open
	Window, Good   Window  // where it works, and where all that depends on the turns passes
	Recommended    float64 // turns; NaN where it works with none
	Springs        []SpringFigures
	Up, Down       Travel      // by quadrature
	Simulation     *Simulation // on the whole model; nil in a quick result
	PerCycle       float64     // A·s that a cycle draws in motion
	Energy         float64     // J of them, at the open-circuit voltage
	Between        float64     // A·s that everything else draws between two cycles
	OpenVolts      float64     // V, open circuit
	Internal       float64     // Ω, of the battery
	HarnessOhms    float64     // Ω, battery to controller
}

// Ask answers a question, with the whole model simulated and a fix for what does
// not pass. The error is what Check finds.
func Ask(q *Question) (*Result, error) {
	if err := firstProblem(q); err != nil {
		return nil, err
	}
	r := answer(q, true)
	r.mend()
	return r, nil
}

// Quick answers by quadrature alone: what is marked as simulated is then not.
func Quick(q *Question) (*Result, error) {
	if err := firstProblem(q); err != nil {
		return nil, err
	}
	return answer(q, false), nil
}

// firstProblem is what is wrong with a question, or nil.
func firstProblem(q *Question) error {
	if list := Check(q); len(list) > 0 {
		return list[0]
	}
	return nil
}

func answer(q *Question, simulate bool) *Result {
	g := newRig(q)
	n := g.turns
	r := &Result{Question: q, Balance: g.balance(n), Engaged: g.drifts(n, g.grip), Freed: g.drifts(n, g.gripFree)}
	r.Window = g.window(q, atFail)
	r.Good = g.good(q, r.Window)
	r.Recommended = g.recommend(q, r.Window)
	r.Up, r.Down = g.travel(true, n), g.travel(false, n)
	for i := range q.Springs {
		r.Springs = append(r.Springs, q.Springs[i].Figures(n, n-g.turnsOfTravel(), q.RateFactor))
	}
	battery := model.NewBattery(q.Battery, q.Ambient.Temperature)
	battery.SetCharge(q.Charge)
	r.OpenVolts, r.Internal = battery.OCV, battery.R
	r.HarnessOhms = q.Feed.ohmsAt(q.Ambient.Temperature) + q.Branch.ohmsAt(q.Ambient.Temperature)
	if simulate {
		s := Simulate(q)
		r.Simulation = &s
	}
	r.judge(g)
	return r
}

// judge fills the answers.
func (r *Result) judge(g *rig) {
	r.standing(g)
	r.moving(g)
	r.electric(g)
	r.enduring(g)
	for i := range r.Answers {
		r.Verdict = max(r.Verdict, r.Answers[i].Verdict)
	}
}

// add judges one aspect.
func (r *Result) add(a Aspect, value float64, reason string) {
	l := r.Question.Limits.Of[a]
	score := l.score(value)
	if math.IsNaN(value) || math.IsInf(value, 0) {
		score = math.Inf(1)
		if math.IsNaN(value) || math.IsInf(value, 1) != a.Info().More {
			score = math.Inf(-1)
		}
	}
	r.Answers = append(r.Answers, Answer{Aspect: a, Verdict: verdictOf(score), Value: value, Limit: l, Score: score, Reason: signs(reason)})
}

// unknown leaves one aspect unjudged.
func (r *Result) unknown(a Aspect, reason string) {
	r.Answers = append(r.Answers, Answer{Aspect: a, Value: math.NaN(), Limit: r.Question.Limits.Of[a], Score: math.NaN(), Reason: reason})
}

func (r *Result) standing(g *rig) {
	q, n := r.Question, g.turns
	spare, at, rises := g.least(n, g.grip)
	r.add(StaysPut, spare, staysReason(spare, at, rises, r.Engaged))
	r.add(InitialTurns, math.Min(n-r.Window.Low, r.Window.High-n), r.windowReason(n))
	left := n - g.turnsOfTravel()
	r.add(TurnsLeft, left, fmt.Sprintf("the shaft turns %.2f times to open the door", g.turnsOfTravel()))
	up, upAt, down, downAt := g.hands(n)
	r.add(HandUp, up, handReason(up, upAt, "lifted", "rises"))
	r.add(HandDown, down, handReason(down, downAt, "pulled down", "sinks"))
	held, worst := heldOpen(q, n)
	reason := fmt.Sprintf("on a grade of %s, drive engaged and off", percentText(worst))
	if math.IsInf(held, 1) {
		reason = "the gear locks itself"
	}
	r.add(HoldOpen, held, reason)
}

// heldOpen is what an open door has to spare against sinking on the grade of the
// limits, the worse way round, N.
func heldOpen(q *Question, n float64) (spare, grade float64) {
	spare = math.Inf(1)
	for _, way := range [2]float64{q.Limits.Grade, -q.Limits.Grade} {
		tilted := *q
		tilted.Ambient.Grade = way
		g := newRig(&tilted)
		if _, down := g.spare(pieces, n, g.grip); down < spare {
			spare, grade = down, way
		}
	}
	return spare, grade
}

func (r *Result) moving(g *rig) {
	up, down := r.Up.Time, r.Down.Time
	upStall, downStall := r.Up.StallAt, r.Down.StallAt
	if s := r.Simulation; s != nil {
		up, down = orInf(s.Opening.Time), orInf(s.Closing.Time)
		upStall, downStall = s.Opening.StallAt, s.Closing.StallAt
	}
	r.add(OpeningTime, up, r.openingReason(g, up, upStall))
	r.add(ClosingTime, down, r.closingReason(g, down, downStall))
}

// orInf makes of a time that never came one without end.
func orInf(x float64) float64 {
	if math.IsNaN(x) {
		return math.Inf(1)
	}
	return x
}

func (r *Result) electric(g *rig) {
	most := math.Max(r.Up.Amps, r.Down.Amps)
	inVolts := r.Up.InVolts
	if s := r.Simulation; s != nil && !math.IsNaN(s.Opening.Time) {
		inVolts = math.Min(s.Opening.Volts, s.Closing.Volts)
	}
	drop := g.e0 - float64(g.rt*math.Max(0, most))
	r.add(RunningCurrent, most, fmt.Sprintf("the most after the run-up: opening %.1f A, closing %.1f A", r.Up.Amps, math.Max(0, r.Down.Amps)))
	r.add(InrushCurrent, r.Up.Inrush, fmt.Sprintf("%.2f V over %.0f mΩ of battery and harness and %.0f mΩ of motor", g.e0, 1000*g.rt, 1000*g.ra))
	r.add(RestSupply, g.e0, fmt.Sprintf("%.2f V in the battery, less %.2f V by other loads", r.OpenVolts, r.OpenVolts-g.e0))
	r.add(RunningSupply, drop, fmt.Sprintf("%.2f V lost: battery %.0f mΩ, harness %.0f mΩ", g.e0-drop, 1000*r.Internal, 1000*r.HarnessOhms))
	r.add(InrushSupply, inVolts, fmt.Sprintf("%.2f V lost for the moment of starting", g.e0-inVolts))
}

func (r *Result) enduring(g *rig) {
	r.heat(g)
	r.charge()
	r.frost()
	r.springs()
}

// heat judges the winding after many cycles at the stop rate. With f cycles a
// second of H A²s each, R growing by (235 + T)/255 and R_th to the air, the mean is
//
//	T = T_air + R_th·f·H·R₂₀·(235 + T)/255
//
// solved for T; the peak lies below the mean and the heat of one whole cycle at
// once.
func (r *Result) heat(g *rig) {
	q, d := r.Question, &r.Question.Bay.Drive
	heat := r.Up.Heat + r.Down.Heat
	if s := r.Simulation; s != nil {
		heat = s.Opening.Heat + s.Closing.Heat
	}
	if math.IsInf(r.Up.Time, 1) || math.IsInf(r.Down.Time, 1) || math.IsNaN(heat) {
		r.unknown(MotorTemperature, "it does not open and close")
		return
	}
	const zero = 235.0 // IEC 60034-1
	share := d.ThermalRes * q.Use.CyclesAnHour / 3600 * heat * d.Resistance / (zero + 20)
	if share >= 1 {
		r.add(MotorTemperature, math.Inf(1), "it grows hotter without end at this rate")
		return
	}
	mean := (g.air + float64(share*zero)) / (1 - share)
	once := heat * d.Resistance * model.CopperFactor(mean, 20) / d.ThermalCap
	r.add(MotorTemperature, mean+once, fmt.Sprintf("%g cycles an hour: %.0f °C on the mean, and %.0f K a cycle", q.Use.CyclesAnHour, mean, once))
}

// seldom, cycles an hour: less is not waited for.
const seldom = 0.01

// charge counts the cycles until the battery has to be charged.
func (r *Result) charge() {
	q := r.Question
	if math.IsInf(r.Up.Time, 1) || math.IsInf(r.Down.Time, 1) {
		r.unknown(ChargeCycles, "it does not open and close")
		return
	}
	moving := r.Up.Time + r.Down.Time
	r.PerCycle = math.Max(0, r.Up.Charge) + math.Max(0, r.Down.Charge)
	if s := r.Simulation; s != nil && finite(s.Opening.Time) && finite(s.Closing.Time) {
		moving = s.Opening.Time + s.Closing.Time
		r.PerCycle = math.Max(0, s.Opening.Charge) + math.Max(0, s.Closing.Charge)
	}
	r.Energy = r.PerCycle * r.OpenVolts
	period := moving
	if q.Use.CyclesAnHour > seldom {
		period = math.Max(moving, 3600/q.Use.CyclesAnHour)
	}
	idle := q.Loads + q.Bay.Branch.Load
	r.Between = idle * period
	floor, why := r.chargeFloor()
	b := model.NewBattery(q.Battery, q.Ambient.Temperature)
	b.SetCharge(q.Charge)
	b.Draw(r.PerCycle+float64(idle*moving), moving)
	b.Draw(idle*(period-moving), period-moving)
	used := q.Charge - b.Charge
	switch {
	case q.Charge <= floor:
		r.add(ChargeCycles, 0, why)
	case used <= 0:
		r.add(ChargeCycles, math.Inf(1), "it is charged faster than it is used")
	default:
		r.add(ChargeCycles, math.Floor((q.Charge-floor)/used),
			fmt.Sprintf("%s; a cycle takes %.0f A·s in motion, other loads %.0f A·s until the next", why, r.PerCycle, r.Between))
	}
}

// chargeFloor is the charge at which the battery is to be charged again.
func (r *Result) chargeFloor() (floor float64, why string) {
	q := r.Question
	floor, why = q.Limits.ChargeFloor, fmt.Sprintf("down to %s of charge", percentText(q.Limits.ChargeFloor))
	low := q.Limits.Of[RunningSupply].Fail
	volts := func(charge float64) float64 {
		c := *q
		c.Charge = charge
		g := newRig(&c)
		return math.Min(g.travel(true, g.turns).Volts, g.travel(false, g.turns).Volts)
	}
	if volts(floor) >= low {
		return floor, why
	}
	a, b := floor, 1.0
	for b-a > 1e-3 {
		if middle := (a + b) / 2; volts(middle) >= low {
			b = middle
		} else {
			a = middle
		}
	}
	return b, fmt.Sprintf("down to %s of charge, where running pulls the supply under %g V", percentText(b), low)
}

func (r *Result) frost() {
	q := r.Question
	freezes := model.FreezingPoint(q.Charge)
	r.add(Frost, q.Ambient.Temperature-freezes, fmt.Sprintf("at %s of charge the acid freezes at %.0f °C", percentText(q.Charge), freezes))
}

func (r *Result) springs() {
	q := r.Question
	if len(q.Springs) == 0 {
		for _, a := range [...]Aspect{Stress, SpringLife, ShaftClearance, ShaftRoom} {
			r.unknown(a, "the springs are known by their rate only")
		}
		return
	}
	worst, shortest := 0, 0
	for i := range r.Springs {
		if r.Springs[i].share() > r.Springs[worst].share() {
			worst = i
		}
		if r.Springs[i].Life < r.Springs[shortest].Life {
			shortest = i
		}
	}
	f := &r.Springs[worst]
	r.add(Stress, f.share(), fmt.Sprintf("%s%.0f MPa at closed, the wire sets at %.0f MPa and breaks at %.0f MPa", r.which(worst), f.Stress/1e6, f.Allowable/1e6, f.Strength/1e6))
	f = &r.Springs[shortest]
	r.add(SpringLife, f.Life, fmt.Sprintf("%sstress swings between %.0f and %.0f MPa; lives of like springs lie within %s to %s",
		r.which(shortest), f.StressOpen/1e6, f.Stress/1e6, RoundCycles(f.LifeLow), RoundCycles(f.LifeHigh)))
	r.room()
}

// share is the stress as a share of that at which the wire sets.
func (f *SpringFigures) share() float64 { return f.Stress / f.Allowable }

// which names a spring where there are several.
func (r *Result) which(i int) string {
	if len(r.Springs) < 2 {
		return ""
	}
	return r.Question.Springs[i].Name + ": "
}

func (r *Result) room() {
	q := r.Question
	n := q.Bay.Counterbalance.InitialTurns
	if q.Shaft.Diameter > 0 {
		least, at := math.Inf(1), 0
		for i := range q.Springs {
			if c := q.Springs[i].Wire.PinClearance(n, q.Shaft.Diameter); c < least {
				least, at = c, i
			}
		}
		r.add(ShaftClearance, least, fmt.Sprintf("%sinside diameter %.1f mm, wound %.1f mm", r.which(at), 1000*r.Springs[at].InnerDia, 1000*r.Springs[at].WoundInnerDia))
	} else {
		r.unknown(ShaftClearance, "the shaft's diameter is not given")
	}
	if q.Shaft.Length > 0 {
		long := 0.0
		for i := range q.Springs {
			long += q.Springs[i].WoundLength(n)
		}
		r.add(ShaftRoom, q.Shaft.Length-long, fmt.Sprintf("wound, the coils are %.0f mm long on %.0f mm of shaft", 1000*long, 1000*q.Shaft.Length))
	} else {
		r.unknown(ShaftRoom, "the shaft's length is not given")
	}
}

// Of returns the answer to one aspect.
func (r *Result) Of(a Aspect) *Answer {
	for i := range r.Answers {
		if r.Answers[i].Aspect == a {
			return &r.Answers[i]
		}
	}
	panic("sizing: no answer to " + a.Info().ID)
}

// Worst is the answer with the smallest score.
func (r *Result) Worst() *Answer {
	var worst *Answer
	for i := range r.Answers {
		if a := &r.Answers[i]; a.Verdict != NotJudged && (worst == nil || a.Score < worst.Score) {
			worst = a
		}
	}
	return worst
}

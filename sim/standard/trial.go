package standard

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
)

// Times of a trial, in s.
const (
	pressAt  = 1.0
	duration = 48.0 // long enough for 30 s of closing, and for opening after it
)

// Force levels and times of EN 12453, in N and s (secondary summaries).
const (
	StaticForce  = 150.0
	DynamicForce = 400.0
	DynamicTime  = 0.75
	RecordTime   = 5.0
)

// contactForce is where a touch begins to count as contact, N. Chosen here.
const contactForce = 30.0

// Result is what one trial measured. Times are in s; NaN where it did not happen.
type Result struct {
	Contact  float64 // from energised down to contact
	Reversal float64 // from contact to energised up
	Rise     float64 // m, that the edge rose after contact
	Open     bool    // stands open at the end
	Turned   float64 // from energised down to energised up
	Closed   float64 // from energised down to the floor

	Peak      float64 // N, greatest force
	Above     float64 // s from first above 150 N until it is last above, in the 5 s after impact
	Static    float64 // N, greatest force from 0.75 s after it first passed 150 N, until 5 s after impact
	Residual  float64 // N, 5 s after impact
	PeakSlack float64 // m
	Alarms    []sim.Heard
}

// Run closes bay i of a truck that a setup describes, from fully open, onto an
// obstacle, or onto the floor where the obstacle is nil, and measures. The
// setup's own script, heights, duration and observers are replaced.
func Run(s sim.Setup, i int, obstacle *model.Obstacle) (Result, error) {
	step := s.StepSize
	if step == 0 {
		step = model.DefaultStep
	}
	steps := func(seconds float64) int64 { return int64(math.Round(seconds / step)) }
	s.Duration = steps(duration)
	s.Heights = make([]float64, len(s.Truck.Bays))
	for k := range s.Heights {
		s.Heights[k] = -1
	}
	s.Heights[i] = s.Truck.Bays[i].Track.Opening - openRest
	s.Actions = []sim.Action{{At: steps(pressAt), Kind: sim.Press, Bay: i, Span: steps(0.2), Distance: 3}}
	g := newGauge(i)
	ear := &sim.Listener{}
	s.Watch = []sim.Observer{g, ear}
	b, err := sim.New(s)
	if err != nil {
		return Result{}, err
	}
	if obstacle != nil {
		b.Alter(func(p *sim.Parts) {
			p.Under[i] = sim.Obstruction{Top: obstacle.Top, Stiffness: obstacle.Stiffness}
		})
	}
	if err := b.Run(); err != nil {
		return Result{}, err
	}
	ear.Finish()
	r := g.result(b)
	r.Alarms = ear.Heard
	return r, nil
}

// openRest is how far below the open stop a door stands that was opened and has run out, m.
const openRest = 0.025

// gauge is the observer that measures.
type gauge struct {
	bay                    int
	down, contact, up      int64 // steps, -1 while it has not happened
	floor                  int64
	passed                 int64 // step at which the force first passed 150 N
	lastAbove              int64
	lowest, highest        float64
	peak, static, residual float64
	slack                  float64
}

func newGauge(bay int) *gauge {
	return &gauge{bay: bay, down: -1, contact: -1, up: -1, floor: -1, passed: -1, lastAbove: -1}
}

// Tick implements sim.Observer.
func (g *gauge) Tick(*sim.Bench) {}

// Step implements sim.Stepper.
func (g *gauge) Step(b *sim.Bench) {
	bay := &b.Truck.Bays[g.bay]
	if bay.Energised < 0 && g.down < 0 {
		g.down = b.Now
	}
	if g.down < 0 {
		return
	}
	if bay.Energised > 0 && g.up < 0 {
		g.up = b.Now
	}
	if bay.FloorForce > 0 && g.floor < 0 {
		g.floor = b.Now
	}
	g.slack = max(g.slack, bay.Slack())
	if bay.ContactForce > contactForce && g.contact < 0 {
		g.contact = b.Now
		g.lowest, g.highest = bay.Height, bay.Height
	}
	if g.contact >= 0 {
		g.force(b, bay)
	}
}

func (g *gauge) force(b *sim.Bench, bay *model.Bay) {
	if bay.Height < g.lowest {
		g.lowest, g.highest = bay.Height, bay.Height
	}
	g.highest = max(g.highest, bay.Height)
	if b.Now > g.contact+b.Steps(RecordTime) {
		return
	}
	f := bay.ContactForce
	g.residual = f
	g.peak = max(g.peak, f)
	if f > StaticForce {
		if g.passed < 0 {
			g.passed = b.Now
		}
		g.lastAbove = b.Now
	}
	if g.passed >= 0 && b.Now > g.passed+b.Steps(DynamicTime) {
		g.static = max(g.static, f)
	}
}

func (g *gauge) result(b *sim.Bench) Result {
	bay := &b.Truck.Bays[g.bay]
	span := func(from, to int64) float64 {
		if from < 0 || to < 0 {
			return math.NaN()
		}
		return b.Seconds(to - from)
	}
	r := Result{
		Contact: span(g.down, g.contact), Reversal: span(g.contact, g.up), Rise: g.highest - g.lowest,
		Open:   bay.Height >= bay.Params.Track.Opening-sim.OpenTolerance,
		Turned: span(g.down, g.up), Closed: span(g.down, g.floor),
		Peak: g.peak, Static: g.static, Residual: g.residual, PeakSlack: g.slack,
	}
	if g.passed >= 0 {
		r.Above = b.Seconds(g.lastAbove + 1 - g.passed)
	}
	return r
}

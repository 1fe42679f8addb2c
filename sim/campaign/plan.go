package campaign

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// Plan is what all runs of a campaign have in common.
type Plan struct {
	Truck  model.TruckParams // as built; two bays or more
	Faults int               // most faults of a run: 0, 1 or 2
	Only   []string          // kinds of fault that are drawn; nil is all
	Seed   uint64
	Step   float64 // s, of the model; 0 is model.DefaultStep
	Tick   float64 // s, of the controllers; 0 is 10 ms
	// JudgeForce: contact-force is judged, not only measured.
	JudgeForce bool
}

// Controllers makes the controllers of one truck, one a bay in the order of its
// bays. It is called once for each player: PowerOn must make them as new.
type Controllers func() (doors []sim.Controller, locks sim.Controller)

// Check tells what is wrong with a plan.
func (p *Plan) Check() error {
	if len(p.Truck.Bays) < 2 {
		return errors.New("the truck has fewer than 2 bays, and runs are drawn for 2 or more")
	}
	if p.Faults < 0 || p.Faults > 2 {
		return fmt.Errorf("%d faults at most in a run, expected 0, 1 or 2", p.Faults)
	}
	for _, name := range p.Only {
		k, ok := fault.Find(name)
		switch {
		case !ok:
			return fmt.Errorf("no kind of fault is named %q", name)
		case k.Event:
			return fmt.Errorf("%s is an event, which runs have anyway, expected a kind of fault", name)
		}
	}
	if ratio := p.tick() / p.step(); !(ratio >= 1) || math.Abs(ratio-math.Round(ratio)) > 1e-9 {
		return fmt.Errorf("a step of %g s and a tick of %g s, expected a tick of whole steps", p.step(), p.tick())
	}
	return nil
}

func (p *Plan) step() float64 {
	if p.Step == 0 {
		return model.DefaultStep
	}
	return p.Step
}

// TickSize is the tick of the controllers, in s.
func (p *Plan) TickSize() float64 { return p.tick() }

func (p *Plan) tick() float64 {
	if p.Tick == 0 {
		return sim.DefaultTickSteps * model.DefaultStep
	}
	return p.Tick
}

// kinds are the kinds of fault that the plan draws, in the list's order.
func (p *Plan) kinds() []fault.Kind {
	return slices.DeleteFunc(fault.Kinds(), func(k fault.Kind) bool {
		return k.Event || !p.draws(k.Name)
	})
}

// draws tells whether faults of a kind are among those that were asked for.
func (p *Plan) draws(kind string) bool { return p.Only == nil || slices.Contains(p.Only, kind) }

func (p *Plan) steps(seconds float64) int64 { return int64(math.Round(seconds / p.step())) }

// Drawn is the truck of a case: the plan's with its tolerances, where it stands.
func (p *Plan) Drawn(c *Case) model.TruckParams {
	t := p.Truck
	t.Ambient = model.Ambient{Temperature: c.Temperature, Sunlight: c.Sunlight, Grade: c.Grade}
	t.Bays = slices.Clone(t.Bays)
	for i := range t.Bays {
		b, d := &t.Bays[i], &c.Bays[i]
		scale(&b.Curtain.Mass, d.Mass)
		scale(&b.Counterbalance.InitialTurns, d.Turns)
		scale(&b.Friction.Running, d.Dry)
		scale(&b.Friction.Breakaway, d.Dry)
		scale(&b.Friction.Viscous, d.Viscous)
		scale(&b.Drive.Resistance, d.Motor)
	}
	return t
}

// scale multiplies a parameter, and keeps it short enough to be read in a file.
func scale(x *float64, factor float64) {
	if factor != 1 {
		*x = roundTo(float64(*x*factor), 1e6)
	}
}

// Teaching, as a scenario's step has it: the button inside is held, and the remote
// pressed close by.
const (
	teachPressAfter = 0.5 // s
	teachPressSpan  = 0.2 // s
	teachDistance   = 1.0 // m
)

// Setup is the run of a case as the bench takes it, without controllers and
// without the recovery.
func (p *Plan) Setup(c *Case) sim.Setup {
	s := sim.Setup{
		Truck: p.Drawn(c), StepSize: p.step(), TickSteps: int(math.Round(p.tick() / p.step())),
		Seed: c.NoiseSeed(), Duration: p.steps(c.End), Charge: c.Charge, Untaught: c.Untaught,
	}
	for i := range c.Bays {
		s.Heights = append(s.Heights, c.Bays[i].Height)
	}
	for i := range s.Locked {
		s.Locked[i] = c.Locked
	}
	for i := range c.Steps {
		s.Actions = append(s.Actions, p.Actions(&c.Steps[i])...)
	}
	for i := range c.Faults {
		f := &c.Faults[i]
		from, to := p.steps(f.From), p.steps(math.Min(f.Until, c.HealAt))
		if to > from {
			s.Faults = append(s.Faults, sim.Scheduled{Fault: fault.Fault{Name: f.Kind, Place: f.Place, Values: f.Values}, From: from, To: to})
		}
	}
	return s
}

// Actions is a step as the bench plays it. A TeachHold stands for a whole teaching:
// the button, and the press half a second later.
func (p *Plan) Actions(s *StepDraw) []sim.Action {
	a := sim.Action{
		At: p.steps(s.At), Kind: s.Kind, Bay: s.Bay, Side: s.Side, Span: p.steps(s.Span), Aim: s.Aim, Distance: s.Distance,
	}
	if s.Kind != sim.TeachHold {
		return []sim.Action{a}
	}
	a.Aim, a.Distance = 0, 0
	press := sim.Action{At: p.steps(s.At + teachPressAfter), Kind: sim.Press, Bay: s.Bay, Span: p.steps(teachPressSpan), Distance: teachDistance}
	return []sim.Action{a, press}
}

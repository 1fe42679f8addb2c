package campaign

import (
	"math"
	"slices"

	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// What makes a case hard to tell, in points: the measure by which shrinking goes. A
// fault outweighs all else, since most requirements must be kept under one; then
// comes what people do.
const (
	faultPoints  = 1000.0
	eventPoints  = 300.0
	stepPoints   = 200.0
	teachPoints  = 50.0 // more than another step
	startPoints  = 20.0 // a door that is not down, locks, an empty store
	numberPoints = 4.0  // a number that would not be written otherwise
	farPoints    = 3.0  // and that is as far from neutral as it is ever drawn
	timePoints   = 0.05 // a second
	hastyPoints  = 5.0  // a step before anybody has seen how the truck stands
	healPoints   = 50.0 // a recovery after it, of which the story is not
)

// price is how hard a case is to tell.
func (s *shrinker) price(c *Case) float64 {
	points := float64(timePoints * c.End)
	for i := range c.Faults {
		if k, _ := fault.Find(c.Faults[i].Kind); k.Event {
			points += eventPoints
		} else {
			points += faultPoints
		}
		if f := &c.Faults[i]; f.Until < c.HealAt {
			points += numberPoints
		}
	}
	for i := range c.Steps {
		points += stepPoints
		if c.Steps[i].Kind == sim.TeachHold {
			points += teachPoints
		}
		if c.Steps[i].At < firstInstant {
			points += hastyPoints
		}
	}
	if c.HealAt < c.End && require.IDs[s.of] != recoveryID {
		points += healPoints
	}
	for _, n := range c.amounts() {
		points += n.points()
	}
	for _, t := range c.moments() {
		points += float64(timePoints**t) + roughness(*t, timeGrid[:])
	}
	return points + s.standing(c) + c.spread()
}

// timeGrid is in parts of a second.
var timeGrid = [...]float64{1, 2, 10, 20}

// standing is the share of how the truck stands at the start.
func (s *shrinker) standing(c *Case) float64 {
	points := 0.0
	for i := range c.Bays {
		switch h := c.Bays[i].Height; {
		case h < 0:
		case h == s.openHeight(i):
			points += startPoints
		default:
			points += 2*startPoints + roughness(h, []float64{1, 2, 10, 20})
		}
	}
	if c.Locked {
		points += startPoints
	}
	if c.Untaught {
		points += startPoints
	}
	return points
}

// spread is the share of the bays that the story is about: few, and the first ones.
func (c *Case) spread() float64 {
	points := 0.0
	for i, concerned := range c.concerned() {
		if concerned {
			points += float64(5 + i)
		}
	}
	return points
}

// Groups of numbers: what is neutral together. Bays and steps follow with their index.
const (
	ofPlace  = 0
	ofBays   = 100
	ofSteps  = 1000
	ofFaults = 100_000
)

// amount is a number of a case that has a neutral value, which a file need not say.
type amount struct {
	group   int
	at      *float64
	neutral float64
	span    float64 // between the values that it is drawn from
	whole   bool
	mild    bool // neutral is only mild: it must be written nevertheless
}

// points is the share of a number.
func (n *amount) points() float64 {
	if *n.at == n.neutral {
		return 0
	}
	points := float64(farPoints*math.Min(math.Abs(*n.at-n.neutral)/n.span, 2)) + roughness(*n.at, n.grid())
	if !n.mild {
		points += numberPoints
	}
	return points
}

// grid is the round values of a number, as parts of 1, from coarse to fine.
func (n *amount) grid() []float64 {
	per := 1.0
	for ; n.span*per < 1; per *= 10 {
	}
	for ; n.span*per >= 10; per /= 10 {
	}
	list := []float64{per, 2 * per, 10 * per, 20 * per, 100 * per}
	if n.whole {
		list = slices.DeleteFunc(list, func(per float64) bool { return per > 1 })
	}
	return list
}

// roughness is how many grids it takes until a number is on one.
func roughness(x float64, grid []float64) float64 {
	for i, per := range grid {
		if math.Abs(onGrid(x, per)-x) < 1e-9 {
			return float64(i)
		}
	}
	return float64(len(grid))
}

// onGrid rounds to a grid that may be coarser than 1.
func onGrid(x, per float64) float64 { return roundTo(roundTo(x, per), 1e6) }

// Neutral values of what a scenario leaves out.
const (
	neutralTemperature = 20.0
	neutralCharge      = 0.9
	neutralPress       = 0.2
	neutralDistance    = 3.0
)

// amounts lists the numbers of a case, but its times, in a fixed order.
func (c *Case) amounts() []amount {
	list := []amount{
		{ofPlace, &c.Temperature, neutralTemperature, 65, false, false},
		{ofPlace + 1, &c.Sunlight, 0, 40e3, false, false},
		{ofPlace + 2, &c.Grade, 0, 0.1, false, false},
		{ofPlace + 3, &c.Charge, neutralCharge, 0.6, false, false},
	}
	for i := range c.Bays {
		b := &c.Bays[i]
		for _, at := range []*float64{&b.Mass, &b.Turns, &b.Dry, &b.Viscous, &b.Motor} {
			list = append(list, amount{ofBays + i, at, 1, 0.1, false, false})
		}
	}
	for i := range c.Steps {
		if s := &c.Steps[i]; s.Kind == sim.Press {
			g := ofSteps + i
			list = append(list, amount{g, &s.Span, neutralPress, 1, false, false}, amount{g, &s.Aim, 0, 0.3, false, false},
				amount{g, &s.Distance, neutralDistance, 4, false, false})
		}
	}
	for i := range c.Faults {
		list = c.Faults[i].amounts(list, ofFaults+i)
	}
	return list
}

// amounts of a fault: neutral is mild, or for what is no fault usual.
func (f *FaultDraw) amounts(list []amount, group int) []amount {
	k, _ := fault.Find(f.Kind)
	for i := range k.Params {
		p := &k.Params[i]
		n := amount{group: group, at: &f.Values[i], neutral: p.Default, span: math.Max(p.Max-p.Min, 1), whole: p.Words != nil || p.Unit == "pulses"}
		if p.Severity() {
			n.span = math.Abs(p.Severe - p.Mild)
		}
		if p.Severity() && !k.Event {
			n.neutral, n.mild = p.Mild, true
		}
		list = append(list, n)
	}
	return list
}

// groups are the groups of the numbers that are not neutral.
func (c *Case) groups() []int {
	var list []int
	for _, n := range c.amounts() {
		if *n.at != n.neutral && !slices.Contains(list, n.group) {
			list = append(list, n.group)
		}
	}
	return list
}

package campaign

import (
	"fmt"
	"slices"

	"slatbench/model"
	"slatbench/sim"
)

// CornerPercent is how many runs in a hundred are corners.
var CornerPercent = float64(cornerLaw)

// Corners are the names of the corners, and CornerShares their shares.
func Corners() (list []string) {
	for i := range corners {
		list = append(list, corners[i].name)
	}
	return list
}

func CornerShares() (list []float64) {
	for i := range corners {
		list = append(list, corners[i].share)
	}
	return list
}

// Corner is which corner the run of an index is, or -1.
func (p *Plan) Corner(index uint64) int {
	k, _ := p.corner(index)
	for i := range corners {
		if k == &corners[i] {
			return i
		}
	}
	return -1
}

// CornerAllowed tells whether a plan allows a corner.
func (p *Plan) CornerAllowed(k int) bool { return corners[k].allowed(p) }

// DrawCorner draws the case of an index as a corner, whatever it would be.
func (p *Plan) DrawCorner(k int, index uint64) *Case {
	a := p.begin(index)
	a.source = newSource(p.Seed, scatter(index)^cornerSalt)
	a.corner(&corners[k])
	return a.c
}

// DrawPlain draws the case of an index as if there were no corners.
func (p *Plan) DrawPlain(index uint64) *Case {
	a := p.begin(index)
	a.plain()
	return a.c
}

// CornerWithin tells what of a case lies outside a corner's law.
func CornerWithin(k int, c *Case) error {
	corner := &corners[k]
	bay := -1
	for i := range c.Steps {
		if s := &c.Steps[i]; s.Kind == sim.Press || s.Kind == sim.TeachHold {
			bay = s.Bay
		}
	}
	if err := cornerStands(corner, c, bay); err != nil {
		return err
	}
	at := []float64{0}
	for i := range corner.steps {
		s := &c.Steps[i]
		if s.Kind != corner.steps[i].kind || !within(corner.steps[i].after, s.At-at[i]) {
			return fmt.Errorf("step %d is %+v", i+1, *s)
		}
		at = append(at, s.At)
	}
	if len(c.Faults) != len(corner.wrongs) {
		return fmt.Errorf("%d things go wrong", len(c.Faults))
	}
	for i := range corner.wrongs {
		if err := corner.wrongs[i].holds(&c.Faults[i], at, c.HealAt); err != nil {
			return err
		}
	}
	return nil
}

// cornerStands tells what is wrong with where a case's bays stand, one of which acts, and its weather.
func cornerStands(k *corner, c *Case, bay int) error {
	for i := range c.Bays {
		h := c.Bays[i].Height
		if k.below == nil && h >= 0 || k.below != nil && i != bay && h >= 0 {
			return fmt.Errorf("bay %d stands at %g m", i, h)
		}
		if k.below != nil && i == bay && !within(k.below, model.DefaultTruck().Bays[i].Track.Opening-h) {
			return fmt.Errorf("bay %d stands at %g m", i, h)
		}
	}
	if k.temperature != nil && !within(k.temperature, c.Temperature) || k.charge != nil && !within(k.charge, c.Charge) {
		return fmt.Errorf("%g °C, charged to %g", c.Temperature, c.Charge)
	}
	if c.Locked || c.Untaught {
		return fmt.Errorf("locked %t, untaught %t", c.Locked, c.Untaught)
	}
	return nil
}

// holds tells what of a fault lies outside its law.
func (w *cornerWrong) holds(f *FaultDraw, at []float64, heal float64) error {
	if !slices.Contains(w.kinds, f.Kind) {
		return fmt.Errorf("%s goes wrong", f.Kind)
	}
	if !within(w.into, f.From-at[w.step]) {
		return fmt.Errorf("%s from %g s, step %d is at %g s", f.Kind, f.From, w.step, at[w.step])
	}
	if f.Until != heal && !within(w.lasts, f.Until-f.From) {
		return fmt.Errorf("%s from %g to %g s", f.Kind, f.From, f.Until)
	}
	for i, l := range w.values {
		if !within(l, f.Values[i]) {
			return fmt.Errorf("%s with %v", f.Kind, f.Values)
		}
	}
	return nil
}

// within tells that a number is in the span of a law, as near as rounding to 10 ms allows.
func within(l law, x float64) bool {
	low, high := l.span()
	return x >= low-0.0101 && x <= high+0.0101
}

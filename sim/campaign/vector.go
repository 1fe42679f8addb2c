package campaign

import (
	"math"

	"slatbench/sim/fault"
)

// dimension is one continuous parameter of a case, with its bounds and the steps a
// unit to which it is rounded (0: three figures).
type dimension struct {
	at        *float64
	low, high float64
	per       float64
}

// dimensions lists the continuous parameters: surroundings, tolerances, heights of
// doors that stand up, times and lengths of steps, times and severities of faults.
// What is discrete (kinds, places, words, who acts) stays as it is.
func (c *Case) dimensions() []dimension {
	list := []dimension{
		of(&c.Temperature, temperatureLaw, 1), of(&c.Sunlight, sunlightLaw, 1e-3),
		of(&c.Grade, gradeLaw, 1000), of(&c.Charge, chargeLaw, 100),
	}
	for i := range c.Bays {
		b := &c.Bays[i]
		list = append(list, of(&b.Mass, massLaw, 1000), of(&b.Turns, turnsLaw, 1000), of(&b.Dry, dryLaw, 1000),
			of(&b.Viscous, viscousLaw, 1000), of(&b.Motor, motorLaw, 1000))
		if b.Height >= 0 && !c.Locked {
			list = append(list, of(&b.Height, heightLaw, 1000))
		}
	}
	end := roundTo(c.HealAt-lastChance, 100)
	for i := range c.Steps {
		s := &c.Steps[i]
		list = append(list, dimension{&s.At, 0, end, 100})
		if s.Span > 0 {
			list = append(list, dimension{&s.Span, 0.02, 2.5, 100})
		}
	}
	for i := range c.Faults {
		f := &c.Faults[i]
		list = append(list, dimension{&f.From, 0, end, 100}, dimension{&f.Until, 0.01, c.HealAt, 100})
		list = f.severities(list)
	}
	return list
}

// of is bounded by a law, or by where it stands.
func of(at *float64, l law, per float64) dimension {
	low, high := l.span()
	return dimension{at, math.Min(low, *at), math.Max(high, *at), per}
}

// severities adds the parameters of a fault that a campaign draws as numbers.
func (f *FaultDraw) severities(list []dimension) []dimension {
	k, ok := fault.Find(f.Kind)
	if !ok {
		return list
	}
	for i := range k.Params {
		p := &k.Params[i]
		if !p.Severity() {
			continue
		}
		ends, per := uniform{low: math.Min(p.Mild, p.Severe), high: math.Max(p.Mild, p.Severe)}, 0.0
		switch {
		case p.Unit == "pulses":
			per = 1
		case p.Unit == "length":
			per = 1000
		case p.Min < 0 && ends.low > 0: // of either sign
			ends.low = -ends.high
		}
		list = append(list, of(&f.Values[i], ends, per))
	}
	return list
}

// Vector gives the continuous parameters of a case, in a fixed order. Cases that
// differ in nothing discrete have vectors of one length.
func (c *Case) Vector() []float64 {
	list := c.dimensions()
	v := make([]float64, len(list))
	for i := range list {
		v[i] = *list[i].at
	}
	return v
}

// Bounds are the ends between which each parameter may lie.
func (c *Case) Bounds() (low, high []float64) {
	for _, d := range c.dimensions() {
		low, high = append(low, d.low), append(high, d.high)
	}
	return low, high
}

// SetVector puts in continuous parameters, each brought within its bounds and
// rounded as drawn ones are. A fault that would end before it begins lasts one
// tick. Steps keep their places in the list whatever their times, so that the
// vector keeps its order; what plays them sorts them.
func (c *Case) SetVector(v []float64) {
	list := c.dimensions()
	for i := range list {
		d := &list[i]
		x := math.Min(math.Max(v[i], d.low), d.high)
		if d.per == 0 {
			x = figures(x)
		} else {
			x = roundTo(x, d.per)
		}
		*d.at = math.Min(math.Max(x, d.low), d.high)
	}
	for i := range c.Faults {
		f := &c.Faults[i]
		f.Until = math.Max(f.Until, roundTo(f.From+0.01, 100))
	}
}

// Clone is a copy that shares nothing.
func (c *Case) Clone() *Case {
	d := *c
	d.Bays = append([]BayDraw(nil), c.Bays...)
	d.Steps = append([]StepDraw(nil), c.Steps...)
	d.Faults = append([]FaultDraw(nil), c.Faults...)
	return &d
}

package fault

import (
	"fmt"
	"math"

	"slatbench/model"
	"slatbench/sim"
)

// curtainKinds: what gets in the way of the curtain, and its springs.
var curtainKinds = []Kind{
	{
		Name: "obstruction", Place: OnBay, Event: true,
		Doc:     "a crate, a body or a test block stands under the bottom edge",
		Changes: "an obstacle under the edge of the bay; of two, the higher counts",
		Params: []Param{
			{Name: "height", Unit: "length", Default: 0.300, Min: 0.005, Max: 3, Mild: 1.5, Severe: 0.025, Doc: "top of the thing above the sill, along the track"},
			{Name: "stiffness", Unit: "stiffness", Default: 20e3, Min: 500, Max: 1e6, Doc: "of the thing; a body 5 to 20 N/mm, a crate 20 to 100 (common practice, no source), the instrument of EN 12453 500"},
			{Name: "appears", Words: []string{"at-once", "when-clear"}, Doc: "at once, which is an error where the curtain is lower; or as soon as the curtain is above it"},
		},
		change: obstruct, ready: roomUnder,
	},
	{
		Name: "added-friction", Place: OnBay,
		Doc:     "a bent or dirty stretch of track rubs on the curtain",
		Changes: "dry friction while the edge is within the stretch; two stretches become one that spans both, with the greater force",
		Params: []Param{
			{Name: "force", Unit: "force", Default: 60, Min: 1, Max: 1000, Mild: 10, Severe: 300, Doc: "dry friction that it adds, both ways"},
			{Name: "low-end", Unit: "length", Default: 0.6, Min: 0, Max: 3, Doc: "edge height at which the stretch begins"},
			{Name: "high-end", Unit: "length", Default: 0.9, Min: 0, Max: 3, Doc: "edge height at which it ends"},
		},
		change: onBay(rub), check: stretchRunsUp,
	},
	{
		Name: "leaning-cargo", Place: OnBay,
		Doc:     "cargo has shifted and leans on the inside of the curtain",
		Changes: "dry friction everywhere in the travel; forces add up",
		Params: []Param{
			{Name: "force", Unit: "force", Default: 60, Min: 1, Max: 1000, Mild: 10, Severe: 300, Doc: "dry friction that it adds, both ways"},
		},
		change: onBay(func(c *model.Condition, v Values) { c.LeanForce += v[0] }),
	},
	{
		Name: "weak-counterbalance", Place: OnBay,
		Doc:     "the torsion spring has relaxed, has lost turns, or one of several is broken",
		Changes: "counterbalance torque; shares multiply",
		Params: []Param{
			{Name: "torque", Unit: "ratio", Default: 0.8, Min: 0.2, Max: 1, Mild: 0.95, Severe: 0.4, Doc: "share of the torque that is left"},
		},
		change: onBay(func(c *model.Condition, v Values) { c.SpringFactor *= v[0] }),
	},
	{
		Name: "broken-counterbalance", Place: OnBay,
		Doc:     "the torsion spring is broken, all of them where there are several",
		Changes: "counterbalance torque is 0",
		change:  onBay(func(c *model.Condition, _ Values) { c.SpringFactor = 0 }),
	},
	{
		Name: "weak-closing-spring", Place: OnBay,
		Doc:     "the light spring that pulls the curtain down has relaxed",
		Changes: "closing spring force; shares multiply",
		Params: []Param{
			{Name: "pull", Unit: "ratio", Default: 0.5, Min: 0, Max: 1, Mild: 0.9, Severe: 0, Doc: "share of the pull that is left"},
		},
		change: onBay(func(c *model.Condition, v Values) { c.ClosingFactor *= v[0] }),
	},
	{
		Name: "broken-closing-spring", Place: OnBay,
		Doc:     "the closing spring is broken or unhooked",
		Changes: "closing spring force is 0",
		change:  onBay(func(c *model.Condition, _ Values) { c.ClosingFactor = 0 }),
	},
	{
		Name: "jammed-closing-spring", Place: OnBay,
		Doc:     "the closing spring has come off its guide: it pulls no more and drags",
		Changes: "closing spring force is 0, and dry friction everywhere in the travel is added",
		Params: []Param{
			{Name: "drag", Unit: "force", Default: 30, Min: 1, Max: 500, Mild: 10, Severe: 150, Doc: "dry friction that it adds, both ways"},
		},
		change: onBay(func(c *model.Condition, v Values) { c.ClosingFactor, c.LeanForce = 0, c.LeanForce+v[0] }),
	},
}

func obstruct(_ *sim.Bench, p *sim.Parts, place int, v Values) {
	if v[0] > p.Under[place].Top {
		p.Under[place] = sim.Obstruction{Top: v[0], Stiffness: v[1]}
	}
}

// roomUnder refuses an obstruction that would appear inside the curtain.
func roomUnder(b *sim.Bench, place int, v Values) error {
	bay := &b.Truck.Bays[place]
	if v[2] == 1 || bay.Height >= v[0] {
		return nil
	}
	return fmt.Errorf("it is %.0f mm high, and the curtain of bay %s is down at %.0f mm: it would appear inside the curtain, "+
		"expected a later time, or appears: when-clear", v[0]*1000, bay.Params.Name, bay.Height*1000)
}

func rub(c *model.Condition, v Values) {
	if c.StretchForce > 0 {
		c.StretchFrom, c.StretchTo = math.Min(c.StretchFrom, v[1]), math.Max(c.StretchTo, v[2])
		c.StretchForce = math.Max(c.StretchForce, v[0])
		return
	}
	c.StretchForce, c.StretchFrom, c.StretchTo = v[0], v[1], v[2]
}

func stretchRunsUp(v Values) error {
	if v[1] < v[2] {
		return nil
	}
	return fmt.Errorf("low-end %g m and high-end %g m, expected the low end below the high end", v[1], v[2])
}

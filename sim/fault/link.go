package fault

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
)

// linkKinds: the infrared remote and its receivers.
var linkKinds = []Kind{
	{
		Name: "dirty-lens", Place: OnBay,
		Doc:     "road dirt on the receiver's lens",
		Changes: "what the lens lets through; shares multiply",
		Params: []Param{
			{Name: "clear", Unit: "ratio", Default: 0.02, Min: 0, Max: 1, Mild: 0.5, Severe: 0.001, Doc: "share of the light that comes through"},
		},
		change: onBay(func(c *model.Condition, v Values) { c.LensFactor *= v[0] }),
	},
	{
		Name: "sunlight", Place: OnTruck, Part: "receivers",
		Doc:     "low sun shines into the receivers and blinds them",
		Changes: "sunlight on all receivers; the greatest counts",
		Params: []Param{
			{Name: "illuminance", Unit: "illuminance", Default: 100e3, Min: 0, Max: 120e3, Mild: 10e3, Severe: 120e3, Doc: "on the receivers; full sun is 100 klx"},
		},
		change: onTruck(func(p *sim.Parts, v Values) { p.Sunlight = math.Max(p.Sunlight, v[0]) }),
	},
	{
		Name: "weak-remote-cell", Place: OnBay,
		Doc:     "the cell of the remote that is used at this bay is nearly empty",
		Changes: "intensity of the remote; shares multiply",
		Params: []Param{
			{Name: "intensity", Unit: "ratio", Default: 0.02, Min: 0, Max: 1, Mild: 0.5, Severe: 0.001, Doc: "share of the intensity that is left"},
		},
		change: onBay(func(c *model.Condition, v Values) { c.CellFactor *= v[0] }),
	},
	{
		Name: "unplugged-receiver", Place: OnBay,
		Doc:     "the receiver's plug is off",
		Changes: "nothing is received at the bay",
		change:  onBay(func(c *model.Condition, _ Values) { c.Unplugged = true }),
	},
	{
		Name: "reflected-press", Place: OnTruck, Part: "surroundings",
		Doc:     "a wall or another truck behind the driver throws the beam to the neighbour's receiver",
		Changes: "reflectance behind the driver; the greatest counts",
		Params: []Param{
			{Name: "reflectance", Unit: "ratio", Default: 0.7, Min: 0, Max: 1, Mild: 0.1, Severe: 0.9, Doc: "of what stands there: white paint 0.8, concrete 0.3 (common practice, no source)"},
		},
		change: onTruck(func(p *sim.Parts, v Values) { p.Reflectance = math.Max(p.Reflectance, v[0]) }),
	},
	{
		Name: "held-remote-button", Place: OnBay,
		Doc:     "the remote lies in its holder at the bay with something on its button",
		Changes: "a press from 1 m in front of the bay that does not end",
		change:  onWires(func(w *sim.BayWires, _ Values) { w.Held = true }),
	},
}

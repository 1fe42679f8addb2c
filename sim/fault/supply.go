package fault

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
)

// supplyKinds: battery, harness, and what a controller reads of its supply.
var supplyKinds = []Kind{
	{
		Name: "low-battery", Place: OnTruck, Part: "battery",
		Doc:     "the battery has been run down",
		Changes: "charge, where it is higher; the lowest counts. Mended, it has what it had, less what was drawn meanwhile",
		Params: []Param{
			{Name: "charge", Unit: "ratio", Default: 0.15, Min: 0, Max: 1, Mild: 0.6, Severe: 0.02, Doc: "state of charge that is left"},
		},
		change: onTruck(func(p *sim.Parts, v Values) { p.Charge = math.Min(p.Charge, v[0]) }),
	},
	{
		Name: "aged-battery", Place: OnTruck, Part: "battery",
		Doc:     "the battery is old: less cranking current, less reserve, more resistance",
		Changes: "age of the battery, at the charge that it has; the greatest counts",
		Params: []Param{
			{Name: "age", Unit: "ratio", Default: 0.8, Min: 0, Max: 1, Mild: 0.2, Severe: 1, Doc: "0 new, 1 at the end of its service life"},
		},
		change: onTruck(func(p *sim.Parts, v Values) { p.BatteryAge = math.Max(p.BatteryAge, v[0]) }),
		ready: func(b *sim.Bench, _ int, v Values) error {
			p := b.Setup().Truck.Battery
			p.Age = v[0]
			return p.Validate()
		},
	},
	{
		Name: "corroded-connector", Place: OnBay,
		Doc:     "a corroded connector in the bay's branch",
		Changes: "resistance of the branch; resistances add up",
		Params: []Param{
			{Name: "resistance", Unit: "resistance", Default: 0.15, Min: 0.001, Max: 20, Mild: 0.02, Severe: 1, Doc: "that it adds"},
		},
		change: onBay(func(c *model.Condition, v Values) { c.BranchOhms += v[0] }),
	},
	{
		Name: "corroded-feed-connector", Place: OnTruck, Part: "feed",
		Doc:     "a corroded connector, battery terminal or chassis return in the feed that all bays share",
		Changes: "resistance of the shared feed; resistances add up",
		Params: []Param{
			{Name: "resistance", Unit: "resistance", Default: 0.1, Min: 0.001, Max: 20, Mild: 0.01, Severe: 0.5, Doc: "that it adds"},
		},
		change: onTruck(func(p *sim.Parts, v Values) { p.Supply.FeedOhms += v[0] }),
	},
	{
		Name: "supply-interruption", Place: OnTruck, Part: "feed", Event: true,
		Doc:     "a loose terminal, a blown fuse put back, or an engine that cranks",
		Changes: "battery voltage behind the feed; shares multiply, also with an interruption in the script",
		Params: []Param{
			{Name: "left", Unit: "ratio", Default: 0, Min: 0, Max: 1, Mild: 0.8, Severe: 0, Doc: "share of the voltage that is left; 0 is an open feed"},
		},
		change: onTruck(func(p *sim.Parts, v Values) { p.Supply.VoltageFactor *= v[0] }),
	},
	{
		Name: "failed-current-sensor", Place: OnBay,
		Doc:     "the current sensor of the bay's controller is dead",
		Changes: "the current reads 0",
		change:  onWires(func(w *sim.BayWires, _ Values) { w.CurrentOff = true }),
	},
	{
		Name: "wrong-supply-reading", Place: OnBay,
		Doc:     "the divider of the supply reading has drifted",
		Changes: "the supply reading, never the supply; errors add up",
		Params: []Param{
			{Name: "error", Unit: "voltage", Default: 1, Min: -6, Max: 6, Mild: 0.2, Severe: 3, Doc: "reading less truth: above 0 it hides a low supply"},
		},
		change: onWires(func(w *sim.BayWires, v Values) { w.SupplyBias += v[0] }),
	},
}

package fault

import (
	"slatbench/model"
	"slatbench/sim"
)

// switchKinds: sill switch, sensing edge, door-down wires.
var switchKinds = []Kind{
	{
		Name: "sill-switch-stuck-made", Place: OnBay,
		Doc:     "the sill switch sticks made, or its wire is shorted",
		Changes: "the sill switch always reads made; of two faults of one wire, the later counts",
		change:  onWires(func(w *sim.BayWires, _ Values) { w.Sill = sim.WireHigh }),
	},
	{
		Name: "sill-switch-stuck-open", Place: OnBay,
		Doc:     "the sill switch is bent away, or its wire is off",
		Changes: "the sill switch never reads made",
		change:  onWires(func(w *sim.BayWires, _ Values) { w.Sill = sim.WireLow }),
	},
	{
		Name: "open-edge-wire", Place: OnBay,
		Doc:     "the coiled wire to the sensing edge is broken",
		Changes: "the edge reads open; of two faults of one wire, the later counts",
		change:  onWires(func(w *sim.BayWires, _ Values) { w.Edge = sim.EdgeWireOpen }),
	},
	{
		Name: "shorted-edge-wire", Place: OnBay,
		Doc:     "the wire to the sensing edge is pinched",
		Changes: "the edge reads shorted",
		change:  onWires(func(w *sim.BayWires, _ Values) { w.Edge = sim.EdgeWireShort }),
	},
	{
		Name: "deaf-edge", Place: OnBay,
		Doc:     "the pressure strip has hardened or been cut away from the seal: its wire tests well",
		Changes: "the strip never closes",
		change:  onBay(func(c *model.Condition, _ Values) { c.EdgeDeaf = true }),
	},
	{
		Name: "stuck-door-down-wire", Place: OnBay,
		Doc:     "one of the two door-down wires to the lock controller is off, or lies against another",
		Changes: "the level of that wire; of two faults of one wire, the later counts",
		Params: []Param{
			{Name: "wire", Words: []string{"down", "not-down"}, Doc: "which of the two"},
			{Name: "level", Words: []string{"low", "high"}, Default: 1, Doc: "where it stays"},
		},
		change: onWires(func(w *sim.BayWires, v Values) {
			wire := &w.Down
			if v[0] == 1 {
				wire = &w.NotDown
			}
			*wire = level(v[1], sim.WireLow, sim.WireHigh)
		}),
	},
}

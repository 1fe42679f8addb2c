package fault

import (
	"fmt"

	"slatbench/model"
	"slatbench/sim"
)

// lockKinds: lock bars, actuators and end switches.
var lockKinds = []Kind{
	{
		Name: "blocked-lock-bar", Place: OnSide, Event: true,
		Doc:     "a strap, ice or debris lies in the way of the lock bar",
		Changes: "the bar stops at the position, from whichever side it comes; of two, the later counts",
		Params: []Param{
			{Name: "position", Unit: "length", Default: 0.030, Min: 0.002, Max: 0.200, Mild: 0.005, Severe: 0.055, Doc: "from the unlocked end; must lie within the stroke"},
		},
		change: onLock(func(c *model.LockCondition, v Values) { c.Jammed, c.JamAt = true, v[0] }),
		ready:  withinStroke,
	},
	{
		Name: "open-lock-actuator", Place: OnSide,
		Doc:     "the actuator's lead is off or its motor burnt",
		Changes: "the actuator has no current",
		change:  onLock(func(c *model.LockCondition, _ Values) { c.LeadOpen = true }),
	},
	{
		Name: "stuck-lock-switch", Place: OnSide,
		Doc:     "an end switch of the lock bar sticks, over as with the bar there, or back",
		Changes: "the end switch; of two faults of one switch, the later counts",
		Params: []Param{
			{Name: "end", Words: []string{"unlocked", "locked"}, Default: 1, Doc: "which switch"},
			{Name: "state", Words: []string{"released", "made"}, Default: 1, Doc: "made: as if the bar were always at that end; released: as if never"},
		},
		change: onLines(func(w *sim.SideWires, v Values) {
			wire := &w.Unlocked
			if v[0] == 1 {
				wire = &w.Locked
			}
			*wire = level(v[1], sim.WireLow, sim.WireHigh)
		}),
	},
}

func withinStroke(b *sim.Bench, place int, v Values) error {
	side := model.Side(place)
	if stroke := b.Truck.Locks[side].Params.Stroke; v[0] >= stroke {
		return fmt.Errorf("position %g mm, expected less than the %g mm stroke of the %s bar", v[0]*1000, stroke*1000, side)
	}
	return nil
}

package fault

import (
	"slatbench/model"
	"slatbench/sim"
)

// What kinds change, by the part that they are on.

func onBay(f func(c *model.Condition, v Values)) change {
	return func(_ *sim.Bench, p *sim.Parts, place int, v Values) { f(&p.Bays[place], v) }
}

func onWires(f func(w *sim.BayWires, v Values)) change {
	return func(_ *sim.Bench, p *sim.Parts, place int, v Values) { f(&p.Wires[place], v) }
}

func onLock(f func(c *model.LockCondition, v Values)) change {
	return func(_ *sim.Bench, p *sim.Parts, place int, v Values) { f(&p.Locks[place], v) }
}

func onLines(f func(w *sim.SideWires, v Values)) change {
	return func(_ *sim.Bench, p *sim.Parts, place int, v Values) { f(&p.Sides[place], v) }
}

func onTruck(f func(p *sim.Parts, v Values)) change {
	return func(_ *sim.Bench, p *sim.Parts, _ int, v Values) { f(p, v) }
}

// level is the wire stuck at what the second of two words means, or the first.
func level(word float64, first, second sim.Wire) sim.Wire {
	if word == 0 {
		return first
	}
	return second
}

package logic

import "slatbench/sim"

// Title implements sim.Logic.
func (t *Table) Title() string { return t.Name }

// Controllers implements sim.Logic. The table must have passed Check.
func (t *Table) Controllers(bays int, tick float64) (doors []sim.Controller, locks sim.Controller) {
	for range bays {
		doors = append(doors, NewDoor(t, tick))
	}
	return doors, NewLocks(t, tick)
}

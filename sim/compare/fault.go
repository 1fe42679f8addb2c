package compare

import (
	"slatbench/sim"
	"slatbench/sim/fault"
)

// faultAt names a fault, and the bay or the side at which it is, or -1.
func faultAt(f sim.Fault) (word string, bay, side int) {
	k, ok := f.(fault.Fault)
	if !ok {
		return "a fault", -1, -1
	}
	kind, _ := fault.Find(k.Name)
	switch kind.Place {
	case fault.OnBay:
		return k.Name, k.Place, -1
	case fault.OnSide:
		return k.Name, -1, k.Place
	}
	return k.Name, -1, -1
}

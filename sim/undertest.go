package sim

// Logic is what is under test, in whichever way it is written: a table, a module,
// a program. It makes the controllers of trucks.
type Logic interface {
	// Title is what it is called, on one line.
	Title() string
	// Controllers makes those of one truck with so many bays, for a tick in s. They
	// serve one bench at a time, and any number of benches one after the other.
	Controllers(bays int, tick float64) (doors []Controller, locks Controller)
}

// Lender is a logic whose controllers are worth being used again: those of a
// module or a program cost more than a run does.
type Lender interface {
	Logic
	// Return gives back what Controllers has made. It is not used afterwards.
	Return(doors []Controller, locks Controller)
}

// Return gives controllers back to the logic that made them, where it wants them.
func Return(l Logic, doors []Controller, locks Controller) {
	if lender, ok := l.(Lender); ok {
		lender.Return(doors, locks)
	}
}

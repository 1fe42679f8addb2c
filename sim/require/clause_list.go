package require

// Clause is one of the clauses by which a requirement is judged, as data: what is
// kept of many runs refers to it by its index in [Clauses].
type Clause struct {
	Requirement string
	Word        string  // in docs/requirements.md
	Unit        string  // of the margin
	Scale       float64 // in that unit: share = margin / scale
}

// Clauses lists all clauses, in a fixed order.
func Clauses() []Clause {
	list := make([]Clause, clauseCount)
	for i := range clauses {
		c := &clauses[i]
		list[i] = Clause{Requirement: IDs[c.of], Word: c.word, Unit: c.unit, Scale: c.scale}
	}
	return list
}

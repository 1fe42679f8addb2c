package campaign

import (
	"cmp"
	"slices"

	"slatbench/sim/require"
)

// Violation is a distinct violation: a requirement that was broken in runs with these
// kinds of fault, and no others.
type Violation struct {
	Requirement int      // index into require.IDs
	Kinds       []string // in the order of fault.Kinds; none: no fault
	Violated    int      // runs
	Of          int      // runs with these kinds; 0 where pairs are not counted apart
	First       uint64   // index of the first that violated
	Clause      string   // of the smallest share; "" for pairs
	Margin      float64  // of that clause, in Unit
	Unit        string
}

// Violations lists the distinct violations. The one that most runs showed comes
// first: drawn uniformly, it is the most likely one. Equals are ordered by
// requirement and first case.
func (t *Tally) Violations() []Violation {
	var list []Violation
	for k, column := range t.Columns() {
		var kinds []string
		if column != NoFault {
			kinds = []string{column}
		}
		for i := range require.IDs {
			if c := &t.ByKind[k][i]; c.Violated > 0 {
				list = append(list, Violation{
					Requirement: i, Kinds: kinds, Violated: c.Violated, Of: c.Runs, First: c.FirstViolated,
					Clause: c.Clause, Margin: c.Margin, Unit: c.Unit,
				})
			}
		}
	}
	for _, p := range t.Pairs {
		list = append(list, Violation{Requirement: p.Requirement, Kinds: p.Kinds[:], Violated: p.Violated, First: p.First})
	}
	slices.SortStableFunc(list, func(a, b Violation) int {
		return cmp.Or(b.Violated-a.Violated, a.Requirement-b.Requirement, cmp.Compare(a.First, b.First))
	})
	return list
}

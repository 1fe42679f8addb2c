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

// Violations lists the distinct violations. First stands the plainest of each requirement,
// in their order, so that one that is broken again and again hides no other; then the
// others, the one that most runs showed first: drawn uniformly, it is the most likely one.
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
	return plainestFirst(list)
}

// plainestFirst takes the violation with the fewest faults of each requirement to the
// front; of several, the most likely.
func plainestFirst(likely []Violation) []Violation {
	var first []Violation
	for i := range require.IDs {
		at := -1
		for j := range likely {
			if v := &likely[j]; v.Requirement == i && (at < 0 || len(v.Kinds) < len(likely[at].Kinds)) {
				at = j
			}
		}
		if at >= 0 {
			first = append(first, likely[at])
			likely = slices.Delete(likely, at, at+1)
		}
	}
	return append(first, likely...)
}

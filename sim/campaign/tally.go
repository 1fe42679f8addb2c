package campaign

import (
	"math"
	"slices"

	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// Cell is what runs of one sort came to on one requirement.
type Cell struct {
	Runs      int // runs of this sort
	Exercised int // of them, runs in which it was put to the test
	Violated  int
	Exempt    int // violated, where an exemption says that no controller could do better

	// The smallest share seen in a run that was not exempt, with its margin, clause and
	// case. NaN where there was none.
	Share, Margin float64
	Unit, Clause  string
	At            uint64

	FirstViolated uint64             // index of the first case that violated, where Violated is above 0
	Exemption     *require.Exemption // the first that was met
	FirstExempt   uint64
}

func newCell() Cell { return Cell{Share: math.NaN(), Margin: math.NaN()} }

// Tally is what a campaign has come to so far: for every requirement over all runs,
// and by kind of fault over the runs with that fault alone. Its size does not grow
// with the number of runs. The zero value is not ready: use [NewTally].
type Tally struct {
	// Guided tells that cases were not drawn uniformly from the distributions, but
	// searched for: then no probability can be bounded.
	Guided bool

	Runs   int
	Failed int    // runs that the bench could not play
	First  uint64 // index of the first of them
	Error  string // its error

	Silent       Silent     // runs in which a controller failed as a whole
	Silenced     []Silenced // of them by controller and reason, see WentSilent
	SilencedElse int        // counts of such that are too many to be told apart

	Requirements []Cell   // in the order of require.IDs
	ByKind       [][]Cell // by column, see Columns; then in the order of require.IDs
	Pairs        []Pair   // pairs of kinds that violated, in the order in which they were met
	PairRuns     int      // runs with two faults of different kinds
	Fired        []int    // runs in which each transition fired, doors' first and then locks'
	kinds        []fault.Kind
}

// Pair is two kinds of fault that broke a requirement together.
type Pair struct {
	Kinds       [2]string // in the order of fault.Kinds
	Requirement int       // index into require.IDs
	Violated    int
	First       uint64 // index of the first such case
}

// NewTally begins one.
func NewTally() *Tally {
	t := &Tally{kinds: fault.Kinds()}
	t.Requirements = newCells()
	t.ByKind = make([][]Cell, len(t.Columns()))
	for i := range t.ByKind {
		t.ByKind[i] = newCells()
	}
	return t
}

func newCells() []Cell {
	cells := make([]Cell, len(require.IDs))
	for i := range cells {
		cells[i] = newCell()
	}
	return cells
}

// NoFault is the column of the runs in which nothing was broken, events or not.
const NoFault = "no fault"

// Columns are the columns of the matrix: no fault, and every kind that is a fault.
func (t *Tally) Columns() []string {
	list := []string{NoFault}
	for _, k := range t.kinds {
		if !k.Event {
			list = append(list, k.Name)
		}
	}
	return list
}

// Add counts a case.
func (t *Tally) Add(c *Case, o Outcome) {
	if o.Err != nil {
		if t.Failed++; t.Failed == 1 {
			t.First, t.Error = c.Index, o.Err.Error()
		}
		return
	}
	t.Runs++
	t.silences(c.Index, o.Silent)
	kinds := c.Kinds()
	column := -1
	switch len(kinds) {
	case 0:
		column = 0
	case 1:
		column = slices.Index(t.Columns(), kinds[0])
	case 2:
		t.PairRuns++
	}
	for i := range o.Results {
		t.Requirements[i].add(&o.Results[i], c.Index)
		if column >= 0 {
			t.ByKind[column][i].add(&o.Results[i], c.Index)
		}
		if len(kinds) == 2 && o.Results[i].Verdict == require.Violated {
			t.addPair(Pair{[2]string{kinds[0], kinds[1]}, i, 1, c.Index})
		}
	}
	t.addFired(o.Transitions)
}

// Kinds are the different kinds of fault of a case, events left out, in the order
// of fault.Kinds.
func (c *Case) Kinds() []string {
	var list []string
	for _, k := range faultNames {
		if slices.ContainsFunc(c.Faults, func(f FaultDraw) bool { return f.Kind == k }) {
			list = append(list, k)
		}
	}
	return list
}

var faultNames = func() (list []string) {
	for _, k := range fault.Kinds() {
		if !k.Event {
			list = append(list, k.Name)
		}
	}
	return list
}()

func (t *Tally) addPair(p Pair) {
	for i := range t.Pairs {
		if q := &t.Pairs[i]; q.Kinds == p.Kinds && q.Requirement == p.Requirement {
			q.Violated += p.Violated
			q.First = min(q.First, p.First)
			return
		}
	}
	t.Pairs = append(t.Pairs, p)
}

func (t *Tally) addFired(set []uint64) {
	if set == nil {
		return
	}
	if t.Fired == nil {
		t.Fired = make([]int, len(set)*64)
	}
	for i := range t.Fired {
		if has(set, i) {
			t.Fired[i]++
		}
	}
}

func (c *Cell) add(r *require.Result, index uint64) {
	c.Runs++
	if r.Verdict == require.NotExercised {
		return
	}
	c.Exercised++
	switch r.Verdict {
	case require.Violated:
		if c.Violated++; c.Violated == 1 || index < c.FirstViolated {
			c.FirstViolated = index
		}
	case require.Exempt:
		if c.Exempt++; c.Exempt == 1 || index < c.FirstExempt {
			c.Exemption, c.FirstExempt = r.Exemption, index
		}
		return
	}
	c.near(r.Share, r.Margin, r.Unit, r.Clause, index)
}

// near takes up a share where it is smaller, or as small in an earlier case.
func (c *Cell) near(share, margin float64, unit, clause string, at uint64) {
	if math.IsNaN(share) || share > c.Share || share == c.Share && at > c.At {
		return
	}
	c.Share, c.Margin, c.Unit, c.Clause, c.At = share, margin, unit, clause, at
}

// Merge adds what another tally has counted. The order of merging makes no
// difference but to the order of pairs.
func (t *Tally) Merge(o *Tally) {
	t.Guided = t.Guided || o.Guided
	t.Runs += o.Runs
	if o.Failed > 0 && (t.Failed == 0 || o.First < t.First) {
		t.First, t.Error = o.First, o.Error
	}
	t.Failed += o.Failed
	t.Silent.add(&o.Silent)
	for i := range o.Silenced {
		t.silenced(&o.Silenced[i])
	}
	t.SilencedElse += o.SilencedElse
	t.PairRuns += o.PairRuns
	for i := range t.Requirements {
		t.Requirements[i].merge(&o.Requirements[i])
	}
	for k := range t.ByKind {
		for i := range t.ByKind[k] {
			t.ByKind[k][i].merge(&o.ByKind[k][i])
		}
	}
	for _, p := range o.Pairs {
		t.addPair(p)
	}
	if t.Fired == nil && o.Fired != nil {
		t.Fired = make([]int, len(o.Fired))
	}
	for i := range o.Fired {
		t.Fired[i] += o.Fired[i]
	}
}

func (c *Cell) merge(o *Cell) {
	if o.Violated > 0 && (c.Violated == 0 || o.FirstViolated < c.FirstViolated) {
		c.FirstViolated = o.FirstViolated
	}
	if o.Exempt > 0 && (c.Exempt == 0 || o.FirstExempt < c.FirstExempt) {
		c.Exemption, c.FirstExempt = o.Exemption, o.FirstExempt
	}
	c.Runs += o.Runs
	c.Exercised += o.Exercised
	c.Violated += o.Violated
	c.Exempt += o.Exempt
	c.near(o.Share, o.Margin, o.Unit, o.Clause, o.At)
}

// Bound is the upper bound, at Confidence, of the probability that a run drawn from
// the distributions violates the requirement where it puts it to the test. There is
// none for a guided campaign, nor where it was never put to the test. Exempt runs
// are left out of both counts.
func (t *Tally) Bound(c *Cell) (high float64, ok bool) {
	n := c.Exercised - c.Exempt
	if t.Guided || n < 1 {
		return math.NaN(), false
	}
	return UpperBound(c.Violated, n, Confidence), true
}

// MostLikely are the pairs that broke something, those with most violations first;
// of equals, in the order of their names.
func (t *Tally) MostLikely() []Pair {
	list := slices.Clone(t.Pairs)
	slices.SortFunc(list, func(a, b Pair) int {
		switch {
		case a.Violated != b.Violated:
			return b.Violated - a.Violated
		case a.Kinds != b.Kinds:
			return slices.Compare(a.Kinds[:], b.Kinds[:])
		}
		return a.Requirement - b.Requirement
	})
	return list
}

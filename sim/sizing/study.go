package sizing

import (
	"context"
	"fmt"
	"math"
)

// Axis is one input with the values that it takes.
type Axis struct {
	Input *Input
	At    []float64
}

// Spread returns n values from low to high at equal distance; whole numbers for an
// input of such, each once.
func (in *Input) Spread(low, high float64, n int) Axis {
	a := Axis{Input: in}
	for i := range n {
		x := low
		if n > 1 {
			x = low + float64((high-low)*float64(i))/float64(n-1)
		}
		if i > 0 && i == n-1 {
			x = high // to the bit
		}
		if in.Whole {
			x = math.Round(x)
		}
		if last := len(a.At) - 1; last < 0 || a.At[last] != x {
			a.At = append(a.At, x)
		}
	}
	return a
}

// Cell is the answer at one place of a map.
type Cell struct {
	Verdict          Verdict
	Opening, Closing float64 // s; +Inf where it does not get there
	Worst            Aspect  // what decides the verdict
	Score            float64
	Refused          string // why there is no answer: the place is impossible
}

// Slower is the longer of the two times.
func (c *Cell) Slower() float64 { return math.Max(c.Opening, c.Closing) }

// Map is a study over two inputs.
type Map struct {
	X, Y  Axis
	Cells []Cell // row after row, a row for each value of Y
}

// At returns the cell of the x-th value of X and the y-th of Y.
func (m *Map) At(x, y int) *Cell { return &m.Cells[y*len(m.X.At)+x] }

// Deciding counts the cells in which each aspect is the worst, where not all passes,
// and those that cannot be, with the reason of the first.
func (m *Map) Deciding() (worst [Aspects]int, refused int, why string) {
	for i := range m.Cells {
		switch c := &m.Cells[i]; {
		case c.Refused != "":
			if refused++; why == "" {
				why = c.Refused
			}
		case c.Verdict >= Marginal:
			worst[c.Worst]++
		}
	}
	return worst, refused, why
}

// mostCells bounds a map.
const mostCells = 250_000

// Study asks at every crossing of two inputs, each on the whole model. Other figures
// stay as they are in the question. done is called for every cell, from any worker.
func Study(ctx context.Context, q *Question, x, y Axis, workers int, done func()) (*Map, error) {
	if err := firstProblem(q); err != nil {
		return nil, err
	}
	if x.Input == y.Input {
		return nil, fmt.Errorf("both axes are %s, expected two different inputs", x.Input.Name)
	}
	for _, a := range [...]Axis{x, y} {
		if math.IsNaN(a.Input.Get(q)) {
			return nil, fmt.Errorf("this question has no %s to vary", a.Input.Name)
		}
		if len(a.At) == 0 {
			return nil, fmt.Errorf("%s takes no value", a.Input.Name)
		}
	}
	n := len(x.At) * len(y.At)
	if n > mostCells {
		return nil, fmt.Errorf("%d cells, expected no more than %d", n, mostCells)
	}
	m := &Map{X: x, Y: y, Cells: make([]Cell, n)}
	err := each(ctx, n, workers, done, func(i int) {
		c := q.clone()
		x.Input.Set(c, x.At[i%len(x.At)])
		y.Input.Set(c, y.At[i/len(x.At)])
		m.Cells[i] = cellOf(c)
	})
	if err != nil {
		return nil, err
	}
	return m, nil
}

func cellOf(q *Question) Cell {
	if err := firstProblem(q); err != nil {
		return Cell{Opening: math.Inf(1), Closing: math.Inf(1), Score: math.NaN(), Refused: err.Error()}
	}
	r := answer(q, true)
	w := r.Worst()
	return Cell{
		Verdict: r.Verdict, Opening: r.Of(OpeningTime).Value, Closing: r.Of(ClosingTime).Value,
		Worst: w.Aspect, Score: w.Score,
	}
}

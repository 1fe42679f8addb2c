package campaign

import (
	"slices"

	"slatbench/sim/require"
)

// LeastExercised is how many runs must have put a requirement to the test before a
// cell of the matrix says anything. Even then 0 of 100 leaves up to 3 % open.
const LeastExercised = 100

// Say is what a cell of the matrix says in a word.
type Say uint8

// What cells say.
const (
	NotShown  Say = iota // fewer than LeastExercised runs put it to the test
	NotJudged            // it is not judged under a fault
	Held                 // no violation
	Broken               // violated
	Excused              // violated in no run but those that are exempt
	MeasuredOnly
)

var sayWords = [...]string{"not shown", "not judged", "held", "violated", "exempt", "measured"}

func (s Say) String() string { return sayWords[s] }

// Matrix is requirement by kind of fault, over runs with that fault alone.
type Matrix struct {
	Requirements []string
	Columns      []string
	Cells        [][]MatrixCell // by requirement, then column
}

// MatrixCell is a cell with what it says.
type MatrixCell struct {
	Cell
	Say Say
}

// Matrix works out what the tally says.
func (t *Tally) Matrix() *Matrix {
	m := &Matrix{Requirements: require.IDs[:], Columns: t.Columns()}
	for r, id := range m.Requirements {
		row := make([]MatrixCell, len(m.Columns))
		for k := range row {
			c := t.ByKind[k][r]
			row[k] = MatrixCell{c, t.says(&c, id, k)}
		}
		m.Cells = append(m.Cells, row)
	}
	return m
}

func (t *Tally) says(c *Cell, id string, column int) Say {
	switch {
	case c.Violated > 0 && id != "contact-force":
		return Broken
	case id == "service" && column > 0:
		return NotJudged
	case c.Exercised < LeastExercised:
		return NotShown
	case id == "contact-force" && c.Violated == 0:
		return MeasuredOnly
	case c.Violated > 0:
		return Broken
	case c.Exempt > 0:
		return Excused
	}
	return Held
}

// Unshown lists the cells that say nothing, as "requirement / fault".
func (m *Matrix) Unshown() []string {
	var list []string
	for r := range m.Cells {
		for k := range m.Cells[r] {
			if m.Cells[r][k].Say == NotShown {
				list = append(list, m.Requirements[r]+" / "+m.Columns[k])
			}
		}
	}
	return list
}

// Cell of a requirement under a fault, by their names.
func (m *Matrix) Cell(id, column string) (MatrixCell, bool) {
	r, k := slices.Index(m.Requirements, id), slices.Index(m.Columns, column)
	if r < 0 || k < 0 {
		return MatrixCell{}, false
	}
	return m.Cells[r][k], true
}

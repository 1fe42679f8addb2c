package trace

import (
	"bytes"
	"math"
	"strconv"
)

// cell is the text of a number as it was last written. Most of a truck is at rest
// most of the time, and need not be put into digits again.
type cell struct {
	bits  uint64
	known bool
	text  []byte
	next  []byte // scratch
}

const numberRoom = 16 // bytes that six significant digits can take: -1.23457e+300

func newCells(n int) []cell {
	cells := make([]cell, n)
	room := make([]byte, 0, 2*n*numberRoom)
	for i := range cells {
		at := 2 * i * numberRoom
		cells[i].text = room[at : at : at+numberRoom]
		cells[i].next = room[at+numberRoom : at+numberRoom : at+2*numberRoom]
	}
	return cells
}

// set puts a number into six significant digits: more than any sensor, few enough to
// read. It tells whether the text has changed.
func (c *cell) set(x float64) bool {
	bits := math.Float64bits(x)
	if c.known && bits == c.bits {
		return false
	}
	c.bits = bits
	if x == 0 {
		x = 0 // and not -0
	}
	c.next = strconv.AppendFloat(c.next[:0], x, 'g', 6, 64)
	if c.known && bytes.Equal(c.next, c.text) {
		return false
	}
	c.known = true
	c.text, c.next = c.next, c.text
	return true
}

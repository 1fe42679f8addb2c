package report

import (
	"math"
	"strings"
)

// tracePath draws a channel as a line, and as an upright stroke where it was more
// than one value within a bucket. Flat stretches cost two points.
func tracePath(e *Envelope, channel int, x func(step float64) float64, y func(v float64) float64) string {
	t := tracer{}
	for i := range e.Len() {
		from, lo, hi := e.Bucket(i, channel)
		if math.IsNaN(lo) {
			t.lift()
			continue
		}
		px := math.Round(10*x(float64(from)+float64(e.Width())/2)) / 10
		a, b := math.Round(10*y(lo))/10, math.Round(10*y(hi))/10
		if math.Abs(t.y-a) > math.Abs(t.y-b) { // the nearer end first: no zigzag
			a, b = b, a
		}
		t.to(px, a)
		if b != a {
			t.to(px, b)
		}
	}
	t.lift()
	return t.out.String()
}

// tracer writes a path and leaves out what lies on a level line.
type tracer struct {
	out        strings.Builder
	down, held bool // the pen is down; a point on the level is held back
	x, y       float64
}

func (t *tracer) to(x, y float64) {
	switch {
	case !t.down:
		t.out.WriteString("M" + number(x) + " " + number(y))
		t.down, t.held = true, false
	case y == t.y:
		t.held = true
	default:
		t.flush()
		t.out.WriteString("L" + number(x) + " " + number(y))
	}
	t.x, t.y = x, y
}

func (t *tracer) flush() {
	if t.held {
		t.out.WriteString("L" + number(t.x) + " " + number(t.y))
		t.held = false
	}
}

func (t *tracer) lift() {
	t.flush()
	t.down = false
}

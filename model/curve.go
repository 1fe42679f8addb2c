package model

// curve is a published table, read by straight lines between its points. x rises
// and has as many entries as y, at least two.
type curve struct {
	x, y []float64
}

// at returns the value at x. Outside the table the end value holds.
func (c curve) at(x float64) float64 {
	last := len(c.x) - 1
	if !(x > c.x[0]) {
		return c.y[0]
	}
	if x >= c.x[last] {
		return c.y[last]
	}
	i := 1
	for x > c.x[i] {
		i++
	}
	share := (x - c.x[i-1]) / (c.x[i] - c.x[i-1])
	return c.y[i-1] + float64(share*(c.y[i]-c.y[i-1]))
}

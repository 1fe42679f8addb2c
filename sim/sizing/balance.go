package sizing

import "math"

// BalancePoint is the balance of forces on a standing door at one height. Forces in
// N along the track; Gravity and Closing pull down, Spring pulls up.
type BalancePoint struct {
	Height   float64 // m
	Gravity  float64
	Closing  float64 // the closing spring
	Spring   float64 // what the cable would carry with no friction at the shaft
	Net      float64 // Spring − Gravity − Closing: positive, the door wants up
	Band     float64 // dry friction either way with the manual release open
	HandUp   float64 // to lift it with the manual release open; negative: it goes by itself
	HandDown float64 // to pull it down, likewise
	HeldUp   float64 // to spare against drifting up, drive engaged and off; negative: it drifts
	HeldDown float64 // to spare against sinking; +Inf where floor, stop or gear hold
}

// Balance is the curve through the travel, closed to open.
type Balance []BalancePoint

func (g *rig) balance(n float64) Balance {
	out := make(Balance, len(g.heights))
	for i := range out {
		b := &out[i]
		b.Height = g.heights[i]
		b.Gravity, b.Closing = g.hang.Gravity(b.Height), g.hang.Closing(b.Height)
		b.Spring = g.torque(i, n) / g.r
		b.Net = b.Spring - g.pull[i]
		b.Band = g.breakaway + g.gripFree/g.r
		b.HandUp, b.HandDown = b.Band-b.Net, b.Band+b.Net
		b.HeldUp, b.HeldDown = g.spare(i, n, g.grip)
	}
	return out
}

// spare is how much force a door that stands at height i has to spare against
// drifting up and down, when its shaft bears a torque of grip in either direction.
//
// A standing curtain bears any cable force within its breakaway friction B of what
// hangs, and a standing shaft any difference between spring and cable torque up to
// its grip:
//
//	|F − h| <= B        |T − rF| <= grip
//
// The floor keeps a closed door from sinking, the open stop an open one from rising.
func (g *rig) spare(i int, n, grip float64) (up, down float64) {
	h, t := g.pull[i], g.torque(i, n)
	up = h + g.breakaway - (t-grip)/g.r
	down = (t+grip)/g.r - h + g.breakaway
	if i == 0 {
		down = math.Inf(1)
	}
	if i == pieces {
		up = math.Inf(1)
	}
	return up, down
}

// Drift is a stretch of travel in which the door does not stay where it is left.
type Drift struct {
	From, To float64 // m
	Up       bool    // else it sinks
	Most     float64 // N that is missing at the worst height
	At       float64 // m, the worst height
}

// drifts lists them, from the floor up.
func (g *rig) drifts(n, grip float64) []Drift {
	var list []Drift
	for i := range g.heights {
		up, down := g.spare(i, n, grip)
		lacks := math.Min(up, down)
		if !(lacks < 0) {
			continue
		}
		y, rises := g.heights[i], up < down
		if last := len(list) - 1; last >= 0 && list[last].Up == rises && y-list[last].To < 1.5*g.step {
			d := &list[last]
			d.To = y
			if -lacks > d.Most {
				d.Most, d.At = -lacks, y
			}
			continue
		}
		list = append(list, Drift{From: y, To: y, Up: rises, Most: -lacks, At: y})
	}
	return list
}

// least is the smallest force to spare anywhere, where it is, and whether the door
// would rise there. It is +Inf where the gear holds at every height.
func (g *rig) least(n, grip float64) (spare, at float64, rises bool) {
	spare = math.Inf(1)
	for i := range g.heights {
		up, down := g.spare(i, n, grip)
		if s := math.Min(up, down); s < spare {
			spare, at, rises = s, g.heights[i], up < down
		}
	}
	return spare, at, rises
}

// hands are the greatest forces that a hand needs with the manual release open, N,
// and at which heights, m.
func (g *rig) hands(n float64) (up, upAt, down, downAt float64) {
	up, down = math.Inf(-1), math.Inf(-1)
	band := g.breakaway + g.gripFree/g.r
	for i, y := range g.heights {
		net := g.torque(i, n)/g.r - g.pull[i]
		if f := band - net; f > up && i < pieces {
			up, upAt = f, y
		}
		if f := band + net; f > down && i > 0 {
			down, downAt = f, y
		}
	}
	return up, upAt, down, downAt
}

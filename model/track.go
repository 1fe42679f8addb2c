package model

import "math"

// track is the path of the curtain with the lean of the truck built in.
//
// With s the arc length from the sill: vertical up to its end, a quarter bend,
// then along the roof. A point at arc length s lies z(s) above the sill and x(s)
// towards the other side of the truck. Along gravity, on a slope of angle a, it
// lies z·cos a + x·sin a high.
type track struct {
	vertical, bend, roof float64 // m: end of the vertical part, radius, start of the roof part
	invBend              float64 // 1/m
	cosA, sinA           float64
}

func newTrack(p TrackParams, side Side, grade float64) track {
	if side == Roadside {
		grade = -grade
	}
	t := track{vertical: p.Vertical, bend: p.Bend, roof: p.Vertical + float64(p.Bend*(math.Pi/2))}
	if p.Bend > 0 {
		t.invBend = 1 / p.Bend
	}
	t.cosA = 1 / math.Sqrt(1+float64(grade*grade))
	t.sinA = grade * t.cosA
	return t
}

// height is how high the point at arc length s lies along gravity, in m.
func (t *track) height(s float64) float64 {
	if s <= t.vertical {
		return float64(s * t.cosA)
	}
	if s >= t.roof {
		z := t.vertical + t.bend
		x := t.bend + (s - t.roof)
		return float64(z*t.cosA) + float64(x*t.sinA)
	}
	return t.bendHeight(s)
}

func (t *track) bendHeight(s float64) float64 {
	phi := float64((s - t.vertical) * t.invBend)
	z := t.vertical + float64(t.bend*sinQuarter(phi))
	x := float64(t.bend * (1 - cosQuarter(phi)))
	return float64(z*t.cosA) + float64(x*t.sinA)
}

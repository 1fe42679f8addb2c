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
	roofUp               float64 // m: the share of the roof's height in height
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
	t.roofUp = float64((t.vertical + t.bend) * t.cosA)
	return t
}

// height is how high the point at arc length s lies along gravity, in m. The edge
// is below the bend most of the time, so that part is short enough to be inlined.
func (t *track) height(s float64) float64 {
	if s <= t.vertical {
		return float64(s * t.cosA)
	}
	return t.heightBeyond(s)
}

// heightBeyond is that of a point in the bend or along the roof.
func (t *track) heightBeyond(s float64) float64 {
	if s >= t.roof {
		return t.alongRoof(s)
	}
	sin, cos := sinCosQuarter(float64((s - t.vertical) * t.invBend))
	z, x := t.vertical+float64(t.bend*sin), float64(t.bend*(1-cos))
	return float64(z*t.cosA) + float64(x*t.sinA)
}

// alongRoof is that of a point along the roof, where the top of a curtain is most of the
// time: short enough to be inlined.
func (t *track) alongRoof(s float64) float64 {
	return t.roofUp + float64((t.bend+(s-t.roof))*t.sinA)
}

package model

// Hang is what pulls a curtain down its track while it stands, for calculations
// that do without a step: gravity and the closing spring, by the same functions
// that move a [Bay].
type Hang struct {
	track  track
	length float64 // m
	weight float64 // N/m: m·g/L
	spring ClosingSpringParams
}

// NewHang is that of a door as built, on a grade as in [Ambient].
func NewHang(p *BayParams, grade float64) Hang {
	return Hang{
		track: newTrack(p.Track, p.Side, grade), length: p.Curtain.Length,
		weight: p.Curtain.Mass * Gravity / p.Curtain.Length, spring: p.ClosingSpring,
	}
}

// Gravity returns the pull of gravity along the track, N, with the bottom edge at
// height y, m: (m·g/L)·(h(y+L) − h(y)), h along gravity (virtual work, exact).
func (h *Hang) Gravity(y float64) float64 {
	return float64(h.weight * (h.track.height(y+h.length) - h.track.height(y)))
}

// Closing returns the pull of the closing spring, N, at height y, m.
func (h *Hang) Closing(y float64) float64 {
	return h.spring.Preload + float64(h.spring.Rate*y)
}

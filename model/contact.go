package model

// seriesContact is the edge seal pressed against something with a stiffness of
// its own: two springs in series, the first of them a rubber bulb that is soft
// until it lies flat.
type seriesContact struct {
	soft, flat  float64 // N/m while the bulb gives, and the deflection (m) at which it is flat
	hard, force float64 // N/m from there on, and the force (N) there
	damping     float64 // s/m
}

func newSeriesContact(s SealParams, other float64) seriesContact {
	force := s.Stiffness * s.SoftTravel
	soft := 1 / (1/s.Stiffness + 1/other)
	return seriesContact{
		soft: soft, flat: force / soft,
		hard: 1 / (1/s.HardStiffness + 1/other), force: force,
		damping: s.Damping,
	}
}

// push is the force on the curtain, in N, upwards, at a deflection of d m that
// grows at rate m/s. Damping is proportional to the elastic force, so that the
// force starts from zero at first touch; a contact can only push.
func (c *seriesContact) push(d, rate float64) float64 {
	if d <= 0 {
		return 0
	}
	f := float64(c.soft * d)
	if d > c.flat {
		f = c.force + float64(c.hard*(d-c.flat))
	}
	f = float64(f * (1 + float64(c.damping*rate)))
	if f < 0 {
		return 0
	}
	return f
}

// Obstacle is something under the edge.
type Obstacle struct {
	Top       float64 // m above the sill, along the track
	Stiffness float64 // N/m
	contact   seriesContact
}

package model

// Stick applies dry friction to a velocity as a clamped impulse. The other
// forces of the step have already turned v0 into v; friction takes away at most
// the given change of velocity, limit = F·dt/m, and never turns v round. What is
// brought to zero is exactly zero: the part sticks, with no smoothing constant
// and no chatter. Units follow the caller: m/s or rad/s.
func Stick(v, limit float64) float64 {
	if v > limit {
		return v - limit
	}
	if v < -limit {
		return v + limit
	}
	return 0
}

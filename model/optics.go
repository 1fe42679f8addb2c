package model

import "math"

// LobeExponent returns n of the lobe cosⁿφ of a sender whose radiant intensity
// has halved at halfAngle, rad, 0 < halfAngle < π/2: ln ½ / ln cos halfAngle
// (optical-wireless textbooks, from memory). A wide sender has a small n.
//
// A receiver's "half-distance" angle is another thing: see
// [LobeExponentHalfDistance].
func LobeExponent(halfAngle float64) float64 {
	return logP(0.5) / logP(cosQuarter(halfAngle))
}

// LobeExponentHalfDistance returns n for a part whose range has halved at angle,
// rad, 0 < angle < π/2. Half the range is a quarter of the irradiance, so n is
// twice what [LobeExponent] gives for the same angle.
func LobeExponentHalfDistance(angle float64) float64 {
	return logP(0.25) / logP(cosQuarter(angle))
}

// Lobe returns cosⁿφ for an angle off the axis in rad, of either sign; 0 at π/2
// and behind.
func Lobe(exponent, angle float64) float64 {
	angle = math.Abs(angle)
	if !(angle < math.Pi/2) {
		return 0
	}
	return powP(cosQuarter(angle), exponent)
}

// Irradiance returns what arrives at a receiver, W/m²: I·cosⁿφ·τ/d², for a
// radiant intensity I on the sender's axis in W/sr, a lobe exponent n, the angle
// φ off that axis in rad, a transmission τ of 0 to 1 through lenses and dirt, and
// a distance d above 0 in m.
func Irradiance(intensity, exponent, angle, transmission, distance float64) float64 {
	return intensity * Lobe(exponent, angle) * transmission / (distance * distance)
}

// LinkRange returns the distance, m, at which the irradiance has fallen to the
// threshold in W/m², straight ahead of a sender of the given intensity in W/sr.
func LinkRange(intensity, threshold float64) float64 {
	return math.Sqrt(intensity / threshold)
}

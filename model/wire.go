package model

import (
	"errors"
	"fmt"
)

const (
	// copperResistivity is that of annealed copper at 20 °C, Ω·m (IACS, from memory).
	copperResistivity = 1.7241e-8
	// copperAlpha is its temperature coefficient at 20 °C, 1/K (secondary).
	copperAlpha = 0.00393
	// copperZero: the straight line through copper's resistance reaches zero at
	// −235 °C (k = 235 of IEC 60034-1). The copperAlpha of cables puts it at
	// −234.5 °C; windings are judged by the standard's figure.
	copperZero = 235
)

// The thickest and the thinnest wire of the American Wire Gauge that are taken.
const (
	AWG4Over0 = -3 // 4/0; −2, −1 and 0 are 3/0, 2/0 and 1/0
	AWGFinest = 40
)

// ErrWireGauge is what every refusal of a wire gauge wraps.
var ErrWireGauge = errors.New("wire gauge")

// AWGDiameter returns the diameter of solid wire, m, for a gauge of −3 (4/0) to
// 40: 0.005 in · 92^((36−n)/39) (ASTM B258). Other gauges give ErrWireGauge.
func AWGDiameter(awg int) (float64, error) {
	if awg < AWG4Over0 || awg > AWGFinest {
		return 0, fmt.Errorf("%w: %d AWG, expected -3 (4/0) to 40", ErrWireGauge, awg)
	}
	return 0.005 * Inch * powP(92, float64(36-awg)/39), nil
}

// AWGArea returns the copper cross-section, m², for a gauge of −3 (4/0) to 40.
// Stranded wire of a gauge has this area too. Other gauges give ErrWireGauge.
func AWGArea(awg int) (float64, error) {
	d, err := AWGDiameter(awg)
	return quarterPi * d * d, err
}

// AWGOhmPerMetre returns the resistance of annealed copper wire, Ω/m, at a
// temperature in °C, for a gauge of −3 (4/0) to 40. Other gauges give
// ErrWireGauge.
func AWGOhmPerMetre(awg int, temperature float64) (float64, error) {
	area, err := AWGArea(awg)
	if err != nil {
		return 0, err
	}
	return copperResistivity / area * cableFactor(temperature), nil
}

// cableFactor is a copper cable's resistance relative to 20 °C.
func cableFactor(temperature float64) float64 {
	return 1 + float64(copperAlpha*(temperature-20))
}

// LoopDrop returns the voltage lost, V, in a pair of wires of the given one-way
// length in m, there and back, at a current in A and a temperature in °C.
// Gauges outside −3 to 40 give ErrWireGauge.
func LoopDrop(awg int, oneWay, amps, temperature float64) (float64, error) {
	r, err := AWGOhmPerMetre(awg, temperature)
	return 2 * oneWay * amps * r, err
}

// CopperFactor returns the resistance of a copper winding at a temperature
// relative to that at reference, both in °C: (235+T)/(235+T0) (IEC 60034-1,
// k = 235).
func CopperFactor(temperature, reference float64) float64 {
	return (copperZero + temperature) / (copperZero + reference)
}

// WindingTemperature returns the mean temperature of a copper winding, °C, from
// its resistance hot, and cold at a known temperature in °C (IEC 60034-1, the
// method of resistance, k = 235). Both resistances are above 0, in one unit.
func WindingTemperature(hotOhms, coldOhms, coldTemperature float64) float64 {
	return windingTemperature(copperZero, hotOhms, coldOhms, coldTemperature)
}

// windingTemperature leaves the constant open: 234.5 is in use beside 235.
func windingTemperature(zero, hot, cold, coldTemperature float64) float64 {
	return float64(hot/cold*(zero+coldTemperature)) - zero
}

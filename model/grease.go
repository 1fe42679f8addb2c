package model

import (
	"errors"
	"fmt"
	"math"
)

// ErrViscosity is what every refusal of viscosity data wraps.
var ErrViscosity = errors.New("viscosity")

// zeroCelsius, K.
const zeroCelsius = 273.15

// Walther is the viscosity of a mineral oil over temperature (ASTM D341):
//
//	log₁₀ log₁₀(ν + 0.7) = A − B·log₁₀ T     ν in mm²/s (cSt), T in K
//
// It holds between the points it was drawn through and some way beyond. Below
// the pour point the oil is no longer a simple liquid, and it is a guess.
type Walther struct {
	A, B float64
	// Kelvin is what is added to °C, K. Some worked examples round it to 273.
	Kelvin float64
}

// WaltherFromPoints draws the line through two measured points: temperatures in
// °C, viscosities in cSt. The colder point must be the thicker; both
// viscosities must be above 0.3, both temperatures above absolute zero and
// different. Else ErrViscosity.
func WaltherFromPoints(t1, nu1, t2, nu2 float64) (Walther, error) {
	return waltherFromPoints(zeroCelsius, t1, nu1, t2, nu2)
}

func waltherFromPoints(kelvin, t1, nu1, t2, nu2 float64) (Walther, error) {
	switch {
	case !(t1+kelvin > 0) || !(t2+kelvin > 0) || math.IsInf(t1+t2, 0):
		return Walther{}, fmt.Errorf("%w: temperatures %g and %g °C, expected above absolute zero", ErrViscosity, t1, t2)
	case t1 == t2:
		return Walther{}, fmt.Errorf("%w: both points at %g °C, expected two temperatures", ErrViscosity, t1)
	case !(nu1 > 0.3) || !(nu2 > 0.3) || math.IsInf(nu1+nu2, 0):
		return Walther{}, fmt.Errorf("%w: %g and %g cSt, expected above 0.3 cSt", ErrViscosity, nu1, nu2)
	case (t1 < t2) != (nu1 > nu2):
		return Walther{}, fmt.Errorf("%w: %g cSt at %g °C and %g cSt at %g °C, expected the colder oil to be the thicker",
			ErrViscosity, nu1, t1, nu2, t2)
	}
	w1, w2 := waltherOrdinate(nu1), waltherOrdinate(nu2)
	x1, x2 := Log10(t1+kelvin), Log10(t2+kelvin)
	b := (w1 - w2) / (x2 - x1)
	return Walther{A: w1 + float64(b*x1), B: b, Kelvin: kelvin}, nil
}

func waltherOrdinate(nu float64) float64 { return Log10(Log10(nu + 0.7)) }

// Viscosity returns ν in cSt at a temperature in °C above absolute zero.
func (w Walther) Viscosity(temperature float64) float64 {
	ordinate := w.A - float64(w.B*Log10(temperature+w.Kelvin))
	return powP(10, powP(10, ordinate)) - 0.7
}

// greaseOil is the base oil of the track's grease, an ISO VG 32: 32 cSt at 40 °C
// and 5.4 cSt at 100 °C (published worked example).
var greaseOil = mustWalther(WaltherFromPoints(40, 32, 100, 5.4))

func mustWalther(w Walther, err error) Walther {
	if err != nil {
		panic(err)
	}
	return w
}

// greaseShare is the exponent that turns the base oil's viscosity into drag
// (invented). Grease thins where it is sheared, so that its drag grows more
// slowly in the cold than the viscosity of its oil; at 1 a door at −20 °C would
// have 27 times the viscous friction of 20 °C, at ½ it has 5 times.
const greaseShare = 0.5

// GreaseFactor returns the viscous friction of the greased track at a
// temperature in °C, relative to 20 °C: (ν(T)/ν(20 °C))^½, with ν of the grease's
// base oil by ASTM D341. The exponent is invented. Below −45 °C and above 80 °C it
// stays as there.
func GreaseFactor(temperature float64) float64 {
	temperature = math.Max(-45, math.Min(80, temperature))
	return powP(greaseOil.Viscosity(temperature)/greaseOil.Viscosity(20), greaseShare)
}

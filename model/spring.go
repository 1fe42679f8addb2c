package model

import (
	"errors"
	"fmt"
	"math"
)

const (
	// TheoreticalRateConstant is c of the rate per turn d⁴E/(c·D·N) from bending
	// alone: 64/(2π) = 10.186.
	TheoreticalRateConstant = 64 / (2 * math.Pi)
	// EmpiricalRateConstant allows for the friction between the coils: 10.8, a
	// rate 5.7 % lower (Norton, Machine Design, eq. 14.29).
	EmpiricalRateConstant = 10.8
)

// ErrSpring is what every refusal of spring data wraps.
var ErrSpring = errors.New("spring")

// SpringWire is one torsion spring of round wire as wound.
//
// Two conventions are in print, and they differ by a tenth: textbooks count every
// coil and take 10.8; rate books of the door trade fit 64/(2π) with about five
// dead coils (inferred from one published pair). So both are fields.
type SpringWire struct {
	Wire         float64 // m, diameter of the wire, above 0
	MeanDia      float64 // m, mean diameter of the coil, above Wire
	Coils        float64 // coils in the body, above DeadCoils
	DeadCoils    float64 // of those, coils held by the end cones that don't wind, 0 or above
	E            float64 // Pa, Young's modulus of the wire, above 0
	RateConstant float64 // EmpiricalRateConstant or TheoreticalRateConstant, above 0
}

// Validate refuses, with ErrSpring, values outside the ranges stated at the
// fields. Whether a spring is any good is not judged here.
func (s SpringWire) Validate() error {
	rows := [...]struct {
		name       string
		value, min float64
		unit       string
	}{
		{"wire", s.Wire, 0, " m"},
		{"mean diameter", s.MeanDia, s.Wire, " m, the wire's own diameter"},
		{"coils", s.Coils, s.DeadCoils, ", the dead coils"},
		{"modulus", s.E, 0, " Pa"},
		{"rate constant", s.RateConstant, 0, ""},
	}
	for _, r := range rows {
		if !(r.value > r.min) || math.IsInf(r.value, 0) {
			return fmt.Errorf("%w: %s %g, expected above %.4g%s", ErrSpring, r.name, r.value, r.min, r.unit)
		}
	}
	if !(s.DeadCoils >= 0) {
		return fmt.Errorf("%w: dead coils %g, expected 0 or above", ErrSpring, s.DeadCoils)
	}
	return nil
}

// ActiveCoils returns the coils that wind.
func (s SpringWire) ActiveCoils() float64 { return s.Coils - s.DeadCoils }

// Index returns C = D/d. Springs of 4 to 16 can be wound well.
func (s SpringWire) Index() float64 { return s.MeanDia / s.Wire }

// Rate returns the torque per turn, N·m: d⁴E/(c·D·N), N the active coils.
func (s SpringWire) Rate() float64 {
	d2 := s.Wire * s.Wire
	return d2 * d2 * s.E / (s.RateConstant * s.MeanDia * s.ActiveCoils())
}

// Torque returns the torque, N·m, at the given turns from free; never below 0.
func (s SpringWire) Torque(turns float64) float64 {
	return math.Max(0, s.Rate()*turns)
}

// InnerFactor returns Ki = (4C²−C−1)/(4C(C−1)), by which bending of a curved wire
// is worse at the inside of the coil than of a straight one (Wahl; NSWC-11
// handbook). C is the spring index, above 1.
func InnerFactor(index float64) float64 {
	c4 := float64(4 * index)
	return (float64(c4*index) - index - 1) / (c4 * (index - 1))
}

// Stress returns the bending stress, Pa, at the inside of the coil, where it is
// greatest, at a torque in N·m: Ki·32·M/(π·d³).
func (s SpringWire) Stress(torque float64) float64 {
	return InnerFactor(s.Index()) * 32 * torque / (math.Pi * s.Wire * s.Wire * s.Wire)
}

// OuterDia returns the outside diameter of the free coil, m.
func (s SpringWire) OuterDia() float64 { return s.MeanDia + s.Wire }

// InnerDia returns the inside diameter of the free coil, m.
func (s SpringWire) InnerDia() float64 { return s.MeanDia - s.Wire }

// Growth returns how much longer, m, a close-wound body gets by winding it the
// given turns: one wire diameter a turn (trade rule).
func (s SpringWire) Growth(turns float64) float64 { return turns * s.Wire }

// LoadedMeanDia returns the mean diameter, m, after winding the body the given
// turns tighter: the wire keeps its length, so D·Nb/(Nb+turns) (Shigley).
func (s SpringWire) LoadedMeanDia(turns float64) float64 {
	return s.MeanDia * s.Coils / (s.Coils + turns)
}

// PinClearance returns the difference, m, between the inside diameter of the coil
// wound the given turns and the diameter of the shaft in it. At 0 it binds.
func (s SpringWire) PinClearance(turns, shaft float64) float64 {
	return s.LoadedMeanDia(turns) - s.Wire - shaft
}

// LegCoils returns how many coils more the two straight legs of a spring are
// worth, of lengths l1 and l2 and a mean diameter in m: (l1+l2)/(3πD) (Shigley).
func LegCoils(l1, l2, meanDia float64) float64 {
	return (l1 + l2) / (3 * math.Pi * meanDia)
}

// GerberEndurance returns the fully reversed endurance strength Se, Pa, from the
// strength sr, Pa, that a spring has under a stress repeated from 0 to sr, and
// the tensile strength sut, Pa: (sr/2)/(1−(sr/2/sut)²) (Shigley).
func GerberEndurance(sr, sut float64) float64 {
	half := sr / 2
	share := half / sut
	return half / (1 - float64(share*share))
}

// GerberAmplitude returns the stress amplitude Sa, Pa, that the Gerber line allows
// at the ratio r of amplitude to mean stress, with se and sut in Pa:
// r²·sut²/(2·se)·(√(1+(2·se/(r·sut))²)−1) (Shigley). r, se, sut are above 0.
func GerberAmplitude(r, se, sut float64) float64 {
	q := 2 * se / (r * sut)
	return r * r * sut * sut / (2 * se) * (math.Sqrt(1+float64(q*q)) - 1)
}

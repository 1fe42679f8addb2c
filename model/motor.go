package model

import (
	"errors"
	"fmt"
	"math"
)

// ErrMotorConstants says that torque and voltage constant differ.
var ErrMotorConstants = errors.New("motor constants")

// Motor is a permanent-magnet DC motor in steady running, the yardstick beside
// the stepped drive: i = (u − Ke·ω)/Ra, τ = Kt·i − dry friction.
type Motor struct {
	TorqueConstant  float64 // Kt, N·m/A, above 0
	VoltageConstant float64 // Ke, V·s/rad, above 0: equal to Kt
	Resistance      float64 // Ra, Ω, winding and brushes, above 0
	DryFriction     float64 // N·m at the motor shaft, 0 or above
}

// motorConstantSpread is how far Kt and Ke may differ: the rounding of printed
// figures. Data sheets that differ by more give one of them at another
// temperature or in another unit.
const motorConstantSpread = 0.002

// Validate refuses values outside the ranges stated at the fields, and with
// ErrMotorConstants a Kt that is not Ke: in SI units they are one number, and a
// motor in which they differ makes or loses energy.
func (m Motor) Validate() error {
	rows := [...]struct {
		name  string
		value float64
	}{
		{"torque constant", m.TorqueConstant},
		{"voltage constant", m.VoltageConstant},
		{"resistance", m.Resistance},
	}
	for _, r := range rows {
		if !(r.value > 0) || math.IsInf(r.value, 0) {
			return fmt.Errorf("motor: %s %g, expected above 0", r.name, r.value)
		}
	}
	if !(m.DryFriction >= 0) || math.IsInf(m.DryFriction, 0) {
		return fmt.Errorf("motor: dry friction %g N·m, expected 0 or above", m.DryFriction)
	}
	if math.Abs(m.TorqueConstant/m.VoltageConstant-1) > motorConstantSpread {
		return fmt.Errorf("%w: %g N·m/A and %g V·s/rad, expected one number for both",
			ErrMotorConstants, m.TorqueConstant, m.VoltageConstant)
	}
	return nil
}

// MotorFromCurve returns the frictionless motor whose speed–torque line at volts
// runs from noLoad, rad/s, to stall, N·m: K = u/ω0, Ra = K·u/τs. All above 0.
func MotorFromCurve(volts, noLoad, stall float64) Motor {
	k := volts / noLoad
	return Motor{TorqueConstant: k, VoltageConstant: k, Resistance: k * volts / stall}
}

// StallCurrent returns the current, A, at standstill.
func (m Motor) StallCurrent(volts float64) float64 { return volts / m.Resistance }

// StallTorque returns the torque at the shaft, N·m, at standstill; 0 if friction
// holds it.
func (m Motor) StallTorque(volts float64) float64 {
	return math.Max(0, float64(m.TorqueConstant*m.StallCurrent(volts))-m.DryFriction)
}

// NoLoadSpeed returns the speed, rad/s, without load, at volts of 0 or above.
func (m Motor) NoLoadSpeed(volts float64) float64 { return m.AtTorque(volts, 0).Speed }

// PeakPower returns the greatest power, W, that the shaft delivers at volts, at
// half the no-load speed and half the stall torque.
func (m Motor) PeakPower(volts float64) float64 {
	return m.StallTorque(volts) * m.NoLoadSpeed(volts) / 4
}

// MotorPoint is one steady state of a motor that turns forward, or stands.
type MotorPoint struct {
	Speed    float64 // rad/s
	Torque   float64 // N·m at the shaft
	Current  float64 // A
	BackEMF  float64 // V
	Input    float64 // W from the supply
	Shaft    float64 // W to the load
	Copper   float64 // W, winding heat
	Friction float64 // W, heat of the dry friction
}

// AtTorque returns the state at volts with a load of torque N·m against the
// motor. A load above the stall torque leaves it standing, with the stall current
// and the torque that it can give.
func (m Motor) AtTorque(volts, torque float64) MotorPoint {
	current := (torque + m.DryFriction) / m.TorqueConstant
	speed := (volts - float64(current*m.Resistance)) / m.VoltageConstant
	if speed < 0 {
		p := m.point(volts, 0)
		p.Torque = math.Max(0, p.Torque)
		return p
	}
	return m.point(volts, speed)
}

// AtSpeed returns the state at volts and a speed of 0 or above in rad/s. Above the
// no-load speed the torque is negative: the load drives the motor.
func (m Motor) AtSpeed(volts, speed float64) MotorPoint { return m.point(volts, speed) }

func (m Motor) point(volts, speed float64) MotorPoint {
	p := MotorPoint{Speed: speed, BackEMF: float64(m.VoltageConstant * speed)}
	p.Current = (volts - p.BackEMF) / m.Resistance
	p.Torque = float64(m.TorqueConstant*p.Current) - m.DryFriction
	p.Input = volts * p.Current
	p.Shaft = p.Torque * speed
	p.Copper = p.Current * p.Current * m.Resistance
	p.Friction = m.DryFriction * speed
	return p
}

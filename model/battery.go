package model

import (
	"errors"
	"fmt"
	"math"
)

// BatteryParams describes a 12 V flooded lead-acid battery by what is printed on
// its label.
type BatteryParams struct {
	// ColdCrankA is the cold-cranking rating, A, 50 to 2000: the current that it
	// delivers for 30 s at −18 °C with 7.2 V left at the end.
	ColdCrankA float64
	// ReserveMin is the reserve capacity, minutes, 10 to 1000: how long it
	// delivers 25 A at 27 °C before it falls to 10.5 V.
	ReserveMin float64
	// Age is 0 for a new battery and 1 for one at the end of its service life,
	// with half of the cold-cranking current (common practice, no source) and
	// 0.6 of the reserve (invented) left.
	Age float64
	// Peukert is the exponent k of I^k·t, 1 to 1.6: 1.2 to 1.6 for flooded cells,
	// 1.05 to 1.15 for absorbed glass mat (secondary table).
	Peukert float64
}

// The two tests that define the ratings (secondary quotations of SAE J537).
const (
	crankTemperature = -18.0 // °C
	crankSeconds     = 30.0
	crankEndVolts    = 7.2 // 1.2 V a cell

	reserveAmps        = 25.0
	reserveTemperature = 27.0 // °C
	reserveEndVolts    = 10.5
)

// What age takes away at Age = 1.
const (
	ageCrankLoss   = 0.5 // common practice, no source
	ageReserveLoss = 0.4 // invented
)

const (
	// flatRise is how strongly the resistance rises with discharge (invented).
	// More of it makes a half-charged battery sag more; what it does at empty is
	// fixed by the reserve test whatever its value.
	flatRise = 0.3
	// overdrawn is how much of the room below empty may be used up, where the
	// resistance runs away. At 1 it would be infinite.
	overdrawn = 0.9
)

// ErrBattery is what every refusal of battery parameters wraps.
var ErrBattery = errors.New("battery parameters")

// Validate refuses parameters outside the ranges stated at the fields, and
// ratings that no battery could have together.
func (p BatteryParams) Validate() error {
	_, err := solveBattery(p)
	return err
}

func (p BatteryParams) checkRanges() error {
	rows := [...]struct {
		name             string
		value, low, high float64
		unit             string
	}{
		{"cold cranking", p.ColdCrankA, 50, 2000, " A"},
		{"reserve capacity", p.ReserveMin, 10, 1000, " min"},
		{"age", p.Age, 0, 1, ""},
		{"peukert exponent", p.Peukert, 1, 1.6, ""},
	}
	for _, r := range rows {
		if !(r.value >= r.low && r.value <= r.high) {
			return fmt.Errorf("%w: %s %g%s, expected %g to %g%s", ErrBattery, r.name, r.value, r.unit, r.low, r.high, r.unit)
		}
	}
	return nil
}

// Battery is a lead-acid battery as its terminals show it: a voltage that
// depends on the charge, behind a resistance that depends on charge, temperature
// and age. Make one with [NewBattery].
//
//	U = OCV(s) − I·R        R = R0 · fT(T) · (1 + κ(1−s)/(s+ε))
//
// s is the charge, κ is invented, and R0 and ε are solved so that the battery
// passes the two tests that define its ratings exactly. Surface charge and the
// slow recovery of a rested battery are left out.
type Battery struct {
	// OCV is the open-circuit voltage, V, and R the internal resistance, Ω. Both
	// are kept up to date by Draw and SetCharge.
	OCV, R float64
	// Charge is the state of charge, 1 when full, 0 when the reserve test would
	// end. It goes a little below 0 when drawn further; the resistance then
	// runs away, as in a flat battery.
	Charge float64
	// Temperature of the battery, °C, fixed when it was made.
	Temperature float64

	perAmpereSecond float64 // charge that one ampere-second at 25 A takes away
	weight          float64 // Peukert exponent − 1
	coldR           float64 // Ω: R0·fT(T)
	room            float64 // ε
}

// NewBattery makes a full battery that stays at a temperature in °C; from −40 to
// 60 the tables behind it hold, beyond it stays as at their ends. It panics on
// parameters that [BatteryParams.Validate] refuses.
func NewBattery(p BatteryParams, temperature float64) Battery {
	s, err := solveBattery(p)
	if err != nil {
		panic("model: NewBattery without Validate: " + err.Error())
	}
	b := Battery{
		Temperature:     temperature,
		perAmpereSecond: 1 / (s.capacity * batteryCapacityFactor(temperature)),
		weight:          p.Peukert - 1,
		coldR:           s.r0 * crankResistanceFactor(temperature),
		room:            s.room,
	}
	b.SetCharge(1)
	return b
}

// Draw takes ampereSeconds out of the battery over the given seconds, at their
// mean current, and refreshes OCV and R. Negative ampereSeconds charge it, up to
// full. The current that discharges counts by Peukert's law, tied to the 25 A of
// the reserve test: I·(I/25 A)^(k−1).
func (b *Battery) Draw(ampereSeconds, seconds float64) {
	if !(seconds > 0) {
		return
	}
	if amps := ampereSeconds / seconds; amps > 0 {
		ampereSeconds *= powP(amps/reserveAmps, b.weight)
	}
	b.SetCharge(b.Charge - float64(ampereSeconds*b.perAmpereSecond))
}

// SetCharge puts the battery at a state of charge and refreshes OCV and R. What
// is outside the possible range is moved to its end.
func (b *Battery) SetCharge(charge float64) {
	b.Charge = math.Max(float64(-overdrawn*b.room), math.Min(1, charge))
	b.OCV = OpenCircuitVoltage(b.Charge)
	b.R = float64(b.coldR * chargeResistanceFactor(b.Charge, b.room))
}

// Terminal returns the voltage at the terminals, V, while amps flow out.
func (b *Battery) Terminal(amps float64) float64 {
	return b.OCV - float64(amps*b.R)
}

// chargeResistanceFactor is 1 at full charge and 1 + κ/ε at empty.
func chargeResistanceFactor(charge, room float64) float64 {
	return 1 + float64(flatRise*(1-charge))/(charge+room)
}

// batteryCapacityFactor is the capacity relative to the 27 °C of the reserve
// test, for the long, light discharge that a door is.
func batteryCapacityFactor(temperature float64) float64 {
	const long = 60
	return CapacityFactor(temperature, long) / CapacityFactor(reserveTemperature, long)
}

// crankResistanceFactor is the internal resistance relative to −17.8 °C: the
// inverse of the cranking output.
func crankResistanceFactor(temperature float64) float64 {
	return CrankingOutput(-17.8) / CrankingOutput(temperature)
}

package model

import "fmt"

// batterySolution is what the two ratings of a battery, after aging, fix.
type batterySolution struct {
	capacity float64 // A·s at 25 A and 27 °C
	r0       float64 // Ω, full, at −17.8 °C
	room     float64 // ε: how far below empty the resistance is infinite
}

// solveBattery finds R0 and ε from the two tests.
//
// The reserve test ends at s = 0, where it must read 10.5 V:
//
//	(OCV(0) − 10.5)/25 A = R0·fT(27 °C)·(1 + κ/ε)
//
// The cold-cranking test ends at s1, after 30 s of rated current by Peukert's
// law, where it must read 7.2 V:
//
//	(OCV(s1) − 7.2)/CCA = R0·fT(−18 °C)·(1 + κ(1−s1)/(s1+ε))
//
// The first gives ε for a given R0; put into the second it leaves one equation,
// whose right side rises with R0: bisection. An aged battery is one with smaller
// ratings.
func solveBattery(p BatteryParams) (batterySolution, error) {
	if err := p.checkRanges(); err != nil {
		return batterySolution{}, err
	}
	crank := p.ColdCrankA * (1 - float64(ageCrankLoss*p.Age))
	minutes := p.ReserveMin * (1 - float64(ageReserveLoss*p.Age))
	s := batterySolution{capacity: reserveAmps * minutes * 60}

	drawn := crank * crankSeconds * powP(crank/reserveAmps, p.Peukert-1)
	s1 := 1 - drawn/(s.capacity*batteryCapacityFactor(crankTemperature))
	if s1 < 0.05 {
		return s, fmt.Errorf("%w: %g A of cold cranking for 30 s would empty a battery of %g min reserve; expected more reserve or less cranking",
			ErrBattery, p.ColdCrankA, p.ReserveMin)
	}
	emptyR := (OpenCircuitVoltage(0) - reserveEndVolts) / reserveAmps / crankResistanceFactor(reserveTemperature)
	crankR := CrankingResistance(crank, OpenCircuitVoltage(s1)) / crankResistanceFactor(crankTemperature)
	if crankR >= emptyR {
		return s, fmt.Errorf("%w: %g A of cold cranking is too weak for a battery that holds %g V at %g A",
			ErrBattery, p.ColdCrankA, reserveEndVolts, reserveAmps)
	}
	low, high := 0.0, crankR
	for range 200 {
		s.r0 = low + float64((high-low)/2)
		s.room = flatRise / (emptyR/s.r0 - 1)
		if s.r0*chargeResistanceFactor(s1, s.room) < crankR {
			low = s.r0
		} else {
			high = s.r0
		}
	}
	return s, nil
}

package model

// Published tables and rules about lead-acid batteries. Each names where it was
// printed; docs/validation.md says what of that has been seen.

var (
	chargeSteps = []float64{0, 0.25, 0.50, 0.75, 1}

	// Wet cells at 26.7 °C, table credited to BCI.
	openCircuit = curve{chargeSteps, []float64{11.89, 12.06, 12.24, 12.45, 12.65}}

	// The same table; also in US Army TM 5-4210-230-14&P-1.
	specificGravity = curve{chargeSteps, []float64{1.120, 1.155, 1.190, 1.225, 1.265}}

	// US Army TM 5-4210-230-14&P-1, table 2.
	freezing = curve{chargeSteps, []float64{-9.4, -15, -26.1, -37.2, -59.5}}

	// US Army TM 5-4210-230-14&P-1, table 3, fully charged. Below −28.8 °C the
	// last slope goes on to a floor of a tenth (invented), which it reaches at
	// −34.3 °C.
	crankingOutput = curve{
		[]float64{-34.3, -28.8, -17.8, 0, 26.7},
		[]float64{0.10, 0.20, 0.40, 0.65, 1.00},
	}

	// Industry table, 0 to 40 °C, relative to 25 °C. Below 0 °C the first slope
	// goes on to −40 °C (invented).
	capacityTemperature = []float64{-40, 0, 5, 10, 15, 20, 25, 30, 40}
	capacityLong        = curve{capacityTemperature, []float64{0.52, 0.84, 0.88, 0.90, 0.94, 0.99, 1, 1.03, 1.05}}
	capacityShort       = curve{capacityTemperature, []float64{0.40, 0.80, 0.85, 0.88, 0.92, 0.97, 1, 1.05, 1.10}}
)

// OpenCircuitVoltage returns the voltage of a rested 12 V battery, V, at a state
// of charge of 0 to 1, at 26.7 °C (table credited to BCI; straight lines
// between its quarters). The few millivolts that temperature changes are left
// out.
func OpenCircuitVoltage(charge float64) float64 { return openCircuit.at(charge) }

// SpecificGravity returns that of the acid at a state of charge of 0 to 1, at
// 26.7 °C (same table as OpenCircuitVoltage).
func SpecificGravity(charge float64) float64 { return specificGravity.at(charge) }

// FreezingPoint returns the temperature, °C, at which the acid freezes at a
// state of charge of 0 to 1 (US Army TM 5-4210-230-14&P-1, table 2).
func FreezingPoint(charge float64) float64 { return freezing.at(charge) }

// CrankingOutput returns the cranking current that is left at a temperature in
// °C, as a share of that at 26.7 °C (US Army TM 5-4210-230-14&P-1, table 3;
// below −28.8 °C invented). It does not agree with the rule of CrankingAmps:
// do not mix them.
func CrankingOutput(temperature float64) float64 { return crankingOutput.at(temperature) }

// CapacityFactor returns the ampere-hours that a discharge of the given minutes
// yields at a temperature in °C, relative to 25 °C (industry table, which has
// one row for below 30 and one for above 60 minutes; between them a straight
// line; below 0 °C invented).
func CapacityFactor(temperature, minutes float64) float64 {
	short, long := capacityShort.at(temperature), capacityLong.at(temperature)
	switch {
	case minutes <= 30:
		return short
	case minutes >= 60:
		return long
	}
	return short + float64((minutes-30)/30*(long-short))
}

// CrankingResistance returns the internal resistance, Ω, that leaves 7.2 V at
// the rated cold-cranking current in A, given the open-circuit voltage in V.
func CrankingResistance(coldCrankA, openCircuitV float64) float64 {
	return (openCircuitV - crankEndVolts) / coldCrankA
}

// CrankingAmps returns the rating at 0 °C, A, for a cold-cranking rating in A:
// 1.25 times as much (rule of thumb, published as 1.25 to 1.3).
func CrankingAmps(coldCrankA float64) float64 { return 1.25 * coldCrankA }

// LoadTestCurrent returns the current, A, of a workshop load test: half of the
// cold-cranking rating (common practice; vehicle service tables agree to 5 A).
func LoadTestCurrent(coldCrankA float64) float64 { return coldCrankA / 2 }

// PeukertHours returns the hours that a battery lasts at amps, by I^k·t = Cp.
// Cp is the capacity at 1 A, whatever the label says of 20 hours: for a label
// with an hour rate use PeukertRatedHours.
func PeukertHours(cp, exponent, amps float64) float64 {
	return cp / powP(amps, exponent)
}

// PeukertRatedHours returns the hours that a battery lasts at amps, when its
// label gives ampereHours at a discharge over ratedHours: t = T·(C/(I·T))^k.
func PeukertRatedHours(ampereHours, ratedHours, exponent, amps float64) float64 {
	return ratedHours * powP(ampereHours/(amps*ratedHours), exponent)
}

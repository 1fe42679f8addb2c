package logic

import (
	"math"

	"slatbench/sim"
)

// clock turns times in s into ticks of a controller: its value is the tick in s.
type clock float64

// ticks is a time in whole ticks, one at least.
func (k clock) ticks(seconds float64) int {
	return max(1, int(math.Round(seconds/float64(k))))
}

// limits is the tuning in ticks, pulses, converter counts and %.
type limits struct {
	supplyFloor             int // converter counts, summed over the filter
	closingDuty, slowDuty   uint8
	teachingDuty            uint8
	slowBelow, stopBefore   int
	topWindow, floorWindow  int
	sealDepth               int
	overrun, trim, least    int
	stallClosing, stallSlow int
	stallOpening            int
	graceClosing, graceUp   int
	closingAmps, openAmps   int // converter counts of the motor's current
	ratedSupply             int // converter counts
	idleAmps, loadedAmps    int
	closingWatch            int
	currentTime, currentOff int
	slowedTo                int // %
	leastPulses, mostPulses int // in the slowed span at full duty
	leastMilli              int // 1/1000 pulse a tick that a closing drive pays out, at full duty and closingSupply
	mostLag                 int // 1/1000 pulse
	closingSupply, lost     int // converter counts
	countedSupply           int // converter counts
	deadAmps                int // converter counts
	noAmps, borneAmps       int // converter counts
	slowsDown               int
	pause, slow, limit      int
	waking                  int
	runOut                  int
	stands, slowsTo, turns  int
	catchesUp               int
	runsDown, throwsBack    int
	edgeGives, motorGives   int
	flash, flashHalf        int
}

func newLimits(t *Tuning, k clock) limits {
	ticks := k.ticks
	pulses := func(metres float64) int { return int(math.Round(metres * t.PulsesAMetre)) }
	amps := func(a float64) int { return int(math.Round(a / sim.CurrentFullA * sim.ConverterMax)) }
	volts := func(v float64) int { return int(math.Round(v / sim.SupplyFullV * sim.ConverterMax)) }
	return limits{
		supplyFloor: int(math.Ceil(t.SupplyFloor / sim.SupplyFullV * sim.ConverterMax * float64(ticks(supplySpan)))),
		closingDuty: uint8(math.Round(t.ClosingDuty * 100)),
		slowDuty:    uint8(math.Round(t.SlowDuty * 100)), teachingDuty: uint8(math.Round(t.TeachingDuty * 100)),
		slowBelow: pulses(t.SlowBelow), stopBefore: pulses(t.StopBefore),
		sealDepth: pulses(sealDepth),
		topWindow: pulses(t.TopWindow), floorWindow: pulses(t.FloorWindow),
		overrun: pulses(t.Overrun), trim: pulses(t.Trim), least: pulses(t.LeastTravel),
		stallClosing: ticks(t.StallClosing), stallSlow: ticks(t.StallSlow), stallOpening: ticks(t.StallOpening),
		graceClosing: ticks(t.GraceClosing), graceUp: ticks(t.GraceOpening),
		closingAmps: amps(t.ClosingAmps), openAmps: amps(t.OpeningAmps), closingWatch: pulses(t.ClosingWatch),
		idleAmps: amps(t.IdleAmps), loadedAmps: amps(t.LoadedAmps),
		ratedSupply:   volts(ratedSupply),
		slowedTo:      int(math.Round(t.SlowedTo * 100)),
		leastPulses:   pulses(t.LeastSpeed * float64(ticks(t.SlowedSpan)) * float64(k)),
		mostPulses:    pulses(t.MostSpeed * float64(ticks(t.SlowedSpan)) * float64(k)),
		leastMilli:    int(math.Round(t.LeastSpeed * t.PulsesAMetre * float64(k) * 1000)),
		mostLag:       pulses(t.MostLag) * 1000,
		closingSupply: volts(closingSupply), countedSupply: volts(countedSupply), lost: volts(lostVolts), deadAmps: amps(deadAmps),
		noAmps: amps(noAmps), borneAmps: amps(borneAmps), slowsDown: ticks(slowsDown),
		currentTime: ticks(t.CurrentTime), currentOff: ticks(t.CurrentAfter),
		pause: ticks(t.Pause), slow: ticks(t.SlowTravel), limit: ticks(t.TravelLimit), waking: ticks(t.Waking),
		runOut: ticks(runOut), stands: ticks(stands), slowsTo: ticks(slowsTo), turns: ticks(turns),
		catchesUp: ticks(catchesUp), runsDown: pulses(runsDown), throwsBack: pulses(throwsBack),
		edgeGives: ticks(edgeGives), motorGives: ticks(motorGives),
		flash: ticks(flashTime), flashHalf: ticks(flashHalf),
	}
}

package soak

import (
	"math"

	"slatbench/sim"
)

// watch is an observer of one bay: what the figures of sim do not keep, and how
// long nothing at all has happened.
type watch struct {
	bay int

	drawn     float64 // A·s out of the battery
	longest   float64 // s, energised in one direction without a break
	hottest   float64 // °C of the winding
	starts    int     // times energised
	reversals int     // energised up after down, with no press between
	openTime  float64 // s, energised at one end to arrived at the other, of the last
	closeTime float64 // … travel; NaN if there was none. Running out counts
	fullFrom  int     // direction of a travel that began at an end and has not arrived; 0 none

	dir     int   // energised now
	went    int   // energised last
	since   int64 // step
	began   int64 // step of the start of that travel
	pressed int64 // step of the press that was the last when it was energised last
	last    int64 // step up to which drawn is summed
	calm    int64 // ticks in which nothing happened, in a row
}

// reset begins a new cycle.
func (w *watch) reset() {
	w.drawn, w.longest, w.hottest, w.starts, w.reversals = 0, 0, math.Inf(-1), 0, 0
	w.openTime, w.closeTime, w.fullFrom = math.NaN(), math.NaN(), 0
}

// Step implements sim.Stepper.
func (w *watch) Step(b *sim.Bench) {
	w.drawn += float64(b.Truck.TotalCurrent * b.Seconds(b.Now-w.last))
	w.last = b.Now
	bay := &b.Truck.Bays[w.bay]
	if bay.WindingTemp > w.hottest {
		w.hottest = bay.WindingTemp
	}
	low := bay.Height <= sim.ClosedTolerance
	high := bay.Height >= bay.Params.Track.Opening-sim.OpenTolerance
	w.arrive(b, low, high)
	if bay.Energised == w.dir {
		return
	}
	w.runEnds(b)
	if bay.Energised != 0 {
		w.starts++
		w.fullFrom = 0
		if bay.Energised > 0 && low || bay.Energised < 0 && high {
			w.fullFrom, w.began = bay.Energised, b.Now
		}
		if bay.Energised > 0 && w.went < 0 && w.pressed == b.PressedAt[w.bay] {
			w.reversals++
		}
		w.went, w.pressed = bay.Energised, b.PressedAt[w.bay]
	}
	w.dir, w.since = bay.Energised, b.Now
}

// arrive keeps the time of a full travel.
func (w *watch) arrive(b *sim.Bench, low, high bool) {
	switch {
	case w.fullFrom > 0 && high:
		w.openTime, w.fullFrom = b.Seconds(b.Now-w.began), 0
	case w.fullFrom < 0 && low:
		w.closeTime, w.fullFrom = b.Seconds(b.Now-w.began), 0
	}
}

// runEnds keeps the length of a run that is over.
func (w *watch) runEnds(b *sim.Bench) {
	if w.dir != 0 {
		w.longest = math.Max(w.longest, b.Seconds(b.Now-w.since))
	}
}

// Tick implements sim.Observer.
func (w *watch) Tick(b *sim.Bench) {
	w.calm++
	for i := range b.Truck.Bays {
		o := b.Outputs(i)
		if !b.Truck.Bays[i].AtRest() || o.Enable || o.Up || o.Down || o.Tone || o.Write {
			w.calm = 0
		}
	}
	o := b.LockOutputs()
	if o.Tone || o.Write || !b.LocksAwake() && b.Truck.NodeVolts > b.Setup().Ratings.Restart {
		w.calm = 0
	}
	for s := range o.Sides {
		if o.Sides[s].Drive != 0 {
			w.calm = 0
		}
	}
}

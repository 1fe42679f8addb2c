package sim

import "math"

// OpenTolerance is how far below the open stop, in m, a door counts as open, and
// ClosedTolerance how far above the sill it counts as closed.
const (
	OpenTolerance   = 0.050
	ClosedTolerance = 0.015
)

// BayFigures is what a run did to one bay.
type BayFigures struct {
	OpenTime, CloseTime float64 // s, of the last full run each way from energised to arrived; NaN if none
	MinSupply           float64 // V at the controller, after its start
	PeakCurrent         float64 // A in the motor
	PeakContact         float64 // N on an obstruction
	PeakSlack           float64 // m
	Height              float64 // m, at the end
	Counts              int     // as the controller believes, at the end
	Starts              int     // times that the motor was energised

	runSince int64
	runDir   int
	fromEnd  bool
}

// Figures is an observer that keeps the figures of every bay.
type Figures struct{ Bays []BayFigures }

// NewFigures for so many bays.
func NewFigures(bays int) *Figures {
	f := &Figures{Bays: make([]BayFigures, bays)}
	for i := range f.Bays {
		f.Bays[i] = BayFigures{OpenTime: math.NaN(), CloseTime: math.NaN(), MinSupply: math.Inf(1)}
	}
	return f
}

// Tick implements Observer.
func (f *Figures) Tick(b *Bench) {
	for i := range f.Bays {
		if t, ok := b.doors[i].controller.(Teller); ok {
			f.Bays[i].Counts = t.Counts()
		}
	}
}

// Step implements Stepper.
func (f *Figures) Step(b *Bench) {
	for i := range f.Bays {
		bay, g := &b.Truck.Bays[i], &f.Bays[i]
		if bay.Supply < g.MinSupply {
			g.MinSupply = bay.Supply
		}
		g.Height = bay.Height
		if bay.AtRest() && g.runDir == 0 {
			continue
		}
		if c := math.Abs(bay.MotorCurrent); c > g.PeakCurrent {
			g.PeakCurrent = c
		}
		if bay.ContactForce > g.PeakContact {
			g.PeakContact = bay.ContactForce
		}
		if s := bay.Slack(); s > g.PeakSlack {
			g.PeakSlack = s
		}
		if bay.Energised != g.runDir || g.fromEnd {
			f.time(b, i)
		}
	}
}

// time keeps the times of full runs: from energised at one end to arrived at the other.
func (f *Figures) time(b *Bench, i int) {
	bay, g := &b.Truck.Bays[i], &f.Bays[i]
	low := bay.Height <= ClosedTolerance
	high := bay.Height >= bay.Params.Track.Opening-OpenTolerance
	if bay.Energised != g.runDir {
		g.runDir, g.runSince = bay.Energised, b.Now
		g.fromEnd = bay.Energised > 0 && low || bay.Energised < 0 && high
		if bay.Energised != 0 {
			g.Starts++
		}
	}
	if !g.fromEnd {
		return
	}
	if g.runDir > 0 && high {
		g.OpenTime, g.fromEnd = b.Seconds(b.Now-g.runSince), false
	}
	if g.runDir < 0 && low {
		g.CloseTime, g.fromEnd = b.Seconds(b.Now-g.runSince), false
	}
}

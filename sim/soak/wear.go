package soak

import (
	"math"

	"slatbench/model"
)

// perThousand turns a growth a thousand cycles into one a cycle.
const perThousand = 1.0 / 1000

// Relaxation is the loss of a spring's force with the cycles it has made. The
// share that is left after n cycles is
//
//	exponential: 1 − loss·(1 − e^(−n/over))   settles at 1 − loss
//	logarithmic: 1 − loss·log10(1 + n/over)   loses 'loss' at n = 9·over, and as much again every tenfold
//
// and never below 0. Springs under load are known to relax fast at first and ever
// more slowly, which both shapes do; which fits, and the figures, depend on wire,
// stress and heat, and are invented here.
type Relaxation struct {
	Law  string  `yaml:"law" words:"exponential, logarithmic" default:"exponential" doc:"the shape of the loss"`
	Loss float64 `yaml:"loss" unit:"ratio" range:"[0 %,100 %]" default:"0 %" doc:"exponential: the share lost in the end; logarithmic: lost in nine times 'over', and again in every tenfold"`
	Over float64 `yaml:"over" unit:"cycles" range:"[1 cycles,1000000 cycles]" default:"1000 cycles" doc:"the cycles that the loss is told by"`
}

// Left is the share of the force that is left after n cycles, 0 to 1.
func (r Relaxation) Left(n int) float64 {
	if r.Loss == 0 || n == 0 {
		return 1
	}
	x := float64(n) / r.Over
	gone := 1 - model.Exp(-x)
	if r.Law == "logarithmic" {
		gone = model.Log10(1 + x)
	}
	return math.Max(0, 1-float64(r.Loss*gone))
}

// Dirt is dry friction that grows evenly with the cycles, up to a most: dust and
// dried grease in the track. Common practice, invented figures.
type Dirt struct {
	Growth float64 `yaml:"growth" unit:"ratio" range:"[0 %,10000 %]" default:"0 %" doc:"of the dry friction as built, added in a thousand cycles"`
	Most   float64 `yaml:"most" unit:"ratio" range:"[100 %,1000 %]" default:"300 %" doc:"of the dry friction as built; more is not reached"`
}

// Factor is the dry friction after n cycles over that as built.
func (d Dirt) Factor(n int) float64 {
	f := 1 + float64(d.Growth*float64(n)*perThousand)
	if d.Growth > 0 {
		f = math.Min(f, math.Max(1, d.Most))
	}
	return f
}

// EncoderDrift is the draw-wire encoder losing its hold, in two ways. The wire
// slips on the wheel, on the way down, on the way up or on both; the share grows
// evenly. And the magnet gap opens, so that some pulses of a turn are lost above
// a speed, which falls evenly. Both are ways that such encoders fail; the figures
// are invented.
type EncoderDrift struct {
	Slip       float64 `yaml:"slip" unit:"ratio" range:"[0 %,50 %]" default:"0 %" doc:"share of the wire's movement that is missed at first"`
	SlipGrowth float64 `yaml:"slip growth" unit:"ratio" range:"[0 %,100 %]" default:"0 %" doc:"added to it in a thousand cycles"`
	While      string  `yaml:"slips while" words:"closing, opening, both" default:"closing" doc:"the way on which it slips"`
	GapPulses  int     `yaml:"gap pulses" unit:"pulses" range:"[0 pulses,10000 pulses]" default:"0 pulses" doc:"pulses of each turn at which the magnet gap is too wide"`
	GapSpeed   float64 `yaml:"gap speed" unit:"speed" range:"[0 m/s,10 m/s]" default:"1 m/s" doc:"above it they are lost, at first"`
	GapFall    float64 `yaml:"gap speed loss" unit:"speed" range:"[0 m/s,10 m/s]" default:"0 m/s" doc:"by which that speed falls in a thousand cycles"`
}

// mostSlip keeps a slipping wheel from standing still, where no law holds.
const mostSlip = 0.5

// SlipAfter is the share of the wire's movement that is missed after n cycles, on
// the way up or down.
func (e EncoderDrift) SlipAfter(n int, up bool) float64 {
	if up && e.While == "closing" || !up && e.While != "both" && e.While != "closing" {
		return 0
	}
	return math.Min(mostSlip, e.Slip+float64(e.SlipGrowth*float64(n)*perThousand))
}

// GapSpeedAfter is the speed, m/s, above which gap pulses are lost after n cycles.
func (e EncoderDrift) GapSpeedAfter(n int) float64 {
	return math.Max(0, e.GapSpeed-float64(e.GapFall*float64(n)*perThousand))
}

// BatteryWear is the battery growing old evenly with the cycles. Invented.
type BatteryWear struct {
	Aging float64 `yaml:"aging" unit:"ratio" range:"[0 %,100 %]" default:"0 %" doc:"share of its service life used up in a thousand cycles"`
}

// Age is that of the battery after n cycles, 0 to 1, from the age at first.
func (w BatteryWear) Age(first float64, n int) float64 {
	return math.Min(1, first+float64(w.Aging*float64(n)*perThousand))
}

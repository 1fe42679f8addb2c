package validation

import (
	"math"
	"slices"
)

// A channel is how one quantity of a trace is judged.
type channel struct {
	name, title, unit string
	// tolerance is the greatest difference allowed, as a share of the scale: the
	// range of the reference over the case, or least where it hardly moves.
	tolerance, least float64
	plot             bool
}

// Height and current to 1 %, tension and contact force to 3 %; the others, which are
// a derivative or a difference of two lengths, to 3 %.
var channels = []channel{
	{"height_m", "height", "m", 0.01, 0.1, true},
	{"speed_m_s", "speed", "m/s", 0.03, 0.05, false},
	{"current_a", "current", "A", 0.01, 1, true},
	{"supply_v", "supply", "V", 0.01, 1, false},
	{"cable_n", "cable tension", "N", 0.03, 100, true},
	{"slack_m", "slack cable", "m", 0.03, 0.02, false},
	{"contact_n", "contact force", "N", 0.03, 100, true},
	{"bar_m", "lock bar", "m", 0.01, 0.01, true},
	{"node_v", "node", "V", 0.01, 1, true},
	{"charge", "charge", "of full", 0.01, 0.1, true},
	{"terminal_v", "terminal voltage", "V", 0.01, 1, true},
}

// band is how far in time a value may look for its equal, s: two steps.
const band = 2e-3

// A difference says how far a trace lies from the reference in one channel. All but
// scale are shares of scale.
type difference struct {
	scale  float64
	at     float64 // greatest difference at one instant, with no band
	within float64 // greatest distance to what the reference runs through within the band
	peak   float64 // of the greatest and the least value, wherever they are
	mean   float64 // of the differences' sizes, with no band
}

// holds tells whether the difference is allowed. The band in time lets a steep flank
// come a step early; it must not excuse a wrong height of the flank or a lasting
// error, so peaks and mean are judged with no band.
func (d difference) holds(c channel) bool {
	// Written so that NaN fails.
	return d.within <= c.tolerance && d.peak <= c.tolerance && d.mean <= c.tolerance/2
}

// compare needs the same grid on both sides.
func compare(c channel, t, got, want []float64) difference {
	low, high := slices.Min(want), slices.Max(want)
	d := difference{scale: math.Max(high-low, c.least)}
	from, to := 0, 0
	for i, v := range got {
		for t[i]-t[from] > band*1.000001 {
			from++
		}
		for to+1 < len(t) && t[to+1]-t[i] <= band*1.000001 {
			to++
		}
		near := want[from : to+1]
		outside := math.Max(0, math.Max(slices.Min(near)-v, v-slices.Max(near)))
		d.within = math.Max(d.within, outside)
		d.at = math.Max(d.at, math.Abs(v-want[i]))
		d.mean += math.Abs(v-want[i]) / float64(len(got))
	}
	d.peak = math.Max(math.Abs(slices.Max(got)-high), math.Abs(slices.Min(got)-low))
	for _, x := range []*float64{&d.at, &d.within, &d.peak, &d.mean} {
		*x /= d.scale
	}
	return d
}

package rules

import (
	"fmt"
	"math"
	"slices"

	"slatbench/sim/logic"
)

// Limit is what a threshold or time must keep, alone, so that a requirement can be kept.
type Limit struct {
	Key         string  // as in the file
	Least, Most float64 // SI; ±Inf where there is none
	Why         string
	Hands       bool // it keeps a requirement that keeps people or the load from harm
}

// Limits are the figures of docs/requirements.md, where their sources stand.
var Limits = []Limit{
	{"supply floor", 10.9, math.Inf(1), "supply-guard: no start below 10.9 V", true},
	{"supply floor", math.Inf(-1), 11.15, "alarm: low-supply is wrong from 11.15 V on", false},
	{"floor window", math.Inf(-1), 0.0254, "obstruction-reversal: things 25.4 mm high are no floor", true},
	{"stop before", math.Inf(-1), 0.05, "open is within 50 mm of the stop", false},
	{"top window", math.Inf(-1), 0.07, "alarm: a curtain that is held more than 20 mm short of open, which is 50 mm from the stop, is to be told of", false},
	{"stall closing", math.Inf(-1), 0.5, "close-cut: 0.5 s", true},
	{"stall closing", 0.06, math.Inf(1), "alarm: pulses that miss for less than 60 ms are no stop", false},
	{"stall slow", math.Inf(-1), 0.5, "close-cut: 0.5 s", true},
	{"stall slow", 0.06, math.Inf(1), "alarm: pulses that miss for less than 60 ms are no stop", false},
	{"stall opening", math.Inf(-1), 0.7, "alarm: a curtain that stands is to be told of after 0.7 s and 1 s", true},
	{"stall opening", 0.06, math.Inf(1), "alarm: pulses that miss for less than 60 ms are no stop", false},
	{"grace closing", math.Inf(-1), 0.375, "slack-limit: 150 mm are paid out in 0.375 s", true},
	{"grace closing", 0.15, math.Inf(1), "alarm: no-motion is wrong in the first 150 ms", false},
	{"grace opening", math.Inf(-1), 1.7, "alarm: a curtain that stands is to be told of after 0.7 s and 1 s", false},
	{"closing current", 2.5, math.Inf(1), "alarm: obstruction-closing is wrong below 2.5 A", false},
	{"most lag", math.Inf(-1), 0.15, "slack-limit: 150 mm", true},
	{"opening current", 14, math.Inf(1), "alarm: stalled-opening is wrong below 14 A", false},
	{"current time", math.Inf(-1), 0.5, "close-cut: 0.5 s", true},
	{"current time", 0.05, math.Inf(1), "alarm: a motor that labours for less than 50 ms is not held up", false},
	{"current after", 0.3, math.Inf(1), "alarm: what a motor takes in its first 0.3 s is no sign", false},
	{"pause", 0.1, math.Inf(1), "dead-time: 100 ms", true},
	{"pause", math.Inf(-1), 1.5, "obstruction-reversal: up within 2.0 s, of which 0.5 s may be gone", true},
	{"slow travel", 7.5, 8.2, "alarm: slow-travel is wrong up to 7.5 s, and wanted from 8.2 s on", false},
	{"travel limit", math.Inf(-1), 15, "travel-timeout: 15 s", true},
	{"travel limit", 12, math.Inf(1), "service: a door that takes 12 s still serves", false},
	{"waking", 0.1, 0.3, "alarm: awake for 0.3 s a press is answered, by a supply that was averaged over 100 ms", false},
	{"lock limit", math.Inf(-1), 4, "lock-fault: 4 s without arriving", true},
	{"lock settle", math.Inf(-1), 0.9, "no-surprise: a bar starts within 1.0 s of its request", true},
}

// order is two keys of which the first must be the smaller, or more than it by so much.
type order struct {
	less, more string
	by         func(t *logic.Tuning) float64 // SI; nil is any
	why        string
}

var orders = []order{
	{"slow duty", "closing duty", nil, "slow is slower"},
	{"stop before", "top window", threePulses, "a door that ends by the count is open, though three pulses be lost"},
	{"slow below", "least travel", nil, "a door has a way to go fast"},
	{"floor window", "slow below", nil, "a door is slow before its floor can be believed"},
	{"least speed", "most speed", nil, "the one is the least, the other the most"},
	{"idle current", "loaded current", nil, "a motor that drives nothing carries nothing"},
	{"loaded current", "opening current", nil, "what lifts is not held up yet"},
	{"closing current", "opening current", nil, "closing takes less than opening"},
	{"slow travel", "travel limit", nil, "a run is told to be slow before it ends"},
	{"lock leave", "lock stroke", nil, "a bar leaves before it arrives"},
	{"lock stroke", "lock limit", nil, "a bar that is brought back is given up only after it"},
}

// threePulses is what one channel miscounts where a curtain runs out and turns, in m.
func threePulses(t *logic.Tuning) float64 { return 3 / t.PulsesAMetre }

var tuningRules = []Rule{
	{"tuning limits", "Each threshold and time keeps the limit that a requirement sets for it.",
		"Past it the requirement is broken wherever it is put to the test.", (*view).tuningLimits},
	{"tuning order", "Thresholds and times that belong together keep their order.",
		"Out of it, one of the two can never speak.", (*view).tuningOrder},
	{"tuning pulses", "'trim' is one pulse, and 'floor window' the three pulses that one channel may miscount, or more.",
		"More trim hides an encoder that loses pulses; less window takes a floor for an obstruction.", (*view).tuningPulses},
}

func (v *view) tuningLimits() {
	for _, l := range Limits {
		if x := v.tuning.Value(l.Key); x < l.Least || x > l.Most {
			v.at(l.Key, "%s", l.Why)
		}
	}
}

func (v *view) tuningOrder() {
	for _, o := range orders {
		by := 0.0
		if o.by != nil {
			by = o.by(v.tuning)
		}
		if less, more := v.tuning.Value(o.less), v.tuning.Value(o.more); less >= more || less+by > more+1e-9 {
			v.at(o.less, "is not far enough below '%s': %s", o.more, o.why)
		}
	}
}

func (v *view) tuningPulses() {
	t := v.tuning
	if n := math.Round(t.Trim * t.PulsesAMetre); n != 1 {
		v.at("trim", "comes to %g pulses, not 1", n)
	}
	if n := math.Round(t.FloorWindow * t.PulsesAMetre); n < 3 {
		v.at("floor window", "comes to %g pulses, fewer than 3", n)
	}
}

// Past says which limit a value of a key is past, of those that keep people or the load
// from harm; or nothing.
func Past(key string, value float64) string {
	i := slices.IndexFunc(Limits, func(l Limit) bool { return l.Key == key && l.Hands && (value < l.Least || value > l.Most) })
	if i < 0 {
		return ""
	}
	return fmt.Sprintf("it is past the limit of %s", Limits[i].Why)
}

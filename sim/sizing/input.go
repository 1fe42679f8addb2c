package sizing

import (
	"math"

	"slatbench/model"
)

// Input is one figure of a question that can be varied: an axis of a study, or a
// tolerance.
type Input struct {
	Name      string
	Dimension string // of package scenarios; "temperature" is kept in °C here
	Unit      string // that figures are shown in, and
	Scale     float64
	Doc       string
	Low, High float64                   // what Check takes
	Whole     bool                      // whole numbers only
	Get       func(q *Question) float64 // NaN where the question has no such figure
	Set       func(q *Question, x float64)
}

// Inputs lists them. Set leaves what Check refuses for Check to refuse.
var Inputs = []Input{
	{"temperature", "temperature", "°C", 1, "of air, battery and grease", -40, 60, false,
		func(q *Question) float64 { return q.Ambient.Temperature }, func(q *Question, x float64) { q.Ambient.Temperature = x }},
	{"grade", "ratio", "%", 100, "of the ground; positive lifts the roof end of a curbside track", -0.2, 0.2, false,
		func(q *Question) float64 { return q.Ambient.Grade }, func(q *Question, x float64) { q.Ambient.Grade = x }},
	{"charge", "ratio", "%", 100, "of the battery", 0, 1, false,
		func(q *Question) float64 { return q.Charge }, func(q *Question, x float64) { q.Charge = x }},
	{"battery age", "ratio", "%", 100, "0 new, 100 % at the end of its service life", 0, 1, false,
		func(q *Question) float64 { return q.Battery.Age }, func(q *Question, x float64) { q.Battery.Age = x }},
	{"cold cranking", "current", "A", 1, "of the battery", 50, 2000, false,
		func(q *Question) float64 { return q.Battery.ColdCrankA }, func(q *Question, x float64) { q.Battery.ColdCrankA = x }},
	{"accessories", "current", "A", 1, "what else the truck takes", -200, 200, false,
		func(q *Question) float64 { return q.Loads }, func(q *Question, x float64) { q.Loads = x }},
	{"gauge", "wire gauge", "AWG", 1, "of the harness", model.AWG4Over0, 30, true,
		func(q *Question) float64 {
			if h := q.wired(); h != nil {
				return float64(h.Gauge)
			}
			return math.NaN()
		}, func(q *Question, x float64) {
			if h := q.wired(); h != nil {
				h.Gauge = int(math.Round(x))
			}
		}},
	{"harness length", "length", "m", 1, "of the harness, copper there and back together", 0, 200, false,
		func(q *Question) float64 {
			if h := q.wired(); h != nil {
				return h.Copper
			}
			return math.NaN()
		}, func(q *Question, x float64) {
			if h := q.wired(); h != nil {
				h.Copper = x
			}
		}},
	{"connectors", "resistance", "mΩ", 1000, "of the harness, all together", 0, 10, false,
		func(q *Question) float64 { return q.Feed.Connectors }, func(q *Question, x float64) { q.Feed.Connectors = x }},
	{"mass", "mass", "kg", 1, "of the curtain", 1, 500, false,
		func(q *Question) float64 { return q.Bay.Curtain.Mass }, func(q *Question, x float64) { q.Bay.Curtain.Mass = x }},
	{"height", "length", "m", 1, "of the opening", 0.2, 10, false,
		func(q *Question) float64 { return q.Bay.Track.Opening }, func(q *Question, x float64) { q.Bay.Track.Opening = x }},
	{"bend", "length", "mm", 1000, "radius of the track's bend", 0.01, 2, false,
		func(q *Question) float64 { return q.Bay.Track.Bend }, func(q *Question, x float64) { q.Bay.Track.Bend = x }},
	{"drum radius", "length", "mm", 1000, "of the cable drums", 0.01, 0.5, false,
		func(q *Question) float64 { return q.Bay.Counterbalance.DrumRadius }, func(q *Question, x float64) { q.Bay.Counterbalance.DrumRadius = x }},
	{"friction", "ratio", "%", 100, "dry and viscous friction of the track, of what is stated", 0, 50, false,
		func(q *Question) float64 { return q.FrictionFactor }, func(q *Question, x float64) { q.FrictionFactor = x }},
	{"closing spring", "force", "N", 1, "preload of the closing spring", 0, 1000, false,
		func(q *Question) float64 { return q.Bay.ClosingSpring.Preload }, func(q *Question, x float64) { q.Bay.ClosingSpring.Preload = x }},
	{"initial turns", "turns", "turns", 1, "wound on at closed", 0, mostTurns, false,
		func(q *Question) float64 { return q.Bay.Counterbalance.InitialTurns }, func(q *Question, x float64) { q.Bay.Counterbalance.InitialTurns = x }},
	{"spring rate", "torque per turn", "N·m/turn", 1, "of all springs together", 1e-3, 500, false,
		func(q *Question) float64 { return q.Rate() }, func(q *Question, x float64) { q.RateFactor *= x / q.Rate() }},
	{"wire", "length", "mm", 1000, "diameter of the wire of every spring, inside diameter and coils kept", thinnest, thickest, false,
		func(q *Question) float64 { return ofFirst(q, func(s *Spring) float64 { return s.Wire.Wire }) },
		func(q *Question, x float64) {
			for i := range q.Springs {
				w := &q.Springs[i].Wire
				w.MeanDia, w.Wire = w.InnerDia()+x, x
				q.Springs[i].Body = 0
			}
		}},
	{"coils", "number", "coils", 1, "of every spring", leastCoils, 1000, false,
		func(q *Question) float64 { return ofFirst(q, func(s *Spring) float64 { return s.Wire.Coils }) },
		func(q *Question, x float64) {
			for i := range q.Springs {
				q.Springs[i].Wire.Coils, q.Springs[i].Body = x, 0
			}
		}},
	{"motor resistance", "resistance", "mΩ", 1000, "winding and brushes at 20 °C", 0.01, 100, false,
		func(q *Question) float64 { return q.Bay.Drive.Resistance }, func(q *Question, x float64) { q.Bay.Drive.Resistance = x }},
	{"gear ratio", "number", "to 1", 1, "motor turns a shaft turn", 1, 2000, false,
		func(q *Question) float64 { return q.Bay.Drive.Ratio }, func(q *Question, x float64) { q.Bay.Drive.Ratio = x }},
	{"gear efficiency", "ratio", "%", 100, "of the gears", 0.2, 1, false,
		func(q *Question) float64 { return q.Bay.Drive.Efficiency }, func(q *Question, x float64) { q.Bay.Drive.Efficiency = x }},
	{"cycles an hour", "cycles", "cycles", 1, "opened and closed", 0, 120, false,
		func(q *Question) float64 { return q.Use.CyclesAnHour }, func(q *Question, x float64) { q.Use.CyclesAnHour = x }},
}

func ofFirst(q *Question, of func(*Spring) float64) float64 {
	if len(q.Springs) == 0 {
		return math.NaN()
	}
	return of(&q.Springs[0])
}

// wired is the harness that is known by gauge and length: the feed, else the branch.
func (q *Question) wired() *Harness {
	switch {
	case q.Feed.Wired:
		return &q.Feed
	case q.Branch.Wired:
		return &q.Branch
	}
	return nil
}

// FindInput returns the input of a name, or nil.
func FindInput(name string) *Input {
	for i := range Inputs {
		if Inputs[i].Name == name {
			return &Inputs[i]
		}
	}
	return nil
}

// InputNames lists the names.
func InputNames() []string {
	var names []string
	for i := range Inputs {
		names = append(names, Inputs[i].Name)
	}
	return names
}

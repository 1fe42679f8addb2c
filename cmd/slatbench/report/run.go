package report

import (
	"math"
	"slices"
	"strings"

	"slatbench/model"
	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// Run is what the report of a run is made from. Nothing of it is changed.
type Run struct {
	Scenario *scenarios.Scenario
	Result   *scenarios.Result
	Series   *Series // that watched the run
	Version  string  // of the program
	Replay   string  // the command that gives the same run again
}

func (r *Run) truck() *model.TruckParams { return &r.Series.setup.Truck }

// bay is the index of a bay by its name, or -1.
func (r *Run) bay(name string) int {
	return slices.IndexFunc(r.truck().Bays, func(b model.BayParams) bool { return b.Name == name })
}

func (r *Run) bayName(i int) string { return r.truck().Bays[i].Name }

func (r *Run) seconds(step int64) float64 { return float64(step) * r.Series.step }
func (r *Run) duration() float64          { return r.seconds(r.Series.end) }

// faultMark is a fault, or an event, with where it is and when.
type faultMark struct {
	kind, place, values string
	bay, side           int // index, or -1; both -1 is the whole truck
	from, to            float64
	stays               bool // to the end of the run
	event               bool
}

// faults lists what was wrong or in the way, in the order of the scenario.
func (r *Run) faults() []faultMark {
	var list []faultMark
	for i := range r.Scenario.Faults {
		f := &r.Scenario.Faults[i]
		m := faultMark{
			kind: f.Kind.Name, place: f.Place, values: faultValues(f), bay: -1, side: -1,
			from: f.From, to: f.Until, stays: f.Until == 0 || f.Until >= r.duration(), event: f.Kind.Event,
		}
		if m.stays {
			m.to = r.duration()
		}
		switch f.Kind.Place {
		case fault.OnBay:
			m.bay, m.place = r.bay(f.Place), "bay "+f.Place
		case fault.OnSide:
			m.side = 0
			if f.Place != sideName(0) {
				m.side = 1
			}
		}
		list = append(list, m)
	}
	return list
}

// faultValues writes how bad a fault is, what the scenario leaves out included.
func faultValues(f *scenarios.FaultItem) string {
	var parts []string
	for i := range f.Kind.Params {
		p := &f.Kind.Params[i]
		value, given := f.Values[p.Name]
		if !given {
			value = p.Default
		}
		if p.Words != nil {
			parts = append(parts, p.Name+" "+p.Words[int(value)])
			continue
		}
		parts = append(parts, p.Name+" "+quantity(value, p.Unit))
	}
	return strings.Join(parts, ", ")
}

// at tells whether a fault concerns a bay.
func (m *faultMark) at(r *Run, bay int) bool {
	switch {
	case m.bay >= 0:
		return m.bay == bay
	case m.side >= 0:
		return int(r.truck().Bays[bay].Side) == m.side
	}
	return true
}

// heardAt tells whether an alarm was that of a bay, or of the lock controller.
func (r *Run) heardAt(h *scenarios.HeardAlarm, bay int) bool {
	if bay == sim.LockPost {
		return h.Bay == ""
	}
	return h.Bay == r.bayName(bay)
}

// pulses is how many pulses an alarm had; one that was cut off had at least so many.
func pulses(h *scenarios.HeardAlarm) string {
	text := short(float64(h.Alarm), 3)
	if h.CutOff {
		return "≥ " + text
	}
	return text
}

// alarmName is the name of an alarm; one that the end of the run cut off has none.
func alarmName(h *scenarios.HeardAlarm) string {
	if h.CutOff {
		return "cut off by the end of the run"
	}
	return h.Alarm.String()
}

func sideName(side int) string { return model.Side(side).String() }

// unshown tells that a figure does not exist.
func unshown(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }

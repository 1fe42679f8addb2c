package report

import (
	"fmt"
	"math"

	"slatbench/sim"
)

// bayFigure is all plots of one bay over one time axis.
func (r *Run) bayFigure(bay int) string {
	f := newFigure(r.duration(), r.Series.step)
	s, p := r.Series, &r.truck().Bays[bay]
	r.markFaults(f, bay)
	r.markAlarms(f, bay)
	presses := r.pressMarks(bay)
	f.presses(presses)
	f.band("state", s.bays[bay].state.Finish(s.end), stateClass)
	f.band("drive", s.bays[bay].drive.Finish(s.end), func(_ int, s *Span) string { return "drive-" + s.Word })
	for i := range presses {
		f.lines = append(f.lines, mark{from: presses[i].from, class: "at-press"})
	}
	for _, p := range r.bayPanels(bay) {
		f.add(s.env, &p)
	}
	return f.done(fmt.Sprintf("Bay %s over %s: height, speed, current, supply and forces", p.Name, f.clock(r.duration())))
}

func stateClass(i int, s *Span) string {
	if s.Word == noPower {
		return "state-dark"
	}
	if i%2 == 0 {
		return "state-a"
	}
	return "state-b"
}

// bayPanels are the plots of a bay; forces that never came about have none.
func (r *Run) bayPanels(bay int) []panel {
	s, p := r.Series, &r.truck().Bays[bay]
	one := func(c int) []curve { return []curve{{channel: s.channel(bay, c), class: "c1"}} }
	list := []panel{
		{title: "Height of the bottom edge, m", factor: 1, height: 132, least: 0.5, zero: true,
			curves: []curve{{s.channel(bay, chHeight), "true", "c1"}, {s.channel(bay, chCounted), "counted", "c2"}},
			levels: []level{{p.Track.Opening, "open", "dim"}}},
		{title: "Speed, m/s (up positive)", factor: 1, height: 58, least: 0.1, zero: true, curves: one(chSpeed)},
		{title: "Motor current, A (winding up positive)", factor: 1, height: 70, least: 1, zero: true, curves: one(chCurrent)},
		{title: "Supply at the controller, V", factor: 1, height: 58, least: 1, curves: one(chSupply),
			levels: []level{{10.9, "start limit", "dim"}, {sim.DefaultRatings().BrownOut, "brown-out", "bad"}}},
		{title: "Cable tension, N (both cables)", factor: 1, height: 62, least: 50, zero: true, curves: one(chCable)},
	}
	if s.peak(bay, chSlack) >= leastSlack {
		list = append(list, panel{title: "Slack cable, mm", factor: 1000, height: 52, least: 10, zero: true, curves: one(chSlack),
			levels: []level{{150, "limit", "bad"}}})
	}
	contact, floor := s.peak(bay, chContact) > 0, s.peak(bay, chFloor) > 0
	forces := panel{factor: 1, height: 66, least: 50, zero: true}
	switch {
	case contact && floor:
		forces.title = "Force on the edge, N"
		forces.curves = []curve{{s.channel(bay, chContact), "object", "c1"}, {s.channel(bay, chFloor), "floor", "c2"}}
	case contact:
		forces.title, forces.curves = "Force on an object, N", one(chContact)
	case floor:
		forces.title, forces.curves = "Force on the floor, N", one(chFloor)
	default:
		return list
	}
	if contact {
		forces.levels = []level{{400, "400 N", "bad"}, {150, "150 N", "dim"}}
	}
	return append(list, forces)
}

// leastSlack is the slack, m, from which it has a plot: less is the stretch of a taut cable.
const leastSlack = 0.001

func (s *Series) peak(bay, c int) float64 {
	_, hi := s.env.Range(s.channel(bay, c))
	return hi
}

// absent says which plots a bay has not got, and why.
func (r *Run) absent(bay int) string {
	slack := r.Series.peak(bay, chSlack) < leastSlack
	contact := !(r.Series.peak(bay, chContact) > 0)
	floor := !(r.Series.peak(bay, chFloor) > 0)
	switch {
	case slack && contact && floor:
		return "The cable stayed taut, and the edge met neither an object nor the floor."
	case slack && contact:
		return "The cable stayed taut, and the edge met no object."
	case slack:
		return "The cable stayed taut."
	case contact && floor:
		return "The edge met neither an object nor the floor."
	case contact:
		return "The edge met no object."
	}
	return ""
}

// markFaults puts the faults of a bay on a figure.
func (r *Run) markFaults(f *figure, bay int) {
	var marks []mark
	for _, m := range r.faults() {
		if !m.at(r, bay) {
			continue
		}
		class := "fault"
		if m.event {
			class = "event"
		}
		text := m.kind
		if m.values != "" {
			text += ", " + m.values
		}
		title := text + " (" + m.place + "), " + f.clock(m.from) + " to " + f.clock(m.to)
		marks = append(marks, mark{from: m.from, to: m.to, class: class, text: text, title: title})
		f.shades = append(f.shades, mark{from: m.from, to: m.to, class: class + "-shade", title: title})
	}
	f.labels("faults", marks)
}

// markAlarms puts the alarms of a bay, or of the lock controller, on a figure.
func (r *Run) markAlarms(f *figure, bay int) {
	var marks []mark
	for i := range r.Result.Alarms {
		h := &r.Result.Alarms[i]
		if !r.heardAt(h, bay) {
			continue
		}
		at := h.At
		m := mark{from: at, to: at, class: "alarm", text: pulses(h) + " " + alarmName(h), title: "alarm from " + f.clock(at)}
		marks = append(marks, m)
		f.lines = append(f.lines, mark{from: at, class: "at-alarm"})
	}
	f.labels("alarms", marks)
}

// pressMarks are the presses that a receiver got, and those that it missed.
func (r *Run) pressMarks(bay int) []mark {
	spans := r.Series.bays[bay].press.Finish(r.Series.end)
	var marks []mark
	for i := range spans {
		s := &spans[i]
		m := mark{from: r.seconds(s.From), to: r.seconds(s.To), class: "press"}
		m.title = "press received, " + fixed(m.from, 2) + " to " + fixed(m.to, 2) + " s"
		if s.Changes > 0 {
			m.title = short(float64(s.Changes), 6) + " changes of the receiver's line"
		}
		marks = append(marks, m)
	}
	for i := range r.Series.setup.Actions {
		a := &r.Series.setup.Actions[i]
		if a.Kind != sim.Press || a.Bay != bay || a.At >= r.Series.end || received(spans, a, r.Series.step) {
			continue
		}
		at := r.seconds(a.At)
		marks = append(marks, mark{from: at, to: at, class: "press lost", text: "not received", title: "press sent at " + fixed(at, 2) + " s and not received"})
	}
	return marks
}

// decodeTime is how long after it began a press may still be taken up, s.
const decodeTime = 0.3

func received(spans []Span, a *sim.Action, step float64) bool {
	for i := range spans {
		if s := &spans[i]; s.From <= a.At+a.Span+int64(math.Round(decodeTime/step)) && s.To >= a.At {
			return true
		}
	}
	return false
}

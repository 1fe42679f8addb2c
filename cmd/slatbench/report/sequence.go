package report

import (
	"cmp"
	"slices"
)

// moment is one line of what happened, in order.
type moment struct {
	Step int64
	Time string
	Text string
	Kind string // state, press, alarm, fault
}

// mostMoments is how many lines the list of a bay has at the most.
const mostMoments = 72

// sequence lists what happened at a bay, in order, and how much was left out.
func (r *Run) sequence(bay int) (list []moment, left int) {
	rows := &r.Series.bays[bay]
	add := func(step int64, kind, text string) {
		list = append(list, moment{Step: step, Kind: kind, Text: text})
	}
	for _, m := range r.faults() {
		if m.at(r, bay) {
			add(r.stepAt(m.from), "fault", m.kind+" begins")
			if !m.stays {
				add(r.stepAt(m.to), "fault", m.kind+" ends")
			}
		}
	}
	for _, m := range r.pressMarks(bay) {
		text := "press received"
		if m.text != "" {
			text = "press " + m.text
		}
		add(r.stepAt(m.from), "press", text)
	}
	for i, s := range rows.state.Finish(r.Series.end) {
		if i > 0 || s.From > 0 {
			add(s.From, "state", stateMoment(&s))
		}
	}
	for i := range r.Result.Alarms {
		if h := &r.Result.Alarms[i]; r.heardAt(h, bay) {
			add(r.stepAt(h.At), "alarm", "alarm "+pulses(h)+", "+alarmName(h))
		}
	}
	slices.SortStableFunc(list, func(a, b moment) int { return cmp.Compare(a.Step, b.Step) })
	if left = len(list) - mostMoments; left > 0 {
		list = list[:mostMoments]
	}
	for i := range list {
		list[i].Time = fixed(r.seconds(list[i].Step), 2)
	}
	return list, max(left, 0)
}

func stateMoment(s *Span) string {
	if s.Changes > 0 {
		return short(float64(s.Changes), 6) + " changes of state"
	}
	return s.Word
}

func (r *Run) stepAt(seconds float64) int64 { return int64(seconds/r.Series.step + 0.5) }

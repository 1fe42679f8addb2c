package live

import (
	"math"

	"slatbench/scenarios"
	"slatbench/sim/require"
)

func (s *session) tellEvents() {
	w := s.rig.watch
	for i := range w.events {
		s.send(&w.events[i])
	}
	w.events = nil
}

// judgeNow sends the requirements that stand otherwise than they did.
func (s *session) judgeNow() {
	s.judge = judgeEvery
	b := s.rig.bench
	results := s.rig.set.Results()
	m := &Requirements{Is: IsRequirements, List: []Judged{}}
	all := scenarios.JudgedOn(b, results)
	for i := range results {
		if s.judged != nil && same(&s.judged[i], &results[i]) {
			continue
		}
		j := judgedMessage(&all[i], &results[i])
		if j.State == require.Violated.String() && (s.judged == nil || s.judged[i].Verdict != require.Violated) {
			s.send(&Event{
				Is: IsEvent, Kind: eventViolated, At: all[i].At, Bay: j.Bay, Side: j.Side, Name: j.ID,
				Text: violatedText(j.ID, j.Text),
			})
		}
		m.List = append(m.List, j)
	}
	s.judged = results
	if len(m.List) > 0 {
		s.send(m)
	}
}

func same(a, b *require.Result) bool {
	return a.Verdict == b.Verdict && a.Clause == b.Clause && a.At == b.At && a.Tests == b.Tests && a.Bay == b.Bay && a.Side == b.Side &&
		(a.Margin == b.Margin || math.IsNaN(a.Margin) && math.IsNaN(b.Margin))
}

func judgedMessage(j *scenarios.Judged, r *require.Result) Judged {
	m := Judged{ID: j.ID, State: j.Verdict.String(), Unit: j.Unit, Bay: j.Bay, Side: j.Side, Clause: j.Clause, Tests: r.Tests}
	if !math.IsNaN(j.Margin) {
		margin, at := roundTo(j.Margin, 4), roundTo(j.At, 4)
		m.Margin, m.At = &margin, &at
	}
	switch {
	case j.Verdict == require.Violated:
		m.Text = scenarios.Explain(j, nil)
	case j.Exempt != nil:
		m.Text = j.Exempt.Reason
	}
	return m
}

func roundTo(x float64, decimals int) float64 {
	return math.Round(x*powers[decimals]) / powers[decimals]
}

// show sends a frame.
func (s *session) show() {
	r := s.rig
	b, w := r.bench, r.watch
	f := frame{
		t: r.now(), running: s.running && !r.heldUp(), speed: s.speed, why: s.whyNow(), bays: len(b.Truck.Bays),
		samples: w.samples, dt: b.Truck.StepSize(), states: nil,
	}
	if !s.view(&f) {
		s.shown = w.look(b, s.shown)
		f.row = s.shown
	}
	if n := len(w.states.words); n > s.states {
		f.states = w.states.words
	}
	f.seq = s.seq
	s.seq++ // also where it is not sent: the gap tells the page
	if !s.frame(&f) {
		return
	}
	s.states = len(w.states.words)
	w.fetched()
	s.dirty = f.running
}

// view takes the newest view of slow motion that is not ahead of the clock.
func (s *session) view(f *frame) bool {
	w, b := s.rig.watch, s.rig.bench
	if !s.running || s.speed >= 1 || len(w.views) == 0 {
		return false
	}
	tick := float64(b.TickSteps) * b.Truck.StepSize()
	until := b.Now - b.TickSteps + int64(math.Round(math.Min(s.budget, tick)/b.Truck.StepSize()))
	n := 0
	for n < len(w.views) && w.views[n].step <= until {
		n++
	}
	if n == 0 {
		n = 1
	}
	f.row, f.t = w.views[n-1].row, b.Seconds(w.views[n-1].step)
	w.views = append(w.views[:0], w.views[n-1:]...)
	return true
}

func (s *session) whyNow() string {
	switch {
	case s.rig.heldUp():
		return whyQuestion
	case s.why != "":
		return s.why
	case !s.running:
		return whyPaused
	}
	return ""
}

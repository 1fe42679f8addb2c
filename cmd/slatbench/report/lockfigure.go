package report

import (
	"fmt"

	"slatbench/model"
	"slatbench/sim"
)

// lockFigure is the plot of the locks that did anything.
func (r *Run) lockFigure() string {
	f := newFigure(r.duration(), r.Series.step)
	r.markAlarms(f, sim.LockPost)
	for side := range r.Series.sides {
		if r.Series.lockMoved(side) {
			r.lockRows(f, side)
		}
	}
	return f.done(fmt.Sprintf("Lock bars over %s", f.clock(r.duration())))
}

func (r *Run) lockRows(f *figure, side int) {
	s := r.Series
	rows, name := &s.sides[side], model.Side(side).String()
	f.y += panelGap
	f.body.text(plotLeft, f.y-5, "t title", title(name))
	f.labels("asked", r.askMarks(side))
	f.band("state", rows.state.Finish(s.end), stateClass)
	f.band("drive", rows.drive.Finish(s.end), func(_ int, s *Span) string { return "drive-" + s.Word })
	f.band("lamp", lampSpans(rows.lamp.Finish(s.end), s.step), func(_ int, s *Span) string { return "lamp-" + s.Word })
	l := &r.truck().Locks[side]
	f.add(s.env, &panel{
		title: "Lock bar of the " + name + ", mm", factor: 1000, height: 70, zero: true, least: 10,
		curves: []curve{{channel: s.lockChannel(side), class: "c1"}},
		levels: []level{{1000 * l.Stroke, "locked", "dim"}, {1000 * l.Clear, "clear", "dim"}, {0, "unlocked", "dim"}},
	})
	f.y += 6
}

// askMarks are what the cab switch, or a hand on the bypass, asked of a side.
func (r *Run) askMarks(side int) []mark {
	words := map[sim.ActionKind]string{
		sim.LockAsk: "lock", sim.UnlockAsk: "unlock", sim.BypassLock: "by hand to locked", sim.BypassUnlck: "by hand to unlocked",
	}
	var marks []mark
	for i := range r.Series.setup.Actions {
		a := &r.Series.setup.Actions[i]
		if words[a.Kind] == "" || int(a.Side) != side || a.At >= r.Series.end {
			continue
		}
		at := r.seconds(a.At)
		marks = append(marks, mark{from: at, to: at, class: "ask", text: words[a.Kind], title: words[a.Kind] + " asked at " + fixed(at, 2) + " s"})
	}
	return marks
}

// steadyLamp is how long a lamp is on, in s, before a person takes it for steady.
const steadyLamp = 1.0

// lampSpans tells a steady lamp from a flashing one.
func lampSpans(on []Span, step float64) []Span {
	var list []Span
	for _, s := range on {
		brief := s.Changes > 0 || float64(s.To-s.From)*step < steadyLamp
		if !brief {
			s.Word = "on"
			list = append(list, s)
			continue
		}
		n := len(list)
		if n > 0 && list[n-1].Word == "flashing" && float64(s.From-list[n-1].To)*step < steadyLamp {
			list[n-1].To = s.To
			continue
		}
		list = append(list, Span{From: s.From, To: s.To, Word: "flashing"})
	}
	return list
}

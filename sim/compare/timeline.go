package compare

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatbench/sim"
)

// Row is one instant of one controller in a timeline, or something that happens to
// both trucks.
type Row struct {
	At       float64 // s
	Bay      int     // index, or -1
	Side     int     // of a lock, or -1
	Old, New string  // what each does; "" where it does nothing new
	Stimulus string  // or what happens to both; the others are "" then
	First    bool    // the first difference
}

// Span of a timeline around the first difference, in s, and the most rows before and
// after it.
const (
	spanBefore, rowsBefore = 20.0, 6
	spanAfter, rowsAfter   = 12.0, 14
)

// Timeline is what happened around the first difference of the run that was played
// last: what both did before, where they differ, and what came of it. Names are told by
// a function of the index of a bay.
func (pl *Player) Timeline(d *Difference) []Row {
	n := len(pl.doors)
	rows := pl.stimuli()
	old, new := newFollower(&pl.seen.trail, n), newFollower(&pl.like.trail, n)
	for tick := range pl.like.tick {
		wasOld, wasNew := slices.Clone(old.outs), slices.Clone(new.outs)
		old.to(tick)
		new.to(tick)
		for m := range machines(n) {
			first := int(tick) == d.Tick && d.machine(n) == m
			who := controllerOf(m, n)
			r := Row{At: float64(tick) * pl.tick(), Bay: m, Side: -1, First: first}
			if m >= n {
				r.Bay, r.Side = -1, m-n
			}
			r.Old = doing(old, m, r.Side, &wasOld[who], &old.outs[who])
			r.New = doing(new, m, r.Side, &wasNew[who], &new.outs[who])
			if pl.says != pl.like.newSays {
				r.Old, r.New = alike(r.Old, r.New)
			}
			if first {
				was, is := d.words()
				r.Old, r.New = say(r.Old, was, old.state[m]), say(r.New, is, new.state[m])
			}
			if r.Old != "" && (r.Old != r.New || d.near(m, n, r.At)) || r.New != "" && r.Old != r.New {
				rows = append(rows, r)
			}
		}
	}
	rows = append(rows, pl.sounded()...)
	rows = append(rows, pl.fellSilent()...)
	slices.SortStableFunc(rows, func(a, b Row) int {
		switch {
		case a.At < b.At:
			return -1
		case a.At > b.At:
			return 1
		}
		return 0
	})
	return d.around(rows)
}

// machine at which the difference is, of a truck of n doors.
func (d *Difference) machine(n int) int {
	if d.Lock {
		return n + d.Side
	}
	return d.Bay
}

// near tells that what a machine does at a time, the same in both runs, belongs to the
// story: it is the machine that will differ, or works just then.
func (d *Difference) near(machine, n int, at float64) bool {
	return machine == d.machine(n) || math.Abs(at-d.At) < nearby
}

// nearby is how near to the first difference, in s, other machines are told of.
const nearby = 1.0

// words are what both put out at the first difference, of the output that differs.
func (d *Difference) words() (was, is string) {
	kind := slices.Index(KindNames[:], d.Kind)
	if kind == driveKind {
		if was, is = moves(&d.Was), moves(&d.Is); was != is {
			return was, is
		}
	}
	return word(kind, &d.Was, d.Side), word(kind, &d.Is, d.Side)
}

// say adds to what a machine does at the first difference the output that differs.
func say(doing, word, state string) string {
	switch {
	case doing == word, strings.HasSuffix(doing, ": "+word):
		return doing
	case doing == "" && state != "":
		return fmt.Sprintf("(%s): %s", state, word)
	case doing == "":
		return word
	case strings.Contains(doing, ": "):
		return doing + "; " + word
	}
	return doing + ": " + word
}

// alike takes what one side does for what the other does, where they differ only in that
// one of them tells the event.
func alike(old, new string) (string, string) {
	switch {
	case old != "" && strings.HasSuffix(new, ", "+old):
		return new, new
	case new != "" && strings.HasSuffix(old, ", "+new):
		return old, old
	}
	return old, new
}

// moves is what becomes of a door by its coils: the steps by which contacts are made and
// released are left out.
func moves(o *sim.Outputs) string {
	switch {
	case o.Enable && o.Up != o.Down:
		return driveWord(o)
	case o.Enable && o.Up:
		return "drives up and down"
	}
	return "off"
}

// doing is what a machine does anew at a tick, in words: the event and the state that
// it goes to, and what it drives. Lamps and tones are left out: they come and go.
func doing(f *follower, machine, side int, was, is *sim.Outputs) string {
	to, does := "", []string{}
	if f.state[machine] != f.before[machine] && f.before[machine] != "" {
		to = "to " + f.state[machine]
		if e := f.answer[machine]; e != "" {
			to = e + ", " + to
		}
	}
	if side >= 0 {
		if w := barWord(is.Sides[side].Drive); w != barWord(was.Sides[side].Drive) {
			does = append(does, w)
		}
	} else {
		w := moves(is)
		if w != moves(was) {
			does = append(does, w)
		}
		if is.Enable && is.Duty != was.Duty || w != moves(was) && is.Enable && is.Duty != 100 {
			does = append(does, word(dutyKind, is, side))
		}
	}
	if to != "" && len(does) > 0 {
		to += ": "
	}
	return to + strings.Join(does, ", ")
}

// sounded lists the alarms of both runs: those that both sounded at once in one row.
func (pl *Player) sounded() (rows []Row) {
	old, new := pl.first.listener.Heard, pl.second.listener.Heard
	step := pl.old.Played().Setup.StepSize
	row := func(h sim.Heard) Row { return Row{At: float64(h.From) * step, Bay: h.Bay, Side: -1} }
	text := func(h sim.Heard) string {
		if h.Until == 0 {
			return fmt.Sprintf("alarm, %d pulses until the end", int(h.Alarm))
		}
		return "alarm " + h.Alarm.String()
	}
	for _, h := range old {
		r := row(h)
		r.Old = text(h)
		if slices.Contains(new, h) {
			r.New = r.Old
		}
		rows = append(rows, r)
	}
	for _, h := range new {
		if !slices.Contains(old, h) {
			r := row(h)
			r.New = text(h)
			rows = append(rows, r)
		}
	}
	return rows
}

// fellSilent lists the controllers of both runs that failed as a whole.
func (pl *Player) fellSilent() (rows []Row) {
	old, new := pl.first.silent, pl.second.silent
	step := pl.old.Played().Setup.StepSize
	for _, s := range old {
		r := Row{At: float64(s.At) * step, Bay: s.Bay, Side: -1, Old: "goes silent: " + s.Why}
		if slices.Contains(new, s) {
			r.New = r.Old
		}
		rows = append(rows, r)
	}
	for _, s := range new {
		if !slices.Contains(old, s) {
			rows = append(rows, Row{At: float64(s.At) * step, Bay: s.Bay, Side: -1, New: "goes silent: " + s.Why})
		}
	}
	return rows
}

// stimuli are what happens to both trucks.
func (pl *Player) stimuli() (rows []Row) {
	p := pl.old.Played()
	s := &p.Setup
	at := func(step int64) float64 { return float64(step) * s.StepSize }
	actions := slices.Clone(s.Actions)
	for i := range p.Recovery {
		actions = append(actions, pl.pair.Plan.Actions(&p.Recovery[i])...)
	}
	for i := range actions {
		a := &actions[i]
		r := Row{At: at(a.At), Bay: -1, Side: -1, Stimulus: actionWords[a.Kind]}
		if a.Kind == sim.Press || a.Kind == sim.TeachHold {
			r.Bay = a.Bay
		} else {
			r.Side = int(a.Side)
		}
		rows = append(rows, r)
	}
	for i := range s.Faults {
		f := &s.Faults[i]
		word, bay, side := faultAt(f.Fault)
		rows = append(rows, Row{At: at(f.From), Bay: bay, Side: side, Stimulus: word + " begins"})
		if f.To > f.From && f.To < p.End {
			rows = append(rows, Row{At: at(f.To), Bay: bay, Side: side, Stimulus: word + " ends"})
		}
	}
	return slices.DeleteFunc(rows, func(r Row) bool { return r.At >= at(p.End) })
}

// actionWords by kind of action.
var actionWords = [...]string{
	sim.Press: "press", sim.TeachHold: "teach button held", sim.LockAsk: "asked to lock", sim.UnlockAsk: "asked to unlock",
	sim.Interrupt: "supply interrupted", sim.BypassLock: "bar moved to locked by hand", sim.BypassUnlck: "bar moved to unlocked by hand",
}

// around keeps the rows near the first difference.
func (d *Difference) around(rows []Row) []Row {
	first := slices.IndexFunc(rows, func(r Row) bool { return r.First })
	from, to := max(first-rowsBefore, 0), min(first+1+rowsAfter, len(rows))
	for from < first && rows[from].At < d.At-spanBefore {
		from++
	}
	for to > first+1 && rows[to-1].At > d.At+spanAfter {
		to--
	}
	return rows[from:to]
}

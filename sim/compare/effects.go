package compare

import (
	"math"
	"slices"

	"slatbench/sim"
	"slatbench/sim/require"
)

// Effects is what came of a difference until the end of the run.
type Effects struct {
	Old, New  []require.Result // in the order of require.IDs
	Alarms    []AlarmChange    // of those that sounded otherwise
	Opening   float64          // s, of all bays the greatest change of the time to open; 0 where none changed
	Closing   float64          // … to close
	EndsElse  bool             // a door or a bar ends elsewhere
	OldStates []Reached        // states that were reached, each once
	NewStates []Reached
}

// AlarmChange is how otherwise an alarm sounded.
type AlarmChange struct {
	Alarm sim.Alarm
	More  int  // counts that the new controllers sounded more, negative: fewer
	Else  bool // as often, but elsewhere or at another time
}

// Reached is a state of a door or of a lock.
type Reached struct {
	Lock  bool
	State string
}

// endsApart is by how much, in m, the heights at which a door ends must differ to count as elsewhere.
const endsApart = sim.OpenTolerance

func (pl *Player) effects(old, new []require.Result) Effects {
	e := Effects{Old: old, New: new, Alarms: alarmChanges(pl.first.listener.Heard, pl.second.listener.Heard)}
	for i := range pl.first.figures.Bays {
		a, b := &pl.first.figures.Bays[i], &pl.second.figures.Bays[i]
		e.Opening = greater(e.Opening, b.OpenTime-a.OpenTime)
		e.Closing = greater(e.Closing, b.CloseTime-a.CloseTime)
		e.EndsElse = e.EndsElse || math.Abs(a.Height-b.Height) > endsApart
	}
	n := len(pl.doors)
	e.OldStates, e.NewStates = reached(&pl.seen.trail, n), reached(&pl.like.trail, n)
	return e
}

// leastChange is the change of a time, in s, below which it counts for nothing: less than a tick.
const leastChange = 0.0095

// greater is the change that is farther from 0; one that is no number counts for nothing.
func greater(a, b float64) float64 {
	if math.Abs(b) > math.Abs(a) && math.Abs(b) > leastChange {
		return b
	}
	return a
}

func reached(t *trail, n int) (list []Reached) {
	for i := range t.states {
		r := Reached{int(t.states[i].machine) >= n, t.states[i].word}
		if !slices.Contains(list, r) {
			list = append(list, r)
		}
	}
	return list
}

// alarmChanges lists the alarms that sounded otherwise, by their pulses.
func alarmChanges(old, new []sim.Heard) (list []AlarmChange) {
	var seen []sim.Alarm
	for _, h := range slices.Concat(old, new) {
		if !slices.Contains(seen, h.Alarm) {
			seen = append(seen, h.Alarm)
		}
	}
	slices.Sort(seen)
	for _, a := range seen {
		was, is := only(old, a), only(new, a)
		if !slices.Equal(was, is) {
			list = append(list, AlarmChange{Alarm: a, More: len(is) - len(was), Else: len(is) == len(was)})
		}
	}
	return list
}

func only(list []sim.Heard, a sim.Alarm) []sim.Heard {
	return slices.DeleteFunc(slices.Clone(list), func(h sim.Heard) bool { return h.Alarm != a })
}

package scenarios

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatbench/model"
	"slatbench/sim"
)

// Lengths and distances that a step has where it says nothing, in s and m: as the
// defaults of its keys.
const (
	usualPress    = 0.2
	usualTeach    = 2.0
	usualAsk      = 0.3
	usualDistance = 3.0
	teachDistance = 1.0
)

// played are the actions that a run comes to, in the order of their times, each with
// what matters to its kind.
func played(actions []sim.Action, duration int64) []sim.Action {
	list := []sim.Action{}
	for _, a := range actions {
		if a.At >= duration {
			continue
		}
		switch a.Kind {
		case sim.Press:
			a.Side = 0
		case sim.TeachHold:
			a.Side, a.Aim, a.Distance = 0, 0, 0
		default:
			a.Bay, a.Aim, a.Distance = 0, 0, 0
		}
		list = append(list, a)
	}
	slices.SortStableFunc(list, func(a, b sim.Action) int { return int(a.At - b.At) })
	return list
}

// steps writes what people do. Two actions that are one step, such as a teaching,
// become one again where that keeps their order.
func (w *writer) steps() {
	list := played(w.story.Setup.Actions, w.story.Setup.Duration)
	if len(list) == 0 {
		return
	}
	w.line("steps:")
	done := make([]bool, len(list))
	for i := range list {
		if done[i] {
			continue
		}
		if j := w.teaching(list, done, i); j > 0 {
			done[j] = true
			w.line("  - %s", w.teach(&list[i]))
			continue
		}
		if w.both(list, i) {
			done[i+1] = true
			w.line("  - %s", w.ask(&list[i], "both"))
			continue
		}
		w.line("  - %s", w.step(&list[i]))
	}
}

// teaching finds the press that makes the teach button of action i a teaching, or 0.
// Whatever lies between the two at the time of the press would change places with it.
func (w *writer) teaching(list []sim.Action, done []bool, i int) int {
	if list[i].Kind != sim.TeachHold || w.seconds(list[i].Span) < 0.1 {
		return 0
	}
	at := w.count(w.seconds(list[i].At) + pressAfterTeach)
	want := sim.Action{At: at, Kind: sim.Press, Bay: list[i].Bay, Span: w.count(usualPress), Distance: teachDistance}
	for j := i + 1; j < len(list) && list[j].At <= at; j++ {
		if list[j] == want && !done[j] {
			return j
		}
		if list[j].At == at {
			return 0
		}
	}
	return 0
}

// both tells that action i and the next ask the same of curbside and roadside.
func (w *writer) both(list []sim.Action, i int) bool {
	if k := list[i].Kind; k != sim.LockAsk && k != sim.UnlockAsk || i+1 == len(list) || list[i].Side != model.Curbside {
		return false
	}
	other := list[i]
	other.Side = model.Roadside
	return list[i+1] == other
}

func (w *writer) seconds(steps int64) float64 {
	return seconds6(float64(steps) * w.story.Setup.StepSize)
}

func (w *writer) count(seconds float64) int64 {
	return int64(math.Round(seconds / w.story.Setup.StepSize))
}

func (w *writer) teach(a *sim.Action) string {
	f := w.begin(a, "teach", w.bay(a.Bay))
	w.length(f, a, usualTeach)
	return f.String()
}

func (w *writer) ask(a *sim.Action, side string) string {
	key := "lock"
	if a.Kind == sim.UnlockAsk {
		key = "unlock"
	}
	f := w.begin(a, key, side)
	w.length(f, a, usualAsk)
	return f.String()
}

func (w *writer) step(a *sim.Action) string {
	switch a.Kind {
	case sim.Press:
		f := w.begin(a, "press", w.bay(a.Bay))
		w.length(f, a, usualPress)
		if a.Aim != 0 {
			f.add("aim", formatAngle(a.Aim))
		}
		if a.Distance != usualDistance {
			f.add("distance", FormatQuantity(a.Distance, "length"))
		}
		return f.String()
	case sim.TeachHold:
		f := w.begin(a, "hold teach", w.bay(a.Bay))
		w.length(f, a, usualTeach)
		return f.String()
	case sim.LockAsk, sim.UnlockAsk:
		return w.ask(a, a.Side.String())
	case sim.BypassLock, sim.BypassUnlck:
		f := w.begin(a, "bypass", a.Side.String())
		if a.Kind == sim.BypassLock {
			f.add("to", "locked")
		} else {
			f.add("to", "unlocked")
		}
		return f.String()
	}
	w.err = fmt.Errorf("an action of kind %d at %s is no step that a file can name", a.Kind, w.time(a.At))
	return ""
}

func (w *writer) begin(a *sim.Action, key, place string) *flow {
	f := &flow{}
	f.add("at", w.time(a.At))
	f.add(key, place)
	return f
}

func (w *writer) length(f *flow, a *sim.Action, usual float64) {
	if a.Span != w.count(usual) {
		f.add("length", w.span(a.Span))
	}
}

// formatAngle writes an angle in degrees or rad, whichever is shorter.
func formatAngle(rad float64) string {
	degrees, plain := FormatQuantity(rad, "angle"), trimFloat(rad)+" rad"
	if len(strings.TrimSuffix(degrees, "°")) <= len(plain)-len(" rad") {
		return degrees
	}
	return plain
}

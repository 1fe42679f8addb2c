package live

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// act does what a request asks of the truck. Requests that are about the run itself are
// the session's.
func (r *rig) act(q *Request) error {
	switch q.Do {
	case DoPress:
		return r.press(q)
	case DoLetGo:
		return r.release(q)
	case DoTeach:
		return r.teach(q)
	case DoLock:
		return r.ask(q, sim.LockAsk)
	case DoUnlock:
		return r.ask(q, sim.UnlockAsk)
	case DoBypass:
		return r.bypass(q)
	case DoRelease:
		return r.toggle("manual-release-open", q.Bay, q.On, nil)
	case DoSupply:
		return r.toggle("supply-interruption", "feed", !q.On, map[string]float64{"left": 0})
	case DoObstruction:
		values := map[string]float64{}
		if q.Height != nil {
			values["height"] = *q.Height
		}
		if q.Stiffness != nil {
			values["stiffness"] = *q.Stiffness
		}
		return r.toggle("obstruction", q.Bay, q.On, values)
	case DoFault:
		switch {
		case q.Kind == "":
			return missing("kind")
		case r.src.riddle():
			return wrong{"what is wrong here is to be found out", "the workshop of the lesson mends"}
		}
		return r.toggle(q.Kind, q.Place, q.On, q.Values)
	}
	return unknown("request", q.Do, doWords)
}

var doWords = []string{
	DoOpen, DoPress, DoLetGo, DoTeach, DoLock, DoUnlock, DoBypass, DoRelease, DoSupply, DoObstruction, DoFault,
	DoSpeed, DoRun, DoPause, DoStep, DoRestart, DoRewind, DoSave, DoAnswer, DoNext, DoJob,
}

// value is a number of a request within its range, or its usual one.
func value(what string, given *float64, usual, lo, hi float64, unit string) (float64, error) {
	if given == nil {
		return usual, nil
	}
	if !(*given >= lo && *given <= hi) {
		return 0, outOfRange(what, *given, lo, hi, unit)
	}
	return *given, nil
}

// Ranges and usual values are those of the steps in scenario files.
func (r *rig) press(q *Request) error {
	bay, err := r.bay(q.Bay)
	if err != nil {
		return err
	}
	length, err := value("length", q.Length, 0.2, leastHeld, mostHeld, " s")
	if err != nil {
		return err
	}
	aim, err := value("aim", q.Aim, 0, -89, 89, "°")
	if err != nil {
		return err
	}
	distance, err := value("distance", q.Distance, 3, 0.1, 100, " m")
	if err != nil {
		return err
	}
	a := sim.Action{Kind: sim.Press, Bay: bay, Span: r.bench.Steps(length), Aim: radians(aim), Distance: tidy(distance)}
	if q.Hold {
		return r.start(a)
	}
	return r.do(a)
}

// radians and tidy round to what a person can have meant, so that a file says it shortly.
func radians(degrees float64) float64 { return tidy(degrees*10) / 10 * math.Pi / 180 }

func tidy(x float64) float64 { return math.Round(x*1e4) / 1e4 }

func (r *rig) release(q *Request) error {
	switch q.What {
	case "press":
		bay, err := r.bay(q.Bay)
		if err == nil {
			r.stop(hold{sim.Press, bay})
		}
		return err
	case "lock", "unlock":
		kind := sim.LockAsk
		if q.What == "unlock" {
			kind = sim.UnlockAsk
		}
		sides, err := sidesOf(q.Side)
		for _, s := range sides {
			r.stop(hold{kind, s})
		}
		return err
	}
	return unknown("thing to let go", q.What, []string{"press", "lock", "unlock"})
}

func sidesOf(name string) ([]int, error) {
	if name == "both" {
		return []int{0, 1}, nil
	}
	s, err := side(name)
	return []int{int(s)}, err
}

// pressAfterTeach is how long after the teach button the remote is pressed, s, and from
// how far, m: as the step of scenario files has it.
const (
	pressAfterTeach = 0.5
	pressFrom       = 1.0
)

// teach holds the teach button, or lets it go. With a length it is a whole teaching, on
// the truck's clock.
func (r *rig) teach(q *Request) error {
	bay, err := r.bay(q.Bay)
	switch {
	case err != nil:
		return err
	case q.On && q.Length != nil:
		length, err := value("length", q.Length, 2, leastHeld, mostHeld, " s")
		if err != nil {
			return err
		}
		press := sim.Action{
			At: r.bench.Now + r.bench.Steps(pressAfterTeach), Kind: sim.Press, Bay: bay, Span: r.bench.Steps(0.2), Distance: pressFrom,
		}
		r.later = append(r.later, press)
		return r.do(sim.Action{Kind: sim.TeachHold, Bay: bay, Span: r.bench.Steps(length)})
	case q.On:
		return r.start(sim.Action{Kind: sim.TeachHold, Bay: bay})
	}
	r.stop(hold{sim.TeachHold, bay})
	return nil
}

func (r *rig) ask(q *Request, kind sim.ActionKind) error {
	sides, err := sidesOf(q.Side)
	if err != nil {
		return err
	}
	length, err := value("length", q.Length, 0.3, leastHeld, mostHeld, " s")
	for _, s := range sides {
		if err != nil {
			return err
		}
		a := sim.Action{Kind: kind, Side: model.Side(s), Span: r.bench.Steps(length)}
		if q.Hold {
			err = r.start(a)
		} else {
			err = r.do(a)
		}
	}
	return err
}

func (r *rig) bypass(q *Request) error {
	s, err := side(q.Side)
	if err != nil {
		return err
	}
	switch q.To {
	case "locked":
		return r.do(sim.Action{Kind: sim.BypassLock, Side: s})
	case "unlocked":
		return r.do(sim.Action{Kind: sim.BypassUnlck, Side: s})
	}
	return unknown("end of the bar", q.To, []string{"locked", "unlocked"})
}

// toggle brings a fault on or takes it off.
func (r *rig) toggle(kind, where string, on bool, values map[string]float64) error {
	k, ok := fault.Find(kind)
	if !ok {
		var known []string
		for _, k := range fault.Kinds() {
			known = append(known, k.Name)
		}
		return unknown("kind of fault", kind, known)
	}
	place, err := r.place(&k, where)
	if err != nil {
		return err
	}
	if !on {
		if i := r.on(kind, place); i >= 0 {
			r.mend(i)
		}
		return nil
	}
	rounded := make(map[string]float64, len(values))
	for name, x := range values {
		rounded[name] = signify(x)
	}
	f, err := k.New(place, rounded)
	if err != nil {
		return err
	}
	return r.bring(f.(fault.Fault), false)
}

// signify rounds to six figures, as a slider's number is meant.
func signify(x float64) float64 {
	if x == 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	per := math.Pow(10, 5-math.Floor(math.Log10(math.Abs(x))))
	return math.Round(x*per) / per
}

package scenarios

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatbench/model"
	"slatbench/sim"
)

// DemoScenario is the name of the scenario that runs when none is named.
const DemoScenario = "demo/morning-stop.yaml"

// maxSteps bounds a run: a day at the default step is 86 million.
const maxSteps = 1 << 30

// Check tells what no tag can say of a scenario.
func (sc *Scenario) Check(r *Report) {
	bays := sc.Truck.Bays.Keys()
	for i := range sc.Steps {
		s := &sc.Steps[i]
		if key, name := s.bayNamed(); key != "" && !slices.Contains(bays, name) {
			r.Add(s.PosOf(key), fmt.Sprintf("the truck has no bay %q", name), wordHint(name, bays))
		}
		if s.at() >= sc.Duration {
			r.Add(s.PosOf("at"), "a step after the end of the run", "")
		}
	}
	for i := range sc.Faults {
		sc.Faults[i].check(r, sc)
	}
	for i := range sc.Expect {
		e := &sc.Expect[i]
		if e.Bay != "" && !slices.Contains(bays, e.Bay) {
			r.Add(e.PosOf("bay"), fmt.Sprintf("the truck has no bay %q", e.Bay), wordHint(e.Bay, bays))
		}
		sc.checkExpectTime(r, e, "by", e.By)
		sc.checkExpectTime(r, e, "at", e.At)
	}
	sc.checkStart(r)
	sc.checkTimes(r)
	sc.checkHealed(r)
}

// checkHealed refuses a recovery that is judged while something is still wrong.
func (sc *Scenario) checkHealed(r *Report) {
	if sc.HealedAt == nil {
		return
	}
	if *sc.HealedAt > sc.Duration {
		r.Add(sc.PosOf("healed at"), "recovery is judged from after the end of the run", "")
	}
	for i := range sc.Faults {
		if f := &sc.Faults[i]; f.Until == 0 || f.Until > *sc.HealedAt {
			r.Add(f.Pos(), fmt.Sprintf("all is healed at %s, and this goes on", FormatQuantity(*sc.HealedAt, "time")),
				"until: "+FormatQuantity(*sc.HealedAt, "time"))
		}
	}
}

func (sc *Scenario) checkExpectTime(r *Report, e *Expectation, key string, at *float64) {
	if at != nil && *at > sc.Duration {
		r.Add(e.PosOf(key), "an expectation after the end of the run", "")
	}
}

func (sc *Scenario) checkStart(r *Report) {
	for i := range sc.Start.Heights.Entries {
		e := &sc.Start.Heights.Entries[i]
		bay := sc.Truck.Bays.Get(e.Key)
		switch {
		case bay == nil:
			r.Add(e.KeyAt.Pos(), fmt.Sprintf("the truck has no bay %q", e.Key), wordHint(e.Key, sc.Truck.Bays.Keys()))
		case e.Value.Height < 0 || e.Value.Height > bay.Track.Opening:
			r.Add(e.Value.Pos(), "a door stands between 0 m and its opening", "")
		case sc.Start.Locks == "locked" && sc.height(e.Value, bay) > sim.ClosedTolerance:
			r.Add(e.Value.Pos(), "a door that is up cannot be locked", "start: {locks: unlocked}")
		}
	}
}

func (sc *Scenario) checkTimes(r *Report) {
	ratio := sc.Tick / sc.TimeStep
	if math.Abs(ratio-math.Round(ratio)) > 1e-9 || ratio < 1 {
		r.Add(sc.PosOf("controller tick"), "the controller tick is a whole number of time steps", "")
	}
	if sc.Duration/sc.TimeStep > maxSteps {
		r.Add(sc.PosOf("duration"), "a run of so many time steps is never over", "")
	}
}

func (sc *Scenario) height(h heightPart, bay *bayPart) float64 {
	if h.Open {
		return restOpen(bay.Track.Opening)
	}
	return h.Height
}

// openRest is how far below the open stop, in m, a door stands that was opened and has run out.
const openRest = 0.025

// restOpen is that height, rounded so that a file can say it in short.
func restOpen(opening float64) float64 { return math.Round((opening-openRest)*1e6) / 1e6 }

func (sc *Scenario) steps(seconds float64) int64 { return int64(math.Round(seconds / sc.TimeStep)) }

// bay is the index of a bay by its name; the check has made sure that there is one.
func (sc *Scenario) bay(name string) int { return slices.Index(sc.Truck.Bays.Keys(), name) }

// FaultKinds lists the kinds of fault in the scenario, in file order.
func (sc *Scenario) FaultKinds() []string {
	var kinds []string
	for i := range sc.Faults {
		kinds = append(kinds, sc.Faults[i].Kind.Name)
	}
	return kinds
}

// Params is the truck where it stands.
func (sc *Scenario) Params() model.TruckParams {
	p := sc.Truck.Params()
	p.Ambient = model.Ambient{
		Temperature: celsius(sc.Ambient.Temperature),
		Sunlight:    sc.Ambient.Sunlight, Grade: sc.Ambient.Grade,
	}
	return p
}

// kelvin is 0 °C in K: files keep temperatures in K, the model in °C.
const kelvin = 273.15

// celsius undoes, on the nearest nK, what the way of a temperature in °C through K
// has cost it: 4.1 °C in a file is 4.1 °C in the model.
func celsius(k float64) float64 { return math.Round((k-kelvin)*1e9) / 1e9 }

// Setup is the run as the bench takes it, with controllers that the logic makes.
func (sc *Scenario) Setup(under sim.Logic) (sim.Setup, error) {
	s, err := sc.setup()
	if err == nil {
		s.Doors, s.Locks = under.Controllers(len(sc.Truck.Bays.Entries), sc.Tick)
	}
	return s, err
}

// setup is the run without controllers.
func (sc *Scenario) setup() (sim.Setup, error) {
	s := sim.Setup{
		Truck: sc.Params(), StepSize: sc.TimeStep, TickSteps: int(math.Round(sc.Tick / sc.TimeStep)),
		Seed: sc.Seed, Duration: sc.steps(sc.Duration), Charge: sc.Start.Charge, Untaught: !sc.Start.Taught,
	}
	for i := range sc.Truck.Bays.Entries {
		e := &sc.Truck.Bays.Entries[i]
		h := -1.0
		if at := sc.Start.Heights.Get(e.Key); at != nil {
			h = sc.height(*at, &e.Value)
		}
		s.Heights = append(s.Heights, h)
	}
	for i := range s.Locked {
		s.Locked[i] = sc.Start.Locks == "locked"
	}
	for i := range sc.Steps {
		s.Actions = append(s.Actions, sc.Steps[i].actions(sc)...)
	}
	for i := range sc.Faults {
		f, err := sc.Faults[i].scheduled(sc)
		if err != nil {
			return s, &Problem{Pos: sc.Faults[i].Pos(), Message: err.Error()}
		}
		s.Faults = append(s.Faults, f)
	}
	return s, nil
}

// LoadScenario reads a scenario file. The error is of type Problems.
func (l *Loader) LoadScenario(name string) (*Scenario, error) {
	var sc Scenario
	if err := l.Load(name, &sc); err != nil {
		return nil, err
	}
	return &sc, nil
}

// Title is the scenario's name on one line.
func (sc *Scenario) Title() string { return strings.Join(strings.Fields(sc.Name), " ") }

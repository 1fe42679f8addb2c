package scenarios

import (
	"errors"
	"fmt"
	"io"
	"math"

	"slatbench/sim"
	"slatbench/sim/logic"
	"slatbench/sim/require"
)

// RunOptions are what a run may be told besides its scenario.
type RunOptions struct {
	// Watch are further observers, such as a trace. They come after the monitors.
	Watch []sim.Observer
	// Stopped is asked now and then; once it tells true the run ends with
	// ErrStopped. It may be nil.
	Stopped func() bool
}

// ErrStopped is the error of a run that was told to stop.
var ErrStopped = errors.New("stopped before its end")

// stopEvery is how many ticks lie between two looks at Stopped. More and an
// interruption is felt to lag; fewer cost time.
const stopEvery = 256

// Run plays a scenario with controllers that the logic makes, and judges it. A
// table must have passed its check. A fault that cannot be brought on when its
// time has come, such as an obstruction inside the curtain, is an error of type
// Problems, at the place of that fault in its file.
func Run(sc *Scenario, under sim.Logic, o RunOptions) (*Result, error) {
	setup, err := sc.Setup(under)
	if err != nil {
		var p *Problem
		if errors.As(err, &p) {
			return nil, Problems{p}
		}
		return nil, err
	}
	defer sim.Return(under, setup.Doors, setup.Locks)
	for i := range setup.Faults {
		setup.Faults[i].Fault = placedFault{setup.Faults[i].Fault, sc.Faults[i].Pos()}
	}
	bays := len(setup.Truck.Bays)
	set := require.New(bays, sc.Options())
	listener, figures, expected, silences := &sim.Listener{}, sim.NewFigures(bays), newExpecter(sc), sim.NewSilences()
	setup.Watch = append([]sim.Observer{set, listener, figures, expected, silences}, o.Watch...)
	bench, err := sim.New(setup)
	if err != nil {
		return nil, Problems{{sc.Truck.Pos(), err.Error(), ""}}
	}
	if err := play(bench, o.Stopped); err != nil {
		var p *Problem
		if errors.As(err, &p) {
			return nil, Problems{withSilence(p, silences.List, bench)}
		}
		return nil, err
	}
	expected.hear(listener.Heard) // counts that the end cut off are not among them
	whole := len(listener.Heard)
	listener.Finish()
	r := newResult(sc, under, bench)
	r.take(set.Results(), bench)
	r.expect(expected, bench)
	r.hear(listener.Heard, whole, bench)
	r.figure(figures, bench)
	r.silences(silences.List, bench)
	return r, nil
}

func play(b *sim.Bench, stopped func() bool) error {
	for n := 0; b.Now < b.Duration() && b.Err() == nil; n++ {
		if n%stopEvery == 0 && stopped != nil && stopped() {
			return ErrStopped
		}
		b.Advance()
	}
	return b.Err()
}

// withSilence adds that a controller had gone silent, which may be why the truck
// stood where the problem could come up.
func withSilence(p *Problem, list []sim.Silence, b *sim.Bench) *Problem {
	if len(list) == 0 {
		return p
	}
	who := "the lock controller"
	if list[0].Bay >= 0 {
		who = "the controller of " + bayName(b, list[0].Bay)
	}
	q := *p
	q.Hint = fmt.Sprintf("%s had gone silent at %.2f s: %s", who, b.Seconds(list[0].At), list[0].Why)
	return &q
}

// placedFault is a fault that says where in a file it stands when it cannot be brought on.
type placedFault struct {
	sim.Fault
	at Pos
}

// Start implements sim.Fault.
func (f placedFault) Start(b *sim.Bench) error {
	if err := f.Fault.Start(b); err != nil {
		return &Problem{Pos: f.at, Message: err.Error()}
	}
	return nil
}

// Bounds within which service is judged: docs/requirements.md, service. The supply
// at rest, the third of them, is looked at while running.
const (
	ratedCold  = -20 + kelvin
	ratedWarm  = 45 + kelvin
	ratedGrade = 0.05
)

// rated tells that nothing is broken or in the way, and that the truck stands where it was made to work.
func (sc *Scenario) rated() bool {
	t := sc.Ambient.Temperature
	return len(sc.Faults) == 0 && t >= ratedCold && t <= ratedWarm && math.Abs(sc.Ambient.Grade) <= ratedGrade
}

// active lists the faults with their times, for exemptions.
func (sc *Scenario) active() []require.Active {
	var list []require.Active
	for i := range sc.Faults {
		f := &sc.Faults[i]
		list = append(list, require.Active{Kind: f.Kind.Name, From: sc.steps(f.From), To: sc.steps(f.Until)})
	}
	return list
}

// healedAt is the step from which recovery is judged, or 0.
func (sc *Scenario) healedAt() int64 {
	if sc.HealedAt == nil {
		return 0
	}
	return sc.steps(*sc.HealedAt)
}

// LoadScenarioFrom reads a scenario from a stream. The name stands for it in
// messages; files that it names are looked for from the working directory.
func (l *Loader) LoadScenarioFrom(r io.Reader, name string) (*Scenario, error) {
	data, err := readBounded(r)
	if err != nil {
		return nil, Problems{{Pos{File: name}, "cannot be read: " + err.Error(), ""}}
	}
	var sc Scenario
	if err := l.LoadBytes(name, data, &sc); err != nil {
		return nil, err
	}
	return &sc, nil
}

// LoadLogicOf reads the logic table that a scenario names: beside the file that
// names it, then among the shipped ones. Changes in l.Set are made to the table.
func (l *Loader) LoadLogicOf(sc *Scenario) (*logic.Table, error) {
	return l.loadLogicNamed(sc.Logic, &sc.Located)
}

package scenarios

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/logic"
	"slatbench/sim/soak"
)

// DefaultSoak is the name of the soak that is played when none is named.
const DefaultSoak = "soak/route.yaml"

// SoakFile is a soak as written in a file.
type SoakFile struct {
	Located
	Overlay
	Name     string    `yaml:"soak,required" doc:"what it is about"`
	Truck    TruckFile `yaml:"truck,required" doc:"the truck, or the file that describes it"`
	Logic    string    `yaml:"logic" default:"logic/baseline.yaml" doc:"the logic table that every controller runs"`
	TimeStep float64   `yaml:"time step" unit:"time" range:"[0.1 ms,2 ms]" default:"1 ms" doc:"of the model"`
	Tick     float64   `yaml:"controller tick" unit:"time" range:"[1 ms,100 ms]" default:"10 ms" doc:"of the controllers; a whole number of time steps"`
	soak.Config
}

// Check tells what no tag can say of a soak.
func (f *SoakFile) Check(r *Report) {
	if len(f.Truck.Bays.Entries) == 0 {
		return // the truck says so itself
	}
	truck := f.Truck.Params()
	for _, p := range f.Config.Check(&truck) {
		path := make([]any, len(p.Path))
		for i := range p.Path {
			path[i] = p.Path[i]
		}
		hint := ""
		if p.Path[0] == "bay" {
			hint = wordHint(f.Bay, f.Truck.Bays.Keys())
		}
		r.Add(f.PosOf(path...), p.Text, hint)
	}
	ratio := f.Tick / f.TimeStep
	if math.Abs(ratio-math.Round(ratio)) > 1e-9 || ratio < 1 {
		r.Add(f.PosOf("controller tick"), "the controller tick is a whole number of time steps", "")
	}
}

// Setup is the bench for the soak, with controllers that the logic makes.
func (f *SoakFile) Setup(under sim.Logic) sim.Setup {
	s := sim.Setup{
		Truck: f.Truck.Params(), StepSize: f.TimeStep, TickSteps: int(math.Round(f.Tick / f.TimeStep)),
	}
	s.Doors, s.Locks = under.Controllers(len(s.Truck.Bays), f.Tick)
	s.Truck.Ambient = model.Ambient{Temperature: f.Weather.Mean - kelvin}
	return s
}

// LoadSoak reads a soak file. The error is of type Problems.
func (l *Loader) LoadSoak(name string) (*SoakFile, error) {
	var f SoakFile
	if err := l.Load(name, &f); err != nil {
		return nil, err
	}
	return &f, nil
}

// LoadLogicOfSoak reads the logic table that a soak names: beside the file that
// names it, then among the shipped ones. Changes in l.Set are made to the table.
func (l *Loader) LoadLogicOfSoak(f *SoakFile) (*logic.Table, error) {
	return l.LoadLogicOf(&Scenario{Located: f.Located, Logic: f.Logic})
}

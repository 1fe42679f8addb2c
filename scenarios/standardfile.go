package scenarios

import (
	"fmt"
	"math"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/logic"
	"slatbench/sim/standard"
)

// StandardTest is a batch of trials after a standard, as written in a file: every
// arrangement of the truck, under every condition, at every height.
type StandardTest struct {
	Located
	Overlay
	Name         string           `yaml:"standard test,required" doc:"what it is about"`
	After        string           `yaml:"after,required" doc:"the standard that the method and the limits are taken from"`
	Edition      string           `yaml:"edition,required" doc:"which edition the figures come from, and which of them were seen"`
	Kind         trialWord        `yaml:"kind,required" doc:"obstruction: does the door turn; force: what does it press with"`
	Truck        TruckFile        `yaml:"truck,required" doc:"the truck, or the file that describes it"`
	Logic        string           `yaml:"logic" default:"logic/baseline.yaml" doc:"the logic table"`
	Bay          string           `yaml:"bay,required" doc:"the bay under test"`
	Stiffness    float64          `yaml:"stiffness" unit:"stiffness" range:"[1 N/mm,1000 N/mm]" default:"500 N/mm" doc:"of object or instrument"`
	Heights      []heightLine     `yaml:"heights,required" doc:"top of the object above the sill"`
	Arrangements []Arrangement    `yaml:"arrangements,required" doc:"how the truck is fitted out"`
	Conditions   []TrialCondition `yaml:"conditions,required" doc:"under which it is tried"`
	Limits       trialLimits      `yaml:"limits,required" doc:"what the standard asks for"`
}

type trialWord string

// Words implements Worder.
func (trialWord) Words() []string { return []string{"obstruction", "force"} }

type heightLine struct {
	Located
	Height float64
}

// DecodeNode implements NodeDecoder.
func (h *heightLine) DecodeNode(d *Decoder, n *Node) error {
	h.Height, _ = d.Quantity(n, "length")
	return nil
}

// Arrangement is one way to fit out the truck.
type Arrangement struct {
	Located
	Name string    `yaml:"arrangement,required" doc:"what it is called"`
	Edge edgeWord  `yaml:"sensing edge" default:"sound" doc:"sound, deaf, or none"`
	Duty float64   `yaml:"closing duty" unit:"ratio" range:"[10 %,100 %]" default:"100 %" doc:"with which the door closes"`
	Sill *sillWord `yaml:"sill switch" doc:"stuck open: the lower end is never reported"`
}

type edgeWord string

// Words implements Worder.
func (edgeWord) Words() []string { return []string{"sound", "deaf", "none"} }

type sillWord string

// Words implements Worder.
func (sillWord) Words() []string { return []string{"stuck-open"} }

// TrialCondition is one condition under which the trials are made.
type TrialCondition struct {
	Located
	Name        string  `yaml:"condition,required" doc:"what it is called"`
	Mass        float64 `yaml:"mass" unit:"ratio" range:"[50 %,200 %]" default:"100 %" doc:"of the curtain, against nominal"`
	Temperature float64 `yaml:"temperature" unit:"temperature" range:"[-40 °C,60 °C]" default:"20 °C" doc:"of air, battery and grease"`
	Charge      float64 `yaml:"charge" unit:"ratio" range:"[0,1]" default:"90 %" doc:"of the battery"`
}

type trialLimits struct {
	Reversal *float64 `yaml:"reversal" unit:"time" range:"(0 s,60 s]" doc:"from contact to the start of the reversal"`
	Rise     *float64 `yaml:"rise" unit:"length" range:"(0 m,2 m]" doc:"that the edge must rise at least"`
	LowerEnd *float64 `yaml:"lower end" unit:"time" range:"(0 s,45 s]" doc:"a door that has not reached its lower end by then has been turned"`
	Peak     *float64 `yaml:"peak" unit:"force" range:"(0 N,10 kN]" doc:"greatest force"`
	Above    *float64 `yaml:"above 150 N" unit:"time" range:"(0 s,5 s]" doc:"for how long the force may be above 150 N"`
	Static   *float64 `yaml:"static" unit:"force" range:"(0 N,10 kN]" doc:"greatest force after that"`
}

// Check tells what no tag can say.
func (st *StandardTest) Check(r *Report) {
	bay := st.Truck.Bays.Get(st.Bay)
	if bay == nil {
		r.Add(st.PosOf("bay"), fmt.Sprintf("the truck has no bay %q", st.Bay), wordHint(st.Bay, st.Truck.Bays.Keys()))
		return
	}
	for i := range st.Heights {
		if h := &st.Heights[i]; h.Height <= 0 || h.Height > bay.Track.Opening-2*openRest {
			r.Add(h.Pos(), "an object must fit under the open door", "")
		}
	}
	for i := range st.Arrangements {
		if a := &st.Arrangements[i]; bay.Edge == nil && a.Edge != "none" {
			r.Add(a.Pos(), fmt.Sprintf("bay %s has no sensing edge that could be %s", st.Bay, a.Edge), "sensing edge: none")
		}
	}
	if st.Kind == "obstruction" && (st.Limits.Reversal == nil || st.Limits.LowerEnd == nil) {
		r.Add(st.PosOf("limits"), "an obstruction test has the limits reversal and lower end", "")
	}
	if st.Kind == "force" && (st.Limits.Peak == nil || st.Limits.Above == nil || st.Limits.Static == nil) {
		r.Add(st.PosOf("limits"), "a force test has the limits peak, above 150 N and static", "")
	}
}

// TrialRow is one trial of a standard test with what it measured.
type TrialRow struct {
	Arrangement, Condition string
	Height                 float64 // m; NaN for the run without an object
	standard.Result
	Passed bool
	Why    string // what missed its limit
}

// Run makes all trials, in file order. The row without an object of each
// arrangement and condition tells what closing takes, and comes first. progress
// is told how many are done; it may be nil.
func (st *StandardTest) Run(table *logic.Table, progress func(done, all int)) ([]TrialRow, error) {
	all := len(st.Arrangements) * len(st.Conditions) * (len(st.Heights) + 1)
	var rows []TrialRow
	for i := range st.Arrangements {
		for k := range st.Conditions {
			for h := -1; h < len(st.Heights); h++ {
				row, err := st.trial(table, &st.Arrangements[i], &st.Conditions[k], h)
				if err != nil {
					return nil, err
				}
				rows = append(rows, row)
				if progress != nil {
					progress(len(rows), all)
				}
			}
		}
	}
	return rows, nil
}

func (st *StandardTest) trial(table *logic.Table, a *Arrangement, c *TrialCondition, height int) (TrialRow, error) {
	s, bay := st.setup(table, a, c)
	row := TrialRow{Arrangement: a.Name, Condition: c.Name, Height: math.NaN()}
	var obstacle *model.Obstacle
	if height >= 0 {
		row.Height = st.Heights[height].Height
		obstacle = &model.Obstacle{Top: row.Height, Stiffness: st.Stiffness}
	}
	var err error
	if row.Result, err = standard.Run(s, bay, obstacle); err != nil {
		return row, err
	}
	row.Why = st.misses(&row)
	row.Passed = row.Why == ""
	return row, nil
}

// setup is the truck of an arrangement under a condition, and the bay under test.
func (st *StandardTest) setup(table *logic.Table, a *Arrangement, c *TrialCondition) (sim.Setup, int) {
	p := st.Truck.Params()
	p.Ambient = model.Ambient{Temperature: c.Temperature - kelvin}
	tuned := *table
	tuned.Tuning.ClosingDuty = a.Duty
	tuned.Tuning.SlowDuty = min(tuned.Tuning.SlowDuty, a.Duty) // near the floor it is not faster
	s := sim.Setup{Truck: p, Charge: c.Charge, Locks: logic.NewLocks(&tuned, sim.DefaultTickSteps*model.DefaultStep)}
	bay := 0
	for i := range p.Bays {
		b := &s.Truck.Bays[i]
		if b.Name == st.Bay {
			bay = i
			b.Curtain.Mass *= c.Mass
			b.Seal.EdgeFitted = b.Seal.EdgeFitted && a.Edge != "none"
		}
		s.Doors = append(s.Doors, logic.NewDoor(&tuned, sim.DefaultTickSteps*model.DefaultStep))
	}
	if a.Edge == "deaf" {
		s.Faults = append(s.Faults, sim.Scheduled{Fault: mustFault("deaf-edge", bay)})
	}
	if a.Sill != nil {
		s.Faults = append(s.Faults, sim.Scheduled{Fault: mustFault("sill-switch-stuck-open", bay)})
	}
	return s, bay
}

func mustFault(kind string, place int) sim.Fault {
	k, ok := fault.Find(kind)
	if !ok {
		panic("scenarios: no kind of fault " + kind)
	}
	f, err := k.New(place, nil)
	if err != nil {
		panic("scenarios: " + err.Error())
	}
	return f
}

// misses says which limit a trial missed, or nothing.
func (st *StandardTest) misses(row *TrialRow) string {
	l := &st.Limits
	over := func(x float64, limit *float64) bool { return limit != nil && !(x <= *limit) }
	switch {
	case math.IsNaN(row.Height):
		return st.missesLowerEnd(row)
	case math.IsNaN(row.Contact):
		return "never reached the object"
	case over(row.Reversal, l.Reversal):
		return "not turned in time"
	case l.Rise != nil && row.Rise < *l.Rise:
		return "rose too little"
	case st.Kind == "obstruction" && !row.Open:
		return "not fully open at the end"
	case over(row.Peak, l.Peak):
		return "peak too high"
	case over(row.Above, l.Above):
		return "above 150 N too long"
	case over(row.Static, l.Static):
		return "static force too high"
	}
	return ""
}

// missesLowerEnd judges the run without an object: a door that does not stay down
// at its lower end has been turned in time.
func (st *StandardTest) missesLowerEnd(row *TrialRow) string {
	if st.Kind == "force" {
		if math.IsNaN(row.Closed) {
			return "did not close" // so nothing tells what closing costs
		}
		return ""
	}
	if row.Open && !(row.Turned <= *st.Limits.LowerEnd) {
		return "not turned in time"
	}
	if !row.Open && math.IsNaN(row.Closed) {
		return "neither down nor turned"
	}
	return ""
}

// LoadStandardTest reads a standard test. The error is of type Problems.
func (l *Loader) LoadStandardTest(name string) (*StandardTest, error) {
	var st StandardTest
	if err := l.Load(name, &st); err != nil {
		return nil, err
	}
	return &st, nil
}

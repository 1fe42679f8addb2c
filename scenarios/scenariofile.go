package scenarios

import (
	"slatbench/model"
	"slatbench/sim"
)

// Scenario is one run as written in a file.
type Scenario struct {
	Located
	Overlay
	Name       string        `yaml:"scenario,required" doc:"what it is about"`
	Truck      TruckFile     `yaml:"truck,required" doc:"the truck, or the file that describes it"`
	Logic      string        `yaml:"logic" default:"logic/baseline.yaml" doc:"the logic table that every controller runs"`
	Ambient    ambientPart   `yaml:"ambient" doc:"where the truck stands"`
	Start      startPart     `yaml:"start" doc:"how it stands before anything happens"`
	Duration   float64       `yaml:"duration,required" unit:"time" range:"[100 ms,24 h]" doc:"how long the run is"`
	Seed       uint64        `yaml:"seed" doc:"of what is left to chance, such as extra pulses"`
	TimeStep   float64       `yaml:"time step" unit:"time" range:"[0.1 ms,2 ms]" default:"1 ms" doc:"of the model"`
	Tick       float64       `yaml:"controller tick" unit:"time" range:"[1 ms,100 ms]" default:"10 ms" doc:"of the controllers; a whole number of time steps"`
	HealedAt   *float64      `yaml:"healed at" unit:"time" range:"[1 ms,24 h]" doc:"from when on nothing is wrong any more, so that recovery is judged"`
	JudgeForce bool          `yaml:"judge contact force" doc:"judge the forces of EN 12453, which are measured anyway"`
	Steps      []Step        `yaml:"steps" doc:"what people do"`
	Faults     []FaultItem   `yaml:"faults" doc:"what is wrong, or in the way"`
	Expect     []Expectation `yaml:"expect" doc:"what must come of it, besides the requirements"`
}

type ambientPart struct {
	Temperature float64 `yaml:"temperature" unit:"temperature" range:"[-40 °C,60 °C]" default:"20 °C" doc:"of air, battery and grease"`
	Sunlight    float64 `yaml:"sunlight" unit:"illuminance" range:"[0 lx,120 klx]" default:"0 lx" doc:"on the receivers"`
	Grade       float64 `yaml:"grade" unit:"ratio" range:"[-20 %,20 %]" default:"0 %" doc:"slope across the truck; positive lifts the roof ends of the curbside tracks"`
}

type startPart struct {
	Located
	Charge  float64         `yaml:"charge" unit:"ratio" range:"[0,1]" default:"90 %" doc:"of the battery"`
	Locks   lockWord        `yaml:"locks" default:"unlocked" doc:"both lock bars"`
	Heights Map[heightPart] `yaml:"doors" doc:"heights of doors that are not down, by bay"`
	Taught  bool            `yaml:"taught" default:"yes" doc:"the travel is on record, as after teaching"`
}

type lockWord string

// Words implements Worder.
func (lockWord) Words() []string { return []string{"unlocked", "locked"} }

// heightPart is a height, or the word open.
type heightPart struct {
	Located
	Open   bool
	Height float64
}

// DecodeNode implements NodeDecoder.
func (h *heightPart) DecodeNode(d *Decoder, n *Node) error {
	if n.Kind == Scalar && n.Text == "open" {
		h.Open = true
		return nil
	}
	if v, ok := d.Quantity(n, "length"); ok {
		h.Height = v
	}
	return nil
}

// Step is something that a person does, at its time.
type Step struct {
	Located
	Kind  string
	Value any
}

type pressStep struct {
	At       float64 `yaml:"at,required" unit:"time" range:"[0 s,24 h]"`
	Bay      string  `yaml:"press,required" doc:"the bay that the remote is used at"`
	Length   float64 `yaml:"length" unit:"time" range:"[10 ms,1 h]" default:"200 ms" doc:"how long the button is held"`
	Aim      float64 `yaml:"aim" unit:"angle" range:"[-89 °,89 °]" default:"0 °" doc:"by which the beam misses the receiver, towards the next bay"`
	Distance float64 `yaml:"distance" unit:"length" range:"[0.1 m,100 m]" default:"3 m" doc:"from the receiver"`
}

type teachStep struct {
	At     float64 `yaml:"at,required" unit:"time" range:"[0 s,24 h]"`
	Bay    string  `yaml:"teach,required" doc:"the bay whose teach button is held, and pressed half a second later"`
	Length float64 `yaml:"length" unit:"time" range:"[100 ms,1 h]" default:"2 s" doc:"how long the teach button is held"`
}

type holdStep struct {
	At     float64 `yaml:"at,required" unit:"time" range:"[0 s,24 h]"`
	Bay    string  `yaml:"hold teach,required" doc:"the bay whose teach button is held, with no press"`
	Length float64 `yaml:"length" unit:"time" range:"[10 ms,1 h]" default:"2 s" doc:"how long it is held"`
}

type lockStep struct {
	At     float64   `yaml:"at,required" unit:"time" range:"[0 s,24 h]"`
	Side   sideWords `yaml:"lock,required" doc:"the side that the cab switch locks"`
	Length float64   `yaml:"length" unit:"time" range:"[10 ms,1 h]" default:"300 ms" doc:"how long the switch is held"`
}

type unlockStep struct {
	At     float64   `yaml:"at,required" unit:"time" range:"[0 s,24 h]"`
	Side   sideWords `yaml:"unlock,required" doc:"the side that the cab switch unlocks"`
	Length float64   `yaml:"length" unit:"time" range:"[10 ms,1 h]" default:"300 ms" doc:"how long the switch is held"`
}

type bypassStep struct {
	At   float64  `yaml:"at,required" unit:"time" range:"[0 s,24 h]"`
	Side sideWord `yaml:"bypass,required" doc:"the side whose bar is moved by hand"`
	To   lockWord `yaml:"to,required" doc:"the end that it is moved to"`
}

type sideWords string

// Words implements Worder.
func (sideWords) Words() []string { return []string{"curbside", "roadside", "both"} }

func (s sideWords) sides() []model.Side {
	switch s {
	case "curbside":
		return []model.Side{model.Curbside}
	case "roadside":
		return []model.Side{model.Roadside}
	}
	return []model.Side{model.Curbside, model.Roadside}
}

// Kinds implements Chooser.
func (s *Step) Kinds() []Kind {
	return []Kind{
		{"press", "a press of the remote", func() any { return &pressStep{} }},
		{"teach", "the teach button and a press", func() any { return &teachStep{} }},
		{"hold teach", "the teach button alone", func() any { return &holdStep{} }},
		{"lock", "the cab switch, to lock", func() any { return &lockStep{} }},
		{"unlock", "the cab switch, to unlock", func() any { return &unlockStep{} }},
		{"bypass", "a lock bar moved by hand", func() any { return &bypassStep{} }},
	}
}

// Select implements Chooser.
func (s *Step) Select(key string, value any) { s.Kind, s.Value = key, value }

// pressAfterTeach is how long after the teach button the remote is pressed, s.
const pressAfterTeach = 0.5

// actions are the step as the bench plays it.
func (s *Step) actions(sc *Scenario) []sim.Action {
	at := func(seconds float64) int64 { return sc.steps(seconds) }
	switch v := s.Value.(type) {
	case *pressStep:
		return []sim.Action{{At: at(v.At), Kind: sim.Press, Bay: sc.bay(v.Bay), Span: at(v.Length), Aim: v.Aim, Distance: v.Distance}}
	case *teachStep:
		return []sim.Action{
			{At: at(v.At), Kind: sim.TeachHold, Bay: sc.bay(v.Bay), Span: at(v.Length)},
			{At: at(v.At + pressAfterTeach), Kind: sim.Press, Bay: sc.bay(v.Bay), Span: at(0.2), Distance: 1},
		}
	case *holdStep:
		return []sim.Action{{At: at(v.At), Kind: sim.TeachHold, Bay: sc.bay(v.Bay), Span: at(v.Length)}}
	case *lockStep:
		return askSides(v.Side, sim.Action{At: at(v.At), Kind: sim.LockAsk, Span: at(v.Length)})
	case *unlockStep:
		return askSides(v.Side, sim.Action{At: at(v.At), Kind: sim.UnlockAsk, Span: at(v.Length)})
	case *bypassStep:
		kind := sim.BypassUnlck
		if v.To == "locked" {
			kind = sim.BypassLock
		}
		return []sim.Action{{At: at(v.At), Kind: kind, Side: v.Side.side()}}
	}
	return nil
}

func askSides(sides sideWords, a sim.Action) []sim.Action {
	var list []sim.Action
	for _, s := range sides.sides() {
		a.Side = s
		list = append(list, a)
	}
	return list
}

// bayNamed is the name of the bay that a step is about, or "".
func (s *Step) bayNamed() (key, name string) {
	switch v := s.Value.(type) {
	case *pressStep:
		return "press", v.Bay
	case *teachStep:
		return "teach", v.Bay
	case *holdStep:
		return "hold teach", v.Bay
	}
	return "", ""
}

// at is the time of a step in s.
func (s *Step) at() float64 {
	switch v := s.Value.(type) {
	case *pressStep:
		return v.At
	case *teachStep:
		return v.At
	case *holdStep:
		return v.At
	case *lockStep:
		return v.At
	case *unlockStep:
		return v.At
	case *bypassStep:
		return v.At
	}
	return 0
}

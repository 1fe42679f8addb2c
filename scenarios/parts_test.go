package scenarios

import (
	"testing/fstest"
)

// The structs below stand in for a scenario file: small, but with every kind of
// shape that the reader knows.

type testScenario struct {
	Located
	Overlay
	Title   string      `yaml:"scenario,required" doc:"what the scenario is about"`
	Truck   testTruck   `yaml:"truck,required" doc:"the truck, or the file that describes it"`
	Ambient testAmbient `yaml:"ambient"`
	Length  float64     `yaml:"duration,required" unit:"time" range:"(0, 24 h]" doc:"how long to run"`
	Seed    uint64      `yaml:"seed"`
	Faults  []testFault `yaml:"faults"`
	Steps   []testStep  `yaml:"steps"`
}

type testAmbient struct {
	Temperature float64 `yaml:"temperature" unit:"temperature" range:"[-60 °C, 80 °C]" default:"20 °C"`
	Sunlight    float64 `yaml:"sunlight" unit:"illuminance" range:"[0,150 klx]"`
}

type testTruck struct {
	Located
	Overlay
	Name    string        `yaml:"name"`
	Battery testBattery   `yaml:"battery,required"`
	Bays    Map[testBay]  `yaml:"bays,required" each:"each bay" doc:"the bays by name"`
	Gauges  []float64     `yaml:"wires" unit:"wire gauge"`
	Edge    *testEdge     `yaml:"sensing edge" doc:"left out with the word none"`
	Side    testSide      `yaml:"parked" default:"level"`
	Spare   *float64      `yaml:"spare charge" unit:"charge"`
	Coils   int           `yaml:"coils" range:"[1,200]"`
	Pulses  uint16        `yaml:"pulses" unit:"pulses"`
	Lines   Map[testLine] `yaml:"lines" each:"each line"`
	Usual   *testFault    `yaml:"usual fault"`
	Weights Map[testPair] `yaml:"weights"`
	Locks   bool          `yaml:"locks" default:"yes"`
}

type testPair struct {
	Left  float64 `yaml:"left" unit:"mass"`
	Right float64 `yaml:"right" unit:"mass"`
}

// testLine reads "A->B" by itself, or {start: A, length: 3 m, colour: red}.
type testLine struct {
	Located
	From, To string
	Length   float64
}

func (l *testLine) DecodeNode(d *Decoder, n *Node) error {
	if n.Kind == Mapping {
		var start struct {
			Start  string `yaml:"start,required"`
			Colour string `yaml:"colour"`
			Length string `yaml:"length"`
		}
		d.Into(n, &start)
		l.From = start.Start
		if colour := n.Get("colour"); colour != nil {
			l.To, _ = d.Word(colour, []string{"red", "black"})
		}
		if length := n.Get("length"); length != nil {
			l.Length, _ = d.Quantity(length, "length")
		}
		if l.From == l.To {
			d.Report().Addf(n.Pos, "a line leads from %s to itself", l.From)
		}
		return nil
	}
	text, ok := d.Text(n)
	if !ok {
		return nil
	}
	for i := 0; i+2 <= len(text); i++ {
		if text[i:i+2] == "->" {
			l.From, l.To = text[:i], text[i+2:]
			return nil
		}
	}
	return &QuantityError{Message: "a line is written A->B"}
}

type testSide string

func (testSide) Words() []string { return []string{"level", "uphill", "downhill"} }

type testBattery struct {
	Located
	Cranking float64 `yaml:"cold cranking,required" unit:"current" range:"(0,2000 A]"`
	Age      float64 `yaml:"age" unit:"ratio" range:"[0,1]"`
}

type testEdge struct {
	Force float64 `yaml:"force,required" unit:"force"`
}

type testBay struct {
	Located
	Height  float64    `yaml:"height,required" unit:"length" range:"(0,4 m]"`
	Spring  testSpring `yaml:"counterbalance,required"`
	Mass    float64    `yaml:"mass,required" unit:"mass" range:"(0,500 kg]"`
	Comment string     `yaml:"comment"`
}

func (b *testBay) Check(r *Report) {
	if b.Mass > 100*b.Height {
		r.Add(b.PosOf("mass"), "the curtain is too heavy for its height", "")
	}
}

type testSpring struct {
	Rate  float64 `yaml:"rate,required" unit:"torque per turn" range:"(0,100 N·m/turn]"`
	Turns float64 `yaml:"initial turns,required" unit:"turns" range:"[0,30]"`
}

type testFault struct {
	Located
	Kind  string
	Value any
}

func (f *testFault) Kinds() []Kind {
	return []Kind{
		{"obstruction", "a thing in the way", func() any { return &testObstruction{} }},
		{"open lead", "a motor lead that is open", func() any { return &testLead{} }},
	}
}

func (f *testFault) Select(key string, value any) { f.Kind, f.Value = key, value }

type testWhen struct {
	From  float64  `yaml:"from" unit:"time"`
	Until *float64 `yaml:"until" unit:"time"`
}

type testObstruction struct {
	testWhen
	Bay       string  `yaml:"obstruction,required"`
	Height    float64 `yaml:"height,required" unit:"length" range:"[0,4 m]"`
	Stiffness float64 `yaml:"stiffness" unit:"stiffness" default:"500 N/mm"`
}

type testLead struct {
	testWhen
	Bay string `yaml:"open lead,required" words:"C1,C2"`
}

type testStep struct {
	Located
	Kind  string
	Value any
}

func (s *testStep) Kinds() []Kind {
	return []Kind{{"press", "a press of the remote", func() any { return &testPress{} }}}
}

func (s *testStep) Select(key string, value any) { s.Kind, s.Value = key, value }

type testPress struct {
	At  float64 `yaml:"at,required" unit:"time"`
	Bay string  `yaml:"press,required"`
}

const testTruckFile = `name: produce truck
battery: {cold cranking: 650 A}
each bay:
  height: 1.8 m
  mass: 32 kg
  counterbalance:
    rate: 2.48 N·m/turn
    initial turns: 6.6 turns
bays:
  C1: {}
  C2: {mass: 70 lb}
sensing edge: {force: 60 N}
wires: [8 AWG, 2/0 AWG]
`

const testScenarioFile = `scenario: Morning stop
truck: trucks/produce.yaml
ambient: {temperature: 4 °C}
duration: 40 s
faults:
  - {obstruction: C1, from: 10 s, height: 300 mm, stiffness: 20 N/mm}
steps:
  - {at: 1 s, press: C1}
`

func testShipped() fstest.MapFS {
	return fstest.MapFS{
		"trucks/produce.yaml":  {Data: []byte(testTruckFile)},
		"trucks/no-edge.yaml":  {Data: []byte("from: produce.yaml\nsensing edge: none\n")},
		"demo/morning.yaml":    {Data: []byte(testScenarioFile)},
		"trucks/circle-a.yaml": {Data: []byte("from: circle-b.yaml\n")},
		"trucks/circle-b.yaml": {Data: []byte("from: circle-a.yaml\n")},
	}
}

// loadText reads a text as if it stood in morning.yaml.
func loadText(text string, sets ...string) (*testScenario, error) {
	scenario := &testScenario{}
	loader := &Loader{Shipped: testShipped(), Set: sets}
	err := loader.LoadBytes("morning.yaml", []byte(text), scenario)
	return scenario, err
}

package live

import (
	"fmt"
	"slices"

	"slatbench/model"
	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// FramesPerSecond is how often a page is sent a frame while the truck's time goes on.
const FramesPerSecond = 30

// speeds of the run against the clock.
var speeds = []float64{0.1, 1, 10}

// welcome is what does not change while a server runs. The title is that of what the
// command line has named.
func (s *shelf) welcome(version, title string) *Welcome {
	w := &Welcome{
		Is: IsWelcome, Protocol: ProtocolVersion, Version: version, Speeds: speeds, Frames: FramesPerSecond,
		Scenarios: []Listed{}, Lessons: []Listed{},
	}
	if s.wanted.Scenario != "" {
		w.Scenarios = append(w.Scenarios, Listed{Name: s.wanted.Scenario, Title: title, Group: "yours"})
	}
	for _, name := range scenarios.ShippedNames(scenarios.ScenarioKind) {
		title, err := scenarios.Title(scenarios.ScenarioKind, name)
		if err != nil || name == s.wanted.Scenario {
			continue
		}
		group, _, _ := cutLast(name)
		w.Scenarios = append(w.Scenarios, Listed{Name: name, Title: title, Group: group})
	}
	w.Lessons = append(w.Lessons, s.lessons()...)
	for _, k := range fault.Kinds() {
		w.Kinds = append(w.Kinds, describeKind(&k))
	}
	for _, id := range require.IDs {
		w.Requirements = append(w.Requirements, Requirement{id, requirementTexts[id]})
	}
	for i, name := range sim.AlarmNames {
		w.Alarms = append(w.Alarms, AlarmWords{i + 1, name, alarmMeanings[i]})
	}
	return w
}

func cutLast(name string) (folder, file string, ok bool) {
	for i := len(name) - 1; i >= 0; i-- {
		if name[i] == '/' {
			return name[:i], name[i+1:], true
		}
	}
	return "", name, false
}

// groups are the headings under which switches of faults are offered, with the kinds
// of each in the order of the list.
var groups = []struct {
	title string
	kinds []string
}{
	{"In the way", []string{"obstruction", "leaning-cargo"}},
	{"Curtain and springs", []string{"added-friction", "weak-counterbalance", "broken-counterbalance", "weak-closing-spring", "broken-closing-spring", "jammed-closing-spring"}},
	{"Drive", []string{"open-motor-lead", "manual-release-open", "welded-up-contact", "welded-down-contact", "open-up-contact", "open-down-contact", "welded-enable-contact", "open-enable-contact"}},
	{"Encoder", []string{"missed-pulses", "extra-pulses", "slipping-reel", "stuck-reel", "exchanged-encoder"}},
	{"Remote and receiver", []string{"dirty-lens", "sunlight", "weak-remote-cell", "unplugged-receiver", "reflected-press", "held-remote-button"}},
	{"Supply", []string{"low-battery", "aged-battery", "corroded-connector", "corroded-feed-connector", "supply-interruption", "failed-current-sensor", "wrong-supply-reading"}},
	{"Switches and sensing edge", []string{"sill-switch-stuck-made", "sill-switch-stuck-open", "open-edge-wire", "shorted-edge-wire", "deaf-edge", "stuck-door-down-wire"}},
	{"Locks", []string{"blocked-lock-bar", "open-lock-actuator", "stuck-lock-switch"}},
}

func groupOf(kind string) string {
	for i := range groups {
		if slices.Contains(groups[i].kinds, kind) {
			return groups[i].title
		}
	}
	return "Other"
}

// shownUnits are the units of the trade for the parameters of faults, by dimension: a
// number in SI units times scale.
var shownUnits = map[string]struct {
	unit  string
	scale float64
}{
	"length": {"mm", 1000}, "force": {"N", 1}, "stiffness": {"N/mm", 1e-3}, "ratio": {"%", 100}, "voltage": {"V", 1},
	"resistance": {"mΩ", 1000}, "speed": {"m/s", 1}, "pulses": {"pulses", 1}, "pulse rate": {"pulses/s", 1},
	"pulses per length": {"pulses/m", 1}, "illuminance": {"klx", 1e-3},
}

func describeKind(k *fault.Kind) FaultKind {
	d := FaultKind{
		Name: k.Name, Group: groupOf(k.Name), On: k.Place.String(), Part: k.Part, Event: k.Event,
		Doc: k.Doc, Does: k.Changes, Params: []FaultParam{},
	}
	for i := range k.Params {
		p := &k.Params[i]
		u := shownUnits[p.Unit]
		d.Params = append(d.Params, FaultParam{
			Name: p.Name, Doc: p.Doc, Words: p.Words, Usual: p.Default, Min: p.Min, Max: p.Max,
			Mild: p.Mild, Severe: p.Severe, Severity: p.Severity(), Unit: u.unit, Scale: u.scale,
		})
	}
	return d
}

// describe is the truck and the run of a rig.
func (r *rig) describe() *Bench {
	p, b := &r.setup.Truck, r.bench
	d := &Bench{
		Is: IsBench, Lesson: r.way != nil, Title: r.src.title, Name: r.src.name, Truck: r.src.sc.Truck.Name, Logic: r.src.under.Title(),
		Tick: float64(b.TickSteps) * b.Truck.StepSize(), Start: r.now(), Duration: b.Seconds(r.setup.Duration),
		Ambient:    Ambient{p.Ambient.Temperature, p.Ambient.Sunlight, p.Ambient.Grade},
		States:     append([]string{}, r.watch.states.words...),
		BayColumns: bayColumns, SideColumns: sideColumns, TruckColumns: truckColumns, SampleColumns: sampleColumns,
		Script: r.planned(), Limits: limitsOf(p),
	}
	for i := range p.Bays {
		y := &p.Bays[i]
		d.Bays = append(d.Bays, Bay{
			ID: y.Name, Side: y.Side.String(), Station: y.Station,
			Opening: y.Track.Opening, Vertical: y.Track.Vertical, Bend: y.Track.Bend, Length: y.Curtain.Length, Mass: y.Curtain.Mass,
			Drum: y.Counterbalance.DrumRadius, Turns: y.Counterbalance.InitialTurns, Seal: y.Seal.SoftTravel, Sill: y.Stops.SillHeight,
			Edge: y.Seal.EdgeFitted, EdgeN: y.Seal.EdgeForce, Pulses: y.Encoder.PulsesPerMetre, TurnPls: y.Encoder.PulsesPerTurn,
			TwoChan: y.Encoder.Quadrature,
		})
	}
	for s := range p.Locks {
		l := Side{ID: sideNames[s], Bays: []string{}, Stroke: p.Locks[s].Stroke, Clear: p.Locks[s].Clear}
		for i := range p.Bays {
			if p.Bays[i].Side == model.Side(s) {
				l.Bays = append(l.Bays, p.Bays[i].Name)
			}
		}
		d.Sides = append(d.Sides, l)
	}
	return d
}

// limitsOf are the limits that requirements judge by, and how far axes go by habit.
func limitsOf(p *model.TruckParams) Limits {
	l := Limits{
		ContactPeak: require.ContactPeak, ContactStatic: require.ContactStatic, SupplyStart: require.SupplyStart,
		BrownOut: sim.DefaultRatings().BrownOut, Slack: require.SlackMost, Open: sim.OpenTolerance, Closed: sim.ClosedTolerance,
		CurrentAxis: 20, ContactAxis: 500, SupplyAxis: 13,
	}
	for i := range p.Bays {
		weight := p.Bays[i].Curtain.Mass * model.Gravity
		l.TensionAxis = max(l.TensionAxis, weight+p.Bays[i].ClosingSpring.Preload+100)
	}
	return l
}

// planned is what the scenario does by itself, in order.
func (r *rig) planned() []Scripted {
	list := []Scripted{}
	names := r.bayNames()
	for i := range r.setup.Actions {
		a := &r.setup.Actions[i]
		list = append(list, Scripted{r.bench.Seconds(a.At), actionText(names, a)})
	}
	for _, f := range r.setup.Faults {
		if r.src.riddle() {
			break
		}
		k := f.Fault.(fault.Fault)
		place := r.placeName(&k)
		list = append(list, Scripted{r.bench.Seconds(f.From), faultOnText(k.Name, place)})
		if f.To > f.From {
			list = append(list, Scripted{r.bench.Seconds(f.To), faultOffText(k.Name, place)})
		}
	}
	slices.SortStableFunc(list, func(a, b Scripted) int {
		switch {
		case a.At < b.At:
			return -1
		case a.At > b.At:
			return 1
		}
		return 0
	})
	return list
}

func (r *rig) bayNames() []string {
	var names []string
	for i := range r.setup.Truck.Bays {
		names = append(names, r.setup.Truck.Bays[i].Name)
	}
	return names
}

// faults are those that are on, or about to be, but for what a learner has to find out.
func (r *rig) faults() *Faults {
	m := &Faults{Is: IsFaults, List: []FaultOn{}}
	for i := range r.laid {
		l := &r.laid[i]
		if !r.isOn(l) || l.hidden {
			continue
		}
		k, _ := fault.Find(l.fault.Name)
		values := map[string]float64{}
		for j := range k.Params {
			values[k.Params[j].Name] = l.fault.Values[j]
		}
		m.List = append(m.List, FaultOn{l.fault.Name, r.placeName(&l.fault), r.bench.Seconds(max(l.from, 0)), values})
	}
	return m
}

// title of the file in which a run is saved.
func savedTitle(title string, r *rig) string {
	if title == "" {
		title = r.src.title
	}
	return fmt.Sprintf("%s, as operated", title)
}

package scenarios

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatbench/model"
	"slatbench/sim/sizing"
)

// DefaultSize is the name of the size file that is answered when none is named.
const DefaultSize = "sizing/side-door.yaml"

// SizeFile is a question of sizing as written in a file. Parts start from one bay of
// a truck; a key that is given changes that value alone.
type SizeFile struct {
	Located
	Overlay
	Name       string         `yaml:"size,required" doc:"what it is about"`
	Truck      TruckFile      `yaml:"truck,required" doc:"where every value comes from that is not given here"`
	Bay        string         `yaml:"bay" doc:"the bay of the truck; the first one when left out"`
	Door       sizeDoor       `yaml:"door" doc:"curtain, track and drums"`
	Closing    sizeClosing    `yaml:"closing spring" doc:"the light spring that pulls the curtain down"`
	Friction   sizeFriction   `yaml:"friction" doc:"what the curtain feels in its track"`
	Springs    sizeSprings    `yaml:"springs" doc:"the torsion springs and their shaft"`
	Drive      sizeDrive      `yaml:"drive" doc:"motor and gearbox"`
	Battery    sizeBattery    `yaml:"battery" doc:"the truck's battery"`
	Harness    sizeHarness    `yaml:"harness" doc:"the wiring from the battery to this door"`
	Branch     sizeBranch     `yaml:"branch" doc:"a thinner piece of it at the door, if there is one"`
	Place      sizePlace      `yaml:"place" doc:"where the truck stands"`
	Use        sizeUse        `yaml:"use" doc:"what the door has to do"`
	Limits     sizeLimits     `yaml:"limits" doc:"what answers are held against"`
	Tolerances sizeTolerances `yaml:"tolerances" doc:"how far trucks may lie from what is stated, either way"`
}

type sizeDoor struct {
	Located
	Width     *float64 `yaml:"width" unit:"length" range:"[0.2 m,10 m]" doc:"of the opening: how long the slats are"`
	Height    *float64 `yaml:"height" unit:"length" range:"[0.2 m,10 m]" doc:"of the opening, along the track"`
	Mass      *float64 `yaml:"mass" unit:"mass" range:"[1 kg,500 kg]" doc:"of the whole curtain; or by its slats"`
	Slats     *int     `yaml:"slats" range:"[2,200]" doc:"how many"`
	SlatMass  *float64 `yaml:"slat mass" unit:"mass per length" range:"[50 g/m,20 kg/m]" doc:"of a slat, a length of it"`
	Pitch     *float64 `yaml:"slat height" unit:"length" range:"[10 mm,500 mm]" doc:"from slat to slat"`
	BottomBar float64  `yaml:"bottom bar" unit:"mass" range:"[0 kg,50 kg]" default:"0 kg" doc:"what the bottom bar is heavier, with edge and handle"`
	Length    *float64 `yaml:"length" unit:"length" range:"[0.2 m,10 m]" doc:"of the curtain; the slats' together, or the height of the opening, when left out"`
	Vertical  *float64 `yaml:"vertical" unit:"length" range:"[0.1 m,10 m]" doc:"straight part of the track before the bend; as far below the opening's height as the truck's when left out"`
	Bend      *float64 `yaml:"bend" unit:"length" range:"[10 mm,2 m]" doc:"radius of the bend"`
	Drum      *float64 `yaml:"drum radius" unit:"length" range:"[10 mm,500 mm]" doc:"of the cable drums"`
}

type sizeClosing struct {
	Preload *float64 `yaml:"preload" unit:"force" range:"[0 N,1 kN]" doc:"pull at closed"`
	Rate    *float64 `yaml:"rate" unit:"stiffness" range:"[0 N/m,1 kN/m]" doc:"by which the pull grows with height"`
}

type sizeFriction struct {
	Located
	Running   *float64 `yaml:"running" unit:"force" range:"[0 N,1 kN]" doc:"dry, while the curtain moves"`
	Breakaway *float64 `yaml:"breakaway" unit:"force" range:"[0 N,1 kN]" doc:"dry, before it moves"`
	Viscous   *float64 `yaml:"viscous" unit:"damping" range:"[0 N·s/m,2000 N·s/m]" doc:"at 20 °C; grows as grease thickens in the cold"`
}

type sizeSprings struct {
	Located
	Turns      *float64       `yaml:"initial turns" unit:"turns" range:"[0 turns,40 turns]" doc:"turns wound on at closed"`
	Rate       *float64       `yaml:"rate" unit:"torque per turn" range:"(0 N·m/turn,500 N·m/turn]" doc:"of all springs together, where nothing else is known of them"`
	Convention conventionWord `yaml:"convention" default:"textbook" doc:"how the rate is reckoned from the wire: textbook (every coil, 10.8) or rate book (five dead coils, 64/2π)"`
	Shaft      sizeShaft      `yaml:"shaft" doc:"what carries them"`
	List       []sizeSpring   `yaml:"list" doc:"the springs on the shaft"`
}

type sizeShaft struct {
	Diameter *float64 `yaml:"diameter" unit:"length" range:"[1 mm,200 mm]" doc:"outside"`
	Length   *float64 `yaml:"length" unit:"length" range:"[10 mm,20 m]" doc:"free for springs, between plates and drums"`
}

type conventionWord string

// Words implements Worder.
func (conventionWord) Words() []string { return []string{"textbook", "rate book"} }

func (w conventionWord) convention() sizing.Convention {
	if w == "rate book" {
		return sizing.RateBook
	}
	return sizing.Textbook
}

// steelWord is the wire that a spring is wound from.
type steelWord string

// Words implements Worder.
func (steelWord) Words() []string { return []string{"oil-tempered", "hard-drawn", "music wire"} }

func (w steelWord) steel() model.SpringSteel {
	switch w {
	case "hard-drawn":
		return model.HardDrawn
	case "music wire":
		return model.MusicWire
	}
	return model.OilTempered
}

type sizeSpring struct {
	Located
	Name    string    `yaml:"name" doc:"what the spring is called"`
	Wire    float64   `yaml:"wire,required" unit:"length" range:"[0.5 mm,13 mm]" doc:"diameter of the wire"`
	Inside  *float64  `yaml:"inside" unit:"length" range:"[1 mm,500 mm]" doc:"inside diameter of the free coil; or mean, or outside"`
	Mean    *float64  `yaml:"mean" unit:"length" range:"[1 mm,500 mm]" doc:"mean diameter"`
	Outside *float64  `yaml:"outside" unit:"length" range:"[1 mm,500 mm]" doc:"outside diameter"`
	Length  *float64  `yaml:"length" unit:"length" range:"[10 mm,10 m]" doc:"of the free coil; or coils; both for one that is not wound close"`
	Coils   *float64  `yaml:"coils" unit:"number" range:"[3,2000]" doc:"how many"`
	Steel   steelWord `yaml:"steel" default:"oil-tempered" doc:"what the wire is"`
	Modulus *float64  `yaml:"modulus" unit:"pressure" range:"[50 GPa,250 GPa]" doc:"Young's modulus, where it is not the table's"`
	Dead    *float64  `yaml:"dead coils" unit:"number" range:"[0,50]" doc:"held by the cones, where it is not the convention's"`
	Rate    *float64  `yaml:"rate" unit:"torque per turn" range:"(0 N·m/turn,500 N·m/turn]" doc:"as measured, instead of the wire's"`
	Count   int       `yaml:"count" range:"[1,8]" default:"1" doc:"how many such springs are on the shaft"`
}

type sizeDrive struct {
	Constant   *float64 `yaml:"motor constant" unit:"motor constant" range:"[1 mV·s/rad,1 V·s/rad]" doc:"volts by speed and torque by current: one number"`
	Resistance *float64 `yaml:"resistance" unit:"resistance" range:"[10 mΩ,100 Ω]" doc:"winding and brushes at 20 °C"`
	Ratio      *float64 `yaml:"ratio" unit:"number" range:"[1,2000]" doc:"motor turns a shaft turn"`
	Efficiency *float64 `yaml:"efficiency" unit:"ratio" range:"[20 %,100 %]" doc:"of the gears; below 50 % they do not back-drive"`
	Friction   *float64 `yaml:"friction" unit:"torque" range:"[0 N·m,5 N·m]" doc:"dry, at the motor shaft"`
	Inertia    *float64 `yaml:"inertia" unit:"inertia" range:"[1e-7 kg·m²,0.1 kg·m²]" doc:"of the rotor"`
	ThermalRes *float64 `yaml:"thermal resistance" unit:"thermal resistance" range:"[0.01 K/W,100 K/W]" doc:"winding to air"`
	ThermalCap *float64 `yaml:"heat capacity" unit:"heat capacity" range:"[1 J/K,100000 J/K]" doc:"of the winding"`
}

type sizeBattery struct {
	Located
	ColdCrank *float64 `yaml:"cold cranking" unit:"current" range:"[50 A,2000 A]" doc:"rated current at -18 °C for 30 s to 7.2 V"`
	Reserve   *float64 `yaml:"reserve" unit:"time" range:"[10 min,1000 min]" doc:"rated time at 25 A and 27 °C to 10.5 V"`
	Charge    float64  `yaml:"charge" unit:"ratio" range:"[0,1]" default:"90 %" doc:"when the door is asked to move"`
	Age       *float64 `yaml:"age" unit:"ratio" range:"[0,1]" doc:"0 new, 100 % at the end of its service life"`
	Peukert   *float64 `yaml:"peukert exponent" unit:"number" range:"[1,1.6]" doc:"how much faster a high current empties it"`
}

type sizeHarness struct {
	Located
	Wire        *int     `yaml:"wire" unit:"wire gauge" doc:"gauge, with the length each way"`
	Length      *float64 `yaml:"length" unit:"length" range:"[0 m,50 m]" doc:"each way"`
	Back        backWord `yaml:"back" default:"wire" doc:"the way back: another wire, or the chassis"`
	Resistance  *float64 `yaml:"resistance" unit:"resistance" range:"[0 Ω,10 Ω]" doc:"there and back at 20 °C, instead of wire and length"`
	Return      *float64 `yaml:"return" unit:"resistance" range:"[0 Ω,10 Ω]" doc:"of the way back through the chassis"`
	Connectors  *float64 `yaml:"connectors" unit:"resistance" range:"[0 Ω,10 Ω]" doc:"of all connectors together"`
	Accessories *float64 `yaml:"accessories" unit:"current" range:"[-200 A,200 A]" doc:"what else the truck takes; negative while it is charged"`
}

type backWord string

// Words implements Worder.
func (backWord) Words() []string { return []string{"wire", "chassis"} }

type sizeBranch struct {
	Located
	Wire       *int     `yaml:"wire" unit:"wire gauge" doc:"gauge, with the length each way"`
	Length     *float64 `yaml:"length" unit:"length" range:"[0 m,50 m]" doc:"each way"`
	Resistance *float64 `yaml:"resistance" unit:"resistance" range:"[0 Ω,10 Ω]" doc:"there and back at 20 °C, instead of wire and length"`
	Connectors *float64 `yaml:"connectors" unit:"resistance" range:"[0 Ω,10 Ω]" doc:"of all connectors together"`
}

type sizePlace struct {
	Temperature float64 `yaml:"temperature" unit:"temperature" range:"[-40 °C,60 °C]" default:"20 °C" doc:"of air, battery and grease"`
	Grade       float64 `yaml:"grade" unit:"ratio" range:"[-0.2,0.2]" default:"0 %" doc:"slope across the truck; positive lifts the roof end of a curbside track"`
}

type sizeUse struct {
	Located
	AnHour  float64 `yaml:"cycles an hour" unit:"number" range:"[0,120]" default:"12" doc:"opened and closed"`
	ACharge float64 `yaml:"cycles a charge" unit:"number" range:"[0,10000]" default:"60" doc:"before the battery is charged again"`
	Life    float64 `yaml:"life" unit:"cycles" range:"[0 cycles,10000000 cycles]" default:"10000 cycles" doc:"that the springs should last"`
}

// Check tells what no tag can say of a question.
func (f *SizeFile) Check(r *Report) {
	if len(f.Truck.Bays.Entries) == 0 {
		return // the truck says so itself
	}
	if f.Bay != "" && f.Truck.Bays.Get(f.Bay) == nil {
		r.Add(f.PosOf("bay"), fmt.Sprintf("the truck has no bay %s", quoted(f.Bay)), wordHint(f.Bay, f.Truck.Bays.Keys()))
		return
	}
	before := len(r.problems)
	f.checkDoor(r)
	f.checkSprings(r)
	f.checkHarness(r)
	if len(r.problems) > before {
		return
	}
	for _, p := range sizing.Check(f.Question()) {
		r.Add(f.PosOf(p.Path...), p.Error(), p.Hint)
	}
}

func (f *SizeFile) checkDoor(r *Report) {
	d := &f.Door
	if d.Mass != nil && (d.Slats != nil || d.SlatMass != nil) {
		r.Add(d.PosOf("mass"), "either the mass of the curtain or its slats, not both", "")
	}
	if (d.Slats != nil) != (d.SlatMass != nil) {
		r.Add(d.Pos(), "slats need both their number and their mass a length", `as in "slats: 36, slat mass: 0.72 kg/m"`)
	}
	if d.SlatMass != nil && d.Width == nil {
		r.Add(d.PosOf("slat mass"), "slats need the width of the opening", `as in "width: 1.1 m"`)
	}
}

func (f *SizeFile) checkSprings(r *Report) {
	s := &f.Springs
	if s.Rate != nil && len(s.List) > 0 {
		r.Add(s.PosOf("rate"), "either the rate of all springs or a list of them, not both", "")
	}
	for i := range s.List {
		s.List[i].check(r, s.Convention)
	}
}

func (s *sizeSpring) check(r *Report, c conventionWord) {
	given := 0
	for _, d := range []*float64{s.Inside, s.Mean, s.Outside} {
		if d != nil {
			given++
		}
	}
	switch {
	case given == 0:
		r.Add(s.Pos(), "a spring needs its inside, mean or outside diameter", `as in "inside: 2 in"`)
		return
	case given > 1:
		r.Add(s.Pos(), "one of inside, mean and outside diameter, not several", "")
		return
	case s.Length == nil && s.Coils == nil:
		r.Add(s.Pos(), "a spring needs its length or its coils", `as in "length: 27 in"`)
		return
	}
	if _, err := s.spring(c, ""); err != nil {
		r.Add(s.PosOf("wire"), "wire: "+strings.TrimPrefix(err.Error(), "spring: wire "), `give its modulus, as in "modulus: 200 GPa"`)
	}
}

func (f *SizeFile) checkHarness(r *Report) {
	h, b := &f.Harness, &f.Branch
	checkStretch(r, h.Located, h.Wire, h.Length, h.Resistance)
	checkStretch(r, b.Located, b.Wire, b.Length, b.Resistance)
}

func checkStretch(r *Report, at Located, wire *int, length, ohms *float64) {
	switch {
	case ohms != nil && (wire != nil || length != nil):
		r.Add(at.PosOf("resistance"), "either wire and length or a resistance, not both", "")
	case (wire != nil) != (length != nil):
		r.Add(at.Pos(), "needs wire and length both, or a resistance", `as in "wire: 10 AWG, length: 12 ft"`)
	}
}

// spring is one of the list, by the convention of its list.
func (s *sizeSpring) spring(c conventionWord, name string) (sizing.Spring, error) {
	mean := 0.0
	switch {
	case s.Mean != nil:
		mean = *s.Mean
	case s.Outside != nil:
		mean = *s.Outside - s.Wire
	default:
		mean = *s.Inside + s.Wire
	}
	out := sizing.Spring{Name: name, Steel: s.Steel.steel(), Cost: math.NaN()}
	if s.Name != "" {
		out.Name = s.Name
	}
	coils := 0.0
	if s.Coils != nil {
		coils = *s.Coils
	} else {
		coils = *s.Length / s.Wire
	}
	if s.Length != nil {
		out.Body = *s.Length
	}
	if s.Rate != nil {
		out.Measured = *s.Rate
	}
	var err error
	out.Wire, err = c.convention().Wind(s.Wire, mean, coils, out.Steel, orNaN(s.Modulus), orNaN(s.Dead))
	if err != nil && s.Rate != nil { // a measured rate needs no modulus
		out.Wire.E, err = 200e9, nil
	}
	return out, err
}

func orNaN(x *float64) float64 {
	if x == nil {
		return math.NaN()
	}
	return *x
}

// Question is what the file asks. It must have been loaded without a problem.
func (f *SizeFile) Question() *sizing.Question {
	i := max(0, slices.Index(f.Truck.Bays.Keys(), f.Bay))
	bay := &f.Truck.Bays.Entries[i].Value
	params := f.Truck.Params()
	q := sizing.FromTruck(&params, i)
	q.Title, q.Charge = f.Name, f.Battery.Charge
	q.Ambient.Temperature, q.Ambient.Grade = celsius(f.Place.Temperature), f.Place.Grade
	q.Use = sizing.Use{CyclesAnHour: f.Use.AnHour, CyclesACharge: f.Use.ACharge, Life: f.Use.Life}
	f.door(q)
	f.parts(q)
	f.wiring(q, bay)
	f.springs(q)
	q.Limits.OfUse(q.Use)
	f.Limits.apply(&q.Limits)
	return q
}

// take changes a value that the file gives.
func take(to *float64, from *float64) {
	if from != nil {
		*to = *from
	}
}

func (f *SizeFile) door(q *sizing.Question) {
	d, b := &f.Door, &q.Bay
	if d.Height != nil {
		b.Track.Vertical += *d.Height - b.Track.Opening // the bend stays as far from the top
		b.Track.Opening, b.Curtain.Length = *d.Height, *d.Height
	}
	if d.Slats != nil {
		n := float64(*d.Slats)
		b.Curtain.Mass = float64(n**d.SlatMass**d.Width) + d.BottomBar
		if d.Pitch != nil {
			b.Curtain.Length = n * *d.Pitch
		}
	}
	take(&b.Curtain.Mass, d.Mass)
	take(&b.Curtain.Length, d.Length)
	take(&b.Track.Vertical, d.Vertical)
	take(&b.Track.Bend, d.Bend)
	take(&b.Counterbalance.DrumRadius, d.Drum)
}

func (f *SizeFile) parts(q *sizing.Question) {
	b := &q.Bay
	take(&b.ClosingSpring.Preload, f.Closing.Preload)
	take(&b.ClosingSpring.Rate, f.Closing.Rate)
	take(&b.Friction.Running, f.Friction.Running)
	take(&b.Friction.Breakaway, f.Friction.Breakaway)
	take(&b.Friction.Viscous, f.Friction.Viscous)
	d := &f.Drive
	take(&b.Drive.MotorConstant, d.Constant)
	take(&b.Drive.Resistance, d.Resistance)
	take(&b.Drive.Ratio, d.Ratio)
	take(&b.Drive.Efficiency, d.Efficiency)
	take(&b.Drive.DryFriction, d.Friction)
	take(&b.Drive.Inertia, d.Inertia)
	take(&b.Drive.ThermalRes, d.ThermalRes)
	take(&b.Drive.ThermalCap, d.ThermalCap)
	take(&q.Battery.ColdCrankA, f.Battery.ColdCrank)
	if f.Battery.Reserve != nil {
		q.Battery.ReserveMin = *f.Battery.Reserve / 60
	}
	take(&q.Battery.Age, f.Battery.Age)
	take(&q.Battery.Peukert, f.Battery.Peukert)
}

// wiring is the truck's, by gauge where the truck's is; a harness of the file's own
// goes all the way to the door, but for what its branch says.
func (f *SizeFile) wiring(q *sizing.Question, bay *bayPart) {
	if feed := &f.Truck.Feed; feed.Wire != nil {
		q.Feed = sizing.Harness{Wired: true, Gauge: *feed.Wire, Copper: feed.Length, Return: feed.Return, Connectors: feed.Connectors}
	}
	if b := &bay.Branch; b.Wire != nil {
		q.Branch = sizing.Harness{Wired: true, Gauge: *b.Wire, Copper: b.Length, Connectors: b.Connectors}
	}
	h := &f.Harness
	if h.Wire != nil || h.Resistance != nil {
		q.Feed, q.Branch = stretch(h.Wire, h.Length, h.Resistance), sizing.Harness{}
		if h.Back == "chassis" {
			q.Feed.Copper /= 2
		}
	}
	take(&q.Feed.Return, h.Return)
	take(&q.Feed.Connectors, h.Connectors)
	take(&q.Loads, h.Accessories)
	b := &f.Branch
	if b.Wire != nil || b.Resistance != nil {
		q.Branch = stretch(b.Wire, b.Length, b.Resistance)
	}
	take(&q.Branch.Connectors, b.Connectors)
}

func stretch(wire *int, length, ohms *float64) sizing.Harness {
	if ohms != nil {
		return sizing.Harness{Ohms: *ohms}
	}
	return sizing.Harness{Wired: true, Gauge: *wire, Copper: 2 * *length}
}

func (f *SizeFile) springs(q *sizing.Question) {
	s := &f.Springs
	take(&q.Bay.Counterbalance.InitialTurns, s.Turns)
	take(&q.Bay.Counterbalance.Rate, s.Rate)
	take(&q.Shaft.Diameter, s.Shaft.Diameter)
	take(&q.Shaft.Length, s.Shaft.Length)
	for i := range s.List {
		for k := range s.List[i].Count {
			name := fmt.Sprintf("spring %d", len(q.Springs)+1)
			one, err := s.List[i].spring(s.Convention, name)
			if err != nil {
				panic("scenarios: a checked spring was refused: " + err.Error())
			}
			if s.List[i].Name != "" && s.List[i].Count > 1 {
				one.Name = fmt.Sprintf("%s (%d)", s.List[i].Name, k+1)
			}
			q.Springs = append(q.Springs, one)
		}
	}
}

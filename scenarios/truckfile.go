package scenarios

import (
	"math"

	"slatbench/model"
)

// TruckFile is a truck as written in a file.
type TruckFile struct {
	Located
	Overlay
	Name    string       `yaml:"truck,required" doc:"what this truck is called"`
	Battery batteryPart  `yaml:"battery,required" doc:"the truck's battery"`
	Feed    feedPart     `yaml:"feed,required" doc:"the supply that all bays share"`
	Remote  remotePart   `yaml:"remote,required" doc:"the infrared sender that the driver carries"`
	Locks   locksPart    `yaml:"locks,required" doc:"the lock bars of the two sides"`
	Bays    Map[bayPart] `yaml:"bays,required" each:"each bay" doc:"the doors by name"`
}

type batteryPart struct {
	ColdCrank float64 `yaml:"cold cranking,required" unit:"current" range:"[50 A,2000 A]" doc:"rated current at -18 °C for 30 s to 7.2 V"`
	Reserve   float64 `yaml:"reserve,required" unit:"time" range:"[10 min,1000 min]" doc:"rated time at 25 A and 27 °C to 10.5 V"`
	Age       float64 `yaml:"age" unit:"ratio" range:"[0,1]" default:"0 %" doc:"0 new, 100 % at the end of its service life"`
	Peukert   float64 `yaml:"peukert exponent" unit:"number" range:"[1,1.6]" default:"1.2" doc:"how much faster a high current empties it"`
}

type feedPart struct {
	Located
	Wire        *int     `yaml:"wire" unit:"wire gauge" doc:"gauge of the feed, with its length"`
	Length      float64  `yaml:"length" unit:"length" range:"[0 m,50 m]" default:"0 m" doc:"length of wire, one way"`
	Resistance  *float64 `yaml:"resistance" unit:"resistance" range:"[0 Ω,10 Ω]" doc:"instead of wire and length, at 20 °C"`
	Return      float64  `yaml:"return" unit:"resistance" range:"[0 Ω,10 Ω]" default:"0 Ω" doc:"of the way back through the chassis"`
	Connectors  float64  `yaml:"connectors" unit:"resistance" range:"[0 Ω,10 Ω]" default:"0 Ω" doc:"of all connectors together"`
	Accessories float64  `yaml:"accessories" unit:"current" range:"[-200 A,200 A]" default:"0 A" doc:"what else the truck takes; negative while it is charged"`
}

type remotePart struct {
	Intensity float64 `yaml:"intensity,required" unit:"radiant intensity" range:"(0 W/sr,100 W/sr]" doc:"on the axis, with a fresh cell"`
	HalfAngle float64 `yaml:"half angle,required" unit:"angle" range:"[1 °,80 °]" doc:"where half of the intensity is left"`
}

type locksPart struct {
	Curbside lockPart `yaml:"curbside,required" doc:"the bar of the curbside"`
	Roadside lockPart `yaml:"roadside,required" doc:"the bar of the roadside"`
}

type lockPart struct {
	Stroke     float64 `yaml:"stroke,required" unit:"length" range:"[10 mm,1 m]" doc:"unlocked to locked"`
	Clear      float64 `yaml:"clear,required" unit:"length" range:"[1 mm,1 m]" doc:"stroke in which the bar does not reach a curtain"`
	LatchPlay  float64 `yaml:"latch play,required" unit:"length" range:"[1 mm,100 mm]" doc:"a curtain no higher than this can be locked"`
	Mass       float64 `yaml:"mass,required" unit:"mass" range:"[0.1 kg,50 kg]" doc:"of the bar"`
	StallForce float64 `yaml:"stall force,required" unit:"force" range:"[10 N,10 kN]" doc:"of the actuator at 12 V"`
	FreeSpeed  float64 `yaml:"free speed,required" unit:"speed" range:"[5 mm/s,1 m/s]" doc:"of the actuator at 12 V"`
	Friction   float64 `yaml:"friction,required" unit:"force" range:"[0 N,5 kN]" doc:"dry friction of the bar"`
	Stall      float64 `yaml:"stall current,required" unit:"current" range:"[0.1 A,100 A]" doc:"of the actuator at 12 V"`
	Trip       float64 `yaml:"switch trip,required" unit:"length" range:"[0.5 mm,50 mm]" doc:"distance from an end at which its switch changes over"`
	Branch     float64 `yaml:"branch,required" unit:"resistance" range:"[0 Ω,10 Ω]" doc:"of its wires"`
}

type bayPart struct {
	Located
	Side           sideWord           `yaml:"side,required" doc:"side of the truck"`
	Station        float64            `yaml:"station,required" unit:"length" range:"[0 m,30 m]" doc:"place along the side, from its first bay"`
	Curtain        curtainPart        `yaml:"curtain,required" doc:"the linked slats"`
	Track          trackPart          `yaml:"track,required" doc:"the path of the curtain"`
	Counterbalance counterbalancePart `yaml:"counterbalance,required" doc:"torsion springs, shaft, drums and cables"`
	ClosingSpring  closingPart        `yaml:"closing spring,required" doc:"the light spring that pulls the curtain down"`
	Friction       frictionPart       `yaml:"friction,required" doc:"what the curtain feels in its track"`
	Drive          drivePart          `yaml:"drive,required" doc:"motor and gearbox"`
	Contacts       contactsPart       `yaml:"contacts,required" doc:"contacts of the power stage"`
	Branch         branchPart         `yaml:"branch,required" doc:"wires from the shared feed to this bay"`
	Encoder        encoderPart        `yaml:"encoder,required" doc:"the draw-wire encoder"`
	Receiver       receiverPart       `yaml:"receiver,required" doc:"the infrared receiver"`
	Seal           sealPart           `yaml:"edge seal,required" doc:"the rubber bulb on the bottom edge"`
	Edge           *edgePart          `yaml:"sensing edge" doc:"the pressure strip in the seal; none where there is none"`
	Stops          stopsPart          `yaml:"stops,required" doc:"the ends of the travel"`
}

type sideWord string

// Words implements Worder.
func (sideWord) Words() []string { return []string{"curbside", "roadside"} }

func (s sideWord) side() model.Side {
	if s == "roadside" {
		return model.Roadside
	}
	return model.Curbside
}

type curtainPart struct {
	Mass   float64 `yaml:"mass,required" unit:"mass" range:"[1 kg,500 kg]" doc:"of the whole curtain"`
	Length float64 `yaml:"length,required" unit:"length" range:"[0.2 m,10 m]" doc:"bottom edge to last slat"`
}

type trackPart struct {
	Opening  float64 `yaml:"opening,required" unit:"length" range:"[0.2 m,10 m]" doc:"height of the bottom edge at the open stop, along the track"`
	Vertical float64 `yaml:"vertical,required" unit:"length" range:"[0.1 m,10 m]" doc:"straight part before the bend"`
	Bend     float64 `yaml:"bend,required" unit:"length" range:"[10 mm,2 m]" doc:"radius of the bend"`
}

type counterbalancePart struct {
	Rate          float64 `yaml:"rate,required" unit:"torque per turn" range:"[0 N·m/turn,200 N·m/turn]" doc:"of all springs on the shaft together"`
	InitialTurns  float64 `yaml:"initial turns,required" unit:"turns" range:"[0 turns,40 turns]" doc:"turns wound on at closed"`
	DrumRadius    float64 `yaml:"drum radius,required" unit:"length" range:"[10 mm,500 mm]" doc:"of the cable drums"`
	Inertia       float64 `yaml:"inertia,required" unit:"inertia" range:"(0 kg·m²,10 kg·m²]" doc:"of shaft and drums"`
	ShaftFriction float64 `yaml:"shaft friction,required" unit:"torque" range:"[0 N·m,50 N·m]" doc:"dry friction of the bearings"`
	CableK        float64 `yaml:"cable stiffness,required" unit:"stiffness" range:"[1 kN/m,500 kN/m]" doc:"both cables together"`
	CableC        float64 `yaml:"cable damping,required" unit:"damping" range:"[0 N·s/m,5000 N·s/m]" doc:"both cables together"`
}

type closingPart struct {
	Preload float64 `yaml:"preload,required" unit:"force" range:"[0 N,1 kN]" doc:"pull at closed"`
	Rate    float64 `yaml:"rate,required" unit:"stiffness" range:"[0 N/m,1 kN/m]" doc:"by which the pull grows with height"`
}

type frictionPart struct {
	Located
	Running   float64 `yaml:"running,required" unit:"force" range:"[0 N,1 kN]" doc:"dry, while the curtain moves"`
	Breakaway float64 `yaml:"breakaway,required" unit:"force" range:"[0 N,1 kN]" doc:"dry, before it moves"`
	Viscous   float64 `yaml:"viscous,required" unit:"damping" range:"[0 N·s/m,2000 N·s/m]" doc:"at 20 °C; grows as grease thickens in the cold"`
}

type drivePart struct {
	Constant   float64 `yaml:"motor constant,required" unit:"motor constant" range:"[1 mV·s/rad,1 V·s/rad]" doc:"volts by speed and torque by current: one number"`
	Resistance float64 `yaml:"resistance,required" unit:"resistance" range:"[10 mΩ,100 Ω]" doc:"winding and brushes at 20 °C"`
	Ratio      float64 `yaml:"ratio,required" unit:"number" range:"[1,2000]" doc:"motor turns a shaft turn"`
	Efficiency float64 `yaml:"efficiency,required" unit:"ratio" range:"[20 %,100 %]" doc:"of the gears; below 50 % they do not back-drive"`
	Friction   float64 `yaml:"friction,required" unit:"torque" range:"[0 N·m,5 N·m]" doc:"dry, at the motor shaft"`
	Inertia    float64 `yaml:"inertia,required" unit:"inertia" range:"[1e-7 kg·m²,0.1 kg·m²]" doc:"of the rotor"`
	ThermalRes float64 `yaml:"thermal resistance,required" unit:"thermal resistance" range:"[0.01 K/W,100 K/W]" doc:"winding to air"`
	ThermalCap float64 `yaml:"heat capacity,required" unit:"heat capacity" range:"[1 J/K,100000 J/K]" doc:"of the winding"`
}

type contactsPart struct {
	PullIn  float64 `yaml:"pull-in,required" unit:"time" range:"[1 ms,200 ms]" doc:"coil on to contact made"`
	DropOut float64 `yaml:"drop-out,required" unit:"time" range:"[1 ms,200 ms]" doc:"coil off to contact released"`
}

type branchPart struct {
	Located
	Wire       *int     `yaml:"wire" unit:"wire gauge" doc:"gauge of the branch, with its length"`
	Length     float64  `yaml:"length" unit:"length" range:"[0 m,50 m]" default:"0 m" doc:"length of wire, there and back together"`
	Resistance *float64 `yaml:"resistance" unit:"resistance" range:"[0 Ω,10 Ω]" doc:"instead of wire and length, at 20 °C"`
	Connectors float64  `yaml:"connectors" unit:"resistance" range:"[0 Ω,10 Ω]" default:"0 Ω" doc:"of all connectors together"`
	Controller float64  `yaml:"controller,required" unit:"current" range:"[0 A,10 A]" doc:"what the controller itself takes"`
}

type encoderPart struct {
	Resolution float64     `yaml:"resolution,required" unit:"pulses per length" range:"[20 pulses/m,5000 pulses/m]" doc:"pulses a metre of wire"`
	PerTurn    int         `yaml:"pulses per turn,required" unit:"pulses" range:"[1,10000]" doc:"of the reel"`
	Channels   channelWord `yaml:"channels,required" doc:"one: the direction is taken from the drive; two: it is seen"`
	Rewind     float64     `yaml:"rewind speed,required" unit:"speed" range:"[10 mm/s,20 m/s]" doc:"the fastest that the reel takes up wire"`
}

type channelWord string

// Words implements Worder.
func (channelWord) Words() []string { return []string{"one", "two"} }

type receiverPart struct {
	Threshold float64 `yaml:"threshold,required" unit:"irradiance" range:"(0 W/m²,10 W/m²]" doc:"what it needs in the dark"`
	SunScale  float64 `yaml:"sun scale,required" unit:"illuminance" range:"[100 lx,1000 klx]" doc:"sunlight that doubles what it needs"`
}

type sealPart struct {
	Stiffness  float64 `yaml:"stiffness,required" unit:"stiffness" range:"[500 N/m,500 kN/m]" doc:"while the bulb gives"`
	SoftTravel float64 `yaml:"soft travel,required" unit:"length" range:"[1 mm,200 mm]" doc:"until it lies flat"`
	Hard       float64 `yaml:"hard stiffness,required" unit:"stiffness" range:"[1 kN/m,800 kN/m]" doc:"after that"`
	Damping    float64 `yaml:"damping,required" unit:"number" range:"[0,20]" doc:"share by which its force grows a m/s of approach"`
}

type edgePart struct {
	Force float64 `yaml:"force,required" unit:"force" range:"[1 N,1 kN]" doc:"on the seal at which the strip closes"`
}

type stopsPart struct {
	Floor float64 `yaml:"floor stiffness,required" unit:"stiffness" range:"[1 kN/m,800 kN/m]" doc:"of the sill"`
	Open  float64 `yaml:"open stiffness,required" unit:"stiffness" range:"[1 kN/m,800 kN/m]" doc:"of the open stop"`
	Sill  float64 `yaml:"sill switch,required" unit:"length" range:"[-50 mm,100 mm]" doc:"height below which the sill switch is made; below 0 once the seal is pressed so far"`
}

// Check tells what no tag can say of a truck.
func (t *TruckFile) Check(r *Report) {
	if len(t.Bays.Entries) == 0 {
		r.Add(t.PosOf("bays"), "a truck has at least one bay", "")
	}
	count := map[sideWord]int{}
	for i := range t.Bays.Entries {
		e := &t.Bays.Entries[i]
		count[e.Value.Side]++
		if count[e.Value.Side] == maxBaysPerSide+1 {
			r.Addf(e.Value.Pos(), "more than %d bays on the %s: the lock controller has no more lines", maxBaysPerSide, e.Value.Side)
		}
	}
	if t.Locks.Curbside.Clear >= t.Locks.Curbside.Stroke || t.Locks.Roadside.Clear >= t.Locks.Roadside.Stroke {
		r.Add(t.PosOf("locks"), "a bar that is clear of the curtain for its whole stroke locks nothing", "")
	}
	checkWire(r, t.Feed.Located, t.Feed.Wire, t.Feed.Resistance)
	b := model.BatteryParams{ColdCrankA: t.Battery.ColdCrank, ReserveMin: t.Battery.Reserve / 60, Age: t.Battery.Age, Peukert: t.Battery.Peukert}
	if err := b.Validate(); err != nil {
		r.Add(t.PosOf("battery"), err.Error(), "")
	}
}

// Check tells what no tag can say of a bay.
func (b *bayPart) Check(r *Report) {
	if b.Friction.Breakaway < b.Friction.Running {
		r.Add(b.PosOf("friction", "breakaway"), "breakaway friction is never below running friction", "")
	}
	if b.Track.Vertical > b.Track.Opening+b.Curtain.Length {
		r.Add(b.PosOf("track", "vertical"), "the bend lies above all that the curtain ever reaches", "")
	}
	if stiff := max(b.Counterbalance.CableK, b.Stops.Floor, b.Seal.Hard); math.Sqrt(stiff/b.Curtain.Mass)*model.DefaultStep > 0.5 {
		r.Add(b.PosOf("curtain", "mass"), "so light a curtain on so stiff a part swings faster than the time step can follow", "a heavier curtain, or a softer cable, floor or seal")
	}
	checkWire(r, b.Branch.Located, b.Branch.Wire, b.Branch.Resistance)
}

func checkWire(r *Report, at Located, wire *int, ohms *float64) {
	switch {
	case wire != nil && ohms != nil:
		r.Add(at.PosOf("resistance"), "either wire and length or a resistance, not both", "")
	case wire == nil && ohms == nil:
		r.Add(at.Pos(), "needs wire and length, or a resistance", "")
	case wire != nil:
		if _, err := model.AWGArea(*wire); err != nil {
			r.Add(at.PosOf("wire"), err.Error(), "")
		}
	}
}

func wireOhms(wire *int, length float64, ohms *float64) float64 {
	if wire == nil {
		return *ohms
	}
	perMetre, err := model.AWGOhmPerMetre(*wire, 20)
	if err != nil {
		panic("scenarios: a checked wire gauge was refused: " + err.Error())
	}
	return perMetre * length
}

// Params is the truck as the model takes it.
func (t *TruckFile) Params() model.TruckParams {
	p := model.TruckParams{
		Battery: model.BatteryParams{ColdCrankA: t.Battery.ColdCrank, ReserveMin: t.Battery.Reserve / 60, Age: t.Battery.Age, Peukert: t.Battery.Peukert},
		Feed: model.FeedParams{
			Resistance: wireOhms(t.Feed.Wire, t.Feed.Length, t.Feed.Resistance) + t.Feed.Return,
			Connectors: t.Feed.Connectors, AccessoryLoad: t.Feed.Accessories,
		},
		Locks:  [model.Sides]model.LockParams{t.Locks.Curbside.params(), t.Locks.Roadside.params()},
		Remote: model.RemoteParams{Intensity: t.Remote.Intensity, HalfAngle: t.Remote.HalfAngle},
	}
	for i := range t.Bays.Entries {
		p.Bays = append(p.Bays, t.Bays.Entries[i].Value.params(t.Bays.Entries[i].Key))
	}
	return p
}

func (l *lockPart) params() model.LockParams {
	return model.LockParams{
		Stroke: l.Stroke, Clear: l.Clear, LatchPlay: l.LatchPlay, Mass: l.Mass, StallForce: l.StallForce,
		FreeSpeed: l.FreeSpeed, Friction: l.Friction, StallAmps: l.Stall, SwitchTrip: l.Trip, Branch: l.Branch,
	}
}

func (b *bayPart) params(name string) model.BayParams {
	p := model.BayParams{
		Name: name, Side: b.Side.side(), Station: b.Station,
		Curtain: model.CurtainParams{Mass: b.Curtain.Mass, Length: b.Curtain.Length},
		Track:   model.TrackParams{Opening: b.Track.Opening, Vertical: b.Track.Vertical, Bend: b.Track.Bend},
		Counterbalance: model.CounterbalanceParams{
			Rate: b.Counterbalance.Rate, InitialTurns: b.Counterbalance.InitialTurns, DrumRadius: b.Counterbalance.DrumRadius,
			ShaftInertia: b.Counterbalance.Inertia, ShaftFriction: b.Counterbalance.ShaftFriction,
			CableStiffness: b.Counterbalance.CableK, CableDamping: b.Counterbalance.CableC,
		},
		ClosingSpring: model.ClosingSpringParams{Preload: b.ClosingSpring.Preload, Rate: b.ClosingSpring.Rate},
		Friction:      model.FrictionParams{Running: b.Friction.Running, Breakaway: b.Friction.Breakaway, Viscous: b.Friction.Viscous},
		Drive: model.DriveParams{
			MotorConstant: b.Drive.Constant, Resistance: b.Drive.Resistance, Ratio: b.Drive.Ratio, Efficiency: b.Drive.Efficiency,
			DryFriction: b.Drive.Friction, Inertia: b.Drive.Inertia, ThermalRes: b.Drive.ThermalRes, ThermalCap: b.Drive.ThermalCap,
		},
		Contacts: model.ContactParams{PullIn: b.Contacts.PullIn, DropOut: b.Contacts.DropOut},
		Branch: model.BranchParams{
			Resistance: wireOhms(b.Branch.Wire, b.Branch.Length, b.Branch.Resistance),
			Connectors: b.Branch.Connectors, Load: b.Branch.Controller,
		},
		Encoder: model.EncoderParams{
			PulsesPerMetre: b.Encoder.Resolution, PulsesPerTurn: b.Encoder.PerTurn,
			Quadrature: b.Encoder.Channels == "two", RewindSpeed: b.Encoder.Rewind,
		},
		Receiver: model.ReceiverParams{Threshold: b.Receiver.Threshold, SunScale: b.Receiver.SunScale},
		Seal: model.SealParams{
			Stiffness: b.Seal.Stiffness, SoftTravel: b.Seal.SoftTravel, HardStiffness: b.Seal.Hard, Damping: b.Seal.Damping,
		},
		Stops: model.StopParams{FloorStiffness: b.Stops.Floor, OpenStiffness: b.Stops.Open, SillHeight: b.Stops.Sill},
	}
	if b.Edge != nil {
		p.Seal.EdgeFitted, p.Seal.EdgeForce = true, b.Edge.Force
	}
	return p
}

// maxBaysPerSide is how many door lines the lock controller has on a side.
const maxBaysPerSide = 4

// DefaultTruck is the name of the shipped truck.
const DefaultTruck = "trucks/produce-4bay.yaml"

// LoadTruck reads a truck file. The error is of type Problems.
func (l *Loader) LoadTruck(name string) (*TruckFile, error) {
	var t TruckFile
	if err := l.Load(name, &t); err != nil {
		return nil, err
	}
	return &t, nil
}

package model

// Side is a side of the truck. Its doors share one lock bar.
type Side int

// The two sides, as seen by a driver who looks forward on a right-hand road.
const (
	Curbside Side = iota
	Roadside
)

// Sides is the number of sides, and so of lock bars.
const Sides = 2

func (s Side) String() string {
	if s == Curbside {
		return "curbside"
	}
	return "roadside"
}

// TruckParams describes a truck as built. Its state of wear is not in here: see
// [Condition].
type TruckParams struct {
	Battery BatteryParams
	Feed    FeedParams
	Bays    []BayParams
	Locks   [Sides]LockParams
	Remote  RemoteParams
	Ambient Ambient
}

// Ambient is where the truck stands.
type Ambient struct {
	Temperature float64 // °C, -40 to 60; of the air, the battery and the grease
	Sunlight    float64 // lx on the receivers, 0 to 120 000
	// Grade is the slope of the ground across the truck, in the plane of the
	// doors' tracks: rise over run, -0.2 to 0.2. Positive: the roof ends of the
	// curbside tracks are lifted and those of the roadside tracks lowered.
	Grade float64
}

// BayParams describes one door.
type BayParams struct {
	Name    string  // C1, R2, …
	Side    Side    //
	Station float64 // m along the side, from its first bay: what the remote link sees

	Curtain        CurtainParams
	Track          TrackParams
	Counterbalance CounterbalanceParams
	ClosingSpring  ClosingSpringParams
	Friction       FrictionParams
	Drive          DriveParams
	Contacts       ContactParams
	Branch         BranchParams
	Encoder        EncoderParams
	Receiver       ReceiverParams
	Seal           SealParams
	Stops          StopParams
}

// CurtainParams is the linked slats.
type CurtainParams struct {
	Mass   float64 // kg, above 0
	Length float64 // m, above 0: from the bottom edge to the last slat
}

// TrackParams is the path of the curtain: up, round a quarter bend, along the roof.
type TrackParams struct {
	Opening  float64 // m: height of the bottom edge, along the track, at the open stop
	Vertical float64 // m: length of the straight part before the bend
	Bend     float64 // m: radius of the bend
}

// CounterbalanceParams is springs, shaft, drums and cables.
type CounterbalanceParams struct {
	Rate           float64 // N·m per turn, of all springs on the shaft together
	InitialTurns   float64 // turns wound on at closed
	DrumRadius     float64 // m
	ShaftInertia   float64 // kg·m², shaft and drums
	ShaftFriction  float64 // N·m, dry friction of the bearings; felt when the drive is released
	CableStiffness float64 // N/m, both cables together
	CableDamping   float64 // N·s/m
}

// ClosingSpringParams is the light spring that pulls the curtain down with
// Preload + Rate·height.
type ClosingSpringParams struct {
	Preload float64 // N
	Rate    float64 // N/m
}

// FrictionParams is what the curtain feels in its track.
type FrictionParams struct {
	Running   float64 // N, dry, while it moves
	Breakaway float64 // N, dry, before it moves; at least Running
	Viscous   float64 // N·s/m at 20 °C; grows in the cold by GreaseFactor
}

// DriveParams is a permanent-magnet DC motor and its gearbox.
type DriveParams struct {
	MotorConstant float64 // V·s/rad and N·m/A: one number, or the motor would make energy
	Resistance    float64 // Ω, winding and brushes at 20 °C
	Ratio         float64 // motor turns a shaft turn
	Efficiency    float64 // of the gears, 0.34 to 1
	DryFriction   float64 // N·m at the motor shaft
	Inertia       float64 // kg·m², rotor
	ThermalRes    float64 // K/W, winding to air
	ThermalCap    float64 // J/K, winding
}

// ContactParams is how fast the changeover contacts of the power stage follow.
type ContactParams struct {
	PullIn  float64 // s from coil on to contact made
	DropOut float64 // s from coil off to contact released
}

// FeedParams is the supply that all bays share: battery cable, connectors and the
// return through the chassis.
type FeedParams struct {
	Resistance    float64 // Ω at 20 °C, copper, there and back
	Connectors    float64 // Ω
	AccessoryLoad float64 // A, everything else on the truck; negative while it is charged
}

// BranchParams is what one bay adds, from the shared node to its controller.
type BranchParams struct {
	Resistance float64 // Ω at 20 °C, copper
	Connectors float64 // Ω
	Load       float64 // A, the controller itself
}

// EncoderParams is a spooled wire on the curtain that yields pulses.
type EncoderParams struct {
	PulsesPerMetre float64 // pulses a metre of wire
	PulsesPerTurn  int     // pulses a turn of the reel: where on the turn a magnet gap lies
	Quadrature     bool    // two channels, so that the direction is seen; else one
	RewindSpeed    float64 // m/s, the fastest that the reel takes up wire
}

// SealParams is the rubber bulb on the bottom edge, and the pressure strip in it.
type SealParams struct {
	Stiffness     float64 // N/m while the bulb gives
	SoftTravel    float64 // m until it is flat
	HardStiffness float64 // N/m after that
	Damping       float64 // s/m: force grows by this share a m/s of approach
	EdgeFitted    bool    // a sensing edge is in the seal
	EdgeForce     float64 // N on the seal at which the strip closes
}

// StopParams is where the travel ends.
type StopParams struct {
	FloorStiffness float64 // N/m
	OpenStiffness  float64 // N/m, stop at the open end
	SillHeight     float64 // m: the sill switch is made below it; below 0, once the seal is pressed so far
}

// LockParams is one side's bar and its actuator.
type LockParams struct {
	Stroke     float64 // m, unlocked to locked
	Clear      float64 // m of stroke in which the bar does not reach a curtain
	LatchPlay  float64 // m: a curtain no higher than this can be locked; and, locked, can rise so far
	Mass       float64 // kg
	StallForce float64 // N at 12 V
	FreeSpeed  float64 // m/s at 12 V, unloaded
	Friction   float64 // N, dry
	StallAmps  float64 // A at 12 V
	SwitchTrip float64 // m from an end at which its switch changes over
	Branch     float64 // Ω, from the shared node
}

// RemoteParams is the infrared sender that the driver carries.
type RemoteParams struct {
	Intensity   float64 // W/sr on the axis, with a fresh cell
	HalfAngle   float64 // rad, where half of the intensity is left
	Reflectance float64 // 0 to 1, of what stands behind the driver and throws the beam to the neighbour
}

// ReceiverParams is the eye of one bay.
type ReceiverParams struct {
	Threshold float64 // W/m² that it needs in the dark, 0 lx
	SunScale  float64 // lx of sunlight that double what it needs
}

// DefaultTruck is the four-bay produce truck that ships with the bench. Invented
// values, balanced so that the door stays where it is left on the level.
func DefaultTruck() TruckParams {
	p := TruckParams{
		Battery: BatteryParams{ColdCrankA: 650, ReserveMin: 120, Age: 0, Peukert: 1.2},
		// 6 m of 10 AWG and 3 mΩ of chassis return; four crimped connectors.
		Feed:    FeedParams{Resistance: 0.0227, Connectors: 0.006, AccessoryLoad: 0.5},
		Locks:   [Sides]LockParams{defaultLock(), defaultLock()},
		Remote:  RemoteParams{Intensity: 0.100, HalfAngle: 0.1745},
		Ambient: Ambient{Temperature: 20},
	}
	for i, name := range [...]string{"C1", "C2", "R1", "R2"} {
		b := DefaultBay()
		b.Name = name
		b.Side = Side(i / 2)
		b.Station = float64(i%2) * 2.4
		p.Bays = append(p.Bays, b)
	}
	return p
}

// DefaultBay is one door of [DefaultTruck].
func DefaultBay() BayParams {
	return BayParams{
		Curtain: CurtainParams{Mass: 32, Length: 1.80},
		Track:   TrackParams{Opening: 1.80, Vertical: 1.70, Bend: 0.20},
		Counterbalance: CounterbalanceParams{
			Rate: 2.48, InitialTurns: 6.6, DrumRadius: 0.050, ShaftInertia: 0.02, ShaftFriction: 0.1,
			CableStiffness: 130e3, CableDamping: 300,
		},
		ClosingSpring: ClosingSpringParams{Preload: 25, Rate: 25},
		Friction:      FrictionParams{Running: 25, Breakaway: 32, Viscous: 30},
		Drive: DriveParams{
			MotorConstant: 0.030, Resistance: 0.60, Ratio: 50, Efficiency: 0.6,
			DryFriction: 0.020, Inertia: 8e-5, ThermalRes: 3.0, ThermalCap: 120,
		},
		Contacts: ContactParams{PullIn: 0.010, DropOut: 0.006},
		// 3 m of 14 AWG and two connectors.
		Branch:  BranchParams{Resistance: 0.0249, Connectors: 0.003, Load: 0.15},
		Encoder: EncoderParams{PulsesPerMetre: 200, PulsesPerTurn: 40, RewindSpeed: 1.0},
		Receiver: ReceiverParams{
			Threshold: 0.5e-3, SunScale: 20e3,
		},
		// The bulb must take up the curtain's own energy at full speed, 2.6 J, before it
		// lies flat; and it must be shorter than 25.4 mm, or a curtain that lies on an
		// object of that height looks to the sill switch like one on the floor.
		Seal: SealParams{
			Stiffness: 12e3, SoftTravel: 0.024, HardStiffness: 400e3, Damping: 0.5,
			EdgeFitted: true, EdgeForce: 60,
		},
		Stops: StopParams{FloorStiffness: 50e3, OpenStiffness: 50e3, SillHeight: -0.002},
	}
}

func defaultLock() LockParams {
	return LockParams{
		Stroke: 0.060, Clear: 0.015, LatchPlay: 0.015, Mass: 2, StallForce: 300, FreeSpeed: 0.055,
		Friction: 20, StallAmps: 8, SwitchTrip: 0.003, Branch: 0.05,
	}
}

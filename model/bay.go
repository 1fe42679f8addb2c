package model

import "math"

// Bay is one door: curtain, counterbalance, drive, power stage, encoder, receiver.
// The exported state is the truth; read it freely. To change it, use
// the methods, which wake a bay that is at rest.
type Bay struct {
	Params    BayParams
	Condition Condition
	Stage     PowerStage

	Height      float64 // m, bottom edge along the track: 0 closed
	Speed       float64 // m/s, up positive
	ShaftAngle  float64 // rad, 0 where the cable is just taut on a closed door, winding up positive
	ShaftSpeed  float64 // rad/s
	MotorSpeed  float64 // rad/s at the motor shaft, winding up positive
	WindingTemp float64 // °C

	CableForce   float64 // N
	FloorForce   float64 // N on the edge, from the floor
	ContactForce float64 // N on the edge, from an obstruction
	MotorCurrent float64 // A, winding up positive
	FeedCurrent  float64 // A taken from the shared node, negative when it gives back
	Supply       float64 // V at the controller's terminals
	Energised    int     // +1 up, -1 down: there is voltage at the motor; 0 none

	hasObstacle bool
	obstacle    Obstacle

	Reel reel

	c       coefficients
	circuit circuit
	sign    float64 // of the driven direction, 0 when not driven
	net     branchNet
	latched bool // the lock bar reaches into the curtain

	marks *marks  // the truck's
	bit   uint64  // this bay's in them
	heat  float64 // A² summed since the battery and the windings were last brought up to date
}

// marks are what a truck keeps of all its bays, a bit each.
type marks struct {
	awake      uint64 // not at rest: clear where a whole step has changed nothing, and nothing outside has changed since
	obstructed uint64 // something lies under its edge
	wirings    int64  // times that a bay was wired anew
}

// coefficients are parameters and condition folded for the step.
type coefficients struct {
	dt float64 // s

	track  track
	length float64 // m
	weight float64 // N/m: m·g/L
	perKg  float64 // s/kg: dt/m
	close0 float64 // N
	close1 float64 // N/m

	viscous    float64 // N·s/m
	running    float64 // N
	breakaway  float64 // N
	bent       bool    // a stretch of track rubs
	drum       float64 // m
	cableK     float64 // N/m
	cableC     float64 // N·s/m
	spring0    float64 // N·m at shaft angle 0
	spring1    float64 // N·m/rad
	released   bool
	perInertia float64 // s/(kg·m²): dt over all that turns with the shaft
	dryTorque  float64 // N·m at the shaft
	gearLoss   float64 // share of the carried torque that the gears take
	shaftPerA  float64 // N·m/A at the shaft
	ratio      float64

	motorK        float64 // V·s/rad
	perOhm        float64 // 1/Ω at the winding's temperature
	motorPerInert float64 // s/(kg·m²), rotor alone
	motorDry      float64 // N·m, rotor alone

	floor     seriesContact
	openTop   float64 // m
	openK     float64 // N/m
	latchPlay float64 // m
}

// branchNet is the bay's branch as the shared node sees it: it takes
// conductance·V(node) + current.
type branchNet struct {
	ohms        float64 // Ω of the branch
	drop        float64 // V lost in it, in this step
	share       float64 // 1/(1 + ohms·d²/Ra)
	conductance float64 // S
	emfGain     float64 // A·s/rad: what back-EMF takes off, a rad/s of the motor
	duty        float64
	load        float64 // A that it takes whatever the node's voltage is, in this step
}

const twoPi = 2 * math.Pi

// standstill is the speed, m/s, below which curtain and shaft of a door that is
// not driven stand, when both are that slow: Karnopp's window. Without it a door
// that creeps to rest against grease and brake never does, and would never be
// skipped. It acts like 0.3 mN of dry friction on the curtain at a step of 1 ms;
// a larger one would begin to hold what friction does not.
const standstill = 1e-8

// latchStiffness is that of a lock bar with a curtain pulled against it, N/m. Invented.
const latchStiffness = 200e3

// refresh folds parameters and condition again, and wakes the bay. Call it after
// changing Condition.
func (b *Bay) refresh(dt float64, ambient Ambient, latchPlay float64) {
	p, w, c := &b.Params, &b.Condition, &b.c
	wasReleased := c.released
	c.dt = dt

	c.track = newTrack(p.Track, p.Side, ambient.Grade)
	mass := p.Curtain.Mass * w.MassFactor
	c.length = p.Curtain.Length
	c.weight = mass * Gravity / p.Curtain.Length
	c.perKg = dt / mass
	c.close0 = p.ClosingSpring.Preload * w.ClosingFactor
	c.close1 = p.ClosingSpring.Rate * w.ClosingFactor

	c.viscous = p.Friction.Viscous * GreaseFactor(ambient.Temperature)
	c.running = float64(p.Friction.Running*w.FrictionFactor) + w.LeanForce
	c.breakaway = float64(p.Friction.Breakaway*w.FrictionFactor) + w.LeanForce
	c.bent = w.StretchForce > 0

	cb := &p.Counterbalance
	c.drum, c.cableK, c.cableC = cb.DrumRadius, cb.CableStiffness, cb.CableDamping
	c.spring0 = cb.Rate * cb.InitialTurns * w.SpringFactor
	c.spring1 = cb.Rate * w.SpringFactor / twoPi

	d := &p.Drive
	c.ratio = d.Ratio
	c.motorK = d.MotorConstant
	c.perOhm = 1 / (d.Resistance * CopperFactor(b.WindingTemp, 20))
	c.motorPerInert, c.motorDry = dt/d.Inertia, d.DryFriction
	c.gearLoss = 1/d.Efficiency - 1
	c.shaftPerA = d.Ratio * d.MotorConstant
	c.released = w.ReleaseOpen
	rotor := float64(d.Ratio * d.Ratio * d.Inertia)
	if c.released {
		c.perInertia, c.dryTorque = dt/cb.ShaftInertia, cb.ShaftFriction
	} else {
		c.perInertia = dt / (cb.ShaftInertia + rotor)
		c.dryTorque = cb.ShaftFriction + float64(d.Ratio*d.DryFriction)
	}
	if wasReleased && !c.released { // shaft and rotor lock together: momentum is kept
		both := float64(cb.ShaftInertia*b.ShaftSpeed) + float64(d.Ratio*d.Inertia*b.MotorSpeed)
		b.ShaftSpeed = both / (cb.ShaftInertia + rotor)
		b.MotorSpeed = float64(b.ShaftSpeed * d.Ratio)
	}

	c.floor = newSeriesContact(p.Seal, p.Stops.FloorStiffness)
	c.openTop, c.openK = p.Track.Opening, p.Stops.OpenStiffness
	c.latchPlay = latchPlay
	if b.hasObstacle {
		b.obstacle.contact = newSeriesContact(p.Seal, b.obstacle.Stiffness)
	}

	r := &b.Reel
	r.scale = p.Encoder.PulsesPerMetre * w.PulseScale * (1 - w.Slip)
	r.rewind = p.Encoder.RewindSpeed * w.RewindFactor * dt
	r.perTurn = int64(p.Encoder.PulsesPerTurn)
	r.gap, r.gapStep = int64(w.GapPulses), w.GapSpeed*dt

	b.Stage.up.take(w.UpContact)
	b.Stage.down.take(w.DownContact)
	b.Stage.enable.take(w.Enable)
	b.net.ohms = float64(p.Branch.Resistance*CopperFactor(ambient.Temperature, 20)) + p.Branch.Connectors + w.BranchOhms
	b.wire()
}

// wire folds contacts, duty and winding resistance into what the node sees.
func (b *Bay) wire() {
	b.circuit = b.Stage.circuit()
	if b.Condition.LeadOpen {
		b.circuit = coasting
	}
	n := &b.net
	n.duty, b.sign, n.load = 0, 0, b.Params.Branch.Load
	switch b.circuit {
	case drivenUp:
		n.duty, b.sign = b.Stage.Duty, 1
	case drivenDown:
		n.duty, b.sign = b.Stage.Duty, -1
	}
	square := float64(n.duty * n.duty * b.c.perOhm)
	n.share = 1 / (1 + float64(n.ohms*square))
	n.conductance = square * n.share
	n.emfGain = b.sign * n.duty * b.c.motorK * b.c.perOhm
	b.Energised = 0
	if n.duty > 0 {
		b.Energised = int(b.sign)
	}
	b.marks.wirings++
	b.wake()
}

// load is the current, in A, that the branch of a driven motor takes whatever the
// node's voltage is. That of any other is as wire has left it.
func (b *Bay) load() float64 {
	amps := float64((b.Params.Branch.Load - float64(b.net.emfGain*b.MotorSpeed)) * b.net.share)
	b.net.load = amps
	return amps
}

// feed takes up what the branch takes from a node at v volts, in A, and the V that it loses.
func (b *Bay) feed(v float64) (amps, lost float64) {
	amps = float64(b.net.conductance*v) + b.net.load
	lost = float64(b.net.ohms * amps)
	b.FeedCurrent, b.net.drop = amps, lost
	return amps, lost
}

func (b *Bay) motorCurrent() float64 {
	if b.circuit == coasting {
		return 0
	}
	volts := float64(b.sign * b.net.duty * b.Supply)
	return (volts - float64(b.c.motorK*b.MotorSpeed)) * b.c.perOhm
}

// move is one step of curtain and shaft, semi-implicit Euler: velocities from the
// forces at the old positions, dry friction as a clamped impulse (see Stick),
// positions from the new velocities.
//
//	m·v' = F_cable − F_gravity − F_closing − c·v + contacts ∓ dry friction
//	J·ω' = T_spring − r·F_cable + N·K·i ∓ (dry friction + gear loss)
func (b *Bay) move() {
	c := &b.c
	y, v := b.Height, b.Speed
	w := b.ShaftSpeed
	wasV, wasW, wasMotor := v, w, b.MotorSpeed

	stretch := float64(c.drum*b.ShaftAngle) - y
	cable := float64(c.cableK*stretch) + float64(c.cableC*(float64(c.drum*w)-v))
	if cable < 0 {
		cable = 0
	}
	b.CableForce = cable

	top := y + c.length
	high := c.track.alongRoof(top)
	if top < c.track.roof {
		high = c.track.height(top)
	}
	gravity := float64(c.weight * (high - c.track.height(y)))
	net := cable - gravity - (c.close0 + float64(c.close1*y)) - float64(c.viscous*v)
	if y < 0 || y > c.openTop || b.latched || b.hasObstacle {
		net += b.touch(y, v)
	} else {
		b.FloorForce, b.ContactForce = 0, 0
	}
	dry := c.running
	if v == 0 {
		dry = c.breakaway
	}
	if c.bent && y >= b.Condition.StretchFrom && y <= b.Condition.StretchTo {
		dry += b.Condition.StretchForce
	}
	v = Stick(v+float64(net*c.perKg), float64(dry*c.perKg))

	spring := c.spring0 - float64(c.spring1*b.ShaftAngle)
	if spring < 0 {
		spring = 0
	}
	torque := spring - float64(c.drum*cable)
	current := b.motorCurrent()
	b.MotorCurrent = current
	b.heat += float64(current * current)
	if c.released {
		w = Stick(w+float64(torque*c.perInertia), float64(c.dryTorque*c.perInertia))
		m := b.MotorSpeed + float64(float64(c.motorK*current)*c.motorPerInert)
		b.MotorSpeed = Stick(m, float64(c.motorDry*c.motorPerInert))
	} else {
		loss := c.dryTorque + float64(c.gearLoss*math.Abs(torque))
		torque += float64(c.shaftPerA * current)
		w = Stick(w+float64(torque*c.perInertia), float64(loss*c.perInertia))
		b.MotorSpeed = w * c.ratio
	}

	if b.sign == 0 && math.Abs(v) < standstill && math.Abs(c.drum*w) < standstill {
		v, w = 0, 0
		if !c.released {
			b.MotorSpeed = 0
		}
	}

	b.Speed, b.ShaftSpeed = v, w
	b.Height = y + float64(v*c.dt)
	b.ShaftAngle += float64(w * c.dt)

	wire := c.openTop - b.Height
	if moved := b.Reel.follow(wire); b.Reel.passes() {
		b.Reel.pulse(moved)
	}
	if v == 0 && w == 0 && wasV == 0 && wasW == 0 && wasMotor == 0 && b.MotorSpeed == 0 && b.sign == 0 && b.Reel.still(wire) {
		b.marks.awake &^= b.bit
	}
}

// touch sums what pushes on the curtain where it meets something: floor,
// obstruction, open stop, lock bar. In N, upwards.
func (b *Bay) touch(y, v float64) float64 {
	c := &b.c
	b.FloorForce = c.floor.push(-y, -v)
	b.ContactForce = 0
	if b.hasObstacle {
		b.ContactForce = b.obstacle.contact.push(b.obstacle.Top-y, -v)
	}
	net := b.FloorForce + b.ContactForce
	if over := y - c.openTop; over > 0 {
		net -= stopPush(c.openK, over, v)
	}
	if over := y - c.latchPlay; b.latched && over > 0 {
		net -= stopPush(latchStiffness, over, v)
	}
	return net
}

// stopDamping is that of the rigid stops, s/m. Invented.
const stopDamping = 1.0

func stopPush(stiffness, over, rate float64) float64 {
	f := float64(stiffness * over * (1 + float64(stopDamping*rate)))
	if f < 0 {
		return 0
	}
	return f
}

// Slack is how much cable hangs slack, in m: 0 while it is taut.
func (b *Bay) Slack() float64 {
	return max(0, b.Height-float64(b.c.drum*b.ShaftAngle))
}

// SealForce is the force on the edge seal, in N.
func (b *Bay) SealForce() float64 { return b.FloorForce + b.ContactForce }

// EdgePressed tells whether the pressure strip in the seal is closed.
func (b *Bay) EdgePressed() bool {
	return b.Params.Seal.EdgeFitted && !b.Condition.EdgeDeaf && b.SealForce() >= b.Params.Seal.EdgeForce
}

// SillMade tells whether the sill switch is closed by the curtain.
func (b *Bay) SillMade() bool { return b.Height < b.Params.Stops.SillHeight }

// Coasting tells that the motor's circuit is open, so that nothing brakes it.
func (b *Bay) Coasting() bool { return b.circuit == coasting }

// AtRest tells that the last step changed nothing and that no later one will,
// until something outside changes.
func (b *Bay) AtRest() bool { return b.marks.awake&b.bit == 0 }

// wake tells that something outside has changed.
func (b *Bay) wake() { b.marks.awake |= b.bit }

// ObstacleAt returns the obstruction under the edge, if there is one.
func (b *Bay) ObstacleAt() (Obstacle, bool) { return b.obstacle, b.hasObstacle }

// SetObstacle puts something under the edge. It reports false, and changes
// nothing, where the curtain is already lower than that: nothing can appear inside it.
func (b *Bay) SetObstacle(o Obstacle) bool {
	if b.Height < o.Top {
		return false
	}
	o.contact = newSeriesContact(b.Params.Seal, o.Stiffness)
	b.obstacle, b.hasObstacle = o, true
	b.marks.obstructed |= b.bit
	b.wake()
	return true
}

// ClearObstacle takes it away again.
func (b *Bay) ClearObstacle() {
	b.hasObstacle = false
	b.marks.obstructed &^= b.bit
	b.ContactForce = 0
	b.wake()
}

// Place puts the curtain at rest at height y m, with the cable carrying what
// gravity, closing spring and floor leave to it.
func (b *Bay) Place(y float64) {
	c := &b.c
	b.Height, b.Speed, b.ShaftSpeed, b.MotorSpeed = y, 0, 0, 0
	hang := float64(c.weight*(c.track.height(y+c.length)-c.track.height(y))) + c.close0 + float64(c.close1*y) - b.touch(y, 0)
	b.CableForce = math.Max(0, hang)
	b.ShaftAngle = (y + b.CableForce/c.cableK) / c.drum
	b.Reel.out = c.openTop - y
	b.Reel.phase = float64(y * b.Reel.scale)
	b.Reel.pass(int64(math.Floor(b.Reel.phase)))
	b.MotorCurrent = 0
	b.wake()
}

package model

import (
	"math"
	"math/bits"
)

// DefaultStep is the time step, in s.
const DefaultStep = 1e-3

// slowEvery is how often, in s, battery and winding temperatures are brought up to date.
const slowEvery = 0.1

// Truck is the whole: doors, locks, and the supply that they share.
type Truck struct {
	Ambient Ambient
	Remote  RemoteParams
	Battery Battery
	Bays    []Bay
	Locks   [Sides]Lock
	Steps   int64 // steps taken

	NodeVolts    float64 // V where the branches meet
	LowestVolts  float64 // V at the controller that has the least
	TotalCurrent float64 // A out of the battery

	feed        FeedParams
	lobe        float64 // exponent of the remote's beam
	supply      SupplyCondition
	dt          float64
	slow, every int32
	drawn       float64 // A summed since the last slow step
	source      float64 // Ω of battery and feed
	feedOhms    float64
	stiff       float64 // 1/(1 + source·Σ conductance)
	changed     bool    // a contact, a duty or a resistance is new
	switching   bool    // a contact may be on its way
	live        bool    // something is driven, so that currents change from step to step
	bars        bool    // a bar may be driven, or on its way
	marks       marks
	stirred     uint64  // a bit a bay: it has been moved since Stirred was last asked
	barsStirred bool    // a bar has
	driven      uint64  // a bit a bay: its motor is driven
	first       int     // the first bay that is, or how many there are
	ahead       float64 // A that the accessories and the branches ahead of that bay take
	drop        float64 // V, the most that is lost in a branch whose motor is not driven
}

// SupplyCondition is what a mechanic would find at the battery and the shared feed.
type SupplyCondition struct {
	VoltageFactor float64 // of the battery's voltage: 1 as it should be, 0 interrupted
	FeedOhms      float64 // Ω added by a corroded connector
}

// NewTruck builds a truck with every door down, every bar unlocked and a full
// battery. dt is the time step in s, above 0 and at most 0.002. It has 64 bays at most.
func NewTruck(p TruckParams, dt float64) *Truck {
	t := &Truck{
		Ambient: p.Ambient, Remote: p.Remote, feed: p.Feed, lobe: LobeExponent(p.Remote.HalfAngle), dt: dt,
		Battery: NewBattery(p.Battery, p.Ambient.Temperature),
		Bays:    make([]Bay, len(p.Bays)),
		every:   int32(math.Round(slowEvery / dt)),
		supply:  SupplyCondition{VoltageFactor: 1},
	}
	for i := range t.Locks {
		t.Locks[i] = Lock{Params: p.Locks[i], barred: math.Inf(1)}
		t.Locks[i].refresh(dt)
	}
	for i := range t.Bays {
		b := &t.Bays[i]
		b.marks, b.bit = &t.marks, 1<<i
		b.Params, b.Condition, b.WindingTemp = p.Bays[i], NewCondition(), p.Ambient.Temperature
		t.RefreshBay(i)
		b.Place(downRest)
	}
	t.feedOhms = float64(p.Feed.Resistance*CopperFactor(p.Ambient.Temperature, 20)) + p.Feed.Connectors
	t.SetSupply(t.supply)
	t.electrics()
	return t
}

// downRest is where a door that has been driven down stands: the seal a little pressed.
const downRest = -0.006

// StepSize is the time step in s.
func (t *Truck) StepSize() float64 { return t.dt }

// RefreshBay takes up a changed condition of bay i.
func (t *Truck) RefreshBay(i int) {
	b := &t.Bays[i]
	b.refresh(t.dt, t.Ambient, t.Locks[b.Params.Side].Params.LatchPlay)
	t.changed = true
}

// RefreshLock takes up a changed condition of a lock.
func (t *Truck) RefreshLock(s Side) {
	t.Locks[s].refresh(t.dt)
	t.changed, t.bars = true, true
}

// Supply is the condition of battery and feed.
func (t *Truck) Supply() SupplyCondition { return t.supply }

// SetSupply changes the condition of battery and feed.
func (t *Truck) SetSupply(s SupplyCondition) {
	t.supply = s
	t.source = t.Battery.R + t.feedOhms + s.FeedOhms
	t.changed = true
}

// SetCharge sets the battery's charge, 0 to 1.
func (t *Truck) SetCharge(charge float64) {
	t.Battery.SetCharge(charge)
	t.SetSupply(t.supply)
}

// Command sets the coils of bay i's power stage and its duty, 0 to 1.
func (t *Truck) Command(i int, up, down, enable bool, duty float64) {
	b := &t.Bays[i]
	s, c := &b.Stage, &b.Params.Contacts
	if up == s.up.asked && down == s.down.asked && enable == s.enable.asked && duty == s.Duty {
		return
	}
	pullIn := int32(math.Round(c.PullIn / t.dt))
	dropOut := int32(math.Round(c.DropOut / t.dt))
	s.up.ask(up, pullIn, dropOut)
	s.down.ask(down, pullIn, dropOut)
	s.enable.ask(enable, pullIn, dropOut)
	t.switching = true
	if duty != s.Duty {
		s.Duty = duty
		b.wire()
		t.changed = true
	}
}

// Step takes the truck one step on.
func (t *Truck) Step() {
	if t.switching {
		t.contacts()
	}
	if t.live || t.changed {
		t.electrics()
	}
	t.drawn += t.TotalCurrent
	t.stirred |= t.marks.awake
	for set := t.marks.awake; set != 0; set &= set - 1 {
		t.Bays[bits.TrailingZeros64(set)].move()
	}
	if t.bars {
		t.moveLocks()
	}
	t.Steps++
	if t.slow++; t.slow == t.every {
		t.slow = 0
		t.slowStep()
	}
}

// contacts lets the contacts of all bays follow their coils.
func (t *Truck) contacts() {
	t.switching = false
	for i := range t.Bays {
		b := &t.Bays[i]
		if b.Stage.busy() && b.Stage.step() {
			b.wire()
			t.changed = true
		}
		t.switching = t.switching || b.Stage.busy()
	}
}

// electrics solves the shared node: every branch takes conductance·V + load, and
// battery and feed give (E − V)/R.
func (t *Truck) electrics() {
	if t.changed {
		t.rewire()
	}
	bays := t.Bays
	load := t.ahead
	for i := t.first; i < len(bays); i++ {
		b := &bays[i]
		if t.driven>>i&1 == 1 {
			load += b.load()
		} else {
			load += b.net.load
		}
	}
	if t.bars {
		load = t.lockLoads(load)
	}
	v := float64((float64(t.Battery.OCV*t.supply.VoltageFactor) - float64(t.source*load)) * t.stiff)
	if t.supply.VoltageFactor == 0 || v < 0 {
		v = 0
	}
	t.NodeVolts = v
	drop := t.drop
	total := t.feed.AccessoryLoad
	for i := range bays {
		b := &bays[i]
		amps, lost := b.FeedCurrent, b.net.drop
		if t.driven>>i&1 == 1 {
			amps, lost = b.feed(v)
			if lost > drop {
				drop = lost
			}
		}
		total += amps
		b.Supply = v - lost
	}
	if t.bars {
		total = t.lockCurrents(total)
	}
	t.TotalCurrent, t.LowestVolts = total, v-drop
	if t.supply.VoltageFactor == 0 {
		t.darken()
	}
}

// lockLoads adds what the locks take whatever the node's voltage is to a sum, in A.
func (t *Truck) lockLoads(sum float64) float64 {
	for i := range t.Locks {
		if l := &t.Locks[i]; l.net.conductance != 0 {
			sum += l.load()
		}
	}
	return sum
}

// lockCurrents adds all that they take.
func (t *Truck) lockCurrents(sum float64) float64 {
	for i := range t.Locks {
		if l := &t.Locks[i]; l.net.conductance != 0 {
			sum += float64(l.net.conductance*t.NodeVolts) + l.load()
		}
	}
	return sum
}

// darken is an interrupted feed: nothing is supplied and nothing comes back.
func (t *Truck) darken() {
	t.TotalCurrent, t.LowestVolts = 0, 0
	for i := range t.Bays {
		t.Bays[i].Supply, t.Bays[i].FeedCurrent = 0, 0
	}
}

// rewire takes up new contacts, duties and resistances.
func (t *Truck) rewire() {
	t.changed, t.live, t.driven = false, false, 0
	t.first, t.ahead, t.drop = len(t.Bays), t.feed.AccessoryLoad, 0
	sum := 0.0
	for i := range t.Bays {
		b := &t.Bays[i]
		b.wire()
		if t.supply.VoltageFactor == 0 {
			b.cutOff()
		}
		sum += b.net.conductance
		switch {
		case b.sign != 0:
			t.live, t.driven, t.first = true, t.driven|b.bit, min(t.first, i)
			continue
		case t.driven == 0:
			t.ahead += b.net.load
		}
		_, lost := b.feed(0) // it takes the same at any voltage
		t.drop = max(t.drop, lost)
	}
	for i := range t.Locks {
		sum += t.Locks[i].net.conductance
		t.live = t.live || !t.Locks[i].idle()
	}
	t.stiff = 1 / (1 + float64(t.source*sum))
}

// cutOff opens the circuit of a driven bay whose feed is gone.
func (b *Bay) cutOff() {
	if b.sign == 0 {
		return
	}
	b.circuit, b.sign, b.Energised = coasting, 0, 0
	b.net.duty, b.net.conductance, b.net.emfGain, b.net.share, b.net.load = 0, 0, 0, 1, b.Params.Branch.Load
}

// DriveLock sets the actuator of one side: +1 locks, -1 unlocks, 0 is off.
func (t *Truck) DriveLock(s Side, drive int) {
	if t.Locks[s].Drive != drive {
		t.Locks[s].Command(drive)
		t.changed, t.bars = true, true
	}
}

// MoveByHand lets the manual bypass move a bar: +1 to locked, -1 to unlocked.
func (t *Truck) MoveByHand(s Side, to int) {
	t.Locks[s].Condition.ByHand = to
	t.changed, t.bars = true, true
}

// moveLocks takes the bars on that are driven or on their way.
func (t *Truck) moveLocks() {
	t.bars, t.barsStirred = false, true
	for i := range t.Locks {
		l := &t.Locks[i]
		if !l.idle() {
			t.moveLock(Side(i))
		}
		t.bars = t.bars || !l.idle()
	}
}

// BarsMove tells that a bar may be driven, or on its way.
func (t *Truck) BarsMove() bool { return t.bars }

func (t *Truck) moveLock(s Side) {
	l := &t.Locks[s]
	l.barred = t.curtainInTheWay(s)
	l.step(t.NodeVolts)
	reaches := l.ReachesCurtain()
	for i := range t.Bays {
		b := &t.Bays[i]
		if b.Params.Side == s && b.latched != reaches {
			b.latched = reaches
			b.wake()
		}
	}
	if l.idle() {
		t.changed = true
	}
}

// curtainInTheWay is how far the bar of a side can get, in m: as far as its clear
// zone while any curtain of that side is too high to be locked.
func (t *Truck) curtainInTheWay(s Side) float64 {
	l := &t.Locks[s]
	if l.ReachesCurtain() {
		return math.Inf(1) // it is through; the curtain is held
	}
	for i := range t.Bays {
		b := &t.Bays[i]
		if b.Params.Side == s && b.Height > l.Params.LatchPlay {
			return l.Params.Clear
		}
	}
	return math.Inf(1)
}

// PlaceLock puts a bar at rest at either end.
func (t *Truck) PlaceLock(s Side, locked bool) {
	l := &t.Locks[s]
	l.Position, l.Speed = 0, 0
	if locked {
		l.Position = l.Params.Stroke
	}
	for i := range t.Bays {
		if t.Bays[i].Params.Side == s {
			t.Bays[i].latched = l.ReachesCurtain()
			t.Bays[i].wake()
		}
	}
}

// slowStep brings up to date what changes over many steps: charge and resistance of
// the battery, temperature and resistance of the windings.
func (t *Truck) slowStep() {
	span := float64(float64(t.every) * t.dt)
	t.Battery.Draw(t.drawn*t.dt, span)
	t.drawn = 0
	t.source = t.Battery.R + t.feedOhms + t.supply.FeedOhms
	for i := range t.Bays {
		b := &t.Bays[i]
		b.warm(b.heat*t.dt, span, t.Ambient.Temperature)
		b.heat = 0
	}
	t.changed = true // the battery's voltage and the windings' resistances are new
}

// warm adds the heat of the winding, in A²·s, and lets it cool to the air for span s.
func (b *Bay) warm(heat, span, air float64) {
	if heat == 0 && b.WindingTemp == air {
		return
	}
	d := &b.Params.Drive
	joules := float64(heat * d.Resistance * CopperFactor(b.WindingTemp, 20))
	lost := float64((b.WindingTemp - air) / d.ThermalRes * span)
	b.WindingTemp += (joules - lost) / d.ThermalCap
	b.c.perOhm = 1 / (d.Resistance * CopperFactor(b.WindingTemp, 20))
}

// Quiet tells that the whole truck is at rest, and that a step would change
// nothing but the charge drawn: then Idle does in one call what Step does in many.
func (t *Truck) Quiet() bool {
	return !t.changed && !t.live && t.marks.awake == 0 && !t.switching && !t.bars
}

// Awake is which bays are not at rest, a bit each.
func (t *Truck) Awake() uint64 { return t.marks.awake }

// Obstructed is which bays have something under their edge, a bit each.
func (t *Truck) Obstructed() uint64 { return t.marks.obstructed }

// Wirings is how often a bay was wired anew. As long as it stays what it is, no motor gets
// voltage that had none, or loses it.
func (t *Truck) Wirings() int64 { return t.marks.wirings }

// Stirred tells what has not been at rest all the time since it was last asked: bays, a
// bit each, and whether a bar has not.
func (t *Truck) Stirred() (bays uint64, bars bool) {
	bays, bars = t.stirred|t.marks.awake, t.barsStirred || t.bars
	t.stirred, t.barsStirred = 0, false
	return bays, bars
}

// Idle takes a quiet truck up to n steps on, exactly as Step would, and returns
// how many it took: it stops where battery and windings are brought up to date.
func (t *Truck) Idle(n int64) int64 {
	taken := min(n, int64(t.every-t.slow))
	for range taken {
		t.drawn += t.TotalCurrent
	}
	t.Steps += taken
	if t.slow += int32(taken); t.slow == t.every {
		t.slow = 0
		t.slowStep()
	}
	return taken
}

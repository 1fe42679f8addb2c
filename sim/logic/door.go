package logic

import "slatbench/sim"

// doorParts is what a reset does not touch.
type doorParts struct {
	machine *machine
	limits  limits
	outputs []doorState // by state
	clock   clock
	supply  window // converter readings at rest
	speed   speedometer
	doze    doze
}

// Door is the controller of one door.
type Door struct {
	doorParts
	sounder sounder
	driver  driver
	pen     pen

	travel  int // taught, pulses; 0 when nothing is
	count   int // pulses above the floor
	known   bool
	high    bool  // it may be too high: nothing has confirmed the stop that it was taken from, or a floor has come early since
	low     int   // pulses by which it may be too low: what was counted down may have been thrown back
	place   uint8 // of the last rest, from the record
	noted   bool  // the record of this rest stands
	written int   // the count that it gives
	serial  uint8 // of the youngest travel record
	next    int   // where the next is to be written

	pressed            bool // the receiver's line at the last tick
	edge               bool // the sensing edge is pressed at this tick
	deep               bool // it is fitted, and is not: a floor is noticed later
	sill               bool // the sill switch is made at this tick
	sillMade, sillOpen bool // the sill switch has been seen so since the reset
	run                run
	inState            int        // ticks
	atRest             int        // ticks since the drive was cut
	strays             int        // pulses at rest
	flash              int        // ticks that the lamp still flashes
	now                int        // ticks since the reset
	wires              sim.Inputs // of the last full tick
}

// doorState is a state's outputs.
type doorState struct {
	drive    int
	duty     uint8
	slow     bool
	lamp     lamp
	saysDown bool
}

// run is one run of the drive in one direction.
type run struct {
	dir       int
	coasts    int // direction in which pulses count until the enable is made: the run before goes on
	ticks     int // since the enable was made
	quiet     int // ticks since the last pulse; after the drive was cut less those since then
	gap       int // ticks between the last two pulses, the second of which came after the drive was cut
	pulses    int
	hot       int  // ticks of too high a current
	inrush    int  // ticks for which a high current is not yet too high a one
	labours   int  // ticks of a current like that of a motor that stands
	driven    int  // ticks for which the motor has taken nothing
	borne     int  // ticks for which a curtain that drove its motor does so no longer, from 1 on
	bears     bool // something bears it
	carries   int  // ticks of a motor that drives something
	drew      bool // the motor has taken something
	cut       int  // ticks for which it has taken nothing since: its lead is off, or a contact
	lag       int  // 1/1000 pulse by which the curtain has fallen behind its drive
	fromSill  bool // it began with the sill switch made
	met       bool // it ended against something
	gives     int  // ticks that this still gave way after the drive was cut
	lagged    bool // it was a curtain that did not come after its drive, or with an effort, and no edge told of it
	turned    bool // a pulse after it was where the curtain turned, and was not counted
	fell      int  // pulses, after the drive was cut on the way down, of a curtain that falls fast
	aside     int  // pulses after those, of one that its cable may have thrown back: they are not counted
	goesDown  bool // it has not: all are counted
	arrived   bool // it ended at the top
	ranOut    bool
	downTicks int  // how long the last run down was
	floored   bool // and it ended at a floor, believed or not
}

// runOut is how long, in s, a curtain may run out after the drive is cut: pulses
// until then still belong to the run.
const runOut = 0.5

// A curtain that was driven against something goes on, after the drive is cut, while the
// seal or the obstruction gives way, and is then thrown back. So long, in s, it gives way
// where the sensing edge has told at the first touch, and where the motor's current has;
// where pulses had stopped it has given way already.
const (
	edgeGives  = 0.10
	motorGives = 0.05
)

// stands is after how long without a pulse, in s, a curtain that is driven up
// is taken to stand: the slowest door gives one every 50 ms, one that a jam hardly lets by every 90 ms.
const stands = 0.10

// turns is after how long without a pulse, in s, a closing curtain that has slowed down is taken
// to have turned: one that still comes at half its speed gives one every 25 ms. Sooner it may be
// on its way yet, as far as its slack cable lets it fall, and a count too high is worse than one too low.
const turns = 0.06

// slowsTo is the gap between two pulses, in s, after which a curtain that rises on with its
// drive cut has hardly a pulse left to rise: at 5 mm in 30 ms it is slower than 0.17 m/s, and
// it loses 3 m/s in a second. One that falls on slack cable is faster until that is straight, and
// slower for as long as it is thrown back.
const slowsTo = 0.03

// ratedSupply is the supply, in V, at which 'opening current' is meant: what a motor takes
// that stands falls with the supply, and what it takes to lift does not.
const ratedSupply = 11.5

// closingSupply is the supply, in V, at which 'least speed' is paid out, at full duty and by a
// door as cold and as stiff as it gets. Of that supply the winding of its motor loses
// lostVolts, in V (5 A through 0.54 Ω), and the speed goes with the rest. No reading above
// countedSupply, in V, is counted on: it may be 2 V too high, and an unhindered door would
// seem to lag.
const (
	closingSupply = 12.0
	countedSupply = 11.0
	lostVolts     = 2.7
)

// sealDepth is how much further, in m, the seal is pressed down where a fitted sensing edge does
// not tell of the floor: by 12 N/mm from the 60 N at which the edge tells to the 165 N and more
// at which a curtain stands. Zero is where the edge tells.
const sealDepth = 0.010

// deadAmps is a current, in A, that a motor takes which drives nothing at all: friction alone
// asks for three times as much.
const deadAmps = 0.2

// A motor that its curtain drives takes no more than noAmps, in A, two counts of the converter. Where
// something of 5 N/mm or more comes to bear the curtain, it takes more than borneAmps, in A, 80 ms after that;
// a spring that carries more and more brings it up by less than a count. slowsDown is how long, in s, a motor
// may take nothing that was set to a lower duty: that of a sound door takes current again within 0.25 s
// (2,500 closings of trucks within their tolerances).
const (
	noAmps    = 0.08
	borneAmps = 0.12
	slowsDown = 0.3
)

// strayPulses is how many pulses at rest are put down to trembling.
const strayPulses = 3

// NewDoor makes the controller of one door, for a tick in s. The table must have passed Check.
func NewDoor(t *Table, tick float64) *Door {
	d := &Door{doorParts: doorParts{
		machine: newMachine(&t.Door, &DoorWords), limits: newLimits(&t.Tuning, clock(tick)), clock: clock(tick),
		supply: newWindow(clock(tick).ticks(supplySpan)), speed: speedometer{window: newWindow(clock(tick).ticks(t.Tuning.SlowedSpan))},
	}}
	for i := range t.Door.States {
		s := &t.Door.States[i]
		o := doorState{lamp: lampWord(s.Lamp), saysDown: s.Says == "down", duty: 100}
		switch s.Drive {
		case "up":
			o.drive = 1
		case "down":
			o.drive = -1
		}
		switch s.Duty {
		case "closing":
			o.duty = d.limits.closingDuty
		case "slow":
			o.duty, o.slow = d.limits.slowDuty, true
		case "teaching":
			o.duty, o.slow = d.limits.teachingDuty, true
		}
		d.outputs = append(d.outputs, o)
	}
	return d
}

// PowerOn implements sim.Controller.
func (d *Door) PowerOn(store *sim.Store) {
	*d = Door{doorParts: d.doorParts}
	d.doze.may = false
	d.machine.reset()
	d.supply.reset()
	d.speed.reset()
	d.sounder = newSounder(d.clock)
	d.driver.lead, d.driver.lag = d.clock.ticks(directionLead), d.clock.ticks(directionLag)
	d.pressed = true // a button that is held while power returns is no press
	r, next, ok := travelRecord(store)
	if ok {
		d.travel = int(r.value)
	}
	d.serial, d.next = r.serial, next
	if rest, ok := readRecord(store, restAt); ok && d.travel > 0 {
		d.place, d.count, d.known = rest.serial, int(rest.value), true
		d.noted, d.written = true, d.count
		d.run.arrived = d.place == restOpen
	}
	d.atRest = max(d.limits.runOut, d.limits.pause) + 1 // nothing to write about: the record stands
}

// Tick implements sim.Controller.
func (d *Door) Tick(in *sim.Inputs, out *sim.Outputs) {
	if d.doze.may && sameWires(in, &d.wires) {
		d.dozed(in, out)
		return
	}
	d.now++
	d.follow(in)
	edge := classifyEdge(in)
	d.edge, d.deep, d.sill = edge == edgePressed, edge == edgeFree || edge == edgeFaulty, in.Sill
	events, guards := d.events(in, edge), uint32(0)
	if d.machine.heeds(events) {
		guards = d.guards(in, edge)
	}
	d.pressed = in.Press
	d.inState++
	if a := d.machine.answerTo(events, guards); a != nil {
		d.answer(a)
	}
	d.act(in, out)
	if d.doze.may = d.mayDoze(in, out, events); d.doze.may {
		d.wires = *in
	}
}

// answer makes a transition and does what it asks for.
func (d *Door) answer(a *answer) {
	before := d.state().drive
	if d.machine.fire(a) {
		d.inState = 0
		d.speed.reset()
	}
	if a.alarm != 0 {
		d.sounder.sound(a.alarm)
	}
	d.do(a.do)
	if now := d.state().drive; now != before {
		stood := before > 0 && d.run.pulses > 0 && d.stands() && d.carried()
		d.turn(before, now)
		d.ended(a.event, before, stood)
	}
}

// carried tells that the motor has driven something for a while. One that has not, its release
// open, has met nothing; and where it is engaged again as it is cut, the curtain goes on with it.
func (d *Door) carried() bool { return d.run.carries >= d.limits.currentTime }

// ended keeps how a run has ended: what it met, and where.
func (d *Door) ended(event, dir int, stood bool) {
	r := &d.run
	r.met, r.gives = stood, 0
	if dir < 0 {
		// With a count too high it comes fast, and the seal slows it down before anything tells of the floor.
		r.floored = event == evFloor || event == evSlowed && d.sill
		d.high = d.high || r.floored && d.count > d.limits.floorWindow
	}
	stalled := event == evStall || event == evHeldUp
	r.lagged = dir < 0 && !d.edge && (stalled || event == evSlowed)
	if dir > 0 && stalled && stood && d.stopByTheMost() {
		d.known = false
	}
	switch {
	case dir > 0 && event == evHeldUp && !stood: // it may be moving yet
		r.met, r.gives = true, d.limits.motorGives
	case dir > 0 && stalled:
		r.met = d.carried()
	case dir < 0 && d.edge && (event == evFloor || event == evEdge):
		r.met, r.gives = true, d.limits.edgeGives
	case dir < 0 && (event == evHeldUp || event == evFloor && d.heldUp()):
		r.met, r.gives = true, d.limits.motorGives
	case dir < 0 && event == evFloor:
		r.met = true
	case dir < 0 && (event == evStall || event == evSlowed && r.quiet >= d.limits.turns):
		r.met = r.cut < d.limits.currentTime // a drive that has stopped by itself has met nothing
	}
	r.arrived = dir > 0 && d.known && d.highAsOpen() && (stalled || event == evAtTop || event == evPaidBack)
}

// turn begins and ends runs.
func (d *Door) turn(before, now int) {
	if before < 0 {
		d.run.downTicks = d.run.ticks
	}
	if before == 0 {
		d.strikeRest()
	}
	if now != 0 {
		d.run = run{dir: now, coasts: d.run.coasting(now), downTicks: d.run.downTicks, floored: d.run.floored, fromSill: d.sill}
	}
	d.atRest, d.strays = 0, 0
}

// coasting is the direction in which a curtain still goes that this run has left, when the
// next run is to go in a direction.
func (r *run) coasting(next int) int {
	switch {
	case r.dir == 0:
		return next
	case r.met:
		return -r.dir
	}
	return r.dir
}

func (d *Door) do(actions uint32) {
	if actions>>acDoubt&1 == 1 {
		d.known = false
		d.strikeRest()              // a reset must not believe it either
		if d.strays > strayPulses { // whither it has moved nobody knows
			d.count = 0
		}
	}
	floor := 0 // the least that the count can be where a floor is found
	if d.deep {
		floor = -d.limits.sealDepth
	}
	if actions>>acTrim&1 == 1 {
		off := max(d.count, 0) + min(d.count-floor, 0)
		d.count -= min(max(off, -d.limits.trim), d.limits.trim)
	}
	if actions>>acZero&1 == 1 && !d.lies() {
		d.count, d.known = floor, true
	}
	d.high = d.high && actions&(1<<acTrim|1<<acZero) == 0
	if actions&(1<<acTrim|1<<acZero|1<<acTop) != 0 {
		d.low = 0
	}
	if actions>>acTop&1 == 1 {
		d.high = !d.topConfirmed()
		d.count, d.known = d.travel, true
	}
	if actions>>acCap&1 == 1 && (d.run.floored || d.high) {
		d.count, d.high = min(d.count, d.travel), false
	}
	if actions>>acFlash&1 == 1 {
		d.flash = d.limits.flash
	}
	if actions>>acStore&1 == 1 {
		d.teach()
	}
}

// lies tells that a floor is found where the door lay, and was counted to lie, before its drive was on. Its
// seal was pressed down after the last run, by up to two pulses more than where the edge tells.
func (d *Door) lies() bool {
	return d.known && d.run.ticks == 0 && d.count <= 0 && d.count >= -d.limits.sealDepth
}

// teach writes the counted travel over the older copy of the record.
func (d *Door) teach() {
	d.travel = d.count
	d.serial++
	b := record{d.serial, int16(d.travel)}.bytes()
	d.pen.put(d.next, b[:]...)
	d.next = travelA + travelB - d.next
}

func (d *Door) state() *doorState { return &d.outputs[d.machine.state] }

// act drives the outputs of the present state.
func (d *Door) act(in *sim.Inputs, out *sim.Outputs) {
	s := d.state()
	if s.drive == 0 {
		d.rest()
	}
	d.driver.tick(s.drive, !d.pen.busy() && !in.StoreBusy)
	d.driver.drive(out, s.duty)
	if d.flash > 0 {
		d.flash--
	}
	out.Lamp = s.lamp.lit(d.now, d.limits.flashHalf) || d.flash > 0 && lampFlash.lit(d.now, d.limits.flashHalf)
	out.Tone = d.sounder.tick()
	out.Lines = sim.DownLines{Down: s.saysDown, NotDown: !s.saysDown}
	d.pen.write(in, out)
}

// rest counts the ticks at rest, and writes down where the curtain stands once it has run out. Between the
// ends only the count says where: one that may be too high, or too low, had better be looked for after a reset.
func (d *Door) rest() {
	d.atRest++
	if d.atRest != d.limits.runOut || !d.known {
		return
	}
	place := uint8(restBetween)
	switch {
	case d.state().saysDown:
		place = restDown
	case d.run.arrived:
		place = restOpen
	case d.high || d.tooLow():
		return
	}
	// The byte that was struck comes last: it alone would make the old record whole again.
	b := record{place, int16(d.count)}.bytes()
	d.pen.put(restAt+1, b[1:]...)
	d.pen.put(restAt, b[0])
	d.noted, d.written = true, d.count
}

// strikeRest strikes out what was written down of a rest.
func (d *Door) strikeRest() {
	d.pen.strike(restAt)
	d.noted = false
}

// State implements sim.Teller.
func (d *Door) State() string { return d.machine.name() }

// Counts implements sim.Teller.
func (d *Door) Counts() int { return d.count }

// Provision implements sim.Provisioner.
func (d *Door) Provision(store *sim.Store, travel, at int) {
	b := record{1, int16(travel)}.bytes()
	copy(store[travelA:], b[:])
	place := uint8(restBetween)
	switch {
	case at == 0:
		place = restDown
	case at >= travel-max(d.limits.topWindow, d.limits.stopBefore):
		place = restOpen
	}
	r := record{place, int16(at)}.bytes()
	copy(store[restAt:], r[:])
}

// Taught implements sim.Provisioner.
func (d *Door) Taught(store *sim.Store) (int, bool) {
	r, _, ok := travelRecord(store)
	return int(r.value), ok
}

package sim

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"

	"slatbench/model"
)

// DefaultTickSteps is how many steps of the model make a tick of the controllers: 10 ms.
const DefaultTickSteps = 10

// Receiver timing, in ticks: a code must be seen so long before the line goes on,
// and be missed so long before it goes off. Common practice, no source.
const (
	decodeTicks  = 6
	releaseTicks = 12
)

// Setup is everything that a run is made from. Times are in steps.
type Setup struct {
	Truck     model.TruckParams
	StepSize  float64 // s; 0 means model.DefaultStep
	TickSteps int     // 0 means DefaultTickSteps
	Ratings   Ratings
	Seed      uint64
	Duration  int64

	Doors []Controller // one a bay, in the order of Truck.Bays
	Locks Controller

	Charge   float64           // battery, 0 to 1
	Heights  []float64         // m, a bay; nil means all down. A height below 0 means down
	Locked   [model.Sides]bool // bars
	Actions  []Action          // need not be sorted
	Faults   []Scheduled       //
	Watch    []Observer        // shown every instant, in this order
	Untaught bool              // controllers start with an empty store
}

// Observer is shown a bench. Tick follows every tick of the controllers, before the
// steps that the tick leads to.
type Observer interface {
	Tick(b *Bench)
}

// Stepper is an observer that looks between ticks too. Step follows every step in
// which anything can have changed; while the whole truck is at rest it comes once a tick.
type Stepper interface {
	Observer
	Step(b *Bench)
}

// Bench is one run in progress.
type Bench struct {
	Truck *model.Truck
	Wires []BayWires
	Sides [model.Sides]SideWires

	Now       int64 // steps since the start
	TickSteps int64
	PressLine []bool  // receivers' lines
	PressedAt []int64 // step of the last rising edge of each, or -1

	setup    Setup
	watch    []Observer
	steppers []Stepper // of watch
	doors    []station
	locks    station
	lines    [model.Sides]sideLines
	working  bool   // allWork, as last found
	still    uint64 // a bit a door: nothing was new at this tick
	sameBars bool   // nor at the locks
	saysNew  bool   // a door has said something new on its lines
	silent   bool   // no receiver sees or awaits anything
	actions  []Action
	cues     []cue
	nextAct  int
	nextCue  int
	due      int64    // step at which something is to happen next, as plan has found it
	presses  []Action // in progress
	teaching []int64  // until which step the teach button is held, a bay
	asking   [model.Sides][2]int64
	sag      Action // interruption in progress
	over     overlays
	noise    rand.PCG
	seen     []int64 // pulses already delivered
	seenNet  []int64
	decode   []int
	err      error
}

// New builds the bench for a run. The setup must name a controller for every bay.
func New(s Setup) (*Bench, error) {
	if len(s.Doors) != len(s.Truck.Bays) || s.Locks == nil {
		return nil, fmt.Errorf("a truck of %d bays needs %d door controllers and one lock controller, not %d",
			len(s.Truck.Bays), len(s.Truck.Bays), len(s.Doors))
	}
	if err := s.ready(); err != nil {
		return nil, err
	}
	if s.StepSize == 0 {
		s.StepSize = model.DefaultStep
	}
	if s.TickSteps == 0 {
		s.TickSteps = DefaultTickSteps
	}
	if s.Ratings == (Ratings{}) {
		s.Ratings = DefaultRatings()
		s.Ratings.Boot = s.steps(float64(s.Ratings.Boot) * model.DefaultStep)
		s.Ratings.ByteWrite = s.steps(float64(s.Ratings.ByteWrite) * model.DefaultStep)
	}
	n := len(s.Truck.Bays)
	b := &Bench{
		Truck: model.NewTruck(s.Truck, s.StepSize), TickSteps: int64(s.TickSteps),
		Wires: make([]BayWires, n), PressLine: make([]bool, n), PressedAt: make([]int64, n),
		setup: s, doors: make([]station, n), teaching: make([]int64, n),
		seen: make([]int64, n), seenNet: make([]int64, n), decode: make([]int, n),
		actions: append([]Action(nil), s.Actions...), cues: cues(s.Faults),
		presses: make([]Action, 0, len(s.Actions)),
		noise:   *rand.NewPCG(s.Seed, 0x5a7be9c4),
	}
	b.Watch(s.Watch...)
	sort.SliceStable(b.actions, func(i, j int) bool { return b.actions[i].At < b.actions[j].At })
	b.Truck.SetCharge(s.Charge)
	for i := range b.doors {
		b.PressedAt[i] = -1
		b.place(i)
	}
	for i := range s.Locked {
		b.Truck.PlaceLock(model.Side(i), s.Locked[i])
	}
	b.locks.use(s.Locks)
	b.locks.boot()
	return b, nil
}

// Watch shows the bench to more observers, after those of its setup.
func (b *Bench) Watch(list ...Observer) {
	b.watch = append(b.watch, list...)
	for _, w := range list {
		if w, ok := w.(Stepper); ok {
			b.steppers = append(b.steppers, w)
		}
	}
}

// steps is how many steps a time in seconds takes.
func (s *Setup) steps(seconds float64) int64 { return int64(math.Round(seconds / s.StepSize)) }

// place puts bay i where it starts and gives its controller the record that
// teaching and the last stop would have left.
func (b *Bench) place(i int) {
	bay := &b.Truck.Bays[i]
	at := 0
	if i < len(b.setup.Heights) && b.setup.Heights[i] > bay.Params.Stops.SillHeight {
		h := b.setup.Heights[i]
		bay.Place(h)
		at = PulsesAbove(bay, h)
	}
	s := &b.doors[i]
	s.use(b.setup.Doors[i])
	s.side = &b.lines[bay.Params.Side]
	if p, ok := s.controller.(Provisioner); ok && !b.setup.Untaught {
		p.Provision(&s.store, PulsesAbove(bay, bay.Params.Track.Opening), at)
	}
	s.boot()
}

// PulsesAbove is what teaching would have counted up to a height in m. It counts from
// where a closing door is stopped: with the seal pressed until the sensing edge
// answers or, without one, until the floor carries the door well enough for its
// pulses to stop.
func PulsesAbove(bay *model.Bay, height float64) int {
	seal := &bay.Params.Seal
	force := unsensedFloor
	if seal.EdgeFitted {
		force = seal.EdgeForce
	}
	zero := float64(-force * (1/seal.Stiffness + 1/bay.Params.Stops.FloorStiffness))
	return int(math.Round((height - zero) * bay.Params.Encoder.PulsesPerMetre))
}

// unsensedFloor is the force on the seal at which a door without a sensing edge
// is stopped, N. As the default truck does it.
const unsensedFloor = 165.0

// Run plays the whole setup.
func (b *Bench) Run() error {
	for b.Now < b.setup.Duration && b.err == nil {
		b.Advance()
	}
	return b.err
}

// Err is what stopped the run, if anything did: a fault that could not be brought on.
func (b *Bench) Err() error { return b.err }

// Advance plays one tick: the controllers work, then the truck moves for as many steps.
func (b *Bench) Advance() {
	b.tick()
	for _, w := range b.watch {
		w.Tick(b)
	}
	b.plan()
	for end := b.Now + b.TickSteps; b.Now < end && b.err == nil; {
		if b.Truck.Quiet() && b.due >= end && b.sag.Span == 0 && b.steady() {
			b.Now += b.Truck.Idle(end - b.Now)
		} else {
			if b.due <= b.Now || b.over.waits {
				b.play()
				b.plan()
			}
			b.Truck.Step()
			b.Now++
			if !b.working || b.Truck.LowestVolts < b.setup.Ratings.BrownOut {
				b.power()
			}
		}
		for _, w := range b.steppers {
			w.Step(b)
		}
	}
}

// steady tells that looking at an unchanged supply again would change no controller.
func (b *Bench) steady() bool {
	for i := range b.doors {
		if !b.doors[i].steady(b.Truck.Bays[i].Supply, &b.setup.Ratings) {
			return false
		}
	}
	return b.locks.steady(b.Truck.NodeVolts, &b.setup.Ratings)
}

// plan finds the step at which something is to happen next.
func (b *Bench) plan() {
	b.due = math.MaxInt64
	if b.nextAct < len(b.actions) {
		b.due = b.actions[b.nextAct].At
	}
	if b.nextCue < len(b.cues) {
		b.due = min(b.due, b.cues[b.nextCue].at)
	}
	if b.sag.Span > 0 {
		b.due = min(b.due, b.sag.At+b.sag.Span)
	}
}

// play brings on what is due at this step.
func (b *Bench) play() {
	if b.over.waits {
		b.appear()
	}
	for b.nextCue < len(b.cues) && b.cues[b.nextCue].at <= b.Now {
		c := &b.cues[b.nextCue]
		b.nextCue++
		if c.stop {
			c.fault.Stop(b)
		} else if err := c.fault.Start(b); err != nil && b.err == nil {
			b.err = err
		}
	}
	for b.nextAct < len(b.actions) && b.actions[b.nextAct].At <= b.Now {
		b.act(b.actions[b.nextAct])
		b.nextAct++
	}
	if b.sag.Span > 0 && b.Now >= b.sag.At+b.sag.Span {
		b.sag = Action{}
		b.supplyFactor(1)
	}
}

// Act does something to the truck now.
func (b *Bench) Act(a Action) {
	a.At = b.Now
	b.act(a)
}

func (b *Bench) act(a Action) {
	until := a.At + a.Span
	switch a.Kind {
	case Press:
		b.presses = append(b.presses, a)
	case TeachHold:
		b.teaching[a.Bay] = until
	case LockAsk:
		b.asking[a.Side][0] = until
	case UnlockAsk:
		b.asking[a.Side][1] = until
	case Interrupt:
		b.sag = a
		b.due = min(b.due, until)
		b.supplyFactor(a.Factor)
	case BypassLock:
		b.Truck.MoveByHand(a.Side, 1)
	case BypassUnlck:
		b.Truck.MoveByHand(a.Side, -1)
	}
}

func (b *Bench) supplyFactor(f float64) {
	b.Alter(func(p *Parts) { p.Supply.VoltageFactor = f })
}

// allWork tells that every controller is at work, with nothing on its way into its
// store: then volts enough change nothing.
func (b *Bench) allWork() bool {
	for i := range b.doors {
		if !b.doors[i].works() {
			return false
		}
	}
	return b.locks.works()
}

// power lets every controller look at its supply, and carries a reset to the contacts.
func (b *Bench) power() {
	r := &b.setup.Ratings
	for i := range b.doors {
		s := &b.doors[i]
		volts := b.Truck.Bays[i].Supply
		s.remember()
		if s.supply(volts, r) {
			b.drive(i)
			b.saysNew = true
		}
	}
	b.locks.remember()
	if b.locks.supply(b.Truck.NodeVolts, r) {
		b.driveLocks()
	}
	b.working = b.allWork()
}

// tick senses, lets every controller that is awake work, and drives. One at rest to
// which nothing is new is passed over.
func (b *Bench) tick() {
	b.receive()
	b.senseSides()
	stirred, bars := b.Truck.Stirred()
	b.still = 0
	for i := range b.doors {
		s := &b.doors[i]
		switch {
		case !s.booted:
		case s.dozes && stirred>>i&1 == 0 && b.sameDoor(i):
			b.still |= 1 << i
			b.senseSupply(i)
			s.doze()
		default:
			b.tickDoor(i)
		}
	}
	b.sameBars = false
	switch {
	case !b.locks.booted:
	case b.locks.dozes && !b.saysNew && b.sameLocks():
		b.sameBars = !bars
		b.locks.in.Supply = convert(b.Truck.NodeVolts, SupplyFullV)
		b.locks.doze()
	default:
		b.saysNew = false
		b.senseLocks()
		b.locks.tick(&b.setup.Ratings)
		b.driveLocks()
		b.locks.dozes = b.locks.mayDoze()
	}
	b.working = b.allWork()
}

func (b *Bench) tickDoor(i int) {
	s := &b.doors[i]
	lines := s.out.Lines
	b.senseDoor(i)
	s.tick(&b.setup.Ratings)
	b.drive(i)
	b.saysNew = b.saysNew || s.out.Lines != lines
	s.dozes = s.mayDoze() && b.Truck.Bays[i].AtRest()
}

// rouse lets every controller have a full tick: wires or parts have changed.
func (b *Bench) rouse() {
	for i := range b.doors {
		b.doors[i].dozes = false
	}
	b.locks.dozes, b.silent = false, false
}

// Still is which doors' controllers have found nothing new at this tick, a bit each: but
// for its supply, all is as it was at the tick before. locks is the same of the lock
// controller and the bars.
func (b *Bench) Still() (doors uint64, locks bool) { return b.still, b.sameBars }

func (b *Bench) drive(i int) {
	s := &b.doors[i]
	coils := coils{s.out.Up, s.out.Down, s.out.Enable, s.out.Duty}
	if coils == s.driven {
		return
	}
	s.driven = coils
	b.Truck.Command(i, coils.up, coils.down, coils.enable, float64(min(coils.duty, 100))/100)
}

func (b *Bench) driveLocks() {
	for s := range b.locks.out.Sides {
		b.Truck.DriveLock(model.Side(s), int(b.locks.out.Sides[s].Drive))
	}
}

// Seconds is the time of step n in s.
func (b *Bench) Seconds(n int64) float64 { return float64(n) * b.Truck.StepSize() }

// Steps is how many steps take so many seconds.
func (b *Bench) Steps(seconds float64) int64 { return b.setup.steps(seconds) }

// Duration is how long the run is, in steps.
func (b *Bench) Duration() int64 { return b.setup.Duration }

// Setup is what the run is made from.
func (b *Bench) Setup() *Setup { return &b.setup }

// Outputs of bay i's controller, as last driven.
func (b *Bench) Outputs(i int) *Outputs { return &b.doors[i].out }

// LockOutputs are those of the lock controller.
func (b *Bench) LockOutputs() *Outputs { return &b.locks.out }

// Inputs of bay i's controller, as last sensed.
func (b *Bench) Inputs(i int) *Inputs { return &b.doors[i].in }

// Awake tells whether bay i's controller has power and has booted.
func (b *Bench) Awake(i int) bool { return b.doors[i].booted }

// LocksAwake tells the same of the lock controller.
func (b *Bench) LocksAwake() bool { return b.locks.booted }

// Door is bay i's controller, and its store.
func (b *Bench) Door(i int) (Controller, *Store) { return b.doors[i].controller, &b.doors[i].store }

// LockController is the lock controller.
func (b *Bench) LockController() Controller { return b.locks.controller }

// Fault brings a fault on now, or takes it off.
func (b *Bench) Fault(f Fault, on bool) error {
	if on {
		return f.Start(b)
	}
	f.Stop(b)
	return nil
}

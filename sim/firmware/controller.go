package firmware

import (
	"math"

	"slatbench/sim"
)

// engine is one controller from outside that runs: an instance, a process. Its
// memory begins with powerOn and ends with close.
type engine interface {
	// powerOn tells it its role, its tick in µs, and its non-volatile memory.
	powerOn(r Role, tickMicros uint32, store *sim.Store) error
	// inputs is where it wants those of a tick; they are laid out there whole.
	inputs() *[inputsSize]byte
	// tick lets it work on them. Its outputs hold until the next call.
	tick() (*[outputsSize]byte, error)
	// passed tells it that so many ticks have gone by without an exchange.
	passed(ticks int)
	close()
}

// image is what engines are made from.
type image interface {
	start() (engine, error)
	// records and names are asked of an engine of their own, so that asking can't
	// change what a controller keeps in its memory.
	provision(store *sim.Store, travel, at int)
	taught(store *sim.Store) (travel int, ok bool)
	stateName(r Role, n uint16) string
}

// controller is one controller on the bench. A power-on throws its engine away and
// starts another, or puts it back to what it was when it was new: nothing that it kept in
// memory can come through.
type controller struct {
	image  image
	role   Role
	micros uint32 // a tick

	engine engine // nil before the first power-on, and while it is silent
	fresh  bool   // the engine has not worked yet
	silent string // why, or ""
	said   answer // what it has answered last, besides its outputs
	sleep  sleep
	self   sim.Controller // with what it offers besides

	lastStore sim.Store // what taught was asked of last, and its answer
	travel    int
	ok, asked bool
}

// Ready starts the first engine, and tells why there is none. The bench asks before
// a run: what can't be started is no controller that fell silent.
func (c *controller) Ready() (err error) {
	if c.fresh {
		return nil
	}
	if r, ok := c.engine.(renewer); ok && r.renew() {
		c.fresh = true
		return nil
	}
	c.stop()
	c.engine, err = c.image.start()
	c.fresh = err == nil
	return err
}

// PowerOn implements sim.Controller.
func (c *controller) PowerOn(store *sim.Store) {
	c.silent = ""
	c.sleep.end()
	err := c.Ready()
	c.fresh = false
	if err == nil {
		err = c.engine.powerOn(c.role, c.micros, store)
	}
	if err != nil {
		c.fall(err)
	}
}

// Tick implements sim.Controller.
func (c *controller) Tick(in *sim.Inputs, out *sim.Outputs) {
	if c.engine == nil {
		*out = sim.Outputs{}
		return
	}
	s := &c.sleep
	if s.deep > 0 && sameWires(in, &s.wires) && (c.role == Door || in.Sides == s.wires.Sides) { // a door is not told of the sides
		s.pass(in)
		*out = s.outputs
		return
	}
	c.work(in, out)
}

// work is a tick for which it is called.
func (c *controller) work(in *sim.Inputs, out *sim.Outputs) {
	var err error
	if c.sleep.n > 0 {
		err = c.wake()
	}
	if err == nil {
		err = c.call(in, out)
	}
	if err != nil {
		c.fall(err)
		*out = sim.Outputs{}
		return
	}
	c.sleep.end()
	if c.said.asleep != 0 && !out.Write {
		c.sleep.begin(in, out, c.said.asleep)
	}
}

// call hands it the inputs of one tick, and takes its outputs.
func (c *controller) call(in *sim.Inputs, out *sim.Outputs) error {
	b := c.engine.inputs()
	putInputs(b, in)
	if c.role == Locks {
		putSides(b, in)
	}
	o, err := c.engine.tick()
	if err != nil {
		return err
	}
	takeOutputs(o, out)
	c.said.take(o)
	if c.role == Locks {
		takeSides(o, out)
	}
	return nil
}

// fall makes it silent until the next power-on.
func (c *controller) fall(err error) {
	c.silent = err.Error()
	c.said = answer{}
	c.stop()
}

func (c *controller) stop() {
	if c.engine != nil {
		c.engine.close()
		c.engine, c.fresh = nil, false
	}
}

// Silent implements sim.Faller.
func (c *controller) Silent() string { return c.silent }

// keeps is a controller whose store can be filled and read.
type keeps struct{ c *controller }

// Provision implements sim.Provisioner.
func (k keeps) Provision(store *sim.Store, travel, at int) {
	k.c.image.provision(store, clampInt32(travel), clampInt32(at))
}

func clampInt32(x int) int { return min(max(x, math.MinInt32), math.MaxInt32) }

// Taught implements sim.Provisioner. Monitors ask at every tick of a teaching; most
// find the store as it was.
func (k keeps) Taught(store *sim.Store) (travel int, ok bool) {
	c := k.c
	if !c.asked || c.lastStore != *store {
		c.asked, c.lastStore = true, *store
		c.travel, c.ok = c.image.taught(store)
	}
	return c.travel, c.ok
}

// tells is a controller whose outputs name its state.
type tells struct {
	c     *controller
	names *names
}

// names are those of states, as far as they have been asked for.
type names struct {
	one  map[uint16]string
	both map[uint32]string // curbside's state, and roadside's above it
}

// State implements sim.Teller.
func (t tells) State() string {
	if t.c.silent != "" {
		return "silent"
	}
	here, other := t.c.said.state[0], t.c.said.state[1]
	if t.c.role == Door {
		return t.name(here)
	}
	key := uint32(other)<<16 | uint32(here)
	name, ok := t.names.both[key]
	if !ok {
		name = t.name(here) + "/" + t.name(other)
		t.names.both[key] = name
	}
	return name
}

func (t tells) name(n uint16) string {
	name, ok := t.names.one[n]
	if !ok {
		name = t.c.image.stateName(t.c.role, n)
		t.names.one[n] = name
	}
	return name
}

// SideState is the state of one side's lock.
func (t tells) SideState(side int) string {
	if t.c.silent != "" {
		return "silent"
	}
	return t.name(t.c.said.state[side])
}

// Counts implements sim.Teller.
func (t tells) Counts() int { return int(t.c.said.counts) }

// A controller is seen to tell, and to keep records, only where it does.
type (
	telling struct {
		controller
		tells
	}
	keeping struct {
		controller
		keeps
	}
	tellingKeeping struct {
		controller
		tells
		keeps
	}
)

// newController makes one for a role, with as much as its layout offers.
func newController(i image, l *Layout, r Role, tick float64) sim.Controller {
	c := controller{image: i, role: r, micros: uint32(math.Round(tick * 1e6))}
	c.sleep.may = l.Sleeps()
	known := &names{map[uint16]string{}, map[uint32]string{}}
	records := l.KeepsRecords() && r == Door
	switch {
	case l.Tells() && records:
		t := &tellingKeeping{controller: c}
		t.tells, t.keeps, t.self = tells{&t.controller, known}, keeps{&t.controller}, t
		return t
	case l.Tells():
		t := &telling{controller: c}
		t.tells, t.self = tells{&t.controller, known}, t
		return t
	case records:
		k := &keeping{controller: c}
		k.keeps, k.self = keeps{&k.controller}, k
		return k
	}
	c.self = &c
	return &c
}

// controllers makes those of a truck.
func controllers(i image, l *Layout, bays int, tick float64) (doors []sim.Controller, locks sim.Controller) {
	for range bays {
		doors = append(doors, newController(i, l, Door, tick))
	}
	return doors, newController(i, l, Locks, tick)
}

// stopAll ends the engines of controllers that are no longer wanted.
func stopAll(doors []sim.Controller, locks sim.Controller) {
	for _, c := range append(doors[:len(doors):len(doors)], locks) {
		if s, ok := c.(interface{ stop() }); ok {
			s.stop()
		}
	}
}

package sim

import (
	"slices"

	"slatbench/model"
)

// Parts is the state of everything that a fault may change: the wear of parts,
// the wires, and what stands around the truck. None of it is inside a controller.
type Parts struct {
	Bays  []model.Condition
	Wires []BayWires
	Under []Obstruction // a bay: what lies under its edge
	Locks [model.Sides]model.LockCondition
	Sides [model.Sides]SideWires

	Supply      model.SupplyCondition
	Charge      float64 // of the battery, 0 to 1
	BatteryAge  float64 // 0 new to 1 at the end of its service life
	Sunlight    float64 // lx on the receivers
	Reflectance float64 // of what stands behind the driver, 0 to 1
}

// Obstruction is something under the edge; the zero value is nothing. It cannot
// appear inside the curtain: where the edge is lower than Top it waits until the
// edge has gone up.
type Obstruction struct {
	Top       float64 // m above the sill, along the track
	Stiffness float64 // N/m
}

// Overlay is a change laid over the parts. It must be comparable, because it is
// lifted by being equal to what was laid, and Change must depend on nothing but
// itself and its arguments.
type Overlay interface {
	Change(b *Bench, p *Parts)
}

// overlays keeps what is laid. The parts in force are always those underneath
// with every overlay applied in the order of laying; so lifting one takes off
// its own share and nothing else, and lifting the last gives back, to the bit,
// what was underneath.
type overlays struct {
	laid    []Overlay
	under   Parts // as they are without overlays
	inForce Parts // as last put into the truck
	next    Parts // being worked out
	waiting []bool
	waits   bool // an obstruction waits until a curtain is above it
}

// Lay puts a change over the parts of the truck.
func (b *Bench) Lay(o Overlay) {
	b.readParts()
	b.over.laid = append(b.over.laid, o)
	b.putParts()
}

// Lift takes off a change that was laid, and tells whether there was one. Of
// several equal ones it takes the latest.
func (b *Bench) Lift(o Overlay) bool {
	laid := b.over.laid
	for i := len(laid) - 1; i >= 0; i-- {
		if laid[i] == o {
			b.over.laid = slices.Delete(laid, i, i+1)
			b.putParts()
			return true
		}
	}
	return false
}

// Alter changes the parts underneath all overlays: wear, weather, a sagging
// supply. While a fault is on, nothing else may change them, or it would be
// undone when the fault goes.
func (b *Bench) Alter(change func(p *Parts)) {
	b.readParts()
	change(&b.over.under)
	b.putParts()
}

// readParts takes the parts as they are for what lies underneath, unless overlays
// hide it.
func (b *Bench) readParts() {
	v := &b.over
	if len(v.laid) > 0 {
		return
	}
	if v.waiting == nil {
		n := len(b.Truck.Bays)
		v.waiting = make([]bool, n)
		v.under, v.inForce, v.next = newParts(n), newParts(n), newParts(n)
		v.under.BatteryAge = b.setup.Truck.Battery.Age
	}
	u := &v.under
	for i := range b.Truck.Bays {
		u.Bays[i] = b.Truck.Bays[i].Condition
	}
	copy(u.Wires, b.Wires)
	for i := range u.Locks {
		u.Locks[i] = b.Truck.Locks[i].Condition
	}
	u.Sides = b.Sides
	u.Supply = b.Truck.Supply()
	u.Charge = b.Truck.Battery.Charge
	u.Sunlight, u.Reflectance = b.Truck.Ambient.Sunlight, b.Truck.Remote.Reflectance
	v.inForce.copy(u)
}

func newParts(bays int) Parts {
	return Parts{
		Bays:  make([]model.Condition, bays),
		Wires: make([]BayWires, bays),
		Under: make([]Obstruction, bays),
	}
}

// copy copies everything, slices by content.
func (p *Parts) copy(from *Parts) {
	bays, wires, under := p.Bays, p.Wires, p.Under
	*p = *from
	p.Bays, p.Wires, p.Under = bays, wires, under
	copy(p.Bays, from.Bays)
	copy(p.Wires, from.Wires)
	copy(p.Under, from.Under)
}

// stack works out the parts with every overlay applied.
func (b *Bench) stack() *Parts {
	v := &b.over
	v.next.copy(&v.under)
	for _, o := range v.laid {
		o.Change(b, &v.next)
	}
	return &v.next
}

// putParts puts what is now in force into the truck, touching only parts that
// have changed.
func (b *Bench) putParts() {
	b.rouse()
	next, now := b.stack(), &b.over.inForce
	if next.Charge != now.Charge || next.BatteryAge != now.BatteryAge {
		// What was drawn in the meantime is gone from the battery underneath too.
		b.over.under.Charge -= now.Charge - b.Truck.Battery.Charge
		next = b.stack()
		b.putBattery(next.Charge, next.BatteryAge)
	}
	for i := range next.Bays {
		if next.Bays[i] != now.Bays[i] {
			b.Truck.Bays[i].Condition = next.Bays[i]
			b.Truck.RefreshBay(i)
		}
		if next.Under[i] != now.Under[i] {
			b.obstruct(i, next.Under[i])
		}
	}
	copy(b.Wires, next.Wires)
	for i := range next.Locks {
		if next.Locks[i] != now.Locks[i] {
			l := &b.Truck.Locks[i]
			hand := l.Condition.ByHand // on its way, and nobody's fault
			l.Condition = next.Locks[i]
			l.Condition.ByHand = hand
			b.Truck.RefreshLock(model.Side(i))
		}
	}
	b.Sides = next.Sides
	if next.Supply != now.Supply {
		b.Truck.SetSupply(next.Supply)
	}
	b.Truck.Ambient.Sunlight, b.Truck.Remote.Reflectance = next.Sunlight, next.Reflectance
	now.copy(next)
}

func (b *Bench) putBattery(charge, age float64) {
	if age != b.over.inForce.BatteryAge {
		p := b.setup.Truck.Battery
		p.Age = age
		b.Truck.Battery.Become(p)
	}
	b.Truck.SetCharge(charge)
}

// obstruct puts something under the edge of bay i, takes it away, or lets it wait.
func (b *Bench) obstruct(i int, o Obstruction) {
	b.Truck.Bays[i].ClearObstacle()
	b.over.waiting[i] = o != Obstruction{} && !b.shove(i, o)
	b.over.waits = slices.Contains(b.over.waiting, true)
}

// shove puts an obstruction under the edge, where there is room for it.
func (b *Bench) shove(i int, o Obstruction) bool {
	return b.Truck.Bays[i].SetObstacle(model.Obstacle{Top: o.Top, Stiffness: o.Stiffness})
}

// appear brings on obstructions that waited for their curtains to go up.
func (b *Bench) appear() {
	for i, waiting := range b.over.waiting {
		if waiting && b.shove(i, b.over.inForce.Under[i]) {
			b.over.waiting[i] = false
		}
	}
	b.over.waits = slices.Contains(b.over.waiting, true)
}

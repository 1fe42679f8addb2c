package model

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// statics is what the balance of forces alone says about a bay that stands at
// its height: the cable forces, N, that curtain and shaft can both bear.
//
// A standing curtain bears any cable force within its breakaway friction B of
// what hangs, h. A standing shaft bears any difference between spring torque T
// and cable torque up to its dry friction and the gear's loss λ|T − rF|, λ = 1/η − 1:
//
//	|F − h| <= B        |T − rF| <= dry/(1 − λ)
//
// with T = T₀ − k(y + F/kc)/r at the shaft angle that stretches the cable to F.
type statics struct {
	least, most float64 // N: no force will do where least > most
	way         float64 // then: +1 the curtain must rise, −1 sink
}

func (s statics) holds() bool { return s.least <= s.most }

func balance(b *Bay) statics {
	p, w := &b.Params, &b.Condition
	r := p.Counterbalance.DrumRadius
	rate := w.SpringFactor * p.Counterbalance.Rate / (2 * math.Pi)
	hang := gravityForce(b) + w.ClosingFactor*(p.ClosingSpring.Preload+p.ClosingSpring.Rate*b.Height)
	breakaway := p.Friction.Breakaway*w.FrictionFactor + w.LeanForce
	grip := p.Counterbalance.ShaftFriction
	if !w.ReleaseOpen {
		grip = (grip + p.Drive.Ratio*p.Drive.DryFriction) / (2 - 1/p.Drive.Efficiency)
	}
	// The cable force at which the spring exceeds the cable by a torque.
	force := func(torque float64) float64 {
		unstretched := w.SpringFactor*p.Counterbalance.Rate*p.Counterbalance.InitialTurns - rate*b.Height/r
		wound := (unstretched - torque) / (r + rate/(r*p.Counterbalance.CableStiffness))
		return math.Max(wound, -torque/r) // an unwound spring pulls no more, and does not push
	}
	s := statics{least: math.Max(hang-breakaway, force(grip)), most: math.Min(hang+breakaway, force(-grip))}
	if s.way = 1; force(0) < hang {
		s.way = -1
	}
	return s
}

// rest gives the cable of a standing bay a force in the middle of what statics
// allows.
func (s statics) rest(b *Bay) {
	b.CableForce = (s.least + s.most) / 2
	b.ShaftAngle = (b.Height + b.CableForce/b.Params.Counterbalance.CableStiffness) / b.Params.Counterbalance.DrumRadius
}

// galleryHeight is where curtain i of a gallery hangs, m, rounded before anything is
// taken from it, so that to have stayed there is to be there to the bit.
func galleryHeight(i int) float64 { return float64(float64(i+1) * 0.050) }

// gallery is a truck with the same bay over and over, its curtains at every 50 mm from 50 mm to 1800 mm.
func gallery(change func(p *TruckParams), released bool) *Truck {
	p := DefaultTruck()
	bay := p.Bays[0]
	p.Bays = nil
	for i := range 36 {
		b := bay
		b.Name = fmt.Sprint("at ", (i+1)*50, " mm")
		p.Bays = append(p.Bays, b)
	}
	if change != nil {
		change(&p)
	}
	t := NewTruck(p, DefaultStep)
	for i := range t.Bays {
		t.Bays[i].Condition.ReleaseOpen = released
		t.RefreshBay(i)
		t.Bays[i].Place(galleryHeight(i))
	}
	return t
}

func turns(n float64) func(p *TruckParams) {
	return func(p *TruckParams) {
		for i := range p.Bays {
			p.Bays[i].Counterbalance.InitialTurns = n
		}
	}
}

func grade(g float64) func(p *TruckParams) {
	return func(p *TruckParams) { p.Ambient.Grade = g }
}

// pass takes the truck steps on, in one go where it is quiet.
func pass(t *Truck, steps int64) {
	for end := t.Steps + steps; t.Steps < end; {
		if t.Quiet() {
			t.Idle(end - t.Steps)
		} else {
			t.Step()
		}
	}
}

const hour = 3600 * 1000 // steps

// Left alone for an hour with the leads shorted, or with the manual release open,
// a curtain stays exactly where it was wherever friction can hold it, and
// moves the way that the excess pulls where it cannot.
func TestHourLeftAlone(t *testing.T) {
	for _, row := range []struct {
		what     string
		change   func(p *TruckParams)
		released bool
		held     int // heights of 36 at which it stays
	}{
		{"as built", nil, false, 36},
		{"as built, released", nil, true, 11},
		{"5.0 turns", turns(5.0), false, 3},
		{"5.0 turns, released", turns(5.0), true, 0},
		{"8.0 turns", turns(8.0), false, 36},
		{"roof ends up 5 %", grade(0.05), false, 36},
		{"roof ends down 5 %", grade(-0.05), false, 36},
		{"roof ends up 5 %, released", grade(0.05), true, 6},
		{"roof ends down 10 %, released", grade(-0.10), true, 36},
	} {
		t.Run(row.what, func(t *testing.T) {
			t.Parallel()
			truck := gallery(row.change, row.released)
			before := make([]statics, len(truck.Bays))
			for i := range truck.Bays {
				before[i] = balance(&truck.Bays[i])
				if before[i].holds() {
					before[i].rest(&truck.Bays[i])
				}
			}
			pass(truck, hour)
			held := 0
			for i := range truck.Bays {
				b, s := &truck.Bays[i], before[i]
				moved := b.Height - galleryHeight(i)
				switch {
				case s.holds():
					held++
					if moved != 0 {
						t.Errorf("%s: moved %.4g mm, where friction can hold it: %+v", b.Params.Name, moved*1e3, s)
					}
				case moved*s.way < 1e-3:
					t.Errorf("%s: moved %.4g mm, where friction cannot hold it: %+v", b.Params.Name, moved*1e3, s)
				}
				if end := b.Height < 0 || b.Height > b.Params.Track.Opening; !end && !balance(b).holds() {
					t.Errorf("%s: left at %.4f m at %.3g m/s, where friction cannot hold it", b.Params.Name, b.Height, b.Speed)
				}
			}
			if held != row.held {
				t.Errorf("held at %d of 36 heights, want %d", held, row.held)
			}
		})
	}
}

// The door as built stays to the bit where it is put, at every height, and so does
// one that has been driven there and stopped.
func TestDoorAsBuiltStays(t *testing.T) {
	truck := gallery(nil, false)
	for i := range truck.Bays {
		if i%2 == 1 {
			b := &truck.Bays[i]
			b.Place(b.Height - 0.04)
			drive(truck, i, 1, 0.5)
		}
	}
	run(truck, 0.3)
	for i := range truck.Bays {
		drive(truck, i, 0, 0)
	}
	run(truck, 1)
	var at [36]float64
	for i := range truck.Bays {
		at[i] = truck.Bays[i].Height
		if i%2 == 0 && at[i] != galleryHeight(i) || i%2 == 1 && at[i] < galleryHeight(i)-0.04 {
			t.Errorf("%s: at %g m to begin with", truck.Bays[i].Params.Name, at[i])
		}
	}
	pass(truck, hour)
	for i := range truck.Bays {
		if truck.Bays[i].Height != at[i] {
			t.Errorf("%s: moved %g m", truck.Bays[i].Params.Name, truck.Bays[i].Height-at[i])
		}
	}
}

// A door with too few turns sinks at the speed at which the braked motor, the
// losses and the grease balance what is too heavy. Sinking at speed s:
//
//	F = h − R − c·s                          (curtain, R running friction)
//	rF − T = dry + λ(rF − T) + (N·K)²/Ra·s/r (shaft)
func TestDriftSpeed(t *testing.T) {
	for _, initial := range []float64{4.0, 4.5} {
		truck := gallery(turns(initial), false)
		b := &truck.Bays[19] // at 1 m
		p := &b.Params
		until(truck, 60, func() bool { return b.Height < 0.9 })
		r, nk := p.Counterbalance.DrumRadius, p.Drive.Ratio*p.Drive.MotorConstant
		hang := gravityForce(b) + p.ClosingSpring.Preload + p.ClosingSpring.Rate*b.Height
		torque := p.Counterbalance.Rate * (p.Counterbalance.InitialTurns - b.ShaftAngle/(2*math.Pi))
		share := 2 - 1/p.Drive.Efficiency // 1 − λ
		dry := p.Counterbalance.ShaftFriction + p.Drive.Ratio*p.Drive.DryFriction
		brake := nk * nk / (p.Drive.Resistance * CopperFactor(b.WindingTemp, 20)) / r
		want := ((r*(hang-p.Friction.Running)-torque)*share - dry) / (brake + r*p.Friction.Viscous*share)
		// The balance changes as it sinks, so the speed is steady to 3 % only.
		near(t, "drift, m/s", -b.Speed, want, 0.03*want)
	}
}

// Idle is many steps in one call, bit for bit, at whatever moment it is used.
func TestIdleIsSteps(t *testing.T) {
	build := func() *Truck {
		truck := NewTruck(DefaultTruck(), DefaultStep)
		truck.SetCharge(0.7)
		drive(truck, 1, 1, 1) // warms a winding and leaves a door half open
		run(truck, 2.345)
		drive(truck, 1, 0, 0)
		truck.DriveLock(Roadside, 1)
		run(truck, 3.217)
		truck.DriveLock(Roadside, 0)
		for !truck.Quiet() {
			truck.Step()
		}
		return truck
	}
	if w := build().Bays[1].WindingTemp; !(w > 20.1) {
		t.Fatalf("winding at %g °C: nothing to cool", w)
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(0, 2500).Draw(t, "steps")
		stepped, idled := build(), build()
		for range n {
			stepped.Step()
		}
		calls := 0
		for left := n; left > 0; calls++ {
			if !idled.Quiet() {
				idled.Step()
				left--
				continue
			}
			chunk := rapid.Int64Range(1, left).Draw(t, "chunk")
			taken := idled.Idle(chunk)
			if taken < 1 || taken > chunk {
				t.Fatalf("Idle(%d) took %d steps", chunk, taken)
			}
			left -= taken
		}
		if stepped.Steps != idled.Steps || hashEverything(stepped) != hashEverything(idled) {
			t.Fatalf("after %d steps the trucks differ:\n%+v\n%+v", n, stepped, idled)
		}
	})
	idled, calls := build(), 0
	for end := idled.Steps + 10_000; idled.Steps < end; calls++ {
		if idled.Quiet() {
			idled.Idle(end - idled.Steps)
		} else {
			idled.Step()
		}
	}
	if calls > 400 {
		t.Errorf("10 000 quiet steps took %d calls", calls)
	}
}

package model

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// centreHeight is the height of the curtain's centre of mass along gravity, m,
// with its bottom edge at y: the mean of an independently written track, by
// Simpson's rule.
func centreHeight(p BayParams, grade, y float64) float64 {
	if p.Side == Roadside {
		grade = -grade
	}
	slope := math.Atan(grade)
	v, r := p.Track.Vertical, p.Track.Bend
	point := func(s float64) float64 {
		var x, z float64
		switch a := (s - v) / r; {
		case a <= 0:
			z = s
		case a < math.Pi/2:
			z, x = v+r*math.Sin(a), r*(1-math.Cos(a))
		default:
			z, x = v+r, r+(s-v-r*math.Pi/2)
		}
		return z*math.Cos(slope) + x*math.Sin(slope)
	}
	const n = 2000
	sum := point(y) + point(y+p.Curtain.Length)
	for i := 1; i < n; i++ {
		sum += point(y+p.Curtain.Length*float64(i)/n) * float64(2+2*(i%2))
	}
	return sum / (3 * n)
}

// gravityForce is what pulls the curtain of b down its track, N.
func gravityForce(b *Bay) float64 {
	return b.c.weight * (b.c.track.height(b.Height+b.c.length) - b.c.track.height(b.Height))
}

// The pull of gravity, summed over a full travel as the step walks it, gives back
// what the centre of mass has gained: to 0.1 %.
func TestGravityByVirtualWork(t *testing.T) {
	for _, grade := range []float64{0, 0.05, -0.05, 0.15} {
		for _, side := range []Side{Curbside, Roadside} {
			p := DefaultTruck()
			p.Ambient.Grade = grade
			p.Bays = p.Bays[:1]
			p.Bays[0].Side = side
			truck := NewTruck(p, DefaultStep)
			b := &truck.Bays[0]
			from := b.Height
			drive(truck, 0, 1, 1)
			work := 0.0
			for b.Height <= 1.79 && truck.Steps < 30000 {
				force, was := gravityForce(b), b.Height
				truck.Step()
				work += force * (b.Height - was)
			}
			gain := p.Bays[0].Curtain.Mass * Gravity * (centreHeight(p.Bays[0], grade, b.Height) - centreHeight(p.Bays[0], grade, from))
			if b.Height <= 1.79 {
				t.Fatalf("grade %g: did not open", grade)
			}
			near(t, "work of gravity, J", work, gain, 0.001*gain)
		}
	}
}

// energies are the forms in which a bay keeps energy, J. The counterbalance's is
// counted from where it is unwound.
func kineticEnergy(b *Bay) float64 {
	e := b.Params.Curtain.Mass*b.Condition.MassFactor*b.Speed*b.Speed/2 +
		b.Params.Counterbalance.ShaftInertia*b.ShaftSpeed*b.ShaftSpeed/2
	return e + b.Params.Drive.Inertia*b.MotorSpeed*b.MotorSpeed/2
}

func potentialEnergy(b *Bay, grade float64) float64 {
	p, w := &b.Params, &b.Condition
	e := p.Curtain.Mass * w.MassFactor * Gravity * centreHeight(*p, grade, b.Height)
	e += w.ClosingFactor * (p.ClosingSpring.Preload*b.Height + p.ClosingSpring.Rate*b.Height*b.Height/2)
	if rate := p.Counterbalance.Rate / (2 * math.Pi) * w.SpringFactor; rate > 0 {
		torque := math.Max(0, p.Counterbalance.Rate*p.Counterbalance.InitialTurns*w.SpringFactor-rate*b.ShaftAngle)
		e += torque * torque / (2 * rate)
	}
	stretch := math.Max(0, p.Counterbalance.DrumRadius*b.ShaftAngle-b.Height)
	e += p.Counterbalance.CableStiffness * stretch * stretch / 2
	if over := b.Height - p.Track.Opening; over > 0 {
		e += p.Stops.OpenStiffness * over * over / 2
	}
	return e + contactEnergy(p.Seal, p.Stops.FloorStiffness, -b.Height)
}

// contactEnergy is that of seal and floor pressed d m together, by the force's integral.
func contactEnergy(s SealParams, other, d float64) float64 {
	const n = 200
	sum := 0.0
	c := newSeriesContact(s, other)
	for i := range n {
		sum += c.push(d*(float64(i)+0.5)/n, 0)
	}
	return sum * math.Max(0, d) / n
}

// lossless takes out of a bay everything that turns motion into heat.
func lossless(p BayParams) BayParams {
	p.Friction = FrictionParams{}
	p.Counterbalance.ShaftFriction, p.Counterbalance.CableDamping = 0, 0
	p.Drive.DryFriction, p.Drive.Efficiency = 0, 1
	p.Seal.Damping = 0
	return p
}

// A released curtain with its counterbalance, nothing rubbing, keeps its energy
// over a travel: to 0.5 % of the kinetic energy that it reaches.
func TestReleasedCurtainKeepsEnergy(t *testing.T) {
	for _, row := range []struct {
		what        string
		turns, from float64
		grade       float64
		done        func(y float64) bool
	}{
		{"rises on a strong spring", 8.0, 0.05, 0, func(y float64) bool { return y >= 1.78 }},
		{"falls on a weak one", 4.0, 1.75, 0, func(y float64) bool { return y <= 0.02 }},
		{"falls, leaning", 4.0, 1.75, 0.1, func(y float64) bool { return y <= 0.02 }},
	} {
		p := DefaultTruck()
		p.Ambient.Grade = row.grade
		p.Bays = p.Bays[:1]
		p.Bays[0] = lossless(p.Bays[0])
		p.Bays[0].Counterbalance.InitialTurns = row.turns
		truck := NewTruck(p, DefaultStep)
		b := &truck.Bays[0]
		b.Condition.ReleaseOpen = true
		truck.RefreshBay(0)
		b.Place(row.from)
		start := kineticEnergy(b) + potentialEnergy(b, row.grade)
		worst, kinetic := 0.0, 0.0
		took := until(truck, 20, func() bool {
			k := kineticEnergy(b)
			kinetic = math.Max(kinetic, k)
			worst = math.Max(worst, math.Abs(k+potentialEnergy(b, row.grade)-start))
			return row.done(b.Height)
		})
		if math.IsNaN(took) || kinetic < 5 {
			t.Fatalf("%s: no travel (%.3g s, %.3g J)", row.what, took, kinetic)
		}
		if worst > 0.005*kinetic {
			t.Errorf("%s: energy off by %.3g J of %.4g J", row.what, worst, kinetic)
		}
	}
}

// anyTruck draws a truck of one bay, standing anywhere, with parts in any state.
func anyTruck(t *rapid.T) *Truck {
	p := DefaultTruck()
	p.Bays = p.Bays[:1]
	p.Ambient.Temperature = rapid.Float64Range(-30, 50).Draw(t, "temperature")
	p.Ambient.Grade = rapid.Float64Range(-0.15, 0.15).Draw(t, "grade")
	p.Bays[0].Counterbalance.InitialTurns = rapid.Float64Range(0, 9).Draw(t, "turns")
	truck := NewTruck(p, DefaultStep)
	w := &truck.Bays[0].Condition
	w.SpringFactor = rapid.Float64Range(0, 1.1).Draw(t, "spring")
	w.ClosingFactor = rapid.Float64Range(0, 1.2).Draw(t, "closing")
	w.FrictionFactor = rapid.Float64Range(0, 3).Draw(t, "friction")
	w.MassFactor = rapid.Float64Range(0.7, 1.5).Draw(t, "mass")
	w.ReleaseOpen = rapid.Bool().Draw(t, "released")
	w.LeadOpen = rapid.Bool().Draw(t, "lead open")
	truck.RefreshBay(0)
	truck.Bays[0].Place(rapid.Float64Range(0, 1.80).Draw(t, "height"))
	return truck
}

// With the drive off no energy is made, whatever the state of the parts. The step
// lets energy in vibrations of the cable and in contacts swing by some per cent,
// hence the allowance.
func TestDriveOffMakesNoEnergy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truck := anyTruck(t)
		b, grade := &truck.Bays[0], truck.Ambient.Grade
		start := kineticEnergy(b) + potentialEnergy(b, grade)
		kinetic := 0.0
		for range 60 {
			run(truck, 0.050)
			k := kineticEnergy(b)
			kinetic = math.Max(kinetic, k)
			if now := k + potentialEnergy(b, grade); now > start+0.02+0.01*kinetic {
				t.Fatalf("energy rose from %.6g to %.6g J at %d steps", start, now, truck.Steps)
			}
		}
	})
}

// A cable only pulls, and contacts only push, whatever is done.
func TestCableOnlyPulls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truck := anyTruck(t)
		b := &truck.Bays[0]
		if top := rapid.Float64Range(0.02, 1.5).Draw(t, "obstacle"); top < b.Height {
			b.SetObstacle(Obstacle{Top: top, Stiffness: rapid.Float64Range(5e3, 500e3).Draw(t, "stiffness")})
		}
		for range 6 {
			drive(truck, 0, rapid.IntRange(-1, 1).Draw(t, "direction"), rapid.Float64Range(0, 1).Draw(t, "duty"))
			for range 400 {
				slack := b.Slack()
				truck.Step()
				if b.CableForce < 0 || b.FloorForce < 0 || b.ContactForce < 0 {
					t.Fatalf("cable %g, floor %g, contact %g N", b.CableForce, b.FloorForce, b.ContactForce)
				}
				// The damper pulls a moment before the cable is straight; 20 mm of slack it does not bridge.
				if slack > 0.020 && b.CableForce > 0 {
					t.Fatalf("%g N in a cable with %g m of slack", b.CableForce, slack)
				}
			}
		}
	})
}

// Placed anywhere, the curtain hangs in balance: the next step does not move it.
func TestPlaceIsBalanced(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truck := anyTruck(t)
		b := &truck.Bays[0]
		y, hangs := b.Height, b.CableForce > 0
		truck.Step()
		if b.Height != y || b.Speed != 0 {
			if b.Condition.FrictionFactor*b.Params.Friction.Breakaway < 1e-6 && math.Abs(b.Speed) < 1e-12 {
				return // without friction the last bit of a force is free to move it
			}
			if !hangs {
				return // gravity and closing spring leave nothing to the cable
			}
			t.Fatalf("placed at %g m, moved to %g m at %g m/s", y, b.Height, b.Speed)
		}
	})
}

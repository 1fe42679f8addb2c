package sizing

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
)

// Run is one run of the door on the whole model, driven at full duty with no
// controller in between.
type Run struct {
	Time    float64 // s from voltage at the motor to arrival; NaN where it does not arrive
	StallAt float64 // m, how far it came; NaN where it arrived
	Volts   float64 // the least at the controller
	Amps    float64 // the most in the motor
	Steady  float64 // the most in the motor after the run-up, A
	Cable   float64 // N, the most
	Slack   float64 // m, the most
	Contact float64 // N, the most, where it arrives
	Charge  float64 // A·s out of the battery for the run: above what is drawn at rest
	Energy  float64 // J of them, at the battery's terminals
	Heat    float64 // A²·s in the winding
}

// Simulation is a cycle on the whole model: opened, left, closed.
type Simulation struct {
	Opening, Closing Run
	RestVolts        float64 // V at the controller before anything moves
	Drifted          float64 // m that it sank by while it was left open for leftFor
	Winding          float64 // °C at the end
}

// Bounds of a simulation, s. A door that has not arrived by runLimit does not; what
// is drawn while the motor spins up is not steady before runUp.
const (
	runLimit = 30.0
	runUp    = 0.5
	leftFor  = 2.0
	contacts = 0.1 // more than any contact takes to follow
	settles  = 1.0 // after the open stop has thrown the curtain back a little
)

// Simulate plays it. The question must be one that Check finds nothing wrong with.
func Simulate(q *Question) Simulation {
	t := placed(q)
	b := &t.Bays[0]
	t.Step()
	s := Simulation{RestVolts: b.Supply}
	s.Opening = drive(t, +1, b.Params.Track.Opening-sim.OpenTolerance)
	if finite(s.Opening.Time) {
		stop(t)
		rest(t, settles)
	} else { // a stalled motor is hot, and says nothing of closing
		t = placed(q)
		b = &t.Bays[0]
		b.Place(b.Params.Track.Opening)
	}
	before := b.Height
	rest(t, leftFor)
	s.Drifted = math.Max(0, before-b.Height)
	if s.Drifted > 0 {
		b.Place(b.Params.Track.Opening)
	}
	s.Closing = drive(t, -1, sim.ClosedTolerance)
	stop(t)
	s.Winding = b.WindingTemp
	return s
}

// placed is the truck with its door down and its battery charged as asked.
func placed(q *Question) *model.Truck {
	t := model.NewTruck(q.truck(), model.DefaultStep)
	t.SetCharge(q.Charge)
	return t
}

// drive runs the door one way until it is there.
func drive(t *model.Truck, way int, goal float64) Run {
	b := &t.Bays[0]
	r := Run{Time: math.NaN(), StallAt: math.NaN(), Volts: math.Inf(1)}
	dt := t.StepSize()
	idle := t.TotalCurrent
	t.Command(0, way > 0, way < 0, true, 1)
	began := int64(-1)
	for limit := t.Steps + int64((runLimit+contacts)/dt); t.Steps < limit; {
		t.Step()
		if b.Energised == 0 {
			continue // the contacts have yet to follow
		}
		if began < 0 {
			began = t.Steps - 1
		}
		r.note(t, b, idle, float64(t.Steps-began)*dt > runUp)
		if way > 0 && b.Height >= goal || way < 0 && b.Height <= goal {
			r.Time = float64(t.Steps-began) * dt
			break
		}
	}
	if math.IsNaN(r.Time) {
		r.StallAt = b.Height
		return r
	}
	r.arrive(t, b)
	return r
}

// note takes in one step.
func (r *Run) note(t *model.Truck, b *model.Bay, idle float64, steady bool) {
	dt := t.StepSize()
	amps := math.Abs(b.MotorCurrent)
	r.Volts, r.Amps = math.Min(r.Volts, b.Supply), math.Max(r.Amps, amps)
	if steady {
		r.Steady = math.Max(r.Steady, amps)
	}
	r.Cable, r.Slack = math.Max(r.Cable, b.CableForce), math.Max(r.Slack, b.Slack())
	drawn := t.TotalCurrent - idle
	r.Charge += float64(drawn * dt)
	r.Energy += float64(drawn * t.Battery.Terminal(t.TotalCurrent) * dt)
	r.Heat += float64(amps * amps * dt)
}

// arrive drives on to the end of the travel, as a controller would for a moment.
func (r *Run) arrive(t *model.Truck, b *model.Bay) {
	for range int(sim.OpenTolerance / 0.1 / t.StepSize()) {
		t.Step()
		r.Contact = math.Max(r.Contact, b.SealForce())
		if b.Height > b.Params.Track.Opening || b.FloorForce > 0 {
			return
		}
	}
}

// stop takes the voltage away.
func stop(t *model.Truck) {
	t.Command(0, false, false, false, 0)
	rest(t, contacts)
}

// rest lets time pass.
func rest(t *model.Truck, seconds float64) {
	for end := t.Steps + int64(seconds/t.StepSize()); t.Steps < end; {
		if t.Quiet() {
			t.Idle(end - t.Steps)
		} else {
			t.Step()
		}
	}
}

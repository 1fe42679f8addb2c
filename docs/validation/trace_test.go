package validation

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"slatbench/model"
)

// circumstances is the content of cases.json, which reference.py reads too.
type circumstances struct {
	Comment   string
	Doors     []doorCase
	Batteries []batteryCase
	Locks     []lockCase
}

type doorCase struct {
	Name, Title string
	Duration    float64
	Start       struct {
		Height float64
		Slack  *float64
	}
	Spring      *float64 // spring factor
	Temperature *float64
	Grade       float64
	Roadside    bool
	Obstruction *struct{ Top, Stiffness float64 }
	Actions     []action
}

type batteryCase struct {
	Name, Title                string
	Duration, Temperature, Age float64
	Period                     []struct{ Current, For float64 }
}

type lockCase struct {
	Name, Title string
	Duration    float64
	Start       string // locked or unlocked
	Actions     []action
}

type action struct {
	At   float64
	Do   string
	Duty *float64
}

// trace is a run by its channels, sampled at t.
type trace struct {
	T          []float64
	Switchings []float64            // when a contact of the power stage made or broke
	Channels   map[string][]float64 // name with unit
}

func (r *trace) add(channel string, value float64) {
	r.Channels[channel] = append(r.Channels[channel], value)
}

// readCases refuses what neither side of the comparison would understand.
func readCases(t *testing.T) circumstances {
	t.Helper()
	file, err := os.Open("cases.json")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var c circumstances
	d := json.NewDecoder(file)
	d.DisallowUnknownFields()
	if err := d.Decode(&c); err != nil {
		t.Fatal("cases.json: ", err)
	}
	return c
}

// aloneOnItsFeed is the default truck with one bay.
func aloneOnItsFeed(side model.Side, dt float64, change func(*model.TruckParams)) *model.Truck {
	p := model.DefaultTruck()
	for _, b := range p.Bays {
		if b.Side == side {
			p.Bays = []model.BayParams{b}
			break
		}
	}
	if change != nil {
		change(&p)
	}
	return model.NewTruck(p, dt)
}

// sampling is the grid of both sides, s.
const sampling = 1e-3

// each goes over a grid of the duration: first the actions that are due, then
// sample, which takes the first step after the instant, then the steps that are left.
func each(duration, dt float64, actions []action, do func(action), sample func(at float64), step func()) {
	for n := range int(math.Round(duration/sampling)) + 1 {
		for _, a := range actions {
			if int(math.Round(a.At/sampling)) == n {
				do(a)
			}
		}
		sample(float64(n) * sampling)
		for range int(math.Round(sampling/dt)) - 1 {
			step()
		}
	}
}

// door runs a bay through a case. Height, speed and slack are those of the grid's
// instant. Forces and currents are those of the step that begins there, since a
// step works with the forces of its start.
func door(t *testing.T, c doorCase, dt float64) trace {
	t.Helper()
	side := model.Curbside
	if c.Roadside {
		side = model.Roadside
	}
	truck := aloneOnItsFeed(side, dt, func(p *model.TruckParams) {
		p.Ambient.Grade = c.Grade
		if c.Temperature != nil {
			p.Ambient.Temperature = *c.Temperature
		}
	})
	bay := &truck.Bays[0]
	if c.Spring != nil {
		bay.Condition.SpringFactor = *c.Spring
		truck.RefreshBay(0)
	}
	bay.Place(c.Start.Height)
	if c.Start.Slack != nil {
		bay.ShaftAngle = (c.Start.Height - *c.Start.Slack) / bay.Params.Counterbalance.DrumRadius
	}
	if o := c.Obstruction; o != nil && !bay.SetObstacle(model.Obstacle{Top: o.Top, Stiffness: o.Stiffness}) {
		t.Fatalf("%s: the obstruction is inside the curtain", c.Name)
	}
	out := trace{Channels: map[string][]float64{}}
	act := func(a action) {
		duty := 1.0
		if a.Duty != nil {
			duty = *a.Duty
		}
		switch a.Do {
		case "up", "down":
			truck.Command(0, a.Do == "up", a.Do == "down", true, duty)
		case "off": // the coils only: the duty would end the drive before the contacts do
			truck.Command(0, false, false, false, bay.Stage.Duty)
		case "release":
			bay.Condition.ReleaseOpen = true
			truck.RefreshBay(0)
		default:
			t.Fatalf("%s: unknown action %q", c.Name, a.Do)
		}
	}
	sample := func(at float64) {
		out.T = append(out.T, at)
		out.add("height_m", bay.Height)
		out.add("speed_m_s", bay.Speed)
		out.add("slack_m", bay.Slack())
		truck.Step()
		out.add("current_a", bay.MotorCurrent)
		out.add("cable_n", bay.CableForce)
		out.add("contact_n", bay.FloorForce+bay.ContactForce)
		out.add("supply_v", bay.Supply)
	}
	each(c.Duration, dt, c.Actions, act, sample, truck.Step)
	return out
}

// battery draws a battery down by repeated loads, in the strides of 0.1 s in which
// the truck does it, and looks at it each 10 s.
func battery(c batteryCase) trace {
	p := model.DefaultTruck().Battery
	p.Age = c.Age
	b := model.NewBattery(p, c.Temperature)
	out := trace{Channels: map[string][]float64{}}
	begin := 0.0
	for begin < c.Duration {
		for _, load := range c.Period {
			for n := range int(math.Round(load.For * 10)) {
				if n%100 == 50 {
					out.T = append(out.T, begin+float64(n)/10)
					out.add("charge", b.Charge)
					out.add("terminal_v", b.Terminal(load.Current))
				}
				b.Draw(load.Current*0.1, 0.1)
			}
			begin += load.For
		}
	}
	return out
}

// lock drives the bar of the side of the truck's only bay.
func lock(t *testing.T, c lockCase, dt float64) trace {
	t.Helper()
	truck := aloneOnItsFeed(model.Curbside, dt, nil)
	bar := &truck.Locks[model.Curbside]
	truck.PlaceLock(model.Curbside, c.Start == "locked")
	ways := map[string]int{"lock": 1, "off": 0, "unlock": -1}
	out := trace{Channels: map[string][]float64{}}
	act := func(a action) {
		way, ok := ways[a.Do]
		if !ok {
			t.Fatalf("%s: unknown action %q", c.Name, a.Do)
		}
		truck.DriveLock(model.Curbside, way)
	}
	sample := func(at float64) {
		out.T = append(out.T, at)
		out.add("bar_m", bar.Position)
		truck.Step()
		out.add("current_a", bar.Current)
		out.add("node_v", truck.NodeVolts)
	}
	each(c.Duration, dt, c.Actions, act, sample, truck.Step)
	return out
}

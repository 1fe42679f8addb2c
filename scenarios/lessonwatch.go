package scenarios

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// conditionWatch looks, tick by tick, whether conditions have come about since a
// step began. It reads the truck and its wires.
type conditionWatch struct {
	list    []watched
	figures *sim.Figures
}

// watched is one condition with what is kept of it.
type watched struct {
	of       *Condition
	expected                          // for what a door or a bar is
	limit    limited                  // for a figure
	faulty   func(o sim.Overlay) bool // a fault that is not to be on
	came     bool                     // of one that is not about now: it has come about
	teaching teachingPhase
}

// teachingPhase follows a teaching on the truck itself.
type teachingPhase uint8

const (
	teachNone  teachingPhase = iota
	teachAsked               // button held and a press heard
	teachDown                // the door has stood at the floor since
)

// newWatch watches conditions from now on. Bays are those of the lesson's truck.
func newWatch(ls *Lesson, list []Condition) *conditionWatch {
	w := &conditionWatch{figures: sim.NewFigures(len(ls.Truck.Bays.Entries))}
	sc := &Scenario{Truck: ls.Truck}
	for i := range list {
		c := &list[i]
		x := watched{of: c}
		_, bay, side := c.named()
		x.bay, x.side = sim.LockPost, model.Curbside
		if bay != "" {
			x.bay = sc.bay(bay)
		}
		if side != "" {
			x.side = side.side()
		}
		x.limit, _ = c.limited()
		switch v := c.Value.(type) {
		case *isCondition:
			x.expected.of = &Expectation{Is: v.Is}
		case *mendedCondition:
			x.faulty = func(o sim.Overlay) bool {
				f, ok := o.(fault.Fault)
				return ok && f.Name == v.Fault
			}
		}
		w.list = append(w.list, x)
	}
	return w
}

// look is shown every tick. began is the step at which the lesson's step began;
// heard are the alarms since the start; job is a job that was just done, or "".
func (w *conditionWatch) look(b *sim.Bench, began int64, heard []sim.Heard) {
	w.figures.Step(b)
	for i := range w.list {
		w.list[i].look(b, began, heard, w.figures)
	}
}

// did notes a job of the workshop.
func (w *conditionWatch) did(job string) {
	for i := range w.list {
		if v, ok := w.list[i].of.Value.(*jobCondition); ok && v.Job == job {
			w.list[i].came = true
		}
	}
}

// met is how many have come about.
func (w *conditionWatch) met() (n int) {
	for i := range w.list {
		if w.list[i].came {
			n++
		}
	}
	return n
}

// all tells whether all has come about, and what is about now is true now.
func (w *conditionWatch) all() bool {
	for i := range w.list {
		if !w.list[i].came {
			return false
		}
	}
	return true
}

func (x *watched) look(b *sim.Bench, began int64, heard []sim.Heard, g *sim.Figures) {
	switch v := x.of.Value.(type) {
	case *isCondition:
		x.came = x.holds(b)
	case *alarmCondition:
		for j := len(heard) - 1; j >= 0 && heard[j].Until >= began && !x.came; j-- {
			x.came = heard[j].Bay == x.bay && heard[j].Alarm == v.Alarm.alarm()
		}
	case *pressCondition:
		x.came = x.came || b.PressedAt[x.bay] > began
	case *sentCondition:
		x.came = x.came || b.Sending(x.bay)
	case *retrainedCondition:
		x.teach(b)
	case *lockCondition:
		x.came = x.came || b.LockInputs().Sides[x.side].LockRequest
	case *unlockCondition:
		x.came = x.came || b.LockInputs().Sides[x.side].UnlockRequest
	case *bypassCondition:
		x.came = x.came || b.Truck.Locks[x.side].Condition.ByHand != 0
	case *mendedCondition:
		x.came = !b.HasLaid(x.faulty)
	case *afterCondition:
		x.came = b.Now-began >= b.Steps(v.Time)
	case *jobCondition: // told by did
	default:
		x.came = x.limit.hold(x.figure(b, g))
	}
}

// teach follows a teaching by what the truck does: the teach button held while a
// press is heard, then the floor, then the open stop, where the door stands. A
// controller that was taught says so in its store, where that can be read.
func (x *watched) teach(b *sim.Bench) {
	if x.came {
		return
	}
	bay, in := &b.Truck.Bays[x.bay], b.Inputs(x.bay)
	stands := bay.Energised == 0 && math.Abs(bay.Speed) < standingSpeed
	switch {
	case in.Teach && b.PressLine[x.bay]:
		x.teaching = teachAsked
	case x.teaching == teachAsked && bay.Height <= sim.ClosedTolerance:
		x.teaching = teachDown
	case x.teaching == teachDown && stands && bay.Height >= bay.Params.Track.Opening-sim.OpenTolerance:
		x.came = recordFits(b, x.bay)
	case x.teaching == teachDown && stands && bay.Height > sim.OpenTolerance:
		x.teaching = teachNone // it stopped on the way up
	}
}

// recordShare is by how much a record may differ from the pulses that the encoder
// as it is now yields over the opening. Teaching presses the seal, which costs up
// to 25 mm of 1.8 m.
const recordShare = 0.02

// recordFits tells whether the travel on record is that of the encoder as it is
// now; true where a controller does not let its record be read.
func recordFits(b *sim.Bench, bay int) bool {
	c, store := b.Door(bay)
	p, ok := c.(sim.Provisioner)
	if !ok {
		return true
	}
	travel, taught := p.Taught(store)
	want := b.Truck.Bays[bay].Params.Track.Opening * pulsesPerMetre(&b.Truck.Bays[bay])
	return taught && math.Abs(float64(travel)-want) <= recordShare*want
}

// figure is what a condition with limits looks at, in SI units; NaN is none.
func (x *watched) figure(b *sim.Bench, g *sim.Figures) float64 {
	if x.limit.side != "" {
		return b.Truck.Locks[x.side].Position
	}
	bay := &b.Truck.Bays[x.bay]
	switch x.of.Value.(type) {
	case *heightCondition:
		return bay.Height
	case *apartCondition:
		return math.Abs(HeightApart(b, x.bay))
	case *slackCondition:
		return bay.Slack()
	case *supplyCondition:
		return bay.Supply
	case *currentCondition:
		return math.Abs(bay.MotorCurrent)
	case *openingCondition:
		return g.Bays[x.bay].OpenTime
	case *closingCondition:
		return g.Bays[x.bay].CloseTime
	}
	return math.NaN()
}

// HeightApart is by how much, in m, the height that the controller of a bay counts
// is above the true height of the bottom edge; NaN where the controller is dark or
// does not let its count be seen. A count is a height by the travel on record: as
// the controller itself takes it, whatever encoder is fitted.
func HeightApart(b *sim.Bench, bay int) float64 {
	c, store := b.Door(bay)
	t, tells := c.(sim.Teller)
	if !tells || !b.Awake(bay) {
		return math.NaN()
	}
	of := &b.Truck.Bays[bay]
	perMetre := of.Params.Encoder.PulsesPerMetre
	if p, ok := c.(sim.Provisioner); ok {
		if travel, taught := p.Taught(store); taught {
			perMetre = float64(travel) / of.Params.Track.Opening
		}
	}
	return float64(t.Counts())/perMetre - of.Height
}

// pulsesPerMetre is what the encoder that is fitted yields.
func pulsesPerMetre(bay *model.Bay) float64 {
	return bay.Params.Encoder.PulsesPerMetre * bay.Condition.PulseScale
}

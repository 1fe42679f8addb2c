package report

import (
	"math"
	"strings"

	"slatbench/model"
	"slatbench/sim"
)

// The channels that are kept of every bay, in this order.
const (
	chHeight = iota
	chCounted
	chSpeed
	chCurrent
	chSupply
	chCable
	chSlack
	chContact
	chFloor
	bayChannels
)

// Series is an observer that keeps what the plots of a report show. Its memory
// does not grow with the run. Use one for each run.
type Series struct {
	bays   []bayBands
	sides  [model.Sides]sideBands
	values []float64
	env    *Envelope
	setup  *sim.Setup
	end    int64
	step   float64 // s
}

// bayBands are the words of one bay.
type bayBands struct {
	state, drive, press Band
	energised           int
}

// sideBands are the words of one side's lock.
type sideBands struct{ state, drive, lamp Band }

// NewSeries keeps nothing until a bench is shown to it.
func NewSeries() *Series { return &Series{} }

// Tick implements sim.Observer.
func (s *Series) Tick(b *sim.Bench) {
	if s.env == nil {
		s.begin(b)
	}
	for i := range s.bays {
		s.tickBay(b, i)
	}
	out := b.LockOutputs()
	for i := range s.sides {
		side, o := &s.sides[i], &out.Sides[i]
		side.state.Set(b.Now, sideState(b, i))
		side.drive.Set(b.Now, driveWords[o.Drive+1])
		side.lamp.Set(b.Now, onWord(o.Lamp))
	}
}

var driveWords = [...]string{"unlock", "", "lock"}

func onWord(on bool) string {
	if on {
		return "on"
	}
	return ""
}

func (s *Series) tickBay(b *sim.Bench, i int) {
	bay := &s.bays[i]
	c, _ := b.Door(i)
	word := "awake"
	t, tells := c.(sim.Teller)
	if tells {
		word = t.State()
	}
	if !b.Awake(i) {
		word = noPower
	}
	bay.state.Set(b.Now, word)
	press := ""
	if b.PressLine[i] {
		press = "press"
	}
	bay.press.Set(b.Now, press)
	s.values[i*bayChannels+chCounted] = math.NaN()
	if tells && b.Awake(i) {
		s.values[i*bayChannels+chCounted] = float64(t.Counts()) / b.Truck.Bays[i].Params.Encoder.PulsesPerMetre
	}
}

// noPower is the state of a controller that is dark or boots.
const noPower = "no power"

// sideTeller is a lock controller that tells the state of each side.
type sideTeller interface{ SideState(side int) string }

func sideState(b *sim.Bench, side int) string {
	if !b.LocksAwake() {
		return noPower
	}
	switch c := b.LockController().(type) {
	case sideTeller:
		return c.SideState(side)
	case sim.Teller:
		words := strings.Split(c.State(), "/")
		return words[min(side, len(words)-1)]
	}
	return "awake"
}

func (s *Series) begin(b *sim.Bench) {
	n := len(b.Truck.Bays)
	s.bays = make([]bayBands, n)
	s.values = make([]float64, n*bayChannels+model.Sides)
	s.env = NewEnvelope(len(s.values))
	s.step = b.Truck.StepSize()
	s.setup = b.Setup()
	for i := range s.bays {
		s.values[i*bayChannels+chCounted] = math.NaN()
		s.bays[i].drive.Set(b.Now, "")
	}
	s.sample(b)
}

// Step implements sim.Observer.
func (s *Series) Step(b *sim.Bench) {
	for i := range s.bays {
		if e := b.Truck.Bays[i].Energised; e != s.bays[i].energised {
			s.bays[i].energised = e
			s.bays[i].drive.Set(b.Now, energisedWords[e+1])
		}
	}
	s.sample(b)
}

var energisedWords = [...]string{"down", "", "up"}

func (s *Series) sample(b *sim.Bench) {
	for i := range s.bays {
		bay, v := &b.Truck.Bays[i], s.values[i*bayChannels:]
		v[chHeight], v[chSpeed], v[chCurrent] = bay.Height, bay.Speed, bay.MotorCurrent
		v[chSupply], v[chCable], v[chSlack] = bay.Supply, bay.CableForce, bay.Slack()
		v[chContact], v[chFloor] = bay.ContactForce, bay.FloorForce
	}
	for i := range b.Truck.Locks {
		s.values[len(s.bays)*bayChannels+i] = b.Truck.Locks[i].Position
	}
	s.env.Sample(b.Now, s.values)
	s.end = b.Now
}

// channel is the index of a bay's channel, and lockChannel that of a side's bar.
func (s *Series) channel(bay, c int) int   { return bay*bayChannels + c }
func (s *Series) lockChannel(side int) int { return len(s.bays)*bayChannels + side }

// moved tells whether a bay moved, was driven or pressed.
func (s *Series) moved(bay int) bool {
	lo, hi := s.env.Range(s.channel(bay, chHeight))
	b := &s.bays[bay]
	return hi-lo > 0.005 || len(b.drive.spans) > 1 || len(b.press.spans) > 1
}

// wasDark tells whether the controller of a bay was ever without power.
func (s *Series) wasDark(bay int) bool {
	for _, span := range s.bays[bay].state.spans {
		if span.Word == noPower {
			return true
		}
	}
	return false
}

// lockMoved tells the same of a side's lock.
func (s *Series) lockMoved(side int) bool {
	lo, hi := s.env.Range(s.lockChannel(side))
	l := &s.sides[side]
	return hi-lo > 0.001 || len(l.drive.spans) > 1 || len(l.lamp.spans) > 1 || len(l.state.spans) > 2
}

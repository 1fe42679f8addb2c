package scenarios

import (
	"fmt"
	"math"
	"slices"

	"slatbench/model"
	"slatbench/sim"
)

// Expectation is something that a scenario wants to see, besides the requirements.
//
//	{by: 25 s, bay: C1, is: open}              at some instant not later
//	{at: 25 s, bay: C1, is: open}              at that instant
//	{by: 25 s, bay: C1, alarm: early-floor}    begins not later
//	{bay: C1, never: early-floor}              is not heard in the whole run
//	{by: 5 s, side: curbside, is: locked}
type Expectation struct {
	Located
	By    *float64  `yaml:"by" unit:"time" range:"[0 s,24 h]" doc:"at some instant not later"`
	At    *float64  `yaml:"at" unit:"time" range:"[0 s,24 h]" doc:"at this instant"`
	Bay   string    `yaml:"bay" doc:"the bay that it is about"`
	Side  string    `yaml:"side" words:"curbside,roadside" doc:"the side that it is about"`
	Is    string    `yaml:"is" words:"open,closed,stopped,moving,locked,unlocked" doc:"open within 50 mm, closed within 15 mm, stopped below 5 mm/s"`
	Alarm alarmWord `yaml:"alarm" doc:"an alarm that begins"`
	Never alarmWord `yaml:"never" doc:"an alarm that is not heard in the whole run"`
}

type alarmWord string

// Words implements Worder.
func (alarmWord) Words() []string { return sim.AlarmNames[:] }

func (a alarmWord) alarm() sim.Alarm {
	return sim.Alarm(slices.Index(sim.AlarmNames[:], string(a)) + 1)
}

// Check tells what no tag can say.
func (e *Expectation) Check(r *Report) {
	wants := 0
	for _, w := range []string{e.Is, string(e.Alarm), string(e.Never)} {
		if w != "" {
			wants++
		}
	}
	if wants != 1 {
		r.Add(e.Pos(), "an expectation says one thing: is, alarm or never", "")
	}
	if e.By != nil && e.At != nil {
		r.Add(e.PosOf("at"), "either by or at, not both", "")
	}
	if e.Is != "" && e.By == nil && e.At == nil {
		r.Add(e.PosOf("is"), "when? an expectation has by or at", "")
	}
	if e.At != nil && e.Alarm != "" {
		r.Add(e.PosOf("at"), "an alarm begins by a time, not at one", "")
	}
	ofLock := e.Is == "locked" || e.Is == "unlocked"
	switch {
	case e.Bay != "" && e.Side != "":
		r.Add(e.PosOf("side"), "either a bay or a side, not both", "")
	case e.Is != "" && ofLock && e.Side == "":
		r.Add(e.PosOf("is"), fmt.Sprintf("%q is said of a side", e.Is), "side: curbside")
	case e.Is != "" && !ofLock && e.Bay == "":
		r.Add(e.PosOf("is"), fmt.Sprintf("%q is said of a bay", e.Is), "bay: C1")
	case e.Side != "" && e.Is == "":
		r.Add(e.PosOf("side"), "alarms are heard at a bay; those of the locks with no bay named", "")
	}
}

// String is the expectation in the words of the file.
func (e *Expectation) String() string {
	what := ""
	switch {
	case e.Is != "":
		what = "is " + e.Is
	case e.Alarm != "":
		what = "sounds " + string(e.Alarm)
	default:
		what = "never sounds " + string(e.Never)
	}
	who := e.Bay + e.Side
	if who == "" {
		who = "the lock controller"
	}
	switch {
	case e.By != nil:
		return fmt.Sprintf("by %s %s %s", FormatQuantity(*e.By, "time"), who, what)
	case e.At != nil:
		return fmt.Sprintf("at %s %s %s", FormatQuantity(*e.At, "time"), who, what)
	}
	return who + " " + what
}

// expecter watches for what a scenario expects.
type expecter struct {
	list []expected
}

type expected struct {
	of       *Expectation
	bay      int // or sim.LockPost
	side     model.Side
	from, to int64 // steps between which it counts
	met      bool
	at       int64 // step at which it was met
}

func newExpecter(sc *Scenario) *expecter {
	x := &expecter{}
	for i := range sc.Expect {
		e := expected{of: &sc.Expect[i], bay: sim.LockPost, to: sc.steps(sc.Duration)}
		if e.of.Bay != "" {
			e.bay = sc.bay(e.of.Bay)
		}
		if e.of.Side == "roadside" {
			e.side = model.Roadside
		}
		if e.of.By != nil {
			e.to = sc.steps(*e.of.By)
		}
		if e.of.At != nil {
			e.from = sc.steps(*e.of.At)
			e.to = e.from
		}
		x.list = append(x.list, e)
	}
	return x
}

// Tick implements sim.Observer.
func (x *expecter) Tick(*sim.Bench) {}

// Step implements sim.Observer.
func (x *expecter) Step(b *sim.Bench) {
	for i := range x.list {
		e := &x.list[i]
		if e.of.Is == "" || e.met || b.Now < e.from {
			continue
		}
		// At rest the bench may pass an instant by; what holds after it held at it.
		if e.of.At != nil || b.Now <= e.to {
			if e.holds(b) {
				e.met, e.at = true, b.Now
			} else if e.of.At != nil {
				e.from = math.MaxInt64 // its instant is over
			}
		}
	}
}

// standingSpeed is below which a curtain stands, m/s: one that settles on its seal
// creeps for seconds.
const standingSpeed = 0.005

func (e *expected) holds(b *sim.Bench) bool {
	switch e.of.Is {
	case "locked":
		return b.Truck.Locks[e.side].LockedEnd()
	case "unlocked":
		return b.Truck.Locks[e.side].UnlockedEnd()
	}
	bay := &b.Truck.Bays[e.bay]
	switch e.of.Is {
	case "open":
		return bay.Height >= bay.Params.Track.Opening-sim.OpenTolerance
	case "closed":
		return bay.Height <= sim.ClosedTolerance
	case "stopped":
		return math.Abs(bay.Speed) < standingSpeed
	}
	return math.Abs(bay.Speed) >= standingSpeed
}

// hear judges the expectations that are about alarms.
func (x *expecter) hear(heard []sim.Heard) {
	for i := range x.list {
		e := &x.list[i]
		want := e.of.Alarm.alarm()
		if e.of.Never != "" {
			want, e.met = e.of.Never.alarm(), true
		}
		for _, h := range heard {
			if e.of.Is != "" || h.Bay != e.bay || h.Alarm != want {
				continue
			}
			if e.of.Never != "" {
				e.met, e.at = false, h.From
			} else if h.From <= e.to && !e.met {
				e.met, e.at = true, h.From
			}
		}
	}
}

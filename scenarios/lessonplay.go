package scenarios

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"slatbench/sim"
	"slatbench/sim/logic"
)

// A LessonLearner is somebody by script who goes through a lesson: answers as told,
// and does what the solutions say, less what is left out.
type LessonLearner struct {
	// Answer is the choice made at a step; nil is the right one.
	Answer func(step int) int
	// Omit tells that a deed of a step's solution is left out; nil leaves out none.
	Omit func(step, deed int) bool
	// Instead names a job that is done instead of a deed of a step's solution; "" and
	// nil are none.
	Instead func(step, deed int) string
}

// LessonPlay is what came of a lesson that a learner by script went through.
type LessonPlay struct {
	State   LessonState  // at the end
	Lasted  float64      // s on the truck's clock, from the start to the end of the check
	Phases  []LessonMark // when each step began, when it came about, the check
	Alarms  []HeardAlarm
	Actions []sim.Action  // what was done to the truck, at its time
	Faults  []LessonFault // what was brought on and taken off after the start
	GaveUp  []int         // steps, by index, in which what was to be found did not come about
	Stuck   string        // why the learner got no further, or ""
}

// LessonMark is a moment of a lesson.
type LessonMark struct {
	At    float64 // s
	Step  int     // index; len(Steps) is the check
	Phase LessonPhase
}

// LessonFault is a fault that was brought on or taken off in a lesson.
type LessonFault struct {
	At   float64 // s
	Item *FaultItem
	On   bool
}

// lessonPatience is how long, in s on the truck's clock, a scripted learner waits
// for a step to come about, or does nothing in one that is to be found, before he
// goes on or gives up.
const (
	lessonPatience = 120.0
	lessonMull     = 3.0
)

// pupil is a learner by script at a bench.
type pupil struct {
	ls      *Lesson
	sc      *Scenario
	learner *LessonLearner
	bench   *sim.Bench
	way     *LessonProgress
	play    *LessonPlay
	step    int // that deeds are for, with its phase
	since   int64
	last    int64 // when the last deed was done
	deeds   []LessonDeed
	due     []sim.Action // begun, and still to come
	done    bool
	err     error
}

// Act implements LessonHands.
func (p *pupil) Act(a sim.Action) {
	a.At = p.bench.Now
	p.play.Actions = append(p.play.Actions, a)
	p.bench.Act(a)
}

// Fault implements LessonHands.
func (p *pupil) Fault(f *FaultItem, on bool) {
	made, err := p.sc.Fault(f)
	if err == nil {
		p.play.Faults = append(p.play.Faults, LessonFault{p.bench.Seconds(p.bench.Now), f, on})
		err = p.bench.Fault(made, on)
	}
	if err != nil && p.err == nil {
		p.err = Problems{{Pos: f.Pos(), Message: err.Error()}}
	}
}

// Play goes through a lesson with a learner by script, to the end of the first
// check or to where the learner gets no further. Watchers see the run. An error
// is of type Problems: a fault that could not be brought on when its time had come.
func (ls *Lesson) Play(table *logic.Table, learner LessonLearner, watch ...sim.Observer) (*LessonPlay, error) {
	p := &pupil{ls: ls, sc: ls.Scenario(), learner: &learner, play: &LessonPlay{}, step: -1}
	setup, err := p.sc.Setup(table)
	if err != nil {
		var bad *Problem
		if errors.As(err, &bad) {
			return nil, Problems{bad}
		}
		return nil, err
	}
	for i := range setup.Faults {
		setup.Faults[i].Fault = placedFault{setup.Faults[i].Fault, ls.Faults[i].Pos()}
	}
	follow := &follower{}
	setup.Watch = append([]sim.Observer{follow}, watch...)
	if p.bench, err = sim.New(setup); err != nil {
		return nil, Problems{{Pos: ls.Truck.Pos(), Message: err.Error()}}
	}
	p.way = ls.Begin(p)
	follow.pupil = p
	for !p.done && p.err == nil && p.bench.Err() == nil {
		p.bench.Advance()
	}
	if err := errors.Join(p.err, p.bench.Err()); err != nil {
		var one *Problem
		var many Problems
		if errors.As(err, &many) {
			return nil, many
		}
		if errors.As(err, &one) {
			return nil, Problems{one}
		}
		return nil, err
	}
	p.finish()
	return p.play, nil
}

// follower shows a bench to a lesson, and then to its pupil. What these do, they do
// at the tick, as a scenario does what it says: so the same at the same times, played
// as a scenario, gives the same run.
type follower struct{ pupil *pupil }

// Tick implements sim.Observer.
func (f *follower) Tick(b *sim.Bench) {
	p := f.pupil
	p.way.Tick(b)
	p.done = p.done || !p.turn()
}

func (p *pupil) finish() {
	p.play.State = p.way.State()
	p.play.Lasted = p.bench.Seconds(p.bench.Now)
	for _, h := range p.way.ear.Heard {
		p.play.Alarms = append(p.play.Alarms, HeardAlarm{At: p.bench.Seconds(h.From), Bay: bayName(p.bench, h.Bay), Alarm: h.Alarm})
	}
}

// turn does what the learner does at this tick, and tells whether the run goes on.
func (p *pupil) turn() bool {
	p.act()
	for {
		p.mark()
		phase := p.way.phase
		switch phase {
		case LessonPassed, LessonFailed:
			return false
		case LessonAsking:
			p.say(p.way.Answer(p.answer()))
		case LessonReading, LessonTold, LessonReady:
			p.say(p.way.Next())
		case LessonWaiting, LessonFinding:
			return p.work(phase)
		default:
			return true
		}
		if p.err != nil {
			return false
		}
	}
}

// mark notes a new phase.
func (p *pupil) mark() {
	n := len(p.play.Phases)
	if n > 0 && p.play.Phases[n-1].Step == p.way.step && p.play.Phases[n-1].Phase == p.way.phase {
		return
	}
	p.play.Phases = append(p.play.Phases, LessonMark{p.bench.Seconds(p.bench.Now), p.way.step, p.way.phase})
}

func (p *pupil) say(err error) {
	if err != nil && p.err == nil {
		p.err = err
	}
}

func (p *pupil) answer() int {
	if p.learner.Answer != nil {
		return p.learner.Answer(p.way.step)
	}
	return p.ls.Steps[p.way.step].Ask.right()
}

// right is the index of the right choice.
func (q *LessonQuestion) right() int {
	return slices.IndexFunc(q.Choices, func(c LessonChoice) bool { return c.Right })
}

// work does what is due of a solution. It tells whether the run goes on.
func (p *pupil) work(phase LessonPhase) bool {
	b := p.bench
	if p.step != p.way.step {
		p.begin()
	}
	for len(p.deeds) > 0 && b.Now-p.since >= b.Steps(p.deeds[0].At) {
		if !p.do(&p.deeds[0]) {
			break // something still moves
		}
		p.deeds, p.last = p.deeds[1:], b.Now
	}
	if p.err != nil {
		return false
	}
	if phase == LessonFinding && len(p.deeds) == 0 && p.way.still && b.Now-p.last > b.Steps(lessonMull) && p.errs() {
		return p.giveUp()
	}
	if b.Now-p.since > b.Steps(lessonPatience) {
		if phase == LessonFinding {
			return p.giveUp()
		}
		p.play.Stuck = fmt.Sprintf("step %d never comes about: %s", p.way.step+1, p.missing())
		return false
	}
	return true
}

// giveUp goes on without having found what was to be found.
func (p *pupil) giveUp() bool {
	p.play.GaveUp = append(p.play.GaveUp, p.way.step)
	p.say(p.way.Next())
	return p.turn()
}

// begin takes up the solution of a step.
func (p *pupil) begin() {
	p.step, p.since, p.last, p.deeds = p.way.step, p.bench.Now, p.bench.Now, nil
	for i, d := range p.ls.Steps[p.step].Solution {
		if p.learner.Omit == nil || !p.learner.Omit(p.step, i) {
			if job := p.instead(i); job != "" {
				d = LessonDeed{Located: d.Located, Job: job, At: d.At}
			}
			p.deeds = append(p.deeds, d)
		}
	}
	slices.SortStableFunc(p.deeds, func(a, b LessonDeed) int { return cmp.Compare(a.At, b.At) })
}

// errs tells that a learner does something else than the solution of a step says.
func (p *pupil) errs() bool {
	for i := range p.ls.Steps[p.step].Solution {
		if p.learner.Omit != nil && p.learner.Omit(p.step, i) || p.instead(i) != "" {
			return true
		}
	}
	return false
}

// instead is the job that is done instead of a deed of the step's solution, or "".
func (p *pupil) instead(deed int) string {
	if p.learner.Instead == nil {
		return ""
	}
	return p.learner.Instead(p.step, deed)
}

// do does a deed, and tells whether it could be done.
func (p *pupil) do(d *LessonDeed) bool {
	if d.Step == nil {
		err := p.way.Do(d.Job)
		if errors.Is(err, ErrLessonMoving) {
			return false
		}
		p.say(err)
		return true
	}
	at := p.sc.steps(d.At)
	for _, a := range d.Step.actions(p.sc) {
		a.At += p.bench.Now - at
		p.due = append(p.due, a)
	}
	p.act()
	return true
}

// act does what is due: the press of a teaching comes after its button.
func (p *pupil) act() {
	p.due = slices.DeleteFunc(p.due, func(a sim.Action) bool {
		if a.At > p.bench.Now {
			return false
		}
		p.Act(a)
		return true
	})
}

// missing is what a step still waits for.
func (p *pupil) missing() string {
	for i := range p.way.wait.list {
		if x := &p.way.wait.list[i]; !x.came {
			return x.of.String()
		}
	}
	return "all of what it waits for, at one instant"
}

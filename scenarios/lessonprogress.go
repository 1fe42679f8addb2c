package scenarios

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"slatbench/sim"
	"slatbench/sim/fault"
)

// LessonProgress is one learner's way through a lesson. It is an observer of the
// bench on which the learner works: put it into the setup's Watch, and show it
// nothing else.
//
// Before every tick ask Held: while it is true, the truck's time stands. What the
// learner says goes into Answer, Next and Do, between ticks. What there is to show
// is in State; ask Changes whether it is another than before.
//
// It reads no clock: the same ticks and answers give the same way.
type LessonProgress struct {
	ls    *Lesson
	hands LessonHands
	ear   sim.Listener

	phase   LessonPhase
	step    int   // index; len(Steps) is the check
	began   int64 // step of the bench at which the lesson's step began, or its run went on
	fresh   bool  // began is to be taken at the next tick
	wait    *conditionWatch
	remarks *conditionWatch
	plays   []sim.Action // still to come, At from began
	trial   *lessonTrial
	still   bool // no door, no bar moves, as of the last tick

	answers  []int // choice made at each step, or -1
	told     []string
	hinted   int
	remarked []bool
	jobs     []bool
	on       []*FaultItem // brought on by the lesson, and not taken off by it
	tries    int
	results  []LessonWait
	changes  int
}

// LessonHands do on the bench what a lesson wants done. A lesson never touches
// the bench itself, so that whoever owns it can write down what was done and play
// it again. The calls come from within Tick, Answer, Next and Do; what is asked
// for may be done at the next instant at which the owner does things.
type LessonHands interface {
	// Act does what a person does. The action's At is to be replaced by the time
	// at which it is done.
	Act(a sim.Action)
	// Fault brings a fault on, or takes it off. The item's From and Until are 0.
	Fault(f *FaultItem, on bool)
}

// Errors of what a learner asks for at the wrong time.
var (
	ErrLessonNoQuestion = errors.New("nothing is asked now")
	ErrLessonHeld       = errors.New("time stands: answer or go on first")
	ErrLessonWaits      = errors.New("what the step waits for has not come about")
	ErrLessonChecking   = errors.New("the bench is checking")
	ErrLessonFinished   = errors.New("the lesson is over")
	ErrLessonMoving     = errors.New("something still moves: keep clear, and wait until it stands")
)

// Begin begins the lesson. What it wants done goes to hands, the first of it at once.
func (ls *Lesson) Begin(hands LessonHands) *LessonProgress {
	p := &LessonProgress{
		ls: ls, hands: hands, still: true,
		answers: slices.Repeat([]int{-1}, len(ls.Steps)), jobs: make([]bool, len(ls.Jobs.Entries)),
	}
	for i := range ls.Faults {
		p.on = append(p.on, &ls.Faults[i])
	}
	p.enter(0)
	return p
}

// Scenario is the lesson's start as a scenario, for the bench to be made from. It
// lasts a day: whoever plays it ends it.
func (ls *Lesson) Scenario() *Scenario {
	return &Scenario{
		Located: ls.Located, Name: ls.Name, Truck: ls.Truck, Logic: ls.Logic, Ambient: ls.Ambient, Start: ls.Start,
		Duration: lessonDay, Seed: ls.Seed, TimeStep: 0.001, Tick: 0.010, Faults: ls.Faults,
	}
}

// lessonDay is how long a lesson can last, s.
const lessonDay = 24 * 3600

// Held tells that the run waits for the learner: for a prediction, or to have read
// what is told while time stands.
func (p *LessonProgress) Held() bool {
	switch p.phase {
	case LessonAsking:
		return true
	case LessonTold, LessonReading:
		return p.ls.Steps[p.step].Stands
	}
	return false
}

// Changes grows whenever State has something else to tell.
func (p *LessonProgress) Changes() int { return p.changes }

// Tick implements sim.Observer.
func (p *LessonProgress) Tick(b *sim.Bench) {
	p.ear.Tick(b)
	p.still = standsStill(b)
	began := p.fresh
	if began {
		p.fresh, p.began = false, b.Now
	}
	if p.phase == LessonChecking {
		p.tryOn(b)
		return
	}
	if p.Held() || p.step >= len(p.ls.Steps) {
		return
	}
	p.play(b)
	if !began { // what the step brings, or the start, is on the truck one tick later
		p.look(b)
	}
}

// standsStill tells that no door and no bar moves or is driven.
func standsStill(b *sim.Bench) bool {
	for i := range b.Truck.Bays {
		if bay := &b.Truck.Bays[i]; bay.Energised != 0 || math.Abs(bay.Speed) >= standingSpeed {
			return false
		}
	}
	for i := range b.Truck.Locks {
		if l := &b.Truck.Locks[i]; l.Speed != 0 || l.Drive != 0 {
			return false
		}
	}
	return true
}

// play does what is due of what the step plays.
func (p *LessonProgress) play(b *sim.Bench) {
	for len(p.plays) > 0 && b.Now-p.began >= p.plays[0].At {
		a := p.plays[0]
		p.plays = p.plays[1:]
		a.At = b.Now
		p.hands.Act(a)
	}
}

// look tells what has come about, and what is due.
func (p *LessonProgress) look(b *sim.Bench) {
	s := &p.ls.Steps[p.step]
	if p.phase == LessonWaiting || p.phase == LessonFinding {
		for p.hinted < len(s.Hints) && b.Now-p.began >= b.Steps(s.Hints[p.hinted].After) {
			p.hinted++
			p.changes++
		}
	}
	p.remarks.look(b, p.began, p.ear.Heard)
	for i := range p.remarks.list {
		if p.remarks.list[i].came && !p.remarked[i] {
			p.remarked[i] = true
			p.tell(s.Remarks[i].Text)
		}
	}
	if p.phase != LessonWaiting && p.phase != LessonFinding {
		return
	}
	before := p.wait.met()
	p.wait.look(b, p.began, p.ear.Heard)
	if p.wait.met() != before {
		p.changes++
	}
	if p.wait.all() {
		p.reached()
	}
}

func (p *LessonProgress) tell(text string) {
	p.told = append(p.told, Paragraphs(text))
	p.changes++
}

// reached goes on where the step has come about: to what is told, or to the next step.
func (p *LessonProgress) reached() {
	s := &p.ls.Steps[p.step]
	if s.Then != "" || s.Ask != nil {
		p.turn(LessonTold)
		return
	}
	p.enter(p.step + 1)
}

func (p *LessonProgress) turn(phase LessonPhase) {
	p.phase = phase
	p.changes++
}

// enter begins a step, or comes to the check.
func (p *LessonProgress) enter(step int) {
	p.step, p.fresh, p.told, p.hinted, p.plays = step, true, nil, 0, nil
	if step == len(p.ls.Steps) {
		p.turn(LessonReady)
		return
	}
	s := &p.ls.Steps[step]
	p.wait = newWatch(p.ls, s.awaited())
	when := make([]Condition, len(s.Remarks))
	for i := range s.Remarks {
		when[i] = s.Remarks[i].When
	}
	p.remarks, p.remarked = newWatch(p.ls, when), make([]bool, len(when))
	p.mend(s.Takes)
	for i := range s.Brings {
		p.bring(&s.Brings[i])
	}
	if s.Ask != nil {
		p.turn(LessonAsking)
		return
	}
	p.goOn()
}

// awaited is what a step waits for, told or to be found.
func (s *LessonStep) awaited() []Condition {
	if len(s.Until) > 0 {
		return s.Until
	}
	return s.Find
}

// goOn lets the run go on in a step that has been read, and answered.
func (p *LessonProgress) goOn() {
	s := &p.ls.Steps[p.step]
	p.fresh = true
	sc := p.ls.Scenario()
	for i := range s.Plays {
		p.plays = append(p.plays, s.Plays[i].actions(sc)...)
	}
	slices.SortStableFunc(p.plays, func(a, b sim.Action) int { return int(a.At - b.At) })
	switch {
	case len(s.Until) > 0:
		p.turn(LessonWaiting)
	case len(s.Find) > 0:
		p.turn(LessonFinding)
	case s.Ask != nil:
		p.turn(LessonTold)
	default:
		p.turn(LessonReading)
	}
}

// mend takes off all faults of these kinds that the lesson has brought on.
func (p *LessonProgress) mend(kinds []string) {
	kept := p.on[:0]
	for _, f := range p.on {
		if slices.Contains(kinds, f.Kind.Name) {
			p.hands.Fault(f, false)
		} else {
			kept = append(kept, f)
		}
	}
	p.on = kept
}

// bring brings a fault on that is not on already.
func (p *LessonProgress) bring(f *FaultItem) {
	if !slices.Contains(p.on, f) {
		p.on = append(p.on, f)
		p.hands.Fault(f, true)
	}
}

// Answer takes the learner's prediction: the index of a choice. The run goes on.
func (p *LessonProgress) Answer(choice int) error {
	if p.phase != LessonAsking {
		return ErrLessonNoQuestion
	}
	ask := p.ls.Steps[p.step].Ask
	if choice < 0 || choice >= len(ask.Choices) {
		return fmt.Errorf("there is no answer %d of %d", choice+1, len(ask.Choices))
	}
	p.answers[p.step] = choice
	p.goOn()
	return nil
}

// Next goes on where the learner has read, found or given up; before the check it
// begins it, and after one that failed it begins it again.
func (p *LessonProgress) Next() error {
	switch p.phase {
	case LessonAsking:
		return ErrLessonHeld
	case LessonWaiting:
		return ErrLessonWaits
	case LessonChecking:
		return ErrLessonChecking
	case LessonPassed:
		return ErrLessonFinished
	case LessonReady, LessonFailed:
		p.tries++
		p.results, p.told = nil, nil
		p.trial = newTrial(p.ls)
		p.turn(LessonChecking)
	default:
		p.enter(p.step + 1)
	}
	return nil
}

// Do does a job of the workshop, which wants the truck at rest.
func (p *LessonProgress) Do(job string) error {
	i := slices.Index(p.ls.Jobs.Keys(), job)
	switch {
	case i < 0:
		return fmt.Errorf("the workshop has no job %q", job)
	case p.Held():
		return ErrLessonHeld
	case p.phase == LessonChecking:
		return ErrLessonChecking
	case p.phase == LessonPassed:
		return ErrLessonFinished
	case !p.still:
		return ErrLessonMoving
	}
	j := &p.ls.Jobs.Entries[i].Value
	p.mend(j.Mends)
	for k := range j.Brings {
		p.bring(&j.Brings[k])
	}
	p.jobs[i] = true
	p.changes++
	if p.step < len(p.ls.Steps) {
		p.wait.did(job)
		p.remarks.did(job)
	}
	if j.Then != "" {
		p.tell(j.Then)
	}
	return nil
}

// tryOn goes on with the check.
func (p *LessonProgress) tryOn(b *sim.Bench) {
	if !p.trial.tick(b, p.hands, &p.ear) {
		return
	}
	p.results = p.trial.results()
	phase := LessonPassed
	for _, r := range p.results {
		if !r.Met {
			phase = LessonFailed
		}
	}
	p.turn(phase)
}

// kinds are the kinds of fault that a lesson can ever have, in the order of its file.
func (ls *Lesson) kinds() []string {
	var names []string
	add := func(list []FaultItem) {
		for i := range list {
			if name := list[i].Kind.Name; !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	add(ls.Faults)
	for i := range ls.Steps {
		add(ls.Steps[i].Brings)
	}
	for i := range ls.Jobs.Entries {
		add(ls.Jobs.Entries[i].Value.Brings)
	}
	return names
}

// Fault is a fault of this scenario, or of a lesson on its truck, as the bench
// brings it on.
func (sc *Scenario) Fault(f *FaultItem) (sim.Fault, error) {
	s, err := f.scheduled(sc)
	if err != nil {
		return nil, &Problem{Pos: f.Pos(), Message: err.Error()}
	}
	made, ok := s.Fault.(fault.Fault)
	if !ok {
		return nil, &Problem{Pos: f.Pos(), Message: "no fault"}
	}
	return made, nil
}

package scenarios

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"slatbench/sim"
)

// classroom is a bench with a lesson on it, and a person's hands.
type classroom struct {
	t     *testing.T
	sc    *Scenario
	bench *sim.Bench
	way   *LessonProgress
}

func (c *classroom) Act(a sim.Action) { c.bench.Act(a) }

func (c *classroom) Fault(f *FaultItem, on bool) {
	made, err := c.sc.Fault(f)
	if err == nil {
		err = c.bench.Fault(made, on)
	}
	if err != nil {
		c.t.Error(err)
	}
}

// class opens a lesson.
func class(t *testing.T, text string) *classroom {
	t.Helper()
	ls := loadLesson(t, text)
	table, err := (&Loader{Shipped: Shipped()}).LoadLogicOfLesson(ls)
	if err != nil {
		t.Fatal(err)
	}
	c := &classroom{t: t, sc: ls.Scenario()}
	setup, err := c.sc.Setup(table)
	if err != nil {
		t.Fatal(err)
	}
	setup.Watch = []sim.Observer{c}
	if c.bench, err = sim.New(setup); err != nil {
		t.Fatal(err)
	}
	c.way = ls.Begin(c)
	return c
}

// Tick implements sim.Observer.
func (c *classroom) Tick(b *sim.Bench) { c.way.Tick(b) }

// Step implements sim.Observer.
func (c *classroom) Step(*sim.Bench) {}

// awake lets the controllers come up, while the lesson is held or not.
func (c *classroom) awake() {
	for range 50 {
		c.bench.Advance()
	}
}

// run lets so many seconds pass, as far as the lesson lets it.
func (c *classroom) run(seconds float64) {
	for end := c.bench.Now + c.bench.Steps(seconds); c.bench.Now < end && !c.way.Held(); {
		c.bench.Advance()
	}
}

// until lets time pass until a phase is reached.
func (c *classroom) until(phase LessonPhase) {
	c.t.Helper()
	for end := c.bench.Now + c.bench.Steps(120); c.way.State().Phase != phase; c.bench.Advance() {
		if c.bench.Now > end || c.way.Held() {
			c.t.Fatalf("%s is not reached, only %+v", phase, c.way.State())
		}
	}
}

func (c *classroom) press(bay int) {
	c.Act(sim.Action{Kind: sim.Press, Bay: bay, Span: c.bench.Steps(0.2), Distance: 3})
}

func (c *classroom) must(err error) {
	c.t.Helper()
	if err != nil {
		c.t.Fatal(err)
	}
}

func (c *classroom) refused(got, want error) {
	c.t.Helper()
	if !errors.Is(got, want) {
		c.t.Errorf("got %v, want %v", got, want)
	}
}

// The run stands until the prediction is made; the outcome is told neither before nor
// while it has not come about.
func TestPredictionHoldsTheRun(t *testing.T) {
	c := class(t, smallLesson)
	c.awake()
	st := c.way.State()
	if !c.way.Held() || !st.Held || st.Hands || st.Phase != LessonAsking || st.Answered != -1 || len(st.Choices) != 2 {
		t.Errorf("at the start: %+v", st)
	}
	if len(st.Waits) > 0 || st.Right >= 0 || st.Reply != "" {
		t.Errorf("the outcome is told before the answer: %+v", st)
	}
	c.refused(c.way.Next(), ErrLessonHeld)
	c.refused(c.way.Do("put it back"), ErrLessonHeld)
	if err := c.way.Answer(2); err == nil || !strings.Contains(err.Error(), "no answer 3 of 2") {
		t.Errorf("an answer that is not there: %v", err)
	}
	c.must(c.way.Answer(0))
	c.refused(c.way.Answer(1), ErrLessonNoQuestion)
	st = c.way.State()
	if c.way.Held() || !st.Hands || st.Phase != LessonWaiting || st.Reply != "" || st.Right >= 0 || len(st.Waits) > 0 {
		t.Errorf("answered: %+v", st)
	}
	c.refused(c.way.Next(), ErrLessonWaits)
	c.press(0)
	c.until(LessonTold)
	st = c.way.State()
	if st.Right != 1 || st.Answered != 0 || st.Reply != "The motor turns alone." || st.Predictions != 1 || st.Rightly != 0 || !st.Waits[0].Met {
		t.Errorf("come about: %+v", st)
	}
}

// Time stands in a step that says so: in mid travel, while it is told.
func TestTimeStands(t *testing.T) {
	c := class(t, strings.Replace(smallLesson, "steps:\n", `steps:
  - text: Open C2.
    time stands: yes
    until: [{height: C2, at least: 500 mm}]
    then: Half way.
`, 1))
	c.awake()
	if !slices.Equal(c.way.State().Hints, []string{}) || c.way.Held() {
		t.Errorf("before it has come about: %+v", c.way.State())
	}
	c.press(1)
	c.until(LessonTold)
	at := c.bench.Truck.Bays[1].Height
	if !c.way.Held() || c.way.State().Hands || at < 0.5 || at > 0.51 {
		t.Errorf("at %.3f m: %+v", at, c.way.State())
	}
	c.must(c.way.Next())
	if c.way.State().Phase != LessonAsking {
		t.Errorf("the next step asks, not %+v", c.way.State())
	}
}

// The workshop does nothing to a truck that moves.
func TestWorkshopWantsTheTruckAtRest(t *testing.T) {
	c := class(t, smallLesson)
	c.awake()
	c.must(c.way.Answer(1))
	c.press(1) // the neighbour, whose release is shut
	c.run(2)
	c.refused(c.way.Do("put it back"), ErrLessonMoving)
	if c.way.State().Jobs[0].Done || len(c.bench.Laid()) != 1 {
		t.Error("it was done all the same")
	}
	c.run(8)
	c.must(c.way.Do("put it back"))
	if !c.way.State().Jobs[0].Done || len(c.bench.Laid()) != 0 {
		t.Error("it was not done")
	}
	if err := c.way.Do("putt it back"); err == nil {
		t.Error("a job that is not there was done")
	}
}

// A check that was not passed can be asked for again, once more was done; meanwhile
// the learner's hands are tied.
func TestCheckAgain(t *testing.T) {
	c := class(t, smallLesson)
	c.awake()
	c.must(c.way.Answer(1))
	c.press(0)
	c.until(LessonTold)
	c.must(c.way.Next())
	if st := c.way.State(); st.Phase != LessonFinding || st.Next == "" || len(st.Waits) > 0 {
		t.Errorf("to be found: %+v", st)
	}
	c.must(c.way.Next()) // gives up
	c.must(c.way.Next()) // the check
	c.run(1)
	if st := c.way.State(); st.Hands || st.Phase != LessonChecking || st.Next != "" {
		t.Errorf("while it is checked: %+v", st)
	}
	c.refused(c.way.Next(), ErrLessonChecking)
	c.refused(c.way.Do("put it back"), ErrLessonChecking)
	c.until(LessonFailed)
	st := c.way.State()
	if st.Passed || st.Tries != 1 || st.Then != "It does not." || st.Results[0].Met || !strings.Contains(st.Results[0].Text, "did not open") {
		t.Errorf("not passed: %+v", st)
	}
	c.must(c.way.Do("new battery"))
	c.must(c.way.Next())
	c.until(LessonFailed)
	c.must(c.way.Do("put it back"))
	c.must(c.way.Next())
	c.until(LessonPassed)
	if st := c.way.State(); !st.Passed || !st.Finished || st.Tries != 3 || st.Then != "It works." {
		t.Errorf("passed: %+v", st)
	}
	c.refused(c.way.Next(), ErrLessonFinished)
	c.refused(c.way.Do("put it back"), ErrLessonFinished)
}

// Hints come in their time, remarks once, and Changes tells of each.
func TestHintsAndRemarks(t *testing.T) {
	c := class(t, strings.Replace(smallLesson, "steps:\n", `steps:
  - text: Lock the roadside.
    until: [{is: locked, side: roadside}]
    hints:
      - {after: 5 s, text: The cab switch.}
      - {after: 9 s, text: That of the roadside.}
    remarks:
      - {when: {lock: curbside}, text: That is the other side.}
`, 1))
	c.run(4)
	if st := c.way.State(); len(st.Hints) != 0 || len(st.Waits) != 1 || st.Waits[0].Met {
		t.Errorf("after 4 s: %+v", st)
	}
	before := c.way.Changes()
	c.run(2)
	if st := c.way.State(); len(st.Hints) != 1 || c.way.Changes() == before {
		t.Errorf("after 6 s: %+v", st)
	}
	for range 2 {
		c.Act(sim.Action{Kind: sim.LockAsk, Side: 0, Span: c.bench.Steps(0.3)})
		c.run(2)
	}
	if st := c.way.State(); !slices.Equal(st.Remarks, []string{"That is the other side."}) || len(st.Hints) != 2 {
		t.Errorf("after two wrong locks: %+v", st)
	}
	c.Act(sim.Action{Kind: sim.LockAsk, Side: 1, Span: c.bench.Steps(0.3)})
	c.until(LessonWaiting)
	c.run(5)
	if st := c.way.State(); st.Step != 2 {
		t.Errorf("locked, it does not go on: %+v", st)
	}
}

// Steps bring faults on and take them off, and play what they say.
func TestStepsBringFaultsAndPlay(t *testing.T) {
	c := class(t, strings.Replace(smallLesson, "steps:\n", `steps:
  - text: The lens is dirty.
    brings: [{dirty-lens: C2}]
    plays: [{at: 1 s, press: C2, distance: 5 m}, {at: 3 s, lock: roadside}]
    until: [{sent: C2}, {after: 8 s}, {is: closed, bay: C2}, {is: locked, side: roadside}]
  - text: Now it is clean.
    takes away: [dirty-lens]
    plays: [{at: 1 s, press: C2, distance: 5 m}]
    until: [{press: C2}, {is: moving, bay: C2}]
`, 1))
	if len(c.bench.Laid()) != 1 { // the release goes on with the run
		t.Errorf("%d faults laid before the run", len(c.bench.Laid()))
	}
	c.run(0.1)
	if len(c.bench.Laid()) != 2 {
		t.Errorf("%d faults on in the first step", len(c.bench.Laid()))
	}
	c.run(8)
	if st := c.way.State(); st.Step != 2 || len(c.bench.Laid()) != 1 {
		t.Errorf("after it: %d faults, %+v", len(c.bench.Laid()), st)
	}
	c.run(3)
	if st := c.way.State(); st.Step != 3 {
		t.Errorf("the clean lens: %+v", st)
	}
}

// A retraining that is stopped half way is none; one that ends at the open stop is.
func TestRetrainedMeansToTheEnd(t *testing.T) {
	c := class(t, strings.Replace(smallLesson, "steps:\n", `steps:
  - text: Retrain C2.
    until: [{retrained: C2}]
`, 1))
	teach := func() {
		c.Act(sim.Action{Kind: sim.TeachHold, Bay: 1, Span: c.bench.Steps(2)})
		c.run(0.5)
		c.Act(sim.Action{Kind: sim.Press, Bay: 1, Span: c.bench.Steps(0.2), Distance: 1})
	}
	teach()
	c.run(4)
	c.press(1) // stops it
	c.run(3)
	c.press(1) // opens it
	c.run(12)
	if st := c.way.State(); st.Step != 1 || st.Waits[0].Met {
		t.Errorf("stopped half way, at %.2f m: %+v", c.bench.Truck.Bays[1].Height, st)
	}
	teach()
	c.run(40)
	if st := c.way.State(); st.Step != 2 {
		t.Errorf("retrained, at %.2f m: %+v", c.bench.Truck.Bays[1].Height, st)
	}
}

// In the loop nothing is allocated while nothing comes about.
func TestLessonTickAllocatesNothing(t *testing.T) {
	c := class(t, strings.Replace(smallLesson, "steps:\n", `steps:
  - text: Wait.
    until: [{after: 1 h}, {mended: manual-release-open}, {apart: C1, at least: 1 m}, {opening: C1, at most: 6 s}, {is: open, bay: C2}, {alarm: no-motion, bay: C1}, {retrained: C1}, {sent: C1}]
`, 1))
	c.run(1)
	if n := testing.AllocsPerRun(100, func() { c.way.Tick(c.bench) }); n > 0 {
		t.Errorf("%g allocations a tick", n)
	}
}

func TestParagraphs(t *testing.T) {
	for _, x := range [][2]string{
		{"one", "one"}, {"  one\n two  ", "one\n\ntwo"}, {"one\ntwo\n\nthree", "one two\n\nthree"}, {"a\n\n\n\nb", "a\n\nb"}, {"", ""},
	} {
		if got := Paragraphs(x[0]); got != x[1] {
			t.Errorf("%q becomes %q, want %q", x[0], got, x[1])
		}
	}
}

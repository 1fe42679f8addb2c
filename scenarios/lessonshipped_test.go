package scenarios

import (
	"strings"
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/logic"
)

func shippedLesson(t *testing.T, name string) (*Lesson, *logic.Table) {
	t.Helper()
	l := &Loader{Shipped: Shipped()}
	ls, err := l.LoadLesson(shippedPrefix + name)
	if err != nil {
		t.Fatal(err)
	}
	table, err := l.LoadLogicOfLesson(ls)
	if err != nil {
		t.Fatal(err)
	}
	return ls, table
}

// Each shipped lesson is played by one who knows, who passes, and by all who leave
// something out or do something else, who do not.
func TestShippedLessonsTellRightFromWrong(t *testing.T) {
	names := ShippedNames(LessonKind)
	if len(names) < 6 {
		t.Errorf("%d lessons", len(names))
	}
	for _, name := range names {
		t.Run(ShortName(name), func(t *testing.T) {
			ls, table := shippedLesson(t, name)
			tries, err := ls.Tries(table)
			if err != nil {
				t.Fatal(err)
			}
			if len(tries) < 4 {
				t.Errorf("only %d ways were tried", len(tries))
			}
			for _, try := range tries {
				if try.Bad() {
					t.Errorf("who %s: passed %v; stuck %q, %+v", try.What, try.Passed, try.Stuck, try.Results)
				}
				t.Logf("%v %s %s", try.Passed, try.What, try.Stuck)
			}
		})
	}
}

// The flagship, in so many words: with the encoder set right and the door not
// retrained it turns on the floor as before; retrained it is cured.
func TestRetrainingIsWhatCures(t *testing.T) {
	ls, table := shippedLesson(t, "lessons/retraining.yaml")
	teach := func(step, deed int) bool {
		d := &ls.Steps[step].Solution[deed]
		return d.Step != nil && d.Step.Kind == "teach"
	}
	without, err := ls.Play(table, LessonLearner{Omit: teach})
	if err != nil {
		t.Fatal(err)
	}
	with, err := ls.Play(table, LessonLearner{})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []*LessonPlay{without, with} {
		if len(p.Faults) != 1 || p.Faults[0].On || p.Faults[0].Item.Kind.Name != "missed-pulses" {
			t.Fatalf("the gap was not set right: %+v", p.Faults)
		}
	}
	if without.State.Passed || without.State.Phase != LessonFailed {
		t.Errorf("not retrained, it passes: %+v", without.State.Results)
	}
	if !with.State.Passed {
		t.Errorf("retrained, it fails: %+v", with.State.Results)
	}
	checking := func(p *LessonPlay) float64 {
		for _, m := range p.Phases {
			if m.Phase == LessonChecking {
				return m.At
			}
		}
		return 0
	}
	early := func(p *LessonPlay) (n int) {
		for _, a := range p.Alarms {
			if a.At > checking(p) && a.Alarm.String() == "early-floor" {
				n++
			}
		}
		return n
	}
	if early(without) == 0 || early(with) != 0 {
		t.Errorf("alarm 4 during the check: %d times not retrained, %d times retrained", early(without), early(with))
	}
}

// Who answers all questions wrong and does the right thing passes: answers are for
// learning, the bench decides. He is told so in the figures.
func TestWrongPredictionsDoNotFail(t *testing.T) {
	for _, name := range ShippedNames(LessonKind) {
		ls, table := shippedLesson(t, name)
		wrong := func(step int) int {
			q := ls.Steps[step].Ask
			return (q.right() + 1) % len(q.Choices)
		}
		p, err := ls.Play(table, LessonLearner{Answer: wrong})
		if err != nil {
			t.Fatal(err)
		}
		if !p.State.Passed || p.State.Rightly != 0 || p.State.Predictions == 0 {
			t.Errorf("%s: %+v", name, p.State)
		}
	}
}

// Two plays of one lesson are the same to the last step.
func TestLessonsRepeat(t *testing.T) {
	ls, table := shippedLesson(t, "lessons/retraining.yaml")
	a, errA := ls.Play(table, LessonLearner{})
	b, errB := ls.Play(table, LessonLearner{})
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	if len(a.Actions) != len(b.Actions) || a.Lasted != b.Lasted {
		t.Fatalf("%d actions in %g s, then %d in %g s", len(a.Actions), a.Lasted, len(b.Actions), b.Lasted)
	}
	for i := range a.Actions {
		if a.Actions[i] != b.Actions[i] {
			t.Errorf("action %d: %+v, then %+v", i, a.Actions[i], b.Actions[i])
		}
	}
}

// What was done in a lesson, put at its times into an ordinary run, gives the same
// run to the last bit: a lesson does nothing to a truck that a scenario could not.
func TestALessonIsAScenario(t *testing.T) {
	for _, name := range ShippedNames(LessonKind) {
		ls, table := shippedLesson(t, name)
		end := &lastState{}
		p, err := ls.Play(table, LessonLearner{}, end)
		if err != nil {
			t.Fatal(err)
		}
		sc := ls.Scenario()
		setup, err := sc.Setup(table)
		if err != nil {
			t.Fatal(err)
		}
		setup.Duration, setup.Actions = sc.steps(p.Lasted), p.Actions
		for _, f := range p.Faults {
			made, err := sc.Fault(f.Item)
			if err != nil {
				t.Fatal(err)
			}
			if f.On {
				setup.Faults = append(setup.Faults, sim.Scheduled{Fault: made, From: sc.steps(f.At)})
				continue
			}
			for i := range setup.Faults {
				if s := &setup.Faults[i]; s.Fault == made && s.To == 0 {
					s.To = sc.steps(f.At)
				}
			}
		}
		again := &lastState{}
		setup.Watch = []sim.Observer{again}
		bench, err := sim.New(setup)
		if err != nil {
			t.Fatal(err)
		}
		if err := bench.Run(); err != nil {
			t.Fatal(err)
		}
		if *end != *again {
			t.Errorf("%s: taken it ends as %+v, played as %+v", name, *end, *again)
		}
	}
}

// lastState keeps how a truck of four bays stands at the end of a run.
type lastState struct {
	Now    int64
	Height [4]float64
	Cable  [4]float64
	Counts [4]int
	Bars   [model.Sides]float64
	Charge float64
}

// Tick implements sim.Observer.
func (s *lastState) Tick(*sim.Bench) {}

// Step implements sim.Observer.
func (s *lastState) Step(b *sim.Bench) {
	s.Now, s.Charge = b.Now, b.Truck.Battery.Charge
	for i := range s.Height {
		bay := &b.Truck.Bays[i]
		s.Height[i], s.Cable[i] = bay.Height, bay.CableForce
		c, _ := b.Door(i)
		s.Counts[i] = c.(sim.Teller).Counts()
	}
	for i := range s.Bars {
		s.Bars[i] = b.Truck.Locks[i].Position
	}
}

// A lesson has a caution, a remark at its head, and texts that fit a screen.
func TestShippedLessonsAreWellFormed(t *testing.T) {
	const most = 700 // characters of a text: more is not read
	for _, name := range ShippedNames(LessonKind) {
		ls, _ := shippedLesson(t, name)
		if ls.Caution == "" || len(ls.Watch) == 0 {
			t.Errorf("%s has no caution, or nothing to watch", name)
		}
		asks := 0
		for i := range ls.Steps {
			s := &ls.Steps[i]
			if s.Title == "" || len(s.Text) > most || len(s.Then) > most {
				t.Errorf("%s: step %d has no title, or a text too long", name, i+1)
			}
			if s.Ask != nil {
				asks++
			}
		}
		if asks < 2 {
			t.Errorf("%s asks for %d predictions", name, asks)
		}
		for _, text := range []string{ls.About, ls.Proof.Passed, ls.Proof.Failed} {
			if strings.Contains(strings.ToLower(text), "safe") {
				t.Errorf("%s says what nobody can promise: %s", name, text)
			}
		}
	}
}

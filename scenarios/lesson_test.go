package scenarios

import (
	"strings"
	"testing"
)

// smallLesson is a whole lesson with little in it: somebody has pulled the manual release.
const smallLesson = `lesson: The manual release
about: What a door says whose release was left open.
truck: trucks/produce-4bay.yaml
bay: C1
faults:
  - {manual-release-open: C1}
workshop:
  put it back: {say: Put the release back, mends: [manual-release-open]}
  new battery: {say: Fit a new battery}
steps:
  - text: Press.
    ask:
      question: What will happen?
      choices:
        - {answer: It opens, because: The motor turns alone.}
        - {answer: It sounds alarm 5, right: yes, because: No pulse comes.}
    until: [{alarm: no-motion, bay: C1}]
    solution: [{at: 1 s, press: C1}]
  - text: Now mend it.
    find: [{mended: manual-release-open}]
    solution: [{at: 1 s, job: put it back}]
check:
  text: The bench tries.
  cycles: 2
  passed: It works.
  failed: It does not.
`

func loadLesson(t *testing.T, text string) *Lesson {
	t.Helper()
	ls, err := (&Loader{Shipped: Shipped()}).LoadLessonFrom(strings.NewReader(text), "lesson.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return ls
}

func playLesson(t *testing.T, ls *Lesson, learner LessonLearner) *LessonPlay {
	t.Helper()
	table, err := (&Loader{Shipped: Shipped()}).LoadLogicOfLesson(ls)
	if err != nil {
		t.Fatal(err)
	}
	p, err := ls.Play(table, learner)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestSmallLesson(t *testing.T) {
	ls := loadLesson(t, smallLesson)
	good := playLesson(t, ls, LessonLearner{})
	if !good.State.Passed || good.State.Rightly != 1 || good.Stuck != "" {
		t.Errorf("who does what the solutions say ends with %+v", good.State)
	}
	idle := playLesson(t, ls, LessonLearner{Omit: func(step, _ int) bool { return step == 1 }})
	if idle.State.Passed || idle.State.Phase != LessonFailed {
		t.Errorf("who mends nothing ends with %+v", idle.State)
	}
	stuck := playLesson(t, ls, LessonLearner{Omit: func(int, int) bool { return true }})
	if stuck.State.Passed || !strings.Contains(stuck.Stuck, "C1 sounds alarm 5") {
		t.Errorf("who does nothing is stuck by %q", stuck.Stuck)
	}
}

// A lesson may start from another, with a truck of one's own: it still tells right from wrong.
func TestLessonOnAnotherTruck(t *testing.T) {
	ls := loadLesson(t, `from: lessons/retraining.yaml
lesson: Retraining, on a truck without sensing edges
truck: trucks/produce-4bay-no-edge.yaml
`)
	table, err := (&Loader{Shipped: Shipped()}).LoadLogicOfLesson(ls)
	if err != nil {
		t.Fatal(err)
	}
	tries, err := ls.Tries(table)
	if err != nil {
		t.Fatal(err)
	}
	for _, try := range tries {
		if try.Bad() {
			t.Errorf("who %s: passed %v, %+v", try.What, try.Passed, try.Results)
		}
	}
}

// What is wrong from the start, or brought by a step, is on the truck a tick after the
// step began: it is not taken for mended before.
func TestMendedIsNotFoundBeforeItIsWrong(t *testing.T) {
	for _, text := range []string{
		"faults: [{dirty-lens: C1}]\nsteps:\n",
		"steps:\n  - text: First.\n    until: [{after: 1 s}]\n",
	} {
		brings := ""
		if !strings.Contains(text, "faults") {
			brings = "    brings: [{dirty-lens: C1}]\n"
		}
		ls := loadLesson(t, "lesson: Lens\nabout: A lens.\ntruck: trucks/produce-4bay.yaml\nbay: C1\nworkshop: {wipe: {say: Wipe it, mends: [dirty-lens]}}\n"+text+
			"  - text: Mend it.\n"+brings+"    find: [{mended: dirty-lens}]\n    solution: [{at: 1 s, job: wipe}]\n"+
			"check: {text: Looks., at the end: [{mended: dirty-lens}], passed: Yes., failed: No.}\n")
		idle := playLesson(t, ls, ls.Idle())
		if len(idle.GaveUp) != 1 || idle.State.Passed {
			t.Errorf("%q: who does nothing finds it: %+v", text, idle)
		}
		if good := playLesson(t, ls, LessonLearner{}); !good.State.Passed || len(good.GaveUp) != 0 {
			t.Errorf("%q: who wipes it does not: %+v", text, good)
		}
	}
}

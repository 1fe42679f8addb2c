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

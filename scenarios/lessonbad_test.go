package scenarios

import (
	"fmt"
	"strings"
	"testing"

	"slatbench/sim"
)

// Each broken lesson gets the one error that says what is wrong and where: at the
// line that was changed, with the nearest valid word where there is one.
func TestBrokenLessons(t *testing.T) {
	for _, c := range []struct{ name, old, bad, want string }{
		{"no check", "check:\n  text: The bench tries.\n  cycles: 2\n  passed: It works.\n  failed: It does not.\n", "", `missing key "check"`},
		{"no steps", "steps:", "stepps:", `unknown key "stepps"`},
		{"unknown chart", "bay: C1\nfaults", "watch: [hight]\nbay: C1\nfaults", `did you mean "height"?`},
		{"chart twice", "bay: C1\nfaults", "watch: [height, height]\nbay: C1\nfaults", `chart "height" stands twice`},
		{"unknown bay", "bay: C1\nfaults", "bay: C9\nfaults", `the truck has no bay "C9"`},
		{"unknown fault", "{manual-release-open: C1}", "{manual-relase-open: C1}", `did you mean "manual-release-open"?`},
		{"fault that ends", "{manual-release-open: C1}", "{manual-release-open: C1, until: 10 s}", `a fault of a lesson has no "until"`},
		{"fault that waits", "{manual-release-open: C1}", "{manual-release-open: C1, from: 10 s}", `a fault of a lesson has no "from"`},
		{"mends nothing it has", "mends: [manual-release-open]", "mends: [dirty-lens]", `this lesson never has the fault dirty-lens`},
		{"mends no fault", "mends: [manual-release-open]", "mends: [manual-release-opn]", `did you mean "manual-release-open"?`},
		{"one choice", "        - {answer: It opens, because: The motor turns alone.}\n", "", `1 choices, expected 2 to 5`},
		{"two right", "{answer: It opens, because", "{answer: It opens, right: yes, because", `2 of the choices are right, expected one`},
		{"none right", "right: yes, ", "", `0 of the choices are right, expected one`},
		{"same answer", "answer: It opens,", "answer: It sounds alarm 5,", `the same answer stands twice`},
		{"no reason", "{answer: It opens, because: The motor turns alone.}", "{answer: It opens}", `missing key "because"`},
		{"blank question", "question: What will happen?", `question: " "`, `question: a text with nothing in it`},
		{"unknown condition", "{alarm: no-motion, bay: C1}", "{allarm: no-motion, bay: C1}", `did you mean "alarm"?`},
		{"unknown alarm", "{alarm: no-motion, bay: C1}", "{alarm: nomotion, bay: C1}", `did you mean "no-motion"?`},
		{"two conditions in one", "{alarm: no-motion, bay: C1}", "{alarm: no-motion, press: C1}", `both "alarm" and "press" in one item`},
		{"unknown bay in a condition", "{alarm: no-motion, bay: C1}", "{alarm: no-motion, bay: C7}", `the truck has no bay "C7"`},
		{"no limit", "{alarm: no-motion, bay: C1}", "{apart: C1}", `"apart" with no limit`},
		{"limits crossed", "{alarm: no-motion, bay: C1}", "{height: C1, at least: 1 m, at most: 500 mm}", `at most less than at least`},
		{"wrong dimension", "{alarm: no-motion, bay: C1}", "{supply: C1, at most: 3 m}", `is a length, a voltage is expected`},
		{"bay that is locked", "{alarm: no-motion, bay: C1}", "{is: locked, bay: C1}", `"locked" is said of a side`},
		{"side that is open", "{alarm: no-motion, bay: C1}", "{is: open, side: curbside}", `"open" is said of a bay`},
		{"bay and side", "{alarm: no-motion, bay: C1}", "{is: open, bay: C1, side: curbside}", `either a bay or a side, not both`},
		{"fault never had", "find: [{mended: manual-release-open}]", "find: [{mended: dirty-lens}]", `this lesson never has the fault dirty-lens`},
		{"no fault", "find: [{mended: manual-release-open}]", "find: [{mended: manual-relese-open}]", `did you mean "manual-release-open"?`},
		{"unknown job", "job: put it back}", "job: put it bak}", `did you mean "put it back"?`},
		{"unknown job in a condition", "find: [{mended: manual-release-open}]", "find: [{job: new batery}]", `did you mean "new battery"?`},
		{"until and find", "    find: [{mended: manual-release-open}]", "    until: [{is: open, bay: C1}]\n    find: [{mended: manual-release-open}]", `either until or find, not both`},
		{"found by nobody", "    solution: [{at: 1 s, job: put it back}]\n", "", `nobody tells how it is done`},
		{"solution of nothing", "    find: [{mended: manual-release-open}]\n", "", `a solution of what? the step waits for nothing`},
		{"told after nothing", "    find: [{mended: manual-release-open}]\n    solution: [{at: 1 s, job: put it back}]\n", "    then: Done.\n", `told after what? the step waits for nothing`},
		{"hint on nothing", "    find: [{mended: manual-release-open}]\n    solution: [{at: 1 s, job: put it back}]\n", "    hints: [{after: 5 s, text: Try.}]\n", `a hint on what? the step waits for nothing`},
		{"hints out of order", "    find: [", "    hints: [{after: 9 s, text: A.}, {after: 5 s, text: B.}]\n    find: [", `a hint that is due before the one above it`},
		{"press at no bay", "{at: 1 s, press: C1}", "{at: 1 s, press: C8}", `the truck has no bay "C8"`},
		{"check of nothing", "  cycles: 2\n", "", `the check looks at nothing, so that everybody passes`},
		{"step after the check", "  cycles: 2\n", "  cycles: 2\n  steps: [{at: 5 s, press: C1}]\n", `a step after the end of the check`},
		{"expected after the check", "  cycles: 2\n", "  cycles: 2\n  lasts: 5 s\n  expect: [{at: 6 s, bay: C1, is: open}]\n", `an expectation after the end of the run`},
		{"too many cycles", "cycles: 2", "cycles: 21", `is out of range, it must be at least 0 and at most 20`},
		{"minutes without a unit", "bay: C1\nfaults", "takes: 20\nbay: C1\nfaults", `has no unit, a time needs one`},
	} {
		t.Run(c.name, func(t *testing.T) {
			if n := strings.Count(smallLesson, c.old); n == 0 {
				t.Fatalf("%q is not in the lesson", c.old)
			}
			text := strings.Replace(smallLesson, c.old, c.bad, 1)
			_, err := (&Loader{Shipped: Shipped()}).LoadLessonFrom(strings.NewReader(text), "lesson.yaml")
			problems, ok := err.(Problems)
			if !ok || len(problems) != 1 {
				t.Fatalf("got %T with %d problems: %v", err, len(problems), err)
			}
			p := problems[0]
			if !strings.Contains(p.Error(), c.want) {
				t.Errorf("got %q, want %q in it", p.Error(), c.want)
			}
			if p.Pos.File != "lesson.yaml" || p.Pos.Line == 0 || p.Pos.Column == 0 {
				t.Errorf("no place: %v", p.Pos)
			}
			changed := 1 + strings.Count(smallLesson[:strings.Index(smallLesson, c.old)], "\n")
			if last := changed + strings.Count(c.bad, "\n"); c.bad != "" && (p.Pos.Line < changed-2 || p.Pos.Line > last+1) {
				t.Errorf("told at line %d, changed from %d to %d", p.Pos.Line, changed, last)
			}
		})
	}
}

// FuzzLesson: any text at all is read as a lesson or refused, without a panic; one
// that is read can be begun and shown, whatever is answered.
func FuzzLesson(f *testing.F) {
	f.Add(smallLesson, 0)
	for _, name := range ShippedNames(LessonKind) {
		text, err := Shipped().Open(name)
		if err != nil {
			f.Fatal(err)
		}
		data, err := ReadAll(text)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(data), 1)
	}
	f.Add("lesson: x\nsteps: [{text: y, until: [{apart: C1}]}]\ncheck: {}", 2)
	f.Add(strings.Replace(smallLesson, "steps:", "steps: []\nstep:", 1), 3)
	f.Fuzz(func(t *testing.T, text string, choice int) {
		ls, err := (&Loader{Shipped: Shipped()}).LoadLessonFrom(strings.NewReader(text), "fuzz.yaml")
		if err != nil {
			problems, ok := err.(Problems)
			if !ok || len(problems) == 0 || len(problems) > maxProblems+1 {
				t.Fatalf("got %T with %d problems", err, len(problems))
			}
			return
		}
		way := ls.Begin(nobody{})
		for i := 0; i < 2*len(ls.Steps)+4; i++ {
			st := way.State()
			if st.Held && st.Phase == LessonAsking && way.Answer(choice) != nil {
				if err := way.Answer(0); err != nil {
					t.Fatal(err)
				}
			}
			if err := way.Next(); err == nil && fmt.Sprint(way.State()) == fmt.Sprint(st) {
				t.Fatalf("Next went nowhere: %+v", st)
			}
		}
	})
}

// nobody does nothing of what a lesson wants done.
type nobody struct{}

func (nobody) Act(sim.Action) {}

func (nobody) Fault(*FaultItem, bool) {}

package live

import (
	"slices"
	"strings"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// way is a learner's way through a lesson on a rig. It is the lesson's hands: what the
// lesson wants done waits until the tick is over, and is done and kept like what a person
// does.
type way struct {
	*scenarios.LessonProgress
	name    string
	lesson  *scenarios.Lesson
	wants   []want
	changes int // of the state that was last sent
}

// want is one thing that the lesson wants done.
type want struct {
	action sim.Action
	fault  *scenarios.FaultItem // nil for an action
	on     bool
}

func newWay(name string, l *scenarios.Lesson) *way {
	w := &way{name: name, lesson: l, changes: -1}
	w.LessonProgress = l.Begin(w)
	return w
}

// Act implements scenarios.LessonHands.
func (w *way) Act(a sim.Action) { w.wants = append(w.wants, want{action: a}) }

// Fault implements scenarios.LessonHands.
func (w *way) Fault(f *scenarios.FaultItem, on bool) {
	w.wants = append(w.wants, want{fault: f, on: on})
}

// serve does what the lesson wants done.
func (r *rig) serve() error {
	if r.way == nil {
		return nil
	}
	wants := r.way.wants
	r.way.wants = nil
	for i := range wants {
		if err := r.serveOne(&wants[i]); err != nil {
			return err
		}
	}
	return nil
}

func (r *rig) serveOne(w *want) error {
	if w.fault == nil {
		return r.do(w.action)
	}
	made, err := r.src.sc.Fault(w.fault)
	if err != nil {
		return err
	}
	f := made.(fault.Fault)
	if w.on {
		return r.bring(f, r.src.riddle())
	}
	if i := r.on(f.Name, f.Place); i >= 0 {
		r.mend(i)
	}
	return nil
}

// held tells that the run waits for an answer.
func (r *rig) heldUp() bool { return r.way != nil && r.way.Held() }

// handsOff tells that the learner may not work the truck now.
func (r *rig) handsOff() bool { return r.way != nil && !r.way.State().Hands }

// riddle tells that a lesson keeps to itself what is wrong with its truck.
func (s *source) riddle() bool { return s.lesson != nil && !s.lesson.Switches }

// learn takes what the learner says.
func (r *rig) learn(q *Request) error {
	if r.way == nil {
		return wrong{"no lesson is open", ""}
	}
	var err error
	switch q.Do {
	case DoAnswer:
		if q.Choice == nil {
			return missing("choice")
		}
		err = r.way.Answer(*q.Choice)
	case DoNext:
		err = r.way.Next()
	case DoJob:
		err = r.way.Do(q.Job)
	}
	if err != nil {
		return err
	}
	return r.serve()
}

// message is the lesson as it stands, or nil where it is as it was last sent.
func (w *way) message() *Lesson {
	if w.Changes() == w.changes {
		return nil
	}
	w.changes = w.Changes()
	m := &Lesson{
		Is: IsLesson, Name: w.name, Title: w.lesson.Title(), About: w.lesson.About, Bay: w.lesson.Bay,
		Watch: []string{}, Shown: w.lesson.Switches, State: w.State(),
	}
	for _, c := range w.lesson.Watch {
		m.Watch = append(m.Watch, string(c))
	}
	return m
}

// lessonKind is the kind of file that lessons are.
const lessonKind = scenarios.LessonKind

// lessons are those that ship.
func (s *shelf) lessons() []Listed {
	var list []Listed
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	for _, name := range scenarios.ShippedNames(lessonKind) {
		if ls, err := l.LoadLesson("shipped:" + name); err == nil {
			list = append(list, Listed{Name: name, Title: ls.Title(), Group: "lessons", Doc: oneLine(ls.About)})
		}
	}
	return list
}

// lesson opens a lesson by its name, for a page: see named.
func (s *shelf) lesson(name string) (*source, error) {
	if name == s.wanted.Scenario {
		return s.first()
	}
	shipped := scenarios.ShippedNames(lessonKind)
	if !slices.Contains(shipped, name) {
		return nil, unknown("lesson", name, shipped)
	}
	return s.lessonFile(name, "shipped:"+name)
}

func (s *shelf) lessonFile(name, full string) (*source, error) {
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	ls, err := l.LoadLesson(full)
	if err != nil {
		return nil, err
	}
	return s.finish(l, &source{name: name, title: ls.Title(), sc: ls.Scenario(), lesson: ls})
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

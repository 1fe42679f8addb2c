package live

import (
	"bytes"
	"encoding/json"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"slatbench/scenarios"
	"slatbench/sim/trace"
)

// learner goes through a lesson on a session as its solutions say.
type learner struct {
	t      *testing.T
	s      *wireless
	lesson *scenarios.Lesson
	step   int
	since  float64
	due    []deed
}

// deed is a request at its time, s from when the lesson's step went on.
type deed struct {
	at float64
	q  Request
}

var deedForms = []struct {
	form *regexp.Regexp
	does func(m []string) []deed
}{
	{regexp.MustCompile(`^press the remote at (\w+)(?: from (\S+) m)?(?:, (\S+)° off)?$`), func(m []string) []deed {
		q := Request{Do: DoPress, Bay: m[1]}
		if x, err := strconv.ParseFloat(m[2], 64); err == nil {
			q.Distance = &x
		}
		if x, err := strconv.ParseFloat(m[3], 64); err == nil {
			q.Aim = &x
		}
		return []deed{{0, q}}
	}},
	{regexp.MustCompile(`^retrain (\w+):`), func(m []string) []deed {
		return []deed{
			{0, Request{Do: DoTeach, Bay: m[1], On: true}}, {0.5, Request{Do: DoPress, Bay: m[1], Distance: number(1)}},
			{2, Request{Do: DoTeach, Bay: m[1]}},
		}
	}},
	{regexp.MustCompile(`^(lock|unlock) (\w+) at the cab switch$`), func(m []string) []deed { return []deed{{0, Request{Do: m[1], Side: m[2]}}} }},
	{regexp.MustCompile(`^move the bar of the (\w+) by hand, to (\w+)$`), func(m []string) []deed {
		return []deed{{0, Request{Do: DoBypass, Side: m[1], To: m[2]}}}
	}},
}

func (l *learner) begin(step int, now float64) {
	l.step, l.since, l.due = step, now, nil
	for _, d := range l.lesson.Steps[step-1].Solution {
		if d.Step == nil {
			l.due = append(l.due, deed{d.At, Request{Do: DoJob, Job: d.Job}})
			continue
		}
		text, known := d.String(), false
		for i := range deedForms {
			if m := deedForms[i].form.FindStringSubmatch(text); m != nil {
				for _, x := range deedForms[i].does(m) {
					l.due = append(l.due, deed{d.At + x.at, x.q})
				}
				known = true
			}
		}
		if !known {
			l.t.Fatalf("no request is known for %q", text)
		}
	}
	slices.SortStableFunc(l.due, func(a, b deed) int {
		if a.at < b.at {
			return -1
		}
		return 1
	})
}

// turn does what the learner does now, and tells whether the lesson is over.
func (l *learner) turn() bool {
	st := l.s.rig.way.State()
	switch st.Phase {
	case scenarios.LessonPassed, scenarios.LessonFailed:
		return true
	case scenarios.LessonAsking:
		if !l.s.rig.heldUp() {
			l.t.Fatal("a question is asked and the run goes on")
		}
		if err := l.s.do(&Request{Do: DoPress, Bay: "C1"}); err == nil {
			l.t.Fatal("the truck was worked while a question is asked")
		}
		right := slices.IndexFunc(l.lesson.Steps[st.Step-1].Ask.Choices, func(c scenarios.LessonChoice) bool { return c.Right })
		l.s.ask(l.t, Request{Do: DoAnswer, Choice: &right})
	case scenarios.LessonReading, scenarios.LessonTold, scenarios.LessonReady:
		l.s.ask(l.t, Request{Do: DoNext})
	case scenarios.LessonWaiting, scenarios.LessonFinding:
		now := l.s.rig.now()
		if l.step != st.Step {
			l.begin(st.Step, now)
		}
		for len(l.due) > 0 && now-l.since >= l.due[0].at {
			if err := l.s.do(&l.due[0].q); err != nil {
				break // something still moves
			}
			l.due = l.due[1:]
		}
	}
	return false
}

// TestLessonsAreTaken: every lesson that ships is gone through on the live bench to its
// passed check, the page is told each state, and what was done is saved and replays to the
// same trace.
func TestLessonsAreTaken(t *testing.T) {
	for _, name := range scenarios.ShippedNames(lessonKind) {
		t.Run(scenarios.ShortName(name), func(t *testing.T) {
			t.Parallel()
			s := newWireless(t, Wanted{})
			s.ask(t, Request{Do: DoOpen, Lesson: name})
			var live bytes.Buffer
			recorder := trace.New(&live, trace.CSV, about)
			s.rig.close()
			r, err := newRig(s.rig.src, nil, recorder)
			if err != nil {
				t.Fatal(err)
			}
			s.take(r)
			s.ask(t, Request{Do: DoSpeed, Factor: 10})
			l := &learner{t: t, s: s, lesson: r.src.lesson}
			for range 12_000 {
				if l.turn() {
					break
				}
				s.pass(1.0 / FramesPerSecond)
			}
			st := r.way.State()
			if !st.Passed {
				t.Fatalf("step %d of %d, %s: %+v; %+v", st.Step, st.Steps, st.Phase, st.Waits, st.Results)
			}
			told := got[struct{ State map[string]any }](t, s, IsLesson)
			if last := told[len(told)-1]; last.State["passed"] != true {
				t.Errorf("the page was last told %v", last.State)
			}
			if err := recorder.Close(); err != nil {
				t.Fatal(err)
			}
			if err := s.do(&Request{Do: DoRewind, At: number(1)}); err == nil {
				t.Error("a lesson was rewound")
			}
			text := saved(t, r)
			if again := replayed(t, text, r.src.under.Logic); !bytes.Equal(again, live.Bytes()) {
				t.Errorf("the saved run is another one: %s\n%s", firstDifference(live.Bytes(), again), text)
			}
		})
	}
}

// TestLessonMessages: what the page needs of a lesson is in its messages, and a wrong
// request changes nothing.
func TestLessonMessages(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen, Lesson: "lessons/retraining.yaml"})
	if b := got[Bench](t, s, IsBench)[0]; !b.Lesson || b.Name != "lessons/retraining.yaml" {
		t.Errorf("%+v", b)
	}
	var m Lesson
	raw := got[json.RawMessage](t, s, IsLesson)
	if err := json.Unmarshal(raw[0], &m); err != nil || m.Title == "" || m.Bay != "C1" || len(m.Watch) == 0 || m.State.Steps < 5 {
		t.Errorf("%v %+v", err, m)
	}
	for _, q := range []Request{{Do: DoAnswer, Choice: new(int)}, {Do: DoAnswer}, {Do: DoJob, Job: "magic"}, {Do: DoJob}} {
		if err := s.do(&q); err == nil {
			t.Errorf("%+v was carried out", q)
		}
	}
	if n := len(got[json.RawMessage](t, s, IsLesson)); n != 1 {
		t.Errorf("%d states were told, expected 1", n)
	}
	s.ask(t, Request{Do: DoRestart})
	if n := len(got[json.RawMessage](t, s, IsLesson)); n != 2 {
		t.Errorf("%d states were told after a restart, expected 2", n)
	}
	if list := s.shelf.lessons(); len(list) < 6 || list[0].Title == "" || strings.Contains(list[0].Doc, "\n") {
		t.Errorf("lessons: %+v", list)
	}
}

// TestLessonKeepsItsSecret: where what is wrong is to be found out, no message gives it away,
// and the fault switches are not the way to mend it; what a learner does is told as ever.
func TestLessonKeepsItsSecret(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen, Lesson: "lessons/retraining.yaml"})
	s.playFor(2)
	if err := s.do(&Request{Do: DoFault, Kind: "missed-pulses", Place: "C1"}); err == nil {
		t.Error("mended by a fault switch")
	}
	if s.rig.on("missed-pulses", 0) < 0 {
		t.Fatal("the lesson's fault is not on")
	}
	s.ask(t, Request{Do: DoSupply})
	s.playFor(1)
	if lists := got[Faults](t, s, IsFaults); len(lists[len(lists)-1].List) != 1 {
		t.Errorf("faults that are told: %+v", lists[len(lists)-1].List)
	}
	for _, data := range s.sent {
		if bytes.Contains(data, []byte("missed-pulses")) && !bytes.Contains(data[:30], []byte(IsLesson)) {
			t.Errorf("told: %s", data)
		}
	}
}

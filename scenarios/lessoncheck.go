package scenarios

import (
	"fmt"
	"slices"
	"strings"
)

// Check tells what no tag can say of a lesson.
func (ls *Lesson) Check(r *Report) {
	if len(ls.Truck.Bays.Entries) == 0 {
		return // the truck says so itself
	}
	sc := ls.Scenario()
	sc.Check(r)
	ls.checkBay(r)
	ls.checkStays(r, ls.Faults)
	for i := range ls.Jobs.Entries {
		ls.checkJob(r, &ls.Jobs.Entries[i].Value, sc)
	}
	if len(ls.Steps) == 0 {
		r.Add(ls.PosOf("steps"), "a lesson without a step", "add \"- text: …\"")
	}
	for i := range ls.Steps {
		ls.Steps[i].check(r, ls, sc)
	}
	ls.Proof.check(r, ls, sc)
}

func (ls *Lesson) checkBay(r *Report) {
	if bays := ls.Truck.Bays.Keys(); !slices.Contains(bays, ls.Bay) {
		r.Add(ls.PosOf("bay"), fmt.Sprintf("the truck has no bay %q", ls.Bay), wordHint(ls.Bay, bays))
	}
	for i, c := range ls.Watch {
		if slices.Contains(ls.Watch[:i], c) {
			r.Add(ls.PosOf("watch", i), fmt.Sprintf("chart %q stands twice", string(c)), "delete one of the two")
		}
	}
}

// checkStays refuses times: a fault of a lesson stays until it is mended.
func (ls *Lesson) checkStays(r *Report, list []FaultItem) {
	for i := range list {
		for _, key := range []string{faultFrom, faultUntil} {
			if f := &list[i]; f.Has(key) {
				r.Add(f.PosOf(key), fmt.Sprintf("a fault of a lesson has no %q", key), "it begins with the lesson, or with the step that brings it, and stays until it is mended")
			}
		}
	}
}

func (ls *Lesson) checkBrings(r *Report, list []FaultItem, sc *Scenario) {
	ls.checkStays(r, list)
	for i := range list {
		list[i].check(r, sc)
	}
}

func (ls *Lesson) checkMends(r *Report, in *Located, key string, list []string) {
	kinds := ls.kinds()
	for i, name := range list {
		switch {
		case slices.Contains(kinds, name):
		case slices.Contains(kindNames(), name):
			r.Add(in.PosOf(key, i), fmt.Sprintf("this lesson never has the fault %s", name), wordHint(name, kinds))
		default:
			r.Add(in.PosOf(key, i), fmt.Sprintf("no kind of fault is called %q", name), wordHint(name, kindNames()))
		}
	}
}

func (ls *Lesson) checkJob(r *Report, j *LessonJob, sc *Scenario) {
	ls.checkBrings(r, j.Brings, sc)
	ls.checkMends(r, &j.Located, "mends", j.Mends)
}

func (s *LessonStep) check(r *Report, ls *Lesson, sc *Scenario) {
	blank(r, &s.Located, "text", s.Text)
	ls.checkBrings(r, s.Brings, sc)
	ls.checkMends(r, &s.Located, "takes away", s.Takes)
	for _, list := range [][]Condition{s.Until, s.Find} {
		for i := range list {
			list[i].check(r, ls)
		}
	}
	for i := range s.Remarks {
		s.Remarks[i].When.check(r, ls)
	}
	for i := range s.Hints {
		if i > 0 && s.Hints[i].After < s.Hints[i-1].After {
			r.Add(s.Hints[i].PosOf("after"), "a hint that is due before the one above it", "put them in order of time")
		}
	}
	waits := len(s.Until) > 0 || len(s.Find) > 0
	switch {
	case len(s.Until) > 0 && len(s.Find) > 0:
		r.Add(s.PosOf("find"), "either until or find, not both", "until must come about, find may be given up")
	case s.Then != "" && !waits && s.Ask == nil:
		r.Add(s.PosOf("then"), "told after what? the step waits for nothing", "put it into the text, or add until or find")
	case len(s.Hints) > 0 && !waits:
		r.Add(s.PosOf("hints"), "a hint on what? the step waits for nothing", "add until or find")
	case len(s.Solution) > 0 && !waits:
		r.Add(s.PosOf("solution"), "a solution of what? the step waits for nothing", "add until or find")
	case len(s.Find) > 0 && len(s.Solution) == 0:
		r.Add(s.PosOf("find"), "nobody tells how it is done", "add \"solution:\", for the check and the handout")
	}
	ls.checkDeeds(r, s.Plays, sc)
	for i := range s.Solution {
		d := &s.Solution[i]
		if d.Step != nil {
			checkDeed(r, d.Step, sc)
		} else if jobs := ls.Jobs.Keys(); !slices.Contains(jobs, d.Job) {
			r.Add(d.PosOf("job"), fmt.Sprintf("the workshop has no job %q", d.Job), wordHint(d.Job, jobs))
		}
	}
}

func (ls *Lesson) checkDeeds(r *Report, steps []Step, sc *Scenario) {
	for i := range steps {
		checkDeed(r, &steps[i], sc)
	}
}

func checkDeed(r *Report, s *Step, sc *Scenario) {
	bays := sc.Truck.Bays.Keys()
	if key, name := s.bayNamed(); key != "" && !slices.Contains(bays, name) {
		r.Add(s.PosOf(key), fmt.Sprintf("the truck has no bay %q", name), wordHint(name, bays))
	}
}

func blank(r *Report, in *Located, key, text string) {
	if strings.TrimSpace(text) == "" {
		r.Add(in.PosOf(key), fmt.Sprintf("%s: a text with nothing in it", key), "")
	}
}

// Bounds on the choices of a question: more are not read.
const (
	fewestChoices = 2
	mostChoices   = 5
)

// Check implements Checker.
func (q *LessonQuestion) Check(r *Report) {
	blank(r, &q.Located, "question", q.Question)
	if n := len(q.Choices); n < fewestChoices || n > mostChoices {
		r.Add(q.PosOf("choices"), fmt.Sprintf("%d choices, expected %d to %d", n, fewestChoices, mostChoices), "")
	}
	right := 0
	seen := map[string]bool{}
	for i := range q.Choices {
		c := &q.Choices[i]
		blank(r, &c.Located, "answer", c.Answer)
		blank(r, &c.Located, "because", c.Because)
		if c.Right {
			right++
		}
		if text := Paragraphs(c.Answer); seen[text] {
			r.Add(c.PosOf("answer"), "the same answer stands twice", "")
		} else {
			seen[text] = true
		}
	}
	if right != 1 && len(q.Choices) > 0 {
		r.Add(q.PosOf("choices"), fmt.Sprintf("%d of the choices are right, expected one", right), "mark the right one with \"right: yes\"")
	}
}

func (c *LessonCheck) check(r *Report, ls *Lesson, sc *Scenario) {
	ls.checkDeeds(r, c.Steps, sc)
	bays := ls.Truck.Bays.Keys()
	for i := range c.Steps {
		if c.Steps[i].at() >= c.Lasts {
			r.Add(c.Steps[i].PosOf("at"), "a step after the end of the check", "let it last longer: \"lasts: 20 s\"")
		}
	}
	for i := range c.Expect {
		e := &c.Expect[i]
		if e.Bay != "" && !slices.Contains(bays, e.Bay) {
			r.Add(e.PosOf("bay"), fmt.Sprintf("the truck has no bay %q", e.Bay), wordHint(e.Bay, bays))
		}
		late := Scenario{Duration: c.Lasts}
		late.checkExpectTime(r, e, "by", e.By)
		late.checkExpectTime(r, e, "at", e.At)
	}
	for i := range c.At {
		c.At[i].check(r, ls)
	}
	if c.Cycles == 0 && len(c.Expect) == 0 && len(c.At) == 0 {
		r.Add(c.Pos(), "the check looks at nothing, so that everybody passes", "add cycles, expect, or at the end")
	}
	if c.Cycles > 0 && c.Has("cycles") && ls.Bay == "" {
		r.Add(c.PosOf("cycles"), "cycles of which door?", "bay: C1")
	}
}

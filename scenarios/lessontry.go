package scenarios

import (
	"fmt"
	"slices"

	"slatbench/sim/logic"
)

// LessonTry is one learner by script, and what became of him.
type LessonTry struct {
	What    string       // what this learner does
	Passed  bool         // the check at the end
	Want    bool         // he ought to pass
	Either  bool         // he may pass or not: another way that mends something, or what was to be found came about all the same
	Stuck   string       // where he got no further, or ""
	Results []LessonWait // of the check
}

// Bad tells that the lesson does not tell right from wrong.
func (t *LessonTry) Bad() bool { return !t.Either && t.Passed != t.Want }

// Tries plays a lesson with learners by script: the one who does what its solutions
// say, who must pass, first; then the one who does nothing where something is to be
// found, one after another who leaves out one deed, and one who does another job of
// the workshop instead. None of these may pass, but for one whose other job mends
// something, and one with whom what was to be found in the step came about all the same.
func (ls *Lesson) Tries(table *logic.Table) ([]LessonTry, error) {
	list := []LessonTry{{What: "does what the solutions say", Want: true}}
	learners, steps := []LessonLearner{{}}, []int{-1}
	of := -1 // the step that something else is done in
	add := func(l LessonLearner, t LessonTry) {
		learners, steps, list = append(learners, l), append(steps, of), append(list, t)
	}
	add(ls.Idle(), LessonTry{What: "does nothing where something is to be found"})
	for step := range ls.Steps {
		of = step
		for deed := range ls.Steps[step].Solution {
			d := &ls.Steps[step].Solution[deed]
			if !d.counts() {
				continue
			}
			add(LessonLearner{Omit: func(s, k int) bool { return s == step && k == deed }},
				LessonTry{What: fmt.Sprintf("leaves out, in step %d: %s", step+1, d)})
			ls.otherJobs(step, deed, add)
		}
	}
	for i := range list {
		play, err := ls.Play(table, learners[i])
		if err != nil {
			return nil, err
		}
		if k := steps[i]; k >= 0 && len(ls.Steps[k].Find) > 0 && !slices.Contains(play.GaveUp, k) {
			list[i].Either = true
		}
		list[i].Passed, list[i].Stuck, list[i].Results = play.State.Passed, play.Stuck, play.State.Results
	}
	return list, nil
}

// Idle is the learner who does nothing where something is to be found.
func (ls *Lesson) Idle() LessonLearner {
	return LessonLearner{Omit: func(step, _ int) bool { return ls.mustFind(step) }}
}

// mustFind tells whether something is to be found in a step; without any such step
// in the lesson, whether it has a solution at all.
func (ls *Lesson) mustFind(step int) bool {
	for i := range ls.Steps {
		if len(ls.Steps[i].Find) > 0 {
			return len(ls.Steps[step].Find) > 0
		}
	}
	return true
}

// counts tells that a deed is part of a cure: a press may be there to look only.
func (d *LessonDeed) counts() bool { return d.Step == nil || d.Step.Kind != "press" }

// otherJobs adds learners who do a job of the workshop instead of a deed.
func (ls *Lesson) otherJobs(step, deed int, add func(LessonLearner, LessonTry)) {
	d := &ls.Steps[step].Solution[deed]
	for i := range ls.Jobs.Entries {
		j := &ls.Jobs.Entries[i]
		if j.Key == d.Job {
			continue
		}
		add(LessonLearner{Instead: func(s, k int) string {
			if s == step && k == deed {
				return j.Key
			}
			return ""
		}}, LessonTry{What: fmt.Sprintf("in step %d, instead of “%s”: %s", step+1, d, j.Key), Either: len(j.Value.Mends) > 0})
	}
}

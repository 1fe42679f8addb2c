package main

import (
	"fmt"
	"strconv"
	"strings"

	"slatbench/scenarios"
)

// What the lessons say to a person, by the rules of messages.go.

var helpLesson = help{
	"lessons: list, check and print them",
	`A lesson leads from a symptom to its cause on a truck that can be operated and
mended: it asks for predictions, waits for what is done, and lets the bench find
out at the end whether the fault is really cured. Lessons are taken in the
browser, by slatbench serve. docs/lessons.md says how to write one.`,
	`slatbench lesson list
slatbench lesson check my-lesson.yaml
slatbench lesson print retraining --out retraining.html
slatbench show retraining > my-lesson.yaml`,
}

var helpLessonList = help{
	"list the lessons that ship",
	`Lists the lessons that ship with the bench, with about how long a class needs
for each.`,
	`slatbench lesson list`,
}

var helpLessonCheck = help{
	"check a lesson file, and play it",
	`Reads a lesson and says what is wrong with it, with line and column. Then plays
it with learners by script: one who does what its solutions say, who must pass;
one who does nothing where something is to be found; one after another who leaves
out a single deed, or does another job of the workshop instead. A lesson that lets
one of these pass proves nothing. A job that mends something may be another way.

Exit codes: 0 the right way passes and no wrong one does, 1 it is otherwise, 2 bad
input or usage.`,
	`slatbench lesson check retraining
slatbench lesson check my-lesson.yaml`,
}

var helpLessonPrint = help{
	"write a handout of a lesson, to print",
	`Writes a handout: the texts, the questions with room for answers, what the bench
showed up to where something is to be found, and on its last pages the key, with
the whole run. Self-contained, for A4 and Letter.`,
	`slatbench lesson print retraining --out retraining.html
slatbench lesson print my-lesson.yaml --out handout.html`,
}

const (
	argLesson     = "a lesson: a file, or the name of a shipped one"
	flagHandout   = "write the handout to `FILE`.html"
	lessonSound   = "SOUND"
	lessonUnsound = "UNSOUND"
	wordPasses    = "passes"
	wordFails     = "fails"
)

func noHandout() error {
	return wrong{"where to? a handout is written to a file", "add --out handout.html"}
}

func notRun(name string) error {
	if name == "-" {
		name = standardInput
	}
	return wrong{fmt.Sprintf("%s is a lesson, and lessons are not run", name), "slatbench lesson check plays it by script; slatbench serve opens it in the browser"}
}

func noLesson(typed, hint string) error {
	if hint == "" {
		hint = "slatbench lesson list shows those that ship"
	}
	return wrong{fmt.Sprintf("no lesson %q, neither a file nor a shipped one", typed), hint}
}

// minutesText is about how long a lesson takes.
func minutesText(seconds float64) string {
	return strconv.Itoa(int(seconds/60+0.5)) + " min"
}

// lessonParts says what a lesson is made of.
func lessonParts(ls *scenarios.Lesson) string {
	asks, finds := 0, 0
	for i := range ls.Steps {
		if ls.Steps[i].Ask != nil {
			asks++
		}
		if len(ls.Steps[i].Find) > 0 {
			finds++
		}
	}
	parts := []string{counted(len(ls.Steps), "step"), counted(asks, "prediction"), counted(finds, "thing") + " to find",
		counted(len(ls.Jobs.Entries), "job") + " in the workshop"}
	return strings.Join(parts, ", ")
}

// lessonVerdict sums up how the learners by script fared.
func lessonVerdict(tries []scenarios.LessonTry) (word, text string) {
	bad, wrongWays, others := 0, 0, 0
	for i := range tries {
		t := &tries[i]
		switch {
		case t.Bad():
			bad++
		case t.Either && t.Passed:
			others++
		case !t.Want:
			wrongWays++
		}
	}
	if bad > 0 {
		return lessonUnsound, fmt.Sprintf("%d of %d learners by script did not fare as they should", bad, len(tries))
	}
	text = fmt.Sprintf("the right way cures; %s tried, and none does", counted(wrongWays, "wrong way"))
	if wrongWays == 1 {
		text = "the right way cures; 1 wrong way tried, and it does not"
	}
	if others > 0 {
		text += "; " + counted(others, "other way") + " also passed"
	}
	return lessonSound, text
}

// lessonOutcome says why a learner by script did not pass, or "".
func lessonOutcome(t *scenarios.LessonTry) string {
	if t.Stuck != "" {
		return t.Stuck
	}
	for _, r := range t.Results {
		if !r.Met {
			return "not met: " + r.Text
		}
	}
	return ""
}

const (
	rightMustPass = "who does what the solutions say must pass"
	wrongMustFail = "this must not pass: the check does not look at what was left out"
)

package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"slatbench/scenarios"
	"slatbench/sim/logic"
)

// newLesson is what can be done with lessons outside the browser.
func newLesson() *cobra.Command {
	c := command(cobra.Command{Use: "lesson"}, helpLesson)
	c.Args = cobra.ArbitraryArgs
	c.RunE = func(c *cobra.Command, args []string) error {
		if len(args) > 0 {
			return unknownWord("command", args[0], []string{"check", "list", "print"})
		}
		return c.Help()
	}
	c.AddCommand(newLessonCheck(), newLessonList(), newLessonPrint())
	return c
}

// loadLesson reads a lesson and its logic, by the name that was typed.
func loadLesson(typed string) (*scenarios.Lesson, *logic.Table, error) {
	name := scenarios.FullName(scenarios.LessonKind, typed)
	if !scenarios.Exists(name) && !strings.ContainsAny(name, `/\`) {
		return nil, nil, noLesson(typed, scenarios.HintFor(typed, scenarios.LessonKind))
	}
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	ls, err := l.LoadLesson(name)
	if err != nil {
		return nil, nil, err
	}
	table, err := l.LoadLogicOfLesson(ls)
	return ls, table, err
}

func newLessonList() *cobra.Command {
	c := command(cobra.Command{Use: "list", Args: atMost(0)}, helpLessonList)
	c.RunE = func(c *cobra.Command, _ []string) error {
		var text strings.Builder
		l := listing{rows: lessonRows}
		if err := l.write(&text, newPen(c.OutOrStdout()), false); err != nil {
			return err
		}
		_, err := fmt.Fprint(c.OutOrStdout(), text.String())
		return err
	}
	return c
}

func lessonRows() ([][2]string, error) {
	var rows [][2]string
	for _, name := range scenarios.ShippedNames(scenarios.LessonKind) {
		ls, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).LoadLesson("shipped:" + name)
		if err != nil {
			return nil, err
		}
		rows = append(rows, [2]string{scenarios.ShortName(name), ls.Title() + ", " + minutesText(ls.Takes)})
	}
	return rows, nil
}

func newLessonCheck() *cobra.Command {
	c := command(cobra.Command{Use: "check FILE", Args: exactlyOne(argLesson), ValidArgsFunction: completeFile(scenarios.LessonKind)}, helpLessonCheck)
	c.RunE = func(c *cobra.Command, args []string) error {
		ls, table, err := loadLesson(args[0])
		if err != nil {
			return err
		}
		tries, err := ls.Tries(table)
		if err != nil {
			return err
		}
		r := sheet{pen: newPen(c.OutOrStdout())}
		bad := r.lesson(ls, tries)
		if _, err := fmt.Fprint(c.OutOrStdout(), r.text.String()); err != nil {
			return err
		}
		if bad {
			return errViolated
		}
		return nil
	}
	return c
}

// lesson lays out how the learners by script fared, and tells whether any did not
// fare as he should.
func (r *sheet) lesson(ls *scenarios.Lesson, tries []scenarios.LessonTry) (isBad bool) {
	r.line(cell{text: ls.Title(), rendition: strong})
	r.wrapped(2, faint, lessonParts(ls))
	r.blank()
	for i := range tries {
		r.lessonTry(&tries[i])
		isBad = isBad || tries[i].Bad()
	}
	r.blank()
	word, text := lessonVerdict(tries)
	rendition := good
	if isBad {
		rendition = bad
	}
	for _, l := range wrap(text, lineWidth-len(word)-2) {
		r.line(cell{text: word, width: len(lessonSound), rendition: rendition}, cell{text: l})
		word = ""
	}
	return isBad
}

func (r *sheet) lessonTry(t *scenarios.LessonTry) {
	word, rendition := wordFails, plain
	if t.Passed {
		word = wordPasses
	}
	if t.Bad() {
		rendition = bad
	}
	for _, l := range wrap(printable(t.What), lineWidth-12) {
		r.line(cell{}, cell{text: word, width: 8, rendition: rendition}, cell{text: l})
		word = ""
	}
	switch {
	case t.Bad() && t.Want:
		r.wrapped(12, bad, rightMustPass)
	case t.Bad():
		r.wrapped(12, bad, wrongMustFail)
	}
	if why := lessonOutcome(t); why != "" {
		r.wrapped(12, faint, why)
	}
}

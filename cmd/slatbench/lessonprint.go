package main

import (
	"github.com/spf13/cobra"

	"slatbench/cmd/slatbench/report"
	"slatbench/scenarios"
	"slatbench/sim/wholefile"
)

func newLessonPrint() *cobra.Command {
	var to string
	c := command(cobra.Command{Use: "print NAME", Args: exactlyOne(argLesson), ValidArgsFunction: completeFile(scenarios.LessonKind)}, helpLessonPrint)
	c.Flags().StringVarP(&to, "out", "o", "", flagHandout)
	completeFlag(c, "out", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return []string{"html"}, cobra.ShellCompDirectiveFilterFileExt
	})
	c.RunE = func(_ *cobra.Command, args []string) error {
		switch {
		case to == "":
			return noHandout()
		case !endsInHTML(to):
			return wrongEnding("--out", to, ".html")
		}
		ls, table, err := loadLesson(args[0])
		if err != nil {
			return err
		}
		file, err := wholefile.Create(to)
		if err != nil {
			return notWritten(err)
		}
		defer file.Discard()
		h, err := report.PlayHandout(ls, table)
		if err != nil {
			return err
		}
		h.Version = version()
		return notWritten(writePage(file, h.Write))
	}
	return c
}

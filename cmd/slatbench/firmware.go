package main

import (
	"io"

	"github.com/spf13/cobra"

	"slatbench/scenarios"
	"slatbench/sim/firmware/conform"
)

// newFirmware is what can be done with a controller from outside alone.
func newFirmware() *cobra.Command {
	c := command(cobra.Command{Use: "firmware"}, helpFirmware)
	c.RunE = func(c *cobra.Command, args []string) error {
		if len(args) > 0 {
			return unknownWord("command", args[0], []string{"check"})
		}
		return c.Help()
	}
	c.Args = cobra.ArbitraryArgs
	c.AddCommand(newFirmwareCheck())
	return c
}

func newFirmwareCheck() *cobra.Command {
	c := command(cobra.Command{Use: "check FILE", Args: exactlyOne(argFirmware)}, helpFirmwareCheck)
	c.RunE = func(c *cobra.Command, args []string) error {
		l := &scenarios.Loader{Shipped: scenarios.Shipped()}
		under, err := l.LoadUnderTest(scenarios.FullName(scenarios.LogicKind, args[0]))
		if err != nil {
			return err
		}
		defer under.Close()
		report, err := conform.Check(under)
		if err != nil {
			return wrong{err.Error(), ""}
		}
		s := &sheet{pen: newPen(c.OutOrStdout())}
		s.conformity(under.Title(), report)
		if _, err := io.WriteString(c.OutOrStdout(), s.text.String()); err != nil {
			return err
		}
		if report.Wrong() > 0 {
			return errViolated
		}
		return nil
	}
	return c
}

// conformity lays out what was tried on a controller, with what is wrong below it.
func (r *sheet) conformity(title string, of *conform.Report) {
	r.line(cell{text: checkTitle(title), rendition: strong})
	for i := range of.Items {
		item := &of.Items[i]
		word, rendition := checkWord(item)
		r.line(cell{}, cell{text: word, width: 5, rendition: rendition}, cell{text: item.Tried})
		for _, text := range []string{item.Wrong, item.Note} {
			if text != "" {
				r.wrapped(9, plain, text)
			}
		}
	}
	r.blank()
	word, rendition := checkVerdict(of.Wrong())
	r.line(cell{text: word, rendition: rendition}, cell{text: checkSummary(of.Wrong(), len(of.Items))})
	r.wrapped(0, faint, checkMeaning)
}

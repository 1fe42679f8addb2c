// Slatbench is a test bench, in software, for the controllers of powered roll-up
// truck doors and their locks.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"slatbench/scenarios"
)

// Exit codes.
const (
	exitHolds    = 0 // all that was judged holds
	exitViolated = 1 // a requirement or an expectation is violated
	exitBadInput = 2 // bad input or usage, or the work could not be done
)

// errViolated ends a command whose report has already said what is violated.
var errViolated = errors.New("violated")

// wrong is an error with what to try about it.
type wrong struct{ what, hint string }

func (w wrong) Error() string { return w.what }

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// run is the whole program, with its exit code.
func run(args []string, in io.Reader, out, errs io.Writer) int {
	root := newRoot()
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errs)
	err := root.Execute()
	switch {
	case err == nil:
		return exitHolds
	case errors.Is(err, errViolated):
		return exitViolated
	}
	tell(errs, err)
	return exitBadInput
}

// tell writes an error. One that has a place in a file begins with the place, so
// that editors can follow it.
func tell(w io.Writer, err error) {
	var problems scenarios.Problems
	if errors.As(err, &problems) {
		if len(problems) > 0 && problems[0].Pos == (scenarios.Pos{}) {
			fmt.Fprintln(w, errorText(problems.Error(), ""))
			return
		}
		fmt.Fprintln(w, problems.Error())
		return
	}
	var bad wrong
	hint := ""
	if errors.As(err, &bad) {
		hint = bad.hint
	}
	fmt.Fprintln(w, errorText(err.Error(), hint))
}

func newRoot() *cobra.Command {
	root := command(cobra.Command{Use: "slatbench"}, helpRoot)
	root.SilenceErrors, root.SilenceUsage = true, true
	root.DisableSuggestions = true // they are worded here
	root.Args = cobra.ArbitraryArgs
	root.PersistentPreRunE = func(c *cobra.Command, _ []string) error { return noEmptyValues(c) }
	root.RunE = func(c *cobra.Command, args []string) error {
		if len(args) > 0 {
			var known []string
			for _, sub := range c.Commands() {
				known = append(known, sub.Name())
			}
			return unknownCommand(args[0], known)
		}
		return c.Help()
	}
	root.SetFlagErrorFunc(flagError)
	setHelp(root)
	root.SetHelpCommand(&cobra.Command{Hidden: true})
	root.AddCommand(newRun(), newCampaign(), newAudit(), newCompare(), newSoak(), newSize(), newServe(), newLesson(), newList(), newShow(), newSchema(), newLogic(), newFirmware(), newVersion())
	return root
}

// command gives a command its help.
func command(c cobra.Command, h help) *cobra.Command {
	c.Short, c.Long, c.Example = h.short, h.long, indent(h.examples)
	return &c
}

func indent(text string) string {
	return "  " + strings.ReplaceAll(strings.TrimSpace(text), "\n", "\n  ")
}

// flagError words what is wrong with a flag.
func flagError(c *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var value *pflag.InvalidValueError
	if errors.As(err, &value) {
		return badValue(value.GetFlag().Name, value.GetValue())
	}
	if !errors.As(err, &unknown) {
		return wrong{err.Error(), seeHelp(c.CommandPath())}
	}
	var known []string
	c.Flags().VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
	return unknownFlag(unknown.GetSpecifiedName(), c.CommandPath(), known)
}

// noEmptyValues refuses a flag that was given an empty value, as when a shell knows nothing
// of a variable: it would be as if the flag had not been given.
func noEmptyValues(c *cobra.Command) (err error) {
	c.Flags().Visit(func(f *pflag.Flag) {
		switch value, _ := pflag.UnquoteUsage(f); {
		case err != nil || f.Value.String() != "" && f.Value.String() != "[]": // [] is an empty list
		case value == "FILE":
			err = emptyName(f.Name, "file")
		case value == "DIR":
			err = emptyName(f.Name, "folder")
		case f.Value.Type() == "stringSlice", value == "D", value == "TEXT": // others are read, and refused as they are
			err = emptyValue(f.Name, value)
		}
	})
	return err
}

// atMost is a number of arguments, in our words.
func atMost(n int) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) > n {
			return tooManyArguments(c.CommandPath(), args[n])
		}
		return nil
	}
}

// exactlyOne is one argument that names something.
func exactlyOne(what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return missingArgument(c.CommandPath(), what)
		}
		return atMost(1)(c, args)
	}
}

package main

import (
	"fmt"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"slatbench/scenarios"
	"slatbench/sim/logic"
	"slatbench/sim/logic/rules"
)

// newLogic is what can be done with a logic table alone.
func newLogic() *cobra.Command {
	c := command(cobra.Command{Use: "logic"}, helpLogic)
	c.RunE = func(c *cobra.Command, args []string) error {
		if len(args) > 0 {
			return unknownWord("command", args[0], []string{"check", "draw"})
		}
		return c.Help()
	}
	c.Args = cobra.ArbitraryArgs
	c.AddCommand(newLogicCheck(), newLogicDraw())
	return c
}

// loadLogic reads a table, and what it is based on.
func loadLogic(typed string) (*logic.Drawing, string, error) {
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	name := scenarios.FullName(scenarios.LogicKind, typed)
	table, err := l.LoadLogic(name)
	if err != nil {
		return nil, "", err
	}
	base, err := l.LoadLogicBase(name)
	if err != nil || base == nil {
		return &logic.Drawing{Table: table}, "", err
	}
	return &logic.Drawing{
		Table: table, Base: base.Table, DoorRenamed: base.Door, LockRenamed: base.Lock,
		Notes: scenarios.TuningChanges(&base.Table.Tuning, &table.Tuning),
	}, base.Name, nil
}

func newLogicCheck() *cobra.Command {
	c := command(cobra.Command{Use: "check FILE", Args: exactlyOne(argLogic), ValidArgsFunction: completeFile(scenarios.LogicKind)}, helpLogicCheck)
	c.RunE = func(c *cobra.Command, args []string) error {
		d, base, err := loadLogic(args[0])
		if err != nil {
			return err
		}
		s := &sheet{pen: newPen(c.OutOrStdout())}
		s.hanging(0, 2, logicSound(d.Table))
		for _, l := range logicSize(d.Table) {
			s.hanging(2, 4, l)
		}
		if base != "" {
			for _, l := range logicChanges(base, d.Notes, d.Counts("door"), d.Counts("lock")) {
				s.hanging(2, 4, l)
			}
		}
		broken := rules.Check(d.Table)
		s.wrapped(2, plain, logicRules(len(broken)))
		for _, f := range broken {
			s.hanging(4, 6, f.String())
		}
		if _, err = fmt.Fprint(c.OutOrStdout(), s.text.String()); err == nil && len(broken) > 0 {
			err = errViolated
		}
		return err
	}
	return c
}

func newLogicDraw() *cobra.Command {
	var to, machine string
	c := command(cobra.Command{Use: "draw FILE", Args: exactlyOne(argLogic), ValidArgsFunction: completeFile(scenarios.LogicKind)}, helpLogicDraw)
	c.Flags().StringVarP(&to, "out", "o", "", flagOut)
	c.Flags().StringVar(&machine, "machine", "", flagMachine)
	completeFlag(c, "out", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return []string{"svg", "md", "mmd"}, cobra.ShellCompDirectiveFilterFileExt
	})
	completeFlag(c, "machine", cobra.FixedCompletions(machineWords, cobra.ShellCompDirectiveNoFileComp))
	c.RunE = func(c *cobra.Command, args []string) error {
		switch {
		case machine != "" && !slices.Contains(machineWords, machine):
			return unknownWord("machine", machine, machineWords)
		case machine == "" && filepath.Ext(to) == ".mmd":
			return twoMachines(to)
		case to != "" && !slices.Contains(drawEndings, filepath.Ext(to)):
			return wrongEnding("--out", to, ".svg, .md or .mmd")
		}
		d, _, err := loadLogic(args[0])
		if err != nil {
			return err
		}
		text := ""
		switch {
		case filepath.Ext(to) == ".svg":
			text = d.SVG(machine)
		case machine != "":
			text = d.Mermaid(machine)
		default:
			text = logic.Markdown(d)
		}
		if to != "" {
			return notWritten(writeWhole(to, text))
		}
		_, err = fmt.Fprint(c.OutOrStdout(), text)
		return err
	}
	return c
}

// drawEndings are those of the files that can be drawn.
var drawEndings = []string{".svg", ".md", ".mmd"}

var machineWords = []string{"door", "lock"}

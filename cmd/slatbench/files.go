package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"slatbench/scenarios"
	"slatbench/sim/logic"
	"slatbench/sim/wholefile"
)

// newShow prints a shipped file.
func newShow() *cobra.Command {
	c := command(cobra.Command{Use: "show NAME", Args: exactlyOne(argShipped)}, helpShow)
	c.ValidArgsFunction = func(_ *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		var list []string
		for _, kind := range scenarios.FileKinds {
			if len(args) == 0 {
				list = append(list, shippedMatches(kind, typed)...)
			}
		}
		return list, cobra.ShellCompDirectiveNoFileComp
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		name, ok := shippedFile(args[0])
		if !ok {
			return noShippedFile(args[0])
		}
		data, err := fs.ReadFile(scenarios.Shipped(), name)
		if err != nil {
			return err
		}
		_, err = c.OutOrStdout().Write(data)
		return err
	}
	return c
}

// shippedFile finds a shipped file by its full or its short name.
func shippedFile(typed string) (name string, ok bool) {
	typed = strings.TrimPrefix(typed, "shipped:")
	for _, name := range scenarios.AllShipped() {
		if typed == name || typed+".yaml" == name || !strings.Contains(typed, "/") && scenarios.ShortName(typed) == scenarios.ShortName(name) {
			return name, true
		}
	}
	return "", false
}

// newSchema prints a JSON Schema.
func newSchema() *cobra.Command {
	var words []string
	for _, k := range scenarios.FileKinds {
		words = append(words, string(k))
	}
	c := command(cobra.Command{Use: "schema " + strings.Join(words, "|"), Args: exactlyOne(argKind), ValidArgs: words}, helpSchema)
	c.RunE = func(c *cobra.Command, args []string) error {
		if !slices.Contains(words, args[0]) {
			return unknownWord("kind of file", args[0], words)
		}
		schema, err := scenarios.SchemaOf(scenarios.FileKind(args[0]))
		if err != nil {
			return err
		}
		text, err := json.MarshalIndent(schema, "", "  ")
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(c.OutOrStdout(), "%s\n", text)
		return err
	}
	return c
}

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

func loadLogic(typed string) (*logic.Table, error) {
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	return l.LoadLogic(scenarios.FullName(scenarios.LogicKind, typed))
}

func newLogicCheck() *cobra.Command {
	c := command(cobra.Command{Use: "check FILE", Args: exactlyOne(argLogic), ValidArgsFunction: completeFile(scenarios.LogicKind)}, helpLogicCheck)
	c.RunE = func(c *cobra.Command, args []string) error {
		table, err := loadLogic(args[0])
		if err != nil {
			return err
		}
		_, err = fmt.Fprintln(c.OutOrStdout(), logicSound(table))
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
		return []string{"md", "mmd"}, cobra.ShellCompDirectiveFilterFileExt
	})
	completeFlag(c, "machine", cobra.FixedCompletions(machineWords, cobra.ShellCompDirectiveNoFileComp))
	c.RunE = func(c *cobra.Command, args []string) error {
		switch {
		case machine != "" && !slices.Contains(machineWords, machine):
			return unknownWord("machine", machine, machineWords)
		case machine == "" && filepath.Ext(to) == ".mmd":
			return twoMachines(to)
		}
		table, err := loadLogic(args[0])
		if err != nil {
			return err
		}
		text := drawing(table, machine)
		if to != "" {
			return notWritten(writeWhole(to, text))
		}
		_, err = fmt.Fprint(c.OutOrStdout(), text)
		return err
	}
	return c
}

func writeWhole(name, text string) error {
	f, err := wholefile.Create(name)
	if err != nil {
		return err
	}
	defer f.Discard()
	if _, err := f.Write([]byte(text)); err != nil {
		return err
	}
	return f.Commit()
}

var machineWords = []string{"door", "lock"}

// drawing is one machine as a bare diagram, or both in a Markdown text.
func drawing(t *logic.Table, machine string) string {
	switch machine {
	case "door":
		return t.Door.Mermaid()
	case "lock":
		return t.Lock.Mermaid()
	}
	return logic.Mermaid(t)
}

// newVersion prints what was built, and from which state of the source.
func newVersion() *cobra.Command {
	c := command(cobra.Command{Use: "version", Args: atMost(0)}, helpVersion)
	c.RunE = func(c *cobra.Command, _ []string) error {
		revision := ""
		if info, ok := debug.ReadBuildInfo(); ok {
			for _, s := range info.Settings {
				if s.Key == "vcs.revision" {
					revision = s.Value
				}
			}
		}
		_, err := fmt.Fprintln(c.OutOrStdout(), versionText(version(), revision, runtime.Version(), runtime.GOOS+"/"+runtime.GOARCH))
		return err
	}
	return c
}

// version of the program, where it was built from a tagged source.
func version() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		return info.Main.Version
	}
	return "development"
}

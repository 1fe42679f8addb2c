package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"slatbench/scenarios"
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
	if info, err := fs.Stat(scenarios.Shipped(), typed); err == nil && !info.IsDir() { // a list, such as sizing/springs.csv
		return typed, true
	}
	return "", false
}

// newSchema prints a JSON Schema.
func newSchema() *cobra.Command {
	var words []string
	for _, k := range scenarios.FileKinds {
		words = append(words, string(k))
	}
	c := command(cobra.Command{Use: "schema KIND", Args: exactlyOne(argKind), ValidArgs: words}, helpSchema)
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

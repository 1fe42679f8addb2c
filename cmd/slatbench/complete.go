package main

import (
	"strings"

	"github.com/spf13/cobra"

	"slatbench/scenarios"
)

// completeFile offers the shipped files of some kinds, by the names that are typed
// most, and files on disk.
func completeFile(kinds ...scenarios.FileKind) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 && typed == "" {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		var list []string
		for _, kind := range kinds {
			list = append(list, shippedMatches(kind, typed)...)
		}
		return list, cobra.ShellCompDirectiveDefault
	}
}

func shippedMatches(kind scenarios.FileKind, typed string) []string {
	var list []string
	for _, name := range scenarios.ShippedNames(kind) {
		if short := scenarios.ShortName(name); strings.HasPrefix(short, typed) {
			list = append(list, short)
		} else if strings.HasPrefix(name, typed) {
			list = append(list, name)
		}
	}
	return list
}

func completeFlag(c *cobra.Command, flag string, f cobra.CompletionFunc) {
	if err := c.RegisterFlagCompletionFunc(flag, f); err != nil {
		panic("slatbench: " + err.Error())
	}
}

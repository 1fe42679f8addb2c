package main

import (
	"errors"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"slatbench/sim/campaign/keep"
)

// newCampaignExport writes the runs of a file in somebody else's format.
func newCampaignExport() *cobra.Command {
	var db, to string
	c := command(cobra.Command{Use: "export", Args: atMost(0)}, helpCampaignExport)
	c.Flags().StringVar(&db, "db", "", flagExportDB)
	c.Flags().StringVarP(&to, "out", "o", "", flagExportOut)
	c.Flags().SortFlags = false
	completeFlag(c, "out", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return []string{"csv", "parquet"}, cobra.ShellCompDirectiveFilterFileExt
	})
	c.RunE = func(c *cobra.Command, _ []string) error {
		switch {
		case db == "":
			return missingFlag(c.CommandPath(), "--db")
		case to == "":
			return missingFlag(c.CommandPath(), "--out")
		case !slices.Contains(keep.Endings, strings.ToLower(filepath.Ext(to))):
			return wrongEnding("--out", to, strings.Join(keep.Endings, " or "))
		case sameFile(db, to):
			return twice("--db", "--out")
		}
		return exportRuns(db, to)
	}
	return c
}

func exportRuns(db, to string) error {
	file, err := keep.OpenToRead(db)
	if err != nil {
		return wrong{err.Error(), ""}
	}
	defer file.Close()
	if file.Runs() == 0 {
		return noRuns(db)
	}
	out, err := begin(to)
	if err != nil {
		return err
	}
	defer out.discard()
	return errors.Join(out.finish(func(w io.Writer) error { return file.Export(w, to) }), file.Close())
}

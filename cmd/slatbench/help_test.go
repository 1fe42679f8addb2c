package main

import (
	"bytes"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// TestHelpFits renders the help of every command: nothing is wider than a terminal, and
// nothing is left out of it.
func TestHelpFits(t *testing.T) {
	var each func(c *cobra.Command, args []string)
	each = func(c *cobra.Command, args []string) {
		var out, errs bytes.Buffer
		if code := run(append(args, "--help"), nil, &out, &errs); code != exitHolds {
			t.Fatalf("slatbench %s --help: exit code %d: %s", strings.Join(args, " "), code, errs.String())
		}
		text := out.String()
		for l := range strings.SplitSeq(text, "\n") {
			if w := runewidth.StringWidth(l); w > lineWidth {
				t.Errorf("slatbench %s --help: %d columns: %s", strings.Join(args, " "), w, l)
			}
			if strings.TrimRight(l, " ") != l {
				t.Errorf("slatbench %s --help: a line ends in spaces: %q", strings.Join(args, " "), l)
			}
		}
		words := strings.Join(strings.Fields(strings.ReplaceAll(text, "\\\n", "")), " ")
		wants := func(said string) {
			if !strings.Contains(words, strings.Join(strings.Fields(said), " ")) {
				t.Errorf("slatbench %s --help does not say %q:\n%s", strings.Join(args, " "), said, text)
			}
		}
		wants(c.Long)
		wants(c.Example)
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if !f.Hidden {
				value, usage := pflag.UnquoteUsage(f)
				wants("--" + f.Name + " " + value)
				wants(usage)
			}
		})
		for _, sub := range c.Commands() {
			if sub.IsAvailableCommand() {
				wants(sub.Name() + " " + sub.Short)
				each(sub, append(args[:len(args):len(args)], sub.Name()))
			}
		}
	}
	root := newRoot()
	root.InitDefaultCompletionCmd()
	each(root, nil)
}

// TestHelpColumns holds the means of flags to one column, whatever their values are
// written in.
func TestHelpColumns(t *testing.T) {
	var s sheet
	var only []string
	f := pflag.NewFlagSet("", pflag.ContinueOnError)
	f.StringSliceVar(&only, "only", nil, "draw these only: `KIND,…`")
	f.Int("runs", 3, "play `N` runs, those from the first one on up to the last one that is to be played")
	s.flags(f)
	want := `      --only KIND,…  draw these only: KIND,…
      --runs N       play N runs, those from the first one on up to the last one
                     that is to be played (default 3)
`
	if got := s.text.String(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

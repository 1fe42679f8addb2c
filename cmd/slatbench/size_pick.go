package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"slices"
	"strconv"

	"github.com/spf13/cobra"

	"slatbench/scenarios"
	"slatbench/sim/sizing"
)

// pickFlags is what the command line asks of a choice.
type pickFlags struct {
	sizeFlags
	list       string
	convention string
	by         string
	alone      bool
	top        int
}

func newSizePick() *cobra.Command {
	var f pickFlags
	c := command(cobra.Command{Use: "pick [FILE]", ValidArgsFunction: completeFile(scenarios.SizeKind), Args: atMost(1)}, helpSizePick)
	flags := c.Flags()
	flags.StringVar(&f.list, "springs", scenarios.DefaultSprings, flagSprings)
	flags.StringVar(&f.convention, "convention", "textbook", flagConvention)
	flags.StringVar(&f.by, "by", sizing.OrderWords[0], flagBy)
	flags.BoolVar(&f.alone, "single", false, flagSingle)
	flags.IntVar(&f.top, "top", 15, flagTop)
	f.question(c)
	flags.SortFlags = false
	completeFlag(c, "by", cobra.FixedCompletions(sizing.OrderWords, cobra.ShellCompDirectiveNoFileComp))
	completeFlag(c, "convention", cobra.FixedCompletions(conventions, cobra.ShellCompDirectiveNoFileComp))
	completeFlag(c, "top", cobra.NoFileCompletions)
	completeFlag(c, "springs", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return []string{"csv"}, cobra.ShellCompDirectiveFilterFileExt
	})
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := f.arguments(c, args); err != nil {
			return err
		}
		if f.top < 1 || f.top > 10000 {
			return badValue("top", strconv.Itoa(f.top))
		}
		return f.pick(c.OutOrStdout(), c.ErrOrStderr())
	}
	return c
}

var conventions = []string{"textbook", "rate book"}

// picked is a ranking with what it was asked for.
type picked struct {
	file   *scenarios.SizeFile
	result *sizing.Picked
	list   string
	by     string
	top    int
	replay string
}

// pick ranks a list.
func (f *pickFlags) pick(out, errs io.Writer) error {
	by := slices.Index(sizing.OrderWords, f.by)
	if by < 0 {
		return unknownWord("order", f.by, sizing.OrderWords)
	}
	if !slices.Contains(conventions, f.convention) {
		return unknownWord("convention", f.convention, conventions)
	}
	if len(f.springs) > 0 || f.parts[5] != "" {
		return notForPick()
	}
	file, err := f.load()
	if err != nil {
		return err
	}
	list, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).LoadSprings(f.list, f.convention)
	if err != nil {
		return err
	}
	ctx, release := signal.NotifyContext(context.Background(), os.Interrupt)
	defer release()
	p := newSizeProgress(errs, sizing.Candidates(len(list), !f.alone))
	defer p.close()
	result, err := sizing.Pick(ctx, file.Question(), list, sizing.PickOptions{Pairs: !f.alone, By: sizing.Order(by), Workers: f.workers, Done: p.done})
	if err != nil {
		return told(err)
	}
	p.close()
	done := &picked{file: file, result: result, list: f.list, by: f.by, top: f.top, replay: f.again()}
	if f.asJSON {
		return done.writeJSON(out)
	}
	return done.writeText(out)
}

func (f *pickFlags) again() string {
	text := f.replay("size pick") + " --springs " + shellWord(f.list)
	if f.convention != conventions[0] {
		text += " --convention " + shellWord(f.convention)
	}
	if f.by != sizing.OrderWords[0] {
		text += " --by " + f.by
	}
	if f.alone {
		text += " --single"
	}
	return text
}

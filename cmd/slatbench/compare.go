package main

import (
	"context"
	"errors"
	"io"
	"os"
	"os/signal"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"slatbench/scenarios"
	"slatbench/sim/campaign"
	"slatbench/sim/compare"
)

// compareFlags is what the command line asks of a comparison.
type compareFlags struct {
	old, new string
	runs     uint64
	seed     uint64
	faults   int
	only     []string
	truck    string
	workers  int
	record   bool
	outputs  []string
	allow    string
	examples string
	page     string
	asJSON   bool
	index    uint64
	alone    bool // index was given
}

// compareRuns are played where no number is asked for, with mostFaults in each at most.
const (
	compareRuns = 1000
	mostFaults  = 1
)

func newCompare() *cobra.Command {
	var f compareFlags
	c := command(cobra.Command{Use: "compare OLD NEW", Args: exactlyTwo(argOldNew), ValidArgsFunction: completeFiles(scenarios.LogicKind, 2)}, helpCompare)
	flags := c.Flags()
	flags.Uint64Var(&f.runs, "runs", compareRuns, flagCompareRuns)
	flags.Uint64Var(&f.seed, "seed", 1, flagCampaignSeed)
	flags.IntVar(&f.faults, "faults", mostFaults, flagFaults)
	flags.StringSliceVar(&f.only, "only", nil, flagOnly)
	flags.StringVar(&f.truck, "truck", scenarios.ShortName(scenarios.DefaultTruck), flagCampaignTruck)
	flags.IntVar(&f.workers, "workers", runtime.GOMAXPROCS(0), flagWorkers)
	flags.StringSliceVar(&f.outputs, "outputs", nil, flagOutputs)
	flags.BoolVar(&f.record, "record", false, flagCompareRecord)
	flags.StringVar(&f.allow, "allow", "", flagAllow)
	flags.StringVar(&f.examples, "examples", "", flagCompareExamples)
	flags.StringVar(&f.page, "report", "", flagCompareReport)
	flags.BoolVar(&f.asJSON, "json", false, flagJSON)
	flags.Uint64Var(&f.index, "index", 0, flagCompareIndex)
	flags.SortFlags = false
	completeFlag(c, "truck", completeFile(scenarios.TruckKind))
	completeFlag(c, "outputs", cobra.FixedCompletions(compare.KindNames[:], cobra.ShellCompDirectiveNoFileComp))
	completeFlag(c, "only", cobra.FixedCompletions(faultKinds(), cobra.ShellCompDirectiveNoFileComp))
	completeFlag(c, "faults", cobra.FixedCompletions([]string{"0", "1", "2"}, cobra.ShellCompDirectiveNoFileComp))
	for _, name := range []string{"runs", "seed", "workers", "index"} {
		completeFlag(c, name, cobra.NoFileCompletions)
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		f.old, f.new, f.alone = args[0], args[1], flags.Changed("index")
		return f.compare(c.OutOrStdout(), c.ErrOrStderr())
	}
	return c
}

// exactlyTwo is two arguments.
func exactlyTwo(what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) < 2 {
			return missingArgument(c.CommandPath(), what)
		}
		return atMost(2)(c, args)
	}
}

// completeFiles completes so many files of a kind.
func completeFiles(kind scenarios.FileKind, n int) func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return func(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		if len(args) >= n {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return completeFile(kind)(c, nil, typed)
	}
}

// comparison is one on its way.
type comparison struct {
	flags       *compareFlags
	truck       *scenarios.TruckFile
	old, new    *scenarios.UnderTest
	allowed     *allowFile
	pair        compare.Pair
	tally       *compare.Tally
	interrupted bool

	classes []*comparedClass
	absent  []*allowedClass // allowed, and did not occur
}

// compare plays the runs and reports.
func (f *compareFlags) compare(out, errs io.Writer) error {
	if err := f.check(); err != nil {
		return err
	}
	w := &comparison{flags: f, tally: compare.NewTally()}
	defer w.close()
	if err := w.load(); err != nil {
		return err
	}
	if err := makeFolder(f.examples); err != nil {
		return err
	}
	page, err := begin(f.page)
	if err != nil {
		return err
	}
	defer page.discard()
	if !f.asJSON {
		if err := w.head(out); err != nil {
			return err
		}
	}
	if err := w.play(errs); err != nil {
		return err
	}
	if err := w.judge(errs); err != nil {
		return err
	}
	if err := page.finish(w.writePage); err != nil {
		return err
	}
	if err := w.report(out); err != nil {
		return err
	}
	switch {
	case w.differs():
		return errViolated
	case w.interrupted:
		return compareInterrupted(w.tally.Runs)
	case w.tally.Failed > 0:
		return notPlayed(w.tally.Failed, w.tally.Error, w.one(w.tally.First))
	}
	return nil
}

// check refuses what can be refused before any file is opened.
func (f *compareFlags) check() error {
	switch {
	case f.runs == 0 || f.runs > mostRuns:
		return badValue("runs", strconv.FormatUint(f.runs, 10))
	case f.faults < 0 || f.faults > 2:
		return badCount("faults", f.faults)
	case f.workers < 1 || f.workers > mostWorkers:
		return badCount("workers", f.workers)
	}
	for i := range f.outputs {
		f.outputs[i] = strings.ReplaceAll(f.outputs[i], "-", " ") // as an ID has it
	}
	if _, unknown := compare.KindsOf(f.outputs); unknown != "" {
		return unknownWord("output", unknown, compare.KindNames[:])
	}
	var err error
	if f.only, err = kindsAsked(f.only, f.faults); err != nil {
		return err
	}
	return wantEnding("--report", f.page, ".html")
}

func (w *comparison) load() error {
	f := w.flags
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	var err error
	if w.truck, err = l.LoadTruck(w.truckName()); err != nil {
		return namedBy("--truck", err)
	}
	if w.old, err = l.LoadUnderTest(scenarios.FullName(scenarios.LogicKind, f.old)); err != nil {
		return err
	}
	if w.new, err = l.LoadUnderTest(scenarios.FullName(scenarios.LogicKind, f.new)); err != nil {
		return err
	}
	if w.allowed, err = loadAllowed(f.allow); err != nil {
		return namedBy("--allow", err)
	}
	plan := &campaign.Plan{Truck: w.truck.Params(), Faults: f.faults, Only: f.only, Seed: f.seed}
	if err := plan.Check(); err != nil {
		return wrong{err.Error(), ""}
	}
	w.pair = compare.Pair{Plan: plan, Old: w.old.Plan(plan), New: w.new.Plan(plan), Record: f.record || slices.Contains(f.outputs, "record")}
	w.pair.Outputs, _ = compare.KindsOf(f.outputs)
	if f.record && w.pair.Outputs != 0 {
		return wrongTogether("--record", "--outputs")
	}
	return nil
}

func (w *comparison) truckName() string {
	return scenarios.FullName(scenarios.TruckKind, w.flags.truck)
}

func (w *comparison) close() {
	for _, u := range []*scenarios.UnderTest{w.old, w.new} {
		if u != nil {
			u.Close()
		}
	}
}

// play plays the runs.
func (w *comparison) play(errs io.Writer) error {
	ctx, release := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer release()
	context.AfterFunc(ctx, release) // so that asking again ends it at once
	from, to := uint64(0), w.flags.runs
	if w.flags.alone {
		from, to = w.flags.index, w.flags.index+1
	}
	p := newCampaignProgress(errs, from, to, 0)
	p.words = compareProgressText
	defer p.close()
	err := compare.Play(ctx, &w.pair, from, to, w.flags.workers, func(r *compare.Run) error {
		w.tally.Add(r)
		p.show(w.tally.Differ)
		return nil
	})
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		w.interrupted, err = true, nil
	}
	return err
}

// differs tells that there is a class which is not allowed.
func (w *comparison) differs() bool {
	for _, c := range w.classes {
		if !c.accepted() {
			return true
		}
	}
	return false
}

// again is the command that compares the same again; more follows it.
func (w *comparison) again(more ...string) string {
	f := w.flags
	words := []string{"slatbench", "compare", f.old, f.new, "--seed", strconv.FormatUint(f.seed, 10)}
	if f.faults != mostFaults {
		words = append(words, "--faults", strconv.Itoa(f.faults))
	}
	if len(f.only) > 0 {
		words = append(words, "--only", strings.Join(f.only, ","))
	}
	if w.truckName() != scenarios.DefaultTruck {
		words = append(words, "--truck", f.truck)
	}
	if len(f.outputs) > 0 {
		words = append(words, "--outputs", strings.ReplaceAll(strings.Join(f.outputs, ","), " ", "-"))
	}
	if f.record {
		words = append(words, "--record")
	}
	words = append(words, more...)
	for i := range words {
		words[i] = shellWord(words[i])
	}
	return strings.Join(words, " ")
}

// one is the command that compares a single run.
func (w *comparison) one(index uint64) string {
	return w.again("--index", strconv.FormatUint(index, 10))
}

// all is the command that compares all runs.
func (w *comparison) all() string {
	if w.flags.alone {
		return w.one(w.flags.index)
	}
	more := []string{"--runs", strconv.FormatUint(w.flags.runs, 10)}
	if w.flags.allow != "" {
		more = append(more, "--allow", w.flags.allow)
	}
	return w.again(more...)
}

package main

import (
	"context"
	"errors"
	"io"
	"math"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"slatbench/scenarios"
	"slatbench/sim/campaign"
	"slatbench/sim/campaign/keep"
	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// campaignFlags is what the command line asks of a campaign.
type campaignFlags struct {
	runs     uint64
	counted  bool // runs was given
	span     string
	limit    time.Duration // span, read; 0: none
	seed     uint64
	faults   int
	only     []string
	logic    string
	truck    string
	workers  int
	db       string
	junit    string
	page     string
	examples string // folder for counterexamples
	asJSON   bool
	index    uint64
	alone    bool // index was given

	search          bool
	searchRuns      int // guided runs at most for a requirement
	searchRunsGiven bool
	searchFor       []string // requirements; nil: all that no run has violated
}

// defaultRuns are played where neither a number nor a time is asked for.
const defaultRuns = 10_000

// mostRuns is as many as a file can number.
const mostRuns = math.MaxInt64

func newCampaign() *cobra.Command {
	var f campaignFlags
	c := command(cobra.Command{Use: "campaign", Args: cobra.ArbitraryArgs}, helpCampaign)
	flags := c.Flags()
	flags.Uint64Var(&f.runs, "runs", defaultRuns, flagRuns)
	flags.StringVar(&f.span, "time", "", flagTime)
	flags.Uint64Var(&f.seed, "seed", 1, flagCampaignSeed)
	flags.IntVar(&f.faults, "faults", 1, flagFaults)
	flags.StringSliceVar(&f.only, "only", nil, flagOnly)
	flags.StringVar(&f.logic, "logic", scenarios.ShortName(scenarios.BaselineLogic), flagCampaignLogic)
	flags.StringVar(&f.truck, "truck", scenarios.ShortName(scenarios.DefaultTruck), flagCampaignTruck)
	flags.IntVar(&f.workers, "workers", runtime.GOMAXPROCS(0), flagWorkers)
	flags.StringVar(&f.db, "db", "", flagDB)
	flags.StringVar(&f.junit, "junit", "", flagJUnit)
	flags.StringVar(&f.page, "report", "", flagCampaignReport)
	flags.StringVar(&f.examples, "counterexamples", "", flagExamples)
	flags.BoolVar(&f.asJSON, "json", false, flagJSON)
	flags.BoolVar(&f.search, "search", false, flagSearch)
	flags.IntVar(&f.searchRuns, "search-runs", defaultSearchRuns, flagSearchRuns)
	flags.StringSliceVar(&f.searchFor, "search-for", nil, flagSearchFor)
	flags.Uint64Var(&f.index, "index", 0, flagIndex)
	flags.SortFlags = false
	completeFlag(c, "logic", completeFile(scenarios.LogicKind))
	completeFlag(c, "truck", completeFile(scenarios.TruckKind))
	completeFlag(c, "only", cobra.FixedCompletions(faultKinds(), cobra.ShellCompDirectiveNoFileComp))
	completeFlag(c, "faults", cobra.FixedCompletions([]string{"0", "1", "2"}, cobra.ShellCompDirectiveNoFileComp))
	completeFlag(c, "search-for", cobra.FixedCompletions(require.IDs[:], cobra.ShellCompDirectiveNoFileComp))
	for _, name := range []string{"runs", "time", "seed", "workers", "index", "search-runs"} {
		completeFlag(c, name, cobra.NoFileCompletions)
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		if len(args) > 0 {
			return notACampaignArgument(args[0])
		}
		f.searchRunsGiven = flags.Changed("search-runs")
		f.counted, f.alone = flags.Changed("runs"), flags.Changed("index")
		return f.campaign(c.OutOrStdout(), c.ErrOrStderr())
	}
	c.AddCommand(newCampaignExport())
	return c
}

// faultKinds are the kinds that can be drawn.
func faultKinds() (list []string) {
	for _, k := range fault.Kinds() {
		if !k.Event {
			list = append(list, k.Name)
		}
	}
	return list
}

// campaign plays the runs and reports.
func (f *campaignFlags) campaign(out, errs io.Writer) error {
	if err := f.check(); err != nil {
		return err
	}
	w, err := f.load()
	if err != nil {
		return err
	}
	defer w.under.Close()
	if f.alone {
		return w.one(f.index, out)
	}
	ctx, release := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer release()
	context.AfterFunc(ctx, release) // so that asking again ends it at once
	outputs, err := f.begin()
	if err != nil {
		return err
	}
	defer outputs.discard()
	file, err := w.open(f.db)
	if err != nil {
		return err
	}
	if file != nil {
		defer file.Close()
	}
	if err := w.restore(file); err != nil {
		return err
	}
	if !f.asJSON {
		if err := w.head(out, file); err != nil {
			return err
		}
	}
	if err := w.play(ctx, file, errs); err != nil {
		return err
	}
	if err := w.seek(ctx, errs); err != nil {
		return err
	}
	return w.finish(ctx, outputs, out, errs)
}

// kindsAsked are the kinds of fault that were asked for, each once and in the order of the
// list, so that one campaign has one command; nil: all. None can be asked for where no
// faults are drawn.
func kindsAsked(only []string, faults int) ([]string, error) {
	if only == nil {
		return nil, nil
	}
	known := faultKinds()
	for _, kind := range only {
		if k, ok := fault.Find(kind); !ok {
			return nil, unknownWord("kind of fault", kind, known)
		} else if k.Event {
			return nil, notDrawn(kind)
		}
	}
	if faults == 0 {
		return nil, wrongTogether("--only", "--faults 0")
	}
	return slices.DeleteFunc(known, func(kind string) bool { return !slices.Contains(only, kind) }), nil
}

// withIndex is a flag that was given and says nothing of a single run, or "".
func (f *campaignFlags) withIndex() string {
	for _, flag := range []struct {
		name  string
		given bool
	}{{"--time", f.span != ""}, {"--db", f.db != ""}, {"--junit", f.junit != ""}, {"--report", f.page != ""},
		{"--counterexamples", f.examples != ""}, {"--json", f.asJSON}, {"--search", f.search}} {
		if flag.given {
			return flag.name
		}
	}
	return ""
}

// check refuses what can be refused before any file is opened.
func (f *campaignFlags) check() error {
	switch {
	case f.runs == 0 || f.runs > mostRuns:
		return badValue("runs", strconv.FormatUint(f.runs, 10))
	case f.faults < 0 || f.faults > 2:
		return badCount("faults", f.faults)
	case f.workers < 1 || f.workers > 1024:
		return badCount("workers", f.workers)
	case f.alone && f.withIndex() != "":
		return wrongTogether("--index", f.withIndex())
	case sameFile(f.db, f.junit):
		return twice("--db", "--junit")
	case sameFile(f.db, f.page):
		return twice("--db", "--report")
	}
	if err := f.checkSearch(); err != nil {
		return err
	}
	var err error
	if f.only, err = kindsAsked(f.only, f.faults); err != nil {
		return err
	}
	if f.span != "" {
		seconds, err := scenarios.ParseQuantity(f.span, "time")
		if d, ok := goDuration(f.span); ok {
			seconds, err = d, nil
		}
		if err != nil || seconds <= 0 || seconds > 1e9 {
			return badValue("time", f.span)
		}
		f.limit = time.Duration(seconds * float64(time.Second))
		if !f.counted {
			f.runs = mostRuns
		}
	}
	return errors.Join(wantEnding("--report", f.page, ".html"), wantEnding("--junit", f.junit, ".xml"))
}

// goDuration reads 90s or 1h30m, which people type out of habit.
func goDuration(text string) (seconds float64, ok bool) {
	d, err := time.ParseDuration(text)
	return d.Seconds(), err == nil
}

// campaignOutputs are the files that were asked for.
type campaignOutputs struct{ junit, page asked }

func (f *campaignFlags) begin() (o campaignOutputs, err error) {
	if err := makeFolder(f.examples); err != nil {
		return o, err
	}
	if o.junit, err = begin(f.junit); err != nil {
		return o, err
	}
	if o.page, err = begin(f.page); err != nil {
		o.junit.discard()
	}
	return o, err
}

// sameFile tells that two names that were given are those of one file.
func sameFile(a, b string) bool {
	if a == "" || b == "" {
		return false
	}
	if filepath.Clean(a) == filepath.Clean(b) {
		return true
	}
	x, err := os.Stat(a)
	y, err2 := os.Stat(b)
	return err == nil && err2 == nil && os.SameFile(x, y)
}

// makeFolder makes a folder that is not there yet: what can't be made, or not be written
// into, is better known before the work than after it.
func makeFolder(name string) error {
	if name == "" {
		return nil
	}
	if err := os.MkdirAll(name, 0o777); err != nil {
		return noFolder(name, err)
	}
	probe, err := os.CreateTemp(name, ".slatbench-*")
	if err != nil {
		return notIntoFolder(name, err)
	}
	probe.Close()
	return os.Remove(probe.Name())
}

func (o *campaignOutputs) discard() {
	o.junit.discard()
	o.page.discard()
}

// errTimeUp ends a campaign whose time is over: an end like any other.
var errTimeUp = errors.New("time is up")

// play plays what the file does not hold yet.
func (w *work) play(ctx context.Context, file *keep.File, errs io.Writer) (err error) {
	from := w.kept
	if from >= w.flags.runs {
		return nil
	}
	if w.flags.limit > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeoutCause(ctx, w.flags.limit, errTimeUp)
		defer cancel()
	}
	p := newCampaignProgress(errs, from, w.flags.runs, w.flags.limit)
	p.violations = w.tally.violations()
	defer p.close()
	err = campaign.Run(ctx, &w.plan, w.controllers, from, w.flags.runs, w.flags.workers, func(c *campaign.Case, o campaign.Outcome) error {
		if file != nil {
			if err := file.Add(c, &o); err != nil {
				return err
			}
		}
		p.show(w.tally.add(c, o))
		return nil
	})
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		w.interrupted = !errors.Is(context.Cause(ctx), errTimeUp)
		err = nil
	}
	if file == nil {
		return err
	}
	if err == nil {
		err = file.Flush()
	}
	if err != nil {
		return notKept(err, file.Runs())
	}
	return nil
}

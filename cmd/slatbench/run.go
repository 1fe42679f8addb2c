package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"sync/atomic"
	"syscall"

	"github.com/spf13/cobra"

	"slatbench/cmd/slatbench/report"
	"slatbench/scenarios"
	"slatbench/sim/trace"
	"slatbench/sim/wholefile"
)

// runFlags is what the command line asks of a run.
type runFlags struct {
	scenario string // as typed; "" is the demo
	asJSON   bool
	quiet    bool
	trace    string
	every    uint32 // ticks a sample of the trace
	page     string // report file
	set      []string
	seed     uint64
	seeded   bool
	logic    string
	truck    string
}

func newRun() *cobra.Command {
	var f runFlags
	c := command(cobra.Command{Use: "run [SCENARIO]", Args: atMost(1), ValidArgsFunction: completeFile(scenarios.ScenarioKind, scenarios.StandardKind)}, helpRun)
	flags := c.Flags()
	flags.BoolVar(&f.asJSON, "json", false, flagJSON)
	flags.BoolVarP(&f.quiet, "quiet", "q", false, flagQuiet)
	flags.StringVar(&f.trace, "trace", "", flagTrace)
	flags.Uint32Var(&f.every, "every", 1, flagEvery)
	flags.StringVar(&f.page, "report", "", flagReport)
	flags.StringArrayVar(&f.set, "set", nil, flagSet)
	flags.Uint64Var(&f.seed, "seed", 0, flagSeed)
	flags.StringVar(&f.logic, "logic", "", flagLogic)
	flags.StringVar(&f.truck, "truck", "", flagTruck)
	flags.SortFlags = false
	completeFlag(c, "trace", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return traceEndings(), cobra.ShellCompDirectiveFilterFileExt
	})
	completeFlag(c, "report", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return []string{"html"}, cobra.ShellCompDirectiveFilterFileExt
	})
	completeFlag(c, "logic", completeFile(scenarios.LogicKind))
	completeFlag(c, "truck", completeFile(scenarios.TruckKind))
	completeFlag(c, "set", cobra.NoFileCompletions)
	completeFlag(c, "seed", cobra.NoFileCompletions)
	completeFlag(c, "every", cobra.NoFileCompletions)
	c.RunE = func(c *cobra.Command, args []string) error {
		if len(args) == 1 {
			f.scenario = args[0]
		}
		f.seeded = c.Flags().Changed("seed")
		return f.run(c.InOrStdin(), c.OutOrStdout(), c.ErrOrStderr())
	}
	return c
}

func traceEndings() []string {
	var list []string
	for _, e := range trace.Endings {
		list = append(list, strings.TrimPrefix(e, "."))
	}
	return list
}

// run judges the scenario and reports.
func (f *runFlags) run(in io.Reader, out, errs io.Writer) error {
	if err := f.check(); err != nil {
		return err
	}
	file, err := f.identify(in)
	if err != nil {
		return err
	}
	if file.kind == scenarios.LessonKind {
		return notRun(f.scenario)
	}
	if file.kind == scenarios.StandardKind {
		return f.runStandard(file, out)
	}
	sc, under, err := f.load(file)
	if err != nil {
		return err
	}
	defer under.Close()
	result, err := f.play(sc, under, errs)
	if err != nil {
		return err
	}
	if err := f.report(sc, result, out, errs); err != nil {
		return err
	}
	switch {
	case result.Violated():
		return errViolated
	case len(result.Silent) > 0:
		return errOnlySilent
	}
	return nil
}

// check refuses what can be refused before any file is opened.
func (f *runFlags) check() error {
	switch {
	case f.asJSON && f.quiet:
		return wrongTogether("--json", "--quiet")
	case f.page != "" && !endsInHTML(f.page):
		return noReport(f.page)
	case f.every == 0:
		return badValue("every", "0")
	case f.every != 1 && f.trace == "":
		return needs("--every", "--trace")
	case f.trace != "":
		if _, err := trace.FormatOf(f.trace); err != nil {
			return wrong{err.Error(), ""}
		}
	}
	return nil
}

// load reads scenario and logic, changed as the flags say.
func (f *runFlags) load(file runFile) (*scenarios.Scenario, *scenarios.UnderTest, error) {
	ofScenario, ofLogic := f.changes()
	sc, err := f.loadScenario(file, &scenarios.Loader{Shipped: scenarios.Shipped(), Set: ofScenario})
	if err != nil {
		return nil, nil, f.namedAsTyped(err)
	}
	if f.seeded {
		sc.Seed = f.seed
	}
	under, err := underTest(f.logic, ofLogic, func(l *scenarios.Loader) (*scenarios.UnderTest, error) {
		return l.LoadUnderTestOf(sc)
	})
	return sc, under, err
}

// changes are what the flags change in the file that is run, and in its logic.
func (f *runFlags) changes() (ofFile, ofLogic []string) {
	if f.truck != "" {
		ofFile = append(ofFile, "truck="+scenarios.FullName(scenarios.TruckKind, f.truck))
	}
	for _, s := range f.set {
		if rest, ok := strings.CutPrefix(s, setLogic); ok {
			ofLogic = append(ofLogic, rest)
		} else {
			ofFile = append(ofFile, s)
		}
	}
	return ofFile, ofLogic
}

func (f *runFlags) loadScenario(file runFile, l *scenarios.Loader) (*scenarios.Scenario, error) {
	if file.text != nil {
		return l.LoadScenarioFrom(bytes.NewReader(file.text), standardInput)
	}
	name := file.name
	if hint := scenarios.HintFor(name, scenarios.ScenarioKind, scenarios.StandardKind); hint != "" && !scenarios.Exists(name) {
		return nil, noScenario(name, hint)
	}
	return l.LoadScenario(name)
}

// setLogic begins a --set path that leads into the logic table.
const setLogic = "logic."

// namedAsTyped lets a problem with --truck stand at the flag, not at the --set
// that it was turned into.
func (f *runFlags) namedAsTyped(err error) error {
	var problems scenarios.Problems
	if f.truck != "" && errors.As(err, &problems) {
		for _, p := range problems {
			if p.Pos.File == "--set truck" {
				p.Pos.File = "--truck"
			}
		}
	}
	return err
}

// namedBy lets a problem that stands nowhere stand at the flag that led to it.
func namedBy(flag string, err error) error {
	var problems scenarios.Problems
	if errors.As(err, &problems) {
		for _, p := range problems {
			if p.Pos.File == "" {
				p.Pos.File = flag
			}
		}
	}
	return err
}

// asTypedLogic gives the paths of --set that lead into the logic their beginning back.
func asTypedLogic(err error) error {
	var problems scenarios.Problems
	if errors.As(err, &problems) {
		for _, p := range problems {
			if rest, ok := strings.CutPrefix(p.Pos.File, "--set "); ok && p.Pos.File != "--set logic" {
				p.Pos.File = "--set " + setLogic + rest
			}
		}
	}
	return err
}

// play runs the bench, with what watches it.
func (f *runFlags) play(sc *scenarios.Scenario, under *scenarios.UnderTest, errs io.Writer) (*scenarios.Result, error) {
	stop, release := interruption()
	defer release()
	o := scenarios.RunOptions{Stopped: stop}
	var recorder *trace.Recorder
	var series *report.Series
	var page *wholefile.File
	if f.page != "" {
		var err error
		if page, err = wholefile.Create(f.page); err != nil {
			return nil, notWritten(err)
		}
		defer page.Discard()
		series = report.NewSeries()
		o.Watch = append(o.Watch, series)
	}
	if f.trace != "" {
		var err error
		if recorder, err = trace.Create(f.trace, trace.About{Scenario: sc.Title(), Version: version(), Every: int(f.every)}); err != nil {
			return nil, notWritten(err)
		}
		defer recorder.Discard()
		o.Watch = append(o.Watch, recorder)
		o.Stopped = func() bool { return stop() || recorder.Err() != nil } // a full disk, say
	}
	if isTerminal(errs) && !f.quiet {
		p := newProgress(errs)
		defer p.Close()
		o.Watch = append(o.Watch, p)
	}
	result, err := scenarios.Run(sc, under, o)
	if recorder != nil && recorder.Err() != nil {
		return nil, notWritten(recorder.Err())
	}
	if errors.Is(err, scenarios.ErrStopped) {
		return nil, wrong{wasInterrupted, ""}
	}
	if err == nil && recorder != nil {
		err = notWritten(recorder.Close())
	}
	if err == nil && page != nil {
		r := report.Run{Scenario: sc, Result: result, Series: series, Version: version(), Replay: f.replay()}
		err = notWritten(writePage(page, r.Write))
	}
	return result, err
}

// interruption turns Ctrl-C into a question that a run asks, so that it ends
// with nothing left behind.
func interruption() (stopped func() bool, release func()) {
	var flag atomic.Bool
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	go func() {
		if _, ok := <-signals; ok {
			flag.Store(true)
		}
	}()
	return flag.Load, func() {
		signal.Stop(signals)
		close(signals)
	}
}

// report prints what came of it.
func (f *runFlags) report(sc *scenarios.Scenario, result *scenarios.Result, out, errs io.Writer) error {
	replay := f.replay()
	switch {
	case f.asJSON:
		text, err := json.MarshalIndent(result, "", "  ")
		if err != nil {
			return err
		}
		if _, err := fmt.Fprintf(out, "%s\n", text); err != nil {
			return err
		}
		if result.Violated() {
			fmt.Fprintln(errs, replayText(replay))
		}
		return nil
	case f.quiet && !result.Violated():
		return nil
	}
	r := sheet{pen: newPen(out), result: result, scenario: sc, replay: replay}
	if f.quiet {
		r.brief()
	} else {
		r.whole()
	}
	_, err := io.WriteString(out, r.text.String())
	return err
}

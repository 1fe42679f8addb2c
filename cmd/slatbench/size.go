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
	"sync"
	"sync/atomic"
	"time"

	"github.com/spf13/cobra"
	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"

	"slatbench/cmd/slatbench/report"
	"slatbench/scenarios"
	"slatbench/sim/sizing"
)

// sizeFlags is what the command line asks of a sizing.
type sizeFlags struct {
	file    string
	set     []string
	truck   string
	parts   [sizeParts]string // in the order of sizePartNames
	springs []string
	sweep   []string
	trucks  int
	seed    uint64
	workers int
	asJSON  bool
	page    string
}

// sizePartNames are the flags that are parts of the file, in the compact notation.
var sizePartNames = [...]string{"door", "battery", "harness", "temperature", "grade", "turns", "tolerances"}

const sizeParts = len(sizePartNames)

func newSize() *cobra.Command {
	var f sizeFlags
	c := command(cobra.Command{Use: "size [FILE] [INPUT=LOW..HIGH]...", ValidArgsFunction: completeFile(scenarios.SizeKind)}, helpSize)
	f.question(c)
	flags := c.Flags()
	flags.StringArrayVar(&f.sweep, "sweep", nil, flagSweep)
	flags.IntVar(&f.trucks, "trucks", 0, flagTrucks)
	flags.Uint64Var(&f.seed, "seed", 1, flagSizeSeed)
	flags.StringVar(&f.page, "report", "", flagSizeReport)
	flags.SortFlags = false
	completeFlag(c, "sweep", completeInputs)
	for _, name := range []string{"trucks", "seed"} {
		completeFlag(c, name, cobra.NoFileCompletions)
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := f.arguments(c, args); err != nil {
			return err
		}
		if c.Flags().Changed("trucks") && (f.trucks < 10 || f.trucks > 1_000_000) {
			return badValue("trucks", strconv.Itoa(f.trucks))
		}
		return f.size(c.OutOrStdout(), c.ErrOrStderr())
	}
	c.AddCommand(newSizePick())
	return c
}

// question adds the flags by which a question is asked.
func (f *sizeFlags) question(c *cobra.Command) {
	flags := c.Flags()
	flags.StringVar(&f.parts[0], "door", "", flagDoor)
	flags.StringArrayVar(&f.springs, "spring", nil, flagSpring)
	flags.StringVar(&f.parts[5], "turns", "", flagTurns)
	flags.StringVar(&f.parts[1], "battery", "", flagBattery)
	flags.StringVar(&f.parts[2], "harness", "", flagHarness)
	flags.StringVar(&f.parts[3], "temperature", "", flagTemperature)
	flags.StringVar(&f.parts[4], "grade", "", flagGrade)
	flags.StringVar(&f.parts[6], "tolerances", "", flagTolerances)
	flags.StringVar(&f.truck, "truck", "", flagSizeTruck)
	flags.StringArrayVar(&f.set, "set", nil, flagSet)
	flags.BoolVar(&f.asJSON, "json", false, flagJSON)
	flags.IntVar(&f.workers, "workers", 0, flagSizeWorkers)
	completeFlag(c, "truck", completeFile(scenarios.TruckKind))
	for _, name := range append([]string{"spring", "set", "workers"}, sizePartNames[:]...) {
		completeFlag(c, name, cobra.NoFileCompletions)
	}
}

// arguments are a file, and axes of a sweep.
func (f *sizeFlags) arguments(c *cobra.Command, args []string) error {
	for _, a := range args {
		switch {
		case strings.Contains(a, "=") && strings.Contains(a, ".."):
			f.sweep = append(f.sweep, a)
		case f.file == "":
			f.file = a
		default:
			return tooManyArguments(c.CommandPath(), a)
		}
	}
	if c.Flags().Changed("workers") && (f.workers < 1 || f.workers > mostWorkers) {
		return badValue("workers", strconv.Itoa(f.workers))
	}
	if f.workers == 0 {
		f.workers = runtime.GOMAXPROCS(0)
	}
	for i, name := range sizePartNames {
		if c.Flags().Lookup(name) != nil && c.Flags().Changed(name) && strings.TrimSpace(f.parts[i]) == "" {
			return emptyPart(name)
		}
	}
	return nil
}

func completeInputs(_ *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
	var list []string
	for _, name := range sizing.InputNames() {
		if name = strings.ReplaceAll(name, " ", "-"); strings.HasPrefix(name, typed) {
			list = append(list, name+"=")
		}
	}
	return list, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

// load reads the question.
func (f *sizeFlags) load() (*scenarios.SizeFile, error) {
	name, err := f.name()
	if err != nil {
		return nil, err
	}
	set := slices.Clone(f.set)
	if f.truck != "" {
		set = append([]string{"truck=" + scenarios.FullName(scenarios.TruckKind, f.truck)}, set...)
	}
	var flags []scenarios.SizeFlag
	for i, text := range f.parts {
		if text != "" {
			flags = append(flags, scenarios.SizeFlag{Name: sizePartNames[i], Text: text})
		}
	}
	for _, text := range f.springs {
		flags = append(flags, scenarios.SizeFlag{Name: "spring", Text: text})
	}
	return (&scenarios.Loader{Shipped: scenarios.Shipped(), Set: set}).LoadSize(name, flags)
}

// name is that of the file: as typed, or that of the shipped one meant by it.
func (f *sizeFlags) name() (string, error) {
	if f.file == "" {
		return scenarios.DefaultSize, nil
	}
	name := scenarios.FullName(scenarios.SizeKind, f.file)
	if strings.ContainsAny(name, `/\`) || scenarios.Exists(name) {
		return name, nil
	}
	if hint := scenarios.HintFor(name, scenarios.SizeKind); hint != "" {
		return "", noSize(f.file, hint)
	}
	return name, nil
}

// sized is all that was asked.
type sized struct {
	file    *scenarios.SizeFile
	result  *sizing.Result
	study   *sizing.Map   // nil without a sweep
	fleet   *sizing.Fleet // nil without trucks
	replay  string
	assumed bool // the file is the shipped one, and was not named
}

// size answers and reports.
func (f *sizeFlags) size(out, errs io.Writer) error {
	if err := wantEnding("--report", f.page, ".html"); err != nil {
		return err
	}
	x, y, err := f.axes()
	if err != nil {
		return err
	}
	file, err := f.load()
	if err != nil {
		return err
	}
	if f.trucks > 0 && len(file.ToleranceList()) == 0 {
		return noTolerances()
	}
	page, err := begin(f.page)
	if err != nil {
		return err
	}
	defer page.discard()
	s := &sized{file: file, replay: f.replay("size"), assumed: f.file == "" && strings.Join(append(f.parts[:], f.springs...), "") != ""}
	if s.result, err = sizing.Ask(file.Question()); err != nil {
		return err
	}
	if f.page != "" {
		x, y = f.pageAxes(x, y)
	}
	if err := f.further(s, x, y, errs); err != nil {
		return err
	}
	if err := page.finish(func(w io.Writer) error { return s.page().Write(w) }); err != nil {
		return err
	}
	if f.asJSON {
		err = s.writeJSON(out)
	} else {
		err = s.writeText(out)
	}
	if err == nil && s.result.Verdict == sizing.Fail {
		return errViolated
	}
	return err
}

// axes reads the sweep: none, or two.
func (f *sizeFlags) axes() (x, y *sizing.Axis, err error) {
	switch len(f.sweep) {
	case 0:
		return nil, nil, nil
	case 2:
	default:
		return nil, nil, needTwoAxes(len(f.sweep))
	}
	var list [2]sizing.Axis
	for i := range list {
		if list[i], err = scenarios.ParseAxis(f.sweep[i], i == 0); err != nil {
			return nil, nil, badAxis(err)
		}
	}
	if list[0].Input == list[1].Input {
		return nil, nil, sameAxes(list[0].Input.Name)
	}
	return &list[0], &list[1], nil
}

// What a report studies when it is not told: the cold and the battery.
const pageSweepX, pageSweepY = "temperature=-30..45C:16", "charge=20..100%:9"

// pageTrucks is how many trucks a report draws when it is not told, and tolerances are stated.
const pageTrucks = 600

func (f *sizeFlags) pageAxes(x, y *sizing.Axis) (*sizing.Axis, *sizing.Axis) {
	if x != nil {
		return x, y
	}
	a, errA := scenarios.ParseAxis(pageSweepX, true)
	b, errB := scenarios.ParseAxis(pageSweepY, false)
	if err := errors.Join(errA, errB); err != nil {
		panic("slatbench: " + err.Error())
	}
	return &a, &b
}

// further makes the study and asks the fleet.
func (f *sizeFlags) further(s *sized, x, y *sizing.Axis, errs io.Writer) error {
	ctx, release := signal.NotifyContext(context.Background(), os.Interrupt)
	defer release()
	q := s.result.Question
	trucks := f.trucks
	if list := s.file.ToleranceList(); trucks == 0 && f.page != "" && len(list) > 0 {
		trucks = pageTrucks
	}
	n := 0
	if x != nil {
		n += len(x.At) * len(y.At)
	}
	if trucks > 0 {
		n += sizing.FleetRuns(trucks, len(s.file.ToleranceList()))
	}
	p := newSizeProgress(errs, n)
	defer p.close()
	var err error
	if x != nil {
		if s.study, err = sizing.Study(ctx, q, *x, *y, f.workers, p.done); err != nil {
			return told(err)
		}
	}
	if trucks > 0 {
		if s.fleet, err = sizing.Tolerances(ctx, q, s.file.ToleranceList(), trucks, f.seed, f.workers, p.done); err != nil {
			return told(err)
		}
	}
	return nil
}

// told words an error of a long work.
func told(err error) error {
	if errors.Is(err, context.Canceled) {
		return wrong{wasInterrupted, ""}
	}
	return err
}

// page is the report.
func (s *sized) page() *report.Size {
	return &report.Size{
		Title: s.file.Name, Result: s.result, Study: s.study, Fleet: s.fleet, Version: version(), Replay: s.replay,
		Facts: s.headRows(),
	}
}

// replay is the command that answers the same again.
func (f *sizeFlags) replay(command string) string {
	words := append([]string{"slatbench"}, strings.Fields(command)...)
	if f.file != "" {
		words = append(words, f.file)
	}
	for i, name := range sizePartNames {
		if f.parts[i] != "" {
			words = append(words, "--"+name, f.parts[i])
		}
	}
	for _, s := range f.springs {
		words = append(words, "--spring", s)
	}
	if f.truck != "" {
		words = append(words, "--truck", f.truck)
	}
	for _, s := range f.set {
		words = append(words, "--set", s)
	}
	for _, s := range f.sweep {
		words = append(words, "--sweep", s)
	}
	if f.trucks > 0 {
		words = append(words, "--trucks", strconv.Itoa(f.trucks), "--seed", strconv.FormatUint(f.seed, 10))
	}
	for i := range words {
		words[i] = shellWord(words[i])
	}
	return strings.Join(words, " ")
}

// sizeProgress shows how far a long work is, on a terminal only. done may be called
// from any goroutine.
type sizeProgress struct {
	to    io.Writer
	shown bool
	began time.Time
	all   int64
	now   atomic.Int64
	once  sync.Once
	bars  *mpb.Progress
	bar   *mpb.Bar
}

func newSizeProgress(to io.Writer, n int) *sizeProgress {
	return &sizeProgress{to: to, shown: isTerminal(to), began: time.Now(), all: int64(n)}
}

func (p *sizeProgress) done() {
	n := p.now.Add(1)
	if !p.shown || time.Since(p.began) < longRun {
		return
	}
	p.once.Do(func() {
		p.bars = mpb.New(mpb.WithOutput(p.to), mpb.WithWidth(progressWidth))
		p.bar = p.bars.New(p.all, mpb.BarStyle().Lbound(" ").Filler("=").Tip("=").Padding(".").Rbound(" "),
			mpb.BarRemoveOnComplete(),
			mpb.PrependDecorators(decor.Any(func(s decor.Statistics) string { return questionsText(s.Current, s.Total) })))
	})
	p.bar.SetCurrent(n)
}

// close takes the line away.
func (p *sizeProgress) close() {
	if p.bar != nil {
		p.bar.Abort(true)
		p.bars.Wait()
	}
}

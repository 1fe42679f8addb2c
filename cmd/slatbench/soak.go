package main

import (
	"io"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"

	"slatbench/scenarios"
	"slatbench/sim/soak"
	"slatbench/sim/wholefile"
)

// soakFlags is what the command line asks of a soak.
type soakFlags struct {
	runFlags        // name of the file as typed, set, seed, logic, truck, json
	cycles   int    // 0 leaves what the file says
	csv      string // file to write
	page     string // file to write
}

func newSoak() *cobra.Command {
	var f soakFlags
	c := command(cobra.Command{Use: "soak [FILE]", Args: atMost(1), ValidArgsFunction: completeFile(scenarios.SoakKind)}, helpSoak)
	flags := c.Flags()
	flags.IntVar(&f.cycles, "cycles", 0, flagCycles)
	flags.StringVar(&f.page, "report", "", flagSoakReport)
	flags.StringVar(&f.csv, "csv", "", flagSoakCSV)
	flags.BoolVar(&f.asJSON, "json", false, flagJSON)
	flags.StringArrayVar(&f.set, "set", nil, flagSet)
	flags.Uint64Var(&f.seed, "seed", 0, flagSoakSeed)
	flags.StringVar(&f.logic, "logic", "", flagSoakLogic)
	flags.StringVar(&f.truck, "truck", "", flagSoakTruck)
	flags.SortFlags = false
	completeFlag(c, "logic", completeFile(scenarios.LogicKind))
	completeFlag(c, "truck", completeFile(scenarios.TruckKind))
	for _, name := range []string{"cycles", "seed", "set"} {
		completeFlag(c, name, cobra.NoFileCompletions)
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		if len(args) == 1 {
			f.scenario = args[0]
		}
		f.seeded = c.Flags().Changed("seed")
		if c.Flags().Changed("cycles") && (f.cycles < 1 || f.cycles > mostCycles) {
			return badValue("cycles", strconv.Itoa(f.cycles))
		}
		return f.soak(c.OutOrStdout(), c.ErrOrStderr())
	}
	return c
}

// mostCycles is as many as a file may ask for.
const mostCycles = 100000

// soak plays it and reports.
func (f *soakFlags) soak(out, errs io.Writer) error {
	if err := wantEnding("--report", f.page, ".html"); err != nil {
		return err
	}
	if err := wantEnding("--csv", f.csv, ".csv"); err != nil {
		return err
	}
	file, under, err := f.loadSoak()
	if err != nil {
		return err
	}
	defer under.Close()
	csv, err := begin(f.csv)
	if err != nil {
		return err
	}
	defer csv.discard()
	page, err := begin(f.page)
	if err != nil {
		return err
	}
	defer page.discard()
	result, err := f.playSoak(file, under, errs)
	if err != nil {
		return err
	}
	h := soak.Heading{Title: file.Name, Truck: file.Truck.Name, Logic: under.Title(), Version: version(), Replay: f.replaySoak()}
	if err := csv.finish(result.WriteCSV); err != nil {
		return err
	}
	if err := page.finish(func(w io.Writer) error { return result.WritePage(w, h) }); err != nil {
		return err
	}
	if f.asJSON {
		return result.WriteJSON(out, h)
	}
	var text strings.Builder
	if err := result.WriteTable(&text, h); err != nil {
		return err
	}
	for line := range strings.Lines(text.String()) {
		if _, err := io.WriteString(out, printable(strings.TrimRight(line, " \n"))+"\n"); err != nil {
			return err
		}
	}
	return nil
}

func wantEnding(flag, name, ending string) error {
	if name != "" && !strings.EqualFold(filepath.Ext(name), ending) && !strings.HasPrefix(name, "/dev/") {
		return wrongEnding(flag, name, ending)
	}
	return nil
}

// loadSoak reads file and logic, changed as the flags say.
func (f *soakFlags) loadSoak() (*scenarios.SoakFile, *scenarios.UnderTest, error) {
	name, err := f.soakName()
	if err != nil {
		return nil, nil, err
	}
	ofSoak, ofLogic := f.sets()
	file, err := (&scenarios.Loader{Shipped: scenarios.Shipped(), Set: ofSoak}).LoadSoak(name)
	if err != nil {
		return nil, nil, f.namedAsTyped(err)
	}
	if f.seeded {
		file.Seed = f.seed
	}
	if f.cycles > 0 {
		file.Cycles = f.cycles
	}
	under, err := underTest(f.logic, ofLogic, func(l *scenarios.Loader) (*scenarios.UnderTest, error) {
		return l.LoadUnderTestOfSoak(file)
	})
	return file, under, err
}

// soakName is the name of the file: as typed, or that of the shipped one meant by it.
func (f *soakFlags) soakName() (string, error) {
	name := f.scenario
	if name == "" {
		return scenarios.DefaultSoak, nil
	}
	if strings.ContainsAny(name, `/\`) || scenarios.Exists(name) {
		return name, nil
	}
	if full := scenarios.FullName(scenarios.SoakKind, name); full != name {
		return full, nil
	}
	if hint := scenarios.HintFor(name, scenarios.SoakKind); hint != "" {
		return "", noSoak(name, hint)
	}
	return name, nil
}

// sets splits the changes into those of the file and those of the logic.
func (f *soakFlags) sets() (ofSoak, ofLogic []string) {
	if f.truck != "" {
		ofSoak = append(ofSoak, "truck="+scenarios.FullName(scenarios.TruckKind, f.truck))
	}
	for _, s := range f.set {
		if rest, ok := strings.CutPrefix(s, setLogic); ok {
			ofLogic = append(ofLogic, rest)
		} else {
			ofSoak = append(ofSoak, s)
		}
	}
	return ofSoak, ofLogic
}

// playSoak plays the cycles, with a line that tells how far it is.
func (f *soakFlags) playSoak(file *scenarios.SoakFile, under *scenarios.UnderTest, errs io.Writer) (*soak.Result, error) {
	stop, release := interruption()
	defer release()
	p := cycleProgress{to: errs, shown: isTerminal(errs), began: time.Now(), cycles: file.Cycles}
	defer p.close()
	stopped := wrong{wasInterrupted, ""}
	result, err := soak.Run(file.Setup(under), file.Config, func(c *soak.Cycle) error {
		if stop() {
			return stopped
		}
		p.show(c.N)
		return nil
	})
	return result, err
}

// cycleProgress shows how far a long soak is, on a terminal only.
type cycleProgress struct {
	to     io.Writer
	shown  bool
	began  time.Time
	cycles int
	bars   *mpb.Progress
	bar    *mpb.Bar
}

func (p *cycleProgress) show(n int) {
	if !p.shown || p.bar == nil && time.Since(p.began) < longRun {
		return
	}
	if p.bar == nil {
		p.bars = mpb.New(mpb.WithOutput(p.to), mpb.WithWidth(progressWidth))
		p.bar = p.bars.New(int64(p.cycles), mpb.BarStyle().Lbound(" ").Filler("=").Tip("=").Padding(".").Rbound(" "),
			mpb.BarRemoveOnComplete(),
			mpb.PrependDecorators(decor.Any(func(s decor.Statistics) string { return cyclesText(s.Current, s.Total) })))
	}
	p.bar.SetCurrent(int64(n))
}

// close takes the line away.
func (p *cycleProgress) close() {
	if p.bar != nil {
		p.bar.Abort(true)
		p.bars.Wait()
	}
}

// replaySoak is the command that plays the same again.
func (f *soakFlags) replaySoak() string {
	words := []string{"slatbench", "soak"}
	if f.scenario != "" {
		words = append(words, f.scenario)
	}
	if f.cycles > 0 {
		words = append(words, "--cycles", strconv.Itoa(f.cycles))
	}
	if f.truck != "" {
		words = append(words, "--truck", f.truck)
	}
	if f.logic != "" {
		words = append(words, "--logic", f.logic)
	}
	for _, s := range f.set {
		words = append(words, "--set", s)
	}
	if f.seeded {
		words = append(words, "--seed", strconv.FormatUint(f.seed, 10))
	}
	for i := range words {
		words[i] = shellWord(words[i])
	}
	return strings.Join(words, " ")
}

// asked is a file that was asked for, or none. It is begun before the work, so
// that a folder that is not there is told at once.
type asked struct{ file *wholefile.File }

func begin(name string) (asked, error) {
	if name == "" {
		return asked{}, nil
	}
	file, err := wholefile.Create(name)
	return asked{file}, notWritten(err)
}

func (a asked) finish(write func(io.Writer) error) error {
	if a.file == nil {
		return nil
	}
	err := write(a.file)
	if err == nil { // else Commit would say the same once more
		err = a.file.Commit()
	}
	return notWritten(err)
}

func (a asked) discard() {
	if a.file != nil {
		a.file.Discard()
	}
}

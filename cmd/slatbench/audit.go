package main

import (
	"context"
	"fmt"
	"io"
	"os/signal"
	"runtime"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"
	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"

	"slatbench/model"
	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/logic"
)

// auditFlags is what the command line asks of an audit.
type auditFlags struct {
	logic   string
	truck   string
	seed    uint64
	draws   int
	budget  int
	workers int
	only    string
	all     bool
	noRules bool
	asJSON  bool
}

// Bounds of what may be asked for.
const (
	mostDraws   = 1_000_000
	mostBudget  = 100_000
	mostWorkers = 1024
)

func newAudit() *cobra.Command {
	var f auditFlags
	c := command(cobra.Command{Use: "audit [LOGIC]", Args: atMost(1), ValidArgsFunction: completeFile(scenarios.LogicKind)}, helpAudit)
	flags := c.Flags()
	flags.StringVar(&f.logic, "logic", scenarios.ShortName(scenarios.BaselineLogic), flagAuditLogic)
	flags.StringVar(&f.truck, "truck", scenarios.ShortName(scenarios.DefaultTruck), flagAuditTruck)
	flags.Uint64Var(&f.seed, "seed", 1, flagAuditSeed)
	flags.IntVar(&f.draws, "draws", campaign.DefaultDraws, flagDraws)
	flags.IntVar(&f.budget, "budget", campaign.DefaultBudget, flagBudget)
	flags.StringVar(&f.only, "only", "", flagAuditOnly)
	flags.BoolVar(&f.noRules, "no-rules", false, flagNoRules)
	flags.BoolVar(&f.all, "all", false, flagAuditAll)
	flags.IntVar(&f.workers, "workers", runtime.GOMAXPROCS(0), flagWorkers)
	flags.BoolVar(&f.asJSON, "json", false, flagJSON)
	flags.SortFlags = false
	completeFlag(c, "truck", completeFile(scenarios.TruckKind))
	completeFlag(c, "logic", completeFile(scenarios.LogicKind))
	for _, name := range []string{"seed", "draws", "budget", "only", "workers"} {
		completeFlag(c, name, cobra.NoFileCompletions)
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		if len(args) == 1 {
			if flags.Changed("logic") {
				return auditTwice(args[0], f.logic)
			}
			f.logic = args[0]
		}
		return f.audit(c.OutOrStdout(), c.ErrOrStderr())
	}
	return c
}

// audit plays the mutants and reports.
func (f *auditFlags) audit(out, errs io.Writer) error {
	for _, n := range []struct {
		flag        string
		value, most int
	}{{"draws", f.draws, mostDraws}, {"budget", f.budget, mostBudget}, {"workers", f.workers, mostWorkers}} {
		if n.value < 1 || n.value > n.most {
			return auditCount(n.flag, n.value, n.most)
		}
	}
	a, err := f.load()
	if err != nil {
		return err
	}
	ctx, release := signal.NotifyContext(context.Background(), syscall.SIGINT, syscall.SIGTERM)
	defer release()
	p := newAuditProgress(errs)
	a.Progress = p.show
	result, err := a.Run(ctx)
	p.close()
	if ctx.Err() != nil {
		return wrong{wasInterrupted, ""}
	}
	if err != nil {
		return wrong{err.Error(), ""}
	}
	r := newAuditReport(f, a, result)
	if len(r.list) == 0 {
		return noMutant(f.only)
	}
	if err := r.write(out); err != nil {
		return err
	}
	if len(r.open) > 0 {
		return errViolated
	}
	return nil
}

// load reads logic and truck.
func (f *auditFlags) load() (*campaign.Audit, error) {
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	table, err := l.LoadLogic(scenarios.FullName(scenarios.LogicKind, f.logic))
	if err != nil {
		return nil, namedBy("--logic", err)
	}
	truck, err := l.LoadTruck(scenarios.FullName(scenarios.TruckKind, f.truck))
	if err != nil {
		return nil, namedBy("--truck", err)
	}
	a := &campaign.Audit{
		Plan:  &campaign.Plan{Truck: campaign.AuditTruck(truck.Params()), Faults: 1, Seed: f.seed, JudgeForce: true},
		Base:  table,
		Draws: f.draws, Budget: f.budget, Workers: f.workers, NoRules: f.noRules,
	}
	if f.only != "" {
		a.Only = func(u *campaign.Mutant) bool {
			return u.ID == f.only || strings.Contains(u.Text, f.only)
		}
	}
	if err := a.Plan.Check(); err != nil {
		return nil, wrong{err.Error(), ""}
	}
	return a, nil
}

// auditProgress shows how far an audit is: a bar on a terminal, elsewhere a plain line
// every few seconds.
type auditProgress struct {
	to    io.Writer
	began time.Time
	shown time.Time
	phase string
	bars  *mpb.Progress
	bar   *mpb.Bar
}

func newAuditProgress(to io.Writer) *auditProgress {
	p := &auditProgress{to: to, began: time.Now(), shown: time.Now()}
	if isTerminal(to) {
		p.bars = mpb.New(mpb.WithOutput(to), mpb.WithWidth(progressWidth))
	}
	return p
}

func (p *auditProgress) show(phase string, done, of int) {
	now := time.Now()
	if p.bars == nil {
		if now.Sub(p.shown) >= plainLine {
			p.shown = now
			fmt.Fprintln(p.to, auditProgressText(phase, int64(done), int64(of)))
		}
		return
	}
	if now.Sub(p.began) < longRun {
		return
	}
	if phase != p.phase {
		if p.bar != nil {
			p.bar.Abort(true)
		}
		p.phase = phase
		p.bar = p.bars.New(int64(of), mpb.BarStyle().Lbound(" ").Filler("=").Tip("=").Padding(".").Rbound(" "),
			mpb.BarRemoveOnComplete(),
			mpb.PrependDecorators(decor.Any(func(s decor.Statistics) string { return auditProgressText(phase, s.Current, s.Total) })))
	}
	p.bar.SetCurrent(int64(done))
}

// close takes the line away.
func (p *auditProgress) close() {
	if p.bar != nil {
		p.bar.Abort(true)
	}
	if p.bars != nil {
		p.bars.Wait()
	}
}

// auditReport is an outcome with what is to be said of it.
type auditReport struct {
	flags  *auditFlags
	audit  *campaign.Audit
	result *campaign.AuditResult
	reason campaign.Reasons
	list   []*campaign.Audited
	open   []*campaign.Audited // safety-relevant, not caught, and without a written reason
}

func newAuditReport(f *auditFlags, a *campaign.Audit, result *campaign.AuditResult) *auditReport {
	r := &auditReport{flags: f, audit: a, result: result, reason: campaign.ShippedReasons()}
	for i := range result.Audited {
		u := &result.Audited[i]
		r.list = append(r.list, u)
		if r.missed(u) && u.Mutant.Safety != "" && r.reason[u.Mutant.ID] == "" {
			r.open = append(r.open, u)
		}
	}
	return r
}

// missed tells that a mutant could have been caught and wasn't.
func (r *auditReport) missed(u *campaign.Audited) bool {
	return u.Fate == campaign.Survived || u.Fate == campaign.Undetermined
}

func (r *auditReport) write(out io.Writer) error {
	if r.flags.asJSON {
		return r.writeJSON(out)
	}
	s := &sheet{pen: newPen(out)}
	r.sheet(s)
	_, err := io.WriteString(out, s.text.String())
	return err
}

// where names a controller.
func (r *auditReport) where(who int) string {
	if who < len(r.audit.Plan.Truck.Bays) {
		return r.audit.Plan.Truck.Bays[who].Name
	}
	return atLocks
}

// happens tells what a case is, in words: how it stands, what people do, what goes wrong.
func (r *auditReport) happens(c *campaign.Case) []string {
	var list []string
	bays := r.audit.Plan.Truck.Bays
	for i := range c.Bays {
		if h := c.Bays[i].Height; h >= 0 {
			list = append(list, auditStands(bays[i].Name, h))
		}
	}
	if c.Locked {
		list = append(list, auditLocked)
	}
	if c.Untaught {
		list = append(list, auditUntaught)
	}
	for i := range c.Steps {
		s := &c.Steps[i]
		place := bays[min(s.Bay, len(bays)-1)].Name
		if s.Kind != sim.Press && s.Kind != sim.TeachHold {
			place = s.Side.String()
		}
		list = append(list, auditStep(s.At, auditSteps[s.Kind], place))
	}
	for i := range c.Faults {
		f := &c.Faults[i]
		list = append(list, auditFault(f.From, f.Until, f.Kind, r.place(f)))
	}
	return list
}

// place of a fault in words, or nothing where the truck has the part once.
func (r *auditReport) place(f *campaign.FaultDraw) string {
	switch placeOf(f.Kind) {
	case onBay:
		return r.audit.Plan.Truck.Bays[f.Place].Name
	case onSide:
		return model.Side(f.Place).String()
	}
	return ""
}

// answersOf counts the answers of single states that a table has.
func answersOf(t *logic.Table) (n int) {
	for _, m := range []*logic.Machine{&t.Door, &t.Lock} {
		for i := range m.Transitions {
			n += len(m.Transitions[i].From)
		}
	}
	return n
}

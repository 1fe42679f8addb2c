package main

import (
	"context"
	"io"
	"strconv"
	"strings"

	"slatbench/model"
	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/campaign/keep"
	"slatbench/sim/require"
)

// work is a campaign on its way.
type work struct {
	flags       *campaignFlags
	plan        campaign.Plan
	truck       *scenarios.TruckFile
	under       *scenarios.UnderTest
	id          keep.Identity
	tally       counts
	kept        uint64 // runs that a file held at the start, as far as they are asked for
	held        uint64 // runs that it held
	interrupted bool
	sought      []sought // what a search came to
}

// counts is the tally, with how many runs violated something.
type counts struct {
	*campaign.Tally
	violating int
}

// add counts a run, and gives how many have violated something so far.
func (t *counts) add(c *campaign.Case, o campaign.Outcome) int {
	t.Add(c, o)
	for i := range o.Results {
		if o.Results[i].Verdict == require.Violated {
			t.violating++
			break
		}
	}
	return t.violating
}

func (t *counts) violations() int { return t.violating }

// load reads truck and logic, and makes the plan of them.
func (f *campaignFlags) load() (*work, error) {
	w := &work{flags: f, tally: counts{Tally: campaign.NewTally()}}
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	var err error
	if w.truck, err = l.LoadTruck(w.truckName()); err != nil {
		return nil, namedBy("--truck", err)
	}
	if w.under, err = underTest(f.logic, nil, nil); err != nil {
		return nil, err
	}
	w.plan = campaign.Plan{Truck: w.truck.Params(), Faults: f.faults, Only: f.only, Seed: f.seed}
	if err := w.plan.Check(); err != nil {
		return nil, wrong{err.Error(), ""}
	}
	w.id, err = w.identify()
	return w, err
}

func (w *work) truckName() string { return scenarios.FullName(scenarios.TruckKind, w.flags.truck) }
func (w *work) logicName() string { return scenarios.FullName(scenarios.LogicKind, w.flags.logic) }

// firstCases are those whose hash, with that of the distributions, tells one generator from another.
const firstCases = 64

// identify says which campaign this is.
func (w *work) identify() (keep.Identity, error) {
	truck, err := keep.Hash(w.plan.Truck)
	if err != nil {
		return keep.Identity{}, err
	}
	logic, err := w.under.Digest()
	if err != nil {
		return keep.Identity{}, err
	}
	var cases [firstCases]uint64
	for i := range cases {
		cases[i] = w.plan.Draw(uint64(i)).Hash()
	}
	draws, err := keep.Hash([]any{campaign.Distributions(), cases})
	id := keep.Identity{
		Version: version(), Truck: w.truck.Name, TruckHash: truck, Logic: w.under.Title(), LogicHash: logic,
		Faults: w.plan.Faults, Only: w.plan.Only, Seed: w.plan.Seed,
		Step: model.DefaultStep, Tick: w.tick(), JudgeForce: w.plan.JudgeForce, Draws: draws,
	}
	for i := range w.plan.Truck.Bays {
		id.Bays = append(id.Bays, w.plan.Truck.Bays[i].Name)
	}
	return id, err
}

// tick of the controllers, in s.
func (w *work) tick() float64 { return float64(sim.DefaultTickSteps) * model.DefaultStep }

// controllers makes those of one truck.
func (w *work) controllers() (doors []sim.Controller, locks sim.Controller) {
	return w.under.Controllers(len(w.plan.Truck.Bays), w.tick())
}

// open opens the file that keeps the runs, or none.
func (w *work) open(name string) (*keep.File, error) {
	if name == "" {
		return nil, nil
	}
	if err := w.comesOutAlike(name); err != nil {
		return nil, err
	}
	there := scenarios.Exists(name)
	file, err := keep.Open(name, w.id)
	switch {
	case err != nil && there:
		return nil, wrong{err.Error(), fileUntouched}
	case err != nil:
		return nil, notWritten(err)
	}
	return file, nil
}

// comesOutAlike plays one of the runs that a file holds again. A program that has
// changed without a change of its version must not go on with it.
func (w *work) comesOutAlike(name string) error {
	if !scenarios.Exists(name) {
		return nil
	}
	if err := keep.Check(name, w.id); err != nil {
		return wrong{err.Error(), fileUntouched}
	}
	file, err := keep.OpenToRead(name)
	if err != nil {
		return wrong{err.Error(), fileUntouched}
	}
	defer file.Close()
	if file.Runs() == 0 {
		return nil
	}
	return file.Last(func(r *keep.Run) error {
		c := w.plan.Draw(r.Index)
		o := campaign.NewPlayer(&w.plan, w.controllers).Play(c)
		if o.Err == nil && o.Hash != r.Outcome.Hash || keep.KindsOf(c) != strings.Join(r.Kinds, "+") {
			return comesOutOtherwise(name, r.Index)
		}
		return nil
	})
}

// restore counts the runs that a file holds.
func (w *work) restore(file *keep.File) error {
	if file == nil {
		return nil
	}
	w.held = file.Runs()
	w.kept = min(w.held, w.flags.runs)
	return file.Each(w.kept, func(r *keep.Run) error {
		w.tally.add(r.Counted(), r.Outcome)
		return nil
	})
}

// command is the one that plays this campaign again; more follows it.
func (w *work) command(more ...string) string {
	f := w.flags
	words := []string{"slatbench", "campaign", "--seed", strconv.FormatUint(f.seed, 10), "--faults", strconv.Itoa(f.faults)}
	if len(f.only) > 0 {
		words = append(words, "--only", strings.Join(f.only, ","))
	}
	if w.logicName() != scenarios.BaselineLogic {
		words = append(words, "--logic", f.logic)
	}
	if w.truckName() != scenarios.DefaultTruck {
		words = append(words, "--truck", f.truck)
	}
	words = append(words, more...)
	for i := range words {
		words[i] = shellWord(words[i])
	}
	return strings.Join(words, " ")
}

// replay is the command that plays one run.
func (w *work) replay(index uint64) string {
	return w.command("--index", strconv.FormatUint(index, 10))
}

// again is the command that plays all of it.
func (w *work) again(runs uint64) string {
	more := []string{"--runs", strconv.FormatUint(runs, 10)}
	if f := w.flags; f.search {
		more = append(more, "--search")
		if f.searchRuns != defaultSearchRuns {
			more = append(more, "--search-runs", strconv.Itoa(f.searchRuns))
		}
		if len(f.searchFor) > 0 {
			more = append(more, "--search-for", strings.Join(f.searchFor, ","))
		}
	}
	return w.command(more...)
}

// finish reports, and gives the error that the exit code comes from. That one file can't
// be written keeps nothing else from being told.
func (w *work) finish(ctx context.Context, o campaignOutputs, out, errs io.Writer) error {
	r := w.result()
	var troubles []error
	for _, write := range []func() error{
		func() error { return r.writeExamples(ctx, errs) },
		func() error { return r.writeFound(errs) },
		func() error { return o.junit.finish(r.writeJUnit) },
		func() error { return o.page.finish(r.writePage) },
		func() error { return r.report(out) },
	} {
		if err := write(); err != nil {
			troubles = append(troubles, err)
		}
	}
	if n := len(troubles); n > 0 {
		for _, err := range troubles[:n-1] {
			tell(errs, err)
		}
		return troubles[n-1]
	}
	switch {
	case r.violated() && w.interrupted:
		tell(errs, r.interruption())
		return errViolated
	case r.violated():
		return errViolated
	case w.interrupted:
		return r.interruption()
	case w.tally.Failed > 0:
		return notPlayed(w.tally.Failed, w.tally.Error, w.replay(w.tally.First))
	case w.tally.Silent.Runs > 0:
		return onlySilent(w.tally.Silent.Runs, w.replay(w.tally.Silent.First))
	}
	return nil
}

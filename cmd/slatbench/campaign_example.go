package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"slatbench/model"
	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

// mostExamples is for how many distinct violations scenarios are written: shrinking
// one takes seconds, and nobody reads hundreds.
const mostExamples = 20

// writeExamples writes a scenario for each of the first violations, into the folder that
// was asked for, as far as it is not interrupted. Those that come to the same simplest
// case share its file.
func (r *campaignResult) writeExamples(ctx context.Context, errs io.Writer) error {
	folder := r.flags.examples
	if folder == "" || r.interrupted || len(r.violations) == 0 {
		return nil
	}
	list := r.violations[:min(len(r.violations), mostExamples)]
	fmt.Fprintln(errs, shrinkingText(len(list)))
	texts, failed := make([]string, len(list)), make([]error, len(list))
	next := make(chan int)
	var crew sync.WaitGroup
	for range min(r.flags.workers, len(list)) {
		player := campaign.NewPlayer(&r.plan, r.controllers)
		crew.Go(func() {
			for i := range next {
				texts[i], failed[i] = r.example(player, &list[i])
			}
		})
	}
	for i := range list {
		if ctx.Err() != nil {
			r.interrupted = true
			break
		}
		next <- i
	}
	close(next)
	crew.Wait()
	written := map[string]string{} // scenarios, without their comments, and their files
	for i := range list {
		if texts[i] == "" && failed[i] == nil { // interrupted
			continue
		}
		if failed[i] != nil { // the others, and the report, are worth having all the same
			tell(errs, noExample(&list[i], failed[i]))
			continue
		}
		body := uncommented(texts[i])
		if list[i].file = written[body]; list[i].file != "" {
			continue
		}
		name := filepath.Join(folder, list[i].fileName())
		if err := writeWhole(name, texts[i]); err != nil {
			return notWritten(err)
		}
		list[i].file, written[body] = name, name
	}
	return nil
}

// uncommented is a scenario from its first line on that is no comment.
func uncommented(text string) string {
	for strings.HasPrefix(text, "#") {
		_, text, _ = strings.Cut(text, "\n")
	}
	return text
}

func (v *foundViolation) fileName() string { return scenarios.CounterexampleName(v.id(), v.Kinds) }

// example is the text of the simplest case of a violation.
func (r *campaignResult) example(player *campaign.Player, v *foundViolation) (string, error) {
	name := filepath.Join(r.flags.examples, v.fileName())
	e, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).Counterexample(name, &scenarios.Finding{
		Plan: &r.plan, Player: player, Under: r.under, Case: r.plan.Draw(v.First), Requirement: v.id(),
		Truck: fromFolder(name, r.truckName()), Logic: fromFolder(name, r.logicName()), Source: v.replay,
	})
	if err != nil {
		return "", err
	}
	v.needs, v.shrunk = e.Case.Kinds(), true
	return e.Text, nil
}

// write is the text of a story, that names truck and logic from the folder of its file.
func (w *work) write(name string, s *scenarios.Story) (string, error) {
	s.Truck, s.Logic = fromFolder(name, w.truckName()), fromFolder(name, w.logicName())
	return (&scenarios.Loader{Shipped: scenarios.Shipped()}).Write(name, s)
}

// fromFolder is a file as it is named from the folder of another. A shipped one is
// found from everywhere by its own name.
func fromFolder(of, name string) string {
	if _, err := os.Stat(name); err != nil {
		return name
	}
	if filepath.IsAbs(name) == filepath.IsAbs(of) {
		if rel, err := filepath.Rel(filepath.Dir(of), name); err == nil {
			return filepath.ToSlash(rel)
		}
	}
	if whole, err := filepath.Abs(name); err == nil {
		return filepath.ToSlash(whole)
	}
	return name
}

// one plays a single run and tells what happens in it: the run as a scenario, and
// the verdicts.
func (w *work) one(index uint64, out io.Writer) error {
	player := campaign.NewPlayer(&w.plan, w.controllers)
	c := w.plan.Draw(index)
	o := player.Play(c)
	if o.Err != nil {
		return notPlayed(1, o.Err.Error(), w.replay(index))
	}
	story := scenarios.StoryOf(&w.plan, player.Played())
	story.Name = oneTitle(w.plan.Seed, index)
	text, err := w.write("run.yaml", &story)
	if err != nil {
		return err
	}
	s := &sheet{pen: newPen(out)}
	s.text.WriteString(text)
	s.blank()
	s.line(cell{text: headRequirements, width: 41, rendition: strong}, cell{text: "margin", width: 10, right: true, rendition: faint},
		cell{text: "share", width: 6, right: true, rendition: faint}, cell{text: "at", width: 7, right: true, rendition: faint}, cell{text: "where", rendition: faint})
	var violated, untried []string
	for i := range o.Results {
		r := &o.Results[i]
		switch r.Verdict {
		case require.NotExercised:
			untried = append(untried, r.ID)
			continue
		case require.Violated:
			violated = append(violated, r.ID)
		}
		s.requirement(w.judged(r))
	}
	if len(untried) > 0 {
		s.wrapped(2, faint, untriedText(untried))
	}
	w.silentOne(s, o.Silent)
	s.blank()
	s.line(oneVerdict(violated, o.Hash)...)
	if _, err := io.WriteString(out, s.text.String()); err != nil {
		return err
	}
	if len(violated) > 0 {
		return errViolated
	}
	if len(o.Silent) > 0 {
		return errOnlySilent
	}
	return nil
}

// silentOne lists the controllers of a run that failed as a whole.
func (w *work) silentOne(s *sheet, list []sim.Silence) {
	var silent []scenarios.WentSilent
	for _, x := range list {
		where := ""
		if x.Bay >= 0 {
			where = w.plan.Truck.Bays[x.Bay].Name
		}
		silent = append(silent, scenarios.WentSilent{At: float64(x.At) * w.id.Step, Bay: where, Why: x.Why})
	}
	s.silences(silent)
}

// judged is a result as a report of a run shows it.
func (w *work) judged(r *require.Result) *scenarios.Judged {
	j := &scenarios.Judged{ID: r.ID, Verdict: r.Verdict, Clause: r.Clause, Margin: r.Margin, Unit: r.Unit, Share: r.Share, Exempt: r.Exemption}
	j.At = absentTime
	if r.Clause != "" {
		j.At = float64(r.At) * model.DefaultStep
	}
	if r.Bay >= 0 {
		j.Bay = w.plan.Truck.Bays[r.Bay].Name
	}
	if r.Side >= 0 {
		j.Side = model.Side(r.Side).String()
	}
	return j
}

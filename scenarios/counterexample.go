package scenarios

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

// Finding is a violation that a campaign came upon.
type Finding struct {
	Plan        *campaign.Plan
	Player      *campaign.Player // of the plan, with controllers that Under makes
	Under       sim.Logic
	Case        *campaign.Case
	Guided      bool // the case is not as drawn: a search has made it of the draw that its index names
	Requirement string
	Truck       string // file of the plan's truck, as it is named from the scenario's folder
	Logic       string // file of what is under test, likewise
	Source      string // what to do to see the run that it comes from; may be empty
}

// Counterexample is a finding as a scenario.
type Counterexample struct {
	Text   string         // of the file
	Case   *campaign.Case // the simplest that was found
	Broken *Judged        // what the file violates
	Plays  int            // that it took to find
}

// CounterexampleName is the name of the file for a violation of a requirement under
// kinds of fault, in whichever order.
func CounterexampleName(requirement string, kinds []string) string {
	parts := append([]string{requirement}, slices.Sorted(slices.Values(kinds))...)
	return strings.Join(slices.Compact(parts), "--") + ".yaml"
}

// Counterexample shrinks a finding, writes it as a scenario of the given name, runs
// that as anybody would, and says in its comment what went wrong. It is an error if
// the file does not violate the same requirement by the same clause at the same time.
func (l *Loader) Counterexample(name string, f *Finding) (*Counterexample, error) {
	small, plays := campaign.Shrink(f.Player, f.Case, f.Requirement)
	o := f.Player.Play(small)
	if o.Err != nil {
		return nil, o.Err
	}
	s := StoryOf(f.Plan, f.Player.Played())
	s.Name, s.Truck, s.Logic = f.Requirement, f.Truck, f.Logic
	t := teller{loader: l, name: name, finding: f}
	broken, result, err := t.tell(&s)
	if err != nil {
		return nil, err
	}
	want := &o.Results[slices.Index(require.IDs[:], f.Requirement)]
	if broken == nil || want.Clause != broken.Clause || !(want.Margin == broken.Margin) {
		return nil, fmt.Errorf("the scenario of %s does not come to what the campaign saw", f.Requirement)
	}
	if broken.ID == recoveryID {
		if broken, result, err = t.leaveOut(&s, broken, result); err != nil {
			return nil, err
		}
	}
	s.Name = title(broken, small)
	s.Comment = strings.Join(append(wrapText(broken.ID+": "+Explain(broken, result)+".", commentWidth), t.source(plays+t.runs)...), "\n")
	text, err := l.Write(name, &s)
	return &Counterexample{Text: text, Case: small, Broken: broken, Plays: plays + t.runs}, err
}

// recoveryID is the requirement that the mechanic's presses are for.
const recoveryID = "recovery"

// commentWidth is how long the lines of a comment are at most.
const commentWidth = 98

// teller writes and runs one finding.
type teller struct {
	loader  *Loader
	name    string
	finding *Finding
	runs    int
}

// tell writes a story and runs it, and gives the requirement as far as it is violated.
func (t *teller) tell(s *Story) (*Judged, *Result, error) {
	t.runs++
	text, err := t.loader.Write(t.name, s)
	if err != nil {
		return nil, nil, err
	}
	var sc Scenario
	plain := &Loader{Shipped: t.loader.Shipped}
	if err := plain.LoadBytes(t.name, []byte(text), &sc); err != nil {
		return nil, nil, err
	}
	r, err := Run(&sc, t.finding.Under, RunOptions{})
	if err != nil {
		return nil, nil, err
	}
	for i := range r.Requirements {
		if j := &r.Requirements[i]; j.ID == t.finding.Requirement && j.Verdict == require.Violated {
			return j, r, nil
		}
	}
	return nil, r, nil
}

// leaveOut takes actions of the mechanic out of a story, where the violation stays at
// the same door or bar: he works everything, and most of that has nothing to do with
// it. The last come first.
func (t *teller) leaveOut(s *Story, broken *Judged, result *Result) (*Judged, *Result, error) {
	end := int64(math.Ceil(broken.At+2) / s.Setup.StepSize)
	s.Setup.Duration = min(s.Setup.Duration, end)
	s.Setup.Actions = played(s.Setup.Actions, s.Setup.Duration)
	for i := len(s.Setup.Actions) - 1; i >= 0 && s.Setup.Actions[i].At >= s.HealedAt-int64(s.Setup.TickSteps); i-- {
		fewer := *s
		fewer.Setup.Actions = slices.Delete(slices.Clone(s.Setup.Actions), i, i+1)
		j, r, err := t.tell(&fewer)
		if err != nil {
			return nil, nil, err
		}
		if j != nil && j.Clause == broken.Clause && j.Bay == broken.Bay && j.Side == broken.Side {
			*s, broken, result = fewer, j, r
		}
	}
	return broken, result, nil
}

// title is the name of the scenario.
func title(j *Judged, c *campaign.Case) string {
	text := j.ID + " violated"
	if kinds := c.Kinds(); len(kinds) > 0 {
		text += " with " + strings.Join(kinds, " and ")
	}
	return text
}

// source says where a counterexample comes from.
func (t *teller) source(plays int) []string {
	f := t.finding
	text, that := "The simplest that %d plays found for run %d of seed %d.", "That run: "
	if f.Guided {
		text, that = "The simplest that %d plays found for what a search had made of run %d of seed %d.", "That search: "
	}
	lines := wrapText(fmt.Sprintf(text, plays, f.Case.Index, f.Case.Seed), commentWidth)
	if f.Source != "" {
		lines = append(lines, that+f.Source)
	}
	return lines
}

// wrapText breaks a text into lines, and no number from its unit.
func wrapText(text string, width int) []string {
	var lines []string
	line := ""
	words := strings.Fields(text)
	for i := 0; i < len(words); i++ {
		word := words[i]
		if i+1 < len(words) && endsInDigit(word) && len(strings.TrimRight(words[i+1], ".,;")) <= 2 {
			i++
			word += " " + words[i]
		}
		if line != "" && len(line)+1+len(word) > width {
			lines = append(lines, line)
			line = ""
		}
		line = strings.TrimSpace(line + " " + word)
	}
	return append(lines, line)
}

func endsInDigit(word string) bool {
	last := word[len(word)-1]
	return last >= '0' && last <= '9'
}

// StoryOf is the case that a player of a plan has just played, as an ordinary run:
// what the recovery did in answer to where the truck stood has become steps with
// their times. Names, files and comment are left to be filled in. What would begin
// after the end is left out.
func StoryOf(plan *campaign.Plan, played *campaign.Played) Story {
	s := Story{Setup: played.Setup, HealedAt: played.Healed, JudgeForce: played.Options.JudgeForce}
	s.Setup.Doors, s.Setup.Locks, s.Setup.Watch = nil, nil, nil
	s.Setup.Duration = played.End
	s.Setup.Actions = append([]sim.Action(nil), played.Setup.Actions...)
	for i := range played.Recovery {
		s.Setup.Actions = append(s.Setup.Actions, plan.Actions(&played.Recovery[i])...)
	}
	s.Setup.Faults = nil
	for _, f := range played.Setup.Faults {
		if f.To >= played.End {
			f.To = 0
		}
		if f.From < played.End {
			s.Setup.Faults = append(s.Setup.Faults, f)
		}
	}
	return s
}

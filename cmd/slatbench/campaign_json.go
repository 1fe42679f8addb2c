package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"

	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

// The JSON object of a campaign; docs/campaign-files.md describes it. Numbers that
// there are none of are null.
type campaignJSON struct {
	Campaign      planJSON          `json:"campaign"`
	Verdict       string            `json:"verdict"`
	Interrupted   bool              `json:"interrupted"`
	Runs          int               `json:"runs"`
	Violating     int               `json:"violating_runs"`
	NotPlayed     int               `json:"runs_not_played"`
	Error         string            `json:"first_error,omitempty"`
	Silent        *silentJSON       `json:"silent,omitempty"`
	Confidence    float64           `json:"confidence"`
	Requirements  []countedJSON     `json:"requirements"`
	Matrix        []cellJSON        `json:"matrix"`
	Violations    []violationJSON   `json:"violations"`
	Search        []searchJSON      `json:"search"`
	Transitions   []transitionJSON  `json:"transitions"`
	Distributions []distributedJSON `json:"distributions"`
	Replay        string            `json:"replay"`
}

// silentJSON is the runs in which a controller failed as a whole.
type silentJSON struct {
	Runs  int     `json:"runs"`
	First uint64  `json:"first_run"`
	Bay   *string `json:"bay"` // null: the lock controller
	At    float64 `json:"t_s"`
	Why   string  `json:"why"`

	Controllers []silencedJSON `json:"controllers,omitempty"` // of a campaign
	Further     int            `json:"further,omitempty"`
}

// silencedJSON is a controller that failed as a whole for one reason.
type silencedJSON struct {
	Bay    *string  `json:"bay"` // null: the lock controller
	Why    string   `json:"why"`
	Runs   int      `json:"runs"`
	At     float64  `json:"t_s"` // in the first of them
	First  []uint64 `json:"first_runs"`
	Replay string   `json:"replay"`
}

// silentRuns is the same with every controller and reason.
func (r *campaignResult) silentRuns() *silentJSON {
	o := silentObject(&r.tally.Silent, &r.plan, r.id.Step)
	if o == nil {
		return nil
	}
	for _, s := range r.tally.WentSilent() {
		j := silencedJSON{Why: s.Why, Runs: s.Runs, At: float64(s.At) * r.id.Step, First: s.Cases, Replay: r.replay(s.Cases[0])}
		if s.Bay >= 0 {
			j.Bay = &r.plan.Truck.Bays[s.Bay].Name
		}
		o.Controllers = append(o.Controllers, j)
	}
	o.Further = r.tally.SilencedElse
	return o
}

// silentObject is nil where none of the runs has one.
func silentObject(s *campaign.Silent, p *campaign.Plan, step float64) *silentJSON {
	if s.Runs == 0 {
		return nil
	}
	o := &silentJSON{Runs: s.Runs, First: s.First, At: float64(s.What.At) * step, Why: s.What.Why}
	if s.What.Bay >= 0 {
		o.Bay = &p.Truck.Bays[s.What.Bay].Name
	}
	return o
}

type planJSON struct {
	Seed      uint64   `json:"seed"`
	Faults    int      `json:"faults"`
	Only      []string `json:"only"`
	Truck     string   `json:"truck"`
	TruckHash string   `json:"truck_hash"`
	Logic     string   `json:"logic"`
	LogicHash string   `json:"logic_hash"`
	Version   string   `json:"version"`
	Step      float64  `json:"step_s"`
	Tick      float64  `json:"tick_s"`
}

type countedJSON struct {
	ID    string   `json:"id"`
	Bound *float64 `json:"upper_bound"`
	sightJSON
}

type cellJSON struct {
	Requirement string `json:"requirement"`
	Fault       string `json:"fault"`
	Says        string `json:"says"`
	sightJSON
}

// sightJSON is what runs have come to on one requirement.
type sightJSON struct {
	Runs      int      `json:"runs"`
	Exercised int      `json:"exercised"`
	Violated  int      `json:"violated"`
	Exempt    int      `json:"exempt"`
	Reason    string   `json:"exempt_reason,omitempty"`
	Share     *float64 `json:"least_share"`
	Margin    *float64 `json:"least_margin"`
	Unit      string   `json:"unit,omitempty"`
	Clause    string   `json:"clause,omitempty"`
	Run       *uint64  `json:"least_run"` // index
}

type violationJSON struct {
	Requirement string   `json:"requirement"`
	Faults      []string `json:"faults"`
	Violated    int      `json:"violated"`
	First       uint64   `json:"first_run"`
	Replay      string   `json:"replay"`
	File        string   `json:"file,omitempty"`
}

type transitionJSON struct {
	Machine string `json:"machine"`
	Index   int    `json:"index"`
	Text    string `json:"transition"`
	Runs    int    `json:"runs"`
	Rare    string `json:"rare,omitempty"` // the written reason why it may stay at 0
}

type distributedJSON struct {
	Group string `json:"group"`
	Name  string `json:"name"`
	Unit  string `json:"unit,omitempty"`
	Law   string `json:"law"`
}

func (r *campaignResult) writeJSON(out io.Writer) error {
	text, err := json.MarshalIndent(r.object(), "", "  ")
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "%s\n", text)
	return err
}

func (r *campaignResult) object() *campaignJSON {
	o := &campaignJSON{
		Campaign: planJSON{
			Seed: r.plan.Seed, Faults: r.plan.Faults, Only: append([]string{}, r.plan.Only...), Truck: r.id.Truck, TruckHash: r.id.TruckHash,
			Logic: r.id.Logic, LogicHash: r.id.LogicHash, Version: r.id.Version, Step: r.id.Step, Tick: r.id.Tick,
		},
		Verdict: r.verdict(), Interrupted: r.interrupted, Runs: r.tally.Runs, Violating: r.tally.violating,
		NotPlayed: r.tally.Failed, Error: r.tally.Error, Silent: r.silentRuns(), Confidence: campaign.Confidence, Replay: r.again(r.runs()),
		Violations: []violationJSON{}, Search: r.searchObject(), Transitions: []transitionJSON{},
	}
	for i := range r.tally.Requirements {
		c := &r.tally.Requirements[i]
		j := countedJSON{ID: require.IDs[i], sightJSON: sightOf(c)}
		if high, ok := r.tally.Bound(c); ok && j.ID != "contact-force" {
			j.Bound = &high
		}
		o.Requirements = append(o.Requirements, j)
	}
	for i, id := range r.matrix.Requirements {
		for k, kind := range r.matrix.Columns {
			c := &r.matrix.Cells[i][k]
			o.Matrix = append(o.Matrix, cellJSON{Requirement: id, Fault: kind, Says: c.Say.String(), sightJSON: sightOf(&c.Cell)})
		}
	}
	for i := range r.violations {
		v := &r.violations[i]
		o.Violations = append(o.Violations, violationJSON{
			Requirement: v.id(), Faults: append([]string{}, v.Kinds...), Violated: v.Violated, First: v.First, Replay: v.replay, File: v.file,
		})
	}
	for _, t := range r.coverage {
		o.Transitions = append(o.Transitions, transitionJSON{t.Machine, t.Index, t.Text, t.Runs, t.WhyRare()})
	}
	for _, d := range campaign.Distributions() {
		o.Distributions = append(o.Distributions, distributedJSON{d.Group, d.Name, d.Unit, d.Law})
	}
	return o
}

func sightOf(c *campaign.Cell) sightJSON {
	s := sightJSON{Runs: c.Runs, Exercised: c.Exercised, Violated: c.Violated, Exempt: c.Exempt, Unit: c.Unit, Clause: c.Clause}
	if c.Exemption != nil {
		s.Reason = c.Exemption.Fault + ": " + c.Exemption.Reason
	}
	if !math.IsNaN(c.Share) {
		s.Run = &c.At
	}
	s.Share, s.Margin = numberOrNull(c.Share), numberOrNull(c.Margin)
	return s
}

func numberOrNull(x float64) *float64 {
	if absent(x) {
		return nil
	}
	return &x
}

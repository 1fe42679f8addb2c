package main

import (
	"encoding/json"
	"io"

	"slatbench/sim/campaign"
)

// Fates in short.
const (
	campaignCaught       = campaign.Caught
	campaignSurvived     = campaign.Survived
	campaignUndetermined = campaign.Undetermined
)

// The JSON object of an audit; docs/audit.md describes it.
type auditJSON struct {
	Logic    string       `json:"logic"`
	Verdict  string       `json:"verdict"`
	Seed     uint64       `json:"seed"`
	Draws    int          `json:"draws"`
	Budget   int          `json:"budget"`
	Stimuli  int          `json:"stimuli"`
	Broken   int          `json:"stimuli_original_violates"`
	Runs     int          `json:"runs"`
	Playing  int          `json:"playing"`
	Caught   int          `json:"caught"`
	ByRule   int          `json:"caught_by_rule"`
	NoRules  bool         `json:"without_rules,omitempty"`
	Relevant relevantJSON `json:"safety_relevant"`
	Unfired  []string     `json:"answers_never_reached"`
	Mutants  []mutantJSON `json:"mutants"`
	Replay   string       `json:"replay"`
}

type relevantJSON struct {
	Playing int `json:"playing"`
	Caught  int `json:"caught"`
	Open    int `json:"open"`
}

type mutantJSON struct {
	ID          string   `json:"id"`
	Text        string   `json:"text"`
	Kind        string   `json:"kind"`
	Safety      string   `json:"safety_relevant,omitempty"`
	Fate        string   `json:"fate"`
	Rule        string   `json:"rule,omitempty"`
	Breaks      string   `json:"breaks,omitempty"` // where that rule is broken, and how
	Why         string   `json:"why,omitempty"`    // refused, equivalent
	Requirement string   `json:"requirement,omitempty"`
	Clause      string   `json:"clause,omitempty"`
	Runs        int      `json:"runs"`
	Reach       int      `json:"stimuli_reaching"`
	Differs     string   `json:"first_difference,omitempty"`
	Where       string   `json:"where,omitempty"`
	At          float64  `json:"after_s,omitempty"`
	Kinds       []string `json:"differs_in,omitempty"`
	Run         []string `json:"run,omitempty"`
	Reason      string   `json:"reason,omitempty"`
}

func (r *auditReport) writeJSON(out io.Writer) error {
	a, s := r.count(all), r.count(relevant)
	o := auditJSON{
		Logic: r.audit.Base.Name, Verdict: "holds", Seed: r.flags.seed, Draws: r.flags.draws, Budget: r.flags.budget,
		Stimuli: r.result.Stimuli, Broken: r.result.Broken, Runs: r.result.Runs, Playing: a.playing(), Caught: a[campaign.Caught],
		ByRule: r.count(byRule)[campaign.Caught], NoRules: r.flags.noRules,
		Relevant: relevantJSON{s.playing(), s[campaign.Caught], len(r.open)}, Unfired: r.result.Unfired, Replay: r.replay(),
	}
	if len(r.open) > 0 {
		o.Verdict = "violated"
	}
	for _, u := range r.list {
		o.Mutants = append(o.Mutants, r.mutantJSON(u))
	}
	text, err := json.MarshalIndent(o, "", "  ")
	if err != nil {
		return err
	}
	_, err = out.Write(append(text, '\n'))
	return err
}

func (r *auditReport) mutantJSON(u *campaign.Audited) mutantJSON {
	m := mutantJSON{
		ID: u.Mutant.ID, Text: u.Mutant.Text, Kind: u.Mutant.Kind, Safety: u.Mutant.Safety, Fate: string(u.Fate),
		Why: u.Mutant.Refused + u.Mutant.Equivalent, Runs: u.Runs, Reach: u.Reach,
	}
	if u.Case != nil {
		m.Differs, m.Where, m.At, m.Kinds, m.Run = u.What, r.where(u.Who), float64(u.Tick)*auditTick, u.Kinds, r.happens(u.Case)
	}
	switch {
	case u.Rule != nil:
		m.Rule, m.Breaks = u.Rule.Rule, u.Rule.At+": "+u.Rule.Text
	case u.Fate == campaign.Caught:
		m.Requirement, m.Clause = u.By.ID, u.By.Clause
	}
	if r.missed(u) {
		m.Reason = r.reason[u.Mutant.ID]
	}
	return m
}

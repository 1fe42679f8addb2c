package scenarios

import (
	"slatbench/sim"
	"slatbench/sim/require"
)

// Options are those of the monitors that judge a run of the scenario.
func (sc *Scenario) Options() require.Options {
	return require.Options{Rated: sc.rated(), JudgeForce: sc.JudgeForce, Faults: sc.active(), HealedAt: sc.healedAt()}
}

// JudgedOn are verdicts as they stand, in the words of a [Result].
func JudgedOn(b *sim.Bench, results []require.Result) []Judged {
	var r Result
	r.take(results, b)
	return r.Requirements
}

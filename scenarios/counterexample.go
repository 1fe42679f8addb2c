package scenarios

import (
	"slatbench/sim"
	"slatbench/sim/campaign"
)

// StoryOf is the case that a player of a plan has just played, as an ordinary run:
// what the recovery did in answer to where the truck stood has become steps with
// their times. Names, files and comment are left to be filled in.
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

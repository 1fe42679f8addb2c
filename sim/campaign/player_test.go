package campaign_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/logic"
	"slatbench/sim/require"
)

// shipped is a fresh copy of the baseline.
func shipped(t testing.TB) *logic.Table {
	t.Helper()
	l := scenarios.Loader{Shipped: scenarios.Shipped()}
	table, err := l.LoadLogic(scenarios.BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// running gives every door and lock of a plan's truck the table.
func running(p *campaign.Plan, table *logic.Table) campaign.Controllers {
	return func() (doors []sim.Controller, locks sim.Controller) {
		for range p.Truck.Bays {
			doors = append(doors, logic.NewDoor(table, 0.01))
		}
		return doors, logic.NewLocks(table, 0.01)
	}
}

// same tells that two outcomes are the same, NaN and all.
func same(a, b campaign.Outcome) bool {
	if a.Hash != b.Hash || !reflect.DeepEqual(a.Transitions, b.Transitions) || len(a.Results) != len(b.Results) {
		return false
	}
	for i := range a.Results {
		x, y := a.Results[i], b.Results[i]
		if x.Share != x.Share && y.Share != y.Share {
			x.Share, y.Share = 0, 0
		}
		if x.Margin != x.Margin && y.Margin != y.Margin {
			x.Margin, y.Margin = 0, 0
		}
		if x != y {
			return false
		}
	}
	return true
}

// A player that has played hundreds of cases plays the next as a new one does.
func TestPlayerKeepsNothing(t *testing.T) {
	p, table := defaultPlan(2), shipped(t)
	used := campaign.NewPlayer(p, running(p, table))
	for i := range uint64(200) {
		fresh := campaign.NewPlayer(p, running(p, table))
		c := p.Draw(i)
		a, b := used.Play(c), fresh.Play(c)
		if a.Err != nil {
			t.Fatalf("case %d: %v", i, a.Err)
		}
		if !same(a, b) {
			t.Fatalf("case %d comes to %#x after others, and to %#x alone", i, a.Hash, b.Hash)
		}
	}
}

// What a case turned into is a script: played as such it is the same run.
func TestPlayedIsAScript(t *testing.T) {
	p, table := defaultPlan(1), shipped(t)
	pl := campaign.NewPlayer(p, running(p, table))
	taught := 0
	for i := range uint64(60) {
		c := p.Draw(i)
		o := pl.Play(c)
		played := *pl.Played()
		s := played.Setup
		s.Doors, s.Locks = running(p, table)()
		for k := range played.Recovery {
			s.Actions = append(s.Actions, p.Actions(&played.Recovery[k])...)
			if played.Recovery[k].Kind == sim.TeachHold {
				taught++
			}
		}
		options := played.Options
		options.HealedAt = played.Healed
		set := require.New(len(s.Truck.Bays), options)
		s.Watch = []sim.Observer{set}
		s.Duration = played.End
		b, err := sim.New(s)
		if err != nil {
			t.Fatal(err)
		}
		if err := b.Run(); err != nil {
			t.Fatal(err)
		}
		again := campaign.Outcome{Results: set.Results(), Transitions: o.Transitions, Hash: campaign.HashState(b)}
		if !same(o, again) {
			t.Errorf("case %d, as a script, comes to another end:\n%+v\n%+v", i, o, again)
		}
	}
	if taught == 0 {
		t.Error("no door was retrained in any of the cases")
	}
}

// A mechanic who pressed while somebody else held a button would teach nothing, and not know it.
func TestMechanicWaitsUntilNobodyPresses(t *testing.T) {
	p, table := defaultPlan(1), shipped(t)
	p.Seed = 2028
	c := p.DrawPlain(137361) // extra pulses, and a press that is held as they are mended
	pl := campaign.NewPlayer(p, running(p, table))
	pl.Play(c)
	held := 0.0 // until when, in s
	for _, s := range c.Steps {
		if s.Kind == sim.Press {
			held = max(held, s.At+s.Span)
		}
	}
	if held <= c.HealAt {
		t.Fatalf("mended at %g s, and no button is held after %g s", c.HealAt, held)
	}
	list := pl.Played().Recovery
	i := slices.IndexFunc(list, func(s campaign.StepDraw) bool { return s.Kind == sim.TeachHold })
	if i < 0 || list[i].At < held {
		t.Errorf("a button is held until %g s, and the mechanic does %+v", held, list)
	}
}

// A case that is cut short has told the truth so far.
func TestPlayUntil(t *testing.T) {
	p, table := defaultPlan(0), shipped(t)
	table.Tuning.TravelLimit, table.Tuning.SlowTravel = 2, 2 // no door arrives
	pl := campaign.NewPlayer(p, running(p, table))
	c := p.Draw(0)
	whole := pl.Play(c)
	end := pl.Played().End
	first := pl.PlayUntil(c, func(list []require.Result) bool {
		for i := range list {
			if list[i].Verdict == require.Violated {
				return true
			}
		}
		return false
	})
	if pl.Played().End >= end {
		t.Errorf("cut short at step %d of %d", pl.Played().End, end)
	}
	for i, r := range first.Results {
		if r.Verdict == require.Violated && whole.Results[i].Verdict != require.Violated {
			t.Errorf("%s is violated only when cut short", r.ID)
		}
	}
}

// A fault that the truck has no place for is an error, not a verdict.
func TestUnplayable(t *testing.T) {
	p, table := defaultPlan(0), shipped(t)
	c := p.Draw(0)
	c.Faults = []campaign.FaultDraw{{Kind: "stuck-reel", Place: 9, From: 1, Until: 2}}
	o := campaign.NewPlayer(p, running(p, table)).Play(c)
	if o.Err == nil || !strings.Contains(o.Err.Error(), "no bay 9") {
		t.Errorf("got %v", o.Err)
	}
}

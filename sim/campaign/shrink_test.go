package campaign_test

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/fault"
	"slatbench/sim/logic"
	"slatbench/sim/require"
)

// spoilt is the shipped logic with something wrong.
func spoilt(t *testing.T, change func(l *logic.Table)) *logic.Table {
	t.Helper()
	l := scenarios.Loader{Shipped: scenarios.Shipped()}
	table, err := l.LoadLogic(scenarios.BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	change(table)
	if p := table.Check(); len(p) > 0 {
		t.Fatal(p)
	}
	return table
}

func shippedPlan(t *testing.T, faults int, seed uint64) *campaign.Plan {
	t.Helper()
	l := scenarios.Loader{Shipped: scenarios.Shipped()}
	truck, err := l.LoadTruck(scenarios.DefaultTruck)
	if err != nil {
		t.Fatal(err)
	}
	return &campaign.Plan{Truck: truck.Params(), Faults: faults, Seed: seed}
}

func playerOf(p *campaign.Plan, table *logic.Table) *campaign.Player {
	return campaign.NewPlayer(p, func() (d []sim.Controller, k sim.Controller) {
		for range p.Truck.Bays {
			d = append(d, logic.NewDoor(table, 0.01))
		}
		return d, logic.NewLocks(table, 0.01)
	})
}

// seeded is a bad logic, and the story that shrinking must find for it, or a simpler one.
type seeded struct {
	name, requirement     string
	change                func(l *logic.Table)
	faults, events, steps int      // at most
	only                  []string // kinds of fault that are drawn; nil is all
}

var seededLogics = []seeded{
	{"no reversal", "obstruction-reversal", func(l *logic.Table) {
		retarget(&l.Door, "pausing", "between")
		retarget(&l.Door, "loosening", "between")
	}, 0, 1, 2, nil},
	{"a press does not stop a closing door", "stop-on-press", func(l *logic.Table) {
		withoutFrom(&l.Door, "press", "closing", "landing")
	}, 0, 0, 2, nil},
	{"locks with doors up", "lock-interlock", func(l *logic.Table) {
		withoutGuard(&l.Lock, "lock asked", "doors down")
		withoutGuard(&l.Lock, "settled", "doors down")
		without(&l.Lock, "doors lost")
	}, 0, 0, 1, nil},
	{"no pause between directions", "dead-time", func(l *logic.Table) { l.Tuning.Pause = 0.01 }, 0, 1, 2, nil},
	{"nothing is looked at while closing", "close-cut", func(l *logic.Table) {
		without(&l.Door, "edge pressed", "stall", "held up", "slowed")
	}, 0, 1, 2, nil},
	{"only the edge is looked at", "close-cut", func(l *logic.Table) {
		without(&l.Door, "stall", "held up", "slowed")
	}, 1, 1, 2, []string{"deaf-edge", "open-edge-wire"}},
}

// retarget lets the transitions to one state lead to another.
func retarget(m *logic.Machine, from, to string) {
	for i := range m.Transitions {
		if m.Transitions[i].To == from {
			m.Transitions[i].To = to
		}
	}
	prune(m)
}

// without takes away the transitions on some events.
func without(m *logic.Machine, events ...string) {
	m.Transitions = slices.DeleteFunc(m.Transitions, func(x logic.Transition) bool { return slices.Contains(events, x.On) })
	prune(m)
}

// withoutFrom takes states out of the transitions on an event.
func withoutFrom(m *logic.Machine, event string, states ...string) {
	for i := range m.Transitions {
		if x := &m.Transitions[i]; x.On == event {
			x.From = slices.DeleteFunc(slices.Clone(x.From), func(s string) bool { return slices.Contains(states, s) })
		}
	}
	prune(m)
}

// withoutGuard takes a guard away, with the transitions that asked for its opposite.
func withoutGuard(m *logic.Machine, event, guard string) {
	m.Transitions = slices.DeleteFunc(m.Transitions, func(x logic.Transition) bool {
		return x.On == event && slices.Contains(x.If, "not "+guard)
	})
	for i := range m.Transitions {
		if x := &m.Transitions[i]; x.On == event {
			x.If = slices.DeleteFunc(slices.Clone(x.If), func(g string) bool { return g == guard })
		}
	}
}

// prune takes away the states that nothing leads to any more, as the check of a table wants.
func prune(m *logic.Machine) {
	for {
		reached := []string{m.Start}
		for _, x := range m.Transitions {
			if len(x.From) > 0 {
				reached = append(reached, x.To)
			}
		}
		before := len(m.States)
		m.States = slices.DeleteFunc(m.States, func(s logic.State) bool { return !slices.Contains(reached, s.Name) })
		for i := range m.Transitions {
			x := &m.Transitions[i]
			x.From = slices.DeleteFunc(slices.Clone(x.From), func(s string) bool {
				return !slices.ContainsFunc(m.States, func(st logic.State) bool { return st.Name == s })
			})
		}
		m.Transitions = slices.DeleteFunc(m.Transitions, func(x logic.Transition) bool { return len(x.From) == 0 })
		if len(m.States) == before {
			return
		}
	}
}

// firstViolation draws until a case violates a requirement.
func firstViolation(t *testing.T, p *campaign.Plan, pl *campaign.Player, requirement string) *campaign.Case {
	t.Helper()
	k := slices.Index(require.IDs[:], requirement)
	for i := range uint64(600) {
		c := p.Draw(i)
		if o := pl.Play(c); o.Err == nil && o.Results[k].Verdict == require.Violated {
			return c
		}
	}
	t.Fatalf("no run of 600 violates %s", requirement)
	return nil
}

func TestShrinkFindsTheStory(t *testing.T) {
	for _, bad := range seededLogics {
		t.Run(bad.name, func(t *testing.T) {
			p := shippedPlan(t, 1, 5)
			p.Only = bad.only
			pl := playerOf(p, spoilt(t, bad.change))
			c := firstViolation(t, p, pl, bad.requirement)
			before := c.Clone()
			small, plays := campaign.Shrink(pl, c, bad.requirement)
			if d := cmp.Diff(before, c); d != "" {
				t.Errorf("the case that was given has changed: %s", d)
			}
			if plays > campaign.ShrinkPlays {
				t.Errorf("%d plays", plays)
			}
			faults, events := 0, 0
			for _, f := range small.Faults {
				if k, _ := fault.Find(f.Kind); k.Event {
					events++
				} else {
					faults++
				}
			}
			if faults > bad.faults || events > bad.events || len(small.Steps) > bad.steps {
				t.Errorf("%d faults, %d events, %d steps", faults, events, len(small.Steps))
			}
			checkViolates(t, pl, small, bad.requirement)
			checkPlain(t, small)
			if t.Failed() {
				t.Logf("after %d plays: %+v", plays, *small)
			}
		})
	}
}

// The same case shrinks to the same one, whatever the player has played before, and in
// no more than so many plays, even where it has much to leave out.
func TestShrinkIsDeterministicAndBounded(t *testing.T) {
	bad := seededLogics[0]
	table := spoilt(t, bad.change)
	p := shippedPlan(t, 2, 5)
	pl := playerOf(p, table)
	c := firstViolation(t, p, pl, bad.requirement)
	k := slices.Index(require.IDs[:], bad.requirement)
	at := pl.Play(c).Results[k].Bay
	for i := range uint64(60) { // a crowd of steps that have little to do with it
		crowd := c.Clone()
		for _, s := range p.Draw(i).Steps {
			if s.Kind == sim.Press && s.Bay != at && s.At < c.HealAt && len(crowd.Steps) < 80 {
				crowd.Steps = append(crowd.Steps, s)
			}
		}
		if o := pl.Play(crowd); o.Err == nil && o.Results[k].Verdict == require.Violated {
			c = crowd
		}
	}
	if len(c.Steps) < 50 {
		t.Fatalf("the crowded case of %d steps is no case for this test", len(c.Steps))
	}
	first, plays := campaign.Shrink(pl, c, bad.requirement)
	if plays > campaign.ShrinkPlays {
		t.Errorf("%d plays", plays)
	}
	again, playsAgain := campaign.Shrink(playerOf(p, table), c, bad.requirement)
	if d := cmp.Diff(first, again); d != "" || plays != playsAgain {
		t.Errorf("after %d and %d plays two searches differ: %s", plays, playsAgain, d)
	}
	if n := len(first.Steps); n > 3 {
		t.Errorf("%d steps are left: %+v", n, first.Steps)
	}
	checkViolates(t, pl, first, bad.requirement)
}

// What does not violate is given back as it is.
func TestShrinkOfWhatHolds(t *testing.T) {
	p := shippedPlan(t, 0, 5)
	pl := playerOf(p, spoilt(t, func(*logic.Table) {}))
	c := p.Draw(3)
	for _, requirement := range []string{"close-cut", "no such requirement"} {
		same, plays := campaign.Shrink(pl, c, requirement)
		if d := cmp.Diff(c, same); d != "" || plays > 1 {
			t.Errorf("%s: after %d plays: %s", requirement, plays, d)
		}
	}
}

// Where the violation comes while the recovery is at work, and is not about it, what
// the mechanic did becomes steps of the story.
func TestShrinkUnrollsTheRecovery(t *testing.T) {
	p := shippedPlan(t, 1, 5)
	pl := playerOf(p, spoilt(t, func(l *logic.Table) { l.Tuning.Pause = 0.01 }))
	found := 0
	for i := range uint64(60) {
		c := p.Draw(i)
		c.Steps = nil
		k := slices.Index(require.IDs[:], "dead-time")
		o := pl.Play(c)
		if o.Err != nil || o.Results[k].Verdict != require.Violated || float64(o.Results[k].At)*0.001 < c.HealAt {
			continue
		}
		found++
		small, _ := campaign.Shrink(pl, c, "dead-time")
		if small.HealAt < small.End || len(small.Steps) == 0 || len(small.Steps) > 2 {
			t.Errorf("case %d: mended at %g s of %g s, with the steps %+v", i, small.HealAt, small.End, small.Steps)
		}
		checkViolates(t, pl, small, "dead-time")
	}
	if found == 0 {
		t.Error("no violation in a recovery")
	}
}

func checkViolates(t *testing.T, pl *campaign.Player, c *campaign.Case, requirement string) {
	t.Helper()
	k := slices.Index(require.IDs[:], requirement)
	if o := pl.Play(c); o.Err != nil || o.Results[k].Verdict != require.Violated {
		t.Errorf("the small case does not violate %s: %v", requirement, o.Err)
	}
}

// checkPlain wants a truck as on paper, on level ground at 20 °C, and times that are
// multiples of a tenth of a second.
func checkPlain(t *testing.T, c *campaign.Case) {
	t.Helper()
	if c.Temperature != 20 || c.Sunlight != 0 || c.Grade != 0 || c.Charge != 0.9 || c.Untaught {
		t.Errorf("it stands at %g °C, %g lx, grade %g, charge %g", c.Temperature, c.Sunlight, c.Grade, c.Charge)
	}
	for i, b := range c.Bays {
		if b.Mass != 1 || b.Turns != 1 || b.Dry != 1 || b.Viscous != 1 || b.Motor != 1 {
			t.Errorf("bay %d is %+v", i, b)
		}
	}
	for _, s := range c.Steps {
		if tenths := s.At * 10; math.Abs(tenths-math.Round(tenths)) > 1e-6 {
			t.Errorf("a step at %g s", s.At)
		}
	}
}

package compare_test

import (
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/compare"
	"slatbench/sim/logic"
)

// The same table twice differs nowhere.
func TestSame(t *testing.T) {
	if err := compare.Agree(context.Background(), pair(t, 1, same), 30, all()); err != nil {
		t.Fatal(err)
	}
}

// No wire carries the name of a state, so renaming differs nowhere; and the states are
// known to be the same ones.
func TestRenamed(t *testing.T) {
	p := pair(t, 1, func(table *logic.Table) {
		rename(&table.Door, "between", "halfway")
		rename(&table.Door, "closing", "shutting")
		rename(&table.Door, "pausing", "closing")
		rename(&table.Lock, "failed", "stuck")
	})
	if sum := tally(t, p, 40, all()); sum.Differ != 0 || sum.Runs != 40 {
		t.Fatalf("%d of %d runs differ: %v", sum.Differ, sum.Runs, ids(sum))
	}
}

// Tables that are written otherwise and mean the same: the order of answers that
// exclude each other, one answer taken apart, a state's outputs spelled out.
func TestSameBehaviour(t *testing.T) {
	p := pair(t, 1, func(table *logic.Table) {
		d := &table.Door
		for i := range d.States {
			if d.States[i].Drive == "" {
				d.States[i].Drive = "off"
			}
			if d.States[i].Lamp == "" {
				d.States[i].Lamp = "off"
			}
		}
		first := d.Transitions[0]
		d.Transitions = append(d.Transitions[1:], first)
		for i := range d.Transitions {
			if tr := &d.Transitions[i]; len(tr.From) > 1 {
				one := *tr
				one.From, tr.From = tr.From[:1], tr.From[1:]
				d.Transitions = append(d.Transitions, one)
				break
			}
		}
	})
	if sum := tally(t, p, 40, all()); sum.Differ != 0 {
		t.Fatalf("%d runs differ: %v", sum.Differ, ids(sum))
	}
}

// A threshold that is raised is found where it decides, and nowhere before: at the
// event that it makes, in a state that waits for it.
func TestThreshold(t *testing.T) {
	p := pair(t, 1, func(table *logic.Table) { table.Tuning.StallOpening += 0.1 })
	sum := tally(t, p, 60, all())
	if sum.Differ == 0 {
		t.Fatal("no run differs")
	}
	for _, c := range sum.Classes() {
		if c.Old != "stall" && c.Old != "held up" || c.Lock || c.Kind == "permit" {
			t.Errorf("class %s is not where a stall while opening is answered", c.ID())
		}
	}
	if c := sum.Classes()[0]; c.Old != "stall" || c.New != compare.Nothing || c.Kind != "drive" {
		t.Errorf("most runs are of class %s, want a stall that the new one does not answer yet", c.ID())
	}
}

// An alarm that was added is a class of its own, in which nothing but tones differs
// at first and the alarm is heard more often.
func TestAddedAlarm(t *testing.T) {
	p := pair(t, 0, func(table *logic.Table) {
		for i := range table.Door.Transitions {
			if tr := &table.Door.Transitions[i]; tr.On == "floor" && tr.To == "down" && tr.If[0] == "near zero" {
				tr.Alarm = "low-supply"
			}
		}
	})
	sum := tally(t, p, 20, all())
	c := sum.Classes()
	if len(c) != 1 || c[0].ID() != "door/landing/floor/floor/tone" {
		t.Fatalf("classes %v, want the floor in landing alone", ids(sum))
	}
	if len(c[0].Alarms) == 0 || c[0].Alarms[len(c[0].Alarms)-1].Alarm != sim.LowSupply || c[0].Alarms[len(c[0].Alarms)-1].More != c[0].Runs {
		t.Errorf("alarms %+v, want low-supply more in each of %d runs", c[0].Alarms, c[0].Runs)
	}
	if names := c[0].Kinds.Names(); !cmp.Equal(names, []string{"tone"}) {
		t.Errorf("outputs %v differ, want the tone alone", names)
	}
}

// A state that was added shows among the states reached, and one that is merely called
// otherwise does not.
func TestAddedState(t *testing.T) {
	p := pair(t, 0, func(table *logic.Table) {
		d := &table.Door
		rename(d, "open", "up")
		d.States = append(d.States, logic.State{Name: "resting", Lamp: "on"})
		for i := range d.Transitions {
			if tr := &d.Transitions[i]; tr.On == "at top" {
				tr.To = "resting"
			}
		}
		d.Transitions = append(d.Transitions, logic.Transition{From: []string{"resting"}, On: "paused", To: "up"})
	})
	sum := tally(t, p, 20, all())
	c := sum.Classes()
	if len(c) != 1 || c[0].ID() != "door/opening/at-top/at-top/lamp" {
		t.Fatalf("classes %v, want the top in opening alone", ids(sum))
	}
	want := []compare.StateChange{{New: "resting", NewRuns: c[0].Runs}}
	if diff := cmp.Diff(want, sum.States(c[0])); diff != "" {
		t.Error(diff)
	}
}

// One guard among a hundred transitions, seeded: a comparison that missed it would be none.
func TestSubtle(t *testing.T) {
	p := pair(t, 1, func(table *logic.Table) {
		for i := range table.Door.Transitions {
			tr := &table.Door.Transitions[i]
			if tr.On == "held up" && tr.To == "open" && len(tr.From) == 3 {
				tr.To = "between" // after a reversal it does not know that it is open
			}
		}
	})
	err := compare.Agree(context.Background(), p, 400, all())
	var d *compare.Disagreement
	if !errors.As(err, &d) {
		t.Fatalf("found nothing: %v", err)
	}
	if !strings.Contains(err.Error(), "differs at") {
		t.Error(err)
	}
}

// What is found does not depend on who found it.
func TestWorkers(t *testing.T) {
	p := pair(t, 2, func(table *logic.Table) {
		table.Tuning.ClosingDuty = 0.9
		table.Tuning.LockSettle = 0.2
	})
	one, three := tally(t, p, 24, 1), tally(t, p, 24, 3)
	if diff := cmp.Diff(one.Classes(), three.Classes(), cmp.AllowUnexported(compare.Class{}), cmp.Comparer(equalOrNaN)); diff != "" {
		t.Error(diff)
	}
	for i, c := range one.Classes() {
		if diff := cmp.Diff(one.States(c), three.States(three.Classes()[i])); diff != "" {
			t.Error(diff)
		}
	}
}

func equalOrNaN(a, b float64) bool { return a == b || a != a && b != b }

// Shrinking keeps the class, and comes to the same each time.
func TestShrink(t *testing.T) {
	p := pair(t, 1, func(table *logic.Table) { table.Tuning.Pause = 0.5 })
	sum := tally(t, p, 30, all())
	c := sum.Classes()[0]
	pl := compare.NewPlayer(p)
	small, plays := pl.Shrink(c.Simplest, c.ID())
	if plays > compare.ShrinkPlays {
		t.Errorf("%d plays, at most %d", plays, compare.ShrinkPlays)
	}
	d := pl.Play(small).Difference
	if d == nil || d.ID() != c.ID() {
		t.Fatalf("the small case is of %v, not of %s", d, c.ID())
	}
	if len(small.Steps)+len(small.Faults) > 3 {
		t.Errorf("%d steps and %d faults are left", len(small.Steps), len(small.Faults))
	}
	again, _ := compare.NewPlayer(p).Shrink(c.Simplest, c.ID())
	if diff := cmp.Diff(small, again); diff != "" {
		t.Error(diff)
	}
	pl.Play(small)
	rows := pl.Timeline(d)
	first := 0
	for _, r := range rows {
		if r.First {
			first++
			if r.Old == r.New {
				t.Errorf("at the first difference both do %q", r.Old)
			}
		}
	}
	if first != 1 {
		t.Errorf("%d rows are the first difference", first)
	}
}

// half tells its state and no events; dumb tells nothing at all. Both keep records.
type (
	half struct {
		sim.Controller
		sim.Teller
		sim.Provisioner
	}
	dumb struct {
		sim.Controller
		sim.Provisioner
	}
	halfLocks struct {
		sim.Controller
		locks *logic.Locks
	}
	dumbLocks struct{ sim.Controller }
)

func (l halfLocks) SideState(side int) string { return l.locks.SideState(side) }

func hiding(of campaign.Controllers, states bool) campaign.Controllers {
	return func() (doors []sim.Controller, locks sim.Controller) {
		doors, locks = of()
		for i, d := range doors {
			door := d.(*logic.Door)
			if states {
				doors[i] = half{door, door, door}
			} else {
				doors[i] = dumb{door, door}
			}
		}
		if states {
			return doors, halfLocks{locks, locks.(*logic.Locks)}
		}
		return doors, dumbLocks{locks}
	}
}

// Controllers that tell less of themselves are compared as well, and found out at the
// same ticks: only the words for it are others.
func TestThoseThatTellLess(t *testing.T) {
	open := func(c campaign.Controllers) campaign.Controllers { return c }
	states := func(c campaign.Controllers) campaign.Controllers { return hiding(c, true) }
	nothing := func(c campaign.Controllers) campaign.Controllers { return hiding(c, false) }
	change := func(table *logic.Table) { table.Tuning.StopBefore += 0.04 }
	full := tally(t, pair(t, 0, change), 8, all())
	for _, c := range []struct {
		name     string
		old, new func(campaign.Controllers) campaign.Controllers
		want     string
	}{
		{"both tell all", open, open, "door/opening/nothing/at-top/drive"},
		{"old tells states", states, open, "door/opening/nothing/at-top/drive"},
		{"new tells states", open, states, "door/opening/nothing/to-open/drive"},
		{"both tell states", states, states, "door/opening/nothing/to-open/drive"},
		{"old tells nothing", nothing, open, "door/drives-up/untold/at-top/drive"},
		{"new tells nothing", open, nothing, "door/opening/nothing/untold/drive"},
		{"neither tells anything", nothing, nothing, "door/drives-up/pulses/pulses/drive"},
	} {
		p := pair(t, 0, change)
		p.Old, p.New = c.old(p.Old), c.new(p.New)
		sum := tally(t, p, 8, all())
		if sum.Differ != full.Differ || sum.Ticks != full.Ticks {
			t.Errorf("%s: %d runs differ after %d ticks, and %d after %d where both tell all", c.name, sum.Differ, sum.Ticks, full.Differ, full.Ticks)
		}
		if list := ids(sum); len(list) == 0 || list[0] != c.want {
			t.Errorf("%s: classes %v, want most runs in %s", c.name, list, c.want)
		}
	}
}

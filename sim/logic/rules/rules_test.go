package rules_test

import (
	"slices"
	"strings"
	"testing"

	"slatbench/scenarios"
	"slatbench/sim/campaign"
	"slatbench/sim/logic"
	"slatbench/sim/logic/rules"
)

func shipped(t *testing.T) *logic.Table {
	t.Helper()
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	table, err := l.LoadLogic(scenarios.BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// The logic that ships keeps every rule.
func TestShippedKeepsTheRules(t *testing.T) {
	for _, f := range rules.Check(shipped(t)) {
		t.Error(f)
	}
}

var made []campaign.Mutant

// mutants of the logic that ships; there are three thousand of them.
func mutants(t *testing.T) []campaign.Mutant {
	t.Helper()
	if made == nil {
		made = campaign.Mutants(shipped(t), 0.01)
	}
	return made
}

// Every rule has caught something: of the systematic mistakes in the logic that ships, each
// notices some.
func TestEveryRuleBites(t *testing.T) {
	broken, alone := map[string]int{}, map[string]int{}
	list := mutants(t)
	for i := range list {
		var names []string
		for _, f := range list[i].Breaks {
			if !slices.Contains(names, f.Rule) {
				names = append(names, f.Rule)
			}
		}
		for _, n := range names {
			broken[n]++
			if len(names) == 1 {
				alone[n]++
			}
		}
	}
	for _, r := range rules.All {
		t.Logf("%-18s breaks %4d, alone %4d", r.Name, broken[r.Name], alone[r.Name])
		if broken[r.Name] == 0 {
			t.Errorf("%s: no mistake breaks it", r.Name)
		}
	}
}

// The rules speak of conduct: other names change nothing.
func TestRulesDoNotKnowNames(t *testing.T) {
	table := shipped(t)
	for _, m := range []*logic.Machine{&table.Door, &table.Lock} {
		rename := func(s string) string {
			if s == logic.Stay {
				return s
			}
			return "x " + s
		}
		m.Start = rename(m.Start)
		for i := range m.States {
			m.States[i].Name = rename(m.States[i].Name)
		}
		for i := range m.Transitions {
			x := &m.Transitions[i]
			x.To = rename(x.To)
			x.From = slices.Clone(x.From)
			for k := range x.From {
				x.From[k] = rename(x.From[k])
			}
		}
	}
	for _, f := range rules.Check(table) {
		t.Error(f)
	}
}

// Finding a mistake says where it is, and what is wrong, in words of the table.
func TestFindings(t *testing.T) {
	for text, want := range map[string]string{
		"door: landing on barred -> between: deleted":                  "door stop: landing on barred: nothing answers it",
		"door: giving up on barred -> between: action 'flash' dropped": "door stop: giving up on barred: is stopped by the lock and the lamp does not flash",
		"door: closing on stall -> pausing: to down instead": "door down: closing on stall: " +
			"leads to a state that says down, and no floor is shown",
		"door: state rising: duty slow, not full":                               `door duty: rising: drives at duty "slow", not ""`,
		"door: pausing on paused [not past zero] -> rising: to opening instead": "door pause: pausing on paused [not past zero]: the way back ends by a count that may be wrong",
		"door: pausing on paused [past zero] -> homing: action 'doubt' dropped": "door count: pausing on paused [past zero]: nothing lies below the floor, and the count is not doubted",
		"door: open on edge pressed [sill made] -> between: deleted":            "door rest: open on edge pressed: nothing answers it",
		"lock: freed, warning on lock asked [doors down] -> settling: guard 'doors down' dropped, in place of its counterparts": "lock drive: freed on lock asked: " +
			"a bar is about to be driven, and nobody has asked for it with 'doors down'",
		"lock: locking on late -> retracting: alarm lock-blocked dropped":             "lock tell: locking on late: lock-blocked and both lamps tell what goes wrong in a stroke, once, and nothing else",
		"tuning: travel limit x 1.25":                                                 "tuning limits: travel limit: travel-timeout: 15 s",
		"tuning: lock stroke x 2":                                                     "tuning order: lock stroke: is not far enough below 'lock limit': a bar that is brought back is given up only after it",
		"door: opening on at top -> open: to between instead":                         "door way: opening on at top: it is open, and goes where it is not taken for open",
		"door: open on press [not permitted] -> stay: action 'flash' dropped":         "door refuse: open on press [not permitted]: is refused and the lamp does not flash",
		"door: measuring down on floor [near zero] -> turning: action 'zero' dropped": "door floor: measuring down on floor [near zero]: teaching sets the count to zero, and turns",
		"lock: failed on unlock asked -> unlocking: deleted":                          "lock request: failed on unlock asked: nothing answers it",
		"door: closing, landing on edge faulty -> pausing: also from creeping":        "door meet: creeping on edge faulty: has no meaning there: it did not begin with a sound edge",
		"door: measuring down on slowed [not sill made] -> giving up: deleted":        "door meet: measuring down on slowed: nothing answers it",
		"door: landing on slowed [not sill made] -> pausing: deleted":                 "door meet: landing on slowed: nothing answers it",
		"door: landing, creeping on slowed [not sill made] -> pausing: guard 'not sill made' dropped": "door meet: creeping on slowed: " +
			"the seal slows it down as well: it must ask that the sill switch is not made",
		"lock: locking on switches wrong -> returning: to retracting instead": "lock stroke: retracting on arrived unlocked: has no meaning there: a switch was seen to lie, or a door was not down",
		"door: opening on stall [near top, idling] -> between: action 'doubt' dropped": "door count: opening on stall [near top, idling]: " +
			"the curtain may have fallen, and the count is not doubted",
		"door: opening on stall [not near top] -> between: alarm stalled-opening dropped": `door alarm: opening on stall [not near top]: tells "", not "stalled-opening"`,
	} {
		if got := breaks(t, text); !slices.Contains(got, want) {
			t.Errorf("%s:\n%s\nwant among them\n%s", text, strings.Join(got, "\n"), want)
		}
	}
}

// A lock that has failed does not settle where one that is at home does: a request that is taken
// back there would free the doors on the word of a switch that nobody trusts.
func TestFailedLockSettlesApart(t *testing.T) {
	table := shipped(t)
	for i := range table.Lock.Transitions {
		if x := &table.Lock.Transitions[i]; x.To == "retrying" {
			x.To = "settling"
		}
	}
	want := "lock permit: settling on unlock asked [at unlocked]: permits the doors, and nothing shows that the bar is home"
	if found := rules.Check(table); !slices.ContainsFunc(found, func(f rules.Finding) bool { return f.String() == want }) {
		t.Errorf("not found: %s\namong %v", want, found)
	}
}

// A table that caps a count at the stop does so however the stop is met: each cap that is left out is
// told of, and nothing else is. One that caps nowhere is of another design.
func TestCapInEveryAnswerAtTheStop(t *testing.T) {
	dropped := 0
	for _, u := range mutants(t) {
		if !strings.HasSuffix(u.Text, "action 'cap' dropped") {
			continue
		}
		dropped++
		if len(u.Breaks) != 1 || u.Breaks[0].Rule != "door cap" {
			t.Errorf("%s: breaks %v", u.Text, u.Breaks)
		}
	}
	if dropped < 2 {
		t.Errorf("%d caps are dropped, and the stop is met in more ways", dropped)
	}

	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	floorOnly, err := l.LoadLogic("logic/floor-only.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range rules.Check(floorOnly) {
		t.Error(f)
	}
}

// breaks lists what a mistake breaks, by how it reads.
func breaks(t *testing.T, text string) (list []string) {
	t.Helper()
	for _, u := range mutants(t) {
		if u.Text == text {
			for _, f := range u.Breaks {
				list = append(list, f.String())
			}
			return list
		}
	}
	t.Errorf("no mistake reads %q", text)
	return nil
}

// A table without a door that teaches, without locks that lock and so on is no reason to
// fail: every rule speaks of what is there.
func TestSmallestTable(t *testing.T) {
	table := shipped(t)
	still := logic.Machine{Start: "waking", States: []logic.State{{Name: "waking"}, {Name: "rest"}}, Transitions: []logic.Transition{
		{From: []string{"waking"}, On: "awake", To: "rest"}, {From: []string{"rest"}, On: "awake", To: "waking"},
	}}
	table.Door, table.Lock = still, still
	found := rules.Check(table)
	if !slices.ContainsFunc(found, func(f rules.Finding) bool { return f.Rule == "door refuse" && f.At == "rest on press" }) {
		t.Errorf("a door that answers no press: %v", found)
	}
}

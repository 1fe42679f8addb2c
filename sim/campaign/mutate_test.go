package campaign

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"slatbench/sim/logic"
)

// turnstile is a logic small enough to count its mutants by hand.
func turnstile() *logic.Table {
	t := &logic.Table{Name: "small"}
	t.Door = logic.Machine{
		Start: "down",
		States: []logic.State{
			{Name: "down", Says: "down"},
			{Name: "up", Drive: "up", Lamp: "on"},
			{Name: "open"},
		},
		Transitions: []logic.Transition{
			{From: []string{"down", "open"}, On: "press", If: []string{"permitted"}, To: "up"},
			{From: []string{"down", "open"}, On: "press", If: []string{"not permitted"}, To: "stay", Do: []string{"flash"}},
			{From: []string{"up"}, On: "at top", If: []string{"count known"}, To: "open", Alarm: "slow-travel"},
		},
	}
	t.Lock = logic.Machine{
		Start:  "free",
		States: []logic.State{{Name: "free", Permit: "yes"}, {Name: "bolted"}},
		Transitions: []logic.Transition{
			{From: []string{"free"}, On: "lock asked", To: "bolted"},
			{From: []string{"bolted"}, On: "unlock asked", To: "free"},
		},
	}
	for i := range tunings {
		low, high, err := parseRange(tunings[i].limits)
		if err != nil {
			panic(err)
		}
		tunings[i].set(&t.Tuning, min(max(low, 0.1), high))
	}
	return t
}

func TestMutantsOfASmallTable(t *testing.T) {
	base := turnstile()
	if p := base.Check(); len(p) > 0 {
		t.Fatal(p)
	}
	var texts []string
	for _, u := range Mutants(base, 0.01) {
		if u.Kind == "scaled" {
			continue
		}
		word := ""
		switch {
		case u.Refused != "":
			word = "refused: "
		case u.Equivalent != "":
			word = "equivalent: "
		case u.Safety != "":
			word = "safety: "
		}
		texts = append(texts, word+u.Text)
	}
	want := strings.Split(strings.TrimSpace(smallMutants), "\n")
	if d := cmp.Diff(want, texts); d != "" {
		t.Error(d)
	}
}

// By hand from turnstile. The sorts of the door's states are down, up and open (at rest,
// says nothing); those of the lock free and bolted.
const smallMutants = `
refused: door: down on press [permitted] -> up: deleted
refused: door: down on press [permitted] -> up: to stay instead
refused: door: down on press [permitted] -> up: to down instead
safety: door: down on press [permitted] -> up: to open instead
refused: door: open on press [permitted] -> up: deleted
refused: door: open on press [permitted] -> up: to stay instead
safety: door: open on press [permitted] -> up: to down instead
refused: door: open on press [permitted] -> up: to open instead
refused: door: down, open on press [permitted] -> up: stands twice
door: down, open on press [permitted] -> up: also from up
refused: door: down, open on press [permitted] -> up: guard 'permitted' dropped
safety: door: down, open on press [permitted] -> up: guard 'permitted' dropped, in place of its counterparts
refused: door: down, open on press [permitted] -> up: guard 'permitted' turned round
safety: door: down, open on press: guard 'permitted' turned round throughout
door: down on press [not permitted] -> stay: deleted
equivalent: door: down on press [not permitted] -> stay: to down instead
safety: door: down on press [not permitted] -> stay: to up instead
safety: door: down on press [not permitted] -> stay: to open instead
door: open on press [not permitted] -> stay: deleted
safety: door: open on press [not permitted] -> stay: to down instead
safety: door: open on press [not permitted] -> stay: to up instead
equivalent: door: open on press [not permitted] -> stay: to open instead
refused: door: down, open on press [not permitted] -> stay: stands twice
door: down, open on press [not permitted] -> stay: also from up
refused: door: down, open on press [not permitted] -> stay: guard 'not permitted' dropped
refused: door: down, open on press [not permitted] -> stay: guard 'not permitted' dropped, in place of its counterparts
refused: door: down, open on press [not permitted] -> stay: guard 'not permitted' turned round
door: down on press [not permitted] -> stay: action 'flash' dropped
door: open on press [not permitted] -> stay: action 'flash' dropped
refused: door: up on at top [count known] -> open: deleted
refused: door: up on at top [count known] -> open: to stay instead
refused: door: up on at top [count known] -> open: to down instead
refused: door: up on at top [count known] -> open: to up instead
refused: door: up on at top [count known] -> open: stands twice
equivalent: door: up on at top [count known] -> open: also from down
equivalent: door: up on at top [count known] -> open: also from open
equivalent: door: up on at top [count known] -> open: guard 'count known' dropped
safety: door: up on at top [count known] -> open: guard 'count known' turned round
door: up on at top [count known] -> open: alarm slow-travel dropped
door: up on at top [count known] -> open: alarm stalled-opening for slow-travel
safety: door: state down: drive up, not off
safety: door: state down: drive down, not off
door: state down: lamp on, not off
door: state down: lamp flash, not off
safety: door: state down: says nothing, not down
safety: door: state up: drive off, not up
safety: door: state up: drive down, not up
safety: door: state up: duty closing, not full
safety: door: state up: duty slow, not full
safety: door: state up: duty teaching, not full
door: state up: lamp off, not on
door: state up: lamp flash, not on
safety: door: state up: says down, not nothing
safety: door: state open: drive up, not off
safety: door: state open: drive down, not off
door: state open: lamp on, not off
door: state open: lamp flash, not off
safety: door: state open: says down, not nothing
refused: lock: free on lock asked -> bolted: deleted
refused: lock: free on lock asked -> bolted: to stay instead
refused: lock: free on lock asked -> bolted: to free instead
refused: lock: free on lock asked -> bolted: stands twice
equivalent: lock: free on lock asked -> bolted: also from bolted
refused: lock: bolted on unlock asked -> free: deleted
refused: lock: bolted on unlock asked -> free: to stay instead
refused: lock: bolted on unlock asked -> free: to bolted instead
refused: lock: bolted on unlock asked -> free: stands twice
lock: bolted on unlock asked -> free: also from free
safety: lock: state free: drive lock, not off
safety: lock: state free: drive unlock, not off
lock: state free: lamp on, not off
lock: state free: lamp flash, not off
safety: lock: state free: permit no, not yes
safety: lock: state bolted: drive lock, not off
safety: lock: state bolted: drive unlock, not off
lock: state bolted: lamp on, not off
lock: state bolted: lamp flash, not off
safety: lock: state bolted: permit yes, not no
`

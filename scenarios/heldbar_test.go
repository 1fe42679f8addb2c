package scenarios

import (
	"fmt"
	"slices"
	"testing"

	"slatbench/sim/require"
)

const heldBar = `duration: 12 s
start: {charge: 100 %%}
steps: [{at: 1 s, lock: curbside}, {at: 6 s, unlock: curbside}, {at: 10 s, press: C1}]
faults:
  - {stuck-lock-switch: curbside, from: 0.5 s, end: unlocked, state: made}
  - {blocked-lock-bar: curbside, from: %d ms, position: %d mm}
`

// The unlocked end switch sticks while the bar is home, a lock request comes, and something holds
// the bar on its way back. Nobody can tell that from an actuator that does not move, and the doors
// are freed at the next unlock request: so the bar is turned before it has left its clear zone.
func TestBarThatIsHeldOnItsWayBack(t *testing.T) {
	for from := 1200; from <= 1800; from += 50 {
		for at := 4; at <= 24; at += 4 {
			r := mustRun(t, aRun+fmt.Sprintf(heldBar, from, at))
			i := slices.IndexFunc(r.Requirements, func(j Judged) bool { return j.ID == "lock-interlock" })
			if j := r.Requirements[i]; j.Verdict != require.Holds {
				t.Errorf("held at %d mm from %d ms on: lock-interlock %s is %v", at, from, j.Clause, j.Verdict)
			}
			for _, j := range r.Requirements { // nor can anybody tell of it
				if j.Verdict == require.Violated {
					t.Errorf("held at %d mm from %d ms on: %s %s is violated", at, from, j.ID, j.Clause)
				}
			}
		}
	}
}

package scenarios

import (
	"fmt"
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
// are freed at the next unlock request: so the bar is turned before it has left its clear zone, and
// nothing is violated; nor need anybody be told, since nobody can tell.
func TestBarThatIsHeldOnItsWayBack(t *testing.T) {
	for from := 1200; from <= 1800; from += 50 {
		for at := 4; at <= 24; at += 4 {
			for _, j := range mustRun(t, aRun+fmt.Sprintf(heldBar, from, at)).Requirements {
				tried := j.Verdict == require.Holds || j.ID != "lock-interlock"
				if j.Verdict == require.Violated || !tried {
					t.Errorf("held at %d mm from %d ms on: %s %s is %v", at, from, j.ID, j.Clause, j.Verdict)
				}
			}
		}
	}
}

const lateSwitch = `duration: 14 s
start: {charge: 100 %%}
healed at: 6 s
steps: [{at: 1 s, lock: curbside}, {at: 3.2 s, unlock: curbside}, {at: 7 s, unlock: curbside}]
faults:
  - {blocked-lock-bar: curbside, from: 0 s, until: 3.1 s, position: 12 mm}
  - {stuck-lock-switch: curbside, from: 2 s, until: %d ms, end: locked, state: made}
`

// The locked end switch sticks beside a bar that is held near home, and lets go as that is driven
// back: before the other is made, in the same tick, after it, or once the drive has lasted too long for
// a bar that was locked to have just left.
func TestLockedSwitchThatLetsGoOnTheWayHome(t *testing.T) {
	for until := 3300; until <= 3600; until += 10 {
		for _, j := range mustRun(t, aRun+fmt.Sprintf(lateSwitch, until)).Requirements {
			if j.Verdict == require.Violated {
				t.Errorf("mended at %d ms: %s %s is violated", until, j.ID, j.Clause)
			}
		}
	}
}

package logic_test

import (
	"testing"

	"slatbench/sim"
)

// What a pair of wires says.
var (
	saysDown    = sim.DownLines{Down: true}
	saysNotDown = sim.DownLines{NotDown: true}
	bothOn      = sim.DownLines{Down: true, NotDown: true}
	silent      = sim.DownLines{}
)

// says lets the first door of the curbside say one after the other.
func (r *lockRig) says(words ...sim.DownLines) {
	for _, w := range words {
		r.in.Sides[0].Down[0] = w
		r.wait(0.05)
	}
}

// The wires of a dark door drop, and one that sticks then makes the pair say "down": it is believed
// only after the door has plainly said that it is not.
func TestDoorWhoseWiresWereImplausibleIsNotBelieved(t *testing.T) {
	for _, c := range []struct {
		name  string
		words []sim.DownLines
		locks bool
	}{
		{"a door that comes down", []sim.DownLines{saysNotDown, saysDown}, true},
		{"stuck, and then dark", []sim.DownLines{saysNotDown, bothOn, saysDown}, false},
		{"stuck while it was down, opened, and then dark", []sim.DownLines{saysDown, bothOn, saysDown}, false},
		{"dark, and then stuck", []sim.DownLines{saysNotDown, silent, saysDown}, false},
		{"a wire that was off while the door was down", []sim.DownLines{saysDown, silent, saysDown}, true},
		{"mended, and not opened since", []sim.DownLines{bothOn, silent, saysDown}, false},
		{"mended, opened and closed", []sim.DownLines{bothOn, saysDown, saysNotDown, saysDown}, true},
		{"woken", []sim.DownLines{saysNotDown, silent, saysNotDown, saysDown}, true},
	} {
		for _, reset := range []bool{false, true} {
			r := newLockRig(t, baseline(t))
			r.says(c.words...)
			if reset {
				r.out = sim.Outputs{}
				r.locks.PowerOn(&r.store)
				r.wait(0.2)
			}
			r.lock(0)
			r.wait(0.2)
			if driven := r.locks.SideState(0) == "locking"; driven != c.locks {
				t.Errorf("%s, reset %v: %s", c.name, reset, r.locks.SideState(0))
			}
			if !c.locks && r.lit[0] == 0 {
				t.Errorf("%s: refused without a word", c.name)
			}
		}
	}
}

// A door that is silent when the lock wakes is dark.
func TestDoorThatIsSilentAtAResetIsNotBelieved(t *testing.T) {
	r := newLockRig(t, baseline(t))
	r.says(silent)
	r.locks.PowerOn(&r.store)
	r.says(silent, saysDown)
	r.wait(0.2)
	r.lock(0)
	r.is(0, "freed")
	r.says(saysNotDown, saysDown)
	r.lock(0)
	r.is(0, "settling")
}

// A door that a lock has always believed costs the store nothing.
func TestDoorsThatAreBelievedAreNotWrittenDown(t *testing.T) {
	r := newLockRig(t, baseline(t))
	before := r.store
	r.says(saysNotDown, saysDown, saysNotDown, silent, saysNotDown)
	if r.store != before {
		t.Errorf("the store has become %v", r.store)
	}
	r.says(bothOn)
	if r.store == before {
		t.Error("a door that is doubted is not on record")
	}
	r.says(saysNotDown)
	if r.store != before {
		t.Errorf("the store has stayed %v", r.store)
	}
}

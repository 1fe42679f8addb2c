package trial_test

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"slatbench/sim"
	"slatbench/sim/firmware"
	"slatbench/sim/firmware/conform"
)

// Nothing is wrong with the examples, and all of the script can be tried on them.
func TestExamplesAreFit(t *testing.T) {
	folder := built(t)
	program, err := firmware.OpenProgram("controller", []string{filepath.Join(folder, "controller")}, firmware.DefaultDeadline)
	if err != nil {
		t.Fatal(err)
	}
	defer program.Close()
	for what, l := range map[string]sim.Logic{
		"C": module(t, filepath.Join(folder, "controller.wasm")), "Go": module(t, filepath.Join(folder, "controller-go.wasm")), "program": program,
	} {
		r, err := conform.Check(l)
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		for _, i := range r.Items {
			if i.Wrong != "" || i.Note != "" {
				t.Errorf("%s: %s: %s%s", what, i.Tried, i.Wrong, i.Note)
			}
		}
	}
}

// One output of the C example left off, or put to another's place, is found by the check.
func TestWrongWiringIsFound(t *testing.T) {
	for _, c := range []struct{ what, file, old, replacement, says string }{
		{"a door's sounder", "door.c", "bench_out.tone = sounder_tick(&d.sounder);", "(void)sounder_tick(&d.sounder);",
			"door C1 closed on a crate at 900 mm, and the sounder never sounded (tone)"},
		{"the locks' sounder", "locks.c", "bench_out.tone = sounder_tick(&locks.sounder);", "(void)sounder_tick(&locks.sounder);",
			"the bar of curbside was driven against something in its way, and the sounder never sounded (tone)"},
		{"a lamp", "door.c", "bench_out.lamp = ", "bench_out.tone = ", "the lamp of C1 was never on while it moved (lamp)"},
		{"the teach button", "door.c", "bit(bench_in.teach, DOOR_IF_TEACH_ASKED)", "bit(false, DOOR_IF_TEACH_ASKED)",
			"an empty store, the teach button held, and a press: nothing was driven"},
		{"the address of a byte", "parts.c", "bench_out.write_at = p->at[p->i];", "bench_out.write_at = 0;", "and bench_taught finds no travel in it"},
		{"the sides", "locks.c", "&bench_out.sides[i])", "&bench_out.sides[1 - i])", "curbside was asked to lock, and the bar of roadside was driven"},
		{"the permit", "locks.c", "permit = now->says;", "permit = 1;", "the bar of curbside is at its locked end, and the lock controller lets its doors move (permit)"},
		{"the count", "door.c", "bench_out.counts = d.count;", "bench_out.counts = -d.count;",
			"the door is up, 360 pulses above the floor, and it tells a count of -35"},
		{"the state", "door.c", "bench_out.state[0] = (uint16_t)n;", "bench_out.state[1] = (uint16_t)n;",
			`it told the same state, "waking", with the door down, moving and up (state)`},
		{"the locks' state", "locks.c", "bench_out.state[s->side] = ", "bench_out.state[0] = ",
			`it told the same state of roadside, "waking", before it was locked and after (state)`},
		{"the enable", "door.c", "bench_out.enable = d.enable;", "bench_out.enable = 1;", "had held a coil on for half a second (up, down, enable)"},
	} {
		r, err := conform.Check(spoiledC(t, c.file, c.old, c.replacement))
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		if !slices.ContainsFunc(r.Items, func(i conform.Item) bool { return strings.Contains(i.Wrong, c.says) }) {
			t.Errorf("%s: %q is not said", c.what, c.says)
			for _, i := range r.Items {
				if i.Wrong != "" {
					t.Logf("  %s: %s", i.Tried, i.Wrong)
				}
			}
		}
	}
}

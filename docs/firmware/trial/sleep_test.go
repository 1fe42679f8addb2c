package trial_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/firmware"
	"slatbench/sim/firmware/conform"
)

// keptAwake is a logic whose controllers pass over no tick.
func keptAwake(make campaign.Controllers) campaign.Controllers {
	return func() (doors []sim.Controller, locks sim.Controller) {
		doors, locks = make()
		for _, c := range append(doors[:len(doors):len(doors)], locks) {
			c.(sim.Dozer).KeepAwake()
		}
		return doors, locks
	}
}

// Sleeping changes nothing of a campaign: the hash of every run, over all that was judged
// and the final state, is the same where the C example sleeps, where it may not, where it
// is a program, and with the table.
func TestSleepingIsExact(t *testing.T) {
	folder := built(t, "c")
	m := module(t, filepath.Join(folder, "controller.wasm"))
	program, err := firmware.OpenProgram("controller", []string{filepath.Join(folder, "controller")}, firmware.DefaultDeadline)
	if err != nil {
		t.Fatal(err)
	}
	defer program.Close()
	table := baseline(t)
	for most := range 3 {
		p := &campaign.Plan{Truck: truck(t), Faults: most, Seed: 11}
		asleep := campaign.NewPlayer(p, made(p, m))
		awake := campaign.NewPlayer(p, keptAwake(made(p, m)))
		other := campaign.NewPlayer(p, made(p, table))
		process := campaign.NewPlayer(p, made(p, program))
		for i := range uint64(20) {
			c := p.Draw(i)
			if i < 2 {
				if o := process.Play(c); o.Err != nil || o.Hash != asleep.Play(c).Hash {
					t.Fatalf("of %d faults at most, case %d: %v, or another hash as a program", most, i, o.Err)
				}
			}
			got, want, tables := asleep.Play(c), awake.Play(c), other.Play(c)
			if got.Err != nil || got.Hash != want.Hash || got.Hash != tables.Hash {
				t.Fatalf("of %d faults at most, case %d: %v, %x asleep, %x awake, %x with the table", most, i, got.Err, got.Hash, want.Hash, tables.Hash)
			}
		}
	}
}

// spoiledC builds the C example as a module, with something in one of its files replaced.
func spoiledC(t *testing.T, file, old, replacement string) *firmware.Module {
	t.Helper()
	for _, tool := range []string{"clang", "wasm-ld"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("%s is not installed: the C example is not built", tool)
		}
	}
	text, err := os.ReadFile(filepath.Join("../c", file))
	if err != nil || strings.Count(string(text), old) != 1 {
		t.Fatalf("%s: %v, %q is not there once", file, err, old)
	}
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, file), []byte(strings.Replace(string(text), old, replacement, 1)), 0o666); err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(folder, "controller.wasm")
	args := []string{"--target=wasm32", "-O2", "-std=c11", "-mbulk-memory", "-nostdlib", "-Wl,--no-entry", "-I../c", "-I..", "-o", to}
	for _, name := range []string{"controller.c", "door.c", "locks.c", "parts.c"} {
		if name == file {
			args = append(args, filepath.Join(folder, name))
		} else {
			args = append(args, filepath.Join("../c", name))
		}
	}
	if out, err := exec.Command("clang", args...).CombinedOutput(); err != nil {
		t.Fatalf("clang: %v\n%s", err, out)
	}
	return module(t, to)
}

// Firmware that sleeps while something is to come, or that does not make up for what it has
// slept through, is found by the check; and the example as it is, is not.
func TestWrongSleepIsFound(t *testing.T) {
	const tried, says = "ticks that it sleeps through change nothing", "gave other outputs than it gives when it is called at every tick"
	for _, c := range []struct {
		what, file, old, replacement, who string
	}{
		{"as it is", "door.c", "/* Outputs. */", "/* Drive and lamp. */", ""},
		{"asleep before its record is written", "door.c", "d.at_rest > t.RUN_OUT && ", "", "of C1 "},
		{"its clocks stand still asleep", "locks.c", "make_up(missed);", "(void)make_up;", "of the locks "},
		{"asleep before its bar sets out", "locks.c", "(happens | BY_TIME) & s->waits", "happens & s->waits", "of the locks "},
	} {
		r, err := conform.Check(spoiledC(t, c.file, c.old, c.replacement))
		if err != nil {
			t.Fatal(err)
		}
		last := r.Items[len(r.Items)-1]
		if found := last.Wrong != ""; last.Tried != tried || found != (c.who != "") || found && !strings.Contains(last.Wrong, c.who+says) {
			t.Errorf("%s: %+v", c.what, last)
		}
	}
}

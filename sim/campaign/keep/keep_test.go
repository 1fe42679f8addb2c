package keep_test

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"slatbench/sim/campaign"
	"slatbench/sim/campaign/keep"
	"slatbench/sim/require"
)

// compare by bits: NaN equals itself and -0 does not equal 0.
var bits = cmp.Comparer(func(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) })

func TestRunsComeBackAsTheyWere(t *testing.T) {
	const runs = 3000
	name := filled(t, runs)
	f, err := keep.OpenToRead(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	next := uint64(0)
	err = f.Each(runs, func(r *keep.Run) error {
		c, want := play(next)
		if r.Index != next || strings.Join(r.Kinds, "+") != keep.KindsOf(c) {
			t.Fatalf("run %d of %q, want run %d of %q", r.Index, r.Kinds, next, keep.KindsOf(c))
		}
		texts := cmp.Comparer(func(a, b error) bool { return fmt.Sprint(a) == fmt.Sprint(b) })
		exemptions := cmp.Comparer(func(a, b *require.Exemption) bool { return a == b })
		if diff := cmp.Diff(want, &r.Outcome, bits, texts, exemptions, cmpopts.EquateEmpty()); diff != "" {
			t.Fatalf("run %d (-kept +read):\n%s", next, diff)
		}
		next++
		return nil
	})
	if err != nil || next != runs {
		t.Errorf("%d runs read, %v; want %d", next, err, runs)
	}
	if diff := cmp.Diff(identity(), f.Identity()); diff != "" {
		t.Errorf("identity (-kept +read):\n%s", diff)
	}
}

func TestOddResultsComeBack(t *testing.T) {
	name := filepath.Join(t.TempDir(), "c.db")
	f := open(t, name, identity())
	_, o := play(1)
	o.Err = nil
	o.Results[0] = require.Result{ID: require.IDs[0], Verdict: require.Holds, Margin: math.NaN(), Share: math.NaN(), Bay: -1, Side: -1, Tests: 12}
	o.Results[1] = require.Result{ID: require.IDs[1], Verdict: require.NotExercised, Clause: "reverse", Unit: "s", Margin: 0.5, Share: math.Copysign(0, -1), Bay: 3, Side: -1}
	o.Results[2] = require.Result{ID: require.IDs[2], Verdict: require.Measured, Clause: "peak", Unit: "N", Margin: math.Inf(-1), Share: math.Inf(-1), At: 1 << 40, Bay: 255, Side: -1}
	if err := errors.Join(f.Add(&campaign.Case{}, o), f.Flush()); err != nil {
		t.Fatal(err)
	}
	err := f.Each(1, func(r *keep.Run) error {
		if diff := cmp.Diff(o.Results[:3], r.Outcome.Results[:3], bits); diff != "" {
			t.Errorf("(-kept +read):\n%s", diff)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

func TestUnknownClauseIsNotKept(t *testing.T) {
	f := open(t, filepath.Join(t.TempDir(), "c.db"), identity())
	o := &campaign.Outcome{Results: []require.Result{{ID: "close-cut", Clause: "cutt"}}}
	if err := f.Add(&campaign.Case{}, o); err == nil || f.Runs() != 0 {
		t.Errorf("error %v and %d runs, want one error and none", err, f.Runs())
	}
}

func TestOnlyTheNextRunIsKept(t *testing.T) {
	f := open(t, filepath.Join(t.TempDir(), "c.db"), identity())
	if err := fill(f, 10); err != nil {
		t.Fatal(err)
	}
	for _, index := range []uint64{9, 11} {
		if err := f.Add(play(index)); err == nil {
			t.Errorf("run %d was kept after run 9", index)
		}
	}
	if err := f.Add(play(10)); err != nil {
		t.Error(err)
	}
}

func TestGoesOnWhereItEnded(t *testing.T) {
	name := filled(t, 1500)
	f := open(t, name, identity())
	if f.Runs() != 1500 {
		t.Fatalf("%d runs, want 1500", f.Runs())
	}
	if err := errors.Join(fill(f, 3000), f.Close()); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(wanted(3000), read(t, name, 3000)); diff != "" {
		t.Errorf("tally (-at once +in two):\n%s", diff)
	}
	// Fewer than there are: the first ones.
	if diff := cmp.Diff(wanted(700), read(t, name, 700)); diff != "" {
		t.Errorf("tally of 700 (-wanted +read):\n%s", diff)
	}
	wantFolder(t, filepath.Dir(name), "c.db")
}

func read(t *testing.T, name string, below uint64) (got tally) {
	t.Helper()
	f, err := keep.OpenToRead(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	err = f.Each(below, func(r *keep.Run) error {
		got.add(r.Index, strings.Join(r.Kinds, "+"), &r.Outcome)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestReadingChangesNothing(t *testing.T) {
	name := filled(t, 500)
	before := content(t, name)
	read(t, name, 500)
	if content(t, name) != before {
		t.Error("reading has changed the file")
	}
	wantFolder(t, filepath.Dir(name), "c.db")
}

func TestKindsOfLeavesEventsOut(t *testing.T) {
	c := &campaign.Case{Faults: []campaign.FaultDraw{{Kind: "missed-pulses"}, {Kind: "obstruction"}, {Kind: "dirty-lens"}, {Kind: "missed-pulses"}}}
	if got := keep.KindsOf(c); got != "missed-pulses+dirty-lens" {
		t.Errorf("kinds %q", got)
	}
}

// TestSize measures what a run takes in a file: docs/campaign-files.md states it.
func TestSize(t *testing.T) {
	const runs = 20_000
	name := filled(t, runs)
	info, err := os.Stat(name)
	if err != nil {
		t.Fatal(err)
	}
	bytes := float64(info.Size()) / runs
	t.Logf("%.0f bytes a run", bytes)
	if bytes > 300 {
		t.Errorf("%.0f bytes a run, want at most 300: a million runs would take %.0f MB", bytes, bytes)
	}
}

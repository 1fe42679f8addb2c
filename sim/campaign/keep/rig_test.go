package keep_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/campaign/keep"
	"slatbench/sim/require"
)

// identity of an invented campaign.
func identity() keep.Identity {
	return keep.Identity{
		Version: "v1", Truck: "produce", TruckHash: "aa", Logic: "baseline", LogicHash: "bb",
		Bays:   []string{"C1", "C2", "R1"},
		Faults: 1, Seed: 7, Step: 0.001, Tick: 0.01, Draws: "cc",
	}
}

// play invents a run from its index alone. It is never played: what is kept must
// come back whatever is in it.
func play(index uint64) (*campaign.Case, *campaign.Outcome) {
	r := rand.New(rand.NewPCG(11, index))
	c := &campaign.Case{Seed: 7, Index: index}
	kinds := []string{"dirty-lens", "weak-counterbalance", "obstruction", "stuck-lock-switch", "missed-pulses"}
	for range r.IntN(4) {
		c.Faults = append(c.Faults, campaign.FaultDraw{Kind: kinds[r.IntN(len(kinds))]})
	}
	o := &campaign.Outcome{Hash: r.Uint64()}
	defer func() { // last, so that what else is drawn does not depend on it
		if r.IntN(20) == 0 {
			for n := range 1 + r.IntN(3) {
				o.Silent = append(o.Silent, sim.Silence{Bay: r.IntN(5) - 1, At: int64(1000*n) + r.Int64N(1000), Why: []string{"it trapped: unreachable", "it ended, \"so\""}[r.IntN(2)]})
			}
		}
	}()
	if r.IntN(50) == 0 {
		o.Err = fmt.Errorf("no bench for run %d", index)
		return c, o
	}
	o.Transitions = []uint64{r.Uint64(), r.Uint64() >> 40}
	for _, id := range require.IDs {
		o.Results = append(o.Results, result(r, id))
	}
	return c, o
}

func result(r *rand.Rand, id string) require.Result {
	out := require.Result{ID: id, Margin: math.NaN(), Share: math.NaN(), Bay: -1, Side: -1}
	if r.IntN(4) == 0 {
		return out
	}
	var own []require.Clause
	for _, k := range require.Clauses() {
		if k.Requirement == id {
			own = append(own, k)
		}
	}
	k := own[r.IntN(len(own))]
	out.Clause, out.Unit, out.Margin, out.At = k.Word, k.Unit, r.NormFloat64(), r.Int64N(90_000)
	out.Share = out.Margin / k.Scale
	out.Verdict, out.Tests = require.Holds, r.IntN(300)
	if out.Bay = r.IntN(5) - 1; out.Bay < 0 {
		out.Side = r.IntN(2)
	}
	switch {
	case r.IntN(9) == 0:
		out.Verdict, out.Exemption = require.Exempt, &require.Exemptions[r.IntN(len(require.Exemptions))]
	case out.Margin < -1:
		out.Verdict = require.Violated
	}
	return out
}

// tally is all that a report could be made from.
type tally struct {
	Runs, Troubles uint64
	Exercised      [len(require.IDs)]uint64
	Violated       [len(require.IDs)]uint64
	Exempt         [len(require.IDs)]uint64
	Least          [len(require.IDs)]float64
	LeastAt        [len(require.IDs)]uint64
	BySet          map[string]uint64
	Transitions    [2]uint64
	Hash           uint64
	Silent         map[string]int // by run, controller, step and reason
}

func (t *tally) add(index uint64, kinds string, o *campaign.Outcome) {
	if t.BySet == nil {
		t.BySet = map[string]uint64{}
	}
	t.Runs++
	t.BySet[kinds]++
	t.Hash = t.Hash*1_000_003 + o.Hash + index
	for _, s := range o.Silent {
		if t.Silent == nil {
			t.Silent = map[string]int{}
		}
		t.Silent[fmt.Sprintf("%d %d %d %s", index, s.Bay, s.At, s.Why)]++
	}
	if o.Err != nil {
		t.Troubles++
		return
	}
	for i, w := range o.Transitions {
		t.Transitions[i] |= w
	}
	for i := range o.Results {
		r := &o.Results[i]
		if r.Verdict != require.NotExercised {
			t.Exercised[i]++
		}
		switch r.Verdict {
		case require.Violated:
			t.Violated[i]++
		case require.Exempt:
			t.Exempt[i]++
		}
		if r.Share < t.Least[i] {
			t.Least[i], t.LeastAt[i] = r.Share, index
		}
	}
}

// wanted is the tally of a campaign that nothing has interrupted.
func wanted(runs uint64) (t tally) {
	for i := range runs {
		c, o := play(i)
		t.add(i, keep.KindsOf(c), o)
	}
	return t
}

func open(t *testing.T, name string, id keep.Identity) *keep.File {
	t.Helper()
	f, err := keep.Open(name, id)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// fill adds the runs up to an index.
func fill(f *keep.File, below uint64) error {
	for i := f.Runs(); i < below; i++ {
		if err := f.Add(play(i)); err != nil {
			return err
		}
	}
	return nil
}

// filled is the name of a closed file with so many runs.
func filled(t *testing.T, runs uint64) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "c.db")
	f := open(t, name, identity())
	if err := errors.Join(fill(f, runs), f.Close()); err != nil {
		t.Fatal(err)
	}
	return name
}

func content(t *testing.T, name string) string {
	t.Helper()
	bytes, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(bytes)
}

func wantFolder(t *testing.T, folder string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("the folder holds %q, want %q", got, want)
	}
}

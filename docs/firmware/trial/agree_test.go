package trial_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"slatbench/model"
	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/compare"
	"slatbench/sim/firmware"
)

var asked = flag.Uint64("runs", 0, "play so many runs to the examples, instead of a few")

// built builds the examples as their script does, and gives the folder.
func built(t testing.TB, which ...string) string {
	t.Helper()
	for _, tool := range []string{"clang", "wasm-ld"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("%s is not installed: the C example is not built", tool)
		}
	}
	folder := t.TempDir()
	out, err := exec.Command("sh", append([]string{"../build.sh", folder}, which...)...).CombinedOutput()
	if err != nil {
		t.Fatalf("build.sh: %v\n%s", err, out)
	}
	if len(out) > 0 {
		t.Errorf("build.sh has something to say: %s", out)
	}
	return folder
}

func module(t testing.TB, name string) *firmware.Module {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	m, err := firmware.OpenModule(filepath.Base(name), data)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { m.Close() })
	return m
}

func truck(t testing.TB) model.TruckParams {
	t.Helper()
	truck, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).LoadTruck(scenarios.DefaultTruck)
	if err != nil {
		t.Fatal(err)
	}
	return truck.Params()
}

// made is how the runs of a plan get the controllers of a logic.
func made(p *campaign.Plan, l sim.Logic) campaign.Controllers {
	return func() ([]sim.Controller, sim.Controller) { return l.Controllers(len(p.Truck.Bays), p.TickSize()) }
}

// The examples drive every output at every tick as the shipped table does, in runs
// with up to two faults.
//
//	go test ./docs/firmware/trial -run Agree -runs 10000 -timeout 4h
func TestAgree(t *testing.T) {
	folder := built(t)
	table := baseline(t)
	for _, c := range []struct {
		file string
		runs uint64
	}{{"controller.wasm", 40}, {"controller-go.wasm", 8}} {
		n := c.runs
		if *asked > 0 {
			n = *asked
		}
		t.Run(c.file, func(t *testing.T) { agree(t, table, module(t, filepath.Join(folder, c.file)), n) })
	}
}

// agree plays runs to the table and to a module.
func agree(t *testing.T, table, other sim.Logic, runs uint64) {
	p := &compare.Pair{Plan: &campaign.Plan{Truck: truck(t), Faults: 2, Seed: 7}, Record: true}
	p.Old, p.New = made(p.Plan, table), made(p.Plan, other)
	err := compare.Play(context.Background(), p, 0, runs, 2, func(r *compare.Run) error {
		if r.Err == nil && r.Difference != nil {
			return &compare.Disagreement{Run: *r}
		}
		if done := r.Case.Index + 1; *asked > 0 && (done%500 == 0 || done == runs) {
			fmt.Fprintln(os.Stderr, t.Name(), "agrees in", done, "runs")
		}
		return r.Err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A table that differs in one threshold is found to differ: the test above can fail.
func TestDisagree(t *testing.T) {
	m := module(t, filepath.Join(built(t, "c"), "controller.wasm"))
	spoiled := *baseline(t)
	spoiled.Tuning.StopBefore += 0.005 // a pulse
	p := &compare.Pair{Plan: &campaign.Plan{Truck: truck(t), Faults: 2, Seed: 7}, Record: true}
	p.Old, p.New = made(p.Plan, &spoiled), made(p.Plan, m)
	if err := compare.Agree(context.Background(), p, 40, 2); err == nil {
		t.Error("a threshold that is off by a pulse shows no difference in 40 runs")
	}
}

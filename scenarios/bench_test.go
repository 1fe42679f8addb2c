package scenarios

import (
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/logic"
	"slatbench/sim/require"
)

// openAndClose is 20 s of one bay: a press opens it, a press closes it.
func openAndClose(table *logic.Table) sim.Setup {
	p := model.DefaultTruck()
	p.Bays = p.Bays[:1]
	const tick = sim.DefaultTickSteps * model.DefaultStep
	return sim.Setup{
		Truck: p, Duration: 20_000, Charge: 0.9,
		Doors: []sim.Controller{logic.NewDoor(table, tick)}, Locks: logic.NewLocks(table, tick),
		Actions: []sim.Action{
			{At: 1_000, Kind: sim.Press, Span: 200, Distance: 3},
			{At: 10_000, Kind: sim.Press, Span: 200, Distance: 3},
		},
	}
}

// BenchmarkScenario is the whole loop: model, sensing, logic, and every monitor.
func BenchmarkScenario(b *testing.B) {
	l := Loader{Shipped: Shipped()}
	table, err := l.LoadLogic(BaselineLogic)
	if err != nil {
		b.Fatal(err)
	}
	setup := openAndClose(table)
	b.ReportAllocs()
	seconds := 0.0
	for b.Loop() {
		setup.Watch = []sim.Observer{require.New(1, require.Options{Rated: true}), &sim.Listener{}, sim.NewFigures(1)}
		bench, err := sim.New(setup)
		if err != nil {
			b.Fatal(err)
		}
		if err := bench.Run(); err != nil {
			b.Fatal(err)
		}
		seconds += bench.Seconds(bench.Now)
	}
	b.ReportMetric(seconds/b.Elapsed().Seconds(), "bay-s/s")
}

// BenchmarkScenarioTick is one tick of that run in mid travel: no allocation.
func BenchmarkScenarioTick(b *testing.B) {
	l := Loader{Shipped: Shipped()}
	table, err := l.LoadLogic(BaselineLogic)
	if err != nil {
		b.Fatal(err)
	}
	setup := openAndClose(table)
	setup.Watch = []sim.Observer{require.New(1, require.Options{Rated: true}), &sim.Listener{}, sim.NewFigures(1)}
	bench, err := sim.New(setup)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		bench.Advance()
	}
}

// Stepping allocates nothing, in motion and at rest, with every monitor on.
func TestNoAllocationATick(t *testing.T) {
	l := Loader{Shipped: Shipped()}
	table, err := l.LoadLogic(BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	setup := openAndClose(table)
	setup.Watch = []sim.Observer{require.New(1, require.Options{Rated: true}), &sim.Listener{}, sim.NewFigures(1)}
	bench, err := sim.New(setup)
	if err != nil {
		t.Fatal(err)
	}
	for bench.Now < 3_000 { // opening, well under way
		bench.Advance()
	}
	for _, part := range []string{"opening", "at rest"} {
		if n := testing.AllocsPerRun(100, bench.Advance); n != 0 {
			t.Errorf("%s: %v allocations a tick", part, n)
		}
		for bench.Now < 8_500 {
			bench.Advance()
		}
	}
}

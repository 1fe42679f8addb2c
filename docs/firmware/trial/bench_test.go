package trial_test

import (
	"path/filepath"
	"testing"

	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/firmware"
)

// subjects are the shipped logic as a table, in C and in Go, and as a program.
func subjects(b *testing.B) map[string]sim.Logic {
	folder := built(b)
	p, err := firmware.OpenProgram("controller", []string{filepath.Join(folder, "controller")}, firmware.DefaultDeadline)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { p.Close() })
	return map[string]sim.Logic{
		"table": baseline(b), "c": module(b, filepath.Join(folder, "controller.wasm")),
		"go": module(b, filepath.Join(folder, "controller-go.wasm")), "program": p,
	}
}

var order = []string{"table", "c", "go", "program"}

// BenchmarkTick is one tick of a door at rest, and of one that opens and never arrives.
func BenchmarkTick(b *testing.B) {
	all := subjects(b)
	for _, what := range []string{"rest", "opening"} {
		for _, name := range order {
			b.Run(what+"/"+name, func(b *testing.B) {
				doors, locks := all[name].Controllers(1, 0.01)
				defer sim.Return(all[name], doors, locks)
				in := sim.Inputs{
					Supply: 640, Edge: sim.EdgeFree, EdgeFitted: true, Sill: true, Permit: true,
					Unlocked: sim.EndSwitch{Made: true}, Locked: sim.EndSwitch{Released: true},
				}
				var store sim.Store
				var out sim.Outputs
				doors[0].(sim.Provisioner).Provision(&store, 30000, 0)
				doors[0].PowerOn(&store)
				for i := range 200 {
					in.Tick = uint32(i)
					in.Press = what == "opening" && i > 100
					doors[0].Tick(&in, &out)
				}
				in.Pulses, in.Current, in.Sill = 1, 100, what == "rest"
				if what == "rest" {
					in.Pulses = 0
				}
				b.ReportAllocs()
				for n := 0; b.Loop(); n++ {
					if what == "opening" && n%1000 == 0 { // before its time is up
						b.StopTimer()
						again(doors[0], &store, &in, &out)
						b.StartTimer()
					}
					in.Tick++
					doors[0].Tick(&in, &out)
				}
			})
		}
	}
}

// again starts the door anew, so that it does not run into its travel limit.
func again(door sim.Controller, store *sim.Store, in *sim.Inputs, out *sim.Outputs) {
	door.PowerOn(store)
	start := *in
	start.Sill, start.Pulses = true, 0
	for i := range 60 {
		start.Tick = uint32(i)
		start.Press = i > 40
		door.Tick(&start, out)
	}
	in.Tick = start.Tick
}

// BenchmarkCampaign is whole campaign runs on one core, the same for each.
func BenchmarkCampaign(b *testing.B) {
	all := subjects(b)
	for _, name := range order {
		b.Run(name, func(b *testing.B) {
			p := &campaign.Plan{Truck: truck(b), Faults: 1, Seed: 1}
			player := campaign.NewPlayer(p, made(p, all[name]))
			b.ReportAllocs()
			i := uint64(0)
			for b.Loop() {
				if o := player.Play(p.Draw(i)); o.Err != nil {
					b.Fatal(o.Err)
				}
				i++
			}
			b.ReportMetric(float64(i)/b.Elapsed().Seconds(), "runs/s")
		})
	}
}

// BenchmarkPowerOn is starting a controller: memory as its file has it.
func BenchmarkPowerOn(b *testing.B) {
	all := subjects(b)
	for _, name := range order {
		b.Run(name, func(b *testing.B) {
			doors, locks := all[name].Controllers(1, 0.01)
			defer sim.Return(all[name], doors, locks)
			var store sim.Store
			for b.Loop() {
				doors[0].PowerOn(&store)
			}
		})
	}
}

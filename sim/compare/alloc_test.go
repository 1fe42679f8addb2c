package compare

import (
	"testing"

	"slatbench/model"
	"slatbench/sim"
)

// idle is a controller that does nothing, and says the same of itself for ever.
type idle struct{}

func (idle) PowerOn(*sim.Store)                 {}
func (idle) Tick(_ *sim.Inputs, _ *sim.Outputs) {}
func (idle) State() string                      { return "idle" }
func (idle) Counts() int                        { return 0 }

// A tick at which nothing changes costs no memory, whether it is kept or compared.
func TestNoAllocationATick(t *testing.T) {
	truck := model.DefaultTruck()
	doors := make([]sim.Controller, len(truck.Bays))
	for i := range doors {
		doors[i] = idle{}
	}
	seen := newRecorder(doors, idle{}, true)
	like := newComparer(doors, idle{}, &seen.trail, true, tellStates)
	seen.begin()
	like.begin()
	b, err := sim.New(sim.Setup{Truck: truck, Doors: doors, Locks: idle{}, Charge: 1, Duration: 1e6})
	if err != nil {
		t.Fatal(err)
	}
	b.Advance()
	tick := func() {
		seen.Tick(b)
		like.Tick(b)
	}
	tick() // the first states are kept
	if n := testing.AllocsPerRun(1000, tick); n != 0 {
		t.Errorf("%g allocations a tick", n)
	}
	if like.differ != nil {
		t.Errorf("differs: %+v", like.differ)
	}
}

package logic_test

import (
	"testing"

	"slatbench/sim"
)

func TestPressIsAnEdge(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.in.Press = true
	r.wait(1) // held: one press, not fifty
	r.is("opening")
	r.in.Press = false
	r.wait(0.2)
	r.is("opening")
	r.press()
	r.is("between")
	r.wait(0.5)
	r.press()
	r.is("opening")
}

func TestButtonHeldAtPowerOnIsNoPress(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.in.Press = true
	r.door.PowerOn(&r.store)
	r.wait(3)
	r.is("down")
	r.in.Press = false
	r.wait(0.1)
	r.press()
	r.is("opening")
}

func TestNothingMovesDuringTheSelfTest(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.door.PowerOn(&r.store)
	r.wait(0.05)
	r.press()
	r.is("waking")
	if r.out.Enable {
		t.Error("driven")
	}
	r.wait(1)
	r.is("down")
}

func TestPressMovesTheDoorByWhereItRests(t *testing.T) {
	for _, c := range []struct {
		height int
		want   string
	}{{0, "opening"}, {150, "opening"}, {rigTravel - 4, "closing"}} {
		r := newRig(t, baseline(t), c.height)
		r.press()
		r.is(c.want)
	}
}

func TestSecondPressStopsAndTheNextOpens(t *testing.T) {
	r := closing(t, baseline(t), 200)
	r.in.Press = true
	r.step()
	r.is("between")
	if r.out.Enable {
		t.Error("still enabled at the tick of the press")
	}
	r.in.Press = false
	r.wait(1)
	r.press()
	r.is("opening")
	r.until("open", 5)
	r.hears()
}

// Between two directions lies the pause, whoever asks.
func TestPressSoonAfterAStopIsRefused(t *testing.T) {
	r := closing(t, baseline(t), 200)
	r.press() // 0.11 s, of which 0.10 s follow the stop
	r.is("between")
	r.in.Press = true
	r.step()
	r.is("between")
	r.in.Press = false
	r.wait(0.2)
	r.press()
	r.is("opening")
	r.hears()
}

func TestPressSoonAfterOpeningNeitherClosesNorBlamesTheSupply(t *testing.T) {
	r := opening(t, baseline(t), 340)
	r.until("open", 2)
	r.in.Supply = volts(10) // the sag of the run is still in the filter's time
	r.step()
	r.in.Supply = volts(12.4)
	r.in.Press = true
	r.step()
	r.is("open")
	r.in.Press = false
	r.hears()
}

func TestLockBeatsAPress(t *testing.T) {
	good := func(in *sim.Inputs) {
		in.Permit, in.Unlocked, in.Locked = true, sim.EndSwitch{Made: true}, sim.EndSwitch{Released: true}
	}
	for name, bar := range map[string]func(in *sim.Inputs){
		"no permit":                  func(in *sim.Inputs) { in.Permit = false },
		"unlocked end not made":      func(in *sim.Inputs) { in.Unlocked = sim.EndSwitch{Released: true} },
		"unlocked end both made":     func(in *sim.Inputs) { in.Unlocked = sim.EndSwitch{Made: true, Released: true} },
		"unlocked end neither made":  func(in *sim.Inputs) { in.Unlocked = sim.EndSwitch{} },
		"locked end made":            func(in *sim.Inputs) { in.Locked = sim.EndSwitch{Made: true} },
		"locked end neither contact": func(in *sim.Inputs) { in.Locked = sim.EndSwitch{} },
	} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t, baseline(t), 0)
			bar(&r.in)
			r.in.Press = true
			lit := 0
			for range 150 {
				if r.step(); r.out.Lamp {
					lit++
				}
			}
			r.in.Press = false
			r.is("down")
			if lit == 0 || lit == 150 {
				t.Errorf("lamp lit for %d of 150 ticks, expected flashes", lit)
			}
			good(&r.in)
			r.step()
			r.press()
			r.is("opening")
			r.in.Sill = false
			r.wait(1)
			bar(&r.in)
			r.step()
			r.is("between")
			if r.out.Enable {
				t.Error("driven on")
			}
			r.hears()
		})
	}
}

// A lock that is quicker than the start it calls off leaves the press answered, at whatever time
// the flashes of a teaching would have begun.
func TestPressThatTheLockCallsOffIsAnswered(t *testing.T) {
	for _, teach := range []bool{false, true} {
		for wait := range 40 {
			r := newRig(t, baseline(t), rigTravel)
			r.wait(float64(wait) * r.tick)
			r.in.Teach, r.in.Press = teach, true
			r.step()
			if r.door.State() == "open" {
				t.Fatal("nothing has begun")
			}
			r.in.Permit = false
			r.step()
			r.is("between")
			changes, was := 0, r.out.Lamp
			for range 28 { // to 0.3 s after the press
				if r.step(); r.out.Lamp != was {
					changes, was = changes+1, r.out.Lamp
				}
			}
			if changes == 0 {
				t.Errorf("teach %v, pressed %d ticks later: the lamp has not changed in 0.3 s", teach, wait)
			}
			r.hears()
		}
	}
}

func TestUntaughtDoorStaysAndSaysSo(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.store = sim.Store{}
	r.door.PowerOn(&r.store)
	r.wait(0.5)
	r.press()
	r.is("between")
	r.hears(sim.SelfTest)
}

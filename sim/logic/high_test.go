package logic_test

import (
	"testing"

	"slatbench/sim"
)

// tooHigh is a rig whose count stands so many pulses too high, and whose door comes down on the floor,
// which it does not believe.
func tooHigh(t *testing.T, by int) *rig {
	t.Helper()
	r := newRig(t, baseline(t), rigTravel-5)
	r.height -= by
	r.press()
	for r.height > 0 {
		r.step()
	}
	r.in.Sill, r.in.Edge = true, sim.EdgePressed
	r.until("pausing", 0.1)
	r.in.Edge = sim.EdgeFree
	r.until("rising", 1)
	for r.height < 40 {
		r.step()
	}
	r.in.Sill = false
	r.heard = nil
	return r
}

// A floor that has come early says that the count is too high, or that something lies there. What the
// stop would have told, had nobody pressed on the way, it tells at the next opening: by its count the door
// would end half way up.
func TestOpeningAfterAnEarlyFloorGoesToTheStop(t *testing.T) {
	for _, by := range []int{5, 30, 185} {
		r := tooHigh(t, by)
		r.press()
		r.is("between")
		r.wait(1)
		r.press()
		r.is("opening")
		r.until("open", 8)
		if r.height != rigTravel || r.door.Counts() != rigTravel {
			t.Errorf("%d too high: open at %d, counted %d", by, r.height, r.door.Counts())
		}
	}
}

// By a count far too high a door comes fast onto its seal, and with no edge to tell of it that shows as a
// curtain that slows down. With the sill switch made the stop sets the count right all the same; without it, it
// was something on the way.
func TestFloorThatOnlySlowsTheCurtain(t *testing.T) {
	for _, sill := range []bool{true, false} {
		r := newRig(t, baseline(t), rigTravel-5)
		r.in.EdgeFitted = false
		r.height -= 185
		r.press()
		for r.height > 2 {
			r.step()
		}
		r.in.Sill, r.rate = sill, 25
		r.until("pausing", 0.5)
		r.rate = 70
		r.until("rising", 1)
		r.in.Sill = false
		for r.height < rigTravel {
			r.step()
		}
		r.in.Current = amps(17)
		want, counted := "open", rigTravel
		if !sill {
			want, counted = "between", rigTravel+185
		}
		r.until(want, 1)
		if got := r.door.Counts(); got != counted {
			t.Errorf("sill switch %v: counted %d at the stop, expected %d", sill, got, counted)
		}
		r.hears(map[bool][]sim.Alarm{true: {sim.ObstructionClosing}, false: {sim.ObstructionClosing, sim.StalledOpening}}[sill]...)
	}
}

// Nor is such a count put on record while the door lies in between: after a reset it is looked for.
func TestCountThatMayBeTooHighIsNotPutOnRecord(t *testing.T) {
	for by, want := range map[int]string{0: "opening", 185: "homing"} {
		r := tooHigh(t, 185)
		if by == 0 {
			r = opening(t, baseline(t), 40)
		}
		r.press()
		r.wait(1)
		r.door.PowerOn(&r.store)
		r.wait(0.5)
		r.press()
		r.is(want)
	}
}

// homed is a rig whose door has lost its count, and was held on its way up for the stop.
func homed(t *testing.T, at int) *rig {
	t.Helper()
	r := newRig(t, baseline(t), 20)
	r.stray(5, 1)
	r.press()
	r.is("homing")
	for r.height < at {
		r.step()
	}
	rate := r.rate
	r.rate, r.in.Current = 0, amps(17)
	r.until("open", 1)
	r.rate, r.in.Current = rate, amps(2)
	r.hears(sim.StalledOpening)
	r.heard = nil
	return r
}

// A stop that no count has confirmed may have been a jam. Once the door has left it and comes up again,
// it goes on to what holds it; a floor that comes where it should has confirmed it.
func TestOpeningAfterAStopThatIsNotConfirmedGoesToTheStop(t *testing.T) {
	r := homed(t, 250)
	r.press()
	for r.height > 150 {
		r.step()
	}
	r.press()
	r.wait(1)
	r.press()
	r.is("opening")
	r.until("open", 8)
	if r.height != rigTravel || r.door.Counts() != rigTravel {
		t.Errorf("open at %d, counted %d", r.height, r.door.Counts())
	}

	r = homed(t, rigTravel)
	r.press()
	for r.height > 0 {
		r.step()
	}
	r.in.Sill, r.in.Edge = true, sim.EdgePressed
	r.until("down", 0.1)
	r.in.Edge = sim.EdgeFree
	r.wait(1)
	r.press()
	r.in.Sill = false
	r.until("open", 8)
	if r.height >= rigTravel-2 {
		t.Errorf("it goes on to %d", r.height)
	}
}

// A door that stands against its stop can only come down: pulses at rest count down there, to the
// taught travel.
func TestCurtainThatSettlesAtTheStopIsCountedDown(t *testing.T) {
	for _, c := range []struct{ above, pulses, want int }{{3, 2, 1}, {3, 3, 0}, {1, 3, 0}, {0, 2, 0}, {-3, 2, -3}} {
		r := newRig(t, baseline(t), rigTravel+c.above)
		r.is("open")
		r.stray(c.pulses, 1)
		if got := r.door.Counts() - rigTravel; got != c.want {
			t.Errorf("%+d from the travel, %d pulses: %+d, expected %+d", c.above, c.pulses, got, c.want)
		}
	}
}

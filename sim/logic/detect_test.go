package logic_test

import (
	"testing"

	"slatbench/sim"
	"slatbench/sim/logic"
)

// The figures of these tests are those of the baseline's tuning.

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

// At full speed the fall of the pulse rate tells first; without it the stall does.
func TestStallWhileClosing(t *testing.T) {
	table := baseline(t)
	table.Tuning.SlowedTo = 0
	r := closing(t, table, 200)
	for r.in.Pulses == 0 {
		r.step()
	}
	r.rate = 0
	r.about("stall closing", r.until("pausing", 1), 0.120, 0.005)
	if r.out.Enable {
		t.Error("still enabled at the tick of the stall")
	}
	r.rate = 70
	r.about("pause", r.until("rising", 1), 0.300, 0.015)
	r.until("open", 6)
	r.hears(sim.ObstructionClosing)
}

func TestStallWhileClosingSlowly(t *testing.T) {
	r := closing(t, baseline(t), 40)
	r.is("landing")
	for r.in.Pulses == 0 {
		r.step()
	}
	r.rate = 0
	r.about("stall slow", r.until("pausing", 1), 0.160, 0.005)
	r.rate = 70
	r.hears(sim.ObstructionClosing)
}

func TestStallWhileOpening(t *testing.T) {
	r := opening(t, baseline(t), 200)
	for r.in.Pulses == 0 {
		r.step()
	}
	r.rate = 0
	r.about("stall opening", r.until("between", 1), 0.250, 0.005)
	r.hears(sim.StalledOpening)
}

func TestStallNearTheTopIsOpen(t *testing.T) {
	r := opening(t, baseline(t), rigTravel-10) // within 60 mm, before the 40 mm at which it is cut
	r.rate = 0
	r.until("open", 1)
	r.hears()
}

func TestNoMotionWhileClosingIsWoundUpAgain(t *testing.T) {
	r := newRig(t, baseline(t), rigTravel-4)
	r.rate = 0
	r.in.Press = true
	r.until("closing", 1)
	r.in.Press = false
	for !r.out.Enable {
		r.step()
	}
	r.about("grace closing", r.until("loosening", 1), 0.250, 0.015)
	r.about("pause", r.until("rewinding", 1), 0.300, 0.015)
	for !r.out.Enable {
		r.step()
	}
	r.about("wound up as long as it was paid out", r.until("open", 1), 0.250, 0.015)
	r.hears(sim.NoMotion)
	r.door.PowerOn(&r.store) // open is what the record says, too
	r.until("open", 1)
}

func TestNoMotionWhileOpening(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.rate = 0
	r.in.Press = true
	r.until("opening", 1)
	r.in.Press = false
	for !r.out.Enable {
		r.step()
	}
	r.about("grace opening", r.until("between", 2), 0.800, 0.015)
	r.hears(sim.NoMotion)
}

func TestSlowedDoorIsHeldUp(t *testing.T) {
	r := closing(t, baseline(t), 250)
	r.rate = 0.7 * 70
	r.wait(0.5)
	r.is("closing") // 70 % of the speed that it has had
	r.rate = 0.4 * 70
	r.until("pausing", 0.4)
	r.rate = 70
	r.hears(sim.ObstructionClosing)
}

// One that has been slow from the start has no speed of its own to be measured by.
func TestDoorThatDoesNotComeAfterItsDrive(t *testing.T) {
	r := newRig(t, baseline(t), rigTravel-4)
	r.rate = 0.30 * 200 * 0.5
	r.press()
	r.until("pausing", 0.6)
	r.rate = 70
	r.hears(sim.ObstructionClosing)
}

func TestCurrentWhileClosing(t *testing.T) {
	r := closing(t, baseline(t), 300) // 1.5 m
	r.in.Current = amps(9)
	for r.height > 262 { // above 1.3 m the drive winds its own spring up
		r.step()
	}
	r.is("closing")
	r.in.Current = amps(3)
	for r.height > 200 {
		r.step()
	}
	r.in.Current = amps(5.5)
	r.wait(0.3)
	r.is("closing")
	r.in.Current = amps(7)
	r.wait(0.05)
	r.in.Current = amps(3) // a break: it begins anew
	r.step()
	r.in.Current = amps(7)
	r.about("current time", r.until("pausing", 1), 0.080, 0.005)
	r.in.Current = 0
	r.hears(sim.ObstructionClosing)
}

// The sensor sees the current before the chopper: at 45 % a motor that takes 7 A takes 3.2 A.
func TestCurrentIsScaledToTheDuty(t *testing.T) {
	r := closing(t, baseline(t), 40)
	r.is("landing")
	if r.out.Duty != 45 {
		t.Fatalf("duty %d %%, expected 45", r.out.Duty)
	}
	r.in.Current = amps(2.5)
	r.wait(0.15)
	r.is("landing")
	r.in.Current = amps(3.2)
	r.until("pausing", 0.1)
	r.in.Current = 0
	r.hears(sim.ObstructionClosing)
}

// slowly is a door that has come down slowly to a height in pulses: with a bad edge, or teaching.
func slowly(t *testing.T, teach bool, to int) (r *rig, next string) {
	t.Helper()
	r = newRig(t, baseline(t), rigTravel)
	state := "creeping"
	if r.rate, next = 30, "pausing"; teach {
		r.in.Teach, state, next = true, "measuring down", "giving up"
	} else {
		r.in.Edge = sim.EdgeOpenWire
	}
	r.press()
	for r.height > to {
		if r.wait(r.tick); r.now > 2000 {
			t.Fatalf("not down to %d pulses in 20 s: %q", to, r.door.State())
		}
	}
	r.is(state)
	return r, next
}

// A door that comes slowly presses what is soft for longer. Its current is watched all the way.
func TestCurrentWhileClosingSlowlyHighUp(t *testing.T) {
	for _, teach := range []bool{false, true} {
		r, next := slowly(t, teach, 310)
		r.in.Current = amps(0.45 * 2)
		for r.height > 300 { // 1.5 m
			r.step()
		}
		r.in.Current = amps(0.45 * 7)
		r.about("current time", r.until(next, 0.2), 0.080, 0.005)
	}
}

// Its speed is watched as well, but for where the seal may slow it down.
func TestSlowDoorThatSlowsDown(t *testing.T) {
	for _, teach := range []bool{false, true} {
		for _, sill := range []bool{false, true} {
			r, next := slowly(t, teach, 100)
			here := r.door.State()
			r.in.Sill, r.rate = sill, 20
			r.wait(0.5)
			r.is(here) // two thirds of the speed that it has had
			if r.rate = 10; sill {
				next = here
			}
			r.wait(0.2)
			r.is(next)
		}
	}
}

func TestInrushIsNotWatched(t *testing.T) {
	r := newRig(t, baseline(t), 100)
	r.in.Current = amps(25)
	r.press()
	r.wait(0.2)
	r.is("opening")
	r.in.Current = amps(4)
	r.until("open", 6)
	r.hears()
}

// A contact that opens for a moment, or a lead that is loose, leaves a motor without current;
// what it takes at once when that comes back is the inrush of another start. It is watched
// again once that is over, and after 'current after' at the latest.
func TestInrushOfAContactThatComesBack(t *testing.T) {
	for _, c := range []struct {
		name         string
		dead, rising float64 // s without current, and at 4 A after it
		hot          float64 // s at 8 A after that
		want         string
	}{
		{"it comes back", 0.05, 0, 0.30, "closing"},
		{"it takes too long", 0.05, 0, 0.50, "pausing"},
		{"not straight from nothing", 0.05, 0.03, 0.10, "pausing"},
		{"never gone", 0, 0, 0.10, "pausing"},
	} {
		r := closing(t, baseline(t), 240)
		for _, part := range []struct{ amps, seconds float64 }{{0.5, 0.1}, {0, c.dead}, {4, c.rising}, {8, c.hot}} {
			r.in.Current = amps(part.amps)
			r.wait(part.seconds)
		}
		if got := r.door.State(); got != c.want {
			t.Errorf("%s: %s, expected %s", c.name, got, c.want)
		}
	}
}

func TestCurrentWhileOpening(t *testing.T) {
	r := opening(t, baseline(t), 150)
	r.in.Current = amps(15)
	r.wait(0.5)
	r.is("opening")
	r.rate, r.in.Current = 0, amps(17)
	r.about("no pulse", r.until("between", 1), 0.10, 0.02)
	r.hears(sim.StalledOpening)
}

// A jam that hardly lets the door by makes its motor labour, and pulses come yet: it is let go on
// for a while, and where it does not come free it is held up, but not by the stop. So is a door that
// looks for the stop, which stands there.
func TestJamThatLetsTheDoorBy(t *testing.T) {
	for _, c := range []struct {
		known        bool
		rate, labour float64 // pulses a second; s, after which the door is free again
		after        float64 // s, after which it is held up
		want         string
	}{
		{true, 12, 0.6, 0, "opening"}, {true, 12, 9, 0.8, "between"}, {true, 0, 9, 0.1, "between"},
		{false, 12, 0.6, 0, "homing"}, {false, 12, 9, 0.8, "between"}, {false, 0, 9, 0.1, "open"},
	} {
		r := newRig(t, baseline(t), 100)
		if !c.known { // it has moved at rest
			r.pulsesAtRest(60, 61, 62, 63)
		}
		r.press()
		r.in.Current = amps(6)
		r.wait(1)
		r.rate, r.in.Current = c.rate, amps(17)
		if c.after == 0 {
			r.wait(c.labour)
			r.rate, r.in.Current = 70, amps(6)
			r.wait(0.5)
			r.is(c.want)
			continue
		}
		r.about(c.want, r.until(c.want, 1.5), c.after, 0.04)
		r.hears(sim.StalledOpening)
	}
}

func TestFloorBySillAndEdge(t *testing.T) {
	r := closing(t, baseline(t), 1)
	r.in.Sill = true
	r.step()
	r.is("landing") // the switch alone is not believed
	if r.out.Lines.Down {
		t.Error("says down before the floor is found")
	}
	r.in.Edge = sim.EdgePressed
	r.step()
	r.is("down")
	if r.out.Lines != (sim.DownLines{Down: true}) {
		t.Errorf("door lines %+v", r.out.Lines)
	}
	r.hears()
}

func TestFloorBySillAndPulses(t *testing.T) {
	r := closing(t, baseline(t), 1)
	r.in.Sill = true
	r.rate = 0
	r.about("stall at the floor", r.until("down", 1), 0.160, 0.025)
	r.hears()
}

func TestEdgeAloneIsAnObstruction(t *testing.T) {
	for _, at := range []int{200, 20, 2} {
		r := closing(t, baseline(t), at)
		r.in.Edge = sim.EdgePressed
		r.step()
		r.is("pausing")
		if r.out.Enable {
			t.Error("still enabled")
		}
		r.in.Edge = sim.EdgeFree
		r.until("open", 8)
		r.hears(sim.ObstructionClosing)
	}
}

func TestFloorBeforeTheCountIsEarly(t *testing.T) {
	for _, c := range []struct {
		count int
		want  string
	}{{5, "pausing"}, {3, "down"}, {-3, "down"}, {-10, "down"}} {
		r := closing(t, baseline(t), c.count)
		before := r.door.Counts()
		r.in.Sill, r.in.Edge = true, sim.EdgePressed
		r.rate = 0
		r.step()
		r.is(c.want)
		r.in.Edge = sim.EdgeFree
		if c.want != "down" {
			r.in.Sill = false
			r.rate = 70
			r.hears(sim.EarlyFloor)
			continue
		}
		// Each floor corrects the count by one pulse at most; one that lies lower than the
		// count can be off is zero.
		want := -sign(c.count)
		if c.count < -3 {
			want = -before
		}
		if got := r.door.Counts() - before; got != want {
			t.Errorf("floor at a count of %d: corrected by %d", before, got)
		}
	}
}

// A count that is too high shows in a floor that comes early and in a way up that is longer than
// the travel: at the stop it is set right, and the next floor is the floor. What lies on the floor
// turns the door each time, and so does a floor where the way up ends below the travel.
func TestCountAboveTheTravelIsSetRight(t *testing.T) {
	floor := func(r *rig, at int) {
		for r.height > at {
			r.step()
		}
		r.in.Sill, r.in.Edge = true, sim.EdgePressed
		r.step()
		r.in.Edge = sim.EdgeFree
	}
	for _, c := range []struct {
		high, floor, stop int // pulses: the count's error; what stops the door down there and up there
		then              string
	}{
		{8, 0, rigTravel, "down"}, {100, 0, rigTravel, "down"}, {5, 0, rigTravel, "down"},
		{0, 10, rigTravel, "pausing"}, {8, 0, rigTravel - 10, "pausing"},
	} {
		r := newRig(t, baseline(t), rigTravel-5)
		r.height -= c.high
		r.press()
		floor(r, c.floor)
		r.is("pausing")
		r.in.Sill = false
		for r.height < c.stop {
			r.step()
		}
		r.rate, r.in.Current = 0, amps(18)
		r.wait(0.6)
		r.rate, r.in.Current = 70, amps(2)
		r.is("open")
		r.wait(2)
		r.press()
		floor(r, c.floor)
		r.is(c.then)
	}
}

// Where the edge is fitted and does not tell, the seal is pressed down by two pulses more
// before the pulses stop: a count from there to zero is no mistake then.
func TestFloorThatTheEdgeDoesNotTell(t *testing.T) {
	for _, c := range []struct {
		fitted bool
		count  int
		by     int
	}{{true, -2, 0}, {true, -1, 0}, {true, -3, 1}, {false, -2, 1}, {true, 2, -1}, {true, -5, 3}, {true, -6, 4}, {false, -6, 6}} {
		r := newRig(t, baseline(t), rigTravel-5)
		r.in.EdgeFitted = c.fitted
		r.press()
		for r.height > c.count {
			r.step()
		}
		before := r.door.Counts()
		r.in.Sill, r.rate = true, 0
		r.until("down", 1)
		if got := r.door.Counts() - before; got != c.by {
			t.Errorf("edge fitted %v, floor at a count of %d: corrected by %d, expected %d", c.fitted, before, got, c.by)
		}
	}
}

// A curtain that comes at more than half its speed, and yet falls behind what the drive pays
// out, leaves the cable slack. What the drive pays out goes with its voltage.
func TestCurtainThatFallsBehind(t *testing.T) {
	for _, c := range []struct {
		rate, supply float64
		behind       bool
	}{{45, 12.4, true}, {66, 12.4, false}, {66, 15.4, false}, {45, 9.8, false}} {
		r := newRig(t, baseline(t), rigTravel-5)
		r.press()
		r.rate, r.in.Supply = c.rate, volts(c.supply)
		for r.door.State() == "closing" {
			r.step()
		}
		if got := r.door.State() == "pausing"; got != c.behind {
			t.Errorf("%g pulses a second at %g V: %q", c.rate, c.supply, r.door.State())
		}
		if way := rigTravel - 5 - r.height; c.behind && (way < 60 || way > 100) {
			t.Errorf("noticed after %d pulses", way)
		}
	}
}

func sign(n int) int {
	switch {
	case n > 0:
		return 1
	case n < 0:
		return -1
	}
	return 0
}

func TestCountThatRunsOutIsSaidOnceThenTurnedUp(t *testing.T) {
	r := closing(t, baseline(t), -3)
	r.is("landing")
	r.rate = 35
	for r.height > -60 {
		r.step()
	}
	r.is("landing") // 300 mm of overrun to find the floor in
	for r.height >= -60 {
		r.step()
	}
	r.step()
	r.is("pausing")
	r.rate = 70
	r.until("open", 8)
	r.hears(sim.CountRanOut)
}

func TestNearFloorIsSlow(t *testing.T) {
	r := closing(t, baseline(t), 51)
	r.is("closing")
	if r.out.Duty != 100 {
		t.Errorf("duty %d %%", r.out.Duty)
	}
	for r.height > 50 {
		r.step()
	}
	r.is("landing")
	if r.out.Duty != 45 || !r.out.Enable {
		t.Errorf("duty %d %%, enable %v: the run goes on", r.out.Duty, r.out.Enable)
	}
}

func TestTopIsCutBeforeTheStop(t *testing.T) {
	r := opening(t, baseline(t), 100)
	r.until("open", 6)
	if r.height < rigTravel-8 || r.height > rigTravel-6 {
		t.Errorf("cut at %d pulses, expected 40 mm before %d", r.height, rigTravel)
	}
}

func TestSlowTravelIsSaidAndTimeIsUp(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.rate = 22 // 352 pulses would take 16 s
	r.in.Press = true
	r.until("opening", 1)
	r.in.Press = false
	for !r.out.Enable {
		r.step()
	}
	began := r.now
	for !r.out.Tone {
		if r.step(); r.now-began > 1000 {
			t.Fatal("no alarm in 10 s")
		}
	}
	r.about("slow travel", float64(r.now-began)*r.tick, 8.0, 0.02)
	r.until("between", 10)
	r.about("travel limit", float64(r.now-began)*r.tick, 14.0, 0.02)
	r.wait(4)
	if len(r.heard) == 0 || r.heard[0] != sim.SlowTravel {
		t.Errorf("heard %v, expected slow-travel first", r.heard)
	}
}

func TestClosingOutOfTimeIsTurnedUp(t *testing.T) {
	table := baseline(t)
	table.Tuning.SlowedTo, table.Tuning.MostLag = 0, 5
	r := newRig(t, table, rigTravel-4)
	r.rate = 20
	r.press()
	r.until("pausing", 15)
	r.rate = 70
	r.until("open", 8)
	r.hears(sim.SlowTravel)
}

func TestSupplyIsAveragedAtRest(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.in.Supply = volts(10.5)
	r.step() // one of ten readings: 12.2 V in the mean
	r.in.Supply = volts(12.4)
	r.press()
	r.is("opening")

	r = newRig(t, baseline(t), 0)
	r.in.Supply = volts(10.95)
	r.wait(0.2)
	r.press()
	r.is("down")
	r.in.Supply = volts(11.03)
	r.wait(0.2)
	r.press()
	r.is("opening")
	r.hears(sim.LowSupply)
}

// A run goes on down to brown-out, and a reversal asks nobody.
func TestSagDoesNotStopARun(t *testing.T) {
	r := closing(t, baseline(t), 200)
	r.in.Supply = volts(8.5)
	r.wait(0.3)
	r.is("closing")
	r.in.Edge = sim.EdgePressed
	r.step()
	r.in.Edge = sim.EdgeFree
	r.until("open", 8)
	r.hears(sim.ObstructionClosing)
}

func TestEdgeReadings(t *testing.T) {
	for _, c := range []struct {
		reading uint16
		fitted  bool
		want    string // state after a press from open
	}{
		{sim.EdgeFree, true, "closing"}, {480, true, "closing"}, {560, true, "closing"},
		{sim.EdgeOpenWire, true, "creeping"}, {950, true, "creeping"},
		{sim.EdgeShort, true, "creeping"}, {25, true, "creeping"},
		{sim.EdgeOpenWire, false, "closing"}, {sim.EdgeShort, false, "closing"}, {sim.EdgePressed, false, "closing"},
		{sim.EdgePressed, true, "pausing"}, {100, true, "pausing"}, {250, true, "pausing"},
	} {
		r := newRig(t, baseline(t), rigTravel-4)
		r.in.Edge, r.in.EdgeFitted = c.reading, c.fitted
		r.in.Press = true
		r.wait(0.1)
		r.is(c.want)
	}
}

func TestEdgeThatFailsWhileClosing(t *testing.T) {
	r := closing(t, baseline(t), 200)
	r.in.Edge = sim.EdgeOpenWire
	r.step()
	r.is("pausing")
	r.until("open", 8)
	r.press()
	r.is("open") // the pause
	r.wait(0.5)
	r.press()
	r.is("creeping")
	if r.out.Duty != 45 {
		t.Errorf("duty %d %%, expected slow", r.out.Duty)
	}
	for r.height > 0 {
		r.step()
	}
	r.in.Sill, r.rate = true, 0
	r.until("down", 1)
	r.wait(3)
	for i, a := range r.heard {
		if a != sim.SelfTest && a != sim.SlowTravel {
			t.Errorf("alarm %d: %v", i, a)
		}
	}
}

// stray lets pulses come with the drive at rest.
func (r *rig) stray(pulses int, net int8) {
	for range pulses {
		r.in.Pulses, r.in.Net = 1, net
		r.raw()
		r.wait(0.05)
	}
}

func TestCurtainMovedAtRest(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.stray(3, 1) // trembling
	r.is("down")
	r.stray(1, 1)
	r.is("between")
	if r.out.Lines.Down || !r.out.Lines.NotDown {
		t.Errorf("still says down: %+v", r.out.Lines)
	}
	r.press()
	r.is("homing") // the count is in doubt: up to the stop
}

func TestTwoChannelsFollowACurtainMovedAtRest(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.in.TwoChannels = true
	r.stray(40, 1)
	r.is("between")
	if got := r.door.Counts(); got != 40 {
		t.Errorf("count %d, expected 40", got)
	}
	r = newRig(t, baseline(t), 100)
	r.in.TwoChannels = true
	r.stray(10, -1)
	if got := r.door.Counts(); got != 90 {
		t.Errorf("count %d, expected 90", got)
	}
}

// A door that is open, or that a reset has found so, falls as its release is pulled: it is open no longer, and goes
// up at the next press. What gives by less than the top window is open yet, and one that sinks into its seal is down.
func TestTwoChannelsTellWhereADoorIsAtRest(t *testing.T) {
	for _, c := range []struct {
		height, pulses int
		net            int8
		want, then     string
	}{
		{rigTravel - 5, 7, -1, "open", "closing"}, {rigTravel - 5, 8, -1, "between", "homing"},
		{0, 3, +1, "down", "opening"}, {0, 4, +1, "between", "homing"}, {0, 9, -1, "down", "opening"},
		{100, 9, -1, "between", "opening"},
	} {
		r := newRig(t, baseline(t), c.height)
		r.in.TwoChannels = true
		r.stray(c.pulses, c.net)
		r.is(c.want)
		r.press()
		r.is(c.then)
	}
	r := opening(t, baseline(t), 300) // there by its drive, and not by its record
	r.in.TwoChannels = true
	r.until("open", 2)
	r.wait(1)
	r.stray(rigTravel/2, -1)
	r.is("between")
}

func TestTwoChannelsTellADoorThatFallsWhileItIsDrivenUp(t *testing.T) {
	r := opening(t, baseline(t), 100)
	r.in.TwoChannels = true
	before := r.door.Counts()
	for range 10 {
		r.in.Pulses, r.in.Net = 1, -1
		r.raw()
	}
	if got := r.door.Counts() - before; got != -10 {
		t.Errorf("counted %d, expected -10", got)
	}
}

func TestSillMadeWhileOpenIsSaid(t *testing.T) {
	r := newRig(t, baseline(t), rigTravel-4)
	r.in.Sill = true
	r.press()
	r.is("creeping")
	r.wait(2.5)
	if len(r.heard) == 0 || r.heard[0] != sim.SelfTest {
		t.Errorf("heard %v, expected self-test", r.heard)
	}
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

// A travel that is shorter than the record is stored, and said aloud: it may be a jam.
func TestTeachingOnTheRig(t *testing.T) {
	for _, c := range []struct {
		top   int // pulses
		alarm []sim.Alarm
	}{{355, nil}, {300, []sim.Alarm{sim.StalledOpening}}} {
		r := newRig(t, baseline(t), 300)
		r.in.Teach = true
		r.press()
		r.is("measuring down")
		r.in.Teach = false
		for r.height > 0 {
			r.step()
		}
		r.in.Sill, r.in.Edge = true, sim.EdgePressed
		r.until("turning", 0.1)
		floor := r.height
		r.in.Edge = sim.EdgeFree
		r.until("measuring up", 1)
		r.in.Sill = false
		for r.height < c.top {
			r.step()
		}
		r.rate = 0
		r.in.Current = amps(14)
		r.until("open", 1)
		r.in.Current = 0
		r.wait(1)
		if got, ok := r.door.Taught(&r.store); !ok || got != c.top-floor {
			t.Errorf("taught %d, %v, expected %d", got, ok, c.top-floor)
		}
		r.hears(c.alarm...)
	}
}

func TestTooShortATravelIsNotTaught(t *testing.T) {
	for _, c := range []struct {
		sill bool // it sticks
		want sim.Alarm
	}{{false, sim.StalledOpening}, {true, sim.SelfTest}} {
		r := newRig(t, baseline(t), 30)
		r.in.Teach = true
		r.press()
		r.in.Teach = false
		for r.height > 0 {
			r.step()
		}
		r.in.Sill, r.in.Edge = true, sim.EdgePressed
		r.until("turning", 0.1)
		r.in.Edge = sim.EdgeFree
		r.until("measuring up", 1)
		for r.height < 100 { // half a metre, then held
			r.step()
		}
		r.in.Sill = c.sill
		r.rate = 0
		r.until("between", 1)
		if got, ok := r.door.Taught(&r.store); !ok || got != rigTravel {
			t.Errorf("taught %d, %v, expected the old %d", got, ok, rigTravel)
		}
		r.hears(c.want)
	}
}

// A stop is believed only where the motor stands against it, and the sill switch is open.
func TestTravelIsStoredOnlyAtTheStop(t *testing.T) {
	for _, c := range []struct {
		amps  float64
		sill  bool
		state string
	}{{14, false, "open"}, {14, true, "between"}, {3, false, "between"}, {0, false, "between"}} {
		r := newRig(t, baseline(t), 30)
		r.in.Teach = true
		r.press()
		r.in.Teach = false
		for r.height > 0 {
			r.step()
		}
		r.in.Sill, r.in.Edge = true, sim.EdgePressed
		r.until("turning", 0.1)
		r.in.Edge = sim.EdgeFree
		r.until("measuring up", 1)
		for r.height < 340 {
			r.step()
		}
		r.in.Sill, r.in.Current = c.sill, amps(c.amps)
		r.rate = 0
		r.until(c.state, 1)
		r.wait(1)
		if got, _ := r.door.Taught(&r.store); (got != rigTravel) != (c.state == "open") {
			t.Errorf("%g A, sill made %v: taught %d", c.amps, c.sill, got)
		}
	}
}

// Home is where the motor stands, unless the count says that it is the top anyway.
func TestHomingBelievesTheStop(t *testing.T) {
	for _, c := range []struct {
		climb int // pulses
		amps  float64
		sill  bool
		state string
		alarm []sim.Alarm
	}{
		{150, 14, false, "open", []sim.Alarm{sim.StalledOpening}}, {150, 14, true, "between", []sim.Alarm{sim.StalledOpening}},
		{150, 1, false, "between", []sim.Alarm{sim.StalledOpening}}, {rigTravel, 14, false, "open", nil},
		{rigTravel, 1, false, "open", []sim.Alarm{sim.StalledOpening}}, {rigTravel, 0.3, false, "open", []sim.Alarm{sim.StalledOpening}},
		{rigTravel, 0, false, "open", []sim.Alarm{sim.SelfTest}}, // no motor takes nothing: the sensor is dead
	} {
		r := newRig(t, baseline(t), 0)
		r.in.Sill = false // down by the record, and not by the switch
		r.door.PowerOn(&r.store)
		r.wait(0.5)
		r.press()
		r.is("homing")
		for r.height < c.climb {
			r.step()
		}
		r.rate, r.in.Sill, r.in.Current = 0, c.sill, amps(c.amps)
		r.until(c.state, 1)
		r.in.Current = 0
		r.hears(c.alarm...)
	}
}

// A reel that sticks gives no pulses on the way up from an obstruction.
func TestRisingOnTheCurrentAlone(t *testing.T) {
	for _, c := range []struct {
		amps float64
		want string
	}{{4, "rising"}, {0.7, "between"}, {12, "between"}} {
		r := closing(t, baseline(t), 200)
		r.in.Edge = sim.EdgePressed
		r.step()
		r.in.Edge, r.rate, r.in.Current = sim.EdgeFree, 0, amps(c.amps)
		r.wait(2)
		r.is(c.want)
	}
}

// A door that looks for its stop goes on where its motor lifts and pulses fail: it does not ask the
// pulses for the stop. A teaching that has met something and knows no count goes up like that.
func TestHomingOnTheCurrentAlone(t *testing.T) {
	for _, c := range []struct {
		climb int // pulses, before they fail
		amps  float64
		want  string
		alarm sim.Alarm
	}{
		{0, 4, "homing", sim.NoMotion}, {150, 4, "homing", sim.StalledOpening},
		{0, 0.7, "between", sim.NoMotion}, {150, 0.7, "between", sim.StalledOpening},
	} {
		r := newRig(t, baseline(t), 0)
		r.in.Sill = false
		r.door.PowerOn(&r.store)
		r.wait(0.5)
		if c.climb == 0 {
			r.rate = 0
		}
		r.press()
		for r.height < c.climb {
			r.step()
		}
		r.rate, r.in.Current = 0, amps(c.amps)
		r.wait(2)
		r.is(c.want)
		if c.want == "homing" {
			r.in.Current = amps(17)
			r.until("open", 0.2)
		}
		r.hears(c.alarm)
	}
}

// A curtain that falls with the release open counts as one that rises. Where it lies the pulses
// stop, and the count may say that this is the top: a motor that drives nothing says that it is not.
func TestTopIsNotBelievedOfAMotorThatDrivesNothing(t *testing.T) {
	told, untold := []sim.Alarm{sim.ObstructionClosing, sim.StalledOpening}, []sim.Alarm{sim.ObstructionClosing}
	for _, c := range []struct {
		amps  float64
		state string
		alarm []sim.Alarm
	}{
		{0.7, "between", told}, {4, "open", untold}, {14, "open", untold},
		{0, "open", untold}, // the sensor is dead: that says nothing
	} {
		r := closing(t, baseline(t), 200)
		r.in.Edge = sim.EdgePressed
		r.step()
		r.in.Edge, r.in.Current = sim.EdgeFree, amps(c.amps)
		r.until(c.state, 6)
		r.in.Current = 0
		r.hears(c.alarm...)
		r.press()
		if c.state == "between" {
			r.is("homing") // nor is the count
		}
	}
}

// A restart in the middle of a run: nothing moves, and the count is not believed.
func TestRestartInMidTravel(t *testing.T) {
	for _, r := range []*rig{opening(t, baseline(t), 150), closing(t, baseline(t), 150)} {
		r.out = sim.Outputs{}
		r.door.PowerOn(&r.store)
		for range 300 {
			if r.step(); r.out.Enable || r.out.Up || r.out.Down {
				t.Fatal("moves after a restart")
			}
		}
		r.is("between")
		r.press()
		r.is("homing")
	}
}

func TestRestartDownBelievesTheRecordAndTheSill(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.is("down")
	r.in.Sill = false // somebody has moved it in the dark
	r.door.PowerOn(&r.store)
	r.wait(0.5)
	r.is("between")
	if r.out.Lines.Down {
		t.Error("says down")
	}
}

func TestDoorAllocatesNothing(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.in.Press = true
	if n := testing.AllocsPerRun(50, r.raw); n != 0 {
		t.Errorf("%g allocations a tick at rest and at a start", n)
	}
	var _ sim.Controller = (*logic.Door)(nil)
}

package logic_test

import (
	"testing"

	"slatbench/sim"
	"slatbench/sim/logic"
)

// The figures of these tests are those of the baseline's tuning.

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
	r.rate, r.in.Current = 70, amps(14)
	r.until("open", 8)
	r.in.Current = 0
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

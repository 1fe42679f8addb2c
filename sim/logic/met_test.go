package logic_test

import (
	"testing"

	"slatbench/sim"
)

// pulsesAtRest gives one pulse at each of some ticks after now.
func (r *rig) pulsesAtRest(at ...int) {
	for n := 1; n <= at[len(at)-1]; n++ {
		r.in.Pulses = 0
		for _, a := range at {
			if a == n {
				r.in.Pulses = 1
			}
		}
		r.raw()
	}
	r.in.Pulses = 0
}

// countedAfter is what is counted, from where the enable lets go, of one pulse at each of some ticks.
func (r *rig) countedAfter(at ...int) int {
	for r.out.Enable {
		r.step()
	}
	cut := r.door.Counts()
	r.pulsesAtRest(at...)
	return r.door.Counts() - cut
}

// What the seal and an obstruction give way is counted down, and what they throw back is
// counted up: half of these pulses come while the curtain still goes down.
func TestThrownBackIsCountedBack(t *testing.T) {
	for _, c := range []struct {
		name string
		meet func(r *rig)
		want int // pulses from the cut on
	}{
		{"edge", func(r *rig) { r.in.Edge = sim.EdgePressed }, -2 + 2},
		{"stall", func(r *rig) { r.rate = 0 }, 4},
		{"no more than a press", func(r *rig) { r.in.Press = true }, -4},
	} {
		r := closing(t, baseline(t), 40)
		r.is("landing")
		c.meet(r)
		if got := r.countedAfter(3, 6, 14, 20); got != c.want {
			t.Errorf("%s: counted %+d, expected %+d", c.name, got, c.want)
		}
	}
}

// A closing curtain that has slowed down has met something: one that gives no more pulses is thrown
// back already; one that still does may fall on, as far as its cable hangs slack.
func TestSlowedIsThrownBack(t *testing.T) {
	for rate, want := range map[float64]int{0: 4, 25: -4} {
		r := closing(t, baseline(t), 270)
		r.rate = rate
		r.until("pausing", 0.3)
		if got := r.countedAfter(3, 7, 14, 20); got != want {
			t.Errorf("at %g pulses a second: counted %+d, expected %+d", rate, got, want)
		}
	}
}

// A lead that comes off stops the drive by itself, and the curtain coasts: nothing throws it back.
// A sensor that has read nothing all the way tells nothing of that.
func TestNothingIsMetByADriveThatHasStopped(t *testing.T) {
	for taken, want := range map[float64]int{2: -4, 0: 4} {
		r := newRig(t, baseline(t), rigTravel)
		r.press()
		r.in.Current = amps(taken)
		for r.height > 270 {
			r.step()
		}
		r.rate, r.in.Current = 0, 0
		r.until("pausing", 0.3)
		if got := r.countedAfter(3, 7, 14, 20); got != want {
			t.Errorf("after %g A: counted %+d, expected %+d", taken, got, want)
		}
	}
}

// A motor that labours is cut while its door still goes up: that counts up for a moment more,
// where one that has stood is thrown back at once.
func TestHeldUpOnTheWayIsCountedOn(t *testing.T) {
	for rate, want := range map[float64]int{40: +1 + 1 - 1, 0: -3} {
		r := opening(t, baseline(t), 100)
		r.rate = rate
		r.in.Current = amps(5)
		r.wait(0.12)
		r.in.Current = amps(17)
		r.until("between", 1)
		cut := r.door.Counts()
		r.pulsesAtRest(1, 4, 12)
		if got := r.door.Counts() - cut; got != want {
			t.Errorf("at %g pulses a second: counted %+d, expected %+d", rate, got, want)
		}
	}
}

// A motor that drives nothing has met nothing: the release is open, and the curtain hangs where
// it is. Engaged again just as the drive is cut, it goes on up with the motor. One that takes
// something has met what holds it, and so, for all that is known, has one whose sensor is dead.
func TestNothingIsMetByAMotorThatDrivesNothing(t *testing.T) {
	for _, c := range []struct {
		name  string
		taken float64 // A
		want  int
	}{{"drives nothing", 0.7, +3}, {"drives something", 5, -3}, {"no reading", 0, -3}} {
		r := opening(t, baseline(t), 100)
		r.rate = 0
		r.in.Current = amps(c.taken)
		r.wait(0.23)
		r.in.Current = amps(9) // it is engaged
		r.until("between", 0.1)
		cut := r.door.Counts()
		r.pulsesAtRest(1, 3, 6)
		if got := r.door.Counts() - cut; got != c.want {
			t.Errorf("%s: counted %+d, expected %+d", c.name, got, c.want)
		}
	}
}

// A press that stops a door which stands against the open stop already.
func TestPressAtTheStopIsCountedBack(t *testing.T) {
	r := opening(t, baseline(t), 300)
	r.rate = 0
	r.wait(0.15)
	r.in.Press = true
	r.step()
	cut := r.door.Counts()
	r.pulsesAtRest(3, 6)
	if got := r.door.Counts() - cut; got != -2 {
		t.Errorf("counted %+d, expected -2", got)
	}
}

// Above the taught travel there is the stop: what runs out there comes back.
func TestNothingRunsOutAboveTheTravel(t *testing.T) {
	for _, c := range []struct{ height, want int }{{rigTravel - 20, 2}, {rigTravel - 1, 0}, {rigTravel, 0}} {
		r := openedTo(t, c.height)
		cut := r.door.Counts()
		r.pulsesAtRest(3, 6)
		if got := r.door.Counts() - cut; got != c.want {
			t.Errorf("from %d: counted %+d, expected %+d", c.height, got, c.want)
		}
	}
}

// A curtain that runs out upwards and turns crosses its last edge twice: the gaps between the
// pulses lengthen up to there. It is not counted, and no other is left out; nor where the
// curtain has not yet slowed down.
func TestPulseOfTheTurnIsNotCounted(t *testing.T) {
	for _, c := range []struct {
		name  string
		ticks []int
		want  int
	}{
		{"as it runs out", []int{1, 3, 4, 7}, 4},
		{"turned", []int{1, 3, 4, 7, 10, 19}, 5},
		{"turned, and trembling after that", []int{1, 3, 7, 14, 18, 22}, 5},
		{"a first long gap", []int{1, 3, 11}, 3},
		{"a shorter gap", []int{1, 3, 7, 9}, 4},
	} {
		r := openedTo(t, 300)
		cut := r.door.Counts()
		r.pulsesAtRest(c.ticks...)
		if got := r.door.Counts() - cut; got != c.want {
			t.Errorf("%s: counted %+d, expected %+d", c.name, got, c.want)
		}
	}
}

// A curtain that is stopped while its cable hangs slack falls until that is straight, and is
// thrown back by it: once it has slowed down its pulses are not counted. One that hangs on its cable
// creeps to rest; one whose drive does not brake falls again, faster, or on and on.
func TestPulsesOfACurtainThatItsCableThrowsBackAreNotCounted(t *testing.T) {
	thrown := []int{1, 2, 3, 4, 5, 7, 8, 9, 12, 20, 24, 28}
	for _, c := range []struct {
		name  string
		run   float64 // s
		ticks []int
		want  int
	}{
		{"soon after the start", 0.4, thrown, -8},
		{"later", 1.2, thrown, -12},
		{"it has not come far", 0.4, []int{1, 2, 3, 6, 12}, -5},
		{"over one edge and back", 0.4, []int{1, 2, 3, 4, 5, 6, 7, 11, 12, 16, 20}, -7},
		{"it falls again", 0.4, []int{1, 2, 3, 4, 5, 6, 7, 11, 13, 15, 19}, -11},
		{"it never was fast", 0.4, []int{2, 5, 8, 11, 14, 17, 20, 24, 28}, -9},
		{"it goes on and on", 0.4, []int{1, 2, 3, 4, 5, 6, 7, 11, 15, 19, 23, 27, 31, 36}, -14},
	} {
		r := newRig(t, baseline(t), rigTravel-5)
		r.press()
		r.wait(c.run)
		r.in.Press = true
		r.in.Pulses = 0
		r.raw()
		r.in.Press = false
		r.is("between")
		cut := r.door.Counts()
		r.pulsesAtRest(c.ticks...)
		if got := r.door.Counts() - cut; got != c.want {
			t.Errorf("%s: counted %+d, expected %+d", c.name, got, c.want)
		}
	}
}

// openedTo is a rig whose door goes up to the stop, whatever its count, and is pressed at a height.
func openedTo(t *testing.T, height int) *rig {
	t.Helper()
	r := closing(t, baseline(t), 200)
	r.in.Edge = sim.EdgePressed
	r.until("pausing", 0.1)
	r.in.Edge = sim.EdgeFree
	r.until("rising", 1)
	for r.door.Counts() < height {
		r.step()
	}
	r.in.Press = true
	r.in.Pulses = 0
	r.raw()
	r.in.Press = false
	return r
}

// A curtain that leaves the sill is down no more.
func TestDoorThatLeavesTheSillIsNotDown(t *testing.T) {
	r := newRig(t, baseline(t), 0)
	r.is("down")
	r.in.Sill = false
	r.step()
	r.is("between")
	if r.out.Lines.Says() {
		t.Error("it says down")
	}
	r.press()
	r.is("opening")
}

// One that has moved at rest is not believed to be where the record says, after a reset either.
func TestRecordOfACurtainThatMovedIsStruck(t *testing.T) {
	r := newRig(t, baseline(t), rigTravel)
	r.is("open")
	r.pulsesAtRest(100, 110, 120, 130, 140)
	r.is("between")
	r.door.PowerOn(&r.store)
	r.wait(0.5)
	r.is("between")
	r.press()
	r.is("homing")
}

// Nobody knows where it stands, and it has hardly left the sill: that is no open stop.
func TestHomingHeldNearTheSillIsNotAtTheStop(t *testing.T) {
	for _, c := range []struct {
		climb int // pulses
		state string
	}{{5, "between"}, {230, "open"}} {
		r := newRig(t, baseline(t), 0)
		r.in.Sill = false // down by the record, and not by the switch, for a moment
		r.door.PowerOn(&r.store)
		r.wait(0.5)
		r.in.Sill = true
		r.press()
		r.is("homing")
		r.in.Sill = false
		for r.height < c.climb {
			r.step()
		}
		r.rate, r.in.Current = 0, amps(14)
		r.until(c.state, 1)
		r.hears(sim.StalledOpening)
	}
}

// A motor that stands takes less on a low supply: 13.5 A at 9.6 V is as 17 A at 12 V.
func TestHeldUpOnALowSupply(t *testing.T) {
	for _, c := range []struct {
		volts, amps float64
		state       string
	}{{12.4, 13.5, "opening"}, {9.6, 13.5, "between"}, {9.6, 9, "opening"}, {15, 17, "between"}} {
		r := opening(t, baseline(t), 100)
		r.in.Supply, r.in.Current = volts(c.volts), amps(c.amps)
		r.wait(0.9)
		if got := r.door.State(); got != c.state {
			t.Errorf("%g A at %g V: %s, expected %s", c.amps, c.volts, got, c.state)
		}
	}
}

// Pulses that come before the next enable is made belong to the run before: a curtain that
// falls on while the drive is about to wind it up.
func TestRunBeforeGoesOnUntilTheEnable(t *testing.T) {
	r := closing(t, baseline(t), 200)
	r.in.Edge = sim.EdgePressed
	r.until("pausing", 0.1)
	r.in.Edge = sim.EdgeFree
	for r.door.State() != "rising" { // thrown back for as long
		r.in.Pulses = 0
		r.raw()
	}
	cut := r.door.Counts()
	r.pulsesAtRest(1)
	if r.out.Enable {
		t.Fatal("the enable is made already")
	}
	if got := r.door.Counts() - cut; got != 1 {
		t.Errorf("thrown back: counted %+d, expected +1", got)
	}

	r = newRig(t, baseline(t), rigTravel-5)
	r.rate = 0
	r.press()
	r.until("loosening", 1)
	r.until("rewinding", 1)
	cut = r.door.Counts()
	r.pulsesAtRest(1)
	if got := r.door.Counts() - cut; got != -1 {
		t.Errorf("slack: counted %+d, expected -1", got)
	}
}

// Where the current has told of the floor the seal gives way for a while yet.
func TestFloorToldByTheCurrentGivesWay(t *testing.T) {
	r := closing(t, baseline(t), 1)
	r.is("landing")
	r.in.Sill, r.in.Current = true, amps(4) // at 45 % of duty that is 8.9 A
	for r.out.Enable {
		r.step()
	}
	r.in.Current = 0
	r.is("down")
	cut := r.door.Counts()
	r.pulsesAtRest(2, 20)
	if got := r.door.Counts() - cut; got != -1+1 {
		t.Errorf("counted %+d, expected 0", got)
	}
}

// A sill switch that is made all the way down tells of no floor: the teaching says so.
func TestSillSwitchMadeAllTheWayDown(t *testing.T) {
	for _, c := range []struct {
		pulses int
		alarm  []sim.Alarm
	}{{4, nil}, {60, []sim.Alarm{sim.SelfTest}}} {
		r := newRig(t, baseline(t), 200)
		r.pulsesAtRest(100, 110, 120, 130, 140) // moved: the count is lost
		r.rate = 20
		r.in.Sill, r.in.Teach = true, true // seen open before
		r.press()
		r.is("measuring down")
		for from := r.height; r.height > from-c.pulses; {
			r.step()
		}
		r.in.Edge = sim.EdgePressed
		r.step()
		r.is("turning")
		r.in.Edge, r.in.Teach = sim.EdgeFree, false
		r.press()
		r.hears(c.alarm...)
	}
}

// A door that is down lies in its seal, and can only rise: pulses at rest count up as far as zero.
// A door at rest elsewhere may go either way.
func TestSealThatSpreadsIsCountedUp(t *testing.T) {
	for _, c := range []struct{ deep, pulses, want int }{{2, 2, 0}, {2, 1, -1}, {2, 3, 0}, {0, 2, 0}} {
		r := lying(t, c.deep)
		if got := r.door.Counts(); got != -c.deep {
			t.Fatalf("rests at %d, not %d", got, -c.deep)
		}
		r.stray(c.pulses, 1)
		if got := r.door.Counts(); got != c.want {
			t.Errorf("%d below zero, %d pulses: %d, expected %d", c.deep, c.pulses, got, c.want)
		}
	}
	r := opening(t, baseline(t), 100)
	r.press()
	r.wait(1)
	before := r.door.Counts()
	if r.stray(2, 1); r.door.Counts() != before {
		t.Errorf("between: from %d to %d", before, r.door.Counts())
	}
}

// A door that is taught where it lies has pressed its seal down further than where its edge tells, and is counted
// so: that stays, and the travel with it. A count that is above zero, or lower than a seal gives, was wrong.
func TestTeachingOfADoorThatLies(t *testing.T) {
	for _, c := range []struct{ deep, zero int }{{0, 0}, {1, -1}, {2, -2}, {3, 0}} {
		r := lying(t, c.deep)
		r.in.Teach = true
		r.press()
		r.until("turning", 0.1)
		if got := r.door.Counts(); got != c.zero {
			t.Errorf("%d pulses deep: taught from %d, expected %d", c.deep, got, c.zero)
		}
	}
}

package logic_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/logic"
)

// oneBay is a bench with one door that stands at a height in m.
func oneBay(t testing.TB, tickSteps int, height float64, seconds float64, actions ...sim.Action) *sim.Bench {
	t.Helper()
	table := baseline(t)
	truck := model.DefaultTruck()
	truck.Bays = truck.Bays[:1]
	tick := float64(tickSteps) * model.DefaultStep
	b, err := sim.New(sim.Setup{
		Truck: truck, TickSteps: tickSteps, Duration: int64(seconds / model.DefaultStep), Charge: 0.9, Heights: []float64{height},
		Doors: []sim.Controller{logic.NewDoor(table, tick)}, Locks: logic.NewLocks(table, tick), Actions: actions,
	})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// teachAt is the teach button and, half a second later, a press.
func teachAt(ms int64) []sim.Action {
	return []sim.Action{{At: ms, Kind: sim.TeachHold, Span: 1500}, pressAt(ms + 500)}
}

func pressAt(ms int64) sim.Action {
	return sim.Action{At: ms, Kind: sim.Press, Span: 200, Distance: 2}
}

func doorOf(b *sim.Bench) (*logic.Door, *sim.Store) {
	c, s := b.Door(0)
	return c.(*logic.Door), s
}

// asIfLost is what the store holds should power fail now: as it stands, or with the
// byte that is under way left torn.
func asIfLost(b *sim.Bench) []sim.Store {
	_, s := doorOf(b)
	list := []sim.Store{*s}
	if o := b.Outputs(0); o.Write {
		for _, torn := range []byte{s[o.WriteAt]&0xF0 | o.Byte&0x0F, s[o.WriteAt]&0x0F | o.Byte&0xF0, s[o.WriteAt] & o.Byte, s[o.WriteAt] | o.Byte} {
			x := *s
			x[o.WriteAt] = torn
			list = append(list, x)
		}
	}
	return list
}

// At every step of three teachings, one after the other, the store holds the old travel or
// the new one, also where the byte under way is torn.
func TestPowerLossAtAnyStepOfTeachingLeavesAWholeRecord(t *testing.T) {
	var actions []sim.Action
	for k := range int64(3) {
		actions = append(actions, teachAt(500+25000*k)...)
	}
	b := oneBay(t, 10, 0.8, 75, actions...)
	door, store := doorOf(b)
	old, ok := door.Taught(store)
	if !ok {
		t.Fatal("not taught before")
	}
	changes := 0
	b.Watch(each(func() {
		now, ok := door.Taught(store)
		if !ok {
			t.Fatalf("at step %d no record", b.Now)
		}
		wasOld := now
		if now != old {
			changes++
			old = now
		}
		for i, x := range asIfLost(b) {
			if got, ok := door.Taught(&x); !ok || got != wasOld && !newTravel(got) {
				t.Fatalf("at step %d, way %d of losing power: travel %d, %v, expected %d", b.Now, i, got, ok, wasOld)
			}
		}
	}))
	// Each teaching must show a travel of its own: wear the encoder a little in between.
	for k, scale := range []float64{1.00, 1.05, 0.93} {
		b.Truck.Bays[0].Condition.PulseScale = scale
		b.Truck.RefreshBay(0)
		before := changes
		for b.Now < int64(25000*(k+1)) {
			b.Advance()
		}
		if want := int(math.Round(1.81 * 200 * scale)); changes != before+1 || math.Abs(float64(old-want)) > 5 {
			t.Errorf("teaching %d: %d changes of the record, travel %d, expected one, about %d", k, changes-before, old, want)
		}
	}
}

// newTravel tells that a travel is one of those that the test above teaches.
func newTravel(n int) bool { return n >= 335 && n <= 385 }

type each func()

func (f each) Step(*sim.Bench) { f() }
func (f each) Tick(*sim.Bench) {}

// True losses: at every step in which the new record is being written, and at others
// drawn at random, power goes, comes back, and the controller boots.
func TestTrueLossOfPowerWhileTeaching(t *testing.T) {
	lose := func(at int64) (before, after, whole int) {
		b := oneBay(t, 10, 0.4, 16, teachAt(500)...)
		b.Truck.Bays[0].Condition.PulseScale = 1.1
		b.Truck.RefreshBay(0)
		door, store := doorOf(b)
		before, _ = door.Taught(store)
		for b.Now < b.Duration() {
			if b.Now == at-at%10 && at > 0 {
				b.Watch(each(func() {
					if b.Now == at {
						b.Act(sim.Action{Kind: sim.Interrupt, Span: 400})
					}
				}))
			}
			b.Advance()
		}
		after, ok := door.Taught(store)
		if !ok {
			t.Fatalf("power lost at %d ms: no record", at)
		}
		return before, after, int(math.Round(1.81 * 200 * 1.1))
	}
	_, whole, about := lose(0)
	if math.Abs(float64(whole-about)) > 5 {
		t.Fatalf("undisturbed teaching gives %d, expected about %d", whole, about)
	}
	stored := recordStep(t)
	seen := map[int]int{}
	try := func(at int64) {
		before, after, _ := lose(at)
		if after != before && after != whole {
			t.Fatalf("power lost at %d ms: travel %d, expected %d or %d", at, after, before, whole)
		}
		seen[after]++
	}
	for at := stored - 15; at < stored+100; at++ {
		try(at)
	}
	if len(seen) != 2 {
		t.Errorf("losses around %d ms left %v, expected both the old and the new", stored, seen)
	}
	rapid.Check(t, func(r *rapid.T) { try(rapid.Int64Range(1000, 14000).Draw(r, "ms")) })
}

// recordStep is the step at which that teaching begins to write its travel.
func recordStep(t *testing.T) int64 {
	b := oneBay(t, 10, 0.4, 16, teachAt(500)...)
	b.Truck.Bays[0].Condition.PulseScale = 1.1
	b.Truck.RefreshBay(0)
	door, _ := doorOf(b)
	for door.State() != "measuring up" {
		b.Advance()
	}
	for door.State() == "measuring up" {
		b.Advance()
	}
	return b.Now
}

// While a door is energised, no reset may find a record that says where it stands.
func TestRestRecordIsStruckBeforeTheDoorMoves(t *testing.T) {
	actions := []sim.Action{pressAt(1000), pressAt(9000), pressAt(11000), pressAt(11600), pressAt(19000)}
	b := oneBay(t, 10, -1, 27, actions...)
	table := baseline(t)
	runs, since, was := 0, int64(0), 0
	b.Watch(each(func() {
		bay := &b.Truck.Bays[0]
		if bay.Energised != was {
			was, since = bay.Energised, b.Now
			if was != 0 {
				runs++
			}
		}
		if was == 0 || b.Now-since > 60 && b.Now%50 != 0 {
			return
		}
		for _, x := range asIfLost(b) {
			if state := wakes(table, x, bay.SillMade()); state != "homing" {
				t.Fatalf("reset at step %d, energised %d at %.3f m: a press then leads to %q, expected the count in doubt", b.Now, was, bay.Height, state)
			}
		}
	}))
	if err := b.Run(); err != nil {
		t.Fatal(err)
	}
	if runs != 4 {
		t.Errorf("%d runs, expected 4: up, down until stopped, up, down", runs)
	}
}

// wakes is the state to which a controller goes on a press after a reset with this store.
func wakes(table *logic.Table, store sim.Store, sill bool) string {
	d := logic.NewDoor(table, 0.010)
	d.PowerOn(&store)
	in := sim.Inputs{
		Supply: volts(12.4), Edge: sim.EdgeFree, EdgeFitted: true, Sill: sill, Permit: true,
		Unlocked: endSwitch(true), Locked: endSwitch(false),
	}
	var out sim.Outputs
	for range 25 {
		d.Tick(&in, &out)
	}
	in.Press = true
	d.Tick(&in, &out)
	return d.State()
}

// The record of a rest holds: after a reset at rest the door goes on as if nothing had been.
func TestRestIsRememberedOverAReset(t *testing.T) {
	for _, c := range []struct {
		presses []sim.Action
		want    string
	}{
		{nil, "down"},
		{[]sim.Action{pressAt(1000)}, "open"},
		{[]sim.Action{pressAt(1000), pressAt(9000)}, "down"},
		{[]sim.Action{pressAt(1000), pressAt(4000)}, "between"},
	} {
		actions := append(c.presses, sim.Action{At: 17000, Kind: sim.Interrupt, Span: 1000}, pressAt(19000))
		b := oneBay(t, 10, -1, 19, actions...)
		door, _ := doorOf(b)
		if err := b.Run(); err != nil {
			t.Fatal(err)
		}
		if got := door.State(); got != c.want {
			t.Errorf("%d presses: %q after the reset, expected %q", len(c.presses), got, c.want)
		}
		high := b.Truck.Bays[0].Height * 200
		if got := float64(door.Counts()); math.Abs(got-high) > 3 {
			t.Errorf("%d presses: count %g after the reset, true height %.1f pulses", len(c.presses), got, high)
		}
	}
}

// The controllers' tick is settable: a full cycle and a teaching at 5 and 20 ms.
func TestOtherTicks(t *testing.T) {
	for _, steps := range []int{5, 20} {
		t.Run(fmt.Sprintf("%d ms", steps), func(t *testing.T) {
			actions := append(teachAt(15000), pressAt(1000), pressAt(8000), pressAt(27000))
			b := oneBay(t, steps, -1, 35, actions...)
			ear := &sim.Listener{}
			b.Watch(ear)
			door, store := doorOf(b)
			for _, c := range []struct {
				until int64 // ms
				state string
			}{{900, "down"}, {7500, "open"}, {10000, "closing"}, {14500, "down"}, {18000, "measuring up"}, {26000, "open"}, {35000, "down"}} {
				for b.Now < c.until {
					b.Advance()
				}
				if got := door.State(); got != c.state {
					t.Errorf("at %d ms %q, expected %q", c.until, got, c.state)
				}
			}
			if n, ok := door.Taught(store); !ok || math.Abs(float64(n)-362) > 5 {
				t.Errorf("taught %d, %v", n, ok)
			}
			if len(ear.Heard) > 0 {
				t.Errorf("heard %v", ear.Heard)
			}
		})
	}
}

// Power that is lost while the count of a rest is written leaves no count of an earlier rest.
func TestOldRestIsNotBelievedAgain(t *testing.T) {
	r := opening(t, baseline(t), 100)
	r.press()
	r.wait(1)
	r.press()
	r.is("opening")
	for r.height < 250 {
		r.step()
	}
	r.press()
	was := r.store
	for range 100 {
		r.step()
		store := r.store
		door := logic.NewDoor(baseline(t), 0.010)
		door.PowerOn(&store)
		if n := door.Counts(); n != 0 && n < 240 {
			t.Fatalf("believes %d pulses, and stands at %d", n, r.height)
		}
	}
	if r.store == was {
		t.Error("nothing was written")
	}
}

// Two channels follow a curtain that moves at rest, and the record of that rest is struck out: a reset does
// not believe it. What a curtain trembles by leaves it.
func TestRecordOfACurtainThatHasMoved(t *testing.T) {
	for _, c := range []struct {
		height, pulses int
		net            int8
		want, then     string
	}{
		{100, 3, -1, "between", "opening"}, {100, 4, -1, "between", "homing"}, {100, 4, +1, "between", "homing"},
		{rigTravel - 5, 3, -1, "open", "closing"}, {rigTravel - 5, 4, -1, "between", "homing"}, {0, 9, -1, "down", "opening"},
	} {
		r := newRig(t, baseline(t), c.height)
		r.in.TwoChannels = true
		r.stray(c.pulses, c.net)
		if now := r.door.State(); c.height > 100 && now != "open" {
			t.Errorf("%+v: it is %s before the reset", c, now)
		}
		r.door.PowerOn(&r.store)
		r.wait(0.6)
		r.is(c.want)
		r.press()
		r.is(c.then)
	}
}

package campaign

import (
	"math/rand/v2"
	"slices"
	"testing"

	"slatbench/sim"
	"slatbench/sim/logic"
)

// noise makes inputs that wander about for as long as a test wants: levels that hold for
// some ticks, with no truck behind them, so that they reach what a truck never shows.
type noise struct {
	*rand.Rand
	in   sim.Inputs
	hold [12]int
}

func newNoise(seed uint64) *noise {
	return &noise{Rand: rand.New(rand.NewPCG(seed, 1)), in: sim.Inputs{Supply: 640, Edge: sim.EdgeFree, EdgeFitted: true}}
}

// now and then, each input on its own.
func (n *noise) changes(k, ticks int) bool {
	if n.hold[k]--; n.hold[k] > 0 {
		return false
	}
	n.hold[k] = 1 + n.IntN(2*ticks)
	return true
}

func (n *noise) coin(share float64) bool { return n.Float64() < share }

func (n *noise) bar() (unlocked, locked sim.EndSwitch) {
	switch n.IntN(8) {
	case 0:
		return sim.EndSwitch{Released: true}, sim.EndSwitch{Released: true}
	case 1:
		return sim.EndSwitch{Released: true}, sim.EndSwitch{Made: true}
	case 2:
		return sim.EndSwitch{Made: n.coin(0.5), Released: n.coin(0.5)}, sim.EndSwitch{Made: n.coin(0.5), Released: n.coin(0.5)}
	}
	return sim.EndSwitch{Made: true}, sim.EndSwitch{Released: true}
}

func (n *noise) next() *sim.Inputs {
	in := &n.in
	if n.changes(0, 100) {
		in.Supply = uint16(500 + n.IntN(200))
	}
	if n.changes(1, 30) {
		in.Current = [...]uint16{0, 20, 60, 200, 300, 600}[n.IntN(6)]
	}
	if n.changes(2, 60) {
		in.Edge = [...]uint16{sim.EdgeFree, sim.EdgeFree, sim.EdgeFree, sim.EdgePressed, sim.EdgeShort, sim.EdgeOpenWire}[n.IntN(6)]
	}
	in.Pulses = 0
	if n.changes(3, 60) {
		in.Net = int8(n.IntN(2)) // whether pulses come: one channel leaves it unused
	}
	if in.Net > 0 && n.coin(0.7) {
		in.Pulses = uint8(n.IntN(4))
	}
	for k, level := range []*bool{&in.Sill, &in.Press, &in.Teach, &in.Permit} {
		if n.changes(4+k, 40) {
			*level = n.coin([...]float64{0.5, 0.5, 0.2, 0.9}[k])
		}
	}
	if n.changes(8, 150) {
		in.Unlocked, in.Locked = n.bar()
	}
	for i := range in.Sides {
		s := &in.Sides[i]
		s.Bays = 1
		if n.changes(9, 40) {
			s.Unlocked, s.Locked = n.bar()
		}
		if n.changes(10, 40) {
			s.LockRequest, s.UnlockRequest = n.coin(0.5), n.coin(0.3)
		}
		if n.changes(11, 60) {
			down := n.coin(0.8)
			s.Down[0] = sim.DownLines{Down: down, NotDown: !down}
		}
	}
	return in
}

// writeAsked writes what a controller asks for, at once.
func writeAsked(store *sim.Store, out *sim.Outputs) {
	if out.Write {
		store[out.WriteAt] = out.Byte
	}
}

// reaches plays noise to the machine of a table and tells whether its state "trap" comes about.
func reaches(t *testing.T, table *logic.Table, lock bool) bool {
	t.Helper()
	if p := table.Check(); len(p) > 0 {
		t.Fatal(p)
	}
	n := newNoise(7)
	var door *logic.Door
	var locks *logic.Locks
	for range 40 {
		var store sim.Store
		if lock {
			locks = logic.NewLocks(table, 0.01)
			store[24] = byte(n.IntN(2))
			locks.PowerOn(&store)
		} else {
			door = logic.NewDoor(table, 0.01)
			door.Provision(&store, 60, []int{0, 30, 60}[n.IntN(3)])
			door.PowerOn(&store)
		}
		for range 1500 {
			var out sim.Outputs
			if lock {
				locks.Tick(n.next(), &out)
				if locks.SideState(0) == "trap" {
					return true
				}
			} else {
				door.Tick(n.next(), &out)
				if door.State() == "trap" {
					return true
				}
			}
			writeAsked(&store, &out)
		}
	}
	return false
}

// NoiseDiffers plays the same noise to two tables, door and locks, with resets, and tells
// the tick of the first difference between what they put out; -1 where there is none.
func NoiseDiffers(a, b *logic.Table, ticks int) int {
	n := newNoise(11)
	doors := [2]*logic.Door{logic.NewDoor(a, 0.01), logic.NewDoor(b, 0.01)}
	locks := [2]*logic.Locks{logic.NewLocks(a, 0.01), logic.NewLocks(b, 0.01)}
	var stores [2][2]sim.Store
	for at := range ticks {
		if at%1000 == 0 {
			place := []int{0, 30, 300}[n.IntN(3)]
			for i := range doors {
				doors[i].Provision(&stores[i][0], 300, place)
				doors[i].PowerOn(&stores[i][0])
				locks[i].PowerOn(&stores[i][1])
			}
		}
		in := n.next()
		var out [2][2]sim.Outputs
		for i := range doors {
			doors[i].Tick(in, &out[i][0])
			locks[i].Tick(in, &out[i][1])
			writeAsked(&stores[i][0], &out[i][0])
			writeAsked(&stores[i][1], &out[i][1])
		}
		if out[0] != out[1] {
			return at
		}
	}
	return -1
}

// trapped is a table that wanders through every way of driving, with the given answers
// added to it, one of them into the trap.
func trapped(lock bool, answers ...logic.Transition) *logic.Table {
	t := turnstile()
	low := logic.Tuning{}
	for i := range tunings {
		low := &low
		tunings[i].set(low, 0.01)
	}
	low.PulsesAMetre, low.FloorWindow, low.TopWindow, low.StopBefore, low.SlowBelow = 200, 0.03, 0.03, 0.02, 0.05
	low.LeastTravel, low.SupplyFloor, low.ClosingDuty, low.SlowDuty, low.TeachingDuty = 0.1, 11, 1, 1, 1
	low.TravelLimit, low.SlowTravel, low.StallClosing, low.StallOpening, low.GraceOpening = 2, 1, 0.05, 0.05, 0.05
	low.SlowedTo, low.SlowedSpan, low.IdleAmps, low.LoadedAmps, low.OpeningAmps, low.ClosingAmps = 0.5, 0.05, 1, 5, 8, 8
	for i := range tunings {
		if tunings[i].name == "most speed" {
			tunings[i].set(&low, 5)
		}
	}
	low.LockLeave, low.LockLimit, low.LockStroke = 0.1, 0.3, 0.1
	t.Tuning = low
	m := &t.Door
	if lock {
		m = &t.Lock
		*m = logic.Machine{Start: "off", States: []logic.State{{Name: "off"}, {Name: "down", Drive: "lock"}, {Name: "up", Drive: "unlock"}, {Name: "trap"}},
			Transitions: []logic.Transition{
				{From: []string{"off", "trap"}, On: "lock asked", To: "down"},
				{From: []string{"down"}, On: "unlock asked", To: "up"},
				{From: []string{"up"}, On: "lock asked", To: "off"},
			}}
	} else {
		*m = logic.Machine{Start: "off", States: []logic.State{{Name: "off"}, {Name: "up", Drive: "up"}, {Name: "down", Drive: "down"}, {Name: "trap"}},
			Transitions: []logic.Transition{
				{From: []string{"off", "trap"}, On: "press", If: []string{"teach asked"}, To: "up", Do: []string{"zero"}},
				{From: []string{"off", "trap"}, On: "press", If: []string{"not teach asked"}, To: "down", Do: []string{"top"}},
				{From: []string{"up"}, On: "press", If: []string{"sill made"}, To: "down", Do: []string{"doubt"}},
				{From: []string{"up"}, On: "press", If: []string{"not sill made"}, To: "down"},
				{From: []string{"down"}, On: "press", To: "off"},
			}}
	}
	m.Transitions = append(m.Transitions, answers...)
	return t
}

var everyState = []string{"off", "up", "down"}

// always is an event that comes at every tick, the last of its machine that does.
func always(lock bool) string {
	if lock {
		return "settled"
	}
	return "paused"
}

func into(from []string, on string, guards ...string) logic.Transition {
	return logic.Transition{From: from, On: on, If: guards, To: "trap"}
}

// What the proofs take for granted of guards, events and silence must hold of the
// detectors; and the noise must be such that it could have shown otherwise.
func TestProofsKnowTheDetectors(t *testing.T) {
	for _, lock := range []bool{false, true} {
		guards, events, silent := doorGuardFacts, doorEventFacts, doorSilent
		if lock {
			guards, events, silent = lockGuardFacts, lockEventFacts, lockSilent
		}
		for g, facts := range guards {
			if !reaches(t, trapped(lock, into(everyState, always(lock), g)), lock) {
				t.Errorf("guard %q: the noise never makes it hold", g)
			}
			for _, f := range facts {
				if reaches(t, trapped(lock, into(everyState, always(lock), g, negation(f))), lock) {
					t.Errorf("guard %q holds, and %q does not", g, f)
				}
			}
		}
		for e, facts := range events {
			comes := trapped(lock, into(everyState, e))
			if !reaches(t, comes, lock) {
				t.Errorf("event %q: the noise never makes it come", e)
			}
			for _, f := range facts {
				if reaches(t, trapped(lock, into(everyState, e, negation(f))), lock) {
					t.Errorf("event %q comes, and %q does not hold", e, f)
				}
			}
		}
		for e, facts := range silent {
			quiet := logic.Transition{From: everyState, On: e, To: logic.Stay}
			if !reaches(t, trapped(lock, quiet, into(everyState, always(lock))), lock) {
				t.Errorf("event %q is never silent in the noise", e)
			}
			for _, f := range facts {
				if reaches(t, trapped(lock, quiet, into(everyState, always(lock), negation(f))), lock) {
					t.Errorf("event %q is silent, and %q does not hold", e, f)
				}
			}
		}
	}
}

// An event that is said to come only together with another must never come without it.
func TestEventsComeTogether(t *testing.T) {
	for e, others := range comesWith {
		for _, o := range others {
			quiet := logic.Transition{From: everyState, On: o, To: logic.Stay}
			table := trapped(false, quiet, into(everyState, e))
			table.Tuning.Overrun = 0.03
			if reaches(t, table, false) {
				t.Errorf("event %q comes, and %q does not", e, o)
			}
		}
		table := trapped(false, into(everyState, e))
		table.Tuning.Overrun = 0.03
		if !reaches(t, table, false) {
			t.Errorf("event %q: the noise never makes it come", e)
		}
	}
}

// What is known in each state of a small machine, worked out by hand.
func TestLastingFacts(t *testing.T) {
	base := turnstile()
	base.Door = logic.Machine{
		Start:  "start",
		States: []logic.State{{Name: "start"}, {Name: "a"}, {Name: "b"}, {Name: "c"}},
		Transitions: []logic.Transition{
			{From: []string{"start"}, On: "awake", If: []string{"was down"}, To: "a"},
			{From: []string{"start"}, On: "awake", If: []string{"not was down"}, To: "b"},
			{From: []string{"b"}, On: "press", If: []string{"taught", "count known"}, To: "a"},
			{From: []string{"a"}, On: "press", To: "c", Do: []string{"doubt"}},
			{From: []string{"c"}, On: "press", If: []string{"plausible"}, To: "b", Do: []string{"store"}},
			{From: []string{"c"}, On: "press", If: []string{"not plausible"}, To: "b"},
		},
	}
	p := newProof(base, false, nil)
	for state, want := range map[string][]string{
		"start": nil,
		"a":     {"count known", "taught"},
		"b":     nil, // come to from the start, where nothing is known
		"c":     {"not count known", "taught"},
	} {
		if got := p.known[stateIndexOf(p.m, state)]; got != p.all(want) {
			t.Errorf("in %q: facts %b, want %q", state, got, want)
		}
	}
	base.Door.Transitions = append(base.Door.Transitions, logic.Transition{From: []string{"b"}, On: "moved", To: "start"})
	if got := newProof(base, false, nil).known[1]; got != 0 {
		t.Errorf("with a way back to the start, %b is known in a: the record may be doubted by then", got)
	}
}

// An event is raised in the ways of driving that the list gives, and in no other.
func TestEventsAreRaisedAsListed(t *testing.T) {
	byDrive := map[string]string{"off": "off", "up": "up", "down": "down"}
	for _, w := range logic.DoorWords.Events {
		if w.Name == "press" {
			continue // the wandering itself is by presses, everywhere
		}
		for drive, state := range byDrive {
			ways, listed := raisedDriving[w.Name]
			want := !listed || slices.Contains(ways, drive)
			if got := reaches(t, trapped(false, into([]string{state}, w.Name)), false); got != want {
				t.Errorf("event %q with the drive %s: raised %v, listed %v", w.Name, drive, got, want)
			}
		}
	}
}

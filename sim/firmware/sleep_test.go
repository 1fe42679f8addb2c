package firmware

import (
	"testing"

	"slatbench/sim"
)

// sleeper is a door that counts its calls, tells their number as its count, and always
// says that it sleeps and wants the last two ticks.
func sleeper(flags uint32, more []byte) crafted {
	const asleep = outputsAt + sleepOut
	say := join(constant(asleep), constant(2), []byte{0x3A, 0, 0}) // a byte
	return crafted{layout: goodLayout(servesDoor | tellsState | flags), tick: join(
		store(scratchAt, add(load(scratchAt), constant(1))), store(outputsAt+countOut, load(scratchAt)), say, more)}
}

// run plays ticks to a door, with what is changed before some of them, and gives its count
// after each.
func run(c sim.Controller, ticks int, change func(tick int, in *sim.Inputs)) (list []int) {
	var kept sim.Store
	var in sim.Inputs
	var out sim.Outputs
	c.PowerOn(&kept)
	for i := range ticks {
		in.Tick = uint32(i)
		in.Pulses, in.Net = 0, 0
		if change != nil {
			change(i, &in)
		}
		out.Write = false
		c.Tick(&in, &out)
		list = append(list, c.(sim.Teller).Counts())
	}
	return list
}

// A controller that sleeps is called again when something happens, and first for as many
// of the ticks that it has slept through as it wants.
func TestSleep(t *testing.T) {
	at := func(when int, do func(in *sim.Inputs)) func(int, *sim.Inputs) {
		return func(tick int, in *sim.Inputs) {
			if tick == when {
				do(in)
			}
		}
	}
	slept, woken := []int{1, 1, 1, 1, 1, 1}, []int{1, 1, 1, 1, 4, 4} // two played, and the one that wakes
	for _, c := range []struct {
		what   string
		change func(int, *sim.Inputs)
		want   []int
	}{
		{"nothing", nil, slept},
		{"supply", at(4, func(in *sim.Inputs) { in.Supply++ }), slept},
		{"current", at(4, func(in *sim.Inputs) { in.Current++ }), slept},
		{"pulses", at(4, func(in *sim.Inputs) { in.Pulses = 1 }), woken},
		{"net", at(4, func(in *sim.Inputs) { in.Net = -1 }), woken},
		{"pulses all along", func(_ int, in *sim.Inputs) { in.Pulses = 1 }, []int{1, 2, 3, 4, 5, 6}},
		{"edge", at(4, func(in *sim.Inputs) { in.Edge++ }), woken},
		{"sill", at(4, func(in *sim.Inputs) { in.Sill = true }), woken},
		{"press", at(4, func(in *sim.Inputs) { in.Press = true }), woken},
		{"teach", at(4, func(in *sim.Inputs) { in.Teach = true }), woken},
		{"permit", at(4, func(in *sim.Inputs) { in.Permit = true }), woken},
		{"unlocked", at(4, func(in *sim.Inputs) { in.Unlocked.Made = true }), woken},
		{"locked", at(4, func(in *sim.Inputs) { in.Locked.Released = true }), woken},
		{"store", at(4, func(in *sim.Inputs) { in.StoreBusy = true }), woken},
		{"channels", at(4, func(in *sim.Inputs) { in.TwoChannels = true }), woken},
		{"edge fitted", at(4, func(in *sim.Inputs) { in.EdgeFitted = true }), woken},
		{"a side, of which a door is not told", at(4, func(in *sim.Inputs) { in.Sides[1].Down[3].NotDown = true }), slept},
		{"soon", at(1, func(in *sim.Inputs) { in.Press = true }), []int{1, 2, 2, 2, 2, 2}},
		{"after one", at(2, func(in *sim.Inputs) { in.Press = true }), []int{1, 1, 3, 3, 3, 3}},
	} {
		doors, _ := openCrafted(t, sleeper(sleeps, nil)).Controllers(1, 0.01)
		for round := range 2 { // a power-on ends a sleep
			if got := run(doors[0], 6, c.change); !same(got, c.want) {
				t.Errorf("%s, round %d: called %v times, expected %v", c.what, round, got, c.want)
			}
		}
	}
}

// The lock controller is woken by what the sides' wires say.
func TestSidesWake(t *testing.T) {
	_, locks := openCrafted(t, sleeper(sleeps, nil)).Controllers(1, 0.01)
	got := run(locks, 6, func(tick int, in *sim.Inputs) { in.Sides[1].Down[3].NotDown = tick >= 4 })
	if want := []int{1, 1, 1, 1, 4, 4}; !same(got, want) {
		t.Errorf("called %v times, expected %v", got, want)
	}
}

// Every tick is called where it must: of one that is kept awake, that does not say it
// sleeps in its layout, or that writes.
func TestNoSleep(t *testing.T) {
	all := []int{1, 2, 3, 4, 5, 6}
	write := join(constant(outputsAt+writeOut), constant(1), []byte{0x3A, 0, 0})
	for what, c := range map[string]crafted{"old": sleeper(0, nil), "writing": sleeper(sleeps, write), "kept awake": sleeper(sleeps, nil)} {
		doors, _ := openCrafted(t, c).Controllers(1, 0.01)
		if what == "kept awake" {
			doors[0].(sim.Dozer).KeepAwake()
		}
		if got := run(doors[0], 6, nil); !same(got, all) {
			t.Errorf("%s: called %v times, expected %v", what, got, all)
		}
	}
}

// What was slept through is played with its own tick, supply and current, and nothing else.
func TestPlayedReadings(t *testing.T) {
	sum := func(at, bits int) []byte { // adds what is read there, times 1, to a word
		op := byte(0x2F) // 16 bits
		if bits == 32 {
			op = 0x28
		}
		return join(constant(at), []byte{op, 0, 0})
	}
	more := join(store(scratchAt+4, add(load(scratchAt+4), add(sum(inputsAt, 32), add(sum(inputsAt+4, 16), sum(inputsAt+6, 16))))),
		store(outputsAt+countOut, load(scratchAt+4)))
	doors, _ := openCrafted(t, sleeper(sleeps, more)).Controllers(1, 0.01)
	got := run(doors[0], 6, func(tick int, in *sim.Inputs) {
		in.Supply, in.Current, in.Press = uint16(100*tick), uint16(1000*tick), tick == 5
	})
	// Ticks 0, 3, 4 and 5 are played, each as 1101 times its number.
	if want := []int{0, 0, 0, 0, 0, 12 * 1101}; !same(got, want) {
		t.Errorf("sums of readings %v, expected %v", got, want)
	}
}

// A tick that is passed over allocates nothing, and one that wakes neither.
func TestSleepAllocatesNothing(t *testing.T) {
	doors, _ := openCrafted(t, sleeper(sleeps, nil)).Controllers(1, 0.01)
	var kept sim.Store
	var in sim.Inputs
	var out sim.Outputs
	doors[0].PowerOn(&kept)
	if n := testing.AllocsPerRun(100, func() {
		in.Tick++
		in.Press = in.Tick%8 == 0
		doors[0].Tick(&in, &out)
	}); n != 0 {
		t.Errorf("%v allocations a tick", n)
	}
}

// Whatever a controller offers besides, it is itself that sleeps: the bench passes over
// its ticks only then.
func TestSelf(t *testing.T) {
	for flags := range uint32(1 << 4) {
		l := Layout{}
		for i, f := range []uint32{tellsState, keepsRecords, sleeps, servesLocks} {
			l.Flags |= (flags >> i & 1) * f
		}
		for _, role := range []Role{Door, Locks} {
			c := newController(nil, &l, role, 0.01)
			if got := c.(sim.Dozer).Self(); got != c {
				t.Errorf("flags %b: a %T says that it is a %T", l.Flags, c, got)
			}
		}
	}
}

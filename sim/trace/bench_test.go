package trace_test

import (
	"bytes"
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/trace"
)

// cycler is a controller that opens and closes by the clock, and tells of it.
type cycler struct {
	tick   int
	counts int
	state  string
}

func (c *cycler) PowerOn(*sim.Store) { *c = cycler{state: "waiting"} }

func (c *cycler) Tick(in *sim.Inputs, out *sim.Outputs) {
	c.tick++
	out.Up, out.Down, out.Enable, out.Duty, out.Tone = false, false, false, 0, false
	switch phase := c.tick % 1500; {
	case phase < 100:
		c.state = "waiting"
	case phase < 640:
		c.state, out.Up, out.Enable, out.Duty = "opening, slowly", true, true, 100
		c.counts += int(in.Pulses)
	case phase < 800:
		c.state, out.Tone = `so-called "open"`, phase%40 < 20
	case phase < 1200:
		c.state, out.Down, out.Enable, out.Duty = "closing", true, true, 90
		c.counts -= int(in.Pulses)
	default:
		c.state = "down"
	}
	out.Lamp = out.Enable
	for s := range out.Sides {
		out.Sides[s].Permit = true
	}
}

func (c *cycler) State() string { return c.state }
func (c *cycler) Counts() int   { return c.counts }

// mute is a controller that doesn't let itself be looked at.
type mute struct{}

func (mute) PowerOn(*sim.Store)             {}
func (mute) Tick(*sim.Inputs, *sim.Outputs) {}

// setup is a truck of four doors, of which three cycle and the last is mute.
func setup(watch ...sim.Observer) sim.Setup {
	s := sim.Setup{
		Truck: model.DefaultTruck(), Charge: 1, Seed: 42, Duration: 8000, Locks: mute{}, Watch: watch,
		Actions: []sim.Action{
			{At: 1000, Kind: sim.Press, Bay: 1, Distance: 1, Span: 300},
			{At: 2000, Kind: sim.BypassLock, Side: model.Roadside},
		},
	}
	for range s.Truck.Bays {
		s.Doors = append(s.Doors, &cycler{})
	}
	s.Doors[len(s.Doors)-1] = mute{}
	return s
}

func newBench(t testing.TB, s sim.Setup) *sim.Bench {
	t.Helper()
	b, err := sim.New(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

var about = trace.About{Scenario: "a test", Version: "1.2.3"}

// record is a whole trace of a setup that watches nothing yet.
func record(t testing.TB, f trace.Format, about trace.About, change ...func(*sim.Setup)) []byte {
	t.Helper()
	var out bytes.Buffer
	r := trace.New(&out, f, about)
	s := setup(r)
	for _, c := range change {
		c(&s)
	}
	if err := newBench(t, s).Run(); err != nil {
		t.Fatal(err)
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

var formats = []trace.Format{trace.CSV, trace.VCD, trace.Parquet}

// invented is a bench whose truck is moved by hand, by whole-number arithmetic only:
// what is recorded of it depends on nothing but the recorder. Every number changes
// with every tick, which costs a recorder most.
type invented struct {
	*sim.Bench
	doors []*cycler
	n     int64
}

func newInvented(t testing.TB) *invented {
	s := setup()
	v := &invented{}
	for i := range s.Doors {
		c := &cycler{}
		s.Doors[i] = c
		v.doors = append(v.doors, c)
	}
	v.Bench = newBench(t, s)
	return v
}

var words = []string{"down", "opening", "open", "closing", "obstructed, turning", `"odd"`}

func (v *invented) tick(r *trace.Recorder) {
	for i := range v.Truck.Bays {
		y, c, o := &v.Truck.Bays[i], v.doors[i], v.Outputs(i)
		k := v.n*int64(i+3) + 17*int64(i)
		x := func(mod int64) float64 { return float64((k*k+7*k)%mod-mod/3) / 1024 }
		y.Height, y.Speed, y.CableForce = x(1843), x(409), x(300007)
		y.ContactForce, y.FloorForce, y.MotorCurrent = x(200003), x(100003), x(19001)
		y.Supply, y.WindingTemp = x(13007), x(60013)
		y.Energised = int(v.n/40%3) - 1
		c.counts, c.state = int(v.n%361)-3, words[(v.n/25+int64(i))%int64(len(words))]
		o.Up, o.Enable, o.Duty, o.Tone = v.n/40%3 == 2, true, uint8(v.n%101), v.n/20%2 == 0
		v.PressLine[i] = v.n%97 < 9
	}
	for s := range v.Truck.Locks {
		v.Truck.Locks[s].Position = float64((v.n*int64(s+1))%61) / 1024
	}
	v.Now = v.n * v.TickSteps
	r.Tick(v.Bench)
	v.n++
}

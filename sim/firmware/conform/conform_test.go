package conform_test

import (
	"slices"
	"strings"
	"testing"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/firmware/conform"
	"slatbench/sim/logic"
)

// spoiled is the shipped logic with something wrong in every door, or in the locks.
type spoiled struct {
	*logic.Table
	door  func(i int, s *memory, in *sim.Inputs, out *sim.Outputs)
	locks func(in *sim.Inputs, out *sim.Outputs)
	mute  bool // no records
	// forgets: a store that was not empty when the truck was new is not looked at.
	forgets bool
}

// memory is what a spoiled door knows besides.
type memory struct {
	press    int // ticks that the line has been on
	resets   int
	shared   *int
	sounding bool
	tones    int
}

type door struct {
	*logic.Door
	s    *spoiled
	i    int
	m    memory
	last sim.Outputs
}

func (d *door) PowerOn(store *sim.Store) {
	d.m.press = 0
	d.m.resets++
	d.last = sim.Outputs{}
	if d.s.forgets && d.m.resets > 1 {
		store = new(sim.Store)
	}
	d.Door.PowerOn(store)
}

func (d *door) Tick(in *sim.Inputs, out *sim.Outputs) {
	if in.Press {
		d.m.press++
	} else {
		d.m.press = 0
	}
	in2 := *in
	if d.s.door != nil {
		d.s.door(d.i, &d.m, &in2, nil)
	}
	d.last.Write = false
	d.Door.Tick(&in2, &d.last)
	*out = d.last
	if d.s.door != nil {
		d.s.door(d.i, &d.m, in, out)
	}
}

type locks struct {
	*logic.Locks
	s    *spoiled
	last sim.Outputs
}

func (l *locks) Tick(in *sim.Inputs, out *sim.Outputs) {
	in2 := *in
	l.s.locks(&in2, nil)
	l.last.Write = false
	l.Locks.Tick(&in2, &l.last)
	*out = l.last
	l.s.locks(in, out)
}

// untold hides that a door keeps records.
type untold struct{ sim.Controller }

func (s *spoiled) Controllers(bays int, tick float64) (doors []sim.Controller, _ sim.Controller) {
	shared := new(int)
	for i := range bays {
		d := &door{Door: logic.NewDoor(s.Table, tick), s: s, i: i, m: memory{shared: shared}}
		if s.mute {
			doors = append(doors, untold{d})
		} else {
			doors = append(doors, d)
		}
	}
	if s.locks != nil {
		return doors, &locks{Locks: logic.NewLocks(s.Table, tick), s: s}
	}
	return doors, logic.NewLocks(s.Table, tick)
}

func baseline(t *testing.T) *logic.Table {
	t.Helper()
	table, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).LoadLogic(scenarios.BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

func drive(out *sim.Outputs, up bool) {
	out.Up, out.Down, out.Enable, out.Duty = up, !up, true, 100
}

// drives changes what a door drives, drivesLocks what the lock controller does, and
// drivesBars of that what goes to the bars.
func drives(change func(out *sim.Outputs)) func(int, *memory, *sim.Inputs, *sim.Outputs) {
	return func(_ int, _ *memory, _ *sim.Inputs, out *sim.Outputs) {
		if out != nil {
			change(out)
		}
	}
}

func drivesLocks(change func(out *sim.Outputs)) func(*sim.Inputs, *sim.Outputs) {
	return func(_ *sim.Inputs, out *sim.Outputs) {
		if out != nil {
			change(out)
		}
	}
}

func drivesBars(change func(sides *[2]sim.SideOutputs)) func(*sim.Inputs, *sim.Outputs) {
	return drivesLocks(func(out *sim.Outputs) { change(&out.Sides) })
}

// Nothing is wrong with the shipped logic.
func TestBaseline(t *testing.T) {
	r, err := conform.Check(baseline(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range r.Items {
		if i.Wrong != "" || i.Note != "" {
			t.Errorf("%s: %s%s", i.Tried, i.Wrong, i.Note)
		}
	}
	if len(r.Items) < 41 {
		t.Errorf("%d things were tried", len(r.Items))
	}
}

// What a first build gets wrong is found, and said.
func TestFindsWhatIsWrong(t *testing.T) {
	table := baseline(t)
	for _, c := range []struct {
		what string
		s    spoiled
		says string
	}{
		{"both coils", spoiled{door: func(_ int, _ *memory, _ *sim.Inputs, out *sim.Outputs) {
			if out != nil && out.Up {
				out.Down = true
			}
		}}, "had both coils on"},
		{"moves after power-on", spoiled{door: func(_ int, m *memory, in *sim.Inputs, out *sim.Outputs) {
			if out != nil && m.resets == 1 && in.Tick > 100 && in.Tick < 110 {
				drive(out, true)
			}
		}}, "was driven before anybody pressed"},
		{"moves after the supply came back", spoiled{door: func(i int, m *memory, in *sim.Inputs, out *sim.Outputs) {
			if out != nil && i == 0 && m.resets == 2 && in.Tick > 100 && in.Tick < 200 {
				drive(out, true)
			}
		}}, "after the supply came back door C1 moved"},
		{"ignores presses", spoiled{door: func(_ int, _ *memory, in *sim.Inputs, out *sim.Outputs) {
			if out == nil {
				in.Press = false
			}
		}}, "was ignored"},
		{"all doors hear a press", spoiled{door: func(_ int, m *memory, in *sim.Inputs, out *sim.Outputs) {
			if out != nil {
				return
			}
			if in.Press {
				*m.shared = 12
			} else if *m.shared > 0 {
				*m.shared--
				in.Press = true
			}
		}}, "do the controllers share a variable"},
		{"does not stop at a press", spoiled{door: func(_ int, m *memory, in *sim.Inputs, out *sim.Outputs) {
			if out == nil && in.Current > 60 {
				in.Press = false
			}
		}}, "did not stop it"},
		{"no dead time", spoiled{door: func(i int, _ *memory, in *sim.Inputs, out *sim.Outputs) {
			if out != nil && i == 0 && out.Enable && out.Up && in.Tick%40 == 0 {
				drive(out, false)
			}
		}}, "was turned round with 0 ms between"},
		{"says nothing by its lines", spoiled{door: func(_ int, _ *memory, _ *sim.Inputs, out *sim.Outputs) {
			if out != nil {
				out.Lines.NotDown = out.Lines.Down
			}
		}}, "two lines have the same level"},
		{"a duty of 255", spoiled{door: func(_ int, _ *memory, _ *sim.Inputs, out *sim.Outputs) {
			if out != nil {
				out.Duty = 255
			}
		}}, "a duty of 255 %"},
		{"writes without waiting", spoiled{door: func(_ int, _ *memory, in *sim.Inputs, out *sim.Outputs) {
			if out != nil {
				out.Write, out.WriteAt, out.Byte = true, 60, byte(in.Tick)
			}
		}}, "it is lost"},
		{"permits nothing", spoiled{locks: func(_ *sim.Inputs, out *sim.Outputs) {
			if out != nil {
				out.Sides[1].Permit = false
			}
		}}, "permits no movement"},
		{"locks whatever the doors say", spoiled{locks: func(in *sim.Inputs, out *sim.Outputs) {
			if out == nil {
				for i := range in.Sides[0].Down {
					in.Sides[0].Down[i] = sim.DownLines{Down: true}
				}
			}
		}}, "driven to lock while door C1 was up"},
		{"never locks", spoiled{locks: func(in *sim.Inputs, out *sim.Outputs) {
			if out == nil {
				in.Sides[0].LockRequest = false
			}
		}}, "was not driven to its locked end"},
		{"never stops", spoiled{door: func(i int, m *memory, in *sim.Inputs, out *sim.Outputs) {
			if out != nil && m.press > 0 {
				m.resets = 100
			}
			if out != nil && m.resets == 100 && i == 0 {
				drive(out, true)
			}
		}}, "the drive was still on"},
		{"says that it is down while it is up", spoiled{door: func(i int, _ *memory, _ *sim.Inputs, out *sim.Outputs) {
			if out != nil && i == 0 {
				out.Lines = sim.DownLines{Down: true}
			}
		}}, "its lines say that it is down"},
		{"a sounder without a wire", spoiled{door: drives(func(out *sim.Outputs) { out.Tone = false })},
			"door C1 closed on a crate at 900 mm, and the sounder never sounded"},
		{"a sounder turned round", spoiled{door: drives(func(out *sim.Outputs) { out.Tone = !out.Tone })},
			"the sounder of door C1 was on all the time, though nothing was wrong"},
		{"a sounder on the lamp's wire", spoiled{door: drives(func(out *sim.Outputs) { out.Tone = out.Lamp })},
			"the sounder of door C1 sounded at 3.05 s, though nothing was wrong"},
		{"a sounder that goes on", spoiled{door: func(_ int, m *memory, _ *sim.Inputs, out *sim.Outputs) {
			if out != nil {
				m.sounding = m.sounding || out.Tone
				out.Tone = m.sounding
			}
		}}, "the count of the sounder does not end"},
		{"a sounder that swallows pulses", spoiled{door: func(_ int, m *memory, _ *sim.Inputs, out *sim.Outputs) {
			if out != nil {
				if out.Tone && !m.sounding {
					m.tones++
				}
				m.sounding = out.Tone
				out.Tone = out.Tone && m.tones%3 != 0
			}
		}}, "the sounder gave 2 pulses (stalled-opening), expected 3 (obstruction-closing) or 4"},
		{"all sounders on one wire", spoiled{door: func(i int, m *memory, _ *sim.Inputs, out *sim.Outputs) {
			if out != nil && i == 0 {
				*m.shared = 0
				if out.Tone {
					*m.shared = 1000
				}
			} else if out != nil {
				out.Tone = *m.shared == 1000
			}
		}}, "and the sounder of C2 sounded, too"},
		{"a lamp without a wire", spoiled{door: drives(func(out *sim.Outputs) { out.Lamp = false })}, "the lamp of C1 was never on while it moved"},
		{"a lamp turned round", spoiled{door: drives(func(out *sim.Outputs) { out.Lamp = !out.Lamp })}, "was on at rest, and never while it moved"},
		{"a lamp that stays on", spoiled{door: drives(func(out *sim.Outputs) { out.Lamp = true })}, "the lamp of C1 was on all the time"},
		{"an enable that stays on", spoiled{door: drives(func(out *sim.Outputs) { out.Enable = true })}, "had held a coil on for half a second"},
		{"up and down exchanged", spoiled{door: drives(func(out *sim.Outputs) { out.Up, out.Down = out.Down, out.Up })}, "drove it down"},
		{"no teach button", spoiled{door: func(_ int, _ *memory, in *sim.Inputs, out *sim.Outputs) {
			if out == nil {
				in.Teach = false
			}
		}}, "an empty store, the teach button held, and a press: nothing was driven"},
		{"writes nothing", spoiled{door: drives(func(out *sim.Outputs) { out.Write = false })}, "not one byte was written into its store"},
		{"writes elsewhere", spoiled{door: drives(func(out *sim.Outputs) { out.WriteAt += 32 })}, "bytes were written into the store, and bench_taught finds no travel"},
		{"writes beyond its store", spoiled{door: drives(func(out *sim.Outputs) { out.WriteAt += 64 })}, "of its store (write_at), which has 64"},
		{"loses pulses while it is taught", spoiled{door: func(i int, m *memory, in *sim.Inputs, out *sim.Outputs) {
			if out == nil && i == 1 && m.resets > 1 && in.Tick%4 == 0 {
				in.Pulses = 0
			}
		}}, "after teaching, and it has 360"},
		{"forgets at a reset", spoiled{forgets: true}, "then ignored a press: it does not find its own record at power-on"},
		{"permits while it is locked", spoiled{locks: drivesBars(func(s *[2]sim.SideOutputs) { s[0].Permit = true })},
			"the bar of curbside is at its locked end, and the lock controller lets its doors move"},
		{"permits of exchanged sides", spoiled{locks: drivesBars(func(s *[2]sim.SideOutputs) { s[0].Permit, s[1].Permit = s[1].Permit, s[0].Permit })},
			"the lock controller lets its doors move"},
		{"one permit for all", spoiled{locks: drivesBars(func(s *[2]sim.SideOutputs) { s[1].Permit = s[0].Permit })},
			"curbside was locked, and the doors of roadside may no longer move"},
		{"bars of exchanged sides", spoiled{locks: drivesBars(func(s *[2]sim.SideOutputs) { s[0].Drive, s[1].Drive = s[1].Drive, s[0].Drive })},
			"curbside was asked to lock, and the bar of roadside was driven"},
		{"bars driven the wrong way", spoiled{locks: drivesBars(func(s *[2]sim.SideOutputs) { s[0].Drive = -s[0].Drive })}, "a drive of +1 locks, and -1 unlocks"},
		{"a bar that is never driven back", spoiled{locks: drivesBars(func(s *[2]sim.SideOutputs) { s[1].Drive = max(s[1].Drive, 0) })},
			"was not driven back to its unlocked end"},
		{"the locks' sounder without a wire", spoiled{locks: drivesLocks(func(out *sim.Outputs) { out.Tone = false })},
			"the bar of curbside was driven against something in its way, and the sounder never sounded"},
		{"the locks' sounder turned round", spoiled{locks: drivesLocks(func(out *sim.Outputs) { out.Tone = !out.Tone })},
			"the sounder of the lock controller was on all the time"},
		{"a lamp of a bar without a wire", spoiled{locks: drivesBars(func(s *[2]sim.SideOutputs) { s[1].Lamp = false })},
			"the bar of roadside was driven against something in its way, and its lamp was never lit"},
		{"a lamp of a bar that stays on", spoiled{locks: drivesBars(func(s *[2]sim.SideOutputs) { s[0].Lamp = true })}, "on all along instead of flashing"},
		{"keeps no records", spoiled{mute: true}, "every run begins untaught"},
	} {
		c.s.Table = table
		r, err := conform.Check(&c.s)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(r.Items, func(i conform.Item) bool { return strings.Contains(i.Wrong+i.Note, c.says) }) {
			t.Errorf("%s: %q is not said", c.what, c.says)
			for _, i := range r.Items {
				if i.Wrong != "" {
					t.Logf("  %s: %s", i.Tried, i.Wrong)
				}
			}
		}
	}
}

// unsteady is a door that looks at what no power-on clears.
func TestUnsteady(t *testing.T) {
	plays := 0
	s := &spoiled{Table: baseline(t), door: func(i int, _ *memory, in *sim.Inputs, out *sim.Outputs) {
		if out != nil && i == 0 && in.Tick == 50 {
			plays++
			out.Lamp = plays > 1
		}
	}}
	r, err := conform.Check(s)
	if err != nil {
		t.Fatal(err)
	}
	if last := r.Items[len(r.Items)-1]; !strings.Contains(last.Wrong, "gave other outputs") || r.Wrong() != 1 {
		t.Errorf("%+v, and %d wrong", last, r.Wrong())
	}
}

// drowsy is a door that does something at a tick that it passes over, and something else
// where it is kept awake.
type drowsy struct {
	*logic.Door
	first, awake bool
}

func (d *drowsy) KeepAwake() { d.awake = true }

func (d *drowsy) Tick(in *sim.Inputs, out *sim.Outputs) {
	d.Door.Tick(in, out)
	if d.first && !d.awake && in.Tick == 50 {
		out.Lamp = true
	}
}

// drowsing is a logic with a drowsy first door.
type drowsing struct{ *logic.Table }

func (l drowsing) Controllers(bays int, tick float64) (doors []sim.Controller, locks sim.Controller) {
	doors, locks = l.Table.Controllers(bays, tick)
	for i := range doors {
		doors[i] = &drowsy{Door: doors[i].(*logic.Door), first: i == 0}
	}
	return doors, locks
}

// A controller to which it matters which ticks it passes over is found.
func TestWrongDozing(t *testing.T) {
	r, err := conform.Check(drowsing{baseline(t)})
	if err != nil {
		t.Fatal(err)
	}
	const says = "at 0.50 s the controller of C1 gave other outputs than it gives when it is called at every tick"
	if last := r.Items[len(r.Items)-1]; !strings.Contains(last.Wrong, says) || r.Wrong() != 1 {
		t.Errorf("%+v, and %d wrong", last, r.Wrong())
	}
}

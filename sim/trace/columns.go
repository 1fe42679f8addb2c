package trace

import (
	"strconv"
	"strings"
	"unicode"

	"slatbench/model"
	"slatbench/sim"
)

// Kind is what a column holds.
type Kind uint8

// The kinds of column, and how each format writes them.
const (
	Real  Kind = iota // CSV, VCD: six significant digits; Parquet: DOUBLE
	Whole             // a whole number of 32 bits; VCD: integer; Parquet: INT32
	Flag              // CSV: 0 or 1; VCD: a wire; Parquet: BOOLEAN
	Word              // VCD: its letters in a register of 8·WordLetters bits; Parquet: STRING by dictionary
)

// WordLetters is how many bytes of a word a VCD file keeps. A longer name of a state
// loses its end there, and there only.
const WordLetters = 32

// Value is one sample of a column.
type Value struct {
	Real  float64
	Whole int32 // 0 or 1 for a Flag
	Word  string
	None  bool // nothing to tell: a controller that doesn't let itself be looked at
}

// Column is one column of a trace.
type Column struct {
	Scope string // the bay, the side, or locks; empty for the time
	Name  string // with its unit, where it has one: height_m
	Unit  string // m, V, %, …; empty where there is none
	Means string
	Kind  Kind
	Lacks bool // a sample may hold nothing: Value.None

	at   int // bay or side
	read func(b *sim.Bench, at int, v *Value)
}

// FullName is the scope and the name, as the header has them: C1.height_m.
func (c *Column) FullName() string {
	if c.Scope == "" {
		return c.Name
	}
	return c.Scope + "." + c.Name
}

// Time is the first column of every trace. The others say what was so at that instant:
// just after the controllers have worked, and before the truck moves on.
var Time = Column{Name: "t_s", Unit: "s", Means: "time since the start of the run", Kind: Real}

// Columns are those of a truck, after the time: every bay's, every side's, and those
// of the lock controller. Names of bays are made fit for every format.
func Columns(b *sim.Bench) []Column {
	var list []Column
	add := func(scope string, at int, kinds []Column) {
		for _, c := range kinds {
			c.Scope, c.at = scope, at
			list = append(list, c)
		}
	}
	for i, scope := range bayScopes(b) {
		add(scope, i, BayColumns)
	}
	for s := range b.Truck.Locks {
		add(model.Side(s).String(), s, SideColumns)
	}
	add(lockScope, 0, LockColumns)
	return list
}

const lockScope = "locks"

// bayScopes are the names of the bays, with nothing in them that a header or a VCD
// scope could stumble over, and no two alike.
func bayScopes(b *sim.Bench) []string {
	taken := map[string]bool{lockScope: true}
	for s := range b.Truck.Locks {
		taken[model.Side(s).String()] = true
	}
	var list []string
	for i := range b.Truck.Bays {
		name := strings.Map(fit, b.Truck.Bays[i].Params.Name)
		if name == "" {
			name = "bay"
		}
		scope := name
		for n := 2; taken[scope]; n++ {
			scope = name + "_" + strconv.Itoa(n)
		}
		taken[scope] = true
		list = append(list, scope)
	}
	return list
}

func fit(r rune) rune {
	if r == '-' || unicode.IsLetter(r) || unicode.IsDigit(r) {
		return r
	}
	return '_'
}

// BayColumns are the columns that every bay has, in their order.
var BayColumns = []Column{
	bayReal("height_m", "m", "true height of the bottom edge along the track", func(y *model.Bay) float64 { return y.Height }),
	bayReal("speed_m_s", "m/s", "speed of the curtain, up positive", func(y *model.Bay) float64 { return y.Speed }),
	bayReal("cable_n", "N", "tension of the cables together", func(y *model.Bay) float64 { return y.CableForce }),
	bayReal("slack_m", "m", "cable that hangs slack", (*model.Bay).Slack),
	bayReal("contact_n", "N", "force on an obstruction", func(y *model.Bay) float64 { return y.ContactForce }),
	bayReal("floor_n", "N", "force on the floor", func(y *model.Bay) float64 { return y.FloorForce }),
	bayReal("current_a", "A", "motor current, winding up positive", func(y *model.Bay) float64 { return y.MotorCurrent }),
	bayReal("supply_v", "V", "supply at the controller's terminals", func(y *model.Bay) float64 { return y.Supply }),
	bayReal("winding_c", "°C", "temperature of the motor's winding", func(y *model.Bay) float64 { return y.WindingTemp }),
	{Name: "energised", Means: "1 up, -1 down, 0 no voltage at the motor", Kind: Whole,
		read: func(b *sim.Bench, i int, v *Value) { v.Whole = int32(b.Truck.Bays[i].Energised) }},
	{Name: "counts", Unit: "pulses", Means: "pulses above the floor, as the controller believes", Kind: Whole, Lacks: true,
		read: func(b *sim.Bench, i int, v *Value) {
			c, _ := b.Door(i)
			if t, ok := c.(sim.Teller); ok {
				v.Whole = int32(t.Counts())
				return
			}
			v.None = true
		}},
	{Name: "state", Means: "state of the controller", Kind: Word, Lacks: true,
		read: func(b *sim.Bench, i int, v *Value) {
			c, _ := b.Door(i)
			state(c, v)
		}},
	{Name: "drive", Means: "direction that the controller asks for: up, down, off", Kind: Word,
		read: func(b *sim.Bench, i int, v *Value) { v.Word = driveWord(b.Outputs(i)) }},
	{Name: "duty_pct", Unit: "%", Means: "duty that the controller asks for", Kind: Whole,
		read: func(b *sim.Bench, i int, v *Value) { v.Whole = int32(b.Outputs(i).Duty) }},
	flag("press", "1 while the receiver's line is on", func(b *sim.Bench, i int) bool { return b.PressLine[i] }),
	flag("tone", "1 while the sounder sounds", func(b *sim.Bench, i int) bool { return b.Outputs(i).Tone }),
	flag("lamp", "1 while the lamp is lit", func(b *sim.Bench, i int) bool { return b.Outputs(i).Lamp }),
	flag("sill", "1 while the sill switch is made, as the controller last read it", func(b *sim.Bench, i int) bool { return b.Inputs(i).Sill }),
	flag("awake", "1 while the controller has power and has booted", (*sim.Bench).Awake),
}

// SideColumns are the columns that every side has.
var SideColumns = []Column{
	{Name: "bar_m", Unit: "m", Means: "position of the lock bar, 0 unlocked", Kind: Real,
		read: func(b *sim.Bench, s int, v *Value) { v.Real = b.Truck.Locks[s].Position }},
	{Name: "drive", Means: "direction in which the lock controller drives the bar: lock, unlock, off", Kind: Word,
		read: func(b *sim.Bench, s int, v *Value) { v.Word = lockWord(b.LockOutputs().Sides[s].Drive) }},
	flag("permit", "1 while the doors of the side may move", func(b *sim.Bench, s int) bool { return b.LockOutputs().Sides[s].Permit }),
	flag("lamp", "1 while the lock lamp is lit", func(b *sim.Bench, s int) bool { return b.LockOutputs().Sides[s].Lamp }),
}

// LockColumns are those of the lock controller.
var LockColumns = []Column{
	{Name: "state", Means: "state of the lock controller, both sides", Kind: Word, Lacks: true,
		read: func(b *sim.Bench, _ int, v *Value) { state(b.LockController(), v) }},
	flag("tone", "1 while the lock controller's sounder sounds", func(b *sim.Bench, _ int) bool { return b.LockOutputs().Tone }),
	flag("awake", "1 while the lock controller has power and has booted", func(b *sim.Bench, _ int) bool { return b.LocksAwake() }),
}

func bayReal(name, unit, means string, of func(*model.Bay) float64) Column {
	return Column{Name: name, Unit: unit, Means: means, Kind: Real,
		read: func(b *sim.Bench, i int, v *Value) { v.Real = of(&b.Truck.Bays[i]) }}
}

func flag(name, means string, of func(*sim.Bench, int) bool) Column {
	return Column{Name: name, Means: means, Kind: Flag,
		read: func(b *sim.Bench, i int, v *Value) {
			v.Whole = 0
			if of(b, i) {
				v.Whole = 1
			}
		}}
}

func state(c sim.Controller, v *Value) {
	if t, ok := c.(sim.Teller); ok {
		v.Word = t.State()
		return
	}
	v.None = true
}

func driveWord(o *sim.Outputs) string {
	switch {
	case !o.Enable || o.Up == o.Down:
		return "off"
	case o.Up:
		return "up"
	}
	return "down"
}

func lockWord(drive int8) string {
	switch {
	case drive > 0:
		return "lock"
	case drive < 0:
		return "unlock"
	}
	return "off"
}

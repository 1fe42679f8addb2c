package sim

import (
	"bufio"
	"io"
	"strconv"

	"slatbench/model"
)

// Recorder is an observer that writes a trace as comma-separated values, a line a
// sample, as a stream: however long the run, it keeps one line in memory.
//
// The header gives each column's name and unit: t_s, then for every bay
// C1.height_m, C1.speed_m_s and so on, then for every side its bar.
type Recorder struct {
	out   *bufio.Writer
	every int64 // ticks a sample
	tick  int64
	line  []byte
	err   error
}

// NewRecorder writes to w, one sample every so many ticks.
func NewRecorder(w io.Writer, every int) *Recorder {
	return &Recorder{out: bufio.NewWriterSize(w, 1<<16), every: int64(max(every, 1))}
}

// Step implements Observer.
func (r *Recorder) Step(*Bench) {}

// Tick implements Observer.
func (r *Recorder) Tick(b *Bench) {
	if r.err != nil {
		return
	}
	if r.tick == 0 {
		r.header(b)
	}
	if r.tick%r.every == 0 {
		r.sample(b)
	}
	r.tick++
}

// Close writes out what is left. Its error is the first that any write has met.
func (r *Recorder) Close() error {
	if err := r.out.Flush(); r.err == nil {
		r.err = err
	}
	return r.err
}

func (r *Recorder) header(b *Bench) {
	r.line = append(r.line[:0], "t_s"...)
	for i := range b.Truck.Bays {
		for _, c := range BayColumns {
			r.line = append(r.line, ',')
			r.line = append(r.line, b.Truck.Bays[i].Params.Name...)
			r.line = append(r.line, '.')
			r.line = append(r.line, c.Name...)
		}
	}
	for s := range b.Truck.Locks {
		r.line = append(r.line, ',')
		r.line = append(r.line, model.Side(s).String()...)
		r.line = append(r.line, ".bar_m"...)
	}
	r.write(",locks.state\n")
}

func (r *Recorder) sample(b *Bench) {
	r.line = strconv.AppendFloat(r.line[:0], b.Seconds(b.Now), 'f', -1, 64)
	for i := range b.Truck.Bays {
		for _, c := range BayColumns {
			r.line = append(r.line, ',')
			r.line = c.append(r.line, b, i)
		}
	}
	for s := range b.Truck.Locks {
		r.line = append(r.line, ',')
		r.line = appendNumber(r.line, b.Truck.Locks[s].Position)
	}
	r.line = append(r.line, ',')
	r.line = append(r.line, stateOf(b.locks.controller)...)
	r.write("\n")
}

func (r *Recorder) write(end string) {
	r.line = append(r.line, end...)
	if _, err := r.out.Write(r.line); err != nil {
		r.err = err
	}
}

// BayColumn is a column of the trace, once a bay.
type BayColumn struct {
	Name   string // with its unit: height_m
	Means  string
	append func(line []byte, b *Bench, bay int) []byte
}

// BayColumns are the columns that every bay has, in their order.
var BayColumns = []BayColumn{
	{"height_m", "true height of the bottom edge", number(func(b *model.Bay) float64 { return b.Height })},
	{"speed_m_s", "speed of the curtain, up positive", number(func(b *model.Bay) float64 { return b.Speed })},
	{"cable_n", "tension of the cables together", number(func(b *model.Bay) float64 { return b.CableForce })},
	{"slack_m", "cable that hangs slack", number((*model.Bay).Slack)},
	{"contact_n", "force on an obstruction", number(func(b *model.Bay) float64 { return b.ContactForce })},
	{"floor_n", "force on the floor", number(func(b *model.Bay) float64 { return b.FloorForce })},
	{"current_a", "motor current, winding up positive", number(func(b *model.Bay) float64 { return b.MotorCurrent })},
	{"supply_v", "at the controller's terminals", number(func(b *model.Bay) float64 { return b.Supply })},
	{"winding_c", "temperature of the winding", number(func(b *model.Bay) float64 { return b.WindingTemp })},
	{"energised", "1 up, -1 down, 0 no voltage at the motor", func(line []byte, b *Bench, i int) []byte {
		return strconv.AppendInt(line, int64(b.Truck.Bays[i].Energised), 10)
	}},
	{"counts", "pulses above the floor, as the controller believes", func(line []byte, b *Bench, i int) []byte {
		if t, ok := b.doors[i].controller.(Teller); ok {
			return strconv.AppendInt(line, int64(t.Counts()), 10)
		}
		return line
	}},
	{"state", "of the controller", func(line []byte, b *Bench, i int) []byte {
		return append(line, stateOf(b.doors[i].controller)...)
	}},
	{"drive", "what the controller asks for", func(line []byte, b *Bench, i int) []byte {
		return append(line, driveWord(&b.doors[i].out)...)
	}},
	{"duty_pct", "what it asks for", func(line []byte, b *Bench, i int) []byte {
		return strconv.AppendInt(line, int64(b.doors[i].out.Duty), 10)
	}},
	{"press", "1 while the receiver's line is on", func(line []byte, b *Bench, i int) []byte { return appendBit(line, b.PressLine[i]) }},
	{"tone", "1 while the sounder sounds", func(line []byte, b *Bench, i int) []byte { return appendBit(line, b.doors[i].out.Tone) }},
}

func number(of func(*model.Bay) float64) func([]byte, *Bench, int) []byte {
	return func(line []byte, b *Bench, i int) []byte { return appendNumber(line, of(&b.Truck.Bays[i])) }
}

// appendNumber writes six significant digits: more than any sensor, few enough to read.
func appendNumber(line []byte, x float64) []byte { return strconv.AppendFloat(line, x, 'g', 6, 64) }

func appendBit(line []byte, on bool) []byte {
	if on {
		return append(line, '1')
	}
	return append(line, '0')
}

func stateOf(c Controller) string {
	if t, ok := c.(Teller); ok {
		return t.State()
	}
	return ""
}

func driveWord(o *Outputs) string {
	switch {
	case !o.Enable || o.Up == o.Down:
		return "off"
	case o.Up:
		return "up"
	}
	return "down"
}

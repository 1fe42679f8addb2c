package conform

import (
	"fmt"

	"slatbench/sim"
)

// deadTime between two directions, in s: the requirement dead-time.
const deadTime = 0.1

// watch looks at every output of every tick.
type watch struct {
	still []int    // ticks since a door was last energised
	sums  []uint64 // of all outputs: at each tick one a door, and one for the locks

	last []struct {
		dir int
		at  int64
	}
	both, dead, duty, store, silent string // the first of each, in words
}

func newWatch(bays int) *watch {
	w := &watch{still: make([]int, bays)}
	w.last = make([]struct {
		dir int
		at  int64
	}, bays)
	return w
}

// Step implements sim.Observer.
func (w *watch) Step(*sim.Bench) {}

// Tick implements sim.Observer.
func (w *watch) Tick(b *sim.Bench) {
	const start = 14695981039346656037
	for i := range w.still {
		o := b.Outputs(i)
		w.sums = append(w.sums, add(start, o))
		w.door(b, i, o)
	}
	w.sums = append(w.sums, add(start, b.LockOutputs()))
	w.fell(b, b.LockController(), "the lock controller")
}

func (w *watch) door(b *sim.Bench, i int, o *sim.Outputs) {
	name := b.Truck.Bays[i].Params.Name
	at := b.Seconds(b.Now)
	first(&w.both, o.Up && o.Down, "at %.2f s door %s had both coils on", at, name)
	first(&w.duty, o.Duty > 100, "at %.2f s door %s asked for a duty of %d %%", at, name, o.Duty)
	first(&w.store, o.Write && b.Inputs(i).StoreBusy, "at %.2f s door %s wrote a byte while the last was on its way (store_busy): it is lost", at, name)
	w.still[i]++
	dir := 0
	if o.Enable && o.Up != o.Down && o.Duty > 0 {
		dir, w.still[i] = 1, 0
		if o.Down {
			dir = -1
		}
	}
	l := &w.last[i]
	if dir != 0 {
		gap := b.Seconds(b.Now - l.at)
		first(&w.dead, l.dir == -dir && gap < deadTime, "at %.2f s door %s was turned round with %.0f ms between", at, name, 1000*(gap-Tick))
		l.dir, l.at = dir, b.Now
	}
	c, _ := b.Door(i)
	w.fell(b, c, "the controller of "+name)
}

func (w *watch) fell(b *sim.Bench, c sim.Controller, who string) {
	if f, ok := c.(sim.Faller); ok && w.silent == "" && f.Silent() != "" {
		w.silent = fmt.Sprintf("at %.2f s %s went silent: %s", b.Seconds(b.Now), who, f.Silent())
	}
}

// first keeps the first of its kind.
func first(kept *string, is bool, format string, args ...any) {
	if is && *kept == "" {
		*kept = fmt.Sprintf(format, args...)
	}
}

// add takes outputs up into a sum (FNV-1a).
func add(sum uint64, o *sim.Outputs) uint64 {
	flag := func(on bool) byte {
		if on {
			return 1
		}
		return 0
	}
	for _, b := range [...]byte{flag(o.Up), flag(o.Down), flag(o.Enable), o.Duty, flag(o.Tone), flag(o.Lamp), flag(o.Lines.Down), flag(o.Lines.NotDown),
		flag(o.Write), o.WriteAt, o.Byte, byte(o.Sides[0].Drive), flag(o.Sides[0].Lamp), flag(o.Sides[0].Permit),
		byte(o.Sides[1].Drive), flag(o.Sides[1].Lamp), flag(o.Sides[1].Permit)} {
		sum = (sum ^ uint64(b)) * 1099511628211
	}
	return sum
}

package conform

import (
	"fmt"

	"slatbench/model"
	"slatbench/sim"
)

// deadTime between two directions, in s: the requirement dead-time.
const deadTime = 0.1

// seen is which levels of an output have been seen.
type seen struct{ on, off bool }

func (s *seen) look(level bool) {
	s.on = s.on || level
	s.off = s.off || !level
}

// noise is what a sounder has done since the beginning.
type noise struct {
	seen
	first float64 // s, when it was on first
}

func (n *noise) look(level bool, at float64) {
	if level && !n.on {
		n.first = at
	}
	n.seen.look(level)
}

// doorActs is what a door's outputs have done.
type doorActs struct {
	tone   seen // since forget
	writes int  // bytes, since forget

	noise      noise
	lamp       seen // since the beginning
	lampMoving seen // while it was driven

	dir  int   // of the drive, last
	at   int64 // step, then
	held int   // ticks that a coil has been on without driving
}

// barActs is what the outputs for a side's bar have done since forget.
type barActs struct {
	first int8 // direction of the first drive
	lamp  seen
}

// watch looks at every output of every tick.
type watch struct {
	still []int    // ticks since a door was last energised
	sums  []uint64 // of all outputs: at each tick one a door, and one for the locks

	doors     []doorActs
	bars      [model.Sides]barActs
	lockTone  seen // since forget
	lockNoise noise

	both, dead, duty, held, store, silent string // the first of each, in words
}

func newWatch(bays int) *watch {
	return &watch{still: make([]int, bays), doors: make([]doorActs, bays)}
}

// forget begins to look anew.
func (w *watch) forget() {
	for i := range w.doors {
		w.doors[i].tone, w.doors[i].writes = seen{}, 0
	}
	w.bars, w.lockTone = [model.Sides]barActs{}, seen{}
}

// Tick implements sim.Observer.
func (w *watch) Tick(b *sim.Bench) {
	const start = 14695981039346656037
	for i := range w.still {
		o := b.Outputs(i)
		w.sums = append(w.sums, add(start, o))
		w.door(b, i, o)
	}
	w.sums = append(w.sums, add(start, b.LockOutputs()))
	if b.LocksAwake() {
		w.locks(b, b.LockOutputs())
	}
	w.fell(b, b.LockController(), "the lock controller")
}

func (w *watch) door(b *sim.Bench, i int, o *sim.Outputs) {
	name := b.Truck.Bays[i].Params.Name
	at := b.Seconds(b.Now)
	first(&w.both, o.Up && o.Down, "at %.2f s door %s had both coils on", at, name)
	first(&w.duty, o.Duty > 100, "at %.2f s door %s asked for a duty of %d %%", at, name, o.Duty)
	first(&w.store, o.Write && b.Inputs(i).StoreBusy, "at %.2f s door %s wrote a byte while the last was on its way (store_busy): it is lost", at, name)
	first(&w.store, o.Write && o.WriteAt >= sim.StoreSize, "at %.2f s door %s wrote byte %d of its store (write_at), which has %d: it is lost", at, name, o.WriteAt, sim.StoreSize)
	w.still[i]++
	dir := 0
	if o.Enable && o.Up != o.Down && o.Duty > 0 {
		dir, w.still[i] = 1, 0
		if o.Down {
			dir = -1
		}
	}
	d := &w.doors[i]
	if d.held++; dir != 0 || !o.Up && !o.Down && !o.Enable {
		d.held = 0
	}
	first(&w.held, d.held > restTicks, "at %.2f s door %s was at rest and had held a coil on for half a second (up, down, enable): one contact that welds then moves it", at, name)
	if dir != 0 {
		gap := b.Seconds(b.Now - d.at)
		first(&w.dead, d.dir == -dir && gap < deadTime, "at %.2f s door %s was turned round with %.0f ms between", at, name, 1000*(gap-Tick))
		d.dir, d.at = dir, b.Now
	}
	if b.Awake(i) {
		d.look(o, dir != 0, at)
	}
	c, _ := b.Door(i)
	w.fell(b, c, "the controller of "+name)
}

func (d *doorActs) look(o *sim.Outputs, driven bool, at float64) {
	d.tone.look(o.Tone)
	d.noise.look(o.Tone, at)
	d.lamp.look(o.Lamp)
	if driven {
		d.lampMoving.look(o.Lamp)
	}
	if o.Write {
		d.writes++
	}
}

func (w *watch) locks(b *sim.Bench, o *sim.Outputs) {
	at := b.Seconds(b.Now)
	w.lockTone.look(o.Tone)
	w.lockNoise.look(o.Tone, at)
	first(&w.store, o.Write && b.LockInputs().StoreBusy, "at %.2f s the lock controller wrote a byte while the last was on its way (store_busy): it is lost", at)
	for side := range o.Sides {
		acts := &w.bars[side]
		if acts.first == 0 {
			acts.first = o.Sides[side].Drive
		}
		acts.lamp.look(o.Sides[side].Lamp)
	}
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

// lamps says what is wrong with the lamps of the doors.
func (s *script) lamps() string {
	for _, i := range []int{bay, other} {
		switch d := &s.watch.doors[i]; {
		case !d.lampMoving.on && !d.lampMoving.off: // it was never driven
		case !d.lampMoving.on && d.lamp.on:
			return fmt.Sprintf("the lamp of %s was on at rest, and never while it moved: is it turned round?", s.name(i))
		case !d.lampMoving.on:
			return fmt.Sprintf("the lamp of %s was never on while it moved (lamp)", s.name(i))
		case !d.lamp.off:
			return fmt.Sprintf("the lamp of %s was on all the time, whether it moved or not (lamp)", s.name(i))
		}
	}
	return ""
}

// always: what must be so at every tick, or all in all.
func (s *script) always() {
	w := s.watch
	s.add("the lamp of a door is lit while it moves, and not all the time", s.lamps())
	s.add("up and down are never driven at once", w.both)
	s.add("between two directions 100 ms without either", w.dead)
	s.add("at rest no coil is held", w.held)
	s.add("a duty is 0 to 100 %", w.duty)
	s.add("bytes are written only while the store is free", w.store)
	s.add("it answers to the end of the script", w.silent)
}

package campaign

import (
	"fmt"
	"strings"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/logic"
)

// A watch looks at what the controllers of a truck put out, tick by tick: it keeps the
// original's outputs, or compares a mutant's with them. Doors come first, the locks last.

// change is what a controller puts out from one of its ticks on.
type change struct {
	tick int32
	out  sim.Outputs
}

// record is what all controllers put out in a run, and what the run reached.
type record struct {
	changes [][]change // by controller
	fired   []uint64   // answers, by their bit in a table of one state a transition
	visited []uint64   // states, the door's and then the lock's
	visits  []visit    // in the order of their ends
}

// visit is one stay of a machine in a state. Its times are in s of ticks of being awake,
// which is the run's time as long as nothing was dark.
type visit struct {
	who      int // a bay, or the number of bays and the side
	state    int // by its bit in visited
	at, long float64
}

// difference is the first instant at which a mutant put out something else.
type difference struct {
	who      int
	tick     int32 // of that controller, counted from the start of the run, while it was awake
	was, now sim.Outputs
}

// watch is shared by all controllers of one player.
type watch struct {
	table  *logic.Table
	keep   *record // being written, or nil
	like   *record // being compared with, or nil
	ticks  []int32
	next   []int // in the changes of like
	last   []sim.Outputs
	differ *difference
	kinds  kinds   // of outputs that have ever differed
	tick   float64 // s
	in     []visit // where each machine is now
}

// controllers makes those of one truck, under the watch.
func (w *watch) controllers(p *Plan) Controllers {
	return func() (doors []sim.Controller, locks sim.Controller) {
		n := len(p.Truck.Bays)
		for i := range n {
			doors = append(doors, &watchedDoor{logic.NewDoor(w.table, p.tick()), w, i})
		}
		w.ticks, w.next, w.last = make([]int32, n+1), make([]int, n+1), make([]sim.Outputs, n+1)
		w.in, w.tick = make([]visit, n+model.Sides), p.tick()
		return doors, &watchedLocks{logic.NewLocks(w.table, p.tick()), w, n}
	}
}

type watchedDoor struct {
	*logic.Door
	watch *watch
	who   int
}

// Tick implements sim.Controller.
func (d *watchedDoor) Tick(in *sim.Inputs, out *sim.Outputs) {
	d.Door.Tick(in, out)
	d.watch.saw(d.who, out)
	if d.watch.keep != nil {
		d.watch.stands(d.who, d.who, stateIndexOf(&d.watch.table.Door, d.State()))
	}
}

type watchedLocks struct {
	*logic.Locks
	watch *watch
	who   int
}

// Tick implements sim.Controller.
func (l *watchedLocks) Tick(in *sim.Inputs, out *sim.Outputs) {
	l.Locks.Tick(in, out)
	l.watch.saw(l.who, out)
	if l.watch.keep != nil {
		for side := range out.Sides {
			l.watch.stands(l.who, l.who+side, len(l.watch.table.Door.States)+stateIndexOf(&l.watch.table.Lock, l.SideState(side)))
		}
	}
}

// stands takes up the state of a machine after a tick of its controller.
func (w *watch) stands(controller, machine, state int) {
	v := &w.in[machine]
	if v.state == state {
		return
	}
	now := float64(w.ticks[controller]-1) * w.tick
	w.leave(v, now)
	*v = visit{who: machine, state: state, at: now}
	mark(w.keep.visited, state)
}

func (w *watch) leave(v *visit, now float64) {
	if v.state >= 0 {
		v.long = now - v.at
		w.keep.visits = append(w.keep.visits, *v)
	}
}

// end closes the visits of a run that was kept.
func (w *watch) end() {
	for i := range w.in {
		w.leave(&w.in[i], float64(w.ticks[min(i, len(w.ticks)-1)])*w.tick)
	}
}

func mark(set []uint64, i int) { set[i>>6] |= 1 << (i & 63) }

// begin starts on a run: to keep it, or to compare it with one.
func (w *watch) begin(keep, like *record) {
	w.keep, w.like, w.differ, w.kinds = keep, like, nil, 0
	clear(w.ticks)
	clear(w.next)
	clear(w.last)
	for i := range w.in {
		w.in[i].state = -1
	}
	if keep != nil {
		*keep = record{
			changes: make([][]change, len(w.ticks)),
			visited: make([]uint64, words(len(w.table.Door.States)+len(w.table.Lock.States))),
		}
	}
}

// saw takes up what a controller put out at a tick.
func (w *watch) saw(who int, out *sim.Outputs) {
	tick := w.ticks[who]
	w.ticks[who]++
	if k := w.keep; k != nil {
		if *out != w.last[who] {
			k.changes[who] = append(k.changes[who], change{tick, *out})
			w.last[who] = *out
		}
		return
	}
	if w.like == nil {
		return
	}
	if list := w.like.changes[who]; w.next[who] < len(list) && list[w.next[who]].tick == tick {
		w.last[who] = list[w.next[who]].out
		w.next[who]++
	}
	if *out != w.last[who] {
		w.differs(who, tick, out)
	}
}

func (w *watch) differs(who int, tick int32, out *sim.Outputs) {
	if w.differ == nil {
		w.differ = &difference{who, tick, w.last[who], *out}
	}
	for i := range outputWords {
		if w.kinds>>i&1 == 0 && outputWords[i].of(&w.last[who]) != outputWords[i].of(out) {
			w.kinds |= 1 << i
		}
	}
}

// kinds of outputs, by their bits in outputWords.
type kinds uint16

// words of the kinds, in their order.
func (k kinds) words() (list []string) {
	for i := range outputWords {
		if k>>i&1 == 1 {
			list = append(list, outputWords[i].name)
		}
	}
	return list
}

// outputWords are the outputs in the order in which a difference is told: what is
// compared, and how it is said where that is no word by itself.
var outputWords = []struct {
	name string
	of   func(o *sim.Outputs) any
	say  func(o *sim.Outputs) string
}{
	{"coils", coilWord, nil},
	{"duty", func(o *sim.Outputs) any { return o.Duty }, nil},
	{"bars", func(o *sim.Outputs) any { return [2]int8{o.Sides[0].Drive, o.Sides[1].Drive} }, func(o *sim.Outputs) string {
		return perSide(func(side int) string { return [...]string{"unlock", "off", "lock"}[1+o.Sides[side].Drive] })
	}},
	{"permits", func(o *sim.Outputs) any { return [2]bool{o.Sides[0].Permit, o.Sides[1].Permit} }, func(o *sim.Outputs) string {
		return perSide(func(side int) string { return onOff(o.Sides[side].Permit) })
	}},
	{"says down", func(o *sim.Outputs) any { return o.Lines }, linesWord},
	{"tone", func(o *sim.Outputs) any { return o.Tone }, func(o *sim.Outputs) string { return onOff(o.Tone) }},
	{"lamp", func(o *sim.Outputs) any { return o.Lamp }, func(o *sim.Outputs) string { return onOff(o.Lamp) }},
	{"side lamps", func(o *sim.Outputs) any { return [2]bool{o.Sides[0].Lamp, o.Sides[1].Lamp} }, func(o *sim.Outputs) string {
		return perSide(func(side int) string { return onOff(o.Sides[side].Lamp) })
	}},
	{"record", func(o *sim.Outputs) any { return [3]any{o.Write, o.WriteAt, o.Byte} }, recordWord},
}

func onOff(on bool) string {
	if on {
		return "on"
	}
	return "off"
}

// perSide is one word where both sides have the same, else one for each.
func perSide(word func(side int) string) string {
	curb, road := word(int(model.Curbside)), word(int(model.Roadside))
	if curb == road {
		return curb
	}
	return fmt.Sprintf("%s %s and %s %s", model.Curbside, curb, model.Roadside, road)
}

// linesWord is what the two wires say together.
func linesWord(o *sim.Outputs) string {
	switch {
	case o.Lines.Down == o.Lines.NotDown:
		return "nothing"
	case o.Lines.Down:
		return "yes"
	}
	return "no"
}

// recordWord is the byte that is written. Where none is, place and byte are told as
// well: they are what differs, and go nowhere.
func recordWord(o *sim.Outputs) string {
	text := fmt.Sprintf("%d at %d", o.Byte, o.WriteAt)
	if !o.Write {
		return "nothing (" + text + ")"
	}
	return text
}

func coilWord(o *sim.Outputs) any {
	var on []string
	for k, coil := range []bool{o.Up, o.Down, o.Enable} {
		if coil {
			on = append(on, [...]string{"up", "down", "enable"}[k])
		}
	}
	if on == nil {
		return "off"
	}
	return strings.Join(on, "+")
}

// probe is what would show that a difference matters, if it does.
func (d *difference) probe() string {
	for side := range d.was.Sides {
		if d.was.Sides[side].Permit != d.now.Sides[side].Permit {
			return "permits"
		}
		if d.was.Sides[side].Drive != d.now.Sides[side].Drive {
			return "bars"
		}
	}
	switch {
	case d.was.Lines != d.now.Lines:
		return "says down"
	case coilWord(&d.was) != coilWord(&d.now), d.was.Duty != d.now.Duty:
		return "coils"
	}
	return ""
}

// what differed first: "duty 45, not 100".
func (d *difference) what() string {
	for _, w := range outputWords {
		if was, now := w.of(&d.was), w.of(&d.now); was != now {
			if w.say == nil {
				return fmt.Sprintf("%s %v, not %v", w.name, now, was)
			}
			return fmt.Sprintf("%s %s, not %s", w.name, w.say(&d.now), w.say(&d.was))
		}
	}
	return "lines"
}

// Package conform tries whether a controller from outside is fit for the bench: a
// short script of known inputs on the default truck, warm, dry and with nothing
// broken, and plain words for what is wrong. It is no judgement of the logic: that
// is what the requirements are for. It finds what a first build gets wrong.
package conform

import (
	"fmt"
	"slices"

	"slatbench/model"
	"slatbench/sim"
)

// Tick of the controllers in the script, in s.
const Tick = sim.DefaultTickSteps * model.DefaultStep

// Item is one thing that was tried.
type Item struct {
	Tried string
	Wrong string // what is wrong, in plain words; "" where nothing is
	Note  string // what is worth knowing though it is not wrong
}

// Report is what came of the script.
type Report struct{ Items []Item }

// Wrong tells how many things are.
func (r *Report) Wrong() (n int) {
	for i := range r.Items {
		if r.Items[i].Wrong != "" {
			n++
		}
	}
	return n
}

func (r *Report) add(tried, wrong string) {
	r.Items = append(r.Items, Item{Tried: tried, Wrong: wrong})
}

// Check plays the script to the controllers of a logic. The error says that they
// could not be started at all.
func Check(l sim.Logic) (*Report, error) {
	r := &Report{}
	first, err := play(l, r, false)
	if err != nil {
		return nil, err
	}
	again, err := play(l, &Report{}, false)
	if err != nil {
		return nil, err
	}
	same := ""
	if !slices.Equal(first, again) {
		same = "the same script a second time gave other outputs: it uses memory that it has not set, or a clock or a random number of the machine"
	}
	r.add("the same inputs give the same outputs", same)
	if same == "" {
		return r, asleep(l, r, first)
	}
	return r, nil
}

// asleep plays the script once more to a logic whose controllers pass over ticks, and lets
// them pass over none.
func asleep(l sim.Logic, r *Report, passing []uint64) error {
	awake, err := play(l, &Report{}, true)
	if err != nil {
		return err
	}
	names := controllerNames()
	wrong := ""
	for i := range min(len(passing), len(awake)) {
		if passing[i] != awake[i] {
			wrong = fmt.Sprintf("at %.2f s the controller of %s gave other outputs than it gives when it is called at every tick: "+
				"it says that it sleeps (asleep) while something is still to come, or does not make up for the ticks that it has slept through",
				float64(i/len(names))*Tick, names[i%len(names)])
			break
		}
	}
	if wrong == "" && len(passing) != len(awake) {
		wrong = "the script took another time than when every tick is called: it says that it sleeps (asleep) while something is still to come"
	}
	r.add("ticks that it sleeps through change nothing", wrong)
	return nil
}

// controllerNames are those of the script's truck, in the order of their sums.
func controllerNames() (names []string) {
	truck := model.DefaultTruck()
	for i := range truck.Bays {
		names = append(names, truck.Bays[i].Name)
	}
	return append(names, "the locks")
}

// keepAwake lets controllers pass over nothing.
func keepAwake(doors []sim.Controller, locks sim.Controller) {
	for _, c := range append(doors[:len(doors):len(doors)], locks) {
		if d, ok := c.(sim.Dozer); ok {
			d.KeepAwake()
		}
	}
}

// slowByte is how many steps a byte takes on its way into the store here: more than a
// tick, so that who does not wait for the last is found.
const slowByte = 25

// play plays the script once, and gives all outputs of all ticks as one list of sums.
// Awake lets the controllers pass over no tick.
func play(l sim.Logic, r *Report, awake bool) ([]uint64, error) {
	truck := model.DefaultTruck()
	doors, locks := l.Controllers(len(truck.Bays), Tick)
	defer sim.Return(l, doors, locks)
	if awake {
		keepAwake(doors, locks)
	}
	watch := newWatch(len(doors))
	ratings := sim.DefaultRatings()
	ratings.ByteWrite = slowByte
	b, err := sim.New(sim.Setup{
		Truck: truck, Duration: 1 << 40, Doors: doors, Locks: locks, Charge: 0.9, Ratings: ratings, Watch: []sim.Observer{watch},
	})
	if err != nil {
		return nil, err
	}
	s := &script{b: b, watch: watch, report: r}
	s.play()
	return watch.sums, nil
}

// script is the truck with what is being tried on it.
type script struct {
	b      *sim.Bench
	watch  *watch
	report *Report
}

// The bay at which things are done, and another of the same side.
const (
	bay   = 0
	other = 1
)

func (s *script) play() {
	s.records()
	s.atRest()
	s.opens()
	s.stops()
	s.closes()
	s.resets()
	s.locks()
	s.always()
}

// wait plays so many seconds, or until something is so; it tells how long it took,
// and whether that came.
func (s *script) wait(seconds float64, until func() bool) (took float64, came bool) {
	from := s.b.Now
	for end := from + s.b.Steps(seconds); s.b.Now < end; {
		s.b.Advance()
		if until != nil && until() {
			return s.b.Seconds(s.b.Now - from), true
		}
	}
	return s.b.Seconds(s.b.Now - from), until == nil
}

// press presses the remote's button close by the receiver, and waits until the line
// of the receiver goes on.
func (s *script) press(at int) {
	s.b.Act(sim.Action{Kind: sim.Press, Bay: at, Span: s.b.Steps(0.2), Distance: 1})
	s.wait(1, func() bool { return s.b.PressLine[at] })
}

func (s *script) moving(at int) bool { return s.b.Truck.Bays[at].Energised != 0 }

func (s *script) anyMoving() (name string) {
	for i := range s.b.Truck.Bays {
		if s.moving(i) {
			return s.b.Truck.Bays[i].Params.Name
		}
	}
	return ""
}

func (s *script) height() float64 { return s.b.Truck.Bays[bay].Height }

func (s *script) opening() float64 { return s.b.Truck.Bays[bay].Params.Track.Opening }

// records: what is on record is what was put there.
func (s *script) records() {
	c, store := s.b.Door(bay)
	k, keeps := c.(sim.Provisioner)
	if !keeps {
		s.report.Items = append(s.report.Items, Item{Tried: "records of the travel",
			Note: "it offers none (BENCH_RECORDS, bench_provision, bench_taught): every run begins untaught, and most of what a door can do is then never tried"})
		return
	}
	filled, wrong := *store, ""
	k.Provision(&filled, 371, 0)
	if travel, ok := k.Taught(&filled); !ok || travel != 371 {
		wrong = fmt.Sprintf("bench_provision put a travel of 371 pulses into the store, and bench_taught finds %d: a record is written or read wrongly", travel)
	}
	s.report.add("bench_taught finds what bench_provision wrote", wrong)
	var empty sim.Store
	wrong = ""
	if travel, ok := k.Taught(&empty); ok {
		wrong = fmt.Sprintf("bench_taught finds %d pulses in a store that is all zero, expected -1", travel)
	}
	s.report.add("an empty store says that nothing is taught", wrong)
}

// atRest: without a press nothing moves, and the wires say how the truck stands.
func (s *script) atRest() {
	moved := ""
	s.wait(3, func() bool { moved = s.anyMoving(); return moved != "" })
	wrong := ""
	if moved != "" {
		wrong = fmt.Sprintf("door %s was driven before anybody pressed", moved)
		s.wait(20, func() bool { return s.anyMoving() == "" })
	}
	s.report.add("after power-on nothing moves", wrong)
	wrong = ""
	lines := s.b.Outputs(bay).Lines
	switch {
	case lines.Down == lines.NotDown:
		wrong = "its two lines have the same level: to say that the door is down, down is on and not_down is off; to say that it is not, the reverse"
	case !lines.Says():
		wrong = "the door is down, the sill switch is made, and it says that it is not: its side can never be locked"
	}
	s.report.add("a door that is down says so", wrong)
	wrong = ""
	if !s.b.LockOutputs().Sides[0].Permit || !s.b.LockOutputs().Sides[1].Permit {
		wrong = "the bars are unlocked, and the lock controller permits no movement (permit of each side)"
	}
	s.report.add("unlocked bars let the doors move", wrong)
}

// opens: a press opens this door, and no other.
func (s *script) opens() {
	s.press(bay)
	took, came := s.wait(1, func() bool { return s.moving(bay) })
	wrong := ""
	switch {
	case !came:
		wrong = "a press at the receiver was ignored: nothing was driven for a second (up or down, and enable, and a duty above 0)" + s.why()
	case s.b.Truck.Bays[bay].Energised < 0:
		wrong = "a press at a door that is down drove it down"
	case took > 0.5:
		wrong = fmt.Sprintf("it took %.2f s from the press to the drive, expected 0.5 s at most", took)
	}
	s.report.add("a press opens a door that is down", wrong)
	wrong = ""
	if s.moving(other) {
		wrong = fmt.Sprintf("door %s was driven though only %s was pressed: do the controllers share a variable?", s.name(other), s.name(bay))
	}
	s.report.add("a press moves only its own door", wrong)
	if !came {
		return
	}
	_, arrived := s.wait(15, func() bool { return !s.moving(bay) && s.watch.still[bay] > 50 })
	wrong = ""
	switch {
	case !arrived:
		wrong = "the drive was still on 15 s after the press"
	case s.height() < s.opening()-0.10:
		wrong = fmt.Sprintf("it stopped %.0f mm below full open, with nothing in the way", 1000*(s.opening()-s.height()))
	}
	s.report.add("it opens fully, and the drive goes off", wrong)
}

// why adds what else may be the reason for doing nothing.
func (s *script) why() string {
	c, _ := s.b.Door(bay)
	if f, ok := c.(sim.Faller); ok && f.Silent() != "" {
		return "; it had gone silent: " + f.Silent()
	}
	if _, keeps := c.(sim.Provisioner); !keeps {
		return "; it has no records, so it may have been waiting to be taught"
	}
	return ""
}

func (s *script) name(i int) string { return s.b.Truck.Bays[i].Params.Name }

// stops: a press stops a moving door; the next one opens.
func (s *script) stops() {
	s.press(other)
	if _, came := s.wait(1, func() bool { return s.moving(other) }); !came {
		return // said already
	}
	s.wait(2, nil)
	wrong := ""
	if s.moving(other) {
		s.press(other)
		if took, off := s.wait(1, func() bool { return !s.moving(other) }); !off {
			wrong = "a press while the door moved did not stop it"
		} else if took > 0.05 {
			wrong = fmt.Sprintf("a press while the door moved stopped it after %.0f ms, expected 50 ms at most", 1000*took)
		}
	} else {
		wrong = "the door stopped within 2 s of its start, by itself"
	}
	s.report.add("a press stops a moving door", wrong)
	s.wait(2, nil)
	s.press(other)
	s.wait(1, func() bool { return s.moving(other) })
	wrong = ""
	if s.b.Truck.Bays[other].Energised <= 0 {
		wrong = "after a stop on the way the next press did not open"
	}
	s.report.add("the press after a stop opens", wrong)
	s.wait(15, func() bool { return !s.moving(other) && s.watch.still[other] > 50 })
}

// closes: a press closes the doors that are open.
func (s *script) closes() {
	wrong := ""
	for _, i := range []int{bay, other} {
		s.press(i)
		if _, came := s.wait(1, func() bool { return s.moving(i) }); !came {
			wrong = "a press at an open door was ignored"
			continue
		}
		_, arrived := s.wait(15, func() bool { return !s.moving(i) && s.watch.still[i] > 50 })
		switch h := s.b.Truck.Bays[i].Height; {
		case !arrived:
			wrong = "the drive was still on 15 s after the press"
		case h > sim.ClosedTolerance:
			wrong = fmt.Sprintf("it did not come down: it stands at %.0f mm, with nothing in the way", 1000*h)
		}
	}
	s.report.add("a press closes an open door", wrong)
}

// resets: power that fails on the way leaves the drive off, and it stays off.
func (s *script) resets() {
	s.press(bay)
	if _, came := s.wait(1, func() bool { return s.moving(bay) }); !came {
		return
	}
	s.wait(2, nil)
	s.b.Act(sim.Action{Kind: sim.Interrupt, Span: s.b.Steps(0.3), Factor: 0})
	s.wait(0.6, nil)
	moved := ""
	s.wait(4, func() bool { moved = s.anyMoving(); return moved != "" })
	wrong := ""
	if moved != "" {
		wrong = fmt.Sprintf("after the supply came back door %s moved, and nobody had pressed", moved)
	}
	s.report.add("after the supply came back nothing moves", wrong)
	s.press(bay)
	_, came := s.wait(1, func() bool { return s.moving(bay) })
	wrong = ""
	if !came {
		wrong = "after the supply came back a press was ignored" + s.why()
	}
	s.report.add("a press after that opens", wrong)
	s.wait(15, func() bool { return !s.moving(bay) && s.watch.still[bay] > 50 })
}

// locks: a bar is refused while a door is up, and moves when all are down.
func (s *script) locks() {
	ask := func(k sim.ActionKind) {
		s.b.Act(sim.Action{Kind: k, Side: model.Curbside, Span: s.b.Steps(0.3)})
	}
	locking := func() bool { return s.b.LockOutputs().Sides[model.Curbside].Drive > 0 }
	if s.height() > 0.5 {
		ask(sim.LockAsk)
		_, driven := s.wait(3, locking)
		wrong := ""
		if driven {
			wrong = fmt.Sprintf("the bar was driven to lock while door %s was up", s.name(bay))
		}
		s.report.add("a side with an open door is not locked", wrong)
		s.press(bay)
		s.wait(15, func() bool { return s.height() < sim.ClosedTolerance && !s.moving(bay) && s.watch.still[bay] > 50 })
	}
	if s.height() > sim.ClosedTolerance || s.b.Truck.Bays[other].Height > sim.ClosedTolerance {
		s.report.Items = append(s.report.Items, Item{Tried: "a side with all doors down is locked",
			Note: fmt.Sprintf("not tried: by then doors %s and %s had not both come down", s.name(bay), s.name(other))})
		return
	}
	bar := &s.b.Truck.Locks[model.Curbside]
	ask(sim.LockAsk)
	_, arrived := s.wait(5, func() bool { return bar.LockedEnd() })
	wrong := ""
	if !arrived {
		wrong = "all doors of the side were down and said so, and the bar was not driven to its locked end within 5 s"
		if l := s.b.Outputs(bay).Lines; !l.Says() {
			wrong = fmt.Sprintf("door %s is down after a full closing, and its lines do not say so: the side was not locked", s.name(bay))
		}
	}
	s.report.add("a side with all doors down is locked", wrong)
	if !arrived {
		return
	}
	s.wait(1, nil)
	s.press(bay)
	_, moved := s.wait(1, func() bool { return s.moving(bay) })
	wrong = ""
	if moved {
		wrong = "a press drove a locked door"
	}
	s.report.add("a locked door stays where it is", wrong)
	ask(sim.UnlockAsk)
	_, back := s.wait(5, func() bool { return bar.UnlockedEnd() })
	wrong = ""
	if !back {
		wrong = "the bar was not driven back to its unlocked end within 5 s"
	}
	s.report.add("a locked side is unlocked", wrong)
	s.wait(2, nil)
}

// always: what must be so at every tick.
func (s *script) always() {
	w := s.watch
	s.report.add("up and down are never driven at once", w.both)
	s.report.add("between two directions 100 ms without either", w.dead)
	s.report.add("a duty is 0 to 100 %", w.duty)
	s.report.add("bytes are written only while the store is free", w.store)
	s.report.add("it answers to the end of the script", w.silent)
}

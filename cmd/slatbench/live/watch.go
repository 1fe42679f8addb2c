package live

import (
	"math"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/logic"
)

// watcher is an observer that keeps what charts and the list of events are made of. It
// keeps no more than a page that reads fetches in a few seconds.
type watcher struct {
	ears   *sim.Listener
	failed *sim.Silences
	states *dictionary
	mute   bool // nothing is told, nothing is sampled

	span    int // ticks a sample
	ticks   int // of the sample in progress
	bays    []bayWatch
	sides   []sideWatch
	awake   bool // lock controller
	heard   int  // alarms told
	silent  int  // failed controllers told
	samples []sample
	events  []Event

	fine  int         // steps a picture in slow motion; 0: none are taken
	next  int64       // step of the next
	views []timedView // taken since they were last fetched
}

// bayWatch is one bay: what its sample has met so far, and what has been told of it.
type bayWatch struct {
	supply, current, tension, slack, contact float64
	state                                    string
	awake                                    bool
}

type sideWatch struct{ state string }

// sample is one instant of the charts: a row of sampleColumns a bay, one after the other.
type sample struct {
	step int64
	row  []float64
}

// timedView is the truck at a step, as a frame shows it.
type timedView struct {
	step int64
	row  []float64
}

// mostSamples bounds what waits for a page that does not read: 5 s of it.
const mostSamples = 500

// mostEvents bounds the events that wait. A page that reads fetches them 30 times a second.
const mostEvents = 500

func newWatcher(bays int, ears *sim.Listener) *watcher {
	return &watcher{ears: ears, failed: sim.NewSilences(), states: &dictionary{}, span: 1, bays: make([]bayWatch, bays), sides: make([]sideWatch, 2)}
}

// know numbers the states of a logic table before they are met; nil has none.
func (w *watcher) know(t *logic.Table) {
	if t == nil {
		return
	}
	for _, m := range [...]*logic.Machine{&t.Door, &t.Lock} {
		for i := range m.States {
			w.states.number(m.States[i].Name)
		}
	}
}

// rest takes up how things stand, without a word.
func (w *watcher) rest(b *sim.Bench) {
	for i := range w.bays {
		w.bays[i].state, w.bays[i].awake = stateOf(b, i), b.Awake(i)
		w.clear(b, i)
	}
	for i := range w.sides {
		w.sides[i].state = sideState(b, i)
	}
	w.awake, w.heard, w.silent = b.LocksAwake(), len(w.ears.Heard), len(w.failed.List)
	w.ticks = 0
}

// clear begins a sample of bay i.
func (w *watcher) clear(b *sim.Bench, i int) {
	y, g := &b.Truck.Bays[i], &w.bays[i]
	g.supply, g.current, g.tension, g.slack, g.contact = y.Supply, y.MotorCurrent, y.CableForce, y.Slack(), y.ContactForce
}

// Step implements sim.Observer.
func (w *watcher) Step(b *sim.Bench) {
	for i := range w.bays {
		y, g := &b.Truck.Bays[i], &w.bays[i]
		if y.Supply < g.supply {
			g.supply = y.Supply
		}
		if y.AtRest() {
			continue
		}
		if math.Abs(y.MotorCurrent) > math.Abs(g.current) {
			g.current = y.MotorCurrent
		}
		g.tension, g.slack, g.contact = max(g.tension, y.CableForce), max(g.slack, y.Slack()), max(g.contact, y.ContactForce)
	}
	if w.fine > 0 && b.Now >= w.next && !w.mute {
		w.next = b.Now + int64(w.fine)
		w.views = append(w.views, timedView{b.Now, w.look(b, nil)})
	}
}

// Tick implements sim.Observer.
func (w *watcher) Tick(b *sim.Bench) {
	if w.mute {
		return
	}
	for i := range w.bays {
		w.tickBay(b, i)
	}
	for i := range w.sides {
		if s := sideState(b, i); s != w.sides[i].state {
			w.sides[i].state = s
			w.tell(b, Event{Kind: eventState, Side: sideNames[i], Name: s, Text: sideStateText(sideNames[i], s)})
		}
	}
	if a := b.LocksAwake(); a != w.awake {
		w.awake = a
		w.tell(b, Event{Kind: eventReset, Text: resetText("the lock controller", a)})
	}
	for ; w.heard < len(w.ears.Heard); w.heard++ {
		w.alarm(b, &w.ears.Heard[w.heard])
	}
	for ; w.silent < len(w.failed.List); w.silent++ {
		f, bay := &w.failed.List[w.silent], ""
		if f.Bay != sim.LockPost {
			bay = b.Truck.Bays[f.Bay].Params.Name
		}
		w.keep(Event{Kind: eventSilent, At: b.Seconds(f.At), Bay: bay, Text: silentText(bay, f.Why)})
	}
	if w.ticks++; w.ticks >= w.span {
		w.take(b)
	}
}

func (w *watcher) tickBay(b *sim.Bench, i int) {
	g, name := &w.bays[i], b.Truck.Bays[i].Params.Name
	if a := b.Awake(i); a != g.awake {
		g.awake = a
		w.tell(b, Event{Kind: eventReset, Bay: name, Text: resetText("the controller of "+name, a)})
	}
	if s := stateOf(b, i); s != g.state {
		g.state = s
		w.tell(b, Event{Kind: eventState, Bay: name, Name: s, Text: stateText(name, s)})
	}
	if b.PressedAt[i] == b.Now {
		w.tell(b, Event{Kind: eventPress, Bay: name, Text: receivedText(name)})
	}
}

func (w *watcher) alarm(b *sim.Bench, h *sim.Heard) {
	e := Event{Kind: eventAlarm, At: b.Seconds(h.From), Name: h.Alarm.String(), Pulses: int(h.Alarm)}
	if h.Bay != sim.LockPost {
		e.Bay = b.Truck.Bays[h.Bay].Params.Name
	}
	e.Text = alarmText(e.Bay, h.Alarm)
	w.keep(e)
}

// tell keeps an event of this instant.
func (w *watcher) tell(b *sim.Bench, e Event) {
	e.At = b.Seconds(b.Now)
	w.keep(e)
}

func (w *watcher) keep(e Event) {
	if w.mute {
		return
	}
	e.Is = IsEvent
	if len(w.events) >= mostEvents {
		w.events = append(w.events[:0], w.events[1:]...)
	}
	w.events = append(w.events, e)
}

// take ends a sample at this instant.
func (w *watcher) take(b *sim.Bench) {
	w.ticks = 0
	n := len(w.samples)
	if n >= mostSamples { // the page does not read: what it has missed longest goes
		first := w.samples[0]
		copy(w.samples, w.samples[1:])
		w.samples[n-1] = first
		n--
	} else if n == cap(w.samples) {
		w.samples = append(w.samples, sample{row: make([]float64, len(w.bays)*len(sampleColumns))})
	} else {
		w.samples = w.samples[:n+1]
		if w.samples[n].row == nil {
			w.samples[n].row = make([]float64, len(w.bays)*len(sampleColumns))
		}
	}
	s := &w.samples[n]
	s.step = b.Now
	for i := range w.bays {
		y, g, v := &b.Truck.Bays[i], &w.bays[i], s.row[i*len(sampleColumns):]
		v[0], v[1] = y.Height, counted(b, i)
		v[2], v[3], v[4], v[5], v[6] = g.supply, g.current, g.tension, g.slack, g.contact
		v[7] = w.states.number(g.state)
		w.clear(b, i)
	}
}

// fetched drops what a frame has taken with it.
func (w *watcher) fetched() { w.samples = w.samples[:0] }

// counted is the height that the controller of bay i believes, m; NaN where it does not tell.
func counted(b *sim.Bench, i int) float64 {
	return b.Truck.Bays[i].Height + scenarios.HeightApart(b, i)
}

// stateOf is the state of bay i's controller, or "" where it does not tell.
func stateOf(b *sim.Bench, i int) string {
	c, _ := b.Door(i)
	if t, ok := c.(sim.Teller); ok {
		return t.State()
	}
	return ""
}

// sideTeller is a lock controller that tells the state of each side.
type sideTeller interface{ SideState(side int) string }

func sideState(b *sim.Bench, side int) string {
	if t, ok := b.LockController().(sideTeller); ok {
		return t.SideState(side)
	}
	return ""
}

// dictionary numbers words in the order in which they came.
type dictionary struct{ words []string }

// mostWords bounds a dictionary: controllers from outside call their states what they like.
const mostWords = 256

// number is that of a word; -1 for "", and where there are too many.
func (d *dictionary) number(word string) float64 {
	if word == "" {
		return -1
	}
	for i, w := range d.words {
		if w == word {
			return float64(i)
		}
	}
	if len(d.words) == mostWords {
		return -1
	}
	d.words = append(d.words, word)
	return float64(len(d.words) - 1)
}

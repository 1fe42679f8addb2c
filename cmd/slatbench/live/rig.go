package live

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// rig is one truck on the bench with all that judges and watches it, and the record of
// what a person has done to it: enough to do it all again. It knows no clock and no page.
type rig struct {
	src   *source
	bench *sim.Bench
	set   *require.Set
	ears  *sim.Listener
	watch *watcher

	setup sim.Setup    // of the scenario, before anybody did anything
	deeds []sim.Action // what has been done besides, in order
	held  map[hold]int // deeds that last until they are let go
	ended []int        // deeds to be let go as soon as they have lasted long enough
	later []sim.Action // to be done at their time

	laid      []laid   // faults: those of the scenario, then the others
	queue     []change // of faults, one a tick
	changedAt int64    // instant of the last

	way           *way         // of a learner, or nil
	script        []sim.Action // of the scenario, in order
	told          int          // of them
	faultsChanged bool         // since this was last set to false
}

// hold is something that a person holds.
type hold struct {
	kind  sim.ActionKind
	place int
}

// laid is one fault of a run.
type laid struct {
	fault    fault.Fault
	from, to int64 // steps; from -1: not on yet; to 0: to the end
	scripted bool
	leaving  bool // to be taken off
	dropped  bool // the scenario's own, and could not come on
	hidden   bool // to be found out by the learner: the page is not told of it
}

// change is a fault that is to come or go.
type change struct {
	at int // index into laid
	on bool
}

// Bounds on what one session keeps. A person who works without a rest for hours stays
// far below them.
const (
	mostDeeds  = 20_000
	mostFaults = 2_000
)

// leastHeld and mostHeld bound how long anything is held, s: as a scenario file can say it.
const (
	leastHeld = 0.01
	mostHeld  = 3600.0
)

// newRig puts the truck of a source on the bench, with what was done to it before.
// Further observers are shown the bench last.
func newRig(src *source, past *past, more ...sim.Observer) (*rig, error) {
	setup, err := src.setup()
	if err != nil {
		return nil, err
	}
	r := &rig{src: src, setup: setup, held: map[hold]int{}, changedAt: -1, script: slices.Clone(setup.Actions)}
	slices.SortStableFunc(r.script, func(a, b sim.Action) int { return cmp.Compare(a.At, b.At) })
	options := src.options()
	for i, f := range setup.Faults {
		r.laid = append(r.laid, laid{fault: f.Fault.(fault.Fault), from: f.From, to: f.To, scripted: true, hidden: src.riddle()})
		if past != nil && past.ends[i] > 0 {
			r.laid[i].to = past.ends[i]
		}
		r.laid[i].dropped = past != nil && past.ends[i] == dropped
	}
	if past != nil {
		r.deeds = past.deeds
		r.laid = append(r.laid, past.laid...)
	}
	whole := r.setup
	whole.Actions = append(append([]sim.Action(nil), setup.Actions...), r.deeds...)
	whole.Faults = nil
	options.Faults = nil
	for i := range r.laid {
		l := &r.laid[i]
		if l.dropped {
			continue
		}
		whole.Faults = append(whole.Faults, sim.Scheduled{Fault: l.fault, From: l.from, To: l.to})
		options.Faults = append(options.Faults, require.Active{Kind: l.fault.Name, From: l.from, To: l.to})
	}
	options.Rated = options.Rated && len(r.laid) == 0
	bays := len(setup.Truck.Bays)
	r.set, r.ears = require.New(bays, options), &sim.Listener{}
	r.watch = newWatcher(bays, r.ears)
	r.watch.know(src.under.Table)
	whole.Watch = append([]sim.Observer{r.set, r.ears, r.watch.failed, r.watch}, more...)
	if src.lesson != nil {
		r.way = newWay(src.name, src.lesson)
		whole.Watch = append(whole.Watch, r.way)
	}
	if r.bench, err = sim.New(whole); err == nil {
		r.watch.rest(r.bench)
		err = r.serve()
	}
	if err != nil {
		r.close()
		return nil, err
	}
	return r, nil
}

// close gives the controllers back.
func (r *rig) close() { sim.Return(r.src.under, r.setup.Doors, r.setup.Locks) }

// advance plays one tick.
func (r *rig) advance() error {
	r.settle()
	r.check()
	if err := r.doLater(); err != nil {
		return err
	}
	from := r.bench.Now
	r.bench.Advance()
	r.tellScript(from)
	kept := r.ended[:0]
	for _, i := range r.ended {
		if !r.letGo(i) {
			kept = append(kept, i)
		}
	}
	r.ended = kept
	return r.serve()
}

// check drops those of the scenario's own faults that are due in this tick and cannot come
// on: what a person has done may have brought the curtain to where an obstruction was to
// appear.
func (r *rig) check() {
	for i := range r.setup.Faults {
		l, s := &r.laid[i], r.setup.Faults[i]
		if l.dropped || l.from < r.bench.Now || l.from >= r.bench.Now+r.bench.TickSteps {
			continue
		}
		if err := l.fault.Ready(r.bench); err != nil {
			l.dropped = true
			s.To = l.to
			r.bench.Cancel(s)
			r.watch.tell(r.bench, Event{Kind: eventRefused, Name: l.fault.Name, Text: err.Error()})
		}
	}
}

// tellScript tells what the scenario has done by itself since an instant.
func (r *rig) tellScript(from int64) {
	for ; r.told < len(r.script) && r.script[r.told].At < r.bench.Now; r.told++ {
		r.tellAction(&r.script[r.told])
	}
	for i := range r.setup.Faults {
		l := &r.laid[i]
		if l.dropped {
			continue
		}
		if l.from >= from && l.from < r.bench.Now {
			r.tellFault(l, l.from, true)
		}
		if l.to > l.from && l.to >= from && l.to < r.bench.Now && l.to == r.setup.Faults[i].To {
			r.tellFault(l, l.to, false)
		}
	}
}

func (r *rig) tellAction(a *sim.Action) {
	e := Event{Kind: eventAction, At: r.bench.Seconds(a.At), Text: actionText(r.bayNames(), a)}
	switch a.Kind {
	case sim.Press, sim.TeachHold:
		e.Bay = r.setup.Truck.Bays[a.Bay].Name
	default:
		e.Side = sideNames[a.Side]
	}
	r.watch.keep(e)
}

func (r *rig) tellFault(l *laid, step int64, on bool) {
	if l.hidden {
		return
	}
	r.faultsChanged = true
	place := r.placeName(&l.fault)
	e := Event{Kind: eventFaultOff, At: r.bench.Seconds(step), Name: l.fault.Name, Text: faultOffText(l.fault.Name, place)}
	if on {
		e.Kind, e.Text = eventFaultOn, faultOnText(l.fault.Name, place)
	}
	switch k, _ := fault.Find(l.fault.Name); k.Place {
	case fault.OnBay:
		e.Bay = place
	case fault.OnSide:
		e.Side = place
	}
	r.watch.keep(e)
}

// now is the time in s.
func (r *rig) now() float64 { return r.bench.Seconds(r.bench.Now) }

// do has something done now, and keeps it.
func (r *rig) do(a sim.Action) error {
	if len(r.deeds) >= mostDeeds {
		return fmt.Errorf("more than %d things have been done in this run: restart it", mostDeeds)
	}
	a = r.bench.Do(a)
	r.deeds = append(r.deeds, a)
	r.tellAction(&a)
	return nil
}

// doLater does what has been put off until now. Nobody does anything while a lesson has
// the hands.
func (r *rig) doLater() error {
	for len(r.later) > 0 && r.later[0].At <= r.bench.Now {
		a := r.later[0]
		r.later = r.later[1:]
		if r.handsOff() {
			continue
		}
		if err := r.do(a); err != nil {
			return err
		}
	}
	return nil
}

// start begins what lasts until it is let go.
func (r *rig) start(a sim.Action) error {
	h := holdOf(&a)
	if i, on := r.held[h]; on && r.lasts(i) {
		return nil
	}
	a.Span = r.bench.Steps(mostHeld)
	if err := r.do(a); err != nil {
		return err
	}
	r.held[h] = len(r.deeds) - 1
	return nil
}

// lasts tells that a deed has not come to its end by itself.
func (r *rig) lasts(i int) bool { return r.deeds[i].At+r.deeds[i].Span > r.bench.Now }

// stop lets it go, and tells whether it was held.
func (r *rig) stop(h hold) bool {
	i, on := r.held[h]
	if !on {
		return false
	}
	delete(r.held, h)
	if !r.letGo(i) {
		r.ended = append(r.ended, i)
	}
	return true
}

// letGo lets a deed go, and reports false where it has not lasted long enough.
func (r *rig) letGo(i int) bool {
	a := r.deeds[i]
	if r.bench.Now-a.At < max(r.bench.TickSteps, r.bench.Steps(leastHeld)) {
		return false
	}
	r.deeds[i] = r.bench.LetGo(a)
	return true
}

func holdOf(a *sim.Action) hold {
	switch a.Kind {
	case sim.LockAsk, sim.UnlockAsk:
		return hold{a.Kind, int(a.Side)}
	}
	return hold{a.Kind, a.Bay}
}

// on finds the youngest fault of a kind at a place that is on or about to be, or -1.
func (r *rig) on(kind string, place int) int {
	for i := len(r.laid) - 1; i >= 0; i-- {
		if l := &r.laid[i]; l.fault.Name == kind && l.fault.Place == place && r.isOn(l) {
			return i
		}
	}
	return -1
}

func (r *rig) isOn(l *laid) bool {
	now := r.bench.Now
	return !l.leaving && !l.dropped && l.from <= now && (l.to == 0 || l.to > now)
}

// bring has a fault come on. One of the same kind at the same place goes first. A hidden
// one is not told of.
func (r *rig) bring(f fault.Fault, hidden bool) error {
	switch {
	case len(r.laid) >= mostFaults:
		return fmt.Errorf("more than %d faults have come and gone in this run: restart it", mostFaults)
	case len(r.queue) > maxQueue:
		return errTooFast
	}
	if err := f.Ready(r.bench); err != nil {
		return err
	}
	if i := r.on(f.Name, f.Place); i >= 0 {
		if r.laid[i].fault == f {
			return nil
		}
		r.mend(i)
	}
	r.faultsChanged = true
	r.laid = append(r.laid, laid{fault: f, from: -1, hidden: hidden})
	r.queue = append(r.queue, change{len(r.laid) - 1, true})
	r.settle()
	return nil
}

// maxQueue bounds the changes of faults that wait for their tick.
const maxQueue = 200

// mend has a fault go.
func (r *rig) mend(i int) {
	r.laid[i].leaving, r.faultsChanged = true, true
	for j, c := range r.queue {
		if c.at == i { // it has not come yet
			r.queue = append(r.queue[:j], r.queue[j+1:]...)
			r.laid[i].from, r.laid[i].to = math.MaxInt64, 0
			return
		}
	}
	r.queue = append(r.queue, change{i, false})
	r.settle()
}

// settle lets the next fault come or go that waits for it. No two do so at one instant:
// a file says in which order faults came, and not in which order two at one instant
// came and went.
func (r *rig) settle() {
	now := r.bench.Now
	if len(r.queue) == 0 || r.changedAt == now || r.bench.CueNow() {
		return
	}
	c := r.queue[0]
	r.queue = append(r.queue[:0], r.queue[1:]...)
	l := &r.laid[c.at]
	r.changedAt = now
	if !c.on {
		r.bench.Mend(l.fault, l.to)
		r.set.Goes(l.fault.Name, now)
		l.to, l.leaving = now, false
		r.tellFault(l, now, false)
		return
	}
	if err := l.fault.Ready(r.bench); err != nil {
		l.from, l.leaving = math.MaxInt64, true
		r.watch.tell(r.bench, Event{Kind: eventRefused, Name: l.fault.Name, Text: err.Error()})
		return
	}
	l.from = now
	r.tellFault(l, now, true)
	r.bench.Bring(l.fault)
	r.set.Comes(require.Active{Kind: l.fault.Name, From: now})
}

// bay is the index of a bay by its name.
func (r *rig) bay(name string) (int, error) {
	var known []string
	for i := range r.bench.Truck.Bays {
		n := r.bench.Truck.Bays[i].Params.Name
		if n == name {
			return i, nil
		}
		known = append(known, n)
	}
	return 0, unknown("bay", name, known)
}

var sideNames = []string{model.Curbside.String(), model.Roadside.String()}

func side(name string) (model.Side, error) {
	for i, n := range sideNames {
		if n == name {
			return model.Side(i), nil
		}
	}
	return 0, unknown("side", name, sideNames)
}

// place is the index of a kind's place by its name.
func (r *rig) place(k *fault.Kind, name string) (int, error) {
	switch k.Place {
	case fault.OnBay:
		return r.bay(name)
	case fault.OnSide:
		s, err := side(name)
		return int(s), err
	}
	if name != k.Part && name != "" {
		return 0, unknown("place of "+k.Name, name, []string{k.Part})
	}
	return 0, nil
}

func (r *rig) placeName(f *fault.Fault) string {
	k, _ := fault.Find(f.Name)
	switch k.Place {
	case fault.OnBay:
		return r.setup.Truck.Bays[f.Place].Name
	case fault.OnSide:
		return sideNames[f.Place]
	}
	return k.Part
}

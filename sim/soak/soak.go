package soak

import (
	"errors"
	"math"
	"math/rand/v2"

	"slatbench/sim"
)

// Limits of the milestones. Both are common practice, no source.
const (
	SlowTravel = 8.0  // s
	LowSupply  = 11.0 // V
)

const (
	pressTime   = 0.2  // s that the button is held
	teachHold   = 2.0  // s that the teach button is held
	teachLead   = 0.5  // s from the teach button to the press
	moveLimit   = 60.0 // s in which a press has had its whole effect
	distance    = 3.0  // m from the remote to the receiver
	retrainings = 3    // teachings that fail on end, before giving up
)

// rig is a soak in progress.
type rig struct {
	cfg   Config
	bench *sim.Bench
	bay   int
	fig   *sim.Figures
	ear   *sim.Listener
	watch *watch
	rng   *rand.PCG

	built float64 // °C at which the truck was built
	first float64 // age of the battery at first
	age   float64
	wear  Wear
	row   Cycle
	heard int // alarms of this cycle that have been looked at
	fails int // teachings that failed, in a row
}

// Run works the bay of the config. The setup brings truck, controllers and step;
// its actions, faults, duration and charge are not used. After every cycle each
// is called, if not nil; an error from it ends the soak and is returned.
func Run(s sim.Setup, c Config, each func(*Cycle) error) (*Result, error) {
	if list := c.Check(&s.Truck); len(list) > 0 {
		errs := make([]error, len(list))
		for i := range list {
			errs[i] = list[i]
		}
		return nil, errors.Join(errs...)
	}
	r, err := newRig(s, c)
	if err != nil {
		return nil, err
	}
	res := &Result{Config: c, Bay: s.Truck.Bays[r.bay].Name, Truck: s.Truck, Cycles: make([]Cycle, 0, c.Cycles)}
	for n, failed := 1, 0; n <= c.Cycles; n++ {
		r.cycle(n)
		if err := r.bench.Err(); err != nil {
			return nil, err
		}
		res.Cycles = append(res.Cycles, r.row)
		if each != nil {
			if err := each(&res.Cycles[len(res.Cycles)-1]); err != nil {
				return nil, err
			}
		}
		if failed++; r.row.Opened && r.row.Closed {
			failed = 0
		}
		if failed >= c.GiveUp {
			break
		}
		if n < c.Cycles {
			r.drive(n)
		}
	}
	res.finish()
	return res, nil
}

func newRig(s sim.Setup, c Config) (*rig, error) {
	bay := c.bay(&s.Truck)
	r := &rig{
		cfg: c, bay: bay, fig: sim.NewFigures(len(s.Truck.Bays)), ear: &sim.Listener{}, watch: &watch{bay: bay},
		rng: rand.NewPCG(c.Seed, 0x50a4), first: s.Truck.Battery.Age, age: s.Truck.Battery.Age,
	}
	s.Truck.Ambient.Temperature = c.Weather.At(c.Route.StartsAt)
	r.built = s.Truck.Ambient.Temperature
	s.Charge, s.Seed = c.Charge, c.Seed
	s.Actions, s.Faults, s.Heights, s.Duration = nil, nil, nil, math.MaxInt64
	s.Watch = append([]sim.Observer{r.watch, r.ear, r.fig, slipper{r}}, s.Watch...)
	b, err := sim.New(s)
	r.bench = b
	return r, err
}

// cycle works the door once: open, stand open, close.
func (r *rig) cycle(n int) {
	b := r.bench
	r.weather(r.cfg.Weather.At(r.clock()))
	r.apply(r.cfg.wearAfter(n-1, r.first))
	r.settle(moveLimit)
	r.begin(n)
	r.row.Opened = r.move(r.open)
	r.row.CountTop, r.row.HeightTop, r.row.ErrorTop = r.position()
	r.rest(r.spread(r.cfg.Route.OpenFor), 0)
	r.row.Closed = r.move(r.down)
	r.row.CountFloor, r.row.HeightFloor, r.row.ErrorFloor = r.position()
	r.end(b)
}

// clock is the time of day, s since the first midnight.
func (r *rig) clock() float64 { return r.cfg.Route.StartsAt + r.bench.Seconds(r.bench.Now) }

// begin starts a row.
func (r *rig) begin(n int) {
	b := r.bench
	r.watch.reset()
	r.fig.Bays[r.bay] = sim.NewFigures(1).Bays[0]
	r.ear.Heard = r.ear.Heard[:0]
	r.heard = 0
	r.row = Cycle{
		N: n, Start: b.Seconds(b.Now), Temperature: b.Truck.Ambient.Temperature,
		RestSupply: b.Truck.Bays[r.bay].Supply, RefusedAt: math.NaN(), Wear: r.wear,
	}
}

// end completes the row.
func (r *rig) end(b *sim.Bench) {
	f, w, row := &r.fig.Bays[r.bay], r.watch, &r.row
	row.OpenTime, row.CloseTime, row.LongestRun = w.openTime, w.closeTime, w.longest
	row.MinSupply, row.PeakCurrent, row.Winding = f.MinSupply, f.PeakCurrent, w.hottest
	row.Charge, row.Drawn, row.Reversals = b.Truck.Battery.Charge, w.drawn, w.reversals
	for _, h := range r.ear.Heard {
		row.Alarms = append(row.Alarms, h.Alarm)
	}
	row.Taught, _ = r.taught()
}

// apply changes the truck to a state of wear.
func (r *rig) apply(w Wear) {
	r.watch.calm = 0
	r.wear, r.age = w, w.Age
	e := &r.cfg.Encoder
	r.bench.Alter(func(p *sim.Parts) {
		c := &p.Bays[r.bay]
		c.SpringFactor, c.ClosingFactor, c.FrictionFactor = w.Spring, w.Closing, w.Friction
		c.GapPulses, c.GapSpeed = e.GapPulses, w.GapSpeed
		p.BatteryAge = w.Age
	})
}

// slipper is an observer that lets the encoder slip as it does on the way that the
// door is driven; it runs out at the same.
type slipper struct{ *rig }

// Tick implements sim.Observer.
func (s slipper) Tick(b *sim.Bench) {
	o := b.Outputs(s.bay)
	if o.Up == o.Down {
		return
	}
	share := s.wear.SlipDown
	if o.Up {
		share = s.wear.SlipUp
	}
	if b.Truck.Bays[s.bay].Condition.Slip != share {
		b.Alter(func(p *sim.Parts) { p.Bays[s.bay].Slip = share })
	}
}

func (r *rig) open() bool {
	bay := &r.bench.Truck.Bays[r.bay]
	return bay.Height >= bay.Params.Track.Opening-sim.OpenTolerance
}

func (r *rig) down() bool {
	return r.bench.Truck.Bays[r.bay].Height <= sim.ClosedTolerance
}

// move presses until the door is where it should be, or the driver gives up. A
// travel that no longer fits is taught anew on the way, if the config says so.
func (r *rig) move(there func() bool) bool {
	if there() { // as the cycle before has left it
		return true
	}
	for range r.cfg.Presses {
		r.press()
		if m := r.misfit(); m != Fits {
			if r.row.Misfit == Fits {
				r.row.Misfit = m
			}
			if r.cfg.Retrain && r.fails < retrainings {
				r.teach()
			}
		}
		if there() {
			return true
		}
	}
	return false
}

// press presses once and waits until all that follows is over.
func (r *rig) press() {
	b := r.bench
	r.row.Presses++
	starts, volts := r.watch.starts, b.Truck.Bays[r.bay].Supply
	b.Act(sim.Action{Kind: sim.Press, Bay: r.bay, Span: b.Steps(pressTime), Distance: distance})
	r.watch.calm = 0
	r.settle(moveLimit)
	if r.watch.starts == starts {
		if r.row.Refused++; r.row.Refused == 1 {
			r.row.RefusedAt = volts
		}
	}
}

// misfit looks at the alarms since it was last called.
func (r *rig) misfit() Misfit {
	m := Fits
	for ; r.heard < len(r.ear.Heard); r.heard++ {
		switch h := r.ear.Heard[r.heard]; {
		case h.Bay != r.bay:
		case h.Alarm == sim.EarlyFloor:
			m = FloorEarly
		case h.Alarm == sim.CountRanOut:
			m = CountOver
		case h.Alarm == sim.StalledOpening && r.short():
			m = ShortAtTop
		}
	}
	return m
}

// short tells that the door is at its open stop, and its count well below the travel
// on record. A door that had lost its count and looked for the stop is not short: it
// takes the travel on record for its count there.
func (r *rig) short() bool {
	taught, ok := r.taught()
	count, _, _ := r.position()
	window := sim.OpenTolerance * r.bench.Truck.Bays[r.bay].Params.Encoder.PulsesPerMetre
	return ok && r.open() && float64(taught-count) > window
}

// teach teaches the travel anew. It ends with the door open, if it goes well.
func (r *rig) teach() {
	b := r.bench
	_, store := b.Door(r.bay)
	before, watched := *store, *r.watch
	b.Act(sim.Action{Kind: sim.TeachHold, Bay: r.bay, Span: b.Steps(teachHold)})
	for end := b.Now + b.Steps(teachLead); b.Now < end; {
		b.Advance()
	}
	b.Act(sim.Action{Kind: sim.Press, Bay: r.bay, Span: b.Steps(pressTime), Distance: distance})
	r.watch.calm = 0
	r.settle(moveLimit)
	r.heard = len(r.ear.Heard)
	// Teaching is slow and turns round by intent: it is no travel of this cycle.
	w := r.watch
	w.openTime, w.closeTime, w.fullFrom = watched.openTime, watched.closeTime, 0
	w.longest, w.reversals = watched.longest, watched.reversals
	if *store != before && r.open() {
		r.row.Retrained, r.fails = true, 0
	} else {
		r.fails++
	}
}

// taught is the travel on record.
func (r *rig) taught() (int, bool) {
	door, store := r.bench.Door(r.bay)
	if p, ok := door.(sim.Provisioner); ok {
		return p.Taught(store)
	}
	return 0, false
}

// position is the count, the true height in m, and the error of the count in pulses.
func (r *rig) position() (count int, height, off float64) {
	bay := &r.bench.Truck.Bays[r.bay]
	height = bay.Height
	door, _ := r.bench.Door(r.bay)
	t, ok := door.(sim.Teller)
	if !ok {
		return 0, height, math.NaN()
	}
	count = t.Counts()
	return count, height, float64(count) - float64(height*bay.Params.Encoder.PulsesPerMetre)
}

// drive is the way to the next stop, or the night after the last of a day.
func (r *rig) drive(n int) {
	route, b := &r.cfg.Route, r.bench
	wait := r.spread(route.StopEvery) - (b.Seconds(b.Now) - r.row.Start)
	amps, charging := route.DriveAmps, route.DriveTime
	if n%route.StopsADay == 0 {
		// The next first stop: as many days on as have gone by, and one.
		days := float64(n / route.StopsADay)
		wait = float64(days*day) - b.Seconds(b.Now)
		amps, charging = route.NightAmps, route.NightTime
	}
	wait = math.Max(wait, calmTime)
	charging = math.Min(charging, wait)
	if amps > 0 {
		r.rest(charging, amps)
		wait -= charging
	}
	r.rest(wait, 0)
}

// spread varies a time of the route by the seed.
func (r *rig) spread(seconds float64) float64 {
	if r.cfg.Route.Spread == 0 {
		return seconds
	}
	u := float64(r.rng.Uint64()>>11) / (1 << 53)
	return seconds * (1 + float64(r.cfg.Route.Spread*(float64(2*u)-1)))
}

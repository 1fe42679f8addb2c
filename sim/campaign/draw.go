package campaign

import (
	"math"
	"slices"
	"sort"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// recoverySpan is the longest that a case goes on after everything was mended, in
// s: enough for the last run to end, for two teachings, and for three presses.
const recoverySpan = 150.0

// lastChance is how long before the mending, in s, the last step or onset lies.
const lastChance = 1.0

// askSpan is how long a lock switch is held, and teachSpan the teach button, in s.
const (
	askSpan   = 0.3
	teachSpan = 2.0
)

// author draws one case.
type author struct {
	*source
	plan   *Plan
	c      *Case
	acting []int
	taught []span // times of teachings
	last   [model.Sides]float64
}

type span struct{ from, to float64 }

// Draw draws the case of an index: the same for the same plan and index, whatever
// else was drawn. The plan must have passed its check.
func (p *Plan) Draw(index uint64) *Case {
	a := p.begin(index)
	if k, own := p.corner(index); k != nil {
		a.source = own
		a.corner(k)
		return a.c
	}
	a.plain()
	return a.c
}

// plain draws what people do and what goes wrong, each by itself.
func (a *author) plain() {
	a.people()
	a.faults()
	a.events()
}

// begin draws the truck of a case, where it stands, and how long it lasts.
func (p *Plan) begin(index uint64) *author {
	a := &author{source: newSource(p.Seed, index), plan: p, c: &Case{Seed: p.Seed, Index: index}}
	a.truck()
	a.stand()
	a.c.HealAt = healLaw.draw(a.source)
	a.c.End = a.c.HealAt + recoverySpan
	return a
}

func (a *author) truck() {
	a.c.Bays = make([]BayDraw, len(a.plan.Truck.Bays))
	for i := range a.c.Bays {
		a.c.Bays[i] = BayDraw{
			Mass: massLaw.draw(a.source), Turns: turnsLaw.draw(a.source),
			Dry: dryLaw.draw(a.source), Viscous: viscousLaw.draw(a.source), Motor: motorLaw.draw(a.source),
			Height: -1,
		}
	}
	a.c.Temperature, a.c.Sunlight = temperatureLaw.draw(a.source), sunlightLaw.draw(a.source)
	a.c.Grade, a.c.Charge = gradeLaw.draw(a.source), chargeLaw.draw(a.source)
}

func (a *author) stand() {
	n := len(a.c.Bays)
	a.acting = a.some(min(actingLaw.count(a.source), n), n)
	a.c.Locked, a.c.Untaught = lockedLaw.happens(a.source), untaughtLaw.happens(a.source)
	for _, i := range a.acting {
		h, stop := -1.0, a.plan.Truck.Bays[i].Track.Opening
		switch standsLaw.count(a.source) {
		case 1:
			h = roundTo(stop-openLaw.draw(a.source), 1000)
		case 2:
			h = math.Min(heightLaw.draw(a.source), roundTo(stop-openLaw.high, 1000))
		}
		if !a.c.Locked {
			a.c.Bays[i].Height = h
		}
	}
}

// people draws the presses and the requests, in order of time.
func (a *author) people() {
	var begin [model.Sides]float64
	for s := range begin {
		begin[s] = a.early(model.Side(s))
	}
	for _, i := range a.acting {
		side := a.plan.Truck.Bays[i].Side
		a.presses(i, begin[side]+firstLaw.draw(a.source))
	}
	for s := range begin {
		a.late(model.Side(s))
	}
	a.inOrder()
}

// inOrder sorts the steps, and leaves out those that would come too late.
func (a *author) inOrder() {
	a.c.Steps = slices.DeleteFunc(a.c.Steps, func(s StepDraw) bool { return s.At > a.c.HealAt-lastChance })
	for i := range a.c.Steps {
		a.c.Steps[i].At = roundTo(a.c.Steps[i].At, 100)
	}
	sort.SliceStable(a.c.Steps, func(i, j int) bool { return a.c.Steps[i].At < a.c.Steps[j].At })
}

// early is the first that is done at a lock, and when it is over.
func (a *author) early(s model.Side) float64 {
	at, gap := earlyLaw.draw(a.source), askGapLaw.draw(a.source)
	on := askGapLaw.draw(a.source)
	switch locks := earlyLockLaw.happens(a.source); {
	case a.c.Locked:
		a.ask(sim.UnlockAsk, s, at)
		return at + gap
	case locks:
		a.ask(sim.LockAsk, s, at)
		a.ask(sim.UnlockAsk, s, at+gap)
		return at + gap + on
	}
	return 0
}

// presses is what is done at a bay from a time on.
func (a *author) presses(bay int, at float64) {
	side := a.plan.Truck.Bays[bay].Side
	for range pressesLaw.count(a.source) {
		a.last[side] = max(a.last[side], at)
		if teachLaw.happens(a.source) {
			a.c.Steps = append(a.c.Steps, StepDraw{At: at, Kind: sim.TeachHold, Bay: bay, Span: teachSpan})
			gap := teachGapLaw.draw(a.source)
			a.taught = append(a.taught, span{at, at + gap})
			at += gap
			continue
		}
		a.press(bay, at)
		if raceLaw.happens(a.source) {
			a.ask(sim.LockAsk, side, at+raceGapLaw.draw(a.source))
		}
		at += gapLaw.draw(a.source)
	}
}

// press is one press of the remote.
func (a *author) press(bay int, at float64) {
	a.c.Steps = append(a.c.Steps, StepDraw{
		At: at, Kind: sim.Press, Bay: bay, Span: pressLaw.draw(a.source),
		Aim: aimLaw.draw(a.source), Distance: distanceLaw.draw(a.source),
	})
}

// late is what else is done at a lock.
func (a *author) late(s model.Side) {
	if midLockLaw.happens(a.source) {
		a.lockAndUnlock(s, a.between(0, a.c.HealAt))
	}
	if lateLockLaw.happens(a.source) {
		a.lockAndUnlock(s, a.last[s]+lateGapLaw.draw(a.source))
	}
	if bypassLaw.happens(a.source) {
		kind := sim.BypassLock
		if a.below(2) == 1 {
			kind = sim.BypassUnlck
		}
		a.c.Steps = append(a.c.Steps, StepDraw{At: a.between(0, a.c.HealAt), Kind: kind, Side: s})
	}
}

func (a *author) lockAndUnlock(s model.Side, at float64) {
	a.ask(sim.LockAsk, s, at)
	if gap := askGapLaw.draw(a.source); !oneAskLaw.happens(a.source) {
		a.ask(sim.UnlockAsk, s, at+gap)
	}
}

// ask turns a cab switch; now and then somebody presses before the bar has got there.
func (a *author) ask(kind sim.ActionKind, s model.Side, at float64) {
	a.c.Steps = append(a.c.Steps, StepDraw{At: at, Kind: kind, Side: s, Span: askSpan})
	if !busyLaw.happens(a.source) {
		return
	}
	bay, gap := a.acting[a.below(len(a.acting))], busyGapLaw.draw(a.source)
	if a.plan.Truck.Bays[bay].Side == s {
		a.press(bay, at+gap)
	}
}

// faults draws what is broken.
func (a *author) faults() {
	kinds := a.plan.kinds()
	if len(kinds) == 0 {
		return
	}
	weights := make([]float64, len(kinds))
	for i := range kinds {
		weights[i] = kindShare(kinds[i].Name)
	}
	for range faultShares(a.plan.Faults).count(a.source) {
		k := &kinds[a.pick(weights)]
		place := a.place(k)
		a.add(k, place, a.onset(k, place), lastsLaw.draw(a.source), a.values(k))
	}
}

// place is where a fault or an event of a kind comes.
func (a *author) place(k *fault.Kind) int {
	bay := a.acting[a.below(len(a.acting))]
	if with := a.firstBay(); with >= 0 && !k.Event && togetherLaw.happens(a.source) {
		bay = with
	}
	switch k.Place {
	case fault.OnBay:
		return bay
	case fault.OnSide:
		return int(a.plan.Truck.Bays[bay].Side)
	}
	return 0
}

// firstBay is a bay at or beside which the first fault is, or -1.
func (a *author) firstBay() int {
	if len(a.c.Faults) == 0 {
		return -1
	}
	f := &a.c.Faults[0]
	k, _ := fault.Find(f.Kind)
	switch k.Place {
	case fault.OnBay:
		return f.Place
	case fault.OnSide:
		for _, i := range a.acting {
			if int(a.plan.Truck.Bays[i].Side) == f.Place {
				return i
			}
		}
	}
	return -1
}

// onset is a time before everything is mended, often a bad one for the place.
func (a *author) onset(k *fault.Kind, place int) float64 {
	near, chance, into := a.stepsNear(k, place), badTimeLaw, law(intoStepLaw)
	if k.Place == fault.OnSide || k.Name == "stuck-door-down-wire" {
		if asked := a.requests(a.sideOf(k, place)); len(asked) > 0 {
			near, chance, into = asked, lockTimeLaw, intoAskLaw
		}
	}
	if len(near) > 0 && chance.happens(a.source) {
		at := near[a.below(len(near))] + into.draw(a.source)
		return roundTo(math.Min(at, a.c.HealAt-lastChance), 100)
	}
	return roundTo(float64(onsetLaw.draw(a.source)*(a.c.HealAt-lastChance)), 100)
}

// sideOf is the side of a place on a side or on a bay.
func (a *author) sideOf(k *fault.Kind, place int) model.Side {
	if k.Place == fault.OnBay {
		return a.plan.Truck.Bays[place].Side
	}
	return model.Side(place)
}

// requests are the times at which the cab switches of some sides are turned.
func (a *author) requests(sides ...model.Side) (times []float64) {
	for i := range a.c.Steps {
		s := &a.c.Steps[i]
		if (s.Kind == sim.LockAsk || s.Kind == sim.UnlockAsk) && slices.Contains(sides, s.Side) {
			times = append(times, s.At)
		}
	}
	return times
}

// stepsNear are the times of the steps at a place: those of the bay and of the lock beside it.
func (a *author) stepsNear(k *fault.Kind, place int) (times []float64) {
	for i := range a.c.Steps {
		s := &a.c.Steps[i]
		bay, side := -1, s.Side
		if s.Kind == sim.Press || s.Kind == sim.TeachHold {
			bay, side = s.Bay, a.plan.Truck.Bays[s.Bay].Side
		}
		switch {
		case k.Place == fault.OnBay && bay != place && (bay >= 0 || a.plan.Truck.Bays[place].Side != side):
		case k.Place == fault.OnSide && int(side) != place:
		default:
			times = append(times, s.At)
		}
	}
	return times
}

// add puts a fault or an event where and when it was drawn.
func (a *author) add(k *fault.Kind, place int, from, lasts float64, v fault.Values) {
	until := roundTo(math.Min(from+lasts, a.c.HealAt), 100)
	a.c.Faults = append(a.c.Faults, FaultDraw{Kind: k.Name, Place: place, From: from, Until: until, Values: v})
}

// values draws how bad a fault is.
func (a *author) values(k *fault.Kind) (v fault.Values) {
	for i := range k.Params {
		p := &k.Params[i]
		switch {
		case p.Words != nil:
			v[i] = float64(a.below(len(p.Words)))
		case p.Severity():
			v[i] = a.severity(p)
		default:
			v[i] = p.Default
		}
	}
	switch k.Name {
	case "added-friction":
		v[1] = stretchLaw.draw(a.source)
		v[2] = roundTo(v[1]+lengthLaw.draw(a.source), 100)
	case "missed-pulses":
		v[1] = missLaw.draw(a.source)
	case "wrong-supply-reading":
		if a.below(2) == 1 {
			v[0] = -v[0]
		}
	}
	return v
}

// severity draws between mild and severe, and often the severe end itself.
func (a *author) severity(p *fault.Param) float64 {
	low, high := math.Min(p.Mild, p.Severe), math.Max(p.Mild, p.Severe)
	x := 0.0
	switch {
	case severeLaw.happens(a.source):
		x = p.Severe
	case p.Unit == "pulses":
		x = low + float64(a.below(int(high-low)+1))
	case low > 0 && high >= 10*low:
		x = figures(a.logBetween(low, high))
	default:
		x = figures(a.between(low, high))
	}
	return math.Min(math.Max(x, p.Min), p.Max)
}

// events draws what a controller must cope with besides.
func (a *author) events() {
	weights := make([]float64, len(eventShares))
	for i := range eventShares {
		weights[i] = eventShares[i].percent
	}
	for left := eventsLaw.count(a.source); left > 0; left-- {
		k, _ := fault.Find(eventShares[a.pick(weights)].kind)
		place := a.place(&k)
		from := a.onset(&k, place)
		switch k.Name {
		case "obstruction":
			a.add(&k, place, from, staysLaw.draw(a.source), fault.Values{topLaw.draw(a.source), softLaw[a.below(len(softLaw))], 1})
		case "blocked-lock-bar":
			a.add(&k, place, from, jamLastLaw.draw(a.source), fault.Values{jamLaw.draw(a.source)})
		case "supply-interruption":
			if a.fails(&k, place, a.interruption(from)) && left > 1 && crankLaw.happens(a.source) {
				a.sags(&k, place, a.c.Faults[len(a.c.Faults)-1].Until)
				left--
			}
		}
	}
	a.inOrder()
}

// fails lets the supply fail, or sag; and tells whether it failed. Somebody may press
// once it is back.
func (a *author) fails(k *fault.Kind, place int, from float64) bool {
	dark := !sagLaw.happens(a.source)
	if dark {
		lasts := darkLaw.draw(a.source)
		a.add(k, place, from, lasts, fault.Values{leftLaw.draw(a.source)})
	} else {
		a.sags(k, place, from)
	}
	if afterLaw.happens(a.source) {
		bay, gap := a.acting[a.below(len(a.acting))], afterGapLaw.draw(a.source)
		a.press(bay, a.c.Faults[len(a.c.Faults)-1].Until+gap)
	}
	return dark
}

// sags lets the supply sag.
func (a *author) sags(k *fault.Kind, place int, from float64) {
	from = math.Min(from, roundTo(a.c.HealAt-lastChance, 100))
	lasts := sagLastsLaw.draw(a.source)
	a.add(k, place, from, lasts, fault.Values{sagLeftLaw.draw(a.source)})
}

// interruption is when the supply fails: often at a bad moment, else at the onset.
func (a *author) interruption(onset float64) float64 {
	switch {
	case len(a.taught) > 0 && tornLaw.happens(a.source):
		t := a.taught[a.below(len(a.taught))]
		onset = a.between(t.from, t.to)
	case len(a.c.Steps) > 0 && runLaw.happens(a.source):
		onset = a.runStep() + intoRunLaw.draw(a.source)
	}
	return roundTo(math.Min(onset, a.c.HealAt-lastChance), 100)
}

// runStep is the time of a step after which the supply fails.
func (a *author) runStep() float64 {
	if asked := a.requests(bothSides[:]...); len(asked) > 0 && askRunLaw.happens(a.source) {
		return asked[a.below(len(asked))]
	}
	return a.c.Steps[a.below(len(a.c.Steps))].At
}

// NoiseSeed is the seed of what the bench itself leaves to chance in this case:
// short, so that it looks well in a file.
func (c *Case) NoiseSeed() uint64 { return scatter(c.Seed^scatter(c.Index)) >> 40 }

package campaign

import (
	"math"
	"slices"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// ShrinkPlays is the most plays that shrinking takes, its first one included. Fewer
// leave odd numbers in the story; more find little.
const ShrinkPlays = 400

// Shrink looks for the simplest case that violates a requirement by the same clause
// as a given one: fewer faults, fewer steps, a truck as it is drawn on paper, warm,
// level and charged, milder faults, earlier and rounder times, and no more than what
// leads to the violation. It plays at most ShrinkPlays cases, and always the same
// ones. What it gives back violates the requirement; where the case that it was
// given does not, or is not playable, that is a copy of it.
//
// It is a greedy search: everything that is tried makes the case cheaper by a fixed
// measure, and is kept where the violation stays. Nothing says that the least case
// is found.
func Shrink(pl *Player, c *Case, requirement string) (small *Case, plays int) {
	s := &shrinker{pl: pl, of: slices.Index(require.IDs[:], requirement), most: ShrinkPlays, best: c.Clone(), seen: map[uint64]bool{}}
	if s.of < 0 {
		return s.best, 0
	}
	return s.shrink()
}

func (s *shrinker) shrink() (small *Case, plays int) {
	if !s.violates(s.best) {
		return s.best, s.plays
	}
	s.cost = s.price(s.best)
	s.unroll()
	s.cutAfter()
	for s.round() {
	}
	return s.best, s.plays
}

// shrinker is one search.
type shrinker struct {
	pl     *Player
	of     int    // requirement
	most   int    // plays
	show   Shows  // what is asked instead of the requirement; may be nil
	clause string // "" until the first play
	best   *Case
	cost   float64
	at     float64 // s, of the violation of best
	bay    int     // of the violation, or -1
	seen   map[uint64]bool
	plays  int
}

// round goes once through everything that can be tried, the greatest gains first,
// and tells whether anything has helped.
func (s *shrinker) round() bool {
	before := s.cost
	s.dropFaults()
	s.dropSteps()
	s.cutAfter()
	s.standStill()
	s.neutral()
	s.toFirstBay()
	s.stayOn()
	s.times()
	s.numbers()
	s.cutAfter()
	return s.cost < before && s.plays < s.most
}

// violates plays a case, and takes note of where the violation is.
func (s *shrinker) violates(c *Case) bool {
	s.plays++
	s.seen[c.Hash()] = true
	if s.show != nil {
		return s.shows(c)
	}
	o := s.pl.Play(c)
	if o.Err != nil {
		return false
	}
	r := &o.Results[s.of]
	if r.Verdict != require.Violated || s.clause != "" && r.Clause != s.clause {
		return false
	}
	s.clause, s.bay = r.Clause, r.Bay
	s.at = float64(r.At) * s.pl.plan.step()
	return true
}

// try changes a copy of the best case, and keeps it where it is cheaper and
// violates still.
func (s *shrinker) try(change func(c *Case)) bool {
	c := s.best.Clone()
	change(c)
	c.tidy()
	cost := s.price(c)
	if cost >= s.cost || s.plays >= s.most || s.seen[c.Hash()] || !s.violates(c) {
		return false
	}
	s.best, s.cost = c, cost
	return true
}

// tidy leaves out what comes after the end.
func (c *Case) tidy() {
	c.HealAt = math.Min(c.HealAt, c.End)
	c.Steps = slices.DeleteFunc(c.Steps, func(s StepDraw) bool { return s.At >= c.End })
	for i := range c.Faults {
		c.Faults[i].Until = math.Min(c.Faults[i].Until, c.HealAt)
	}
	c.Faults = slices.DeleteFunc(c.Faults, func(f FaultDraw) bool { return f.From >= f.Until })
	slices.SortStableFunc(c.Steps, func(a, b StepDraw) int {
		switch {
		case a.At < b.At:
			return -1
		case a.At > b.At:
			return 1
		}
		return 0
	})
}

// unroll makes steps of what the recovery did, where the violation came while it
// was at work and is not about it: the story then needs no recovery.
func (s *shrinker) unroll() {
	if require.IDs[s.of] == recoveryID || s.at < s.best.HealAt {
		return
	}
	c := s.best.Clone()
	played := s.pl.Played()
	for i := range c.Faults {
		c.Faults[i].Until = math.Min(c.Faults[i].Until, c.HealAt)
	}
	c.Steps = append(c.Steps, played.Recovery...)
	c.End = float64(played.End) * s.pl.plan.step()
	c.HealAt = c.End
	c.tidy()
	if s.violates(c) {
		s.best, s.cost = c, s.price(c)
	}
}

// recoveryID is the requirement that is judged after everything was mended.
const recoveryID = "recovery"

// tails are how long a case goes on after its violation, in s: so that it can be seen
// what comes of it, and until an alarm that is the violation has been counted.
var tails = [...]float64{2, 5, 10}

// cutAfter ends the case after the violation, before any recovery where it is not
// about that.
func (s *shrinker) cutAfter() {
	for _, tail := range tails {
		end := math.Ceil(s.at + tail)
		if require.IDs[s.of] != recoveryID && s.try(func(c *Case) { c.End, c.HealAt = end, end }) ||
			s.try(func(c *Case) { c.End = end }) {
			return
		}
	}
}

func (s *shrinker) dropFaults() {
	s.try(func(c *Case) { c.Faults = nil })
	for i := len(s.best.Faults) - 1; i >= 0; i-- {
		if i < len(s.best.Faults) {
			s.try(func(c *Case) { c.Faults = slices.Delete(c.Faults, i, i+1) })
		}
	}
}

// dropSteps leaves out steps, many at once and then fewer, and the last ones first:
// what comes late is most often not needed.
func (s *shrinker) dropSteps() {
	for size := len(s.best.Steps); size > 0; size /= 2 {
		for end := len(s.best.Steps); end > 0; end -= size {
			from := max(end-size, 0)
			s.try(func(c *Case) { c.Steps = slices.Delete(c.Steps, from, min(end, len(c.Steps))) })
		}
	}
	for i := range s.best.Bays { // a door that stands open needs no press to open it
		s.startOpen(i)
	}
}

// startOpen lets a bay stand open at the start, and leaves out what is first done at it.
func (s *shrinker) startOpen(bay int) {
	first := slices.IndexFunc(s.best.Steps, func(d StepDraw) bool { return d.Kind == sim.Press && d.Bay == bay })
	if first < 0 {
		return
	}
	s.try(func(c *Case) {
		c.Steps = slices.Delete(c.Steps, first, first+1)
		c.Bays[bay].Height = s.openHeight(bay)
		c.Locked = false
	})
}

// openRest is how far below the open stop, in m, a door stands that was opened and has run out.
const openRest = 0.025

func (s *shrinker) openHeight(bay int) float64 {
	return roundTo(s.pl.plan.Truck.Bays[bay].Track.Opening-openRest, 1e6)
}

// standStill lets doors begin down or open, unlocked and taught.
func (s *shrinker) standStill() {
	s.try(func(c *Case) { c.Untaught = false })
	s.try(func(c *Case) { c.Locked = false })
	for i := range s.best.Bays {
		s.try(func(c *Case) { c.Bays[i].Height = -1 })
		s.try(func(c *Case) { c.Bays[i].Height = s.openHeight(i) })
	}
}

// neutral takes all numbers to what a file leaves out, then group after group.
func (s *shrinker) neutral() {
	reset := func(belongs func(group int) bool) func(c *Case) {
		return func(c *Case) {
			for _, n := range c.amounts() {
				if belongs(n.group) {
					*n.at = n.neutral
				}
			}
		}
	}
	if s.try(reset(func(int) bool { return true })) {
		return
	}
	s.try(reset(func(g int) bool { return g < ofSteps }))
	for _, g := range s.best.groups() {
		s.try(reset(func(other int) bool { return other == g }))
	}
}

// toFirstBay tells the same story of the first bay.
func (s *shrinker) toFirstBay() {
	bays := s.pl.plan.Truck.Bays
	from, to := s.bay, 0
	if from < 0 {
		from = slices.Index(s.best.concerned(), true)
	}
	if from <= 0 {
		return
	}
	s.try(func(c *Case) {
		c.Bays[from], c.Bays[to] = c.Bays[to], c.Bays[from]
		swapped := func(bay int) int {
			switch bay {
			case from:
				return to
			case to:
				return from
			}
			return bay
		}
		side := func(s model.Side) model.Side {
			if bays[from].Side != bays[to].Side {
				return 1 - s
			}
			return s
		}
		for i := range c.Steps {
			if d := &c.Steps[i]; d.Kind == sim.Press || d.Kind == sim.TeachHold {
				d.Bay = swapped(d.Bay)
			} else {
				d.Side = side(d.Side)
			}
		}
		for i := range c.Faults {
			switch f := &c.Faults[i]; placeOf(f.Kind) {
			case fault.OnBay:
				f.Place = swapped(f.Place)
			case fault.OnSide:
				f.Place = int(side(model.Side(f.Place)))
			}
		}
	})
}

func placeOf(kind string) fault.Place {
	k, _ := fault.Find(kind)
	return k.Place
}

// stayOn lets faults be there from the start, and stay.
func (s *shrinker) stayOn() {
	for i := range s.best.Faults {
		s.try(func(c *Case) { c.Faults[i].From = 0 })
		s.try(func(c *Case) { c.Faults[i].Until = c.HealAt })
	}
}

// firstInstant is before which nothing is moved, in s: whoever reads the story wants
// to see how the truck stands.
const firstInstant = 1.0

// gaps that are tried between one event and the next, in s.
var gaps = [...]float64{0, 1, 2, 5, 8, 10, 15}

// roundings of a time, in parts of a second, from coarse to fine.
var roundings = [...]float64{1, 2, 10}

// times moves everything from an event on so that it follows sooner upon the one
// before, and then onto rounder times.
func (s *shrinker) times() {
	for k := 0; k < len(s.best.instants()); k++ {
		list := s.best.instants()
		before := firstInstant
		if k > 0 {
			before = list[k-1]
		}
		for _, gap := range gaps {
			to := roundTo(math.Ceil((before+gap)*2), 1) / 2
			if to >= list[k] || s.moveFrom(list[k], to) {
				break
			}
		}
		s.rounder(k)
	}
}

// rounder moves an event, with what follows or alone, onto a rounder time.
func (s *shrinker) rounder(k int) {
	list := s.best.instants()
	if k >= len(list) {
		return
	}
	t := list[k]
	for _, per := range roundings {
		for _, to := range [...]float64{math.Floor(t*per) / per, math.Ceil(t*per) / per} {
			if to != t && to >= firstInstant && (s.moveFrom(t, to) || s.moveOne(t, to)) {
				return
			}
		}
	}
}

// moveFrom moves everything that happens at a time or later.
func (s *shrinker) moveFrom(from, to float64) bool {
	return s.try(func(c *Case) {
		for _, t := range c.moments() {
			if *t >= from {
				*t = roundTo(*t+to-from, 100)
			}
		}
	})
}

// moveOne moves what happens at a time.
func (s *shrinker) moveOne(from, to float64) bool {
	return s.try(func(c *Case) {
		for _, t := range c.moments() {
			if *t == from {
				*t = to
			}
		}
	})
}

// moments are all times of a case but the end of what stays to the mending.
func (c *Case) moments() []*float64 {
	list := []*float64{&c.HealAt, &c.End}
	for i := range c.Steps {
		list = append(list, &c.Steps[i].At)
	}
	for i := range c.Faults {
		list = append(list, &c.Faults[i].From, &c.Faults[i].Until)
	}
	return list
}

// instants are the times at which something happens, each once, in order.
func (c *Case) instants() []float64 {
	var list []float64
	for _, t := range c.moments() {
		if *t > 0 && *t < c.End {
			list = append(list, *t)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// numbers takes every number that is left towards its neutral value, as far as the
// violation goes along, and onto a round one.
func (s *shrinker) numbers() {
	for i := 0; i < len(s.best.amounts()); i++ {
		if n := s.best.amounts()[i]; *n.at != n.neutral {
			s.toward(i)
		}
	}
}

// toward bisects between the neutral value of a number, at which it does not
// violate, and its present one; on a coarse grid first.
func (s *shrinker) toward(i int) {
	set := func(x float64) bool { return s.try(func(c *Case) { *c.amounts()[i].at = x }) }
	n := s.best.amounts()[i]
	if set(n.neutral) {
		return
	}
	for _, per := range n.grid() {
		low, high := n.neutral, *s.best.amounts()[i].at
		for range 4 {
			x := onGrid((low+high)/2, per)
			if x == low || x == high {
				break
			}
			if set(x) {
				high = x
			} else {
				low = x
			}
		}
		if x := *s.best.amounts()[i].at; onGrid(x, per) == x || set(onGrid(x, per)) {
			return
		}
	}
}

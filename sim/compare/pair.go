package compare

import (
	"slices"

	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

// Pair is two controllers, and the plan of the runs that are played to both.
type Pair struct {
	Plan     *campaign.Plan
	Old, New campaign.Controllers
	// Record compares what is written into the store, too. It is no wire, so it is
	// left out otherwise: what it does after a reset shows on the wires.
	Record bool
	// Outputs are the kinds that are compared, where it is not all of them: those of
	// one kind, say, that another would hide because it differs first. 0 is all.
	Outputs Kinds
}

// Run is one case as both controllers played it.
type Run struct {
	Case       *campaign.Case
	Difference *Difference // nil: not one output differed at any tick
	Err        error       // the bench could not play it; no comparison
	Ticks      int         // that were compared until the first difference, or the end
	Met        []Met       // states that both were in at once, until then
	// Controllers that failed as a whole, whether or not it made a difference.
	OldSilent, NewSilent []sim.Silence
}

// Met is how long a state of the old controllers and one of the new went together.
type Met struct {
	Lock     bool
	Old, New string
	Ticks    int64
}

// Difference is the first differing tick of a run, and what came of it.
type Difference struct {
	Cause
	At      float64 // s
	Tick    int
	Bay     int         // index, or -1 at a lock
	Side    int         // of the lock, or -1
	Was, Is sim.Outputs // of the old and the new controller there
	Kinds   Kinds       // of outputs that differ there or later
	Effects Effects
}

// Player plays cases of one pair, one after the other, and keeps nothing from one to the
// next. It serves one goroutine.
type Player struct {
	pair *Pair
	old  *campaign.Player
	seen *recorder
	says telling // of the old controllers

	doors []sim.Controller // the new ones
	locks sim.Controller
	like  *comparer

	first, second heard // old, new
}

// NewPlayer makes a player of a pair whose plan has passed its check.
func NewPlayer(p *Pair) *Player {
	pl := &Player{pair: p}
	var seen recorder
	held := func() (doors []sim.Controller, locks sim.Controller) {
		doors, locks = p.Old()
		seen = *newRecorder(doors, locks, p.Record)
		_, pl.says = voices(doors, locks)
		return doors, locks
	}
	pl.old = campaign.NewPlayer(p.Plan, held)
	pl.seen = &seen
	pl.doors, pl.locks = p.New()
	pl.like = newComparer(pl.doors, pl.locks, &seen.trail, p.Record, pl.says)
	if p.Outputs != 0 {
		pl.like.outputs = p.Outputs
	}
	return pl
}

// Old is the player of the old controllers.
func (pl *Player) Old() *campaign.Player { return pl.old }

// Play plays a case to both, and compares them.
func (pl *Player) Play(c *campaign.Case) Run {
	pl.seen.begin()
	pl.first.begin(len(c.Bays))
	pl.old.Watch = []sim.Observer{pl.seen, &pl.first.listener, pl.first.figures}
	o := pl.old.Play(c)
	if o.Err != nil {
		return Run{Case: c, Err: o.Err}
	}
	pl.first.silent = o.Silent
	set, err := pl.again()
	r := Run{Case: c, Err: err, Met: slices.Clone(pl.like.met), Ticks: int(pl.like.tick), OldSilent: pl.first.silent, NewSilent: pl.second.silent}
	if d := pl.like.differ; d != nil && err == nil {
		pl.first.listener.Finish()
		pl.second.listener.Finish()
		d.Kinds = pl.like.kinds
		d.At = float64(d.Tick) * pl.tick()
		d.Effects = pl.effects(o.Results, set.Results())
		r.Difference, r.Ticks = d, d.Tick
	}
	return r
}

// tick of the controllers, in s.
func (pl *Player) tick() float64 {
	s := &pl.old.Played().Setup
	return float64(s.TickSteps) * s.StepSize
}

// again plays to the new controllers what has just been played to the old ones.
func (pl *Player) again() (*require.Set, error) {
	played := pl.old.Played()
	s := played.Setup
	s.Doors, s.Locks = pl.doors, pl.locks
	s.Duration = played.End
	s.Actions = slices.Clone(s.Actions)
	for i := range played.Recovery {
		s.Actions = append(s.Actions, pl.pair.Plan.Actions(&played.Recovery[i])...)
	}
	o := played.Options
	o.HealedAt = played.Healed
	set := require.New(len(s.Truck.Bays), o)
	pl.like.begin()
	pl.second.begin(len(s.Truck.Bays))
	silences := sim.NewSilences()
	s.Watch = []sim.Observer{set, pl.like, &pl.second.listener, pl.second.figures, silences}
	b, err := sim.New(s)
	if err != nil {
		return nil, err
	}
	err = b.Run()
	pl.second.silent = silences.List
	return set, err
}

// heard is what is listened to and measured besides.
type heard struct {
	listener sim.Listener
	figures  *sim.Figures
	silent   []sim.Silence
}

func (h *heard) begin(bays int) {
	h.listener, h.figures, h.silent = sim.Listener{}, sim.NewFigures(bays), nil
}

package campaign

import (
	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/require"
)

// Player plays cases of one plan, one after the other. It keeps its controllers
// from case to case, and nothing else: what a case comes to depends on the case
// alone. A player serves one goroutine.
type Player struct {
	// Watch are shown every instant besides, after the monitors: a trace, say.
	Watch []sim.Observer

	everyTick bool // of the monitors: require.Options.EveryTick

	plan   *Plan
	doors  []sim.Controller
	locks  sim.Controller
	mend   recovery
	silent *sim.Silences
	played Played
}

// NewPlayer makes a player for a plan that has passed its check.
func NewPlayer(p *Plan, c Controllers) *Player {
	pl := &Player{plan: p}
	pl.doors, pl.locks = c()
	return pl
}

// Played is what the last case turned into: the setup with which the bench began, the
// actions of the recovery, which answer to where the truck truly stood, and the
// steps at which recovery was judged from and the run was over.
//
// Playing Setup with Recovery added to its actions, recovery judged from Healed on
// and the run ended at End is the same run to the bit.
type Played struct {
	Setup    sim.Setup
	Options  require.Options
	Recovery []StepDraw
	Healed   int64 // 0: it never came to that
	End      int64
}

// Played tells about the last case. It is valid until the next.
func (pl *Player) Played() *Played { return &pl.played }

// Play plays a case to its end and judges it.
func (pl *Player) Play(c *Case) Outcome { return pl.PlayUntil(c, nil) }

// lookEvery is how many ticks lie between two looks at the verdicts, where a case
// may be given up early: a second at the usual tick.
const lookEvery = 100

// PlayUntil plays a case until enough, asked once a second of the truck's time, is
// content with the verdicts so far. An outcome that was cut short tells the truth
// about what was violated, and no more. enough may be nil.
func (pl *Player) PlayUntil(c *Case, enough func([]require.Result) bool) Outcome {
	b, set, err := pl.begin(c)
	if err != nil {
		return Outcome{Err: err}
	}
	for n := 1; !pl.mend.done() && b.Now < b.Duration() && b.Err() == nil; n++ {
		b.Advance()
		if enough != nil && n%lookEvery == 0 && enough(set.Results()) {
			break
		}
	}
	pl.played.End = b.Now
	pl.played.Recovery, pl.played.Healed = pl.mend.acted, pl.mend.healed
	return Outcome{Results: set.Results(), Transitions: pl.fired(), Silent: pl.silent.List, Hash: HashState(b), Err: b.Err()}
}

// begin builds the bench of a case, with its monitors and its mechanic.
func (pl *Player) begin(c *Case) (*sim.Bench, *require.Set, error) {
	s := pl.plan.Setup(c)
	s.Doors, s.Locks = pl.doors, pl.locks
	o := pl.plan.options(c)
	pl.played = Played{Setup: s, Options: o}
	o.EveryTick = pl.everyTick
	set := require.New(len(s.Truck.Bays), o)
	pl.mend.begin(pl.plan, c, set)
	pl.silent = sim.NewSilences()
	s.Watch = append([]sim.Observer{set, &pl.mend, pl.silent}, pl.Watch...)
	pl.forget()
	b, err := sim.New(s)
	return b, set, err
}

// Bounds within which service is judged: docs/requirements.md, service. The supply
// at rest, the third of them, is looked at while running.
const (
	ratedCold  = -20.0
	ratedWarm  = 45.0
	ratedGrade = 0.05
)

// options are those of the monitors for a case.
func (p *Plan) options(c *Case) require.Options {
	o := require.Options{
		Rated: len(c.Faults) == 0 && c.Temperature >= ratedCold && c.Temperature <= ratedWarm &&
			c.Grade >= -ratedGrade && c.Grade <= ratedGrade,
		JudgeForce: p.JudgeForce,
	}
	for i := range c.Faults {
		f := &c.Faults[i]
		o.Faults = append(o.Faults, require.Active{Kind: f.Kind, From: p.steps(f.From), To: p.steps(min(f.Until, c.HealAt))})
	}
	return o
}

// reporter is a controller that tells which transitions of its table have fired.
type reporter interface {
	Fired(set []uint64)
	ForgetFired()
	Transitions() int
}

func (pl *Player) forget() {
	for _, d := range pl.doors {
		if r, ok := d.(reporter); ok {
			r.ForgetFired()
		}
	}
	if r, ok := pl.locks.(reporter); ok {
		r.ForgetFired()
	}
}

// fired gathers the transitions of all doors and then of the locks; nil where the
// controllers have no table.
func (pl *Player) fired() []uint64 {
	door, ok := pl.doors[0].(reporter)
	lock, ok2 := pl.locks.(reporter)
	if !ok || !ok2 {
		return nil
	}
	n := door.Transitions()
	set := make([]uint64, words(n+lock.Transitions()))
	for _, d := range pl.doors {
		if r, ok := d.(reporter); ok {
			r.Fired(set)
		}
	}
	bars := make([]uint64, words(lock.Transitions()))
	lock.Fired(bars)
	for i := range lock.Transitions() {
		if has(bars, i) {
			set[(n+i)>>6] |= 1 << ((n + i) & 63)
		}
	}
	return set
}

func words(bits int) int { return (bits + 63) / 64 }

func has(set []uint64, i int) bool { return set[i>>6]>>(i&63)&1 == 1 }

// concerned lists the bays that a case is about: where somebody acts, where
// something is wrong or in the way, and those that do not stand down.
func (c *Case) concerned() []bool {
	list := make([]bool, len(c.Bays))
	for i := range c.Bays {
		list[i] = c.Bays[i].Height >= 0
	}
	for i := range c.Steps {
		if s := &c.Steps[i]; s.Kind == sim.Press || s.Kind == sim.TeachHold {
			list[s.Bay] = true
		}
	}
	for i := range c.Faults {
		if f := &c.Faults[i]; onBay(f.Kind) && f.Place < len(list) {
			list[f.Place] = true
		}
	}
	return list
}

// bothSides are the sides of a truck.
var bothSides = [model.Sides]model.Side{model.Curbside, model.Roadside}

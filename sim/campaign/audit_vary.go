package campaign

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sort"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/logic"
)

// Draws alone come to the common answers of a logic hundreds of times and to the rare
// ones never: a press while the drive pauses, a bar that is lost just then. So the corpus
// is completed by variation: of a case in which a machine comes into a state whose answer
// is still rare, a copy is made in which something happens during the visit. Copies that
// reach something rare are kept.

// varyRound is how many copies are made before it is looked again what is rare. It does
// not depend on the number of workers, so that the corpus doesn't either.
const varyRound = 64

// enough stimuli reach an answer, and it is no longer rare.
const enough = 24

// vary completes the corpus with so many copies.
func (k *corpus) vary(ctx context.Context, copies int, done func()) error {
	for at := 0; at < copies; at += varyRound {
		n := min(varyRound, copies-at)
		reached := k.reached()
		list := make([]*stimulus, n)
		err := inParallel(ctx, n, len(k.crew), func(i, worker int) {
			s := newSource(k.plan.Seed^varySeed, uint64(at+i))
			list[i] = k.crew[worker].play(k.variant(s, reached))
			done()
		})
		if err != nil {
			return err
		}
		for _, s := range list {
			if s == nil {
				k.dropped++
			} else if k.rare(s, reached) {
				k.stimuli = append(k.stimuli, s)
			}
		}
	}
	return nil
}

// varySeed keeps the chance of variation apart from that of the draws.
const varySeed = 0x6d757461

// reached is by how many stimuli each answer is.
func (k *corpus) reached() []int {
	n := make([]int, len(k.pairs))
	for _, s := range k.stimuli {
		for i := range n {
			if has(s.fired, i) {
				n[i]++
			}
		}
	}
	return n
}

// rare tells that a stimulus reaches an answer that few do.
func (k *corpus) rare(s *stimulus, reached []int) bool {
	for i, n := range reached {
		if n < enough && has(s.fired, i) {
			return true
		}
	}
	return false
}

// variant is a copy of a case that visits the state of a rare answer, changed there.
func (k *corpus) variant(s *source, reached []int) *Case {
	p := k.pairs[k.pickRare(s, reached)]
	parent, visit := k.visiting(s, p)
	return k.changed(s, parent.c, visit, k.event(p))
}

// changed is a copy of a case with one or two things changed about a visit, so that an
// event may come then.
func (k *corpus) changed(s *source, c *Case, there visit, event string) *Case {
	v := variation{source: s, k: k, c: cloneCase(c), visit: there, event: event}
	v.c.Seed, v.c.Index = k.plan.Seed^varySeed, s.pcg.Uint64()>>32
	for range 1 + s.below(2) {
		v.change()
	}
	v.tidy()
	return v.c
}

// pickRare picks an answer, the rarer the likelier.
func (k *corpus) pickRare(s *source, reached []int) int {
	weights := make([]float64, len(reached))
	for i, n := range reached {
		weights[i] = 1 / float64(float64(n*n)+1)
	}
	return s.pick(weights)
}

func (k *corpus) event(p pair) string {
	if p.lock {
		return k.base.Lock.Transitions[p.row].On
	}
	return k.base.Door.Transitions[p.row].On
}

// visiting picks a stimulus that visits the state of an answer, and the visit; any
// stimulus where there is none.
func (k *corpus) visiting(s *source, p pair) (*stimulus, visit) {
	var list []*stimulus
	i := slices.Index(k.states, pair{p.lock, -1, p.from})
	for _, x := range k.stimuli {
		if has(x.visited, i) {
			list = append(list, x)
		}
	}
	if len(list) == 0 {
		x := k.stimuli[s.below(len(k.stimuli))]
		return x, x.visits[s.below(len(x.visits))]
	}
	slices.SortStableFunc(list, func(a, b *stimulus) int { return cmp.Compare(len(a.c.Faults), len(b.c.Faults)) })
	x := list[s.below(len(list))]
	var there []visit
	for _, v := range x.visits {
		if v.state == i {
			there = append(there, v)
		}
	}
	return x, there[s.below(len(there))]
}

func cloneCase(c *Case) *Case {
	d := *c
	d.Bays, d.Steps, d.Faults = slices.Clone(c.Bays), slices.Clone(c.Steps), slices.Clone(c.Faults)
	return &d
}

// variation changes a case around the visit of a state.
type variation struct {
	*source
	k     *corpus
	c     *Case
	visit visit
	event string // that is to come then
}

// during is a time within the visit, or shortly after its beginning.
func (v *variation) during() float64 {
	long := max(v.visit.long, 0.05)
	if v.chance(0.5) {
		long = min(long, 0.4)
	}
	return roundTo(v.visit.at+v.between(0, long), 100)
}

// bay is the one whose door visits, or, of a lock, one of its side's.
func (v *variation) bay() int {
	bays := v.k.plan.Truck.Bays
	if v.visit.who < len(bays) {
		return v.visit.who
	}
	for range 16 {
		if i := v.below(len(bays)); bays[i].Side == v.side() {
			return i
		}
	}
	return v.below(len(bays))
}

func (v *variation) side() model.Side {
	if n := len(v.k.plan.Truck.Bays); v.visit.who >= n {
		return model.Side(v.visit.who - n)
	}
	return v.k.plan.Truck.Bays[v.visit.who].Side
}

func (v *variation) step(kind sim.ActionKind, at float64) {
	s := StepDraw{At: at, Kind: kind, Bay: v.bay(), Side: v.side(), Span: 0.3, Distance: 1}
	if kind == sim.TeachHold {
		s.Span = teachSpan
	}
	v.c.Steps = append(v.c.Steps, s)
}

// change does one thing: mostly what may bring the event about, else anything.
func (v *variation) change() {
	if v.chance(0.6) && v.aimed() {
		return
	}
	switch v.below(12) {
	case 0:
		v.step(sim.Press, v.during())
	case 1:
		v.step([...]sim.ActionKind{sim.BypassLock, sim.BypassUnlck}[v.below(2)], v.during())
	case 2:
		v.step([...]sim.ActionKind{sim.LockAsk, sim.UnlockAsk}[v.below(2)], v.during())
	case 3:
		v.step(sim.TeachHold, v.during())
	case 4:
		v.happen(v.during())
	case 5, 6:
		v.broken("")
	case 7:
		v.c.Temperature, v.c.Grade, v.c.Charge = temperatureLaw.draw(v.source), gradeLaw.draw(v.source), roundTo(v.between(0.05, 1), 100)
	case 8:
		v.shift()
	case 10:
		v.mended()
	case 11:
		v.worse()
	case 9:
		v.c.Untaught = !v.c.Untaught
	}
}

// causes are the faults that may bring an event about.
var causes = map[string][]string{
	"slow":           {"added-friction", "leaning-cargo", "weak-counterbalance", "corroded-connector", "low-battery", "aged-battery"},
	"time up":        {"added-friction", "leaning-cargo", "stuck-reel", "slipping-reel", "manual-release-open", "failed-current-sensor", "corroded-connector"},
	"no motion":      {"slipping-reel", "stuck-reel", "open-motor-lead", "broken-counterbalance", "jammed-closing-spring", "added-friction", "open-enable-contact"},
	"stall":          {"deaf-edge", "slipping-reel", "missed-pulses", "leaning-cargo", "added-friction", "stuck-reel", "failed-current-sensor"},
	"held up":        {"leaning-cargo", "added-friction", "extra-pulses", "deaf-edge", "stuck-reel"},
	"slowed":         {"leaning-cargo", "added-friction", "missed-pulses", "slipping-reel"},
	"floor":          {"exchanged-encoder", "slipping-reel", "missed-pulses", "sill-switch-stuck-made", "deaf-edge"},
	"ran out":        {"exchanged-encoder", "extra-pulses"},
	"overrun":        {"exchanged-encoder", "extra-pulses", "sill-switch-stuck-made", "sill-switch-stuck-open"},
	"edge faulty":    {"open-edge-wire", "shorted-edge-wire"},
	"moved":          {"manual-release-open", "weak-counterbalance", "broken-counterbalance", "welded-up-contact", "extra-pulses"},
	"barred":         {"stuck-lock-switch"},
	"switches wrong": {"stuck-lock-switch"},
	"unlocked lost":  {"stuck-lock-switch"},
	"locked lost":    {"stuck-lock-switch"},
	"doors lost":     {"stuck-door-down-wire"},
	"late":           {"open-lock-actuator"},
	"not left":       {"open-lock-actuator", "stuck-lock-switch"},
}

// aimed makes the event likely, or probes a difference of outputs; false where nothing
// is known that would.
func (v *variation) aimed() bool {
	switch v.event {
	case "says down": // who believes it?
		v.step(sim.LockAsk, v.during())
		return true
	case "permits": // what does it let move, or keep from moving?
		v.step([...]sim.ActionKind{sim.Press, sim.Press, sim.BypassLock, sim.UnlockAsk}[v.below(4)], v.during())
		return true
	case "bars":
		if v.chance(0.5) {
			v.step([...]sim.ActionKind{sim.UnlockAsk, sim.LockAsk, sim.Press}[v.below(3)], v.during())
		} else {
			v.add("blocked-lock-bar", v.during(), jamLastLaw.draw(v.source), fault.Values{jamLaw.draw(v.source)})
		}
		return true
	case "coils":
		switch v.below(4) {
		case 0:
			v.step(sim.Press, v.during())
		case 1:
			v.step([...]sim.ActionKind{sim.BypassLock, sim.LockAsk}[v.below(2)], v.during())
		case 2:
			v.happen(v.during())
		case 3:
			return false
		}
		return true
	case "press":
		if v.chance(0.3) {
			return false // the press may be there, and its circumstances not
		}
		v.step(sim.Press, v.during())
		return true
	case "lock asked", "settled":
		v.step(sim.LockAsk, v.during())
		return true
	case "unlock asked":
		v.step(sim.UnlockAsk, v.during())
		return true
	case "barred", "unlocked lost", "locked lost", "switches wrong":
		if v.chance(0.7) {
			v.step([...]sim.ActionKind{sim.BypassLock, sim.BypassUnlck}[v.below(2)], v.during())
			return true
		}
	case "edge pressed", "stall", "held up", "slowed", "floor":
		if v.chance(0.5) {
			v.happen(v.during())
			return true
		}
	case "awake":
		v.add("supply-interruption", v.during(), darkLaw.draw(v.source), fault.Values{})
		return true
	}
	if list := causes[v.event]; list != nil {
		v.broken(list[v.below(len(list))])
		return true
	}
	return false
}

// happen brings on one of the events that a controller must cope with.
func (v *variation) happen(at float64) {
	switch v.below(4) {
	case 0:
		v.add("supply-interruption", at, darkLaw.draw(v.source), fault.Values{leftLaw.draw(v.source)})
	case 1:
		v.add("blocked-lock-bar", at, jamLastLaw.draw(v.source), fault.Values{jamLaw.draw(v.source)})
	default:
		// It may stand there beforehand: then the door comes onto it.
		v.add("obstruction", max(0, at-v.between(0, 4)), staysLaw.draw(v.source),
			fault.Values{topLaw.draw(v.source), softLaw[v.below(len(softLaw))], 1})
	}
}

// add puts a fault or an event at the place of the visit.
func (v *variation) add(kind string, at, lasts float64, values fault.Values) {
	k, _ := fault.Find(kind)
	place := 0
	switch k.Place {
	case fault.OnBay:
		place = v.bay()
	case fault.OnSide:
		place = int(v.side())
	}
	v.c.Faults = append(v.c.Faults, FaultDraw{Kind: kind, Place: place, From: roundTo(at, 100), Until: roundTo(at+lasts, 100), Values: values})
}

// broken puts a fault in place of the one that there was: the claim is about single
// faults. Now and then it comes on top of it: what the original copes with even so is a
// fair stimulus.
func (v *variation) broken(kind string) {
	if v.chance(0.7) {
		v.c.Faults = slices.DeleteFunc(v.c.Faults, func(f FaultDraw) bool {
			k, _ := fault.Find(f.Kind)
			return !k.Event
		})
	}
	kinds := v.k.plan.kinds()
	if len(kinds) == 0 || v.k.plan.Faults == 0 {
		return
	}
	k := &kinds[v.below(len(kinds))]
	for i := range kinds {
		if kinds[i].Name == kind {
			k = &kinds[i]
		}
	}
	a := author{source: v.source, plan: v.k.plan, c: v.c}
	from := 0.0
	switch v.below(3) {
	case 0:
		from = v.during()
	case 1:
		from = max(0, v.visit.at-v.between(0, 6))
	}
	v.add(k.Name, from, lastsLaw.draw(v.source), a.values(k))
}

// mended ends a fault during the visit.
func (v *variation) mended() {
	if n := len(v.c.Faults); n > 0 {
		f := &v.c.Faults[v.below(n)]
		f.Until = max(f.From+0.01, v.during())
	}
}

// worse draws how bad a fault is again, from all that there is.
func (v *variation) worse() {
	if n := len(v.c.Faults); n > 0 {
		f := &v.c.Faults[v.below(n)]
		k, _ := fault.Find(f.Kind)
		if i, ok := k.Severity(); ok && k.Params[i].Min > 0 {
			f.Values[i] = figures(min(max(v.logBetween(k.Params[i].Min, k.Params[i].Max), k.Params[i].Min), k.Params[i].Max))
			if k.Params[i].Unit == "pulses" {
				f.Values[i] = math.Round(f.Values[i])
			}
		}
	}
}

// shift moves something that happens anyway into the visit, or takes it away.
func (v *variation) shift() {
	if n := len(v.c.Steps); n > 0 {
		if i := v.below(n); v.chance(0.7) {
			v.c.Steps[i].At = v.during()
		} else {
			v.c.Steps = slices.Delete(v.c.Steps, i, i+1)
		}
	}
}

// latest is how late a case may still be mended, in s: what would be later is left out.
const latest = 60.0

// tidy makes the copy a proper case again: two events and two faults at most,
// everything before the mending, steps in order of time.
func (v *variation) tidy() {
	c := v.c
	last := 0.0
	c.Steps = slices.DeleteFunc(c.Steps, func(s StepDraw) bool { return s.At > latest-lastChance })
	events, faults := 0, 0
	for i := len(c.Faults) - 1; i >= 0; i-- { // the latest added are kept
		k, _ := fault.Find(c.Faults[i].Kind)
		if k.Event {
			events++
		} else {
			faults++
		}
		if k.Event && events > 2 || !k.Event && faults > 2 || c.Faults[i].From > latest-lastChance {
			c.Faults = slices.Delete(c.Faults, i, i+1)
		}
	}
	for i := range c.Steps {
		last = math.Max(last, c.Steps[i].At)
	}
	for i := range c.Faults {
		last = math.Max(last, c.Faults[i].From)
	}
	c.HealAt = math.Max(c.HealAt, roundTo(last+lastChance, 100))
	c.End = c.HealAt + recoverySpan
	for i := range c.Faults {
		c.Faults[i].Until = math.Min(c.Faults[i].Until, c.HealAt)
	}
	sort.SliceStable(c.Steps, func(i, j int) bool { return c.Steps[i].At < c.Steps[j].At })
}

// original plays the unmutated logic, and keeps what it does.
type original struct {
	player *Player
	watch  *watch
}

func newOriginal(p *Plan, singly *logic.Table) *original {
	w := &watch{table: singly}
	return &original{NewPlayer(p, w.controllers(p)), w}
}

// visitOf picks a visit, in a stimulus, of a state that a mutant is mistaken in; any,
// where the mistake is in no state.
func (k *corpus) visitOf(s *source, x *stimulus, at *site) visit {
	states := at.in
	if at.row >= 0 {
		states = []string{at.from}
	}
	var list []visit
	for _, v := range x.visits {
		if p := k.states[v.state]; p.lock == at.lock && slices.Contains(states, p.from) {
			list = append(list, v)
		}
	}
	if len(list) == 0 {
		list = x.visits
	}
	return list[s.below(len(list))]
}

// eventOf is the event of the transition that a mutant is mistaken in, if there is one.
func (k *corpus) eventOf(at *site) string {
	if at.row < 0 {
		return ""
	}
	return k.event(pair{at.lock, at.row, at.from})
}

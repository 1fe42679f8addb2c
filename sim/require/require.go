package require

import (
	"math"
	"math/bits"

	"slatbench/model"
	"slatbench/sim"
)

// Options of a run that its monitors cannot see for themselves.
type Options struct {
	// Rated: no fault, no obstruction, −20 to 45 °C, up to 5 % grade. Only then
	// is service judged.
	Rated bool
	// JudgeForce: contact-force is judged, not only measured.
	JudgeForce bool
	// Faults of the run, for exemptions.
	Faults []Active
	// HealedAt is the step from which recovery is judged; 0 means never. See
	// [Set.Healed].
	HealedAt int64
	// EveryTick: nothing is passed over while a bay is at rest. The results are the
	// same; it serves comparison.
	EveryTick bool
}

// Verdict of a requirement.
type Verdict uint8

// The verdicts. Exempt is violated, where an exemption says why no controller
// could do better. Measured is a margin that the scenario did not ask to judge.
const (
	NotExercised Verdict = iota
	Holds
	Violated
	Exempt
	Measured
)

var verdictWords = [...]string{"not exercised", "holds", "violated", "exempt", "measured"}

func (v Verdict) String() string { return verdictWords[v] }

// Result is the verdict on one requirement over the whole truck.
type Result struct {
	ID      string
	Verdict Verdict
	Clause  string  // the clause with the smallest share
	Margin  float64 // of that clause, negative when violated; NaN where nothing came near it
	Unit    string  // s, m, N, V, or what is counted
	Share   float64 // margin in shares of the clause's scale: what to compare clauses by
	At      int64   // step of the smallest margin; violated: the step of the violation
	Bay     int     // index, or -1
	Side    int     // index, or -1
	Tests   int     // times that the clauses of the requirement were put to the test

	Exemption *Exemption // where Verdict is Exempt
}

// Set is all monitors of one run: an observer for the bench. Make one for each run.
type Set struct {
	opt        Options
	faults     []activeFault
	bays       []bayTruth
	busy       uint64 // a bit a bay: it is energised or held
	follows    uint64 // of them: driven down, or held
	touching   uint64 // a bit a bay: it touches an obstruction
	wirings    int64  // the truck's, as last seen
	bars       bool   // one has been driven
	sides      [model.Sides]sideTruth
	post       sounder // of the lock controller
	postMeters [clauseCount]meter
	bench      *sim.Bench
	limit      stepLimits
	healed     int64
}

// New makes the monitors for a truck of so many bays.
func New(bays int, o Options) *Set {
	s := &Set{opt: o, bays: make([]bayTruth, bays), healed: never}
	if o.HealedAt > 0 {
		s.healed = o.HealedAt
	}
	for _, f := range o.Faults {
		s.faults = append(s.faults, activeFault{Active: f})
	}
	return s
}

// Healed tells that from a step on all faults are gone and the record fits, so
// that recovery is judged from there: the door stands at each end within two presses, at rest and
// 16 s apart; and lock requests, once the doors of the side are down.
func (s *Set) Healed(step int64) { s.healed = step }

// Step implements [sim.Stepper].
func (s *Set) Step(b *sim.Bench) {
	now := b.Now
	awake := b.Truck.Awake()
	look := awake&(b.Truck.Obstructed()|s.touching) | s.follows
	if wirings := b.Truck.Wirings(); wirings != s.wirings {
		s.wirings = wirings
		look = awake | s.busy
	}
	for set := look; set != 0; set &= set - 1 {
		s.bays[bits.TrailingZeros64(set)].step(now)
	}
	if s.bars || b.Truck.BarsMove() {
		s.stepSides(now)
	}
}

func (s *Set) stepSides(now int64) {
	s.bars = false
	for i := range s.sides {
		d := &s.sides[i]
		if l := d.lock; l.Drive != 0 || l.Speed != 0 || d.drive != 0 {
			d.step(now)
		}
		s.bars = s.bars || d.drive != 0
	}
}

// Tick implements [sim.Observer].
func (s *Set) Tick(b *sim.Bench) {
	if s.bench == nil {
		s.begin(b)
	}
	still, sameBars := b.Still()
	for i := range s.bays {
		t := &s.bays[i]
		if t.dozes && (still>>i&1 == 1 && b.Now <= t.due || t.nothingNew(b)) {
			t.dozed(b, b.Now)
		} else {
			t.tick(b, b.Now)
		}
	}
	for i := range s.sides {
		if d := &s.sides[i]; !d.dozes || !sameBars && !d.nothingNew(b) {
			d.tick(b, b.Now)
		}
	}
	s.post.tick(s, b.LockOutputs().Tone, b.LocksAwake(), nil, b.Now)
	s.onsets(b.Now)
}

// onsets keeps where the bars stood when a fault came on.
func (s *Set) onsets(now int64) {
	for i := range s.faults {
		f := &s.faults[i]
		if f.met || now < f.From {
			continue
		}
		f.met = true
		for j := range s.sides {
			f.between = f.between || s.sides[j].between()
		}
	}
}

// begin takes up a bench at its first instant.
func (s *Set) begin(b *sim.Bench) {
	s.bench = b
	s.limit = newStepLimits(b)
	for i := range s.sides {
		s.sides[i].begin(s, b, i)
	}
	for i := range s.bays {
		s.bays[i].begin(s, b, i)
	}
	s.post.meters = s.postMeters[:]
	s.post.reset()
}

func (s *Set) steps(seconds float64) int64 { return s.bench.Steps(seconds) }

// Results gives the verdicts so far, in the order of IDs. A test that is still
// open counts as violated where its deadline has passed, and not at all before.
// It may be asked for at any time; the monitors go on from where they were.
func (s *Set) Results() []Result {
	list := make([]Result, requirementCount)
	for i := range list {
		list[i] = Result{ID: IDs[i], Margin: math.NaN(), Share: math.Inf(1), Bay: -1, Side: -1}
	}
	if s.bench == nil {
		return list
	}
	for i := range s.bays {
		t := s.bays[i] // a copy, so that closing open tests changes nothing
		t.sound.meters = t.m[:]
		t.finish(s.bench.Now)
		s.collect(list, &t.m, i, -1)
	}
	post, heard := s.post, s.postMeters
	post.meters = heard[:]
	post.finish(s, s.bench.Now)
	s.collect(list, &heard, -1, -1)
	for i := range s.sides {
		d := s.sides[i]
		d.finish(s.bench.Now)
		s.collect(list, &d.m, -1, i)
	}
	s.close(list)
	return list
}

// collect lets each clause of one bay or side compete for its requirement's result.
func (s *Set) collect(list []Result, m *[clauseCount]meter, bay, side int) {
	for c := range m {
		if m[c].seen || m[c].n > 0 {
			list[clauses[c].of].take(s, clause(c), &m[c], bay, side)
		}
	}
}

func (r *Result) take(s *Set, c clause, m *meter, bay, side int) {
	k := &clauses[c]
	r.Tests += int(m.n)
	if !m.seen {
		return
	}
	other := Result{
		ID: r.ID, Clause: k.word, Margin: m.margin, Unit: k.unit, Share: m.margin / k.scale,
		At: m.at, Bay: bay, Side: side, Tests: r.Tests,
	}
	if m.margin < 0 {
		other.Verdict = Violated
		if e := s.exempt(c, m.at); e != nil {
			other.Verdict, other.Exemption = Exempt, e
		}
	}
	if other.before(r) {
		*r = other
	}
}

// before tells which of two clauses speaks for the requirement: one that is
// violated, then one that is exempt, then the smaller share.
func (r *Result) before(o *Result) bool {
	if a, b := severity[r.Verdict], severity[o.Verdict]; a != b {
		return a > b
	}
	return r.Share < o.Share
}

var severity = [...]int{Violated: 2, Exempt: 1, Measured: 0}

// close turns what has not been violated into a verdict.
func (s *Set) close(list []Result) {
	for i := range list {
		r := &list[i]
		if r.Verdict == NotExercised && r.Tests > 0 {
			r.Verdict = Holds
		}
		if requirement(i) == contactForce && r.Tests > 0 && !s.opt.JudgeForce {
			r.Verdict, r.Exemption = Measured, nil
		}
		if math.IsInf(r.Share, 1) {
			r.Share = math.NaN()
		}
	}
}

package require

import (
	"math"

	"slatbench/sim"
)

// newTolerance is how far, as a share, a newly taught travel may be from the true one.
const newTolerance = 0.05

// misfit is by how many pulses a record may differ from the travel, and fit: the seal below
// the sill counts 2 or 3, and the open stop gives a little.
const misfit = 6.0

// teachMonitor judges taught-travel by asking the controller's own boot reading.
type teachMonitor struct {
	reads    sim.Provisioner // nil where the controller cannot be asked
	store    *sim.Store
	on       bool
	asked    bool // the button is held
	lost     bool // power was lost in a teaching run
	old      reading
	values   [4]reading // that have stood since, in order
	n        int
	many     bool // more than fit
	lastMove int64
	yields   float64 // pulses over the travel, as a new one first stood or power was lost
	counted  float64 // pulses on the wire in the last run
	whole    bool    // that run has gone up from the floor to the stop, or until something held the curtain, and its motor
	jam      float64 // m: where it was held as the record on file was taken: at the stop, or at a jam; 0 if it was not
}

// reading is what a boot would find.
type reading struct {
	travel int
	ok     bool
	at     int64
	fits   bool // as it first stood, it was the travel as the encoder gives it
}

func (r reading) same(o reading) bool { return r.ok == o.ok && r.travel == o.travel }

func (k *teachMonitor) begin(t *bayTruth, b *sim.Bench) {
	c, store := b.Door(t.index)
	k.reads, _ = c.(sim.Provisioner)
	k.store = store
}

func (k *teachMonitor) read(now int64) reading {
	if k.reads == nil {
		return reading{at: now}
	}
	travel, ok := k.reads.Taught(k.store)
	return reading{travel: travel, ok: ok, at: now}
}

// tick is called while the controller is awake.
func (k *teachMonitor) tick(t *bayTruth, b *sim.Bench, asked bool, now int64) {
	anew := asked && !k.asked
	k.asked = asked
	if !k.on && !asked {
		return
	}
	pressed := asked && t.energised == 0 && b.PressedAt[t.index] == now
	if k.on && (anew || pressed) && k.n > 0 { // the next teaching
		k.over(t)
	}
	if !k.on {
		*k = teachMonitor{reads: k.reads, store: k.store, on: true, asked: asked, old: k.read(now), lastMove: now, jam: k.jam}
		return
	}
	if asked || t.energised != 0 || b.Inputs(t.index).StoreBusy {
		k.lastMove = now
	}
	k.look(t, now)
	if now-k.lastMove > t.set.limit.teachOver {
		k.over(t)
	}
}

// look keeps what a boot would find now, where it differs from what it would have found before.
func (k *teachMonitor) look(t *bayTruth, now int64) {
	r, last := k.read(now), k.old
	if k.n > 0 {
		last = k.values[k.n-1]
	}
	switch {
	case r.same(last):
	case k.n == len(k.values):
		k.many = true
	default:
		k.measure(t)
		r.fits = r.ok && k.plausible(r.travel)
		k.values[k.n] = r
		k.n++
		k.jam = 0
		if k.whole {
			k.jam = t.bay.Height
		}
		if k.jam >= leastOpening && !k.old.ok { // there was nothing to compare it with
			t.sound.cancel(heldTeachingRow)
		}
	}
}

// over judges what stood during the teaching: the old or the final, nothing else.
func (k *teachMonitor) over(t *bayTruth) {
	if k.n > 0 {
		final := k.values[k.n-1]
		for _, r := range k.values[:k.n] {
			if k.many || !r.same(final) && !r.same(k.old) {
				t.m[recordClause].note(-1, r.at)
				break
			}
		}
		if !final.ok && k.old.ok {
			t.m[recordClause].note(-1, final.at)
		}
	}
	k.on = false
}

// dark: power is lost, perhaps while teaching. What the encoder yields is taken
// now: another may be fitted before the controller boots.
func (k *teachMonitor) dark(t *bayTruth) {
	k.lost = k.on
	k.measure(t)
}

// measure takes what the encoder yields, and what has come over the wire in the last run.
func (k *teachMonitor) measure(t *bayTruth) {
	k.counted = float64(t.pulses)
	k.whole = t.last.dir > 0 && t.began <= closedTolerance && (t.last.stood || t.bay.Height >= t.open)
	k.yields = t.yields()
}

// booted judges what the controller finds after a loss of power while teaching: it, and what
// stood there before, is the old travel, or one that was right as it was stored, or as power failed.
func (k *teachMonitor) booted(t *bayTruth) {
	if !k.lost || k.reads == nil {
		return
	}
	k.lost, k.on = false, false
	now := t.set.bench.Now
	r := k.read(now)
	for _, v := range k.values[:k.n] {
		r.fits = r.fits || v.fits && v.same(r)
	}
	good := k.sound(r)
	for _, v := range k.values[:k.n] {
		good = good && k.sound(v)
	}
	if good {
		t.m[recordClause].note(1, now)
	} else {
		t.m[recordClause].note(-1, now)
	}
}

// reached tells that the door stands as high as a jam at which the record on file was taken, and
// from which nobody could tell the stop, and not at the true travel: for all that its count tells, it is open.
func (k *teachMonitor) reached(t *bayTruth) bool {
	return math.Abs(t.bay.Height-k.jam) <= openTolerance+countTolerance && k.mistaken(t)
}

// mistaken tells that the record on file was taken where something held the door, and is not the travel.
func (k *teachMonitor) mistaken(t *bayTruth) bool { return k.jam > 0 && !k.right(t) }

func (k *teachMonitor) sound(r reading) bool {
	return r.same(k.old) || r.fits || r.ok && k.plausible(r.travel)
}

// misfits tells that the record that stood before this teaching is longer than the travel
// that the encoder yields now: it is another's, or there is a jam on the way.
func (k *teachMonitor) misfits(t *bayTruth) bool {
	return k.on && k.old.ok && float64(k.old.travel)-t.yields() > misfit
}

// right tells that a boot would find the travel that the encoder yields now.
func (k *teachMonitor) right(t *bayTruth) bool {
	r := k.read(t.set.bench.Now)
	return r.ok && math.Abs(float64(r.travel)-t.yields()) <= misfit
}

// yields is how many pulses the encoder gives over the whole travel.
func (t *bayTruth) yields() float64 {
	c := &t.bay.Condition
	return t.full * t.bay.Params.Encoder.PulsesPerMetre * c.PulseScale * (1 - c.Slip)
}

// plausible tells whether a travel in pulses is what the encoder yielded when that was taken,
// or what had come over the wire on the way up: nobody can tell the pulses that noise adds,
// nor, of a whole way, that the encoder was exchanged meanwhile, nor a jam from the stop.
func (k *teachMonitor) plausible(travel int) bool {
	near := func(pulses float64) bool { return math.Abs(float64(travel)-pulses) <= newTolerance*pulses }
	return near(k.yields) || (k.whole || k.counted > k.yields) && near(k.counted)
}

func (k *teachMonitor) finish(t *bayTruth) {
	if k.on {
		for _, r := range k.values[:max(k.n-1, 0)] {
			if !r.same(k.values[k.n-1]) && !r.same(k.old) {
				t.m[recordClause].note(-1, r.at)
				break
			}
		}
	}
}

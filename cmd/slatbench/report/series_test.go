package report

import (
	"math"
	"math/rand/v2"
	"testing"

	"slatbench/sim"
)

// A peak of a single step survives any number of merges, within its bucket's time.
func TestEnvelopeKeepsPeaks(t *testing.T) {
	const steps, peakAt = 10_000_000, 7_654_321
	e := NewEnvelope(2)
	for step := int64(0); step < steps; step += 100 {
		e.Sample(step, []float64{1, -1})
		if step == peakAt/100*100 {
			e.Sample(peakAt, []float64{42, -42})
			e.Sample(peakAt+1, []float64{1, -1})
		}
	}
	if e.Len() > maxBuckets {
		t.Fatalf("%d buckets, at most %d", e.Len(), maxBuckets)
	}
	if lo, hi := e.Range(0); lo != 1 || hi != 42 {
		t.Errorf("channel 0 from %v to %v, want 1 to 42", lo, hi)
	}
	if lo, hi := e.Range(1); lo != -42 || hi != -1 {
		t.Errorf("channel 1 from %v to %v, want -42 to -1", lo, hi)
	}
	for i := range e.Len() {
		from, _, hi := e.Bucket(i, 0)
		if inside := from <= peakAt && peakAt < from+e.Width(); inside != (hi == 42) {
			t.Errorf("bucket %d from %d: highest %v", i, from, hi)
		}
	}
}

// Whatever the samples, every bucket holds exactly what a plain search over its time finds.
func TestEnvelopeAgainstSearch(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var at []int64
	var v []float64
	e := NewEnvelope(1)
	step := int64(0)
	for range 20000 {
		x := r.NormFloat64()
		if r.IntN(50) == 0 {
			x = math.NaN()
		}
		at, v = append(at, step), append(v, x)
		e.Sample(step, []float64{x})
		step += 1 + int64(r.IntN(12))
	}
	k := 0
	for i := range e.Len() {
		from, lo, hi := e.Bucket(i, 0)
		wantLo, wantHi := math.NaN(), math.NaN()
		if k > 0 { // what held when the bucket began
			wantLo, wantHi = v[k-1], v[k-1]
		}
		for ; k < len(at) && at[k] < from+e.Width(); k++ {
			wantLo, wantHi = lower(v[k], wantLo), higher(v[k], wantHi)
		}
		// Merged buckets hold what held at the beginning of each: no more than that.
		if !same(lo, wantLo) || !same(hi, wantHi) {
			t.Fatalf("bucket %d from %d: %v to %v, want %v to %v", i, from, lo, hi, wantLo, wantHi)
		}
	}
	if k != len(at) {
		t.Errorf("%d of %d samples within the buckets", k, len(at))
	}
}

func same(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

// A value holds until the next sample, also where no sample fell into a bucket.
func TestEnvelopeCarriesOn(t *testing.T) {
	e := NewEnvelope(1)
	e.Sample(0, []float64{5})
	e.Sample(10, []float64{7})
	for i, want := range [][2]float64{0: {5, 5}, 9: {5, 5}, 10: {5, 7}} {
		if want == [2]float64{} {
			continue
		}
		if _, lo, hi := e.Bucket(i, 0); lo != want[0] || hi != want[1] {
			t.Errorf("bucket %d: %v to %v, want %v", i, lo, hi, want)
		}
	}
}

// Words stay apart while there is room; then the briefest neighbours are joined and
// counted, and a long time of one word is never swallowed.
func TestBandIsBounded(t *testing.T) {
	b := &Band{}
	words := []string{"a", "b"}
	step, changes := int64(0), 0
	for i := range 50_000 {
		b.Set(step, words[i%2])
		step += int64(1 + i%7)
		changes++
		if i == 25_000 {
			b.Set(step, "long")
			step += 1_000_000
			changes++
		}
	}
	spans := b.Finish(step)
	if len(b.spans) > maxSpans {
		t.Fatalf("%d spans, at most %d", len(b.spans), maxSpans)
	}
	total, counted, long := int64(0), 0, false
	for i, s := range spans {
		total += s.To - s.From
		counted += s.changes()
		long = long || s.Word == "long" && s.To-s.From == 1_000_000
		if i > 0 && spans[i-1].To != s.From {
			t.Fatalf("a gap before span %d", i)
		}
	}
	if total != step || counted != changes || !long {
		t.Errorf("%d of %d steps, %d of %d changes, the long word kept: %v", total, step, counted, changes, long)
	}
}

func TestBandSkipsWhatIsNoWord(t *testing.T) {
	b := &Band{}
	b.Set(0, "")
	b.Set(5, "press")
	b.Set(7, "press")
	b.Set(9, "")
	spans := b.Finish(20)
	if len(spans) != 1 || spans[0] != (Span{From: 5, To: 9, Word: "press"}) {
		t.Errorf("got %+v", spans)
	}
}

// Watching costs nothing that grows: once it has begun, no step and no tick allocates.
func TestWatchingDoesNotAllocate(t *testing.T) {
	s := NewSeries()
	b := shippedBench(t, s)
	for range 100 {
		b.Advance()
	}
	if n := testing.AllocsPerRun(500, func() { s.Tick(b); s.Step(b) }); n != 0 {
		t.Errorf("%v allocations a tick", n)
	}
	var _ sim.Observer = s
}

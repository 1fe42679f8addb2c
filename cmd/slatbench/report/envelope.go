package report

import "math"

// maxBuckets is how many buckets an envelope has at the most: more than a page
// has dots across. An even number, so that a full envelope halves exactly.
const maxBuckets = 2000

// Envelope keeps the lowest and the highest value of several channels in buckets
// of equal length. When the buckets run out, neighbours are merged and the
// buckets are twice as long: memory stays, and a peak is never lost, only its
// time gets coarser.
type Envelope struct {
	width    int64 // steps a bucket
	n        int   // buckets in use
	channels int
	lo, hi   []float64 // bucket by bucket, in it channel by channel
	last     []float64
}

// NewEnvelope keeps so many channels.
func NewEnvelope(channels int) *Envelope {
	return &Envelope{
		width: 1, channels: channels,
		lo: make([]float64, maxBuckets*channels), hi: make([]float64, maxBuckets*channels),
		last: make([]float64, channels),
	}
}

// Sample takes up the values of all channels at a step. Steps must not go back;
// between two samples the values of the first held. NaN stands for no value.
func (e *Envelope) Sample(step int64, values []float64) {
	i := int(step / e.width)
	for ; i >= maxBuckets; i = int(step / e.width) {
		e.merge()
	}
	if e.n == 0 {
		copy(e.last, values)
	}
	for ; e.n <= i; e.n++ {
		at := e.n * e.channels
		copy(e.lo[at:at+e.channels], e.last)
		copy(e.hi[at:at+e.channels], e.last)
	}
	lo, hi := e.lo[i*e.channels:], e.hi[i*e.channels:]
	for c, v := range values {
		if !(v >= lo[c]) && v == v {
			lo[c] = v
		}
		if !(v <= hi[c]) && v == v {
			hi[c] = v
		}
	}
	copy(e.last, values)
}

// merge joins the buckets in pairs.
func (e *Envelope) merge() {
	half := (e.n + 1) / 2
	for i := range half {
		for c := range e.channels {
			to, a, b := i*e.channels+c, 2*i*e.channels+c, (2*i+1)*e.channels+c
			if 2*i+1 == e.n {
				b = a
			}
			e.lo[to], e.hi[to] = lower(e.lo[a], e.lo[b]), higher(e.hi[a], e.hi[b])
		}
	}
	e.n, e.width = half, e.width*2
}

// lower and higher prefer a value to no value.
func lower(a, b float64) float64 {
	if a < b || math.IsNaN(b) {
		return a
	}
	return b
}

func higher(a, b float64) float64 {
	if a > b || math.IsNaN(b) {
		return a
	}
	return b
}

// Len is the number of buckets in use.
func (e *Envelope) Len() int { return e.n }

// Bucket is the step at which bucket i begins, and how low and high a channel was in it.
func (e *Envelope) Bucket(i, channel int) (from int64, lo, hi float64) {
	at := i*e.channels + channel
	return int64(i) * e.width, e.lo[at], e.hi[at]
}

// Width is the length of a bucket in steps.
func (e *Envelope) Width() int64 { return e.width }

// Range is the lowest and the highest value of a channel in the whole run; NaN if it never had one.
func (e *Envelope) Range(channel int) (lo, hi float64) {
	lo, hi = math.NaN(), math.NaN()
	for i := range e.n {
		at := i*e.channels + channel
		lo, hi = lower(e.lo[at], lo), higher(e.hi[at], hi)
	}
	return lo, hi
}

package trace_test

import (
	"io"
	"runtime"
	"testing"

	"slatbench/sim/trace"
)

// An hour of a truck on which every number changes at every tick needs no more memory
// than a minute. Of a Parquet file the index at the end must be kept, a record a
// column of every row group: that, and the part of a row group that a minute does not
// fill, are all that is allowed for.
func TestMemoryOfAnHourIsThatOfAMinute(t *testing.T) {
	if testing.Short() {
		t.Skip("skipped: an hour of simulated time is long for -short")
	}
	const minute, tenMinutes, hour = 6000, 60_000, 360_000 // ticks
	columns := int64(1 + 4*len(trace.BayColumns) + 2*len(trace.SideColumns) + len(trace.LockColumns))
	index := columns * 1200 * (hour - tenMinutes) / 16384 // of what comes after ten minutes
	for _, c := range []struct {
		format     trace.Format
		fill, rest int64 // bytes allowed for up to ten minutes, and after
	}{
		{trace.CSV, 16 << 10, 16 << 10},
		{trace.VCD, 16 << 10, 16 << 10},
		{trace.Parquet, 4 << 20, index},
	} {
		v := newInvented(t)
		before := live()
		r := trace.New(io.Discard, c.format, about)
		inMinute := most(v, r, minute) - before
		inTen := most(v, r, tenMinutes) - before
		inHour := most(v, r, hour) - before
		t.Logf("%v: %d kB in a minute, %d kB in ten, %d kB in an hour", c.format, inMinute>>10, inTen>>10, inHour>>10)
		if inTen-inMinute > c.fill {
			t.Errorf("%v: what is kept grows by %d bytes in ten minutes, want %d at most", c.format, inTen-inMinute, c.fill)
		}
		if inHour-inTen > c.rest {
			t.Errorf("%v: what is kept grows by %d bytes from then to an hour, want %d at most", c.format, inHour-inTen, c.rest)
		}
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// most plays until so many ticks are over, and gives the most memory that was alive
// at any of a dozen looks.
func most(v *invented, r *trace.Recorder, ticks int64) (bytes int64) {
	const looks = 12
	for first, i := v.n, int64(1); i <= looks; i++ {
		for end := first + (ticks-first)*i/looks; v.n < end; {
			v.tick(r)
		}
		bytes = max(bytes, live())
	}
	return bytes
}

// live is how many bytes of the heap are in use.
func live() int64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.GC() // what pools let go of takes a second one
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}

func TestSampleAllocatesNothing(t *testing.T) {
	for _, f := range []trace.Format{trace.CSV, trace.VCD} {
		r := trace.New(io.Discard, f, about)
		v := newInvented(t)
		for range 2000 {
			v.tick(r)
		}
		if n := testing.AllocsPerRun(2000, func() { v.tick(r) }); n != 0 {
			t.Errorf("%v: a sample allocates %g times, want never", f, n)
		}
	}
	// The Parquet library allocates at the end of a row group, and must not for each sample.
	r := trace.New(io.Discard, trace.Parquet, about)
	v := newInvented(t)
	for range 16384 {
		v.tick(r)
	}
	if n := testing.AllocsPerRun(2*16384, func() { v.tick(r) }); n > 1 {
		t.Errorf("Parquet: a sample allocates %g times, want once at most on the average", n)
	}
}

package report

import (
	"math"
	"slices"
	"testing"
)

func TestTicks(t *testing.T) {
	rows := []struct {
		from, to float64
		pieces   int
		want     []float64
		decimals int
	}{
		{0, 1.9, 5, []float64{0, 0.5, 1, 1.5}, 1},
		{0, 58, 10, []float64{0, 10, 20, 30, 40, 50}, 0},
		{-0.6, 0.4, 3, []float64{-0.5, 0}, 1},
		{11.2, 12.6, 3, []float64{11.5, 12, 12.5}, 1},
		{0, 0.03, 3, []float64{0, 0.01, 0.02, 0.03}, 2},
		{0, 1049, 5, []float64{0, 500, 1000}, 0},
	}
	for _, row := range rows {
		at, decimals := ticks(row.from, row.to, row.pieces)
		close := func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }
		if !slices.EqualFunc(at, row.want, close) || decimals != row.decimals {
			t.Errorf("%v to %v: got %v with %d decimals, want %v with %d", row.from, row.to, at, decimals, row.want, row.decimals)
		}
	}
}

func TestFigures(t *testing.T) {
	rows := []struct {
		x      float64
		digits int
		want   string
	}{
		{0, 3, "0"}, {1.8, 4, "1.8"}, {0.47512, 3, "0.475"}, {1234, 3, "1234"}, {24.8567, 4, "24.86"}, {100, 3, "100"}, {math.NaN(), 3, "–"}, {-0.0021, 2, "-0.0021"},
	}
	for _, row := range rows {
		if got := short(row.x, row.digits); got != row.want {
			t.Errorf("%v: got %q, want %q", row.x, got, row.want)
		}
	}
	if got := fixed(-0.0004, 2); got != "0.00" {
		t.Errorf("got %q, want no minus before a zero", got)
	}
}

// Labels never overlap and stay within their bounds.
func TestSpread(t *testing.T) {
	y := []float64{10, 10, 11, 95, 99}
	spread(y, 11, 0, 100)
	for i := 1; i < len(y); i++ {
		if y[i]-y[i-1] < 11-1e-9 {
			t.Errorf("labels at %v overlap", y)
		}
	}
	if y[0] < 0 || y[len(y)-1] > 100 {
		t.Errorf("labels at %v are out of bounds", y)
	}
}

func TestLanesKeepWordsApart(t *testing.T) {
	l := lanes{most: 2}
	got := []int{l.place(0, 50), l.place(20, 60), l.place(30, 40), l.place(50, 70), l.place(61, 62)}
	if want := []int{0, 1, -1, 0, 1}; !slices.Equal(got, want) {
		t.Errorf("got lanes %v, want %v", got, want)
	}
}

// A line is drawn through what was, with an upright stroke for what was brief, and
// level stretches cost their ends only.
func TestTracePath(t *testing.T) {
	e := NewEnvelope(1)
	for step := int64(0); step < 100; step++ {
		v := 1.0
		if step == 40 {
			v = 9
		}
		e.Sample(step, []float64{v})
	}
	path := tracePath(e, 0, func(s float64) float64 { return math.Floor(s) }, func(v float64) float64 { return 10 - v })
	if want := "M0 9L40 9L40 1L41 1L41 9L99 9"; path != want {
		t.Errorf("got %s, want %s", path, want)
	}
	gap := NewEnvelope(1)
	for step, v := range []float64{1, math.NaN(), math.NaN(), 2} {
		gap.Sample(int64(step), []float64{v})
	}
	if lo, hi := gap.Range(0); lo != 1 || hi != 2 {
		t.Errorf("range %v to %v with a gap, want 1 to 2", lo, hi)
	}
}

// A lamp that is on for a moment flashes; one that is on for a second is steady.
func TestLampSpans(t *testing.T) {
	on := []Span{{From: 0, To: 250}, {From: 500, To: 750}, {From: 1000, To: 1250}, {From: 5000, To: 7000}}
	got := lampSpans(on, 1e-3)
	want := []Span{{From: 0, To: 1250, Word: "flashing"}, {From: 5000, To: 7000, Word: "on"}}
	if !slices.Equal(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// What is counted is told in the singular where it is one.
func TestMarginsInWords(t *testing.T) {
	rows := []struct {
		margin float64
		unit   string
		want   string
	}{
		{1, "records", "1 record"}, {-1, "presses", "−1 press"}, {0, "presses", "0 presses"}, {2, "presses", "2 presses"},
		{0.0821, "m", "82.1 mm"}, {-0.0333, "s", "−0.0333 s"}, {1, "s", "1 s"},
	}
	for _, row := range rows {
		if got := marginText(row.margin, row.unit); got != row.want {
			t.Errorf("%v %s: got %q, want %q", row.margin, row.unit, got, row.want)
		}
	}
}

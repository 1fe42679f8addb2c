package live

import (
	"math"
	"slices"
	"testing"

	"slatbench/sim"
)

// TestFramesAreWhatTheyClaim: a frame by hand reads as one by the types, has a number a
// column, and null for what there is none of.
func TestFramesAreWhatTheyClaim(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen})
	s.playFor(1)
	s.ask(t, Request{Do: DoSupply, On: false})
	s.playFor(1)
	b := got[Bench](t, s, IsBench)[0]
	dark := false
	for i, f := range got[Frame](t, s, IsFrame) {
		if f.Seq != i || len(f.Bays) != len(b.Bays) || len(f.Sides) != len(b.Sides) || len(f.Truck) != len(b.TruckColumns) {
			t.Fatalf("frame %d: %d, %d bays, %d sides, %d of the truck", i, f.Seq, len(f.Bays), len(f.Sides), len(f.Truck))
		}
		for j := range f.Bays {
			if len(f.Bays[j]) != len(b.BayColumns) || len(f.Samples.Bays[j]) != len(b.SampleColumns) {
				t.Fatalf("frame %d: %d columns, %d of samples", i, len(f.Bays[j]), len(f.Samples.Bays[j]))
			}
		}
		dark = dark || f.Bays[0][slices.Index(b.BayColumns, "counts")] == nil
	}
	if !dark {
		t.Error("a controller without power tells its count")
	}
	if n := len(b.States); n < 10 {
		t.Errorf("%d states", n)
	}
}

// TestFramesThatAreLeftOut: what a frame that could not be sent had for the charts comes with
// the next, and a gap in the numbers tells of it.
func TestFramesThatAreLeftOut(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen})
	s.playFor(1)
	send := s.frame
	s.frame = func(*frame) bool { return false }
	s.playFor(2)
	s.frame = send
	s.playFor(0.1)
	last, all := 0.0, 0
	seq := -1
	gap := 0
	for _, f := range got[Frame](t, s, IsFrame) {
		if f.Seq != seq+1 {
			gap += f.Seq - seq - 1
		}
		seq = f.Seq
		for _, at := range f.Samples.T {
			if at < last {
				t.Errorf("a sample of %g s after one of %g s", at, last)
			}
			last = at
			all++
		}
	}
	if gap != 60 || all < 305 || all > 312 {
		t.Errorf("a gap of %d frames, expected 60; %d samples of 3.1 s", gap, all)
	}
	s.frame = func(*frame) bool { return false }
	s.playFor(60)
	if n := len(s.rig.watch.samples); n > mostSamples {
		t.Errorf("%d samples wait", n)
	}
}

func TestNumbersOfFrames(t *testing.T) {
	for _, c := range []struct {
		x        float64
		decimals int
		want     string
	}{
		{0, 3, "0"}, {1, 0, "1"}, {-1.5, 1, "-1.5"}, {0.00004, 4, "0"}, {-0.00004, 4, "0"}, {12.3456, 3, "12.346"}, {1.0501, 4, "1.0501"},
		{1.05, 4, "1.05"}, {-0.006, 4, "-0.006"}, {1e13, 2, "null"}, {math.NaN(), 2, "null"}, {math.Inf(-1), 2, "null"}, {99.99999, 2, "100"},
	} {
		if got := string(appendNumber(nil, c.x, c.decimals)); got != c.want {
			t.Errorf("%g with %d decimals: %s, expected %s", c.x, c.decimals, got, c.want)
		}
	}
}

// TestNoPeakIsLost: at every speed, the greatest of the samples is the greatest that was at
// any step.
func TestNoPeakIsLost(t *testing.T) {
	for _, speed := range speeds {
		s := newWireless(t, Wanted{})
		s.ask(t, Request{Do: DoOpen, File: "x.yaml", Text: `scenario: a crate
truck: trucks/produce-4bay.yaml
start: {doors: {C1: open}}
duration: 9 s
steps: [{at: 1 s, press: C1}]
faults: [{obstruction: C1, height: 300 mm, stiffness: 500 N/mm}]
`})
		figures := sim.NewFigures(4)
		s.rig.close()
		r, err := newRig(s.rig.src, nil, figures)
		if err != nil {
			t.Fatal(err)
		}
		s.take(r)
		s.ask(t, Request{Do: DoSpeed, Factor: speed})
		s.playFor(10 / speed)
		force, volts := 0.0, math.Inf(1)
		at := slices.Index(sampleColumns, "contact_n")
		supply := slices.Index(sampleColumns, "supply_v")
		for _, f := range got[Frame](t, s, IsFrame) {
			for _, x := range column(f.Samples.Bays[0][at]) {
				force = max(force, x)
			}
			for _, x := range column(f.Samples.Bays[0][supply]) {
				volts = min(volts, x)
			}
		}
		if want := figures.Bays[0].PeakContact; want < 100 || math.Abs(force-want) > 0.051 {
			t.Errorf("speed %g: samples reach %g N, and %g N was", speed, force, want)
		}
		if want := figures.Bays[0].MinSupply; math.Abs(volts-want) > 0.00051 {
			t.Errorf("speed %g: samples go down to %g V, and %g V was", speed, volts, want)
		}
	}
}

// column is what samples have of one column: each value, or one for all.
func column(x any) (list []float64) {
	switch v := x.(type) {
	case float64:
		return []float64{v}
	case []any:
		for _, y := range v {
			list = append(list, y.(float64))
		}
	}
	return list
}

// TestSlowMotionMovesSmoothly: at a tenth of the speed each frame shows the door a little
// further, though a tick lasts three frames.
func TestSlowMotionMovesSmoothly(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen})
	s.playFor(0.5)
	s.ask(t, Request{Do: DoPress, Bay: "C1"})
	s.playFor(1)
	s.ask(t, Request{Do: DoSpeed, Factor: 0.1})
	s.playFor(0.5)
	s.sent = nil
	s.playFor(2)
	var before *Frame
	stood := 0
	frames := got[Frame](t, s, IsFrame)
	for i := range frames {
		f := &frames[i]
		if before != nil {
			if f.T < before.T {
				t.Fatalf("time goes back from %g s to %g s", before.T, f.T)
			}
			if *f.Bays[0][0] == *before.Bays[0][0] {
				stood++
			}
		}
		before = f
	}
	if len(frames) < 59 || stood > 2 {
		t.Errorf("the door stood still between %d of %d frames", stood, len(frames))
	}
}

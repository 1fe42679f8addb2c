package live

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/require"
	"slatbench/sim/trace"
)

// got are the messages of a kind that a session has sent.
func got[T any](t *testing.T, s *wireless, kind string) []T {
	t.Helper()
	var list []T
	for _, data := range s.sent {
		var m struct{ Is string }
		if err := json.Unmarshal(data, &m); err != nil {
			t.Fatalf("%v: %s", err, data)
		}
		if m.Is != kind {
			continue
		}
		var x T
		if err := json.Unmarshal(data, &x); err != nil {
			t.Fatalf("%v: %s", err, data)
		}
		list = append(list, x)
	}
	return list
}

func number(x float64) *float64 { return &x }

func lastSaved(t *testing.T, s *wireless) Saved {
	t.Helper()
	list := got[Saved](t, s, IsSaved)
	if len(list) == 0 {
		t.Fatal("nothing was saved")
	}
	return list[len(list)-1]
}

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

// TestSpeedsKeepTheClock: so much of the clock is so much of the truck's time.
func TestSpeedsKeepTheClock(t *testing.T) {
	for _, speed := range speeds {
		s := newWireless(t, Wanted{})
		s.ask(t, Request{Do: DoOpen})
		s.ask(t, Request{Do: DoSpeed, Factor: speed})
		s.playFor(3)
		if now := s.rig.now(); math.Abs(now-3*speed) > 0.011 {
			t.Errorf("3 s at %g are %g s", speed, now)
		}
	}
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen})
	if err := s.do(&Request{Do: DoSpeed, Factor: 2}); err == nil {
		t.Error("a speed that there is not")
	}
	s.pass(3600) // the machine has slept
	if s.rig.now() > 1 {
		t.Errorf("an hour asleep is made up for: %g s", s.rig.now())
	}
}

func TestPauseStepRestart(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen})
	s.playFor(1)
	s.ask(t, Request{Do: DoPause})
	now := s.rig.now()
	s.playFor(1)
	if s.rig.now() != now {
		t.Error("it goes on while paused")
	}
	s.ask(t, Request{Do: DoPress, Bay: "C1"})
	s.ask(t, Request{Do: DoStep})
	if d := s.rig.now() - now; math.Abs(d-0.01) > 1e-9 {
		t.Errorf("a step is %g s", d)
	}
	s.ask(t, Request{Do: DoStep, Ticks: 100})
	if s.running || s.rig.bench.Truck.Bays[0].Height < 0.01 {
		t.Errorf("after 1 s of steps C1 stands at %g m, running %v", s.rig.bench.Truck.Bays[0].Height, s.running)
	}
	for _, ticks := range []int{-1, mostTicks + 1} {
		if err := s.do(&Request{Do: DoStep, Ticks: ticks}); err == nil {
			t.Errorf("%d ticks", ticks)
		}
	}
	s.ask(t, Request{Do: DoRestart})
	if s.rig.now() != 0 || !s.running || len(s.rig.deeds) != 0 {
		t.Errorf("restarted at %g s with %d deeds", s.rig.now(), len(s.rig.deeds))
	}
	if n := len(got[Bench](t, s, IsBench)); n != 2 {
		t.Errorf("%d trucks were described, expected 2", n)
	}
}

// TestEndPausesOnce: at the end of its scenario a run pauses, and can be run on.
func TestEndPausesOnce(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen, Name: "demo/closing-spring.yaml"})
	s.ask(t, Request{Do: DoSpeed, Factor: 10})
	s.playFor(3)
	frames := got[Frame](t, s, IsFrame)
	if last := frames[len(frames)-1]; last.Running || last.Why != whyEnd || math.Abs(last.T-20) > 1e-6 {
		t.Errorf("the last frame: %g s, running %v, %q", last.T, last.Running, last.Why)
	}
	s.ask(t, Request{Do: DoRun})
	s.playFor(1)
	if s.rig.now() < 29 {
		t.Errorf("run on, it is %g s", s.rig.now())
	}
	ends := 0
	for _, e := range got[Event](t, s, IsEvent) {
		if e.Kind == eventEnd {
			ends++
		}
	}
	if ends != 1 {
		t.Errorf("%d ends were told", ends)
	}
}

// TestHeldButtons: what is held lasts until it is let go, also in a file.
func TestHeldButtons(t *testing.T) {
	src := opened(t, Request{})
	r, live, recorder := watched(t, src)
	defer r.close()
	play := func(ticks int) {
		for range ticks {
			if err := r.advance(); err != nil {
				t.Fatal(err)
			}
		}
	}
	do := func(q Request) {
		t.Helper()
		if err := r.act(&q); err != nil {
			t.Fatal(err)
		}
	}
	play(50)
	do(Request{Do: DoTeach, Bay: "C2", On: true})
	if play(1); !r.bench.TeachHeld(1) {
		t.Error("the teach button is not held")
	}
	play(49)
	do(Request{Do: DoPress, Bay: "C2", Hold: true})
	play(20)
	do(Request{Do: DoLetGo, What: "press", Bay: "C2"})
	play(150)
	do(Request{Do: DoTeach, Bay: "C2"})
	if play(1); r.bench.TeachHeld(1) {
		t.Error("the teach button is still held")
	}
	do(Request{Do: DoLock, Side: "both", Hold: true})
	do(Request{Do: DoLetGo, What: "lock", Side: "both"}) // at once: too short for a switch
	play(300)
	if err := recorder.Close(); err != nil {
		t.Fatal(err)
	}
	text := saved(t, r)
	for _, want := range []string{"{at: 0.5 s, hold teach: C2, length: 2.2 s}", "press: C2}", "lock: both, length: 10 ms"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	if got := replayed(t, text, src.under.Logic); !bytes.Equal(got, live.Bytes()) {
		t.Errorf("the saved run is another one: %s\n%s", firstDifference(live.Bytes(), got), text)
	}
}

// TestAtOneInstant: where a person does something at the very instant at which the scenario
// does, the scenario comes first; and no two faults come or go at one instant, nor does one
// that was mended early go once more when the scenario would have mended it.
func TestAtOneInstant(t *testing.T) {
	src := opened(t, Request{Text: `scenario: at one instant
truck: trucks/produce-4bay.yaml
start: {doors: {C1: open}}
duration: 20 s
steps: [{at: 1 s, hold teach: C1, length: 3 s}]
faults:
  - {leaning-cargo: C1, from: 2 s, until: 5 s, force: 100 N}
  - {leaning-cargo: C2, from: 2 s}
`})
	r, live, recorder := watched(t, src)
	defer r.close()
	play := func(until float64) {
		for r.now() < until-1e-9 {
			if err := r.advance(); err != nil {
				t.Fatal(err)
			}
		}
	}
	do := func(q Request) {
		t.Helper()
		if err := r.act(&q); err != nil {
			t.Fatal(err)
		}
	}
	cargo := func() (n int) {
		for i := range r.bench.Truck.Bays {
			if r.bench.Truck.Bays[i].Condition.LeanForce > 0 {
				n++
			}
		}
		return n
	}
	play(1)
	do(Request{Do: DoTeach, Bay: "C1", On: true})
	play(1.5)
	do(Request{Do: DoTeach, Bay: "C1"})
	if play(1.51); r.bench.TeachHeld(0) {
		t.Error("the teach button of C1 is held by the scenario, and a person held it last")
	}
	play(2)
	do(Request{Do: DoFault, Kind: "leaning-cargo", Place: "R1", On: true})
	if play(2.01); cargo() != 2 {
		t.Errorf("cargo leans on %d doors, expected the two of the scenario", cargo())
	}
	if play(2.02); cargo() != 3 {
		t.Errorf("cargo leans on %d doors, expected 3", cargo())
	}
	do(Request{Do: DoFault, Kind: "leaning-cargo", Place: "R1"})
	do(Request{Do: DoFault, Kind: "leaning-cargo", Place: "C1"})
	if play(2.03); cargo() != 2 {
		t.Errorf("cargo leans on %d doors after a tick, expected 2", cargo())
	}
	if play(2.04); cargo() != 1 {
		t.Errorf("cargo leans on %d doors after two ticks, expected 1", cargo())
	}
	play(3)
	do(Request{Do: DoFault, Kind: "leaning-cargo", Place: "C1", On: true, Values: map[string]float64{"force": 100}})
	if play(6); r.bench.Truck.Bays[0].Condition.LeanForce != 100 {
		t.Error("what a person has brought on again went when the scenario would have mended it")
	}
	if err := recorder.Close(); err != nil {
		t.Fatal(err)
	}
	if text := saved(t, r); !bytes.Equal(replayed(t, text, src.under.Logic), live.Bytes()) {
		t.Errorf("the saved run is another one\n%s", text)
	}
}

// TestRewind: the run as it was, and what comes after it anew is saved and replays.
func TestRewind(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen, Name: "demo/morning-stop.yaml"})
	s.playFor(5)
	s.ask(t, Request{Do: DoFault, Kind: "weak-counterbalance", Place: "C1", On: true})
	s.ask(t, Request{Do: DoPress, Bay: "C2"})
	s.playFor(3)
	at := s.rig.bench.Now
	want := s.rig.watch.look(s.rig.bench, nil)
	s.ask(t, Request{Do: DoFault, Kind: "weak-counterbalance", Place: "C1"})
	s.ask(t, Request{Do: DoPress, Bay: "R1"})
	s.playFor(6)
	s.ask(t, Request{Do: DoRewind, At: number(s.rig.bench.Seconds(at))})
	if s.rig.bench.Now != at || s.running {
		t.Fatalf("rewound to %d, expected %d; running %v", s.rig.bench.Now, at, s.running)
	}
	if now := s.rig.watch.look(s.rig.bench, nil); !slices.Equal(now, want) {
		t.Errorf("the truck is\n%v and was\n%v", now, want)
	}
	if s.rig.on("weak-counterbalance", 0) < 0 {
		t.Error("the fault that was on then is not")
	}
	s.ask(t, Request{Do: DoRun})
	s.playFor(1)
	s.ask(t, Request{Do: DoObstruction, Bay: "C2", On: true, Height: number(0.1)})
	s.playFor(10)
	s.ask(t, Request{Do: DoSave})
	if text := lastSaved(t, s).Text; strings.Contains(text, "R1") {
		t.Errorf("what was done before the rewind is still in\n%s", text)
	}
	for _, bad := range []*float64{nil, number(-1), number(1e6), number(math.NaN())} {
		if err := s.do(&Request{Do: DoRewind, At: bad}); err == nil {
			t.Errorf("rewound to %v", bad)
		}
	}
}

// TestRewindKeepsHands: a button that was held at the time of a rewind is held, and can be
// let go.
func TestRewindKeepsHands(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen})
	s.playFor(1)
	s.ask(t, Request{Do: DoTeach, Bay: "C2", On: true})
	s.playFor(2)
	s.ask(t, Request{Do: DoRewind, At: number(2)})
	if !s.rig.bench.TeachHeld(1) {
		t.Error("the teach button is no longer held")
	}
	s.ask(t, Request{Do: DoTeach, Bay: "C2"})
	s.ask(t, Request{Do: DoStep, Ticks: 2})
	if s.rig.bench.TeachHeld(1) {
		t.Error("the teach button cannot be let go")
	}
	s.ask(t, Request{Do: DoTeach, Bay: "C2", On: true})
	s.ask(t, Request{Do: DoStep, Ticks: 2})
	if !s.rig.bench.TeachHeld(1) {
		t.Error("the teach button cannot be held again")
	}
}

// FuzzRequests: whatever a page sends is carried out or refused with a word; nothing of the
// bench's own goes wrong, and what it answers can be read.
func FuzzRequests(f *testing.F) {
	for _, seed := range []string{
		`{"do":"press","bay":"C1","hold":true}|{"do":"step","ticks":50}|{"do":"let go","what":"press","bay":"C1"}`,
		`{"do":"fault","kind":"exchanged-encoder","place":"C1","on":true,"values":{"pulses":1e300}}|{"do":"step"}|{"do":"save"}`,
		`{"do":"obstruction","bay":"R2","on":true,"height_m":-0.0,"stiffness_n_m":1e-300}|{"do":"rewind","at_s":0.004}`,
		`{"do":"open","name":"demo/two-doors.yaml"}|{"do":"speed","factor":10}|{"do":"step","ticks":300}|{"do":"rewind","at_s":1.5}|{"do":"save","title":"\u0000: #"}`,
		`{"do":"open","text":"scenario: x\ntruck: trucks/produce-4bay.yaml\nduration: 1 s\n"}|{"do":"step","ticks":200}|{"do":"supply"}|{"do":"step"}|{"do":"save"}`,
		`{"do":"open","lesson":"lessons/weak-spring.yaml"}|{"do":"next"}|{"do":"answer","choice":-1}|{"do":"answer","choice":99}|{"do":"job","job":""}`,
		`{"do":"lock","side":"both","hold":true}|{"do":"lock","side":"both"}|{"do":"bypass","side":"roadside","to":"locked"}|{"do":"step","ticks":1000}`,
		`{"do":"fault","kind":"supply-interruption","place":"feed","on":true,"values":{"left":0.5}}|{"do":"supply","on":false}|{"do":"supply","on":true}`,
	} {
		f.Add(seed)
	}
	shelf, err := newShelf(Wanted{})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s := newSession(shelf)
		defer s.close()
		s.send = func(m any) {
			if _, err := json.Marshal(m); err != nil {
				t.Fatal(err)
			}
		}
		s.frame = func(f *frame) bool {
			if !json.Valid(f.appendTo(nil)) {
				t.Fatal("a frame that cannot be read")
			}
			return true
		}
		s.gone = func() bool { return false }
		s.request(&Request{Do: DoOpen})
		for _, line := range strings.Split(text, "|") {
			q, err := parse([]byte(line))
			if err != nil {
				continue
			}
			q.Ticks = min(q.Ticks, 100)
			s.request(q)
			s.pass(1.0 / FramesPerSecond)
		}
	})
}

// TestRewoundRunReplays: the trace from the rewind on is that of the saved file.
func TestRewoundRunReplays(t *testing.T) {
	src := opened(t, Request{Name: "demo/missed-pulses-drift.yaml"})
	first, _, _ := watched(t, src)
	for range 1500 {
		if err := first.advance(); err != nil {
			t.Fatal(err)
		}
		if first.bench.Now == 9000 {
			_ = first.act(&Request{Do: DoFault, Kind: "leaning-cargo", Place: "C1", On: true})
			_ = first.act(&Request{Do: DoPress, Bay: "C2", Hold: true})
		}
		if first.bench.Now == 9700 {
			_ = first.act(&Request{Do: DoLetGo, What: "press", Bay: "C2"})
		}
	}
	second, err := first.rewound(12_000, func() bool { return false })
	if err != nil {
		t.Fatal(err)
	}
	for range 500 {
		if err := second.advance(); err != nil {
			t.Fatal(err)
		}
	}
	now := second.watch.look(second.bench, nil)
	var text bytes.Buffer
	recorder := trace.New(&text, trace.CSV, about)
	third, err := newRig(src, second.until(second.bench.Now), recorder)
	if err != nil {
		t.Fatal(err)
	}
	for third.bench.Now < second.bench.Now {
		third.bench.Advance()
	}
	if err := recorder.Close(); err != nil {
		t.Fatal(err)
	}
	if again := third.watch.look(third.bench, nil); !slices.Equal(again, now) {
		t.Errorf("played again it is\n%v and was\n%v", again, now)
	}
	if got := replayed(t, saved(t, second), src.under.Logic); !bytes.Equal(got, text.Bytes()) {
		t.Errorf("the saved run is another one: %s", firstDifference(text.Bytes(), got))
	}
}

// TestDroppedFiles: a scenario's text is opened; a bad one leaves the truck where it was and
// says where it is wrong; none reaches files that do not ship.
func TestDroppedFiles(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen, File: "mine.yaml", Text: "scenario: Mine\ntruck: trucks/produce-4bay.yaml\nduration: 5 s\nsteps: [{at: 1 s, press: C2}]\n"})
	s.playFor(6)
	if h := s.rig.bench.Truck.Bays[1].Height; h < 0.5 {
		t.Errorf("C2 stands at %g m", h)
	}
	rig := s.rig
	for text, want := range map[string]string{
		"scenario: x\ntruck: trucks/produce-4bay.yaml\nduration: 5 s\nsteps: [{at: 1 s, pres: C2}]\n": "mine.yaml:4:",
		"scenario: x\ntruck: /etc/passwd\nduration: 5 s\n":                                            "no file",
		"scenario: x\ntruck: ../../../../scenarios/trucks/produce-4bay.yaml\nduration: 5 s\n":         "no file",
		"scenario: x\ntruck: trucks/produce-4bay.yaml\nlogic: testdata/opening.json\nduration: 5 s\n": "no file",
		"from: testdata/opening.json\n": "no file",
		"standard test: x\n":            "standard file",
		"{":                             "mine.yaml:1",
		"":                              "mine.yaml",
		"scenario: x\ntruck: trucks/produce-4bay.yaml\nduration: 5 s\n" + strings.Repeat("# \n", 400_000): "mine.yaml",
	} {
		err := s.do(&Request{Do: DoOpen, File: "/somewhere/mine.yaml", Text: text})
		if err == nil || !strings.Contains(errorMessage(err).Message, want) || strings.Contains(errorMessage(err).Message, "somewhere") {
			t.Errorf("%.60q: %v, expected %q", text, err, want)
		}
	}
	if s.rig != rig {
		t.Error("a file that cannot be opened has taken the truck away")
	}
	for _, name := range []string{"testdata/opening.json", "../rig.go", "trucks/produce-4bay.yaml", "morning"} {
		if err := s.do(&Request{Do: DoOpen, Name: name}); err == nil {
			t.Errorf("%s was opened", name)
		}
	}
}

// TestDroppedFilesRunNothing: a dropped text cannot start a program, whatever it names.
func TestDroppedFilesRunNothing(t *testing.T) {
	folder := t.TempDir()
	program, mark := filepath.Join(folder, "program"), filepath.Join(folder, "was-here")
	if err := os.WriteFile(program, []byte("#!/bin/sh\ntouch "+mark+"\n"), 0o700); err != nil {
		t.Fatal(err)
	}
	s := newWireless(t, Wanted{})
	err := s.do(&Request{Do: DoOpen, Text: "scenario: x\ntruck: trucks/produce-4bay.yaml\nduration: 5 s\nlogic: " + program + "\n"})
	if err == nil || !strings.Contains(err.Error(), "no file") {
		t.Errorf("opened with %v", err)
	}
	if _, err := os.Stat(mark); err == nil {
		t.Error("the program was run")
	}
}

// TestSavedOpensAgain: a saved run is dropped on the page, plays by itself, and is saved
// again as what it was.
func TestSavedOpensAgain(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen, Name: "demo/two-doors.yaml"})
	if err := s.do(&Request{Do: DoSave}); err == nil {
		t.Error("a run of no length was saved")
	}
	s.playFor(3)
	s.ask(t, Request{Do: DoPress, Bay: "R2", Aim: number(7), Distance: number(2.5)})
	s.playFor(9)
	s.ask(t, Request{Do: DoSave, Title: "Tuesday's lesson: two doors # and a third"})
	first := lastSaved(t, s)
	if first.File != "tuesday-s-lesson-two-doors-and-a-third-as-operated.yaml" || first.Command != "slatbench run "+first.File {
		t.Errorf("%q, %q", first.File, first.Command)
	}
	want := s.rig.watch.look(s.rig.bench, nil)
	s.ask(t, Request{Do: DoOpen, File: first.File, Text: first.Text})
	s.ask(t, Request{Do: DoSpeed, Factor: 10})
	s.playFor(3)
	if now := s.rig.watch.look(s.rig.bench, nil); !slices.Equal(now, want) {
		t.Errorf("opened again it comes to\n%v and was\n%v", now, want)
	}
	s.ask(t, Request{Do: DoSave, Title: "again"})
	lines := func(text string) []string {
		return slices.DeleteFunc(strings.Split(text, "\n"), func(l string) bool {
			return strings.HasPrefix(l, "scenario:") || strings.HasPrefix(l, "#")
		})
	}
	if a, b := lines(first.Text), lines(lastSaved(t, s).Text); !slices.Equal(a, b) {
		t.Errorf("saved again it is\n%s\nand was\n%s", strings.Join(b, "\n"), strings.Join(a, "\n"))
	}
}

// TestSavedOverAFileOfOnesOwn: what was done to a scenario with a truck of one's own, both on
// disk, is saved over it, and replays from any folder.
func TestSavedOverAFileOfOnesOwn(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "my trucks: # 1")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"truck.yaml":    "from: trucks/produce-4bay.yaml\ntruck: Mine\neach bay:\n  curtain: {mass: 35 kg}\n  closing spring: {rate: 20 N/m}\n",
		"scenario.yaml": "scenario: Mine\ntruck: truck.yaml\nambient: {grade: 2 %}\nduration: 3 s\nhealed at: 2 s\nsteps: [{at: 1 s, press: C1}]\nexpect: [{by: 3 s, bay: C1, is: moving}]\n",
	} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	shelf := shelfOf(t, Wanted{Scenario: filepath.Join(folder, "scenario.yaml")})
	src, err := shelf.first()
	if err != nil {
		t.Fatal(err)
	}
	r, live, recorder := watched(t, src)
	defer r.close()
	for range 1200 {
		if r.bench.Now == 6000 {
			if err := r.act(&Request{Do: DoPress, Bay: "R2", Hold: true}); err != nil {
				t.Fatal(err)
			}
		}
		if err := r.advance(); err != nil {
			t.Fatal(err)
		}
	}
	if err := recorder.Close(); err != nil {
		t.Fatal(err)
	}
	text := saved(t, r)
	if got := replayed(t, text, src.under.Logic); !bytes.Equal(got, live.Bytes()) {
		t.Errorf("the saved run is another one: %s\n%s", firstDifference(live.Bytes(), got), text)
	}
	if !strings.Contains(text, "healed at: 2 s") || strings.Contains(text, "moving") {
		t.Errorf("saved as\n%s", text)
	}
}

// TestViolationIsTold: with its time, once.
func TestViolationIsTold(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen, Text: `scenario: no edge
truck: trucks/produce-4bay-no-edge.yaml
start: {doors: {C1: open}}
duration: 20 s
judge contact force: yes
`})
	s.playFor(1)
	s.ask(t, Request{Do: DoObstruction, Bay: "C1", On: true, Height: number(0.5), Stiffness: number(500e3)})
	s.ask(t, Request{Do: DoPress, Bay: "C1"})
	s.playFor(8)
	var told []Event
	for _, e := range got[Event](t, s, IsEvent) {
		if e.Kind == eventViolated {
			told = append(told, e)
		}
	}
	if len(told) != 1 || told[0].Name != "contact-force" || told[0].Bay != "C1" || told[0].At < 2 || told[0].At > 6 || !strings.Contains(told[0].Text, "C1 pressed with") {
		t.Fatalf("violations: %+v", told)
	}
	for _, m := range got[Requirements](t, s, IsRequirements) {
		for _, j := range m.List {
			if j.State == require.Violated.String() && (j.At == nil || *j.Margin >= 0 || j.Text == "") {
				t.Errorf("%+v", j)
			}
		}
	}
	all := got[Requirements](t, s, IsRequirements)[0].List
	if len(all) != len(require.IDs) {
		t.Errorf("%d requirements at first, expected %d", len(all), len(require.IDs))
	}
}

// TestFaultsComeAndGo: the list is sent after every change; what cannot be is refused.
func TestFaultsComeAndGo(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen})
	s.playFor(0.5)
	on := func() string {
		lists := got[Faults](t, s, IsFaults)
		var words []string
		for _, f := range lists[len(lists)-1].List {
			words = append(words, f.Kind+" "+f.Place)
		}
		return strings.Join(words, ", ")
	}
	s.ask(t, Request{Do: DoPause})
	for _, c := range []struct {
		q    Request
		want string
	}{
		{Request{Do: DoSupply}, "supply-interruption feed"},
		{Request{Do: DoRelease, Bay: "R1", On: true}, "supply-interruption feed, manual-release-open R1"},
		{Request{Do: DoSupply, On: true}, "manual-release-open R1"},
		{Request{Do: DoFault, Kind: "low-battery", Place: "battery", On: true, Values: map[string]float64{"charge": 0.3}}, "manual-release-open R1, low-battery battery"},
		{Request{Do: DoFault, Kind: "low-battery", Place: "battery", On: true, Values: map[string]float64{"charge": 0.2}}, "manual-release-open R1, low-battery battery"},
		{Request{Do: DoFault, Kind: "blocked-lock-bar", Place: "roadside", On: true}, "manual-release-open R1, low-battery battery, blocked-lock-bar roadside"},
		{Request{Do: DoRelease, Bay: "R1"}, "low-battery battery, blocked-lock-bar roadside"},
	} {
		s.ask(t, c.q)
		if now := on(); now != c.want {
			t.Errorf("%+v: %q, expected %q", c.q, now, c.want)
		}
	}
	s.ask(t, Request{Do: DoStep, Ticks: 10})
	if charge := s.rig.bench.Truck.Battery.Charge; math.Abs(charge-0.2) > 0.001 {
		t.Errorf("the battery's charge is %g", charge)
	}
	for _, q := range []Request{
		{Do: DoObstruction, Bay: "C1", On: true}, // the curtain is down
		{Do: DoFault, Kind: "low-batery", Place: "battery", On: true},
		{Do: DoFault, Kind: "low-battery", Place: "feed", On: true},
		{Do: DoFault, Kind: "low-battery", Place: "battery", On: true, Values: map[string]float64{"charge": 2}},
		{Do: DoFault, Kind: "low-battery", Place: "battery", On: true, Values: map[string]float64{"amount": 0.2}},
		{Do: DoFault, Place: "battery", On: true},
		{Do: DoPress}, {Do: DoPress, Bay: "C1", Length: number(0)}, {Do: DoPress, Bay: "C1", Aim: number(100)}, {Do: DoPress, Bay: "C1", Distance: number(-1)},
		{Do: DoLock}, {Do: DoLock, Side: "front"}, {Do: DoBypass, Side: "curbside"}, {Do: DoLetGo, Bay: "C1"}, {Do: "prss", Bay: "C1"},
		{Do: DoAnswer}, {Do: DoNext}, {Do: DoOpen, Lesson: "none"},
	} {
		before := on()
		if err := s.do(&q); err == nil || errorMessage(err).Message == "" {
			t.Errorf("%+v was carried out", q)
		}
		if now := on(); now != before {
			t.Errorf("%+v was refused and left %q, expected %q", q, now, before)
		}
	}
}

// TestPlannedFaultThatCannotCome: what a person does may keep a planned obstruction from
// coming. The run goes on without it, says so, and is saved without it.
func TestPlannedFaultThatCannotCome(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen, Text: `scenario: a crate that comes too late
truck: trucks/produce-4bay.yaml
start: {doors: {C1: open}}
duration: 20 s
faults: [{obstruction: C1, from: 8 s, until: 12 s}]
`})
	s.playFor(1)
	s.ask(t, Request{Do: DoPress, Bay: "C1"})
	s.playFor(14)
	refused := 0
	for _, e := range got[Event](t, s, IsEvent) {
		switch e.Kind {
		case eventRefused:
			refused++
		case eventTrouble, eventFaultOn, eventFaultOff:
			t.Errorf("%+v", e)
		}
	}
	s.ask(t, Request{Do: DoSave})
	if text := lastSaved(t, s).Text; refused != 1 || strings.Contains(text, "obstruction") {
		t.Errorf("refused %d times, and saved as\n%s", refused, text)
	}
}

func TestEveryKindHasAGroup(t *testing.T) {
	n := 0
	for _, k := range fault.Kinds() {
		if groupOf(k.Name) == "Other" {
			t.Errorf("%s is in no group", k.Name)
		}
		for i := range k.Params {
			if p := &k.Params[i]; p.Words == nil && shownUnits[p.Unit].scale == 0 {
				t.Errorf("%s, %s: no unit to show for %q", k.Name, p.Name, p.Unit)
			}
		}
	}
	for i := range groups {
		n += len(groups[i].kinds)
	}
	if n != len(fault.Kinds()) {
		t.Errorf("%d kinds in groups, %d kinds", n, len(fault.Kinds()))
	}
	for _, id := range require.IDs {
		if requirementTexts[id] == "" {
			t.Errorf("%s has no text", id)
		}
	}
}

// TestMostIsBounded: whoever asks for more than a session keeps is refused.
func TestMostIsBounded(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen})
	s.ask(t, Request{Do: DoPause})
	refused := 0
	for range mostDeeds + 10 {
		if err := s.do(&Request{Do: DoPress, Bay: "C1"}); err != nil {
			refused++
		}
	}
	for i := range maxQueue + 10 {
		if err := s.do(&Request{Do: DoFault, Kind: "leaning-cargo", Place: []string{"C1", "C2"}[i%2], On: i%4 < 2, Values: map[string]float64{"force": float64(10 + i)}}); err != nil {
			refused++
		}
	}
	if refused < 10 {
		t.Errorf("%d were refused", refused)
	}
	if n := len(s.rig.watch.events); n > mostEvents {
		t.Errorf("%d events wait", n)
	}
}

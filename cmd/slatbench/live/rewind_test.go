package live

import (
	"math"
	"slices"
	"strings"
	"testing"
)

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

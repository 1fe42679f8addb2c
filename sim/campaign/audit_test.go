package campaign

import (
	"slices"
	"strings"
	"testing"

	"slatbench/model"
	"slatbench/sim"
)

func TestAuditTruck(t *testing.T) {
	whole := model.DefaultTruck()
	cut := AuditTruck(whole)
	if len(cut.Bays) != 2 || cut.Bays[0].Side == cut.Bays[1].Side {
		t.Fatalf("%d bays, want one a side", len(cut.Bays))
	}
	if !cut.Bays[0].Seal.EdgeFitted || cut.Bays[1].Seal.EdgeFitted {
		t.Error("want the first bay with its edge, and the last without")
	}
	for i := range whole.Bays {
		if !whole.Bays[i].Seal.EdgeFitted {
			t.Error("the truck that it was cut from has changed")
		}
	}
}

func TestDifferenceTellsWhatFirst(t *testing.T) {
	was := sim.Outputs{Up: true, Enable: true, Duty: 100, Lamp: true}
	for _, test := range []struct {
		change func(o *sim.Outputs)
		want   string
	}{
		{func(o *sim.Outputs) { o.Up, o.Enable, o.Lamp = false, false, false }, "coils off, not up+enable"},
		{func(o *sim.Outputs) { o.Duty = 45 }, "duty 45, not 100"},
		{func(o *sim.Outputs) { o.Sides[1].Permit = true }, "permits curbside off and roadside on, not off"},
		{func(o *sim.Outputs) { o.Lamp = false }, "lamp off, not on"},
	} {
		now := was
		test.change(&now)
		if got := (&difference{was: was, now: now}).what(); got != test.want {
			t.Errorf("%q, want %q", got, test.want)
		}
	}
}

// A watch keeps what controllers put out, and finds the first tick at which others put
// out something else.
func TestWatchFindsTheFirstDifference(t *testing.T) {
	tape := func(lampFrom int) []sim.Outputs {
		list := make([]sim.Outputs, 10)
		for i := range list {
			list[i].Lamp = i >= lampFrom
		}
		return list
	}
	play := func(w *watch, outs []sim.Outputs) {
		for i := range outs {
			w.saw(0, &outs[i])
		}
	}
	w := &watch{table: turnstile(), ticks: make([]int32, 2), next: make([]int, 2), last: make([]sim.Outputs, 2)}
	var kept record
	w.begin(&kept, nil)
	play(w, tape(4))
	w.begin(nil, &kept)
	play(w, tape(4))
	if w.differ != nil {
		t.Fatalf("the same differs at tick %d", w.differ.tick)
	}
	w.begin(nil, &kept)
	play(w, tape(7))
	if w.differ == nil || w.differ.tick != 4 || w.differ.now.Lamp {
		t.Fatalf("the first difference is %+v, want the lamp off at tick 4", w.differ)
	}
	if got := w.kinds.words(); !slices.Equal(got, []string{"lamp"}) {
		t.Errorf("it differs in %q, want the lamp alone", got)
	}
}

func TestReasons(t *testing.T) {
	r, err := ParseReasons("# remark\n\n= because\n  of this\n0123abcd a mutant\n89abcdef another\n= else\n\n00000000 x\n")
	if err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string]string{"0123abcd": "because of this", "89abcdef": "because of this", "00000000": "else"} {
		if r[id] != want {
			t.Errorf("%s: %q, want %q", id, r[id], want)
		}
	}
	for _, bad := range []string{"0123abcd no reason above\n", "= a\n\n0123abcd x\n0123abcd x\n", "= a\n\nshort x\n"} {
		if _, err := ParseReasons(bad); err == nil || !strings.HasPrefix(err.Error(), "line ") {
			t.Errorf("%q: error %v, want one with its line", bad, err)
		}
	}
}

// TestDifferencesInWords: what first differs is told in words, whatever the output is.
func TestDifferencesInWords(t *testing.T) {
	for want, d := range map[string]difference{
		"coils down+enable, not off":                      {now: sim.Outputs{Down: true, Enable: true}},
		"duty 85, not 100":                                {was: sim.Outputs{Duty: 100}, now: sim.Outputs{Duty: 85}},
		"says down yes, not no":                           {was: sim.Outputs{Lines: sim.DownLines{NotDown: true}}, now: sim.Outputs{Lines: sim.DownLines{Down: true}}},
		"says down nothing, not yes":                      {was: sim.Outputs{Lines: sim.DownLines{Down: true}}},
		"tone on, not off":                                {now: sim.Outputs{Tone: true}},
		"record 40 at 17, not nothing (0 at 16)":          {was: sim.Outputs{WriteAt: 16}, now: sim.Outputs{Write: true, WriteAt: 17, Byte: 40}},
		"bars curbside lock and roadside off, not off":    {now: sim.Outputs{Sides: [2]sim.SideOutputs{{Drive: 1}, {}}}},
		"permits off, not curbside on and roadside off":   {was: sim.Outputs{Sides: [2]sim.SideOutputs{{Permit: true}, {}}}},
		"side lamps curbside off and roadside on, not on": {was: sim.Outputs{Sides: [2]sim.SideOutputs{{Lamp: true}, {Lamp: true}}}, now: sim.Outputs{Sides: [2]sim.SideOutputs{{}, {Lamp: true}}}},
	} {
		if got := d.what(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

package live

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"slatbench/sim/fault"
	"slatbench/sim/require"
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

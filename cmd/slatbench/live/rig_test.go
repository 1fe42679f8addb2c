package live

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/trace"
)

// about is what traces that are compared say of themselves.
var about = trace.About{Scenario: "compared", Version: "test"}

// watched is a rig whose trace is kept.
func watched(t *testing.T, src *source) (*rig, *bytes.Buffer, *trace.Recorder) {
	t.Helper()
	var text bytes.Buffer
	recorder := trace.New(&text, trace.CSV, about)
	r, err := newRig(src, nil, recorder)
	if err != nil {
		t.Fatal(err)
	}
	return r, &text, recorder
}

// replayed runs a saved text as `slatbench run` does, and gives its trace.
func replayed(t *testing.T, text string, under sim.Logic) []byte {
	t.Helper()
	out, _ := judgedReplay(t, text, under)
	return out
}

func judgedReplay(t *testing.T, text string, under sim.Logic) ([]byte, *scenarios.Result) {
	t.Helper()
	var out bytes.Buffer
	recorder := trace.New(&out, trace.CSV, about)
	name := filepath.Join(t.TempDir(), "saved.yaml")
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	sc, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).LoadScenario(name)
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	result, err := scenarios.Run(sc, under, scenarios.RunOptions{Watch: []sim.Observer{recorder}})
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	if err := recorder.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes(), result
}

// saved writes what was done to a rig.
func saved(t *testing.T, r *rig) string {
	t.Helper()
	story := r.story()
	story.Name = "saved"
	text, err := r.src.write(&story)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// sameVerdicts: a run was judged, as it was operated, as its file is. Only service may
// differ: a page cannot know that there will be a fault, which a file says from the start.
func sameVerdicts(t *testing.T, live, file []scenarios.Judged) {
	t.Helper()
	for i, j := range live {
		k := file[i]
		if j.ID == "service" {
			continue
		}
		if j.Verdict != k.Verdict || j.Clause != k.Clause || j.Bay != k.Bay || j.Side != k.Side || !alike(j.Margin, k.Margin) || !alike(j.At, k.At) {
			t.Errorf("judged live as %+v, and from the file as %+v", j, k)
		}
	}
}

func alike(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

func firstDifference(a, b []byte) string {
	la, lb := bytes.Split(a, []byte("\n")), bytes.Split(b, []byte("\n"))
	for i := range min(len(la), len(lb)) {
		if !bytes.Equal(la[i], lb[i]) {
			return fmt.Sprintf("line %d:\n%s\n%s", i+1, la[i], lb[i])
		}
	}
	return fmt.Sprintf("%d lines and %d", len(la), len(lb))
}

func shelfOf(t *testing.T, w Wanted) *shelf {
	t.Helper()
	s, err := newShelf(w)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.close() })
	return s
}

func opened(t *testing.T, q Request) *source {
	t.Helper()
	s := session{shelf: shelfOf(t, Wanted{})}
	src, err := s.source(&q)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = src.close() })
	return src
}

// drawRequest is something that a hasty person might ask for, sensible or not.
func drawRequest(rng *rand.Rand) Request {
	bays := []string{"C1", "C2", "R1", "R2"}
	sides := []string{"curbside", "roadside", "both"}
	bay, some := bays[rng.IntN(4)], func(x float64) *float64 { return &x }
	on := rng.IntN(2) == 0
	switch rng.IntN(12) {
	case 0, 1, 2:
		return Request{Do: DoPress, Bay: bay, Aim: some(float64(rng.IntN(20))), Distance: some(0.5 + 5*rng.Float64())}
	case 3:
		return Request{Do: DoPress, Bay: bay, Hold: true}
	case 4:
		return Request{Do: DoLetGo, What: []string{"press", "lock", "unlock"}[rng.IntN(3)], Bay: bay, Side: sides[rng.IntN(2)]}
	case 5:
		return Request{Do: DoTeach, Bay: bay, On: on}
	case 6:
		return Request{Do: []string{DoLock, DoUnlock}[rng.IntN(2)], Side: sides[rng.IntN(3)], Hold: on}
	case 7:
		return Request{Do: DoBypass, Side: sides[rng.IntN(2)], To: []string{"locked", "unlocked"}[rng.IntN(2)]}
	case 8:
		return Request{Do: DoRelease, Bay: bay, On: on}
	case 9:
		return Request{Do: DoSupply, On: rng.IntN(4) > 0}
	case 10:
		return Request{Do: DoObstruction, Bay: bay, On: on, Height: some(rng.Float64()), Stiffness: some(500 + 1e5*rng.Float64())}
	}
	k := fault.Kinds()[rng.IntN(len(fault.Kinds()))]
	q := Request{Do: DoFault, Kind: k.Name, On: rng.IntN(3) > 0, Values: map[string]float64{}}
	switch k.Place {
	case fault.OnBay:
		q.Place = bay
	case fault.OnSide:
		q.Place = sides[rng.IntN(2)]
	default:
		q.Place = k.Part
	}
	if i, ok := k.Severity(); ok {
		p := &k.Params[i]
		q.Values[p.Name] = p.Mild + (p.Severe-p.Mild)*rng.Float64()
	}
	return q
}

// TestReplaysTheSameTrace: whatever is done to a truck, at whichever ticks, the file that
// is saved of it replays to the same trace, byte by byte.
func TestReplaysTheSameTrace(t *testing.T) {
	for seed := range uint64(12) {
		names := []string{"", "demo/morning-stop.yaml", "demo/two-doors.yaml", "faults/extra-pulses.yaml"}
		src := opened(t, Request{Name: names[seed%4]})
		r, live, recorder := watched(t, src)
		rng := rand.New(rand.NewPCG(seed, 7))
		for range 2500 {
			if rng.IntN(60) == 0 {
				q := drawRequest(rng)
				_ = r.act(&q)
			}
			if err := r.advance(); err != nil {
				t.Fatal(err)
			}
			if r.bench.Err() != nil {
				t.Fatal(r.bench.Err())
			}
		}
		if err := recorder.Close(); err != nil {
			t.Fatal(err)
		}
		text := saved(t, r)
		got, result := judgedReplay(t, text, src.under.Logic)
		if !bytes.Equal(got, live.Bytes()) {
			t.Errorf("seed %d: the saved run is another one: %s\n%s", seed, firstDifference(live.Bytes(), got), text)
		}
		sameVerdicts(t, scenarios.JudgedOn(r.bench, r.set.Results()), result.Requirements)
		r.close()
	}
}

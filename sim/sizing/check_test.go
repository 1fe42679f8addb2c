package sizing

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatbench/model"
)

// Nonsense is refused with its field and its rule, and gets no figure.
func TestNonsenseIsRefused(t *testing.T) {
	rows := []struct {
		what  string
		spoil func(q *Question)
		field string
		rule  string
	}{
		{"coil index of 3", func(q *Question) { q.Springs[0].Wire.MeanDia = 3 * q.Springs[0].Wire.Wire }, "springs, list 1, inside", "coil index 3.00"},
		{"coil index of 17", func(q *Question) { q.Springs[0].Wire.MeanDia = 17 * q.Springs[0].Wire.Wire }, "springs, list 1, inside", "expected 4 to 16"},
		{"spring longer than the shaft", func(q *Question) { q.Shaft.Length = 0.6 }, "springs, shaft, length", "the free coils are 679 mm long"},
		{"spring that grows too long", func(q *Question) { q.Shaft.Length = 0.7 }, "springs, shaft, length", "bind at full wind"},
		{"two springs on a short shaft", func(q *Question) { q.Springs = append(q.Springs, q.Springs[0]) }, "springs, shaft, length", "the free coils"},
		{"coil that does not go on", func(q *Question) { q.Shaft.Diameter = 0.052 }, "springs, list 1, inside", "does not go over the shaft"},
		{"coil that binds when wound", func(q *Question) { q.Shaft.Diameter = 0.049 }, "springs, list 1, inside", "binds on the shaft"},
		{"body shorter than its coils", func(q *Question) { q.Springs[0].Body = 0.5 }, "springs, list 1, length", "shorter than"},
		{"no working coils", func(q *Question) { q.Springs[0].Wire.Coils, q.Springs[0].Wire.DeadCoils = 7, 5 }, "springs, list 1, coils", "working coils"},
		{"thick music wire", func(q *Question) { q.Springs[0].Wire.Wire, q.Springs[0].Steel = 0.008, model.MusicWire }, "springs, list 1, wire", "music wire"},
		{"wire of 20 mm", func(q *Question) { q.Springs[0].Wire.Wire = 0.020 }, "springs, list 1, wire", "expected 0.5 to 13 mm"},
		{"no such steel", func(q *Question) { q.Springs[0].Steel = 9 }, "springs, list 1, steel", "expected music wire"},
		{"bend above the opening", func(q *Question) { q.Bay.Track.Vertical = 1.9 }, "door, vertical", "above the opening"},
		{"bend larger than the opening", func(q *Question) { q.Bay.Track.Bend = 1.95 }, "door, bend", "larger than the opening"},
		{"negative mass", func(q *Question) { q.Bay.Curtain.Mass = -32 }, "door, mass", "expected 1 to 500 kg"},
		{"mass that is no number", func(q *Question) { q.Bay.Curtain.Mass = math.NaN() }, "door, mass", "expected"},
		{"efficiency of 120 %", func(q *Question) { q.Bay.Drive.Efficiency = 1.2 }, "drive, efficiency", "expected 20 to 100 %"},
		{"charge of 120 %", func(q *Question) { q.Charge = 1.2 }, "battery, charge", "expected 0 to 100 %"},
		{"battery without cranking", func(q *Question) { q.Battery.ColdCrankA = 0 }, "battery", "cold cranking"},
		{"gauge of 50", func(q *Question) { q.Feed.Gauge = 50 }, "harness, wire", "expected -3 (4/0) to 40"},
		{"colder than the tables", func(q *Question) { q.Ambient.Temperature = -80 }, "place, temperature", "expected -40 to 60 °C"},
		{"half of the breakaway", func(q *Question) { q.Bay.Friction.Breakaway = 10 }, "friction, breakaway", "running friction"},
		{"100 turns", func(q *Question) { q.Bay.Counterbalance.InitialTurns = 100 }, "springs, initial turns", "expected 0 to 40 turns"},
		{"no rate", func(q *Question) { q.Springs, q.Bay.Counterbalance.Rate = nil, 0 }, "springs, rate", "expected"},
	}
	for _, row := range rows {
		q := sideDoor(t)
		row.spoil(q)
		list := Check(q)
		found := false
		for _, p := range list {
			text := p.Error()
			found = found || strings.HasPrefix(text, row.field+": ") && strings.Contains(text, row.rule)
		}
		if !found {
			t.Errorf("%s: got %v, want %s and %q", row.what, list, row.field, row.rule)
		}
		if r, err := Ask(q); err == nil || r != nil {
			t.Errorf("%s: got an answer", row.what)
		}
	}
}

// Every input leads back to what it was set to, and its bounds are those of Check.
func TestInputs(t *testing.T) {
	for i := range Inputs {
		in := &Inputs[i]
		q := sideDoor(t)
		was := in.Get(q)
		if math.IsNaN(was) {
			t.Errorf("%s: the shipped door has none", in.Name)
			continue
		}
		to := was * 1.03
		if to == 0 {
			to = 0.01
		}
		if in.Whole {
			to = was + 2
		}
		in.Set(q, to)
		near(t, in.Name, in.Get(q), to, 1e-12*math.Abs(to))
		if list := Check(q); len(list) > 0 && in.Name != "height" && in.Name != "gear efficiency" {
			t.Errorf("%s at %v: %v", in.Name, to, list[0])
		}
		for _, x := range []float64{in.Low - 1, in.High + 1} {
			q := sideDoor(t)
			in.Set(q, x)
			if len(Check(q)) == 0 && !in.Whole && in.High < 1000 {
				t.Errorf("%s of %v is taken, and its range is %v to %v", in.Name, x, in.Low, in.High)
			}
		}
		if FindInput(in.Name) != in {
			t.Errorf("%s is not found", in.Name)
		}
	}
}

// A limit that is passed, one that fails, and what lies between.
func TestVerdicts(t *testing.T) {
	less := Limit{Pass: 8, Fail: 12}
	for x, want := range map[float64]Verdict{7.9: Pass, 8: Pass, 8.1: Marginal, 12: Marginal, 12.1: Fail} {
		if got := verdictOf(less.score(x)); got != want {
			t.Errorf("%v s against 8 and 12: %v, want %v", x, got, want)
		}
	}
	more := Limit{Pass: 11, Fail: 9}
	for x, want := range map[float64]Verdict{11.1: Pass, 11: Pass, 10: Marginal, 9: Marginal, 8.9: Fail} {
		if got := verdictOf(more.score(x)); got != want {
			t.Errorf("%v V against 11 and 9: %v, want %v", x, got, want)
		}
	}
	for a := range Aspects {
		i := a.Info()
		if i.ID == "" || i.Source == "" || (i.Default.Pass > i.Default.Fail) != i.More {
			t.Errorf("aspect %d: %+v", a, *i)
		}
	}
	l := DefaultLimits()
	l.OfUse(DefaultUse())
	if l != DefaultLimits() {
		t.Error("the default limits are not those of the default use")
	}
}

// Whatever Check lets through has answers that are figures, on any corner of what
// inputs can be, and nothing panics.
func TestWhatIsLetThroughHasAnswers(t *testing.T) {
	answered := 0
	rapid.Check(t, func(t *rapid.T) {
		p := model.DefaultTruck()
		q := FromTruck(&p, 0)
		w, err := RateBook.Wind(0.00571, 0.0565, 142, model.OilTempered, math.NaN(), math.NaN())
		if err != nil {
			t.Fatal(err)
		}
		if rapid.Bool().Draw(t, "by its wire") {
			q.Springs = []Spring{{Name: "a", Wire: w}, {Name: "b", Wire: w, Steel: model.HardDrawn}}
			q.Shaft = Shaft{Diameter: 0.025, Length: 2}
		}
		for range rapid.IntRange(0, 6).Draw(t, "changes") {
			in := &Inputs[rapid.IntRange(0, len(Inputs)-1).Draw(t, "input")]
			if !math.IsNaN(in.Get(q)) {
				in.Set(q, rapid.Float64Range(in.Low, in.High).Draw(t, in.Name))
			}
		}
		if len(Check(q)) > 0 {
			return
		}
		answered++
		r := answer(q, rapid.IntRange(0, 9).Draw(t, "simulated") == 0)
		for i := range r.Answers {
			a := &r.Answers[i]
			if a.Verdict != NotJudged && (math.IsNaN(a.Value) || math.IsNaN(a.Score)) || a.Reason == "" {
				t.Fatalf("%s: %+v", a.Aspect.Info().ID, *a)
			}
			if strings.Contains(a.Reason, "NaN") || strings.Contains(a.Reason, "Inf") {
				t.Fatalf("%s: %s", a.Aspect.Info().ID, a.Reason)
			}
		}
		if !math.IsNaN(r.Recommended) && !(r.Recommended >= r.Window.Low && r.Recommended <= r.Window.High) {
			t.Fatalf("%v turns recommended, out of %+v", r.Recommended, r.Window)
		}
	})
	if answered < 20 {
		t.Errorf("only %d answered", answered)
	}
}

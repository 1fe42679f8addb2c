package scenarios

import (
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/logic"
	"slatbench/sim/require"
)

// player makes a player of a plan whose controllers run a table.
func player(p *campaign.Plan, table *logic.Table) *campaign.Player {
	return campaign.NewPlayer(p, func() (doors []sim.Controller, locks sim.Controller) {
		for range p.Truck.Bays {
			doors = append(doors, logic.NewDoor(table, 0.01))
		}
		return doors, logic.NewLocks(table, 0.01)
	})
}

// lastHash is an observer that keeps the hash of the state after the last step.
type lastHash struct{ hash uint64 }

func (h *lastHash) Tick(*sim.Bench) {}
func (h *lastHash) Step(b *sim.Bench) {
	if b.Now >= b.Duration() {
		h.hash = campaign.HashState(b)
	}
}

func baseline(t testing.TB) *logic.Table {
	t.Helper()
	table, err := (&Loader{Shipped: Shipped()}).LoadLogic(BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// Every drawn case, written as a file and run as anybody would run it, comes to the
// same verdicts, margins, times and final state as when the campaign played it.
func TestWrittenCaseIsTheSameRun(t *testing.T) {
	table := baseline(t)
	l := &Loader{Shipped: Shipped()}
	truck, err := l.LoadTruck(DefaultTruck)
	if err != nil {
		t.Fatal(err)
	}
	taught, recovered := 0, 0
	for faults := range 3 {
		p := &campaign.Plan{Truck: truck.Params(), Faults: faults, Seed: 20 + uint64(faults)}
		pl := player(p, table)
		for i := range uint64(70) {
			c := p.Draw(i)
			if faults == 0 && i%2 == 0 { // cut short, as shrinking does
				c.End = c.HealAt / 2
				c.Faults = slices.DeleteFunc(c.Faults, func(f campaign.FaultDraw) bool { return f.From >= c.End })
			}
			want := pl.Play(c)
			if want.Err != nil {
				t.Fatal(want.Err)
			}
			s := StoryOf(p, pl.Played())
			s.Name, s.Truck, s.Logic = "A case", DefaultTruck, BaselineLogic
			text, err := l.Write("case.yaml", &s)
			if err != nil {
				t.Fatalf("case %d of %d faults: %v\n%s", i, faults, err, text)
			}
			for _, a := range s.Setup.Actions {
				if a.Kind == sim.TeachHold {
					taught++
				}
			}
			recovered += int(min(s.HealedAt, 1))
			if !sameRun(t, text, table, &want) {
				t.Fatalf("case %d of %d faults:\n%s", i, faults, text)
			}
		}
	}
	if taught < 20 || recovered < 150 {
		t.Errorf("only %d teachings and %d recoveries among the cases", taught, recovered)
	}
}

// sameRun runs a text and compares what came of it with an outcome.
func sameRun(t *testing.T, text string, table *logic.Table, want *campaign.Outcome) bool {
	t.Helper()
	var sc Scenario
	if err := (&Loader{Shipped: Shipped()}).LoadBytes("case.yaml", []byte(text), &sc); err != nil {
		t.Error(err)
		return false
	}
	var hash lastHash
	got, err := Run(&sc, table, RunOptions{Watch: []sim.Observer{&hash}})
	if err != nil {
		t.Error(err)
		return false
	}
	same := hash.hash == want.Hash
	if !same {
		t.Errorf("the final state differs: %x, want %x", hash.hash, want.Hash)
	}
	for i := range want.Results {
		g, w := &got.Requirements[i], &want.Results[i]
		at := math.NaN()
		if !math.IsNaN(w.Margin) {
			at = float64(w.At) * model.DefaultStep
		}
		if g.ID != w.ID || g.Verdict != w.Verdict || g.Clause != w.Clause || !equal(g.Margin, w.Margin) || !equal(g.At, at) || (g.Exempt != w.Exemption) {
			t.Errorf("%s: %+v, want %+v", w.ID, g, w)
			same = false
		}
	}
	return same
}

// equal takes NaN for equal to NaN.
func equal(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

// badLogic is the shipped logic with something wrong.
func badLogic(t *testing.T, change func(table *logic.Table)) *logic.Table {
	t.Helper()
	table := baseline(t)
	change(table)
	if p := table.Check(); len(p) > 0 {
		t.Fatal(p)
	}
	return table
}

// A finding becomes a file that tells in a few lines what goes wrong, and does it.
func TestCounterexample(t *testing.T) {
	table := badLogic(t, func(table *logic.Table) {
		for i := range table.Door.Transitions {
			if x := &table.Door.Transitions[i]; x.To == "pausing" && (x.On == "edge pressed" || x.On == "stall" || x.On == "held up" || x.On == "slowed") {
				x.To, x.Alarm = "stay", ""
			}
		}
	})
	truck, err := (&Loader{Shipped: Shipped()}).LoadTruck(DefaultTruck)
	if err != nil {
		t.Fatal(err)
	}
	p := &campaign.Plan{Truck: truck.Params(), Faults: 1, Seed: 5}
	pl := player(p, table)
	k := slices.Index(require.IDs[:], "close-cut")
	for i := range uint64(400) {
		c := p.Draw(i)
		if o := pl.Play(c); o.Results[k].Verdict != require.Violated {
			continue
		}
		x, err := (&Loader{Shipped: Shipped()}).Counterexample("close-cut.yaml", &Finding{
			Plan: p, Player: pl, Under: table, Case: c, Requirement: "close-cut",
			Truck: DefaultTruck, Logic: BaselineLogic, Source: "slatbench campaign --seed 5 --one 9",
		})
		if err != nil {
			t.Fatal(err)
		}
		told := regexp.MustCompile(`^# close-cut: C1 was driven down onto the obstruction for [0-9.]+ s instead of 0\.5 s at most, (until [0-9.]+ s|to the end of the run); it pressed with up to [0-9]+ N\.`).
			MatchString(strings.ReplaceAll(x.Text, "\n# ", " "))
		if !told || strings.Count(x.Text, "press: C1") > 2 || strings.Count(x.Text, "\n") > 16 || !strings.Contains(x.Text, "obstruction: C1") {
			t.Errorf("it is told as\n%s", x.Text)
		}
		r := runWith(t, x.Text, table)
		j := r.Requirements[k]
		if j.Verdict != require.Violated || j.Clause != x.Broken.Clause || j.Margin != x.Broken.Margin || j.At != x.Broken.At {
			t.Errorf("run, it comes to %+v, want %+v", j, x.Broken)
		}
		return
	}
	t.Fatal("nothing is violated")
}

func runWith(t *testing.T, text string, table *logic.Table) *Result {
	t.Helper()
	sc, err := (&Loader{Shipped: Shipped()}).LoadScenarioFrom(strings.NewReader(text), "text.yaml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := Run(sc, table, RunOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Of a recovery that fails the file has the presses that show it, and none of other doors.
func TestCounterexampleOfARecovery(t *testing.T) {
	table := badLogic(t, func(table *logic.Table) { // in doubt between the ends, it never moves again
		for i := range table.Door.Transitions {
			if x := &table.Door.Transitions[i]; x.On == "press" && slices.Contains(x.If, "not count known") {
				x.From = []string{"down"}
			}
		}
	})
	truck, err := (&Loader{Shipped: Shipped()}).LoadTruck(DefaultTruck)
	if err != nil {
		t.Fatal(err)
	}
	p := &campaign.Plan{Truck: truck.Params(), Faults: 1, Seed: 5}
	pl := player(p, table)
	k := slices.Index(require.IDs[:], "recovery")
	for i := range uint64(400) {
		c := p.Draw(i)
		if o := pl.Play(c); o.Results[k].Verdict != require.Violated || o.Results[k].Bay < 0 {
			continue
		}
		x, err := (&Loader{Shipped: Shipped()}).Counterexample("recovery.yaml", &Finding{
			Plan: p, Player: pl, Under: table, Case: c, Requirement: "recovery", Truck: DefaultTruck, Logic: BaselineLogic,
		})
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(x.Text, "lock: ") || !strings.Contains(x.Text, "healed at: ") || !strings.Contains(x.Text, "was healed, and two presses did not bring it to rest at its end") {
			t.Errorf("it is told as\n%s", x.Text)
		}
		if j := runWith(t, x.Text, table).Requirements[k]; j.Verdict != require.Violated || j.At != x.Broken.At {
			t.Errorf("run, it comes to %+v, want %+v", j, x.Broken)
		}
		return
	}
	t.Fatal("nothing is violated")
}

// Every clause that can be violated is told in a sentence of its own, with its figures.
func TestExplain(t *testing.T) {
	page, err := os.ReadFile("../docs/requirements.md")
	if err != nil {
		t.Fatal(err)
	}
	told := 0
	for _, id := range require.IDs {
		_, section, _ := strings.Cut(string(page), "\n### "+id+"\n")
		section, _, _ = strings.Cut(section, "\n##")
		for _, row := range regexp.MustCompile("(?m)^\\| `([a-z-]+)` \\|").FindAllStringSubmatch(section, -1) {
			if told++; tellings[id+" "+row[1]] == nil {
				t.Errorf("nothing is told of %s, clause %s", id, row[1])
			}
		}
	}
	if told < 25 || told > len(tellings) {
		t.Errorf("the page has %d clauses, and %d are told of", told, len(tellings))
	}
	for _, c := range []struct {
		j    Judged
		r    *Result
		want string
	}{
		{Judged{ID: "close-cut", Clause: "cut", Margin: -0.4, Share: -0.8, At: 13.8, Bay: "C1"},
			&Result{Bays: []BayResult{{Name: "C1", BayFigures: sim.BayFigures{PeakContact: 45.2}}}, Duration: 20},
			"C1 was driven down onto the obstruction for 0.9 s instead of 0.5 s at most, until 14.2 s; it pressed with up to 45 N"},
		{Judged{ID: "travel-timeout", Clause: "run", Margin: -3, Share: -0.2, At: 17, Bay: "C1"}, &Result{Duration: 20},
			"C1 ran in one direction for 18 s instead of 15 s at most, to the end of the run"},
		{Judged{ID: "close-cut", Clause: "cut", Margin: -0.4, Share: -0.8, At: 13.8, Bay: "C1"}, nil,
			"C1 was driven down onto the obstruction for 0.9 s instead of 0.5 s at most, until 14.2 s"},
		{Judged{ID: "dead-time", Clause: "gap", Margin: -0.075, Share: -0.75, At: 7.003, Bay: "R2"}, nil,
			"R2 was without voltage for 25 ms between two directions instead of 100 ms at least, at 7.003 s"},
		{Judged{ID: "lock-interlock", Clause: "bar", Margin: -0.285, Share: -19, At: 5, Side: "roadside"}, nil,
			"the roadside bar was driven to lock with a curtain 300 mm above the sill, where 15 mm is the most, at 5 s"},
		{Judged{ID: "alarm", Clause: "false", Margin: -10, Share: -3.3, At: 104.03}, nil,
			"the lock controller sounded an alarm at 104.03 s that nothing true had called for"},
		{Judged{ID: "close-cut", Clause: "cut", Margin: 0.1, Unit: "s", Share: 0.2, At: 3}, nil,
			"close-cut, clause cut: the margin is 0.1 s at 3 s"},
	} {
		if got := Explain(&c.j, c.r); got != c.want {
			t.Errorf("told is %q\nwant    %q", got, c.want)
		}
	}
}

func TestWrapText(t *testing.T) {
	got := wrapText("it went on for 0.9 s, until 14.2 s; and that is all", 17)
	if d := cmp.Diff([]string{"it went on for", "0.9 s, until", "14.2 s; and that", "is all"}, got); d != "" {
		t.Error(d)
	}
}

func TestCounterexampleName(t *testing.T) {
	if got := CounterexampleName("close-cut", nil); got != "close-cut.yaml" {
		t.Error(got)
	}
	a, b := CounterexampleName("alarm", []string{"slipping-reel", "deaf-edge"}), CounterexampleName("alarm", []string{"deaf-edge", "slipping-reel"})
	if a != b || a != "alarm--deaf-edge--slipping-reel.yaml" {
		t.Errorf("%s and %s", a, b)
	}
}

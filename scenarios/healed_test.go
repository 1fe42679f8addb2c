package scenarios

import (
	"slices"
	"strings"
	"testing"

	"slatbench/sim"
	"slatbench/sim/require"
)

const mendedLead = `duration: 50 s
steps: [{at: 1 s, press: C1}, {at: 14 s, press: C1}, {at: 30 s, press: C1}]
faults: [{open-motor-lead: C1, until: 10 s}]
`

func recoveryOf(r *Result) Judged {
	i := slices.IndexFunc(r.Requirements, func(j Judged) bool { return j.ID == "recovery" })
	return r.Requirements[i]
}

func TestRecoveryIsJudgedFromHealedAt(t *testing.T) {
	if j := recoveryOf(mustRun(t, aRun+mendedLead)); j.Verdict != require.NotExercised {
		t.Errorf("without the key recovery is %v", j.Verdict)
	}
	if j := recoveryOf(mustRun(t, aRun+mendedLead+"healed at: 12 s\n")); j.Verdict != require.Holds || j.Bay != "C1" || j.Margin != 1 {
		t.Errorf("with the key it is %+v, want it to hold with one press of two left", j)
	}
	// Pressed too often before it has arrived, it has not come back within two presses.
	hasty := strings.Replace(mendedLead, "{at: 30 s", "{at: 14.5 s, press: C1}, {at: 15 s, press: C1}, {at: 15.5 s, press: C1}, {at: 16 s, press: C1}, {at: 30 s", 1)
	if j := recoveryOf(mustRun(t, aRun+hasty+"healed at: 12 s\n")); j.Verdict != require.Violated {
		t.Errorf("pressed five times in 2 s it is %v", j.Verdict)
	}
}

func TestHealedIsRefusedWhileSomethingIsWrong(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{mendedLead + "healed at: 9 s\n", "all is healed at 9 s, and this goes on"},
		{strings.Replace(mendedLead, ", until: 10 s", "", 1) + "healed at: 12 s\n", "and this goes on"},
		{mendedLead + "healed at: 51 s\n", "recovery is judged from after the end of the run"},
		{mendedLead + "healed at: 0 s\n", "out of range"},
	} {
		_, err := (&Loader{Shipped: Shipped()}).LoadScenarioFrom(strings.NewReader(aRun+c.text), "text.yaml")
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.text, err, c.want)
		}
	}
}

// The teach button alone starts nothing; with a press that another step makes, it teaches.
func TestHoldTeach(t *testing.T) {
	starts := func(steps string) int {
		r := mustRun(t, aRun+"duration: 8 s\nstart: {doors: {C1: open}}\nsteps: ["+steps+"]\n")
		return r.Bays[0].Starts
	}
	if n := starts("{at: 1 s, hold teach: C1}"); n != 0 {
		t.Errorf("the teach button alone starts the door %d times", n)
	}
	sc, err := (&Loader{Shipped: Shipped()}).LoadScenarioFrom(strings.NewReader(aRun+`duration: 8 s
steps: [{at: 1 s, hold teach: C2, length: 1.5 s}]
`), "text.yaml")
	if err != nil {
		t.Fatal(err)
	}
	want := sim.Action{At: 1000, Kind: sim.TeachHold, Bay: 1, Span: 1500}
	if a := sc.Steps[0].actions(sc); len(a) != 1 || a[0] != want {
		t.Errorf("it is played as %+v, want %+v", a, want)
	}
}

// A temperature goes through K on its way into the model, and is none the worse for it.
func TestTemperatureComesThroughExactly(t *testing.T) {
	for tenths := -400; tenths <= 600; tenths++ {
		want := float64(tenths) / 10
		k, err := ParseQuantity(FormatQuantity(want+kelvin, "temperature"), "temperature")
		if got := celsius(k); err != nil || got != want {
			t.Fatalf("%g °C comes through as %.17g, %v", want, got, err)
		}
	}
}

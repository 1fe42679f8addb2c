package require_test

import (
	"testing"

	"slatbench/sim"
	"slatbench/sim/require"
)

// TestFaultThatComesUnannounced: from a fault on that nobody knew of, service is no longer
// judged, also where a test was open; what it was before stays.
func TestFaultThatComesUnannounced(t *testing.T) {
	says := func(_ float64, _ *sim.Inputs, out *sim.Outputs) { out.Lines = sim.DownLines{Down: true} }
	for name, s := range map[string]story{ // in both, what is asked for is never done
		"door": {height: -1, seconds: 20, actions: []sim.Action{press(1.5)}, options: require.Options{Rated: true}},
		"lock": {height: -1, seconds: 20, actions: []sim.Action{ask(1, sim.LockAsk)}, options: require.Options{Rated: true}, door: says, others: says},
	} {
		for _, c := range []struct {
			comes int64
			want  require.Verdict
		}{{20_000, violated}, {3000, untested}, {14_000, violated}} {
			r := s.rig(t)
			for r.Now < 20_000 {
				if r.Now == c.comes {
					r.set.Comes(require.Active{Kind: "leaning-cargo", From: r.Now})
				}
				r.Advance()
			}
			if got := (verdicts{t, r.set.Results()}).of("service"); got.Verdict != c.want {
				t.Errorf("%s, a fault comes at step %d: %v, want %v", name, c.comes, got.Verdict, c.want)
			}
		}
	}
}

// TestExemptionOfAFaultThatComesUnannounced: it covers what happens while the fault is on,
// and for as long after it has gone as after any fault.
func TestExemptionOfAFaultThatComesUnannounced(t *testing.T) {
	// Driven down onto a crate at 3 s, cut, and never driven up.
	for _, c := range []struct {
		comes, goes int64
		want        require.Verdict
	}{
		{2000, 0, exempt}, {2000, 4000, exempt}, {14_001, 0, violated}, {13_000, 0, violated},
	} {
		r := closing(t, onto(0.2, -1, 6), crate(t, 1.0)).rig(t)
		for r.Now < 14_000 {
			if r.Now == c.comes {
				r.set.Comes(require.Active{Kind: "welded-down-contact", From: r.Now})
			}
			if r.Now == c.goes {
				r.set.Goes("welded-down-contact", r.Now)
			}
			r.Advance()
		}
		if got := (verdicts{t, r.set.Results()}).of("obstruction-reversal").Verdict; got != c.want {
			t.Errorf("comes at step %d, goes at %d: %v, want %v", c.comes, c.goes, got, c.want)
		}
	}
}

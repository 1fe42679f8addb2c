package campaign

import "testing"

func TestSafetyRule(t *testing.T) {
	list := Mutants(turnstile(), 0.01)
	safe := map[string]bool{}
	for i := range list {
		safe[list[i].Text] = list[i].Safety != ""
	}
	for _, test := range []struct {
		text string
		want bool
	}{
		{"door: down on press [permitted] -> up: deleted", true},
		{"door: open on press [not permitted] -> stay: deleted", false}, // open to open: nothing drives
		{"door: open on press [not permitted] -> stay: to up instead", true},
		{"door: up on at top [count known] -> open: alarm slow-travel dropped", false},
		{"door: state up: lamp off, not on", false},
		{"door: state up: duty slow, not full", true},
		{"door: state open: says down, not nothing", true},
		{"lock: state free: permit no, not yes", true},
		{"lock: state free: lamp on, not off", false},
		{"lock: bolted on unlock asked -> free: also from free", false},
		{"lock: state bolted: drive lock, not off", true},
		{"tuning: travel limit x 1.25", false},
	} {
		got, there := safe[test.text]
		if !there {
			t.Errorf("no mutant reads %q", test.text)
		} else if got != test.want {
			t.Errorf("%s: safety-relevant %v, want %v", test.text, got, test.want)
		}
	}
}

func TestSafetyOfScales(t *testing.T) {
	for _, test := range []struct {
		param string
		value float64
		want  bool
	}{
		{"supply floor", 10.9, false}, {"supply floor", 8.8, true}, {"supply floor", 13.75, false},
		{"stall closing", 0.15, false}, {"stall closing", 1.2, true},
		{"pause", 0.15, false}, {"pause", 0.09, true}, {"pause", 3, true},
		{"travel limit", 28, true}, {"travel limit", 7, false},
		{"slow travel", 80, false},
	} {
		if got := safetyOfScale(test.param, test.value) != ""; got != test.want {
			t.Errorf("%s at %g: safety-relevant %v, want %v", test.param, test.value, got, test.want)
		}
	}
}

// The loader reads the same ranges: a value past one is one that it refuses.
func TestScaledOutOfRange(t *testing.T) {
	for text, want := range map[string]string{
		"tuning: slow duty x 2":  "",
		"tuning: slow duty x 10": "tuning.slow duty: 4.5 is out of the range [5 %,100 %]",
	} {
		base := turnstile()
		base.Tuning.SlowDuty = 0.45
		found := false
		for _, u := range Mutants(base, 0.01) {
			if u.Text == text {
				found = true
				if u.Refused != want {
					t.Errorf("%s: %q, want %q", text, u.Refused, want)
				}
			}
		}
		if !found {
			t.Errorf("no mutant reads %q", text)
		}
	}
	if _, _, err := parseRange("[10 furlongs,1 s]"); err == nil {
		t.Error("a range in furlongs is read")
	}
}

package validation

import (
	"encoding/json"
	"errors"
	"os/exec"
	"testing"

	"slatbench/model"
)

// python finds an interpreter with SciPy. The first in the path need not have it:
// Debian's package serves /usr/bin/python3.
func python() (string, error) {
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import numpy, scipy.integrate").Run() == nil {
			return name, nil
		}
	}
	return "", errors.New("no python3 here has SciPy (Debian: python3-scipy)")
}

// reference runs reference.py, or skips the test.
func reference(t *testing.T) map[string]trace {
	t.Helper()
	name, err := python()
	if err != nil {
		t.Skip("the independent integrator was not run: ", err)
	}
	raw, err := exec.Command(name, "reference.py").Output()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		t.Fatalf("reference.py: %v\n%s", err, exit.Stderr)
	} else if err != nil {
		t.Fatal(err)
	}
	var runs map[string]trace
	if err := json.Unmarshal(raw, &runs); err != nil {
		t.Fatal("reference.py: ", err)
	}
	return runs
}

// A comparison is one case run by both sides.
type comparison struct {
	name, title string
	got, want   trace
	differences []difference // in the order of channels; those of channels that the case lacks are zero
}

// compareAll runs every case at a step and compares it.
func compareAll(t *testing.T, runs map[string]trace, dt float64) []comparison {
	t.Helper()
	var all []comparison
	add := func(name, title string, got trace) {
		want, ok := runs[name]
		if !ok || len(got.T) != len(want.T) {
			t.Fatalf("%s: %d instants, the reference has %d", name, len(got.T), len(want.T))
		}
		c := comparison{name: name, title: title, got: got, want: want}
		for _, ch := range channels {
			var d difference
			if values, ok := got.Channels[ch.name]; ok {
				if len(want.Channels[ch.name]) != len(values) {
					t.Fatalf("%s: the reference has no %s", name, ch.name)
				}
				d = compare(ch, want.T, values, want.Channels[ch.name])
			}
			c.differences = append(c.differences, d)
		}
		all = append(all, c)
	}
	cases := readCases(t)
	for _, c := range cases.Doors {
		add(c.Name, c.Title, door(t, c, dt))
	}
	for _, c := range cases.Batteries {
		add(c.Name, c.Title, battery(c))
	}
	for _, c := range cases.Locks {
		add(c.Name, c.Title, lock(t, c, dt))
	}
	return all
}

// The same equations, written anew from docs/theory.md and solved by SciPy's LSODA
// with events, give the same traces.
func TestValidationReference(t *testing.T) {
	runs := reference(t)
	all := compareAll(t, runs, model.DefaultStep)
	for _, c := range all {
		for i, ch := range channels {
			if d := c.differences[i]; d.scale != 0 && !d.holds(ch) {
				t.Errorf("%s: %s is off by %.2f %% of %.4g %s within %g ms, its peak by %.2f %%, its mean by %.2f %%; allowed %g, %g, %g %%",
					c.name, ch.title, 100*d.within, d.scale, ch.unit, 1e3*band, 100*d.peak, 100*d.mean,
					100*ch.tolerance, 100*ch.tolerance, 50*ch.tolerance)
			}
		}
	}
	fine := compareAll(t, runs, model.DefaultStep/4)
	stepSize(t, all, fine)
	writeOrCompare(t, all, fine)
}

// stepSize: what is left of the difference is that of the step. A quarter of the step must
// leave less than half of it, but for 0.1 % that grid and solver may have.
func stepSize(t *testing.T, coarse, fine []comparison) {
	t.Helper()
	for k, c := range coarse {
		for i, ch := range channels {
			was, is := c.differences[i], fine[k].differences[i]
			if is.mean > was.mean/2+0.001 || is.peak > was.peak/2+0.001 {
				t.Errorf("%s: %s is off by %.3f %% in the mean and %.3f %% at the peak with a quarter of the step, %.3f and %.3f %% with the whole",
					c.name, ch.title, 100*is.mean, 100*is.peak, 100*was.mean, 100*was.peak)
			}
		}
	}
}

package main

import (
	"math"
	"slices"
	"testing"
)

func TestWrapKeepsNumbersWhole(t *testing.T) {
	for _, c := range []struct {
		text  string
		width int
		want  []string
	}{
		{"at most 20 runs a mutant; 1 504 runs of mutants", 28, []string{"at most 20 runs a mutant;", "1 504 runs of mutants"}},
		{"held in 12 345 678 runs", 12, []string{"held in", "12 345 678", "runs"}},
		{"1 504, of which 3", 7, []string{"1 504,", "of", "which 3"}},
		{"run 4 1234 of it", 5, []string{"run 4", "1234", "of it"}},
		{"", 5, []string{""}},
	} {
		if got := wrap(c.text, c.width); !slices.Equal(got, c.want) {
			t.Errorf("%q in %d columns: %q, want %q", c.text, c.width, got, c.want)
		}
	}
}

func TestMarginOfOne(t *testing.T) {
	for want, c := range map[string]struct {
		margin float64
		unit   string
	}{
		"+1 press": {1, "presses"}, "+0 presses": {0, "presses"}, "-1 press": {-1, "presses"}, "+2 presses": {2, "presses"}, "+1 record": {1, "records"}, "+1.00 s": {1, "s"}, "": {math.NaN(), "s"},
	} {
		if got := marginText(c.margin, c.unit); got != want {
			t.Errorf("%g %s: got %q, want %q", c.margin, c.unit, got, want)
		}
	}
}

package main

import (
	"os"
	"strings"
	"testing"
)

// What the README shows of the main job is what the main job prints.
func TestReadmeShowsTheRun(t *testing.T) {
	page, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, sample, _ := strings.Cut(string(page), "## What comes out\n\n")
	sample, _, found := strings.Cut(sample, "      …")
	if !found {
		t.Fatal("the README shows nothing of what comes out")
	}
	lines := strings.Split(printed(t, "run"), "\n")
	for line := range strings.Lines(sample) {
		shown := strings.TrimPrefix(strings.TrimRight(line, "\n"), "    ")
		there := false
		for _, l := range lines {
			there = there || strings.TrimRight(l, " ") == shown
		}
		if !there {
			t.Errorf("%q is shown, and not printed", shown)
		}
	}
}

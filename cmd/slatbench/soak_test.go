package main

import (
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestSoakScripts plays the scripts of testdata/soak. In them "soak" is the command
// with its arguments; "! soak" wants exit code 2, as of bad input.
func TestSoakScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/soak",
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"soak": func(ts *testscript.TestScript, neg bool, args []string) {
				want := exitHolds
				if neg {
					want = exitBadInput
				}
				if code := run(append([]string{"soak"}, args...), strings.NewReader(""), ts.Stdout(), ts.Stderr()); code != want {
					ts.Fatalf("exit code %d, want %d", code, want)
				}
			},
		},
	})
}

package main

import (
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
	"github.com/rogpeppe/go-internal/testscript"
)

// TestSizeScripts plays the scripts of testdata/size. In them "size" is the command
// with its arguments, which must end with the exit code before them: "size 0 --json".
// "columns" checks that no line of what it said is wider.
func TestSizeScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/size",
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"size": func(ts *testscript.TestScript, neg bool, args []string) {
				if neg || len(args) == 0 {
					ts.Fatalf("usage: size code [arguments]")
				}
				words := append([]string{"size"}, args[1:]...)
				for i := range words {
					if strings.HasSuffix(words[i], ".yaml") || strings.HasSuffix(words[i], ".csv") || strings.HasSuffix(words[i], ".html") {
						if !strings.Contains(words[i], "/") {
							words[i] = ts.MkAbs(words[i])
						}
					}
				}
				code := run(words, strings.NewReader(""), ts.Stdout(), ts.Stderr())
				if want := args[0]; want != string(rune('0'+code)) {
					ts.Fatalf("exit code %d, want %s", code, want)
				}
			},
			"columns": func(ts *testscript.TestScript, neg bool, args []string) {
				for i, line := range strings.Split(ts.ReadFile("stdout"), "\n") {
					if w := runewidth.StringWidth(line); w > lineWidth {
						ts.Fatalf("line %d is %d columns wide: %s", i+1, w, line)
					}
					if strings.TrimRight(line, " ") != line {
						ts.Fatalf("line %d ends in spaces: %q", i+1, line)
					}
				}
			},
		},
	})
}

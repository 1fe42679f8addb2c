package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"slatbench": main})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error { // $DOCS, for what is shown there
			docs, err := filepath.Abs("../../docs")
			e.Setenv("DOCS", docs)
			return err
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"exits":   exits,
			"columns": columns,
		},
		Condition: func(cond string) (bool, error) {
			if cond == "root" { // permissions do not bind root
				return os.Getuid() == 0, nil
			}
			return false, errors.New("unknown condition")
		},
	})
}

// exits runs a command that must end with a code: "exits 2 slatbench run x.yaml".
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits code command [args...]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// columns checks that no line of a file, or of stdout, is wider: "columns stdout 80".
func columns(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: columns file width")
	}
	most, err := strconv.Atoi(args[1])
	ts.Check(err)
	for i, line := range strings.Split(ts.ReadFile(args[0]), "\n") {
		if w := runewidth.StringWidth(line); w > most {
			ts.Fatalf("line %d is %d columns wide: %s", i+1, w, line)
		}
		if strings.TrimRight(line, " ") != line {
			ts.Fatalf("line %d ends in spaces: %q", i+1, line)
		}
	}
}

package keep_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"slatbench/sim/campaign/keep"
)

// What tells the test program that it is a child which keeps runs until it is killed.
const (
	childFile = "KEEP_TEST_FILE"
	childRuns = "KEEP_TEST_RUNS"
)

func TestMain(m *testing.M) {
	name := os.Getenv(childFile)
	if name == "" {
		os.Exit(m.Run())
	}
	if err := child(name, os.Getenv(childRuns)); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func child(name, runs string) error {
	below, err := strconv.ParseUint(runs, 10, 64)
	if err != nil {
		return err
	}
	f, err := keep.Open(name, identity())
	if err != nil {
		return err
	}
	for f.Runs() < below {
		// Batches of every size, so that a kill finds some half way.
		if err := fill(f, min(below, f.Runs()+1+f.Runs()%97)); err != nil {
			return err
		}
		if err := f.Flush(); err != nil {
			return err
		}
	}
	return f.Close()
}

// TestKilledAtRandomInstants kills a campaign without end again and again, from
// before its file is there, lets it end, and wants what an uninterrupted one gives.
func TestKilledAtRandomInstants(t *testing.T) {
	const kills, endless = 40, 1 << 40
	name := filepath.Join(t.TempDir(), "c.db")
	instants := rand.New(rand.NewPCG(3, 4))
	held, grown := uint64(0), 0
	for kill := range kills {
		// The span covers the start of the process, the making of the file and some commits.
		done, err := killedAfter(t, name, endless, time.Duration(instants.Int64N(int64(100*time.Millisecond))))
		if done || err != nil {
			t.Fatalf("kill %d: the child ended by itself: %v", kill, err)
		}
		now := runsIn(t, name)
		if now < held {
			t.Fatalf("kill %d lost runs: %d were kept, %d are left", kill, held, now)
		}
		if now > held {
			grown++
		}
		held = now
	}
	runs := held + 500
	if done, err := killedAfter(t, name, runs, time.Minute); !done || err != nil {
		t.Fatalf("the last child: done %v, %v", done, err)
	}
	t.Logf("%d kills, %d of them after new commits; %d runs", kills, grown, runs)
	if grown < 3 {
		t.Errorf("only %d kills came after new commits: the test tests little", grown)
	}
	if diff := cmp.Diff(wanted(runs), read(t, name, runs)); diff != "" {
		t.Errorf("tally (-uninterrupted +killed):\n%s", diff)
	}
}

// killedAfter runs a child for so long, and tells whether it was done before.
func killedAfter(t *testing.T, name string, runs uint64, after time.Duration) (done bool, err error) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childFile+"="+name, childRuns+"="+strconv.FormatUint(runs, 10))
	var text writer
	cmd.Stderr = &text
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	timer := time.AfterFunc(after, func() { cmd.Process.Kill() })
	defer timer.Stop()
	err = cmd.Wait()
	switch {
	case err == nil:
		return true, nil
	case cmd.ProcessState.ExitCode() == -1: // by the signal
		return false, nil
	}
	return false, errors.New(string(text))
}

type writer []byte

func (w *writer) Write(p []byte) (int, error) {
	*w = append(*w, p...)
	return len(p), nil
}

// runsIn counts the runs of a file as a kill has left it; a campaign that goes on
// would do the same.
func runsIn(t *testing.T, name string) uint64 {
	t.Helper()
	if _, err := os.Stat(name); err != nil {
		return 0
	}
	f, err := keep.OpenToRead(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	return f.Runs()
}

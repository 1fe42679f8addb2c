package trace_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"slatbench/sim/trace"
)

func wantFolder(t *testing.T, folder string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("the folder holds %q, want %q", got, want)
	}
}

func TestFormatByEnding(t *testing.T) {
	for name, want := range map[string]trace.Format{
		"a.csv": trace.CSV, "b.VCD": trace.VCD, "dir.csv/c.parquet": trace.Parquet, ".csv": trace.CSV,
	} {
		if got, err := trace.FormatOf(name); err != nil || got != want {
			t.Errorf("%s: %v, %v, want %v", name, got, err, want)
		}
	}
	for name, want := range map[string]string{
		"a.xlsx":    `trace "a.xlsx" ends in ".xlsx": .csv, .vcd or .parquet was expected`,
		"trace":     `trace "trace" has no ending: .csv, .vcd or .parquet was expected`,
		"a.csv.gz":  `trace "a.csv.gz" ends in ".gz": .csv, .vcd or .parquet was expected`,
		"":          `trace "" has no ending: .csv, .vcd or .parquet was expected`,
		"out.csv/":  `trace "out.csv/" has no ending: .csv, .vcd or .parquet was expected`,
		"dir.csv/a": `trace "dir.csv/a" has no ending: .csv, .vcd or .parquet was expected`,
	} {
		if _, err := trace.FormatOf(name); err == nil || err.Error() != want {
			t.Errorf("%q: the error is %v, want %s", name, err, want)
		}
	}
}

// recordFile records the test run in a file.
func recordFile(t *testing.T, name string) error {
	t.Helper()
	r, err := trace.Create(name, about)
	if err != nil {
		return err
	}
	defer r.Discard()
	if err := newBench(t, setup(r)).Run(); err != nil {
		t.Fatal(err)
	}
	return r.Close()
}

func TestFileIsTheStream(t *testing.T) {
	dir := t.TempDir()
	for i, f := range formats {
		name := filepath.Join(dir, "a"+trace.Endings[i])
		if err := recordFile(t, name); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(name); err != nil || string(got) != string(record(t, f, about)) {
			t.Errorf("%v: the file is not what the stream is (%v)", f, err)
		}
	}
	wantFolder(t, dir, "a.csv", "a.parquet", "a.vcd")
}

func TestNoFileAfterTrouble(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"a.txt", "missing/a.csv"} {
		if err := recordFile(t, filepath.Join(dir, name)); err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
	for _, ending := range trace.Endings {
		r, err := trace.Create(filepath.Join(dir, "given-up"+ending), about)
		if err != nil {
			t.Fatal(err)
		}
		if err := newBench(t, setup(r)).Run(); err != nil {
			t.Fatal(err)
		}
		r.Discard()
		if r, err = trace.Create(filepath.Join(dir, "never-run"+ending), about); err != nil {
			t.Fatal(err)
		}
		if err := r.Close(); err == nil || !strings.Contains(err.Error(), "before its first tick") {
			t.Errorf("closing a trace of nothing gives %v", err)
		}
	}
	wantFolder(t, dir)
}

// narrow is a disk with room for so many bytes.
type narrow struct{ room int }

var errFull = errors.New("the disk is full")

func (n *narrow) Write(p []byte) (int, error) {
	if len(p) > n.room {
		written := n.room
		n.room = 0
		return written, errFull
	}
	n.room -= len(p)
	return len(p), nil
}

func TestEveryFailingWriteIsReported(t *testing.T) {
	for _, f := range formats {
		size := len(record(t, f, about))
		for _, room := range []int{0, 1, 3, 4, 100, 5000, size / 3, size / 2, 65536, size - 20, size - 8, size - 1} {
			if room >= size {
				continue
			}
			r := trace.New(&narrow{room}, f, about)
			if err := newBench(t, setup(r)).Run(); err != nil {
				t.Fatal(err)
			}
			if err := r.Close(); !errors.Is(err, errFull) {
				t.Errorf("%v: with room for %d of %d bytes Close gives %v, want the error of the write", f, room, size, err)
			}
			if !errors.Is(r.Err(), errFull) {
				t.Errorf("%v: Err gives %v after that", f, r.Err())
			}
		}
		r := trace.New(&narrow{size}, f, about)
		if err := newBench(t, setup(r)).Run(); err != nil {
			t.Fatal(err)
		}
		if err := r.Close(); err != nil {
			t.Errorf("%v: with just enough room: %v", f, err)
		}
	}
}

// A long run can tell that its trace has failed while it is still going on.
func TestErrDuringTheRun(t *testing.T) {
	for _, f := range formats {
		r := trace.New(&narrow{1000}, f, about)
		v := newInvented(t)
		for range 30000 {
			v.tick(r)
		}
		if !errors.Is(r.Err(), errFull) {
			t.Errorf("%v: Err gives %v after 30,000 ticks, want the error of the write", f, r.Err())
		}
	}
}

func TestFullDevice(t *testing.T) {
	if _, err := os.Stat("/dev/full"); err != nil {
		t.Skip("skipped: there is no /dev/full here")
	}
	link := filepath.Join(t.TempDir(), "a.csv")
	if err := os.Symlink("/dev/full", link); err != nil {
		t.Fatal(err)
	}
	if err := recordFile(t, link); !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("the error is %v, want: no space left on device", err)
	}
}

// mount mounts a small file system in memory for a test, where that is allowed.
func mount(t *testing.T, flags uintptr, options string) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("trace-test", dir, "tmpfs", flags, options); err != nil {
		t.Skipf("skipped: no file system can be mounted here, root alone may: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
	return dir
}

func TestDiskFillsInMidTrace(t *testing.T) {
	dir := mount(t, 0, "size=64k")
	for _, ending := range trace.Endings {
		name := filepath.Join(dir, "a"+ending)
		if err := os.WriteFile(name, []byte("older"), 0o600); err != nil {
			t.Fatal(err)
		}
		err := recordFile(t, name)
		if !errors.Is(err, syscall.ENOSPC) {
			t.Errorf("%s: the error is %v, want: no space left on device", ending, err)
			continue
		}
		if want := fmt.Sprintf("cannot write %q: no space left on device", name); err.Error() != want {
			t.Errorf("the error reads %q, want %q", err, want)
		}
		if got, err := os.ReadFile(name); err != nil || string(got) != "older" {
			t.Errorf("%s: the older file now holds %.20q (%v)", ending, got, err)
		}
	}
	wantFolder(t, dir, "a.csv", "a.parquet", "a.vcd")
}

func TestReadOnlyDisk(t *testing.T) {
	dir := mount(t, syscall.MS_RDONLY, "")
	err := recordFile(t, filepath.Join(dir, "a.csv"))
	if !errors.Is(err, syscall.EROFS) || !strings.Contains(err.Error(), "read-only file system") {
		t.Errorf("the error is %v, want: read-only file system", err)
	}
	wantFolder(t, dir)
}

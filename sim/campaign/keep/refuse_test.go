package keep_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"slatbench/sim/campaign/keep"
)

// refused opens a file that must not be opened, and wants a one-line error and the
// file, and its folder, as they were.
func refused(t *testing.T, name string, id keep.Identity, want string) {
	t.Helper()
	before, _ := os.ReadFile(name)
	folder := names(t, filepath.Dir(name))
	f, err := keep.Open(name, id)
	if err == nil {
		f.Close()
		t.Errorf("%s was opened, want an error with %q", name, want)
		return
	}
	if !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
		t.Errorf("the error is %q, want one line with %q", err, want)
	}
	if after, _ := os.ReadFile(name); string(after) != string(before) {
		t.Errorf("%s was changed", name)
	}
	if after := names(t, filepath.Dir(name)); after != folder {
		t.Errorf("the folder holds %s, want %s", after, folder)
	}
}

func names(t *testing.T, folder string) string {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return err.Error()
	}
	var list []string
	for _, e := range entries {
		list = append(list, e.Name())
	}
	return strings.Join(list, " ")
}

func TestOtherCampaignIsRefused(t *testing.T) {
	name := filled(t, 20)
	for want, change := range map[string]func(*keep.Identity){
		"is of another campaign: its seed is 7, and 8 was expected":                           func(id *keep.Identity) { id.Seed = 8 },
		"its number of faults is 1, and 2 was expected":                                       func(id *keep.Identity) { id.Faults = 2 },
		"its kinds of fault are all, and dirty-lens was expected":                             func(id *keep.Identity) { id.Only = []string{"dirty-lens"} },
		"its truck is produce (aa), and bread (ab) was expected":                              func(id *keep.Identity) { id.Truck, id.TruckHash = "bread", "ab" },
		"its logic is baseline (bb), and baseline (ba) was expected":                          func(id *keep.Identity) { id.LogicHash = "ba" },
		"its step in s is 0.001, and 0.0005 was expected":                                     func(id *keep.Identity) { id.Step = 0.0005 },
		"its tick in s is 0.01, and 0.02 was expected":                                        func(id *keep.Identity) { id.Tick = 0.02 },
		"was written by another version of slatbench: its version is v1, and v2 was expected": func(id *keep.Identity) { id.Version = "v2" },
		"was written by another version of slatbench: its draws are cc, and dd was expected":  func(id *keep.Identity) { id.Draws = "dd" },
	} {
		id := identity()
		change(&id)
		refused(t, name, id, want)
	}
	// What is only a name does not tell campaigns apart.
	id := identity()
	id.Truck, id.Logic = "my-copy", "copy"
	if f := open(t, name, id); f.Runs() != 20 {
		t.Errorf("%d runs, want 20", f.Runs())
	}
}

func TestOtherFilesAreRefused(t *testing.T) {
	dir := t.TempDir()
	good := content(t, filled(t, 2000))
	edit := func(at int, b byte) string { return good[:at] + string(b) + good[at+1:] }
	for file, c := range map[string]struct{ text, want string }{
		"empty.db":   {"", "is not a database of a campaign"},
		"text.db":    {strings.Repeat("run,verdict\n", 50), "is not a database of a campaign"},
		"foreign.db": {edit(68, 'X'), "not one of a campaign"},
		"format.db":  {edit(63, 9), "was written by another version of slatbench: its format is 9, and 2 was expected"},
		"old.db":     {edit(63, 1), "was written by another version of slatbench: its format is 1, and 2 was expected"},
		"short.db":   {good[:len(good)/2], "is damaged"},
		"stub.db":    {good[:4096], "is damaged"},
	} {
		name := filepath.Join(dir, file)
		if err := os.WriteFile(name, []byte(c.text), 0o600); err != nil {
			t.Fatal(err)
		}
		refused(t, name, identity(), c.want)
		if f, err := keep.OpenToRead(name); err == nil {
			f.Close()
			t.Errorf("%s was opened to be read", file)
		}
	}
	refused(t, dir, identity(), "is a folder")
	refused(t, filepath.Join(dir, "absent", "c.db"), identity(), "does not exist")
	if _, err := keep.OpenToRead(filepath.Join(dir, "c.db")); err == nil || !strings.HasPrefix(err.Error(), "no file ") {
		t.Errorf("an absent file to be read: %v", err)
	}
}

// TestOneProcessAtATime has another process try while this one has the file. The
// file is only looked at from outside: to a process that opens and closes a file
// it has locked, POSIX gives the lock up.
func TestOneProcessAtATime(t *testing.T) {
	name := filepath.Join(t.TempDir(), "c.db")
	f := open(t, name, identity())
	for range 2 { // before the first commit and after it
		before := stamp(t, name)
		done, err := killedAfter(t, name, 30, time.Minute)
		if done || err == nil || !strings.Contains(err.Error(), "is in use by another process") {
			t.Errorf("another process: done %v, %v; want: in use", done, err)
		}
		if stamp(t, name) != before {
			t.Error("the other process has changed the file")
		}
		if err := fill(f, 30); err != nil {
			t.Fatal(err)
		}
		if err := f.Flush(); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if got := read(t, name, 30).Runs; got != 30 {
		t.Errorf("%d runs after all that, want 30", got)
	}
}

func stamp(t *testing.T, name string) string {
	t.Helper()
	info, err := os.Stat(name)
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprint(info.Size(), info.ModTime())
}

func TestLogWithoutItsDatabase(t *testing.T) {
	name := filepath.Join(t.TempDir(), "c.db")
	if err := os.WriteFile(name+"-wal", []byte("left"), 0o600); err != nil {
		t.Fatal(err)
	}
	refused(t, name, identity(), "is left of a database that is gone")
}

func TestNameWithAnything(t *testing.T) {
	name := filepath.Join(t.TempDir(), "a 100 %?x=1&y#z 'ü'.db")
	f := open(t, name, identity())
	if err := fill(f, 3); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if got := read(t, name, 3).Runs; got != 3 {
		t.Errorf("%d runs, want 3", got)
	}
	wantFolder(t, filepath.Dir(name), filepath.Base(name))
}

// mount mounts a small file system in memory for a test, where that is allowed.
func mount(t *testing.T, options string) string {
	t.Helper()
	if runtime.GOOS != "linux" {
		t.Skip("skipped: mounts a file system of Linux")
	}
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, options); err != nil {
		t.Skipf("skipped: no file system can be mounted here, root alone may: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
	return dir
}

func readOnly(t *testing.T, dir string) {
	t.Helper()
	if err := syscall.Mount("", dir, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skipf("skipped: no file system can be made read-only here: %v", err)
	}
}

func TestReadOnlyFolder(t *testing.T) {
	dir := mount(t, "")
	name := filepath.Join(dir, "c.db")
	f := open(t, name, identity())
	if err := fill(f, 40); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	readOnly(t, dir)
	refused(t, name, identity(), "read-only")
	refused(t, filepath.Join(dir, "new.db"), identity(), "read-only")
	// It can be read all the same.
	if got := read(t, name, 40).Runs; got != 40 {
		t.Errorf("%d runs read, want 40", got)
	}
}

func TestFullDisk(t *testing.T) {
	dir := mount(t, "size=256k")
	ballast := filepath.Join(dir, "ballast")
	name := filepath.Join(dir, "c.db")
	f := open(t, name, identity())
	if err := fill(f, 100); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	os.WriteFile(ballast, make([]byte, 1<<20), 0o600) // as much as fits
	before := content(t, name)

	f = open(t, name, identity())
	err := fill(f, 5000)
	if err == nil || !strings.Contains(err.Error(), "no space left") && !strings.Contains(err.Error(), "full") {
		t.Errorf("the error is %v, want: no space left", err)
	}
	if again := f.Add(play(f.Runs())); again == nil {
		t.Error("a run was kept after an error")
	}
	if f.Runs() != 100 {
		t.Errorf("%d runs are said to be kept, want 100", f.Runs())
	}
	f.Close()
	if content(t, name) != before {
		t.Error("the file was changed on a full disk")
	}
	refused(t, filepath.Join(dir, "new.db"), identity(), "no space left")

	// With room again it goes on, and nothing is lost or counted twice.
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	f = open(t, name, identity())
	if err := fill(f, 300); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if got, want := read(t, name, 300), wanted(300); got.Hash != want.Hash || got.Runs != want.Runs {
		t.Errorf("%d runs with hash %x, want %d with %x", got.Runs, got.Hash, want.Runs, want.Hash)
	}
}

// TestFullDiskWithALogLeft fills a disk with runs, so that closing can take the log
// in only by half.
func TestFullDiskWithALogLeft(t *testing.T) {
	dir := mount(t, "size=120k")
	name := filepath.Join(dir, "c.db")
	f := open(t, name, identity())
	for f.Runs() < 5000 {
		if fill(f, f.Runs()+20) != nil || f.Flush() != nil {
			break
		}
	}
	kept := f.Runs()
	f.Close()
	if log, err := os.Stat(name + "-wal"); err != nil || log.Size() == 0 || kept == 0 {
		t.Fatalf("%d runs kept, and no log is left: the test tests nothing (%v)", kept, err)
	}
	if err := keep.Check(name, identity()); err != nil {
		t.Error(err)
	}
	other := identity()
	other.Seed = 8
	refused(t, name, other, "is of another campaign: its seed is 7, and 8 was expected")
	ballast := filepath.Join(dir, "ballast")
	os.WriteFile(ballast, make([]byte, 1<<20), 0o600) // to the last page: no room for the index of the log either
	if _, err := keep.OpenToRead(name); err == nil || !strings.Contains(err.Error(), "no space left") {
		t.Errorf("the error is %v, want: no space left", err)
	}
	os.Remove(ballast)
	if err := syscall.Mount("", dir, "", syscall.MS_REMOUNT, "size=4m"); err != nil {
		t.Fatal(err)
	}
	f = open(t, name, identity())
	if f.Runs() != kept {
		t.Errorf("%d runs are left, want %d", f.Runs(), kept)
	}
	if err := errors.Join(fill(f, kept+500), f.Close()); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(wanted(kept+500), read(t, name, kept+500)); diff != "" {
		t.Errorf("tally (-at once +after a full disk):\n%s", diff)
	}
}

// TestLogOfAnotherFile puts an earlier copy of a file in its place, and leaves the log of
// a killed campaign beside it. Taking that in would spoil the copy.
func TestLogOfAnotherFile(t *testing.T) {
	name := filepath.Join(t.TempDir(), "c.db")
	f := open(t, name, identity())
	if err := errors.Join(fill(f, 50), f.Close()); err != nil {
		t.Fatal(err)
	}
	earlier := content(t, name)
	f = open(t, name, identity())
	if err := errors.Join(fill(f, 3000), f.Close()); err != nil { // so that the file has pages that the copy lacks
		t.Fatal(err)
	}
	f = open(t, name, identity())
	if err := errors.Join(fill(f, 3050), f.Flush()); err != nil {
		t.Fatal(err)
	}
	log := content(t, name+"-wal")
	f.Close()
	for file, text := range map[string]string{name: earlier, name + "-wal": log} {
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if f, err := keep.OpenToRead(name); err == nil {
		f.Close()
		t.Error("it was opened to be read")
	} else if !strings.Contains(err.Error(), "is damaged, or the log") {
		t.Errorf("the error is %v", err)
	}
	if content(t, name) != earlier || content(t, name+"-wal") != log {
		t.Error("the file or its log was changed")
	}
	wantFolder(t, filepath.Dir(name), filepath.Base(name), filepath.Base(name)+"-wal")
}

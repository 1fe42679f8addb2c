package wholefile_test

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"slatbench/sim/wholefile"
)

func create(t *testing.T, name, text string) *wholefile.File {
	t.Helper()
	f, err := wholefile.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	return f
}

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

func wantText(t *testing.T, name, want string) {
	t.Helper()
	if got, err := os.ReadFile(name); err != nil || string(got) != want {
		t.Errorf("%s holds %q (%v), want %q", name, got, err, want)
	}
}

func TestNothingUnderTheNameUntilCommit(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a.csv")
	f := create(t, name, "new")
	if _, err := os.Stat(name); err == nil {
		t.Error("the file stands under its name before it is complete")
	}
	if err := f.Commit(); err != nil {
		t.Fatal(err)
	}
	f.Discard() // as a deferred one would
	wantText(t, name, "new")
	wantFolder(t, dir, "a.csv")
}

func TestDiscardKeepsTheOlderFile(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a.csv")
	if err := os.WriteFile(name, []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
	f := create(t, name, "new")
	f.Discard()
	if err := f.Commit(); err == nil {
		t.Error("a discarded file could be committed")
	}
	wantText(t, name, "old")
	wantFolder(t, dir, "a.csv")
}

func TestReplacedFileKeepsItsPermissions(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a.csv")
	if err := os.WriteFile(name, []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := create(t, name, "new").Commit(); err != nil {
		t.Fatal(err)
	}
	wantText(t, name, "new")
	if info, _ := os.Stat(name); info.Mode().Perm() != 0o640 {
		t.Errorf("permissions are %v, want those of the older file, 0640", info.Mode().Perm())
	}
}

func TestLinkIsFollowed(t *testing.T) {
	dir := t.TempDir()
	name, link := filepath.Join(dir, "a.csv"), filepath.Join(dir, "link.csv")
	if err := os.WriteFile(name, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("a.csv", link); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	if err := create(t, link, "new").Commit(); err != nil {
		t.Fatal(err)
	}
	wantText(t, name, "new")
	wantFolder(t, dir, "a.csv", "link.csv")
}

func TestLinkToWhatIsNotThereYet(t *testing.T) {
	dir := t.TempDir()
	link, loop := filepath.Join(dir, "link.csv"), filepath.Join(dir, "loop.csv")
	for name, to := range map[string]string{link: "a.csv", loop: "loop.csv"} {
		if err := os.Symlink(to, name); err != nil {
			t.Skip("no symbolic links here: ", err)
		}
	}
	if err := create(t, link, "new").Commit(); err != nil {
		t.Fatal(err)
	}
	wantText(t, filepath.Join(dir, "a.csv"), "new")
	if to, err := os.Readlink(link); to != "a.csv" {
		t.Errorf("the link leads to %q (%v)", to, err)
	}
	if _, err := wholefile.Create(loop); err == nil || !strings.Contains(err.Error(), "leads nowhere") {
		t.Errorf("a link to itself: %v", err)
	}
	wantFolder(t, dir, "a.csv", "link.csv", "loop.csv")
}

func TestTwoAtOnceDoNotDisturbEachOther(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a.csv")
	first, second := create(t, name, "first"), create(t, name, "second")
	if err := second.Commit(); err != nil {
		t.Fatal(err)
	}
	wantText(t, name, "second")
	if err := first.Commit(); err != nil {
		t.Fatal(err)
	}
	wantText(t, name, "first")
	wantFolder(t, dir, "a.csv")
}

func TestRefused(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, want string }{
		{filepath.Join(dir, "missing", "a.csv"), "does not exist"},
		{filepath.Join(file, "a.csv"), "not a"},
		{dir, "is a folder"},
	} {
		f, err := wholefile.Create(c.name)
		if err == nil {
			f.Discard()
			t.Errorf("%s was accepted", c.name)
		} else if !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), c.name) {
			t.Errorf("%s: the error is %q, want the name and %q", c.name, err, c.want)
		}
	}
	wantFolder(t, dir, "file")
}

func TestReadOnly(t *testing.T) {
	if os.Getuid() == 0 {
		t.Skip("permissions do not bind root; TestReadOnlyDisk of package trace mounts a folder read-only instead")
	}
	dir := t.TempDir()
	name := filepath.Join(dir, "a.csv")
	if err := os.WriteFile(name, []byte("old"), 0o444); err != nil {
		t.Fatal(err)
	}
	if _, err := wholefile.Create(name); !errors.Is(err, os.ErrPermission) {
		t.Errorf("a read-only file: the error is %v, want permission denied", err)
	}
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(dir, 0o755)
	if _, err := wholefile.Create(filepath.Join(dir, "b.csv")); !errors.Is(err, os.ErrPermission) {
		t.Errorf("a read-only folder: the error is %v, want permission denied", err)
	}
	wantFolder(t, dir, "a.csv")
}

func TestDeviceIsWrittenDirectly(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("/dev/full is a device of Linux")
	}
	f, err := wholefile.Create("/dev/full")
	if err != nil {
		t.Fatal(err)
	}
	_, err = f.Write([]byte("text"))
	if !errors.Is(err, syscall.ENOSPC) || !strings.Contains(err.Error(), `"/dev/full": no space left`) {
		t.Errorf("the error is %v, want: no space left on device", err)
	}
	if err := f.Commit(); !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("Commit gives %v, want the error of the write", err)
	}
	if info, err := os.Stat("/dev/full"); err != nil || info.Mode().IsRegular() {
		t.Fatalf("the device is gone: %v %v", info, err)
	}
}

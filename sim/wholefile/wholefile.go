// Package wholefile writes files whole or not at all.
//
// What is written goes to a temporary file in the folder of the file asked for, and
// takes its name when it is complete. A run that fails, or a disk that fills, leaves
// behind what was there before: the older file, or none.
package wholefile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// File is a file on its way. Exactly one of Commit and Discard ends it; Discard after
// Commit does nothing, so it can be deferred.
type File struct {
	name   string // as asked for, for messages
	target string // what name stands for once links are followed
	file   *os.File
	device bool // written as it comes: it can't be renamed over
	err    error
}

// Create begins a file. The folder must exist, and the name must not be a folder's.
// Devices and pipes, /dev/stdout among them, are written directly. A link is
// followed, so that the file behind it is replaced and not the link.
func Create(name string) (*File, error) {
	f := &File{name: name, target: name}
	if behind, err := filepath.EvalSymlinks(name); err == nil {
		f.target = behind
	} else if behind, err := os.Readlink(name); err == nil { // to a file that is not there yet
		f.target = behind
		if !filepath.IsAbs(behind) {
			f.target = filepath.Join(filepath.Dir(name), behind)
		}
		if _, err := os.Readlink(f.target); err == nil {
			return nil, fmt.Errorf("cannot write %q: it is a link to a link that leads nowhere", name)
		}
	}
	mode := fs.FileMode(0o666) // less the umask
	switch old, err := os.Stat(f.target); {
	case err == nil && old.IsDir():
		return nil, fmt.Errorf("cannot write %q: it is a folder, and a file was expected", name)
	case err == nil && !old.Mode().IsRegular():
		f.device = true
	case err == nil:
		mode = old.Mode().Perm()
		if err := writable(f.target); err != nil {
			return nil, f.wrap(err)
		}
	}
	if err := f.open(mode); err != nil {
		return nil, err
	}
	return f, nil
}

// writable tells whether a file could be written in place. Renaming over it would
// not ask.
func writable(name string) error {
	old, err := os.OpenFile(name, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return old.Close()
}

func (f *File) open(mode fs.FileMode) (err error) {
	if f.device {
		if f.file, err = os.OpenFile(f.target, os.O_WRONLY, 0); err != nil {
			return f.wrap(err)
		}
		return nil
	}
	folder, base := filepath.Split(f.target)
	if err := f.checkFolder(folder); err != nil {
		return err
	}
	for try := 0; ; try++ {
		temporary := filepath.Join(folder, fmt.Sprintf(".%s.%d-%d.part", base, os.Getpid(), try))
		f.file, err = os.OpenFile(temporary, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
		if err == nil {
			return nil
		}
		if !errors.Is(err, fs.ErrExist) {
			return f.wrap(err)
		}
	}
}

func (f *File) checkFolder(folder string) error {
	if folder == "" {
		return nil
	}
	switch info, err := os.Stat(folder); {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("cannot write %q: folder %q does not exist", f.name, filepath.Clean(folder))
	case err != nil:
		return f.wrap(err)
	case !info.IsDir():
		return fmt.Errorf("cannot write %q: %q is not a folder", f.name, filepath.Clean(folder))
	}
	return nil
}

// Write implements io.Writer. After an error nothing more is written.
func (f *File) Write(p []byte) (int, error) {
	if f.err != nil {
		return 0, f.err
	}
	n, err := f.file.Write(p)
	if err != nil {
		f.err = f.wrap(err)
	}
	return n, f.err
}

// Err is the first error that writing has met. It names the file that was asked for.
func (f *File) Err() error { return f.err }

// Commit gives the file its name. When it returns an error, there is no new file.
func (f *File) Commit() error {
	if f.file == nil {
		return f.err
	}
	if f.err != nil {
		f.Discard()
		return f.err
	}
	if !f.device {
		f.note(f.file.Sync())
	}
	temporary := f.file.Name()
	f.note(f.file.Close())
	f.file = nil
	if f.device {
		return f.err
	}
	if f.err == nil {
		f.note(os.Rename(temporary, f.target))
	}
	if f.err != nil {
		os.Remove(temporary)
	}
	return f.err
}

// Discard gives the file up. What stood under its name before still does.
func (f *File) Discard() {
	if f.file == nil {
		return
	}
	temporary := f.file.Name()
	f.file.Close()
	f.file = nil
	if !f.device {
		os.Remove(temporary)
	}
	if f.err == nil {
		f.err = fmt.Errorf("cannot write %q: %w", f.name, fs.ErrClosed)
	}
}

func (f *File) note(err error) {
	if err != nil && f.err == nil {
		f.err = f.wrap(err)
	}
}

// wrap names the file that was asked for in place of the temporary one.
func (f *File) wrap(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		err = path.Err
	case errors.As(err, &link):
		err = link.Err
	}
	return fmt.Errorf("cannot write %q: %w", f.name, err)
}

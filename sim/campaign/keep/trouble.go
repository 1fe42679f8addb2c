package keep

import (
	"errors"
	"fmt"
	"os"

	"modernc.org/sqlite"
)

// Result codes of SQLite that a person can do something about.
const (
	codeBusy     = 5
	codeReadOnly = 8
	codeIO       = 10
	codeCorrupt  = 11
	codeFull     = 13
	codeCantOpen = 14
	codeNotADB   = 26

	codeNoRoom = codeIO | 19<<8 // the index of the log cannot be made as large as it must be
)

// HasLog tells that a log lies beside a file: a process has it open, or was killed.
func HasLog(name string) bool {
	log, err := os.Stat(name + "-wal")
	return err == nil && log.Size() > 0
}

func codeOf(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code() & 0xff // without the details
	}
	return 0
}

// worded says in one line what is wrong with a file.
func worded(name string, err error) error {
	var e *sqlite.Error
	if errors.As(err, &e) && e.Code() == codeNoRoom {
		return fmt.Errorf("cannot write %q or beside it: no space left", name)
	}
	switch codeOf(err) {
	case codeBusy:
		return fmt.Errorf("%q is in use by another process", name)
	case codeReadOnly:
		return fmt.Errorf("cannot write %q: it is read-only", name)
	case codeCantOpen:
		return fmt.Errorf("cannot write %q or beside it: the folder is read-only or full", name)
	case codeFull:
		return fmt.Errorf("cannot write %q: no space left", name)
	case codeIO:
		return fmt.Errorf("cannot read or write %q: %w", name, err)
	case codeCorrupt, codeNotADB:
		if HasLog(name) {
			return fmt.Errorf("%q is damaged, or the log %q beside it is that of another file", name, name+"-wal")
		}
		return fmt.Errorf("%q is damaged: %w", name, err)
	}
	return fmt.Errorf("%q: %w", name, err)
}

package keep

import (
	"errors"
	"fmt"

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
)

func codeOf(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code() & 0xff // without the details
	}
	return 0
}

// worded says in one line what is wrong with a file.
func worded(name string, err error) error {
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
		return fmt.Errorf("%q is damaged: %w", name, err)
	}
	return fmt.Errorf("%q: %w", name, err)
}

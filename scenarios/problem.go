package scenarios

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// A Pos is a place in a file that a person edits. Lines and columns count from
// 1, columns in characters. A value given on the command line has no line; its
// File then tells the option, as in "--set truck.battery.age".
type Pos struct {
	File   string
	Line   int
	Column int
}

func (p Pos) String() string {
	if p.Line == 0 {
		return p.File
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// A Problem is one thing wrong with a file: where, what, and what to try.
type Problem struct {
	Pos     Pos
	Message string // what is wrong and what was expected; lower case, no full stop
	Hint    string // what to do about it; may be empty
}

// Error writes "file:line:col: message", and the hint on a line of its own.
func (p *Problem) Error() string {
	text := p.Message
	if place := p.Pos.String(); place != "" {
		text = place + ": " + text
	}
	if p.Hint != "" {
		text += "\n  hint: " + p.Hint
	}
	return text
}

// Problems is the error that loading a file returns: every problem found, up to
// a limit, sorted by file and position.
type Problems []*Problem

func (ps Problems) Error() string {
	texts := make([]string, len(ps))
	for i, p := range ps {
		texts[i] = p.Error()
	}
	return strings.Join(texts, "\n")
}

// maxProblems is how many problems of a file are told at once. More help nobody.
const maxProblems = 20

// maxCollected bounds the memory of a report on a hopeless file.
const maxCollected = 1000

// A Report collects the problems of one load. The zero value is ready to use.
type Report struct {
	problems []*Problem
	files    []string // in loading order, which is the order of reporting
}

// Add notes a problem. The same problem at the same place is noted once: the
// common values of all bays are read once a bay.
func (r *Report) Add(pos Pos, message, hint string) {
	r.add(&Problem{pos, message, hint})
}

// Addf notes a problem without a hint.
func (r *Report) Addf(pos Pos, format string, args ...any) {
	r.Add(pos, fmt.Sprintf(format, args...), "")
}

func (r *Report) add(p *Problem) {
	if len(r.problems) >= maxCollected {
		return
	}
	for _, known := range r.problems {
		if *known == *p {
			return
		}
	}
	r.problems = append(r.problems, p)
}

// addError notes an error that a hook returned.
func (r *Report) addError(pos Pos, err error) {
	var many Problems
	var one *Problem
	var quantity *QuantityError
	switch {
	case err == nil:
	case errors.As(err, &many):
		for _, p := range many {
			r.add(p)
		}
	case errors.As(err, &one):
		r.add(one)
	case errors.As(err, &quantity):
		r.Add(pos, quantity.Message, quantity.Hint)
	default:
		r.Add(pos, err.Error(), "")
	}
}

// Clean reports whether nothing was noted.
func (r *Report) Clean() bool { return len(r.problems) == 0 }

// Err returns the problems sorted by position as an error of type Problems, or
// nil when there are none.
func (r *Report) Err() error {
	if r.Clean() {
		return nil
	}
	sorted := slices.Clone(r.problems)
	slices.SortStableFunc(sorted, func(a, b *Problem) int {
		return cmp.Or(
			cmp.Compare(r.rank(a.Pos.File), r.rank(b.Pos.File)),
			cmp.Compare(a.Pos.Line, b.Pos.Line),
			cmp.Compare(a.Pos.Column, b.Pos.Column))
	})
	if extra := len(sorted) - maxProblems; extra > 0 {
		sorted = append(sorted[:maxProblems:maxProblems], &Problem{Message: fmt.Sprintf("and %d more problems", extra)})
	}
	return Problems(sorted)
}

// rank is the place of a file in loading order; others come last.
func (r *Report) rank(file string) int {
	if i := slices.Index(r.files, file); i >= 0 {
		return i
	}
	return len(r.files)
}

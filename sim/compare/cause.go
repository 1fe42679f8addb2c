package compare

import (
	"fmt"
	"strings"

	"slatbench/sim"
)

// Cause is the first differing tick of a run: what classes are told apart by.
type Cause struct {
	Lock  bool   // at a lock, not at a door
	State string // of the old controller before that tick, by its own name; where it tells none, what it drove
	// The events that were answered at that tick; of controllers that tell only their
	// states "to" the next one. [Nothing] answered none, and [Untold] does not tell.
	// Where neither answered any, both are "after" the last.
	Old, New string
	Kind     string // of output, one of KindNames
}

// What stands for an event.
const (
	Nothing = "nothing"
	Untold  = "untold"
)

// ID of the class: made of the cause alone, so that it stays the same from run to run,
// from seed to seed, and whatever else differs.
func (c Cause) ID() string {
	at := "door"
	if c.Lock {
		at = "lock"
	}
	parts := []string{at, c.State, c.Old, c.New, c.Kind}
	for i := range parts {
		parts[i] = slug(parts[i])
	}
	return strings.Join(parts, "/")
}

// slug is a word as a part of an ID: one that no shell and no YAML takes apart.
func slug(word string) string {
	s := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', r == '-':
			return r
		case r >= 'A' && r <= 'Z':
			return r - 'A' + 'a'
		case r > 0x7f:
			return r
		}
		return '-'
	}, word)
	if s == "" {
		return "-"
	}
	return s
}

// Text of a cause: "door, closing: old answers held up, new nothing; drive differs".
func (c Cause) Text() string {
	at := "door"
	if c.Lock {
		at = "lock"
	}
	return fmt.Sprintf("%s, %s: %s; %s", at, c.State, c.Answers(), c.Kind)
}

// Answers says what was answered, in words.
func (c Cause) Answers() string {
	switch {
	case c.Old == c.New && strings.HasPrefix(c.Old, after):
		return "neither answers, " + c.Old
	case c.Old == c.New:
		return "both at " + c.Old
	case c.New == Untold:
		return "old " + answersWord(c.Old)
	case c.Old == Untold:
		return "new " + answersWord(c.New)
	}
	new := answersWord(c.New)
	if strings.HasPrefix(answersWord(c.Old), "answers ") {
		new = strings.TrimPrefix(new, "answers ")
	}
	return fmt.Sprintf("old %s, new %s", answersWord(c.Old), new)
}

func answersWord(deed string) string {
	if strings.HasPrefix(deed, "to ") {
		return "goes " + deed
	}
	return "answers " + deed
}

const after = "after "

// stimulus is what has changed on the wires to a controller since the tick before:
// what stands for an event where the controller tells none. The first that fits is taken.
func stimulus(was, is *sim.Inputs, side int) string {
	if side >= 0 {
		return lockStimulus(&was.Sides[side], &is.Sides[side])
	}
	for _, s := range [...]struct {
		word string
		is   bool
	}{
		{"press", is.Press && !was.Press},
		{"permit lost", !is.Permit && was.Permit},
		{"permit given", is.Permit && !was.Permit},
		{"unlocked end", is.Unlocked != was.Unlocked},
		{"locked end", is.Locked != was.Locked},
		{"sill made", is.Sill && !was.Sill},
		{"sill open", !is.Sill && was.Sill},
		{"edge", is.Edge != was.Edge},
		{"teach", is.Teach != was.Teach},
		{"pulses", is.Pulses > 0},
		{"pulses gone", is.Pulses == 0 && was.Pulses > 0},
	} {
		if s.is {
			return s.word
		}
	}
	return "time"
}

func lockStimulus(was, is *sim.SideInputs) string {
	switch {
	case is.LockRequest && !was.LockRequest:
		return "lock asked"
	case is.UnlockRequest && !was.UnlockRequest:
		return "unlock asked"
	case is.Unlocked != was.Unlocked:
		return "unlocked end"
	case is.Locked != was.Locked:
		return "locked end"
	case is.Down != was.Down:
		return "door lines"
	}
	return "time"
}

package scenarios

import (
	"errors"
	"slices"
	"strings"
)

// What of a scenario a story that is written over it says itself, besides the logic
// where it has one.
var overKeys = []string{"scenario", "duration", "healed at", "steps", "faults", "expect"}

// WriteOver writes a story as [Loader.Write] does, but for the truck and where it
// stands: these are those of another scenario file, which the new one starts from.
// Base is its name, as it is named from the new one's folder. Of the setup only
// duration, actions and faults are written; nothing is expected. Logic may be "": that
// of the other file stays.
//
// It is an error if what is written would play another run than the story's.
func (l *Loader) WriteOver(name, base string, s *Story) (string, error) {
	w := &writer{story: s.filled()}
	w.comment()
	w.line("from: %s", plainText(base))
	return w.over(l, name)
}

// WriteInto is WriteOver for a scenario that there is as a text only: what the story
// says takes the place of what the text says of it.
func (l *Loader) WriteInto(name, text string, s *Story) (string, error) {
	keys := overKeys
	if s.Logic != "" {
		keys = append(slices.Clip(keys), "logic")
	}
	rest, err := without(name, text, keys)
	if err != nil {
		return "", err
	}
	w := &writer{story: s.filled()}
	w.comment()
	w.text.WriteString(rest)
	return w.over(l, name)
}

func (w *writer) over(l *Loader, name string) (string, error) {
	s := w.story
	w.line("scenario: %s", plainText(s.Name))
	if s.Logic != "" {
		w.line("logic: %s", plainText(s.Logic))
	}
	w.line("duration: %s", w.time(s.Setup.Duration))
	if s.HealedAt > 0 {
		w.line("healed at: %s", w.time(s.HealedAt))
	} else {
		w.line("healed at: %s", noneWord)
	}
	if len(played(s.Setup.Actions, s.Setup.Duration)) == 0 {
		w.line("steps: []")
	}
	w.steps()
	if len(s.Setup.Faults) == 0 {
		w.line("faults: []")
	}
	w.faults()
	w.line("expect: []")
	text := w.text.String()
	if w.err == nil {
		unset := &Loader{Shipped: l.Shipped, Sealed: l.Sealed}
		w.err = unset.readsBack(name, text, s)
	}
	return text, w.err
}

// without takes keys out of the top of a file's text, each with all that belongs to it.
func without(name, text string, keys []string) (string, error) {
	root, err := parseFile(name, []byte(text))
	if err != nil {
		return "", err
	}
	lines := strings.SplitAfter(text, "\n")
	gone := make([]bool, len(lines)+1)
	for i, p := range root.Pairs {
		if p.Pos.Column != 1 || i > 0 && root.Pairs[i-1].Pos.Line == p.Pos.Line {
			return "", errors.New("its keys do not stand in lines of their own, so nothing can be put in their place")
		}
		until := len(lines)
		if i+1 < len(root.Pairs) {
			until = root.Pairs[i+1].Pos.Line - 1
		}
		for j := p.Pos.Line - 1; j < until; j++ {
			gone[j] = slices.Contains(keys, p.Key)
		}
	}
	var rest strings.Builder
	for i, line := range lines {
		if !gone[i] && strings.TrimSpace(line) != "---" && strings.TrimSpace(line) != "..." {
			rest.WriteString(line)
		}
	}
	kept := strings.TrimRight(rest.String(), "\n")
	if kept == "" {
		return "", nil
	}
	return kept + "\n", nil
}

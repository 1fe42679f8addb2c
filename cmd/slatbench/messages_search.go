package main

import (
	"fmt"

	"slatbench/sim/require"
)

// What the search of a campaign says to a person, by the rules of messages.go.

func needsFlag(flags, flag string) error {
	return wrong{fmt.Sprintf("%s go with %s", flags, flag), ""}
}

func notJudged(id string) error {
	return wrong{id + " is measured and not judged in a campaign: nothing violates it", ""}
}

func searchingText(n, runs int) string {
	return fmt.Sprintf("searching for violations of %s, in at most %s guided runs each", requirementsText(n), countText(runs))
}

func requirementsText(n int) string {
	if n == 1 {
		return "1 requirement"
	}
	return fmt.Sprintf("%d requirements", n)
}

func searchedText(s *sought, done, of int) string {
	word, _ := searchWord(s)
	return fmt.Sprintf("%d of %d: %s %s", done, of, s.id, word)
}

// searchWord says what came of a search.
func searchWord(s *sought) (word, rendition string) {
	if s.found() {
		return verdictWord(require.Violated)
	}
	return "not found", faint
}

// nearest is the least margin that a search came to.
func (s *sought) nearest() string {
	if s.result.Nearest == nil {
		return "none"
	}
	return marginText(s.result.Near.Margin, s.result.Near.Unit)
}

func (s *sought) clause() string {
	if s.result.Nearest == nil {
		return ""
	}
	return s.result.Near.Clause
}

// sentence is what came of a search, in a line.
func (s *sought) sentence() string {
	runs := countText(s.result.Plays) + " guided runs"
	if s.found() {
		return fmt.Sprintf("%s violated, found by search in %s: %s %s", s.id, runs, s.clause(), s.nearest())
	}
	text := "searched for in " + runs + " and not found, which shows nothing"
	if s.result.Nearest != nil {
		text += fmt.Sprintf("; nearest %s (%s)", s.nearest(), s.clause())
	}
	return text
}

func noSearchExample(s *sought, err error, again string) error {
	return wrong{fmt.Sprintf("no scenario for %s, which a search has found: %v", s.id, err), "to find it again: " + again}
}

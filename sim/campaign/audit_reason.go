package campaign

import (
	_ "embed"
	"fmt"
	"strings"
)

// Reasons is what is known of mutants of the shipped logic that no requirement catches:
// by their ID, the written reason.
type Reasons map[string]string

//go:embed survivors.txt
var survivorText string

// ShippedReasons are those of the shipped logic. An ID is made from a mutant's text, so
// that they hold for any logic as far as its transitions read the same.
func ShippedReasons() Reasons {
	r, err := ParseReasons(survivorText)
	if err != nil {
		panic("campaign: survivors.txt: " + err.Error())
	}
	return r
}

// ParseReasons reads reasons: a line that begins with "=", and those after it that are
// indented, are one reason, and the lines that follow, each an ID and a text, are the
// mutants that it is about. Lines that begin with "#" and empty lines part them.
func ParseReasons(text string) (Reasons, error) {
	r := Reasons{}
	reason := ""
	inReason := false
	n := 0
	for line := range strings.Lines(text) {
		n++
		indented := strings.HasPrefix(line, " ")
		line = strings.TrimSpace(line)
		switch {
		case line == "" || strings.HasPrefix(line, "#"):
			inReason = false
		case strings.HasPrefix(line, "="):
			reason, inReason = strings.TrimSpace(line[1:]), true
		case inReason && indented:
			reason += " " + line
		default:
			inReason = false
			id, _, _ := strings.Cut(line, " ")
			if len(id) != 8 || reason == "" {
				return nil, fmt.Errorf("line %d: %q is neither a reason nor a mutant's ID below one", n, line)
			}
			if _, twice := r[id]; twice {
				return nil, fmt.Errorf("line %d: %s has a reason already", n, id)
			}
			r[id] = reason
		}
	}
	return r, nil
}

package campaign

import (
	_ "embed"
	"fmt"
	"strings"
)

//go:embed rare.txt
var rareText string

// rareReasons are why transitions of the shipped logic may stay untried, by their
// machine and text.
var rareReasons = func() map[string]string {
	r, err := parseRare(rareText)
	if err != nil {
		panic("campaign: rare.txt: " + err.Error())
	}
	return r
}()

// WhyRare is the written reason why a campaign may leave a transition untried, empty
// where none is written. It is by the transition's text, so that it holds for any logic
// as far as its transitions read like the shipped ones.
func (r Reached) WhyRare() string { return rareReasons[r.Machine+": "+r.Text] }

// parseRare reads reasons: see the head of rare.txt.
func parseRare(text string) (map[string]string, error) {
	r := map[string]string{}
	reason, inReason := "", false
	n := 0
	for line := range strings.Lines(text) {
		n++
		line = strings.TrimSpace(line)
		isTransition := strings.HasPrefix(line, "door: ") || strings.HasPrefix(line, "lock: ")
		switch {
		case line == "" || strings.HasPrefix(line, "#"):
			inReason = false
		case strings.HasPrefix(line, "="):
			reason, inReason = strings.TrimSpace(line[1:]), true
		case isTransition && reason != "":
			if _, twice := r[line]; twice {
				return nil, fmt.Errorf("line %d: %q has a reason already", n, line)
			}
			r[line], inReason = reason, false
		case inReason:
			reason += " " + line
		default:
			return nil, fmt.Errorf("line %d: %q is neither a reason nor a transition below one", n, line)
		}
	}
	return r, nil
}

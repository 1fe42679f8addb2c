package require

import (
	"flag"
	"os"
	"strings"
	"testing"

	"slatbench/sim/fault"
)

var update = flag.Bool("update", false, "write the channel table into docs/requirements.md")

// left is what a fault leaves of the channels in set, in letters.
func left(set, lost channel) string {
	var s strings.Builder
	for _, c := range channelLetters {
		if set&^lost&c.of != 0 {
			s.WriteString(c.letter)
		}
	}
	return s.String()
}

func table() string {
	var s strings.Builder
	s.WriteString("Channels: ")
	for i, c := range channelLetters {
		if c.of == cutDirection {
			s.WriteString(".\nPaths: ")
		} else if i > 0 {
			s.WriteString(", ")
		}
		s.WriteString("**" + c.letter + "** " + c.word)
	}
	s.WriteString(".\n\n| |")
	for _, m := range clauseMeans {
		s.WriteString(" `" + clauses[m.of].word + "` |")
	}
	s.WriteString("\n|---|" + strings.Repeat("---|", len(clauseMeans)) + "\n| of |")
	for _, m := range clauseMeans {
		s.WriteString(" " + IDs[clauses[m.of].of] + " |")
	}
	s.WriteString("\n| no fault |")
	for _, m := range clauseMeans {
		s.WriteString(" " + left(m.notice, 0) + " / " + left(m.act, 0) + " |")
	}
	for _, f := range takenAway {
		if f.lost == 0 {
			continue
		}
		s.WriteString("\n| " + f.fault + " |")
		for _, m := range clauseMeans {
			n, a := left(m.notice, f.lost), left(m.act, f.lost)
			switch {
			case n == "" || a == "":
				s.WriteString(" **–** |")
			case (m.notice|m.act)&f.lost == 0:
				s.WriteString(" |")
			default:
				s.WriteString(" " + n + " / " + a + " |")
			}
		}
	}
	s.WriteString("\n\nAn empty cell is as without fault. Faults that take no channel away: ")
	first := true
	for _, f := range takenAway {
		if f.lost == 0 {
			if !first {
				s.WriteString(", ")
			}
			s.WriteString(f.fault)
			if f.event {
				s.WriteString(" (event)")
			}
			first = false
		}
	}
	s.WriteString(".\n")
	return s.String()
}

func TestChannelTableStandsInTheDocs(t *testing.T) {
	const name, from, to = "../../docs/requirements.md", "<!-- channels -->\n", "<!-- /channels -->"
	doc, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(doc), from)
	_, after, ok2 := strings.Cut(rest, to)
	if !ok || !ok2 {
		t.Fatalf("%s: no place for the channel table", name)
	}
	want := before + from + table() + to + after
	if want == string(doc) {
		return
	}
	if !*update {
		t.Fatalf("%s is not up to date: go test ./sim/require -run ChannelTable -update", name)
	}
	if err := os.WriteFile(name, []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}

// Where a single fault leaves no channel or no path there must be an exemption,
// and nowhere else, except for those bound to circumstances that the table does
// not know.
func TestExemptionsFollowFromTheChannels(t *testing.T) {
	want := map[string]bool{}
	for _, f := range takenAway {
		for _, m := range clauseMeans {
			if left(m.notice, f.lost) == "" || left(m.act, f.lost) == "" {
				want[IDs[clauses[m.of].of]+" "+clauses[m.of].word+" "+f.fault] = true
			}
		}
	}
	for _, e := range Exemptions {
		key := e.Requirement + " " + e.Clause + " " + e.Fault
		if e.When == Always && !want[key] {
			t.Errorf("%s: exempt, but a channel and a path are left", key)
		}
		delete(want, key)
		if e.Reason == "" || e.Witness == "" {
			t.Errorf("%s: no reason or no witness", key)
		}
		if e.Requirement == "close-cut" {
			t.Errorf("%s: no fault is exempt from close-cut", key)
		}
	}
	for key := range want {
		t.Errorf("%s: nothing is left to notice or to act, and no exemption", key)
	}
}

func TestChannelsCoverEveryKindOfFault(t *testing.T) {
	known := map[string]bool{}
	for _, f := range takenAway {
		known[f.fault] = true
		k, ok := fault.Find(f.fault)
		if !ok {
			t.Errorf("%s is no kind of fault", f.fault)
			continue
		}
		if k.Event != f.event {
			t.Errorf("%s: event %v here, %v in the list of faults", f.fault, f.event, k.Event)
		}
	}
	for _, k := range fault.Kinds() {
		if !known[k.Name] {
			t.Errorf("%s is missing from the channel table", k.Name)
		}
	}
}

func TestExemptionsNameClauses(t *testing.T) {
	words := map[string]bool{}
	for _, c := range clauses {
		words[IDs[c.of]+" "+c.word] = true
		if c.scale <= 0 || c.unit == "" {
			t.Errorf("clause %s has no scale or no unit", c.word)
		}
	}
	for _, e := range Exemptions {
		if !words[e.Requirement+" "+e.Clause] {
			t.Errorf("no clause %s %s", e.Requirement, e.Clause)
		}
	}
}

package rules_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"slatbench/sim/logic/rules"
)

var update = flag.Bool("update", false, "write the rules into docs/rules.md")

const guide = "../../../docs/rules.md"

// The page tells the rules of the program.
func TestGuideIsUpToDate(t *testing.T) {
	data, err := os.ReadFile(guide)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for name, body := range map[string]string{"rules": ruleTable(), "limits": limitTable()} {
		from, to := "<!-- "+name+" -->\n", "<!-- /"+name+" -->"
		before, rest, ok := strings.Cut(text, from)
		_, after, ok2 := strings.Cut(rest, to)
		if !ok || !ok2 {
			t.Fatalf("%s has no place for %q", guide, name)
		}
		text = before + from + body + to + after
	}
	if text == string(data) {
		return
	}
	if !*update {
		t.Fatalf("%s is not up to date: go test ./sim/logic/rules -run Guide -update", guide)
	}
	if err := os.WriteFile(guide, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func ruleTable() string {
	var s strings.Builder
	s.WriteString("| rule | what a table does | why |\n|---|---|---|\n")
	for _, r := range rules.All {
		fmt.Fprintf(&s, "| `%s` | %s | %s |\n", r.Name, r.Says, r.Why)
	}
	return s.String()
}

func limitTable() string {
	var s strings.Builder
	s.WriteString("| key | least | most | the requirement, and its figure |\n|---|---|---|---|\n")
	for _, l := range rules.Limits {
		fmt.Fprintf(&s, "| `%s` | %s | %s | %s |\n", l.Key, bound(l.Least), bound(l.Most), l.Why)
	}
	return s.String()
}

// bound in the SI unit of its key; nothing where there is none.
func bound(x float64) string {
	if x-x != 0 {
		return ""
	}
	return fmt.Sprint(x)
}

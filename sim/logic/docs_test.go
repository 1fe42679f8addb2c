package logic_test

import (
	"flag"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"

	"slatbench/scenarios"
	"slatbench/sim/logic"
)

var update = flag.Bool("update", false, "write the tables and drawings into docs/logic.md")

const guide = "../../docs/logic.md"

// The guide's lists of words, its tuning and its drawings are those of the program.
func TestGuideIsUpToDate(t *testing.T) {
	table := baseline(t)
	data, err := os.ReadFile(guide)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for _, part := range []struct{ name, body string }{
		{"door events", wordTable(logic.DoorWords.Events)},
		{"door guards", wordTable(logic.DoorWords.Guards)},
		{"door actions", wordTable(logic.DoorWords.Actions)},
		{"lock events", wordTable(logic.LockWords.Events)},
		{"lock guards", wordTable(logic.LockWords.Guards)},
		{"lock actions", wordTable(logic.LockWords.Actions)},
		{"tuning", tuningTable(table)},
		{"door drawing", "```mermaid\n" + table.Door.Mermaid() + "```\n"},
		{"lock drawing", "```mermaid\n" + table.Lock.Mermaid() + "```\n"},
	} {
		from, to := "<!-- "+part.name+" -->\n", "<!-- /"+part.name+" -->"
		before, rest, ok := strings.Cut(text, from)
		_, after, ok2 := strings.Cut(rest, to)
		if !ok || !ok2 {
			t.Fatalf("%s has no place for %q", guide, part.name)
		}
		text = before + from + part.body + to + after
	}
	if text == string(data) {
		return
	}
	if !*update {
		t.Fatalf("%s is not up to date: go test ./sim/logic -run Guide -update", guide)
	}
	if err := os.WriteFile(guide, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func wordTable(words []logic.Word) string {
	var s strings.Builder
	s.WriteString("| word | meaning |\n|---|---|\n")
	for _, w := range words {
		fmt.Fprintf(&s, "| `%s` | %s |\n", w.Name, w.Means)
	}
	return s.String()
}

func tuningTable(table *logic.Table) string {
	var s strings.Builder
	s.WriteString("| key | baseline | range | meaning |\n|---|---|---|---|\n")
	v := reflect.ValueOf(table.Tuning)
	for i := range v.NumField() {
		tag := v.Type().Field(i).Tag
		key, _, _ := strings.Cut(tag.Get("yaml"), ",")
		value := scenarios.FormatQuantity(v.Field(i).Float(), scenarios.Dimension(tag.Get("unit")))
		span := strings.ReplaceAll(strings.Trim(tag.Get("range"), "[]"), ",", " to ")
		fmt.Fprintf(&s, "| `%s` | %s | %s | %s |\n", key, value, span, tag.Get("doc"))
	}
	return s.String()
}

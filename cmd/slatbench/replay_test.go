package main

import (
	"os/exec"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
)

// TestWrappedCommands has a shell read commands over several lines: it must see the words
// that were meant, whatever is in them.
func TestWrappedCommands(t *testing.T) {
	shell, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("skipped: no shell")
	}
	long := strings.Repeat("long-", 30)
	for _, words := range [][]string{
		{"slatbench", "run"},
		{"slatbench", "run", "demo/morning-stop.yaml", "--set", "truck.each bay.counterbalance.initial turns=5 turns", "--set", "ambient.temperature=-10 °C", "--seed", "7"},
		{"slatbench", "run", "it's  mine.yaml", "--truck", `a\`, "--logic", `'`, "--set", "x='y z'", "--set", "two  spaces and a b c d e f g h i j k l m n o p q r s t u v w x y z"},
		{"slatbench", "run", long, "--seed", long, "", "--quiet"},
	} {
		var quoted []string
		for _, w := range words {
			quoted = append(quoted, shellWord(w))
		}
		for width := 10; width <= 100; width += 3 {
			lines := wrapCommand(strings.Join(quoted, " "), width)
			for _, l := range lines {
				if runewidth.StringWidth(l) > width && len(shellWords(strings.TrimSuffix(strings.TrimLeft(l, " "), ` \`))) > 1 {
					t.Errorf("a line of more than %d columns, with more than one word: %q", width, l)
				}
			}
			typed := strings.Join(lines, "\n")
			out, err := exec.Command(shell, "-c", "slatbench() { printf '%s\\n' slatbench \"$@\"; }\n"+typed).Output()
			if err != nil {
				t.Fatalf("%s\n%v", typed, err)
			}
			if got, want := string(out), strings.Join(words, "\n")+"\n"; got != want {
				t.Fatalf("%s\nis read as\n%s\nwant\n%s", typed, got, want)
			}
		}
	}
}

package main

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var updateCompare = flag.Bool("update-compare", false, "write what compare prints in docs/compare.md anew")

var digits = regexp.MustCompile(`[0-9]`)

// What docs/compare.md shows as printed is printed, but for the last digits of its
// figures: the model behind them may be made more exact without a word here being wrong.
func TestComparePage(t *testing.T) {
	page, err := filepath.Abs("../../docs/compare.md")
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	_, overlay, _ := strings.Cut(text, "```yaml\n")
	overlay, rest, _ := strings.Cut(overlay, "```")
	_, allow, _ := strings.Cut(rest, "```yaml\n")
	allow, _, _ = strings.Cut(allow, "```")
	t.Chdir(t.TempDir())
	for name, body := range map[string]string{"stiff-seals.yaml": overlay, "meant.yaml": allow} {
		if err := os.WriteFile(name, []byte(body), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	args := []string{"compare", "baseline", "stiff-seals.yaml", "--runs", "40", "--only", "welded-up-contact,shorted-edge-wire"}
	out := printed(t, append(args, "--examples", "found")...)
	want := "`slatbench compare baseline stiff-seals.yaml --runs 40 --only welded-up-contact,shorted-edge-wire --examples found`\n\n" + block(out)
	begin, end := "<!-- printed -->\n", "<!-- /printed -->"
	head, rest, found := strings.Cut(text, begin)
	_, tail, closed := strings.Cut(rest, end)
	if !found || !closed {
		t.Fatal("docs/compare.md has nothing printed between its marks")
	}
	switch want := head + begin + want + end + tail; {
	case want == text:
	case *updateCompare:
		if err := os.WriteFile(page, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	case digits.ReplaceAllString(want, "0") == digits.ReplaceAllString(text, "0"):
		t.Log("docs/compare.md has other figures by now: -update-compare brings them up to date")
	default:
		t.Fatal("docs/compare.md is out of date: go test ./cmd/slatbench -run ComparePage -update-compare, and read what it says around what is printed")
	}
	allowed := printed(t, append(args, "--allow", "meant.yaml")...)
	if !strings.Contains(allowed, "in at most 1 % of the runs, and occurs in 2.5 %") {
		t.Errorf("the allow file of the page does not do what it says:\n%s", allowed)
	}
}

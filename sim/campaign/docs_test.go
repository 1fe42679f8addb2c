package campaign_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"slatbench/sim/campaign"
)

var update = flag.Bool("update", false, "write the table in docs/campaigns.md from the list")

const (
	docsFile   = "../../docs/campaigns.md"
	tableBegin = "<!-- The table is written from the list: go test ./sim/campaign -run TestDocs -update -->\n"
	tableEnd   = "<!-- End of the table -->\n"
)

// The page has the distributions from which cases are drawn.
func TestDocsHaveTheDistributions(t *testing.T) {
	page, err := os.ReadFile(docsFile)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok1 := strings.Cut(string(page), tableBegin)
	table, after, ok2 := strings.Cut(rest, tableEnd)
	if !ok1 || !ok2 {
		t.Fatalf("%s has no table", docsFile)
	}
	expected := distributionsTable()
	if *update {
		if err := os.WriteFile(docsFile, []byte(before+tableBegin+expected+tableEnd+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if table != expected {
		t.Errorf("the table in %s is not what the list says; write it anew with go test ./sim/campaign -run TestDocs -update", docsFile)
	}
}

func distributionsTable() string {
	var s strings.Builder
	s.WriteString("| of | what | unit | law |\n|---|---|---|---|\n")
	for _, d := range campaign.Distributions() {
		fmt.Fprintf(&s, "| %s | %s | %s | %s |\n", d.Group, d.Name, d.Unit, d.Law)
	}
	return s.String()
}

package trace_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"slatbench/sim/trace"
)

var update = flag.Bool("update", false, "write the table in docs/traces.md from the list")

const (
	docsFile   = "../../docs/traces.md"
	tableBegin = "<!-- The table is written from the list: go test ./sim/trace -update -->\n"
	tableEnd   = "<!-- End of the table -->\n"
)

// The table in the docs says what the columns are.
func TestDocsAreUpToDate(t *testing.T) {
	page, err := os.ReadFile(docsFile)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok1 := strings.Cut(string(page), tableBegin)
	table, after, ok2 := strings.Cut(rest, tableEnd)
	if !ok1 || !ok2 {
		t.Fatalf("%s has no table", docsFile)
	}
	expected := columnsTable()
	if *update {
		if err := os.WriteFile(docsFile, []byte(before+tableBegin+expected+tableEnd+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if table != expected {
		t.Errorf("the table in %s is not what the columns are; write it anew with go test ./sim/trace -update", docsFile)
	}
}

func columnsTable() string {
	var s strings.Builder
	s.WriteString("\n| of | name | unit | kind | what it is |\n|---|---|---|---|---|\n")
	kinds := map[trace.Kind]string{trace.Real: "number", trace.Whole: "whole number", trace.Flag: "flag", trace.Word: "word"}
	row := func(of string, columns ...trace.Column) {
		for _, c := range columns {
			fmt.Fprintf(&s, "| %s | `%s` | %s | %s | %s |\n", of, c.Name, c.Unit, kinds[c.Kind], c.Means)
		}
	}
	row("the run", trace.Time)
	row("a bay", trace.BayColumns...)
	row("a side", trace.SideColumns...)
	row("`locks`", trace.LockColumns...)
	s.WriteString("\n")
	return s.String()
}

// Names end in their unit, by the rule that the docs state.
func TestNamesEndInTheirUnit(t *testing.T) {
	suffix := map[string]string{
		"": "", "m": "_m", "m/s": "_m_s", "N": "_n", "A": "_a", "V": "_v", "°C": "_c", "%": "_pct", "s": "_s",
		"pulses": "", // counts says it already
	}
	all := append([]trace.Column{trace.Time}, trace.BayColumns...)
	all = append(append(all, trace.SideColumns...), trace.LockColumns...)
	for _, c := range all {
		end, ok := suffix[c.Unit]
		if !ok || !strings.HasSuffix(c.Name, end) {
			t.Errorf("%s has the unit %q and does not end in %q", c.Name, c.Unit, end)
		}
		if c.Means == "" {
			t.Errorf("%s means nothing", c.Name)
		}
	}
}

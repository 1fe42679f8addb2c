package main

import (
	"bytes"
	"flag"
	"os"
	"strings"
	"testing"
)

var updateStandards = flag.Bool("update-standards", false, "write the findings in docs/standards.md anew")

const (
	standardsPage = "../../docs/standards.md"
	findingsBegin = "<!-- findings -->\n"
	findingsEnd   = "<!-- /findings -->"
)

// The findings in docs/standards.md are what the commands print.
func TestStandardsPage(t *testing.T) {
	page, err := os.ReadFile(standardsPage)
	if err != nil {
		t.Fatal(err)
	}
	head, rest, found := strings.Cut(string(page), findingsBegin)
	_, tail, closed := strings.Cut(rest, findingsEnd)
	if !found || !closed {
		t.Fatalf("%s has no findings between their marks", standardsPage)
	}
	want := head + findingsBegin + findingsText(t) + findingsEnd + tail
	if want == string(page) {
		return
	}
	if !*updateStandards {
		t.Fatalf("%s is out of date: go test ./cmd/slatbench -run StandardsPage -update-standards, and read what it says around the figures", standardsPage)
	}
	if err := os.WriteFile(standardsPage, []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}

func findingsText(t *testing.T) string {
	t.Helper()
	text := "Written by `go test ./cmd/slatbench -run StandardsPage -update-standards` from what the commands print; the test fails\nwhen it is out of date.\n"
	for _, name := range []string{"obstruction-16cfr1211", "force-en12453"} {
		text += "\n`slatbench run " + name + "`\n\n" + block(costsOf(t, name))
	}
	text += "\n`slatbench run force-en12453 --quiet`, the trials that miss a limit:\n\n" + block(printed(t, "run", "force-en12453", "--quiet"))
	return text + "\n"
}

// costsOf is the table of arrangements, and the verdict.
func costsOf(t *testing.T, name string) string {
	t.Helper()
	out := printed(t, "run", name)
	_, costs, found := strings.Cut(out, "\n\nArrangements")
	if !found {
		t.Fatalf("%s prints no arrangements", name)
	}
	costs, rest, _ := strings.Cut("Arrangements"+costs, "\n\n")
	_, verdict, _ := strings.Cut(rest, "\n\n")
	verdict, _, _ = strings.Cut(verdict, "\nagain:")
	return costs + "\n\n" + verdict
}

func printed(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if code := run(args, strings.NewReader(""), &out, &errs); code == exitBadInput {
		t.Fatalf("%v: %s", args, errs.String())
	}
	return out.String()
}

// block indents a text, so that Markdown shows it as it is.
func block(text string) string {
	var b strings.Builder
	for line := range strings.SplitSeq(strings.TrimSpace(text), "\n") {
		b.WriteString(strings.TrimRight("    "+line, " ") + "\n")
	}
	return b.String()
}

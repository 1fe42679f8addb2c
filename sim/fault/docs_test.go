package fault_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"slatbench/scenarios"
	"slatbench/sim/fault"
)

var update = flag.Bool("update", false, "write the table in docs/faults.md from the list")

const (
	docsFile   = "../../docs/faults.md"
	tableBegin = "<!-- The table is written from the list: go test ./sim/fault -update -->\n"
	tableEnd   = "<!-- End of the table -->\n"
)

// The table in the docs says what the list says.
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
	expected := kindsTable()
	if *update {
		if err := os.WriteFile(docsFile, []byte(before+tableBegin+expected+tableEnd+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if table != expected {
		t.Errorf("the table in %s is not what the list says; write it anew with go test ./sim/fault -update", docsFile)
	}
}

// Every parameter has a dimension that files can speak of, and its numbers read
// back as they are written.
func TestParametersCanBeWrittenInFiles(t *testing.T) {
	for _, k := range fault.Kinds() {
		for _, p := range k.Params {
			if p.Words != nil {
				continue
			}
			for _, x := range []float64{p.Default, p.Min, p.Max, p.Mild, p.Severe} {
				text := scenarios.FormatQuantity(x, scenarios.Dimension(p.Unit))
				if back, err := scenarios.ParseQuantity(text, scenarios.Dimension(p.Unit)); err != nil || back != x {
					t.Errorf("%s: %s %g is written %q, which reads %g, %v", k.Name, p.Name, x, text, back, err)
				}
			}
		}
	}
}

func kindsTable() string {
	var s strings.Builder
	s.WriteString("| kind | what it is | what it changes | parameters | example |\n|---|---|---|---|---|\n")
	for _, k := range fault.Kinds() {
		name := "`" + k.Name + "`"
		if k.Event {
			name += " (event)"
		}
		fmt.Fprintf(&s, "| %s | %s | %s | %s | `%s` |\n", name, k.Doc, k.Changes, paramsCell(k), example(k))
	}
	return s.String()
}

func paramsCell(k fault.Kind) string {
	if len(k.Params) == 0 {
		return "none"
	}
	var cells []string
	for i := range k.Params {
		p := &k.Params[i]
		about := ""
		if p.Words != nil {
			about = fmt.Sprintf("%s, default %s", strings.Join(p.Words, " or "), p.Words[int(p.Default)])
		} else {
			about = fmt.Sprintf("%s, default %s, range %s to %s", p.Unit, written(p, p.Default), written(p, p.Min), written(p, p.Max))
		}
		if p.Severity() {
			about += fmt.Sprintf(", drawn from %s to %s", written(p, p.Mild), written(p, p.Severe))
		}
		cell := fmt.Sprintf("`%s` (%s): %s", p.Name, about, p.Doc)
		cells = append(cells, cell)
	}
	return strings.Join(cells, "<br>")
}

func written(p *fault.Param, x float64) string {
	return scenarios.FormatQuantity(x, scenarios.Dimension(p.Unit))
}

// example is how a scenario brings the fault on.
func example(k fault.Kind) string {
	on := map[fault.Place]string{fault.OnBay: "C1", fault.OnSide: "curbside", fault.OnTruck: k.Part}[k.Place]
	line := fmt.Sprintf("{%s: %s, from: 5 s", k.Name, on)
	for i := range k.Params {
		p := &k.Params[i]
		if p.Words != nil {
			line += fmt.Sprintf(", %s: %s", p.Name, p.Words[int(p.Default)])
		} else {
			line += fmt.Sprintf(", %s: %s", p.Name, written(p, p.Default))
		}
	}
	return line + "}"
}

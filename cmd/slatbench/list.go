package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/mattn/go-runewidth"
	"github.com/spf13/cobra"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/fault"
	"slatbench/sim/require"
)

// A listing is one thing that can be listed.
type listing struct {
	word string
	file bool                        // shipped files, shown where no list is named
	rows func() ([][2]string, error) // name, and what it is
}

var listings = []listing{
	{"scenarios", true, shippedRows(scenarios.ScenarioKind)},
	{"trucks", true, shippedRows(scenarios.TruckKind)},
	{"logics", true, shippedRows(scenarios.LogicKind)},
	{"standards", true, shippedRows(scenarios.StandardKind)},
	{"lessons", true, shippedRows(scenarios.LessonKind)},
	{"sizes", true, shippedRows(scenarios.SizeKind)},
	{"soaks", true, shippedRows(scenarios.SoakKind)},
	{"faults", false, faultRows},
	{"requirements", false, requirementRows},
	{"alarms", false, alarmRows},
}

func newList() *cobra.Command {
	var words []string
	for _, l := range listings {
		words = append(words, l.word)
	}
	c := command(cobra.Command{Use: "list [KIND]", Args: atMost(1), ValidArgs: words}, helpList)
	c.RunE = func(c *cobra.Command, args []string) error {
		if len(args) == 1 && !slices.Contains(words, args[0]) {
			return unknownWord("list", args[0], words)
		}
		p := newPen(c.OutOrStdout())
		var text strings.Builder
		for i := range listings {
			l := &listings[i]
			if len(args) == 1 && l.word != args[0] || len(args) == 0 && !l.file {
				continue
			}
			if len(args) == 0 && text.Len() > 0 {
				text.WriteString("\n")
			}
			if len(args) == 0 {
				text.WriteString(p.draw(strong, l.word) + "\n")
			}
			if err := l.write(&text, p, len(args) == 0); err != nil {
				return err
			}
		}
		if len(args) == 0 {
			text.WriteString("\n" + p.draw(faint, alsoListed) + "\n")
		}
		_, err := fmt.Fprint(c.OutOrStdout(), text.String())
		return err
	}
	return c
}

// nameWidth is the column, in characters, that names take; a longer one has a line of its own.
const nameWidth = 25

func (l *listing) write(text *strings.Builder, p pen, indented bool) error {
	rows, err := l.rows()
	if err != nil {
		return err
	}
	margin := ""
	if indented {
		margin = "  "
	}
	for _, r := range rows {
		var lines []string
		for part := range strings.SplitSeq(r[1], "\n") {
			lines = append(lines, wrap(part, lineWidth-nameWidth-2-len(margin))...)
		}
		name := r[0]
		if runewidth.StringWidth(name) > nameWidth {
			text.WriteString(margin + name + "\n")
			name = ""
		}
		for i, line := range lines {
			if i > 0 {
				name = ""
			}
			text.WriteString(strings.TrimRight(margin+pad(name, nameWidth)+"  "+line, " ") + "\n")
		}
	}
	return nil
}

func shippedRows(kind scenarios.FileKind) func() ([][2]string, error) {
	return func() ([][2]string, error) {
		var rows [][2]string
		for _, name := range scenarios.ShippedNames(kind) {
			title, err := scenarios.Title(kind, name)
			if err != nil {
				return nil, err
			}
			rows = append(rows, [2]string{scenarios.ShortName(name), title})
		}
		return rows, nil
	}
}

func faultRows() ([][2]string, error) {
	var rows [][2]string
	for _, k := range fault.Kinds() {
		rows = append(rows, [2]string{k.Name, faultText(&k)})
	}
	return rows, nil
}

func requirementRows() ([][2]string, error) {
	var rows [][2]string
	for _, id := range require.IDs {
		rows = append(rows, [2]string{id, obligations[id]})
	}
	return rows, nil
}

func alarmRows() ([][2]string, error) {
	var rows [][2]string
	for i, name := range sim.AlarmNames {
		rows = append(rows, [2]string{name, pulsesText(i+1) + ": " + alarmMeanings[i]})
	}
	return rows, nil
}

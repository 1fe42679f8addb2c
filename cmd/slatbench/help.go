package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/mattn/go-runewidth"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// A help is laid out here, and not by the command line's library, so that nothing in it
// is wider than a terminal.

// setHelp lets a command, and all below it, tell how they are used.
func setHelp(root *cobra.Command) {
	root.SetHelpFunc(func(c *cobra.Command, _ []string) {
		fmt.Fprint(c.OutOrStdout(), helpText(c))
	})
}

// helpText is all that --help says.
func helpText(c *cobra.Command) string {
	var s sheet
	for i, paragraph := range strings.Split(strings.TrimSpace(cmp.Or(c.Long, c.Short)), "\n\n") {
		if i > 0 {
			s.blank()
		}
		s.paragraph(paragraph)
	}
	s.blank()
	s.line(cell{text: "Usage:"})
	if c.Runnable() {
		s.line(cell{}, cell{text: c.UseLine()})
	}
	if c.HasAvailableSubCommands() {
		s.line(cell{}, cell{text: c.CommandPath() + " [command]"})
	}
	if c.HasExample() {
		s.blank()
		s.text.WriteString("Examples:\n" + strings.TrimRight(c.Example, "\n") + "\n")
	}
	if c.HasAvailableSubCommands() {
		s.blank()
		s.line(cell{text: "Available Commands:"})
		s.subcommands(c)
	}
	if c.HasAvailableLocalFlags() {
		s.blank()
		s.line(cell{text: "Flags:"})
		s.flags(c.LocalFlags())
	}
	if c.HasAvailableSubCommands() {
		s.blank()
		s.wrapped(0, plain, fmt.Sprintf("Use %q for more information about a command.", c.CommandPath()+" [command] --help"))
	}
	return s.text.String()
}

// paragraph fills lines with a text. Lines that are set in stay as they are, and what
// follows a colon at the end of a line begins a line of its own.
func (s *sheet) paragraph(text string) {
	var fill []string
	end := func() {
		if len(fill) > 0 {
			s.wrapped(0, plain, strings.Join(fill, " "))
		}
		fill = nil
	}
	for l := range strings.SplitSeq(text, "\n") {
		switch {
		case strings.HasPrefix(l, "\t"): // a command of the library's own helps
			end()
			s.command(2, strings.TrimLeft(l, "\t"))
			continue
		case strings.HasPrefix(l, "  "):
			end()
			s.text.WriteString(l + "\n")
			continue
		}
		fill = append(fill, l)
		if strings.HasSuffix(l, ":") {
			end()
		}
	}
	end()
}

// subcommands are those of a command, each with what it does.
func (s *sheet) subcommands(c *cobra.Command) {
	var rows [][2]string
	for _, sub := range c.Commands() {
		if sub.IsAvailableCommand() {
			rows = append(rows, [2]string{sub.Name(), sub.Short})
		}
	}
	s.columns(rows)
}

// flags are those of a command, with what each stands for and what it is otherwise.
func (s *sheet) flags(f *pflag.FlagSet) {
	var rows [][2]string
	f.VisitAll(func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		value, usage := pflag.UnquoteUsage(f)
		name := "    --" + f.Name
		if f.Shorthand != "" {
			name = "-" + f.Shorthand + ", --" + f.Name
		}
		if value != "" {
			name += " " + value
		}
		if otherwise := f.DefValue; !slices.Contains([]string{"", "0", "false", "[]", "0s"}, otherwise) {
			if f.Value.Type() == "string" {
				otherwise = fmt.Sprintf("%q", otherwise)
			}
			usage += " (default " + otherwise + ")"
		}
		rows = append(rows, [2]string{name, usage})
	})
	s.columns(rows)
}

// columns sets names and what they mean side by side.
func (s *sheet) columns(rows [][2]string) {
	width := 0
	for _, row := range rows {
		width = max(width, runewidth.StringWidth(row[0]))
	}
	for _, row := range rows {
		name := row[0]
		for _, l := range wrap(row[1], lineWidth-2-width-2) {
			s.text.WriteString("  " + pad(name, width) + "  " + l + "\n")
			name = ""
		}
	}
}

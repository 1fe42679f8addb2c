package main

import (
	"strconv"
	"strings"

	"github.com/mattn/go-runewidth"
)

// replay is the command that runs the same again.
func (f *runFlags) replay() string {
	words := []string{"slatbench", "run"}
	if f.scenario != "" {
		words = append(words, f.scenario)
	}
	if f.truck != "" {
		words = append(words, "--truck", f.truck)
	}
	if f.logic != "" {
		words = append(words, "--logic", f.logic)
	}
	for _, s := range f.set {
		words = append(words, "--set", s)
	}
	if f.seeded {
		words = append(words, "--seed", strconv.FormatUint(f.seed, 10))
	}
	for i := range words {
		words[i] = shellWord(words[i])
	}
	return strings.Join(words, " ")
}

// command writes a command after an indent, by itself or as replayText words it. One that
// is too long for a line goes on below, as a shell takes it.
func (r *sheet) command(indent int, text string) {
	for _, l := range wrapCommand(printable(text), lineWidth-indent) {
		r.text.WriteString(strings.Repeat(" ", indent) + l + "\n")
	}
}

// wrapCommand breaks a command between its words into lines of so many columns, but not
// between a flag and its value, where both fit. All but the last end in a backslash. A
// longer word stays whole.
func wrapCommand(text string, width int) (lines []string) {
	const more = " \\"
	if runewidth.StringWidth(text) <= width {
		return []string{text}
	}
	line, words := "", shellWords(text)
	for i, word := range words {
		pair := word // with the value
		if i+1 < len(words) && strings.HasPrefix(word, "--") && !strings.HasPrefix(words[i+1], "--") {
			pair += " " + words[i+1]
		}
		if runewidth.StringWidth("  "+pair+more) > width {
			pair = word
		}
		switch {
		case line == "":
			line = word
		case runewidth.StringWidth(line+" "+pair+more) <= width:
			line += " " + word
		default:
			lines = append(lines, line+more)
			line = "  " + word
		}
	}
	return append(lines, line)
}

// shellWords takes a command apart at its spaces, but for those in quotes of shellWord.
func shellWords(command string) (words []string) {
	quoted, from := false, 0
	for i, c := range command {
		switch {
		case c == '\'' && !(i > 0 && command[i-1] == '\\' && !quoted):
			quoted = !quoted
		case c == ' ' && !quoted:
			words = append(words, command[from:i])
			from = i + 1
		}
	}
	return append(words, command[from:])
}

// shellWord quotes a word where a POSIX shell would take it apart.
func shellWord(word string) string {
	const safe = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_=+:,./@%"
	if word != "" && strings.Trim(word, safe) == "" && strings.IndexFunc(word, func(r rune) bool { return !strings.ContainsRune(safe, r) }) < 0 {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

package main

import (
	"strconv"
	"strings"
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

// shellWord quotes a word where a POSIX shell would take it apart.
func shellWord(word string) string {
	const safe = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_=+:,./@%"
	if word != "" && strings.Trim(word, safe) == "" && strings.IndexFunc(word, func(r rune) bool { return !strings.ContainsRune(safe, r) }) < 0 {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

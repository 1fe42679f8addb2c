package scenarios

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

// FuzzDecode: any bytes at all are read or refused, without a panic, quickly,
// with a bounded number of problems that all have a place and a message.
func FuzzDecode(f *testing.F) {
	for _, seed := range []string{
		testScenarioFile, testTruckFile, head,
		head + "truck: {from: trucks/produce.yaml, bays: {C1: {mass: 3 lb}}}",
		"from: demo/morning.yaml\ntruck: {each bay: {mass: 3 kg}}",
		"a: &x [*x, *x]", "<<: {a: 1}", "? a\n: b", "--- a\n--- b", "a: !!binary x", "%YAML 1.2",
		"a: |\n  b\n   c", "a: >-\n", "\ufeffa: 1", "a: \"\\u0000\\ud800\"", "a: 'x''y'", "- - - - 1", "a: [{b: [1, {c: 2}]}]",
		"{", "}", "[", "]", ":", "- ", "-", ",", "'", "\"", "#", "\t", "\r", "a:\r\n b:\r c", "a: b: c", "{a, b}", "{a: }", "[a: 1]", "{? a}", "{[a]: b}", "{{a: b}: c}",
		"scenario: " + strings.Repeat("[", 50), strings.Repeat(" a:\n", 40), strings.Repeat("- ", 50), "faults: [{}]", "faults: [{obstruction: {}}]", "duration: .inf", "duration: 1e999 s", "seed: 0x10",
	} {
		f.Add([]byte(seed), "truck.battery.age=0.4")
	}
	f.Add([]byte(testScenarioFile), "faults=[{obstruction: C1, height: 3 m}]")
	f.Add([]byte(testScenarioFile), "truck={from: demo/morning.yaml}")
	f.Add([]byte(testScenarioFile), "truck.each bay.counterbalance={")
	f.Fuzz(func(t *testing.T, data []byte, set string) {
		start := time.Now()
		var loader Loader
		loader.Shipped = testShipped()
		if set != "" {
			loader.Set = []string{set}
		}
		err := loader.LoadBytes("fuzz.yaml", data, &testScenario{})
		if took := time.Since(start); took > time.Minute {
			t.Fatalf("reading took %v", took)
		}
		if err == nil {
			return
		}
		problems, ok := err.(Problems)
		if !ok || len(problems) == 0 || len(problems) > maxProblems+1 {
			t.Fatalf("got %T with %d problems", err, len(problems))
		}
		for i, p := range problems {
			last := i == maxProblems // "and 3 more problems"
			if p.Message == "" || !last && (p.Pos.File == "" || p.Pos.Line < 0) || len(p.Message)+len(p.Hint) > 4000 {
				t.Errorf("problem without place or message, or too long: %+v", p)
			}
			if strings.Contains(p.Message, "\n") || utf8.Valid(data) && !utf8.ValidString(p.Message) {
				t.Errorf("message does not fit a line: %q", p.Message)
			}
		}
	})
}

// The shapes that are dearest to read, at the size limits.
func TestHostileFilesAreCheap(t *testing.T) {
	full := func(piece string) string { return strings.Repeat(piece, maxFileBytes/len(piece)) }
	some := func(piece string, tokens int) string { return strings.Repeat(piece, maxFileTokens/tokens-8) }
	texts := map[string]string{
		"brackets": full("["), "braces": full("{"), "dashes": full("- "), "quotes": full("'"), "double quotes": full("\""), "colons": full(": "),
		"questions": full("? "), "anchors": full("&a "), "aliases": full("*a "), "tags": full("!a "), "percents": full("%a\n"), "documents": full("---\n"),
		"one word": full("a"), "blank lines": full("\n"), "spaces": full(" "), "tabs": full("\t"), "comments": full("#\n"), "block text": "a: |\n" + full("  b\n")[:maxFileBytes-10],
		"same key": some("a: 1\n", 3), "same key in a flow": "{" + some("a: 1,", 4) + "}", "list": some("- 1\n", 2), "flow list": "[" + some("1,", 2) + "]", "empty items": some("-\n", 1), "texts": some("\"\"", 1),
	}
	for name, text := range texts {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			start := time.Now()
			if _, err := loadText(text); err == nil {
				t.Error("no error")
			}
			if took := time.Since(start); took > time.Minute {
				t.Errorf("reading took %v", took)
			}
		})
	}
}

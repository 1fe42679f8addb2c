package main

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
	"github.com/rogpeppe/go-internal/testscript"
)

// TestSizeScripts plays the scripts of testdata/size. In them "size" is the command
// with its arguments, which must end with the exit code before them: "size 0 --json".
// "columns" checks that no line of what it said is wider.
func TestSizeScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/size",
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"size": func(ts *testscript.TestScript, neg bool, args []string) {
				if neg || len(args) == 0 {
					ts.Fatalf("usage: size code [arguments]")
				}
				words := append([]string{"size"}, args[1:]...)
				for i := range words {
					if strings.HasSuffix(words[i], ".yaml") || strings.HasSuffix(words[i], ".csv") || strings.HasSuffix(words[i], ".html") {
						if !strings.Contains(words[i], "/") {
							words[i] = ts.MkAbs(words[i])
						}
					}
				}
				code := run(words, strings.NewReader(""), ts.Stdout(), ts.Stderr())
				if want := args[0]; want != string(rune('0'+code)) {
					ts.Fatalf("exit code %d, want %s", code, want)
				}
			},
			"columns": func(ts *testscript.TestScript, neg bool, args []string) {
				for i, line := range strings.Split(ts.ReadFile("stdout"), "\n") {
					if w := runewidth.StringWidth(line); w > lineWidth {
						ts.Fatalf("line %d is %d columns wide: %s", i+1, w, line)
					}
					if strings.TrimRight(line, " ") != line {
						ts.Fatalf("line %d ends in spaces: %q", i+1, line)
					}
				}
			},
		},
	})
}

// Every key that --json prints is explained in docs/sizing.md.
func TestSizeKeysAreExplained(t *testing.T) {
	text, err := os.ReadFile("../../docs/sizing.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(text), "\n## JSON\n")
	section, _, _ = strings.Cut(section, "\n## ")
	keys := map[string]bool{}
	for _, of := range []reflect.Type{reflect.TypeFor[sizeJSON](), reflect.TypeFor[pickJSON]()} {
		jsonKeys(of, keys)
	}
	if len(keys) < 90 {
		t.Errorf("%d keys only were found", len(keys))
	}
	for key := range keys {
		if !strings.Contains(section, "`"+key+"`") {
			t.Errorf("key %s is not explained", key)
		}
	}
}

// jsonKeys collects the keys of a type and of all that it holds.
func jsonKeys(of reflect.Type, into map[string]bool) {
	switch of.Kind() {
	case reflect.Pointer, reflect.Slice:
		jsonKeys(of.Elem(), into)
	case reflect.Struct:
		for i := range of.NumField() {
			key, _, _ := strings.Cut(of.Field(i).Tag.Get("json"), ",")
			into[key] = true
			jsonKeys(of.Field(i).Type, into)
		}
	}
}

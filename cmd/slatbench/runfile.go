package main

import (
	"io"
	"path/filepath"
	"strings"

	"slatbench/scenarios"
	"slatbench/sim/wholefile"
)

// runFile is what is to be run: a file by its name, or a text from standard input.
type runFile struct {
	name string
	text []byte
	kind scenarios.FileKind
}

// identify tells what the argument of run is.
func (f *runFlags) identify(in io.Reader) (runFile, error) {
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	switch f.scenario {
	case "":
		return runFile{name: scenarios.DemoScenario, kind: scenarios.ScenarioKind}, nil
	case "-":
		text, err := scenarios.ReadAll(in)
		if err != nil {
			return runFile{}, scenarios.Problems{{Pos: scenarios.Pos{File: standardInput}, Message: "cannot be read: " + err.Error()}}
		}
		if text == nil {
			text = []byte{}
		}
		return runFile{text: text, kind: l.KindOfBytes(text)}, nil
	}
	name := scenarios.FullName(scenarios.ScenarioKind, f.scenario)
	if !scenarios.Exists(name) {
		for _, kind := range []scenarios.FileKind{scenarios.StandardKind, scenarios.LessonKind} {
			if other := scenarios.FullName(kind, f.scenario); scenarios.Exists(other) {
				name = other
			}
		}
	}
	return runFile{name: name, kind: l.KindOf(name)}, nil
}

func endsInHTML(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".html", ".htm":
		return true
	}
	return strings.HasPrefix(name, "/dev/")
}

// writePage lets a report write itself into a file, whole or not at all.
func writePage(file *wholefile.File, write func(io.Writer) error) error {
	defer file.Discard()
	if err := write(file); err != nil {
		return err
	}
	return file.Commit()
}

package scenarios

import (
	"io"
	"path/filepath"
	"strings"

	"slatbench/sim/logic"
)

// kindKeys are the keys that tell the kinds of file apart that can be run or taken.
var kindKeys = map[string]FileKind{"scenario": ScenarioKind, "standard test": StandardKind, "lesson": LessonKind}

// KindOf tells by its top keys what a file is that can be run or taken: a scenario,
// a standard test, or a lesson. A file that starts from another is what that one is. Where it
// cannot be told, as in a file that cannot be read, it is ScenarioKind: loading
// it as one says what is wrong.
func (l *Loader) KindOf(name string) FileKind {
	src, data, err := l.open(name, source{})
	for depth := 0; err == nil && depth <= maxFromDepth; depth++ {
		root, bad := parseFile(src.name, data)
		if bad != nil {
			return ScenarioKind
		}
		kind, from := kindOfNode(root)
		if kind != "" || from == "" {
			return kindOrScenario(kind)
		}
		src, data, err = l.open(from, src)
	}
	return ScenarioKind
}

// KindOfBytes is KindOf for a text; files that it starts from are looked for from
// the working directory.
func (l *Loader) KindOfBytes(data []byte) FileKind {
	root, err := parseFile("", data)
	if err != nil {
		return ScenarioKind
	}
	kind, from := kindOfNode(root)
	if kind == "" && from != "" {
		return l.KindOf(from)
	}
	return kindOrScenario(kind)
}

func kindOfNode(root *Node) (kind FileKind, from string) {
	if root.Kind != Mapping {
		return "", ""
	}
	for _, p := range root.Pairs {
		if k, ok := kindKeys[p.Key]; ok {
			return k, ""
		}
		if p.Key == fromKey && p.Value.Kind == Scalar {
			from = p.Value.Text
		}
	}
	return "", from
}

func kindOrScenario(kind FileKind) FileKind {
	if kind == "" {
		return ScenarioKind
	}
	return kind
}

// ReadAll reads a stream to its end, or to one byte more than a file may have,
// which the loader then refuses.
func ReadAll(r io.Reader) ([]byte, error) { return readBounded(r) }

// LoadStandardTestBytes reads a standard test from a text. The name stands for it
// in messages.
func (l *Loader) LoadStandardTestBytes(name string, data []byte) (*StandardTest, error) {
	var st StandardTest
	if err := l.LoadBytes(name, data, &st); err != nil {
		return nil, err
	}
	return &st, nil
}

// LoadLogicOfTest reads the logic table that a standard test names: beside the
// file that names it, then among the shipped ones. Changes in l.Set are made to
// the table.
func (l *Loader) LoadLogicOfTest(st *StandardTest) (*logic.Table, error) {
	return l.loadLogicNamed(st.Logic, &st.Located)
}

// namedBy is the file in which the key "logic" of a file stands; none where it
// stands on the command line, or is left out.
func (l *Loader) namedBy(in *Located) source {
	if at := in.PosOf("logic"); in.Has("logic") && at.Line > 0 {
		return source{name: at.File, shipped: strings.HasPrefix(at.File, shippedPrefix)}
	}
	return source{}
}

// loadLogicNamed reads the logic table that the key "logic" of a file names.
func (l *Loader) loadLogicNamed(name string, in *Located) (*logic.Table, error) {
	by := l.namedBy(in)
	src, data, err := l.open(filepath.FromSlash(name), by)
	if err != nil {
		return nil, Problems{l.missing(&Node{Kind: Scalar, Text: name, Pos: in.PosOf("logic")}, by, err, LogicKind)}
	}
	var f logicFile
	if err := l.decode(src, data, &f, l.Set); err != nil {
		return nil, err
	}
	return f.table(), nil
}

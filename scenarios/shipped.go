package scenarios

import (
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"

	"github.com/invopop/jsonschema"
)

// FileKind is a kind of file that people edit.
type FileKind string

// The kinds of file.
const (
	ScenarioKind FileKind = "scenario"
	TruckKind    FileKind = "truck"
	LogicKind    FileKind = "logic"
	StandardKind FileKind = "standard"
	LessonKind   FileKind = "lesson"
	SizeKind     FileKind = "size"
	SoakKind     FileKind = "soak"
	FirmwareKind FileKind = "firmware" // none ships: they name files that are built
)

// FileKinds lists the kinds of file.
var FileKinds = []FileKind{ScenarioKind, TruckKind, LogicKind, StandardKind, LessonKind, SizeKind, SoakKind, FirmwareKind}

// folders are where the shipped files of a kind lie. Demos come first.
var folders = map[FileKind][]string{
	ScenarioKind: {"demo", "faults"},
	TruckKind:    {"trucks"},
	LogicKind:    {"logic"},
	StandardKind: {"standards"},
	LessonKind:   {"lessons"},
	SizeKind:     {"sizing"},
	SoakKind:     {"soak"},
}

// ShippedNames lists the shipped files of a kind, by name, folder after folder.
func ShippedNames(kind FileKind) []string {
	var names []string
	for _, folder := range folders[kind] {
		found, err := fs.Glob(shipped, folder+"/*.yaml")
		if err != nil {
			panic("scenarios: " + err.Error())
		}
		names = append(names, found...)
	}
	return names
}

// AllShipped lists every shipped file: scenarios, trucks and logic tables first.
func AllShipped() []string {
	var names []string
	for _, kind := range FileKinds {
		names = append(names, ShippedNames(kind)...)
	}
	rest, err := fs.Glob(shipped, "*/*.yaml")
	if err != nil {
		panic("scenarios: " + err.Error())
	}
	for _, name := range rest {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// ShortName is a shipped file's name without folder and ending, as users may type it.
func ShortName(name string) string { return strings.TrimSuffix(path.Base(name), ".yaml") }

// FullName turns what a user typed into the name of a file: a file on disk or a
// shipped one stays as it is; a short name becomes that of the shipped file. A
// name that fits nothing is returned as it is, for the loader to tell so.
func FullName(kind FileKind, typed string) string {
	if _, err := os.Stat(typed); err == nil {
		return typed
	}
	if strings.Contains(typed, "/") || strings.HasPrefix(typed, shippedPrefix) {
		return typed
	}
	for _, name := range ShippedNames(kind) {
		if ShortName(name) == typed || path.Base(name) == typed {
			return name
		}
	}
	return typed
}

// Exists tells whether a name is that of a file on disk, or of a shipped one.
func Exists(name string) bool {
	if _, err := os.Stat(name); err == nil {
		return true
	}
	_, err := fs.Stat(shipped, path.Clean(strings.TrimPrefix(name, shippedPrefix)))
	return err == nil
}

// NearestShipped is the shipped file of a kind whose short name is nearest to
// what a user typed, or "" where none is near.
func NearestShipped(kind FileKind, typed string) string {
	names := ShippedNames(kind)
	short := make([]string, len(names))
	for i := range names {
		short[i] = ShortName(names[i])
	}
	if near := nearest(ShortName(typed), short); near != "" {
		return names[slices.Index(short, near)]
	}
	return ""
}

// Title is what a shipped file calls itself: its scenario, its truck, its logic.
func Title(kind FileKind, name string) (string, error) {
	l := &Loader{Shipped: shipped}
	switch kind {
	case ScenarioKind:
		sc, err := l.LoadScenario(shippedPrefix + name)
		if err != nil {
			return "", err
		}
		return sc.Title(), nil
	case TruckKind:
		t, err := l.LoadTruck(shippedPrefix + name)
		if err != nil {
			return "", err
		}
		return t.Name, nil
	case LogicKind:
		t, err := l.LoadLogic(shippedPrefix + name)
		if err != nil {
			return "", err
		}
		return t.Name, nil
	case StandardKind:
		st, err := l.LoadStandardTest(shippedPrefix + name)
		if err != nil {
			return "", err
		}
		return st.Name, nil
	case LessonKind:
		ls, err := l.LoadLesson(shippedPrefix + name)
		if err != nil {
			return "", err
		}
		return ls.Title(), nil
	case SizeKind:
		f, err := l.LoadSize(shippedPrefix+name, nil)
		if err != nil {
			return "", err
		}
		return f.Name, nil
	case SoakKind:
		f, err := l.LoadSoak(shippedPrefix + name)
		if err != nil {
			return "", err
		}
		return f.Name, nil
	}
	return "", fmt.Errorf("no kind of file is called %q", kind)
}

// SchemaOf describes a kind of file to editors.
func SchemaOf(kind FileKind) (*jsonschema.Schema, error) {
	switch kind {
	case ScenarioKind:
		return Schema(&Scenario{}, "scenario"), nil
	case TruckKind:
		return Schema(&TruckFile{}, "truck"), nil
	case LogicKind:
		return logicSchema(), nil
	case StandardKind:
		return Schema(&StandardTest{}, "standard test"), nil
	case LessonKind:
		return Schema(&Lesson{}, "lesson"), nil
	case SizeKind:
		return Schema(&SizeFile{}, "size file"), nil
	case SoakKind:
		return Schema(&SoakFile{}, "soak"), nil
	case FirmwareKind:
		return Schema(&firmwareFile{}, "firmware"), nil
	}
	return nil, fmt.Errorf("no kind of file is called %q", kind)
}

// Nearest returns the word closest to what a user typed, or "" when none is close
// enough to be a likely slip.
func Nearest(typed string, words []string) string { return nearest(typed, words) }

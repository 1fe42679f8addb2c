package scenarios

import (
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
)

// springListKind is the kind of a list of springs, which is no file of keys and values.
const springListKind FileKind = "spring list"

// kindWords are what a kind of file is called, and what takes one.
var kindWords = map[FileKind]struct{ noun, taken string }{
	ScenarioKind:   {"a scenario", "slatbench run plays it"},
	TruckKind:      {"a truck file", "--truck takes it"},
	LogicKind:      {"a logic table", "--logic takes it"},
	StandardKind:   {"a standard test", "slatbench run makes its trials"},
	LessonKind:     {"a lesson", "slatbench lesson check plays it by script; slatbench serve opens it in the browser"},
	SizeKind:       {"a size file", "slatbench size answers it"},
	SoakKind:       {"a soak", "slatbench soak plays it"},
	FirmwareKind:   {"a firmware file", "--logic takes it"},
	springListKind: {"a list of springs", "slatbench size chooses from it"},
}

// kindOfType is the kind of file that is read into a struct; none where it is read
// from part of one.
func kindOfType(t reflect.Type) FileKind {
	switch t {
	case reflect.TypeFor[Scenario]():
		return ScenarioKind
	case reflect.TypeFor[TruckFile]():
		return TruckKind
	case reflect.TypeFor[logicFile]():
		return LogicKind
	case reflect.TypeFor[StandardTest]():
		return StandardKind
	case reflect.TypeFor[Lesson]():
		return LessonKind
	case reflect.TypeFor[SizeFile]():
		return SizeKind
	case reflect.TypeFor[SoakFile]():
		return SoakKind
	case reflect.TypeFor[firmwareFile]():
		return FirmwareKind
	}
	return ""
}

// kinds are those of the files that are read into a struct, for a suggestion.
func (s *structShape) kinds() []FileKind {
	if kind := kindOfType(s.typ); kind != "" {
		return []FileKind{kind}
	}
	return nil
}

func kindsOfTarget(target any) []FileKind {
	return (&structShape{typ: reflect.TypeOf(target).Elem()}).kinds()
}

// titleKeys are the keys that no kind of file has but its own.
var titleKeys = []FileKind{ScenarioKind, LessonKind, SizeKind, SoakKind, FirmwareKind}

// kindByKeys tells the kind of a file by its top keys; none where they do not tell.
// That a file names a truck or a logic makes it neither: it takes one of their parts.
func kindByKeys(root *Node) FileKind {
	has := func(keys ...string) bool {
		return slices.ContainsFunc(keys, func(key string) bool { return root.pair(key) != nil })
	}
	if root.Kind != Mapping {
		return ""
	}
	for _, kind := range titleKeys {
		if has(string(kind)) {
			return kind
		}
	}
	switch {
	case has("standard test"):
		return StandardKind
	case has("truck") && has("feed", "remote", "bays", "each bay"):
		return TruckKind
	case has("logic") && !has("truck") && has("tuning", "door", "lock", basedOnKey):
		return LogicKind
	}
	return ""
}

// otherKind is the problem of a file that is of another kind than the struct that it
// is to be read into; nil where it is of that kind, or of none that can be told.
func otherKind(root *Node, s *structShape) *Problem {
	is, want := kindByKeys(root), kindOfType(s.typ)
	if is == "" || want == "" || is == want {
		return nil
	}
	return isOtherKind(root, is, want)
}

func isOtherKind(root *Node, is, want FileKind) *Problem {
	return &Problem{root.Pos, fmt.Sprintf("this is %s, expected %s", kindWords[is].noun, kindWords[want].noun), kindWords[is].taken}
}

// HintFor is what to try about a name that is neither that of a file nor of a shipped one
// of some kinds: the shipped file of another kind that it is, or the nearest of these
// kinds. It is empty where there is neither.
func HintFor(typed string, kinds ...FileKind) string {
	return (&Loader{Shipped: shipped}).hintFor(typed, source{}, kinds)
}

func (l *Loader) hintFor(typed string, by source, kinds []FileKind) string {
	near := l.nearestFile(typed, by, kinds)
	if near == "" || stem(near) != stem(typed) {
		if name, kind := l.ofOtherKind(typed, kinds); name != "" {
			return fmt.Sprintf("%s is %s: %s", name, kindWords[kind].noun, kindWords[kind].taken)
		}
	}
	if near == "" {
		return ""
	}
	return "did you mean " + near + "?"
}

// stem is a name without its folder and ending.
func stem(name string) string {
	base := path.Base(filepath.ToSlash(name))
	return strings.TrimSuffix(base, path.Ext(base))
}

// ofOtherKind is the shipped file that a name means, of none of these kinds.
func (l *Loader) ofOtherKind(typed string, kinds []FileKind) (string, FileKind) {
	if l.Shipped == nil || len(kinds) == 0 || strings.ContainsAny(typed, `/\`) {
		return "", ""
	}
	for _, kind := range FileKinds {
		for _, name := range ShippedNames(kind) {
			if !slices.Contains(kinds, kind) && (ShortName(name) == typed || path.Base(name) == typed) {
				return name, kind
			}
		}
	}
	return "", ""
}

// nearestFile suggests a file of some kinds, of any where there are none: by its whole
// name, or by the last part of it.
func (l *Loader) nearestFile(typed string, by source, kinds []FileKind) string {
	names := l.fileNames(by, kinds)
	typed = filepath.ToSlash(typed)
	for {
		i := nearestName(typed, names)
		if i < 0 {
			return ""
		}
		if l.mayBe(names[i], by, kinds) {
			return names[i]
		}
		names = slices.Delete(names, i, i+1)
	}
}

// nearestName is the place of the name that is nearest, -1 for none. Endings are left
// out: they are alike, and would let short names pass for near ones.
func nearestName(typed string, names []string) int {
	whole, last := make([]string, len(names)), make([]string, len(names))
	for i, name := range names {
		whole[i], last[i] = strings.TrimSuffix(name, path.Ext(name)), stem(name)
	}
	if near := nearest(strings.TrimSuffix(typed, path.Ext(typed)), whole); near != "" {
		return slices.Index(whole, near)
	}
	if near := nearest(stem(typed), last); near != "" {
		return slices.Index(last, near)
	}
	return -1
}

// mayBe tells that a file that is suggested is of one of the kinds, or cannot be told.
func (l *Loader) mayBe(name string, by source, kinds []FileKind) bool {
	src, data, err := l.open(name, by)
	if err != nil || len(kinds) == 0 || slices.Contains(kinds, springListKind) {
		return err == nil
	}
	root, err := parseFile(src.name, data)
	if err != nil {
		return true
	}
	kind := kindByKeys(root)
	return kind == "" || slices.Contains(kinds, kind) || kind == FirmwareKind && slices.Contains(kinds, LogicKind)
}

// maxNames bounds the names looked through for a suggestion.
const maxNames = 1000

// fileNames lists the files that a user may have meant: those beside the naming file,
// whatever is in them, and the shipped ones of some kinds, of all where there are none.
func (l *Loader) fileNames(by source, kinds []FileKind) []string {
	ending := ".yaml"
	if slices.Contains(kinds, springListKind) {
		ending = ".csv"
	}
	var names []string
	if !by.shipped && !l.Sealed {
		entries, _ := os.ReadDir(filepath.Dir(by.name))
		for _, entry := range entries[:min(len(entries), maxNames)] {
			if strings.HasSuffix(entry.Name(), ending) {
				names = append(names, entry.Name())
			}
		}
	}
	if l.Shipped != nil {
		found, _ := fs.Glob(l.Shipped, "*/*"+ending)
		for _, name := range found {
			if len(kinds) == 0 || slices.ContainsFunc(kinds, func(kind FileKind) bool {
				return kind == springListKind || slices.Contains(folders[kind], path.Dir(name))
			}) {
				names = append(names, name)
			}
		}
	}
	slices.Sort(names)
	return names
}

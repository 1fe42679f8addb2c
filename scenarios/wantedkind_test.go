package scenarios

import (
	"reflect"
	"slices"
	"testing"
)

// TestKindsAreTold: every shipped file is told to be what its folder says, and no kind
// of file has the title of another among its keys.
func TestKindsAreTold(t *testing.T) {
	l := &Loader{Shipped: Shipped()}
	for _, kind := range FileKinds {
		for _, name := range ShippedNames(kind) {
			src, data, err := l.open(name, source{})
			if err != nil {
				t.Fatal(err)
			}
			root, err := parseFile(src.name, data)
			if err != nil {
				t.Fatal(err)
			}
			if got := kindByKeys(root); got != kind && got != "" {
				t.Errorf("%s is told to be of the kind %q, want %q", name, got, kind)
			} else if got == "" && root.pair(fromKey) == nil {
				t.Errorf("%s: its kind cannot be told, and it starts from no other", name)
			}
		}
	}
	for _, typ := range []reflect.Type{
		reflect.TypeFor[Scenario](), reflect.TypeFor[TruckFile](), reflect.TypeFor[logicFile](), reflect.TypeFor[logicChanges](), reflect.TypeFor[StandardTest](),
		reflect.TypeFor[Lesson](), reflect.TypeFor[SizeFile](), reflect.TypeFor[SoakFile](), reflect.TypeFor[firmwareFile](),
	} {
		for _, key := range shapeOfStruct(typ).keys() {
			if slices.Contains(titleKeys, FileKind(key)) && kindOfType(typ) != FileKind(key) {
				t.Errorf("%v has the key %q, by which another kind is told", typ, key)
			}
		}
	}
}

// TestPartsOfOtherKinds: a file that lacks its title, and takes a part of another kind,
// is not taken for that kind.
func TestPartsOfOtherKinds(t *testing.T) {
	for text, want := range map[string]FileKind{
		"truck: x\nduration: 5 s\n":                         "", // a scenario without its title
		"truck: x\nlogic: y\nbattery: {aging: 1 %}\n":       "", // a soak
		"truck: x\nbattery: {age: 10 %}\ndoor: {}\n":        "", // a size file
		"truck: x\nfeed: {}\n":                              TruckKind,
		"from: x\ntruck: y\neach bay: {}\n":                 TruckKind,
		"logic: x\nbased on: y\n":                           LogicKind,
		"logic: x\ndoor: {}\nlock: {}\n":                    LogicKind,
		"firmware: x\ndoor: y\n":                            FirmwareKind,
		"standard test: x\ntruck: {}\nlogic: y\n":           StandardKind,
		"lesson: x\ntruck: {from: y, feed: {}}\nlogic: z\n": LessonKind,
	} {
		root, err := parseFile("x.yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if got := kindByKeys(root); got != want {
			t.Errorf("%q is told to be of the kind %q, want %q", text, got, want)
		}
	}
}

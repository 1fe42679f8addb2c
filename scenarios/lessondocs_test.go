package scenarios

import (
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"
)

// The worked lesson of docs/lessons.md is read and tells right from wrong, its
// pieces are read in a lesson's place, and every key and every kind of condition
// is described.
func TestExamplesOfTheLessonDocs(t *testing.T) {
	const name = "../docs/lessons.md"
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	examples := regexp.MustCompile("(?s)```yaml\n(.*?)```").FindAllStringSubmatch(string(text), -1)
	if len(examples) != 4 {
		t.Fatalf("%d examples, want a lesson, one from another, a workshop and a check", len(examples))
	}
	loadLesson(t, examples[1][1])
	whole := examples[0][1]
	ls := loadLesson(t, whole)
	table, err := (&Loader{Shipped: Shipped()}).LoadLogicOfLesson(ls)
	if err != nil {
		t.Fatal(err)
	}
	tries, err := ls.Tries(table)
	if err != nil {
		t.Fatal(err)
	}
	for _, try := range tries {
		if try.Bad() {
			t.Errorf("who %s: passed %v", try.What, try.Passed)
		}
		if !strings.Contains(string(text), try.What) {
			t.Errorf("what is printed of it does not have %q", try.What)
		}
	}
	loadLesson(t, strings.Replace(smallLesson, "workshop:\n", strings.Replace(examples[2][1], "mends: [low-battery]", "mends: [manual-release-open]", 1), 1))
	before, _, _ := strings.Cut(smallLesson, "check:\n")
	loadLesson(t, before+strings.Replace(examples[3][1], "low-battery", "manual-release-open", 1))

	for _, typ := range []reflect.Type{
		reflect.TypeFor[Lesson](), reflect.TypeFor[LessonJob](), reflect.TypeFor[LessonStep](), reflect.TypeFor[LessonQuestion](),
		reflect.TypeFor[LessonChoice](), reflect.TypeFor[LessonHint](), reflect.TypeFor[LessonRemark](), reflect.TypeFor[LessonCheck](),
	} {
		for _, key := range shapeOfStruct(typ).keys() {
			if !strings.Contains(string(text), "`"+key+"`") && !strings.Contains(whole, key+":") {
				t.Errorf("%s: nothing describes the key %q of %s", name, key, typ.Name())
			}
		}
	}
	for _, k := range (&Condition{}).Kinds() {
		if !strings.Contains(string(text), "`{"+k.Key+": ") {
			t.Errorf("%s: nothing describes the condition %q", name, k.Key)
		}
	}
	for _, c := range LessonCharts {
		if !strings.Contains(string(text), "`"+c+"`") {
			t.Errorf("%s: nothing describes the chart %q", name, c)
		}
	}
	for _, shipped := range ShippedNames(LessonKind) {
		if !strings.Contains(string(text), "| `"+ShortName(shipped)+"` |") {
			t.Errorf("%s does not list %s", name, shipped)
		}
	}
}

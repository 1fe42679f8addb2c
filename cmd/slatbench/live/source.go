package live

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/require"
)

// Wanted is what the command line has asked for.
type Wanted struct {
	Scenario string // file or shipped name; "" is a truck that nothing happens to
	Truck    string // file or shipped name, for a truck that nothing happens to
	Logic    string // file or shipped name, for whatever is opened; "" is what that names
}

// source is what a run is made from, and how to name it in a file.
type source struct {
	name  string // by which it can be opened again; "" where it came as a text
	title string
	sc    *scenarios.Scenario
	under *scenarios.UnderTest
	base  string // scenario file that a saved one can start from; "" where there is none
	text  string // its text, where it came as one
	logic string // that was asked for in place of its own; "" otherwise
	owned bool   // under is closed with it

	lesson *scenarios.Lesson // that sc is the start of; nil where it is a scenario
}

// shelf is where sources come from.
type shelf struct {
	wanted Wanted
	under  *scenarios.UnderTest // of Wanted.Logic; nil where each scenario has its own
}

func newShelf(w Wanted) (*shelf, error) {
	s := &shelf{wanted: w}
	if w.Logic != "" {
		l := &scenarios.Loader{Shipped: scenarios.Shipped()}
		under, err := l.LoadUnderTest(scenarios.FullName(scenarios.LogicKind, w.Logic))
		if err != nil {
			return nil, err
		}
		s.under = under
	}
	return s, nil
}

func (s *shelf) close() error {
	if s.under == nil {
		return nil
	}
	return s.under.Close()
}

// quietText is the truck that nothing happens to.
const quietText = `scenario: A truck, and nothing planned
truck: %s
duration: 24 h
`

// QuietFile is where a mistake stands in the truck that nothing happens to.
const QuietFile = "the truck"

// first is what a page without a wish is given.
func (s *shelf) first() (*source, error) {
	if s.wanted.Scenario != "" {
		return s.asked()
	}
	truck := scenarios.DefaultTruck
	if s.wanted.Truck != "" {
		truck = absolute(scenarios.FullName(scenarios.TruckKind, s.wanted.Truck))
	}
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	return s.fromText(l, QuietFile, fmt.Sprintf(quietText, truck))
}

// asked opens what the command line has named, a scenario or a lesson.
func (s *shelf) asked() (*source, error) {
	name := s.wanted.Scenario
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	full := scenarios.FullName(scenarios.ScenarioKind, name)
	if lesson := scenarios.FullName(lessonKind, name); !scenarios.Exists(full) && scenarios.Exists(lesson) {
		full = lesson
	}
	switch k := l.KindOf(full); k {
	case scenarios.ScenarioKind:
		return s.file(name, full)
	case lessonKind:
		return s.lessonFile(name, full)
	default:
		return nil, wrong{fmt.Sprintf("%s is a %s file", full, k), "a scenario or a lesson can be operated"}
	}
}

// named opens a scenario by its name for a page, which may ask for shipped ones and for
// what the command line has named, so that no page can read other files.
func (s *shelf) named(name string) (*source, error) {
	if name == s.wanted.Scenario {
		return s.first()
	}
	shipped := scenarios.ShippedNames(scenarios.ScenarioKind)
	if !slices.Contains(shipped, name) {
		return nil, unknown("scenario", name, shipped)
	}
	return s.file(name, "shipped:"+name)
}

func (s *shelf) file(name, full string) (*source, error) {
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	sc, err := l.LoadScenario(full)
	if err != nil {
		return nil, err
	}
	return s.finish(l, &source{name: name, title: sc.Title(), sc: sc, base: absolute(full)})
}

// dropped opens the text of a scenario file. It can name shipped files only.
func (s *shelf) dropped(file, text string) (*source, error) {
	if file == "" {
		file = "dropped.yaml"
	}
	l := &scenarios.Loader{Shipped: scenarios.Shipped(), Sealed: true}
	return s.fromText(l, plainName(file), text)
}

func (s *shelf) fromText(l *scenarios.Loader, file, text string) (*source, error) {
	switch k := l.KindOfBytes([]byte(text)); k {
	case scenarios.ScenarioKind:
	case lessonKind:
		ls, err := l.LoadLessonFrom(strings.NewReader(text), file)
		if err != nil {
			return nil, err
		}
		return s.finish(l, &source{title: ls.Title(), sc: ls.Scenario(), lesson: ls})
	default:
		return nil, wrong{fmt.Sprintf("%s is a %s file", file, k), "a scenario or a lesson can be operated"}
	}
	var sc scenarios.Scenario
	if err := l.LoadBytes(file, []byte(text), &sc); err != nil {
		return nil, err
	}
	return s.finish(l, &source{title: sc.Title(), sc: &sc, text: text})
}

// finish gives a source its controllers.
func (s *shelf) finish(l *scenarios.Loader, src *source) (*source, error) {
	if s.under != nil {
		src.under, src.logic = s.under, absolute(scenarios.FullName(scenarios.LogicKind, s.wanted.Logic))
		return src, nil
	}
	under, err := l.LoadUnderTestOf(src.sc)
	if err != nil {
		return nil, err
	}
	src.under, src.owned = under, true
	return src, nil
}

// plainName is the last part of a file's name, on one line and not too long.
func plainName(file string) string {
	file = filepath.Base(filepath.ToSlash(strings.Join(strings.Fields(file), " ")))
	if len(file) > 80 {
		file = file[:80]
	}
	return strings.ToValidUTF8(file, "?")
}

// absolute names a file so that it is found from any folder. A shipped one is.
func absolute(name string) string {
	if strings.HasPrefix(name, "shipped:") {
		return name
	}
	for _, n := range scenarios.AllShipped() {
		if n == name {
			return "shipped:" + name
		}
	}
	if a, err := filepath.Abs(name); err == nil {
		return a
	}
	return name
}

func (s *source) close() error {
	if !s.owned {
		return nil
	}
	return s.under.Close()
}

func (s *source) setup() (sim.Setup, error) { return s.sc.Setup(s.under.Logic) }

func (s *source) options() require.Options { return s.sc.Options() }

// write is a story as a scenario file: by itself where that can say it, and otherwise
// over the file or the text that it was opened from.
func (s *source) write(story *scenarios.Story) (string, error) {
	story.Logic = s.logic
	l := &scenarios.Loader{Shipped: scenarios.Shipped(), Sealed: s.text != "" && s.base == ""}
	if s.lesson != nil {
		return s.writeLesson(l, story)
	}
	var err error
	if s.base != "" {
		var text string
		if text, err = l.WriteOver(savedName, s.base, story); err == nil {
			return text, nil
		}
	}
	if s.text != "" {
		var text string
		if text, err = l.WriteInto(savedName, s.text, story); err == nil {
			return text, nil
		}
	}
	return "", errors.Join(errors.New("what was done cannot be written as a scenario"), err)
}

// writeLesson writes what was done in a lesson, whose file no scenario can start from.
func (s *source) writeLesson(l *scenarios.Loader, story *scenarios.Story) (string, error) {
	story.Truck = s.sc.Truck.Base()
	if story.Logic == "" {
		story.Logic = s.sc.Logic
	}
	text, err := l.Write(savedName, story)
	if err != nil {
		return "", errors.Join(errors.New("what was done in this lesson cannot be written as a scenario"), err)
	}
	return text, nil
}

// savedName stands for a saved file, whose folder nobody knows yet: what it names is
// named so that it is found from anywhere.
const savedName = "saved.yaml"

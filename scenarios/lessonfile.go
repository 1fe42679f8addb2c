package scenarios

import (
	"io"
	"strings"

	"slatbench/sim/logic"
)

// Lesson is a lesson as written in a file: where the truck stands, steps that
// lead from a symptom to its cause, what can be done in the workshop, and how
// the bench finds out at the end whether the fault is really cured.
type Lesson struct {
	Located
	Overlay
	Name     string         `yaml:"lesson,required" doc:"what it is about, on one line"`
	About    string         `yaml:"about,required" doc:"what the learner will know afterwards"`
	Caution  string         `yaml:"caution" doc:"what can hurt where hands might follow this lesson; shown throughout"`
	Takes    float64        `yaml:"takes" unit:"time" range:"[1 min,4 h]" default:"20 min" doc:"about how long a class needs"`
	Truck    TruckFile      `yaml:"truck,required" doc:"the truck, or the file that describes it"`
	Logic    string         `yaml:"logic" default:"logic/baseline.yaml" doc:"the logic table that every controller runs"`
	Ambient  ambientPart    `yaml:"ambient" doc:"where the truck stands"`
	Start    startPart      `yaml:"start" doc:"how it stands before anything happens"`
	Seed     uint64         `yaml:"seed" doc:"of what is left to chance, such as extra pulses"`
	Faults   []FaultItem    `yaml:"faults" doc:"what is wrong, or in the way, from the start"`
	Bay      string         `yaml:"bay,required" doc:"the bay that the lesson looks at"`
	Watch    []ChartWord    `yaml:"watch" doc:"the charts that show it best, in this order"`
	Switches bool           `yaml:"fault switches" default:"no" doc:"the learner sees and uses the fault switches; no: what is wrong is to be found, and mended in the workshop"`
	Jobs     Map[LessonJob] `yaml:"workshop" doc:"what the learner can do to the truck with tools, by a short name"`
	Steps    []LessonStep   `yaml:"steps,required" doc:"what is read, predicted, found and waited for, in order"`
	Proof    LessonCheck    `yaml:"check,required" doc:"how the bench finds out whether the fault is really cured"`
}

// LessonJob is something that the learner can do to the truck with tools, right or wrong.
type LessonJob struct {
	Located
	Say    string      `yaml:"say,required" doc:"what is done, as a label"`
	Mends  []string    `yaml:"mends" doc:"kinds of fault that it takes off, wherever the lesson has put them"`
	Brings []FaultItem `yaml:"brings" doc:"faults that it brings on"`
	Then   string      `yaml:"then" doc:"what is told when it is done"`
}

// LessonStep is one step. Its parts come in this order: text is read; ask is
// answered, with the run held until it is; plays begins; the run goes on until
// what until or find says has come about; then is told, with what belongs to the
// answer that was given; the learner asks for the next step. A step that waits and
// has nothing to tell goes over into the next at once.
type LessonStep struct {
	Located
	Title    string          `yaml:"title" doc:"a few words"`
	Text     string          `yaml:"text,required" doc:"what is read"`
	Caution  string          `yaml:"caution" doc:"what can hurt here"`
	Brings   []FaultItem     `yaml:"brings" doc:"faults that the step brings on as it begins"`
	Takes    []string        `yaml:"takes away" doc:"kinds of fault that the step takes off as it begins"`
	Stands   bool            `yaml:"time stands" default:"no" doc:"the run is held while the step is read, and when it has come about, while that is told: for a look in mid travel"`
	Ask      *LessonQuestion `yaml:"ask" doc:"a prediction that the learner must make before the run goes on"`
	Plays    []Step          `yaml:"plays" doc:"what the bench does for the learner; times from when the run goes on"`
	Until    []Condition     `yaml:"until" doc:"what must have come about before the lesson goes on"`
	Find     []Condition     `yaml:"find" doc:"what the learner has to bring about; the lesson notices, but lets him go on without"`
	Then     string          `yaml:"then" doc:"what is told once that has come about"`
	Hints    []LessonHint    `yaml:"hints" doc:"what is told when it takes long"`
	Remarks  []LessonRemark  `yaml:"remarks" doc:"what is told when something else comes about meanwhile"`
	Solution []LessonDeed    `yaml:"solution" doc:"what a learner who knows does here; plays the lesson for its check and its handout, and is not shown"`
}

// LessonQuestion is a prediction: of two to five choices one is right.
type LessonQuestion struct {
	Located
	Question string         `yaml:"question,required" doc:"what is asked"`
	Choices  []LessonChoice `yaml:"choices,required" doc:"two to five answers"`
}

// LessonChoice is one answer, and what is said on it.
type LessonChoice struct {
	Located
	Answer  string `yaml:"answer,required" doc:"as the learner reads it"`
	Right   bool   `yaml:"right" default:"no" doc:"this is the right one"`
	Because string `yaml:"because,required" doc:"what is said on this choice: the reason in plain words"`
}

// LessonHint is told once a step has lasted so long, on the truck's clock.
type LessonHint struct {
	Located
	After float64 `yaml:"after,required" unit:"time" range:"[1 s,1 h]" doc:"how long the step has lasted, on the truck's clock"`
	Text  string  `yaml:"text,required" doc:"what is told"`
}

// LessonRemark is told once in its step when something comes about.
type LessonRemark struct {
	Located
	When Condition `yaml:"when,required" doc:"what has come about"`
	Text string    `yaml:"text,required" doc:"what is told"`
}

// LessonCheck is the check at the end. The bench waits until the truck is at
// rest, takes the hands off the learner, and works the door; then it plays the
// steps, if there are any, and looks whether all that is expected came about.
type LessonCheck struct {
	Located
	Text   string        `yaml:"text,required" doc:"what is read before it"`
	Begins string        `yaml:"begins" words:"open,closed" doc:"the end to which the bench brings the door first; left out, one end is as good as the other"`
	Cycles int           `yaml:"cycles" range:"[0,20]" doc:"how often the bench opens and closes the door of the lesson's bay"`
	Within float64       `yaml:"each within" unit:"time" range:"[1 s,60 s]" default:"12 s" doc:"how long one opening or closing may take"`
	Alarms bool          `yaml:"alarms allowed" default:"no" doc:"an alarm during the check does not fail it"`
	Steps  []Step        `yaml:"steps" doc:"what the bench does after the cycles; times from their end"`
	Lasts  float64       `yaml:"lasts" unit:"time" range:"[0 s,10 min]" default:"0 s" doc:"how long it goes on after the cycles"`
	Expect []Expectation `yaml:"expect" doc:"what must come of the steps; times from the end of the cycles"`
	At     []Condition   `yaml:"at the end" doc:"what must be true at the end"`
	Passed string        `yaml:"passed,required" doc:"what is told when all was met"`
	Failed string        `yaml:"failed,required" doc:"what is told when not; the learner may then go on working and ask again"`
}

// ChartWord names a chart: one of LessonCharts.
type ChartWord string

// LessonCharts are the charts that a lesson can ask for, in the words of files.
var LessonCharts = []string{"height", "speed", "current", "supply", "tension", "slack", "force", "state", "lock"}

// Words implements Worder.
func (ChartWord) Words() []string { return LessonCharts }

// Title is the lesson's name on one line.
func (ls *Lesson) Title() string { return strings.Join(strings.Fields(ls.Name), " ") }

// LoadLesson reads a lesson file. The error is of type Problems.
func (l *Loader) LoadLesson(name string) (*Lesson, error) {
	var ls Lesson
	if err := l.Load(name, &ls); err != nil {
		return nil, err
	}
	return &ls, nil
}

// LoadLessonFrom reads a lesson from a stream, as LoadScenarioFrom does a scenario.
func (l *Loader) LoadLessonFrom(r io.Reader, name string) (*Lesson, error) {
	data, err := readBounded(r)
	if err != nil {
		return nil, Problems{{Pos{File: name}, "cannot be read: " + err.Error(), ""}}
	}
	var ls Lesson
	if err := l.LoadBytes(name, data, &ls); err != nil {
		return nil, err
	}
	return &ls, nil
}

// LoadLogicOfLesson reads the logic table that a lesson names: beside the file
// that names it, then among the shipped ones. Changes in l.Set are made to the table.
func (l *Loader) LoadLogicOfLesson(ls *Lesson) (*logic.Table, error) {
	return l.loadLogicNamed(ls.Logic, &ls.Located)
}

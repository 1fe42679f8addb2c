package scenarios

import (
	"strconv"
	"strings"

	"slatbench/sim/logic"
)

// BaselineLogic is the name of the shipped logic.
const BaselineLogic = "logic/baseline.yaml"

// logicFile is a logic table as written in a file: a whole one, or one that is based on
// another (logicChanges), by now with all that that one has.
type logicFile struct {
	Located
	Name   string        `yaml:"logic,required" doc:"what this logic is called"`
	Tuning logic.Tuning  `yaml:"tuning,required" doc:"thresholds and times of the detectors"`
	Door   logic.Machine `yaml:"door,required" doc:"the machine that every door runs"`
	Lock   logic.Machine `yaml:"lock,required" doc:"the machine that every side's lock runs"`
}

func (f *logicFile) table() *logic.Table {
	return &logic.Table{Name: f.Name, Tuning: f.Tuning, Door: f.Door, Lock: f.Lock}
}

// Check tells what the table's own check finds, at the place where it stands.
func (f *logicFile) Check(r *Report) {
	for _, p := range f.table().Check() {
		steps := pathSteps(p.Path)
		hint := wordHint(p.Word, p.Want)
		if i, ok := otherAnswer(p.Text); ok {
			hint = "the other one stands in " + f.PosOf(steps[0], "transitions", i).String()
		}
		r.Add(f.PosOf(steps...), p.Text, hint)
	}
}

// wordHint names the nearest of the wanted words, or all of them.
func wordHint(word string, want []string) string {
	if len(want) == 0 {
		return ""
	}
	if near := nearest(word, want); near != "" {
		return "did you mean " + strconv.Quote(near) + "?"
	}
	return "known are: " + strings.Join(want, ", ")
}

// pathSteps turns door.transitions[3].on into the steps of Located.PosOf.
func pathSteps(path string) []any {
	var steps []any
	for _, part := range strings.Split(path, ".") {
		name, rest, _ := strings.Cut(part, "[")
		steps = append(steps, name)
		for rest != "" {
			digits, after, _ := strings.Cut(rest, "]")
			if i, err := strconv.Atoi(digits); err == nil {
				steps = append(steps, i)
			}
			_, rest, _ = strings.Cut(after, "[")
		}
	}
	return steps
}

// LoadLogic reads and checks a logic table. The error is of type Problems.
func (l *Loader) LoadLogic(name string) (*logic.Table, error) {
	var f logicFile
	if err := l.Load(name, &f); err != nil {
		return nil, err
	}
	return f.table(), nil
}

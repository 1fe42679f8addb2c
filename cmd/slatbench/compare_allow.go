package main

import (
	"slices"
	"strings"

	"slatbench/scenarios"
	"slatbench/sim/compare"
)

// allowFile lists the classes of difference that a change is meant to make.
type allowFile struct {
	scenarios.Located
	Title   string         `yaml:"allow,required" doc:"the change that these differences come from, in a line"`
	Classes []allowedClass `yaml:"classes,required" doc:"the classes that are meant"`
}

// allowedClass is one of them.
type allowedClass struct {
	scenarios.Located
	ID      string   `yaml:"class,required" doc:"its ID, as compare prints it"`
	Because string   `yaml:"because,required" doc:"why it is meant"`
	AtMost  *float64 `yaml:"at most" unit:"ratio" range:"(0 %,100 %]" doc:"the largest share of the runs that may differ so"`
}

// Check implements scenarios.Checker.
func (f *allowFile) Check(r *scenarios.Report) {
	seen := map[string]int{}
	for i := range f.Classes {
		c := &f.Classes[i]
		if hint := badClass(c.ID); hint != "" {
			r.Add(c.PosOf("class"), notAClass(c.ID), hint)
		}
		if at, twice := seen[c.ID]; twice {
			r.Add(c.PosOf("class"), classTwice(c.ID, at), "")
		}
		seen[c.ID] = c.Pos().Line
		if strings.TrimSpace(c.Because) == "" {
			r.Add(c.PosOf("because"), noReason, "")
		}
	}
}

// badClass says what is wrong with the form of an ID, or nothing.
func badClass(id string) string {
	parts := strings.Split(id, "/")
	var kinds []string
	for _, k := range compare.KindNames {
		kinds = append(kinds, strings.ReplaceAll(k, " ", "-"))
	}
	switch {
	case len(parts) != 5:
		return classForm
	case parts[0] != "door" && parts[0] != "lock":
		return classBegins
	case !slices.Contains(kinds, parts[4]):
		return classEnds(kinds, scenarios.Nearest(parts[4], kinds))
	}
	return ""
}

// loadAllowed reads an allow file, or none.
func loadAllowed(name string) (*allowFile, error) {
	var f allowFile
	if name == "" {
		return &f, nil
	}
	err := (&scenarios.Loader{}).Load(name, &f)
	return &f, err
}

// of is what allows a class, or nil.
func (f *allowFile) of(id string) *allowedClass {
	for i := range f.Classes {
		if f.Classes[i].ID == id {
			return &f.Classes[i]
		}
	}
	return nil
}

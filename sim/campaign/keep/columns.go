package keep

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/require"
)

// kind of a column.
type kind int

const (
	whole kind = iota
	real
	word
)

// Column of an export.
type Column struct {
	Name  string
	Unit  string // "" where it has none, or where it is the clause's
	Means string
	kind  kind
	lacks bool // some runs have no value here
}

// value of a column in one run.
type value struct {
	none  bool
	whole int64
	real  float64
	word  string
}

// Columns lists the columns of an export: those of the run, then seven for each
// requirement.
func Columns() []Column {
	list := []Column{
		{Name: "run", Means: "index of the run", kind: whole},
		{Name: "faults", Means: "kinds of fault in the order of slatbench list faults, joined by +; empty: none", kind: word},
		{Name: "violated", Means: "requirements that are violated, joined by +; empty: none", kind: word},
		{Name: "error", Means: "why the run could not be played", kind: word, lacks: true},
		{Name: "silent", Means: "controllers that went silent, bays and locks, joined by +", kind: word, lacks: true},
		{Name: "silent_s", Unit: "s", Means: "time at which the first of them did", kind: real, lacks: true},
		{Name: "silent_why", Means: "why the first of them did", kind: word, lacks: true},
		{Name: "final_hash", Means: "hash of the final state, hexadecimal", kind: word},
		{Name: "transitions", Means: "transitions of the logic that fired: bit set, hexadecimal, the first transition the lowest bit", kind: word, lacks: true},
	}
	for _, id := range require.IDs {
		list = append(list,
			Column{Name: id + ".verdict", Means: "holds, violated, not exercised, exempt or measured", kind: word, lacks: true},
			Column{Name: id + ".clause", Means: "clause with the smallest share", kind: word, lacks: true},
			Column{Name: id + ".margin", Means: "margin of that clause, in the clause's unit; below 0 is violated", kind: real, lacks: true},
			Column{Name: id + ".share", Unit: "1", Means: "margin as a share of the clause's scale", kind: real, lacks: true},
			Column{Name: id + ".at_s", Unit: "s", Means: "time of that margin", kind: real, lacks: true},
			Column{Name: id + ".where", Means: "bay or side of it", kind: word, lacks: true},
			Column{Name: id + ".tests", Means: "times that the requirement was put to the test", kind: whole, lacks: true},
		)
	}
	return list
}

// fill turns a run into the values of the columns.
func (f *File) fill(values []value, run *Run) []value {
	o := &run.Outcome
	values = append(values[:0],
		value{whole: int64(run.Index)},
		value{word: strings.Join(run.Kinds, "+")},
		value{word: strings.Join(violatedIDs(o.Results), "+")},
		value{none: true},
	)
	values = f.silent(values, o.Silent)
	values = append(values, value{word: fmt.Sprintf("%016x", o.Hash)}, transitionsValue(o.Transitions))
	if o.Err != nil {
		values[3] = value{word: o.Err.Error()}
	}
	for i := range require.IDs {
		if o.Err != nil || i >= len(o.Results) {
			values = append(values, slices.Repeat([]value{{none: true}}, 7)...)
			continue
		}
		values = f.judged(values, &o.Results[i])
	}
	return values
}

// silent are the columns of controllers that failed as a whole.
func (f *File) silent(values []value, list []sim.Silence) []value {
	if len(list) == 0 {
		return append(values, value{none: true}, value{none: true}, value{none: true})
	}
	var names []string
	for _, s := range list {
		name := "locks"
		if s.Bay != sim.LockPost {
			name = f.bay(s.Bay)
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return append(values, value{word: strings.Join(names, "+")}, value{real: f.at(list[0].At)}, value{word: list[0].Why})
}

// at is the time of a step in s, to the microsecond.
func (f *File) at(step int64) float64 { return math.Round(float64(step)*f.id.Step*1e6) / 1e6 }

func (f *File) bay(i int) string {
	if i < len(f.id.Bays) {
		return f.id.Bays[i]
	}
	return "bay " + strconv.Itoa(i)
}

func (f *File) judged(values []value, r *require.Result) []value {
	at := value{none: r.Clause == "", real: f.at(r.At)}
	return append(values,
		value{word: r.Verdict.String()}, value{none: r.Clause == "", word: r.Clause},
		number(r.Margin), number(r.Share), at, f.where(r), value{whole: int64(r.Tests)},
	)
}

// number leaves out what is none.
func number(x float64) value {
	return value{none: math.IsNaN(x) || math.IsInf(x, 0), real: x}
}

func (f *File) where(r *require.Result) value {
	switch {
	case r.Bay >= 0:
		return value{word: f.bay(r.Bay)}
	case r.Side >= 0:
		return value{word: model.Side(r.Side).String()}
	}
	return value{none: true}
}

func violatedIDs(results []require.Result) (ids []string) {
	for i := range results {
		if results[i].Verdict == require.Violated {
			ids = append(ids, results[i].ID)
		}
	}
	return ids
}

func transitionsValue(bits []uint64) value {
	if bits == nil {
		return value{none: true}
	}
	var b strings.Builder
	for i := len(bits) - 1; i >= 0; i-- {
		fmt.Fprintf(&b, "%016x", bits[i])
	}
	return value{word: b.String()}
}

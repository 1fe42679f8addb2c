package scenarios

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"slatbench/sim/sizing"
)

// DefaultSprings is the shipped list of springs.
const DefaultSprings = "sizing/springs.csv"

// springColumns are the columns of a list, with their dimensions; words have none.
var springColumns = []struct {
	name      string
	dimension Dimension
}{
	{"name", ""}, {"wire", "length"}, {"inside", "length"}, {"mean", "length"}, {"outside", "length"},
	{"length", "length"}, {"coils", "number"}, {"steel", ""}, {"modulus", "pressure"}, {"dead coils", "number"},
	{"rate", "torque per turn"}, {"cost", "number"}, {"note", ""},
}

func columnNames() []string {
	var names []string
	for _, c := range springColumns {
		names = append(names, c.name)
	}
	return names
}

// LoadSprings reads a list of springs: a CSV file whose first line names the columns,
// in any order, and every further line a spring. A unit stands in the cell ("0.218 in")
// or, for the whole column, in brackets after its name ("wire (in)"). The error is of
// type Problems.
func (l *Loader) LoadSprings(name string, convention string) ([]sizing.Spring, error) {
	src, data, err := l.open(name, source{})
	if err != nil {
		return nil, Problems{l.missing(&Node{Kind: Scalar, Text: name}, source{}, err, springListKind)}
	}
	if len(data) > maxFileBytes {
		return nil, Problems{{Pos{src.name, 1, 1}, "the file is larger than 1 MiB", ""}}
	}
	if root, err := parseFile(src.name, data); err == nil {
		if kind := kindByKeys(root); kind != "" {
			return nil, Problems{isOtherKind(root, kind, springListKind)}
		}
	}
	s := springList{report: &Report{files: []string{src.name}}, file: src.name, convention: conventionWord(convention)}
	s.read(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff"))))
	if err := s.report.Err(); err != nil {
		return nil, err
	}
	return s.springs, nil
}

// springList is a list on its way.
type springList struct {
	report     *Report
	file       string
	convention conventionWord
	columns    []springColumn
	springs    []sizing.Spring
}

type springColumn struct {
	name      string
	dimension Dimension
	unit      string // of bare numbers; "" where cells carry theirs
}

func (s *springList) read(r io.Reader) {
	rows := csv.NewReader(r)
	rows.FieldsPerRecord, rows.Comment, rows.TrimLeadingSpace = -1, '#', true
	for {
		row, err := rows.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var bad *csv.ParseError
			pos := Pos{s.file, 1, 1}
			if errors.As(err, &bad) {
				pos, err = Pos{s.file, bad.Line, bad.Column}, bad.Err
			}
			s.report.Add(pos, err.Error(), "")
			return
		}
		at := func(i int) Pos {
			line, column := rows.FieldPos(min(i, len(row)-1))
			return Pos{s.file, line, column}
		}
		if s.columns == nil {
			s.head(row, at)
			if !s.report.Clean() {
				return
			}
			continue
		}
		s.spring(row, at)
	}
	if s.columns == nil {
		s.report.Add(Pos{s.file, 1, 1}, "the file is empty", "its first line names the columns: "+strings.Join(columnNames(), ", "))
	} else if len(s.springs) == 0 && s.report.Clean() {
		s.report.Add(Pos{s.file, 1, 1}, "the list has no springs", "")
	}
}

// head reads the names of the columns.
func (s *springList) head(row []string, at func(int) Pos) {
	for i, cell := range row {
		name, unit, _ := strings.Cut(strings.TrimSpace(cell), "(")
		c := springColumn{name: strings.ToLower(strings.TrimSpace(name)), unit: strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(unit), ")"))}
		k := slices.Index(columnNames(), c.name)
		if k < 0 {
			s.report.Add(at(i), "unknown column "+quoted(c.name), didYouMean(c.name, columnNames(), "columns"))
			continue
		}
		c.dimension = springColumns[k].dimension
		if c.unit != "" {
			if _, err := ParseQuantity("1 "+c.unit, c.dimension); c.dimension == "" || err != nil {
				s.report.Add(at(i), fmt.Sprintf("%s: %s is no unit of it", c.name, quoted(c.unit)), "")
			}
		}
		s.columns = append(s.columns, c)
	}
	has := func(names ...string) bool {
		return slices.ContainsFunc(s.columns, func(c springColumn) bool { return slices.Contains(names, c.name) })
	}
	for _, need := range [][]string{{"wire"}, {"inside", "mean", "outside"}, {"length", "coils"}} {
		if s.report.Clean() && !has(need...) {
			s.report.Add(at(0), "no column "+orList(need), "columns: "+strings.Join(columnNames(), ", "))
		}
	}
}

// spring reads one line.
func (s *springList) spring(row []string, at func(int) Pos) {
	if len(row) != len(s.columns) {
		s.report.Add(at(0), fmt.Sprintf("%d cells, expected %d as in the first line", len(row), len(s.columns)), "")
		return
	}
	one := sizeSpring{Steel: "oil-tempered", Count: 1}
	cost := math.NaN()
	before := len(s.report.problems)
	for i := range s.columns {
		c := &s.columns[i]
		text := strings.TrimSpace(row[i])
		if text == "" {
			continue
		}
		switch c.name {
		case "name":
			one.Name = text
		case "note":
		case "steel":
			if !slices.Contains(one.Steel.Words(), text) {
				s.report.Add(at(i), "steel: unknown word "+quoted(text), didYouMean(text, one.Steel.Words(), "valid words"))
			}
			one.Steel = steelWord(text)
		default:
			if x, ok := s.quantity(c, text, at(i)); ok {
				one.set(c.name, x, &cost)
			}
		}
	}
	if len(s.report.problems) > before {
		return
	}
	s.take(&one, cost, at(0))
}

func (s *springList) quantity(c *springColumn, text string, at Pos) (float64, bool) {
	if c.unit != "" {
		if _, err := ParseQuantity(text, "number"); err == nil || strings.Contains(text, "/") {
			text += " " + c.unit
		}
	}
	x, err := ParseQuantity(text, c.dimension)
	if err != nil {
		q := err.(*QuantityError)
		s.report.Add(at, c.name+": "+q.Message, q.Hint)
		return 0, false
	}
	if x < 0 || x == 0 && c.name != "dead coils" && c.name != "cost" {
		s.report.Add(at, fmt.Sprintf("%s: %s is out of range, it must be above 0", c.name, quoted(text)), "")
		return 0, false
	}
	return x, true
}

func (s *sizeSpring) set(name string, x float64, cost *float64) {
	switch name {
	case "wire":
		s.Wire = x
	case "inside":
		s.Inside = &x
	case "mean":
		s.Mean = &x
	case "outside":
		s.Outside = &x
	case "length":
		s.Length = &x
	case "coils":
		s.Coils = &x
	case "modulus":
		s.Modulus = &x
	case "dead coils":
		s.Dead = &x
	case "rate":
		s.Rate = &x
	case "cost":
		*cost = x
	}
}

// take judges a line as a whole.
func (s *springList) take(one *sizeSpring, cost float64, at Pos) {
	report := &Report{}
	if one.Wire == 0 {
		report.Add(at, "wire: empty value", "")
	} else {
		one.check(report, s.convention)
	}
	for _, p := range report.problems {
		s.report.Add(at, p.Message, p.Hint)
	}
	if !report.Clean() {
		return
	}
	spring, err := one.spring(s.convention, fmt.Sprintf("spring %d", len(s.springs)+1))
	if err != nil {
		s.report.Add(at, err.Error(), "")
		return
	}
	spring.Cost = cost
	s.springs = append(s.springs, spring)
}

package main

import (
	"encoding/xml"
	"fmt"
	"io"
	"strconv"

	"slatbench/sim/campaign"
)

// JUnit's XML report, in the elements and attributes that its readers agree on:
// testsuites, testsuite, properties, testcase, failure, error and skipped. A test
// case is a requirement under a kind of fault. No times: they would make two equal
// campaigns differ.
type junitSuites struct {
	XMLName  xml.Name   `xml:"testsuites"`
	Name     string     `xml:"name,attr"`
	Tests    int        `xml:"tests,attr"`
	Failures int        `xml:"failures,attr"`
	Errors   int        `xml:"errors,attr"`
	Suite    junitSuite `xml:"testsuite"`
}

type junitSuite struct {
	Name       string          `xml:"name,attr"`
	Tests      int             `xml:"tests,attr"`
	Failures   int             `xml:"failures,attr"`
	Errors     int             `xml:"errors,attr"`
	Skipped    int             `xml:"skipped,attr"`
	Properties []junitProperty `xml:"properties>property"`
	Cases      []junitCase     `xml:"testcase"`
}

type junitProperty struct {
	Name  string `xml:"name,attr"`
	Value string `xml:"value,attr"`
}

type junitCase struct {
	Class   string     `xml:"classname,attr"`
	Name    string     `xml:"name,attr"`
	Failure *junitText `xml:"failure,omitempty"`
	Error   *junitText `xml:"error,omitempty"`
	Skipped *junitText `xml:"skipped,omitempty"`
	Output  string     `xml:"system-out,omitempty"`
}

type junitText struct {
	Message string `xml:"message,attr"`
	Type    string `xml:"type,attr,omitempty"`
	Text    string `xml:",chardata"`
}

func (r *campaignResult) writeJUnit(w io.Writer) error {
	s := junitSuite{Name: campaignTitle(r.plan.Seed)}
	for _, p := range [][2]string{
		{"seed", strconv.FormatUint(r.plan.Seed, 10)}, {"faults", strconv.Itoa(r.plan.Faults)}, {"truck", r.id.Truck}, {"logic", r.id.Logic},
		{"runs", strconv.Itoa(r.tally.Runs)}, {"version", r.id.Version}, {"replay", r.again(r.runs())},
	} {
		s.Properties = append(s.Properties, junitProperty{p[0], p[1]})
	}
	for i, id := range r.matrix.Requirements {
		for k, kind := range r.matrix.Columns {
			if c := &r.matrix.Cells[i][k]; c.Runs > 0 && c.Say != campaign.NotJudged {
				s.Cases = append(s.Cases, r.junitCase(id, kind, c))
			}
		}
	}
	for i := range r.violations {
		if v := &r.violations[i]; len(v.Kinds) > 1 {
			s.Cases = append(s.Cases, junitCase{Class: v.id(), Name: v.under(), Failure: v.junit()})
		}
	}
	s.Cases = append(s.Cases, r.searchCases()...)
	s.Cases = append(s.Cases, r.silentTestCases()...)
	if r.tally.Failed > 0 {
		text := junitText{Message: runsText(r.tally.Failed) + " could not be played", Type: "bench", Text: r.tally.Error + "\n" + replayText(r.replay(r.tally.First))}
		s.Cases = append(s.Cases, junitCase{Class: "bench", Name: "every run is played", Error: &text})
	}
	s.count()
	all := junitSuites{Name: "slatbench", Tests: s.Tests, Failures: s.Failures, Errors: s.Errors, Suite: s}
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	e := xml.NewEncoder(w)
	e.Indent("", "  ")
	if err := e.Encode(all); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

func (s *junitSuite) count() {
	s.Tests = len(s.Cases)
	for i := range s.Cases {
		c := &s.Cases[i]
		switch {
		case c.Failure != nil:
			s.Failures++
		case c.Error != nil:
			s.Errors++
		case c.Skipped != nil:
			s.Skipped++
		}
	}
}

// junitCase is a cell of the matrix. What is not shown is skipped, not passed.
func (r *campaignResult) junitCase(id, kind string, c *campaign.MatrixCell) junitCase {
	j := junitCase{Class: id, Name: kind, Output: cellSentence(&c.Cell)}
	switch c.Say {
	case campaign.NotShown:
		j.Skipped = &junitText{Message: notShownText(c.Exercised)}
	case campaign.MeasuredOnly:
		j.Skipped = &junitText{Message: "measured, not judged"}
	case campaign.Excused:
		j.Skipped = &junitText{Message: exemptRuns(&c.Cell)}
	case campaign.Broken:
		for i := range r.violations {
			if v := &r.violations[i]; v.id() == id && v.under() == kind {
				j.Failure = v.junit()
			}
		}
	}
	return j
}

// silentTestCases are the controllers that failed as a whole, one for each reason. That is
// an error, not a failure: what the requirements say of such a run stands elsewhere.
func (r *campaignResult) silentTestCases() (list []junitCase) {
	for _, of := range r.tally.WentSilent() {
		where := r.silentWhere(&of)
		text := fmt.Sprintf("%s\n%s\n%s\n", of.Why, silentIn(of.Runs, of.Cases), replayText(r.replay(of.Cases[0])))
		list = append(list, junitCase{
			Class: "silent", Name: where + ": " + of.Why,
			Error: &junitText{Message: silentSentence(where, of.Runs, of.Why), Type: "silent", Text: text},
		})
	}
	if n := r.tally.SilencedElse; n > 0 {
		list = append(list, junitCase{Class: "silent", Name: "further", Error: &junitText{Message: silentFurther(n), Type: "silent"}})
	}
	return list
}

func (v *foundViolation) junit() *junitText {
	text := fmt.Sprintf("%s\n%s\n", obligations[v.id()], replayText(v.replay))
	if v.file != "" {
		text += replayText("slatbench run "+shellWord(v.file)) + "\n"
	}
	return &junitText{Message: v.sentence(), Type: v.id(), Text: text}
}

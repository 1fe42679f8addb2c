package report

import (
	"bytes"
	_ "embed" // the template and the style
	"html/template"
	"io"
)

//go:embed compare.html
var compareText string

//go:embed compare.css
var compareStyle string

var comparePages = pageOf("compare", compareText)

// Compare is the report of a comparison of two controllers.
type Compare struct {
	Title, Mark, Verdict, Why, Caution string      // Mark is ok, bad or exempt
	Facts                              [][2]string // name and value
	Replay                             string
	Old, New                           string // what the two are called
	Classes                            []CompareClass
	More                               []CompareClass // without their courses
	Absent                             []string       // allowed, and did not occur
	Silent                             []string       // controllers that failed as a whole
}

// CompareClass is a class of difference.
type CompareClass struct {
	Mark, Name, ID, Runs string
	Facts                [][2]string
	Commands             []string
	Course               []CompareRow // of the simplest example
}

// CompareRow is an instant of both courses, or what happens to both.
type CompareRow struct {
	At, Where, Old, New, Stimulus string
	First, Same                   bool
}

// Write writes the page.
func (c *Compare) Write(w io.Writer) error {
	p := struct {
		*Compare
		Style    template.CSS
		Facts    []fact
		Cautions []string
	}{Compare: c, Style: template.CSS(styleText + compareStyle), Cautions: cautions}
	for _, f := range c.Facts {
		p.Facts = append(p.Facts, fact{Name: f[0], Value: f[1]})
	}
	var out bytes.Buffer
	if err := comparePages.Execute(&out, p); err != nil {
		return err
	}
	_, err := w.Write(out.Bytes())
	return err
}

package report

import (
	_ "embed" // what all pages share
	"html/template"
)

//go:embed shared.html
var sharedText string

var shared = template.Must(template.New("shared").Funcs(template.FuncMap{
	"title":      title,
	"paragraphs": paragraphList,
}).Parse(sharedText))

// pageOf is the page that a text describes, with what all pages share.
func pageOf(name, text string) *template.Template {
	return template.Must(template.Must(shared.Clone()).New(name).Parse(text))
}

package live

import (
	"embed"
	"io/fs"
)

// The page: plain modules, served as they are.
//
//go:embed page
var pageFiles embed.FS

// page is the page that is built in.
func page() fs.FS {
	sub, err := fs.Sub(pageFiles, "page")
	if err != nil {
		panic("live: " + err.Error())
	}
	return sub
}

package scenarios

import (
	"embed"
	"io/fs"
)

// The files that ship with the bench.
//
//go:embed demo faults lessons logic sizing soak standards trucks
var shipped embed.FS

// Shipped is the set of shipped files, by the names that users give: trucks/…, logic/…, demo/….
func Shipped() fs.FS { return shipped }

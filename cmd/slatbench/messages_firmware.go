package main

import "fmt"

// ofStandardTest is the work that sets the closing duty itself.
const ofStandardTest = "a standard test tries closing duties"

func wantsTable(what, title string) error {
	return wrong{fmt.Sprintf("%s in a logic table, and %q is none", what, title), "name a table with --logic; slatbench list has the shipped ones"}
}

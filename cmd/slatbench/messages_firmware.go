package main

import "fmt"

// Controllers that failed as a whole.
const (
	headSilent    = "Went silent"
	silentMeaning = "outputs off from then until the next power-on"
)

func silentFirst(where string, at float64) string {
	return fmt.Sprintf("a controller; first %s at %.2f s:", where, at)
}

// ofStandardTest is the work that sets the closing duty itself.
const ofStandardTest = "a standard test tries closing duties"

func wantsTable(what, title string) error {
	return wrong{fmt.Sprintf("%s in a logic table, and %q is none", what, title), "name a table with --logic; slatbench list has the shipped ones"}
}

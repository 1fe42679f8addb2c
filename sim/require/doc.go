// Package require judges what a truck truly did against fifteen requirements.
// docs/requirements.md states them; this package is that page in code, one file a
// requirement.
//
// A [Set] is an observer of one run. It looks at the truth of the truck (model)
// and at the wires, never into a controller: of what a controller drives it looks
// at coils, lamps and tones only, as a person with a test lamp could.
package require

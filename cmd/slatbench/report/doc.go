// Package report writes the report of a run, or of a standard test, as one
// self-contained HTML file: nothing is fetched, no script is needed, and it
// prints on A4 or Letter. The same input gives the same bytes; no time of day
// gets in.
//
// [Series] watches the run for the plots, in memory that does not grow with the
// duration. [Run.Write] and [Standard.Write] write the page.
package report

// Package live is the bench in a browser: every page has a truck of its own, which is
// stepped here, by the same code as a run, and streamed to the page.
package live

package main

import (
	"fmt"
	"strconv"

	"slatbench/sim/firmware/conform"
)

const argFirmware = "a WebAssembly module, a program, or a firmware file"

var helpFirmware = help{
	"check controllers from outside",
	`Controllers from outside are WebAssembly modules, and programs that speak with the
bench over standard input and output. docs/firmware.md leads from your main loop to
your first campaign.`,
	"slatbench firmware check controller.wasm",
}

var helpFirmwareCheck = help{
	"try whether a controller is fit for the bench",
	`Play a short script of known inputs, and say in plain words what is wrong: a version
or a size of the structs, an import that is not offered, a press that is ignored, a
drive without a press, a sounder, a lamp, a bar or a record that never acts. It judges
no logic: slatbench campaign does.

Exit code 0 when nothing is wrong, 1 when something is, 2 when it can't be loaded.`,
	`slatbench firmware check controller.wasm
slatbench firmware check ./controller
slatbench firmware check firmware.yaml`,
}

func checkTitle(title string) string { return "Check of " + title }

func checkWord(i *conform.Item) (word, rendition string) {
	switch {
	case i.Wrong != "":
		return "WRONG", bad
	case i.Note != "":
		return "note", odd
	}
	return "good", good
}

func checkVerdict(wrong int) (word, rendition string) {
	if wrong > 0 {
		return "NOT FIT", bad
	}
	return "FIT", good
}

func checkSummary(wrong, all int) string {
	if wrong == 0 {
		return fmt.Sprintf("for the bench: nothing is wrong in %d things that were tried", all)
	}
	return fmt.Sprintf("for the bench yet: %d of %d things that were tried are wrong", wrong, all)
}

const checkMeaning = "This is no judgement of the logic: slatbench campaign plays it under faults."

// Controllers that failed as a whole.
const (
	headSilent    = "Went silent"
	silentMeaning = "outputs off from then until the next power-on"
)

func silentFirst(where string, run uint64, at float64) string {
	return fmt.Sprintf("%s, first in run %d at %.2f s:", where, run, at)
}

// silentCases names the first runs in which a controller went silent.
func silentCases(runs int, cases []uint64) string {
	text := ""
	for i, c := range cases {
		text += []string{"", ", "}[min(i, 1)] + strconv.FormatUint(c, 10)
	}
	if runs > len(cases) {
		text += fmt.Sprintf(" and %s more", countText(runs-len(cases)))
	}
	return text
}

// silentIn is the same as a line of its own.
func silentIn(runs int, cases []uint64) string {
	if runs == 1 {
		return "in run " + silentCases(runs, cases)
	}
	return "in the runs " + silentCases(runs, cases)
}

// silentSentence tells of a controller that failed as a whole.
func silentSentence(where string, runs int, why string) string {
	if where == atLocks {
		where = "the " + where
	}
	return fmt.Sprintf("controller of %s went silent in %s: %s", where, runsText(runs), why)
}

// errOnlySilent and onlySilent: of a controller that has failed as a whole too little was judged
// to say that all holds. What it was the report has told.
var errOnlySilent = wrong{"nothing is violated, but a controller went silent", ""}

func onlySilent(runs int, replay string) error {
	return wrong{"nothing is violated, but controllers went silent in " + runsText(runs), "the first of them: " + replay}
}

// silentFurther counts what is beyond the ways of going silent that are told apart.
func silentFurther(n int) string {
	return "controllers went silent for further reasons, counted in " + runsText(n)
}

// ofStandardTest is the work that sets the closing duty itself.
const ofStandardTest = "a standard test tries closing duties"

func wantsTable(what, title string) error {
	return wrong{fmt.Sprintf("%s in a logic table, and %q is none", what, title), "name a table with --logic; slatbench list has the shipped ones"}
}

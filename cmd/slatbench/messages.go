package main

import (
	"fmt"
	"strconv"
	"strings"

	"slatbench/scenarios"
)

// All that the command line says to a person stands in this file, which has what any
// command may say, and in those beside it, one a command; but for the problems of
// files, which the loader words. Their rules:
//
//   - A message says what is wrong, then what was expected; the next step goes on
//     a line of its own that begins with "hint:".
//   - Errors go to standard error and begin with "slatbench:", or with file, line
//     and column where they have a place in a file. Lower case, no full stop.
//   - Reports go to standard output, in at most 80 columns. Every number has its unit.
//   - What is violated, not met or exempt is said in words; colour only repeats it.
//   - Words of docs/requirements.md and docs/scenarios.md, no others.
//   - A violation ends with the command that replays it.

// errorText is an error as it is told.
func errorText(what, hint string) string {
	text := "slatbench: " + what
	if hint != "" {
		text += "\n  hint: " + hint
	}
	return text
}

func seeHelp(command string) string { return command + " --help shows how it is used" }

func unknownCommand(word string, known []string) error {
	hint := "slatbench --help lists the commands"
	if near := scenarios.Nearest(word, known); near != "" {
		hint = "did you mean " + strconv.Quote(near) + "?"
	}
	return wrong{fmt.Sprintf("unknown command %q", word), hint}
}

func unknownFlag(name, command string, known []string) error {
	hint := seeHelp(command)
	if near := scenarios.Nearest(name, known); near != "" {
		hint = "did you mean --" + near + "?"
	}
	return wrong{fmt.Sprintf("%s has no flag --%s", command, name), hint}
}

func badValue(flag, value string) error {
	return wrong{fmt.Sprintf("--%s %q: expected %s", flag, value, flagWants[flag]), ""}
}

// flagWants says what the flags that are not text want.
var flagWants = map[string]string{
	"seed": "a whole number from 0 to 18446744073709551615", "cycles": "a whole number from 1 to 100000", "every": "a whole number from 1 to 4294967295", "json": "true or false", "quiet": "true or false", "help": "true or false",
}

func unknownWord(what, word string, known []string) error {
	hint := "known are: " + strings.Join(known, ", ")
	if near := scenarios.Nearest(word, known); near != "" {
		hint = fmt.Sprintf("did you mean %q? ", near) + hint
	}
	return wrong{fmt.Sprintf("unknown %s %q", what, word), hint}
}

func tooManyArguments(command, extra string) error {
	return wrong{fmt.Sprintf("%q is one argument too many", extra), seeHelp(command)}
}

func missingArgument(command, what string) error {
	return wrong{"expected " + what, seeHelp(command)}
}

func wrongTogether(a, b string) error {
	return wrong{fmt.Sprintf("%s and %s exclude each other", a, b), ""}
}

func needs(flag, other string) error {
	return wrong{fmt.Sprintf("%s says how %s samples, and there is no %s", flag, other, other), ""}
}

// notWritten is what is wrong with a file that could not be written; nil stays nil.
func notWritten(err error) error {
	if err == nil {
		return nil
	}
	return wrong{err.Error(), "nothing was left behind"}
}

func noReport(name string) error {
	return wrong{fmt.Sprintf("a report is an HTML file, and %q does not end in .html", name), ""}
}

func wrongEnding(flag, name, ending string) error {
	return wrong{fmt.Sprintf("%s %q: expected a name that ends in %s", flag, name, ending), ""}
}

func emptyName(flag, what string) error {
	return wrong{fmt.Sprintf("--%s: expected the name of a %s, and it is empty", flag, what), ""}
}

func emptyValue(flag, what string) error {
	return wrong{fmt.Sprintf("--%s: expected %s, and it is empty", flag, what), ""}
}

func notForTests(flag string) error {
	return wrong{flag + " is for scenarios; a standard test has no such thing", ""}
}

func noScenario(typed, hint string) error {
	return wrong{fmt.Sprintf("no scenario %q, neither a file nor a shipped one", typed), hint}
}

func noShippedFile(typed string) error {
	hint := "slatbench list shows what there is"
	for _, kind := range scenarios.FileKinds {
		if near := scenarios.NearestShipped(kind, typed); near != "" {
			hint = "did you mean " + near + "?"
			break
		}
	}
	return wrong{fmt.Sprintf("no shipped file is called %q", typed), hint}
}

const (
	standardInput  = "standard input"
	wasInterrupted = "interrupted; nothing was written"

	argShipped = "the name of a shipped file"
	argKind    = "a kind of file: scenario, truck, logic, standard, lesson, size, soak or firmware"
)

// help of a command.
type help struct{ short, long, examples string }

var helpRoot = help{
	"test bench for the controllers of powered roll-up truck doors",
	`Slatbench runs the controllers of powered roll-up truck doors, and of their
locks, on a model of the truck, and judges what the truck really did.

Exit codes: 0 all that was judged holds, 1 a requirement or an expectation is
violated, 2 bad input or usage.`,
	`slatbench run                        # the demo
slatbench list scenarios             # what else there is
slatbench show morning-stop > my.yaml
slatbench run my.yaml --set "ambient.temperature=-10 °C"`,
}

var helpShow = help{
	"print a shipped file, to be read or copied",
	`Prints a shipped file as it is. A copy of your own may name other shipped files as
they stand: they are found wherever your file lies.`,
	`slatbench show morning-stop
slatbench show trucks/produce-4bay.yaml > my-truck.yaml
slatbench show baseline > my-logic.yaml`,
}

var helpSchema = help{
	"print the JSON Schema of a kind of file, for editors",
	`Prints a JSON Schema (2020-12) by which an editor completes and checks a file while
it is typed. KIND is scenario, truck, logic, standard, lesson, size, soak or firmware.`,
	`slatbench schema scenario > scenario.schema.json
slatbench schema truck > truck.schema.json`,
}

var helpVersion = help{"print the version", "Prints the version, the revision it was built from, and by what.", "slatbench version"}

func versionText(version, revision, compiler, platform string) string {
	text := "slatbench " + version
	if revision != "" {
		text += " (" + revision + ")"
	}
	return text + ", " + compiler + " " + platform
}

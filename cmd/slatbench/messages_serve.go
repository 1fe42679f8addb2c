package main

import (
	"errors"
	"fmt"
	"syscall"
	"time"
)

// What the live bench says to a person at its start and end, by the rules of messages.go.

// Flags of serve.
const (
	flagOpen       = "open the page in the browser"
	flagPort       = "port `N`; 0 takes any that is free"
	flagHost       = "listen on `IP`; 0.0.0.0 lets anyone in"
	flagName       = "pages may call it by `NAME` too; repeatable"
	flagServeLogic = "run the logic of `FILE` in whatever is opened"
	flagServeTruck = "the truck `FILE` to begin with"
	flagSessions   = "at most `N` trucks at once, one a page"
	flagIdle       = "put away a truck not used for so `LONG`"
)

var helpServe = help{
	"operate a truck in the browser, break it, and teach with it",
	`Serves a page on which a truck can be operated and broken: doors, locks, supply,
obstructions and every kind of fault, in real time, slow motion, ten times as
fast or tick by tick, with charts and the requirements beside it.
Every page has a truck of its own. What is done can be saved as a scenario file,
which run replays. Lessons lead from a symptom to its cause.

FILE is a scenario, a counterexample or a lesson, or the name of a shipped one;
without it, a truck is served that nothing happens to. It needs no internet, and
listens to this machine alone unless --host says otherwise. Ctrl-C stops it.

A simulation is no certification. Keep clear of a moving door; a wound torsion
spring can maim.`,
	`slatbench serve --open
slatbench serve morning-stop
slatbench serve close-cut--deaf-edge.yaml
slatbench serve --truck my-truck.yaml --logic my-logic.yaml
slatbench serve --port 0`,
}

func init() {
	flagWants["port"] = "a whole number from 0 to 65535"
	flagWants["sessions"] = "a whole number from 1 to 1000"
	flagWants["idle"] = "a time such as 90m or 2h"
	flagWants["open"] = "true or false"
}

func servingText(address string, alone bool) string {
	text := "The live bench is at " + address + "  (Ctrl-C stops it)"
	if !alone {
		text += "\nAnyone who reaches this machine can use it: there is no password."
	}
	return text
}

const servedText = "Stopped."

func cannotListen(host string, port uint16, err error) error {
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return wrong{fmt.Sprintf("port %d is in use", port), "another bench may be running; --port 0 takes any that is free"}
	case errors.Is(err, syscall.EACCES):
		return wrong{fmt.Sprintf("port %d is not allowed to you", port), "ports from 1024 on are"}
	}
	return wrong{fmt.Sprintf("cannot listen on %s, port %d: %v", host, port, err), ""}
}

func noBrowser(err error) string {
	return errorText(fmt.Sprintf("no browser could be opened: %v", err), "open the address yourself")
}

func nothingToServe(typed, hint string) error {
	if hint == "" {
		hint = "give the path of a file, or the name of a shipped scenario or lesson"
	}
	return wrong{fmt.Sprintf("no scenario or lesson %q, neither a file nor a shipped one", typed), hint}
}

func truckOfItsOwn(file string) error {
	return wrong{fmt.Sprintf("%s has a truck of its own, and --truck names another", file), "leave one of them out"}
}

func badNumber(flag string, n, most int) error {
	return wrong{fmt.Sprintf("--%s %d: expected a whole number from 1 to %d", flag, n, most), ""}
}

func badIdle(d time.Duration) error {
	return wrong{fmt.Sprintf("--idle %s: expected a minute at least", d), "--idle 2h"}
}

package main

import "fmt"

// What soak says to a person, by the rules of messages.go.

// Flags of soak.
const (
	flagCycles     = "play `N` cycles instead of what the file says"
	flagSoakReport = "write a page to `FILE`.html, for screen and paper"
	flagSoakCSV    = "write a line a cycle to `FILE`.csv"
	flagSoakSeed   = "seed `N` for the spread of the route, instead of the file's"
	flagSoakLogic  = "run the controllers of `FILE` instead of the file's"
	flagSoakTruck  = "work a door of the truck `FILE` instead of the file's"
)

var helpSoak = help{
	"work a door over many cycles under wear: what gives way first?",
	`Works one door of a truck again and again while its springs relax, its track gets
dirty, its encoder drifts and its battery grows old and is charged on the way, and
tells in which cycle the taught travel no longer fits, a travel passes 8 s, the
supply falls under 11 V and a start is refused. Controllers and bench are those of
run. FILE is a soak file, a shipped one by its name, or none for the shipped round.
The laws of wear are common shapes with invented figures: see docs/soak.md.

Wound springs hold energy that maims: only trained people work on them. A soak is
a simulation; it certifies nothing and states no life.

Exit codes: 0 it was played, whatever came of it, 2 bad input or usage.`,
	`slatbench soak
slatbench soak --cycles 3000 --report round.html --csv round.csv
slatbench soak my-round.yaml --set "route.charging current=10 A" --seed 4
slatbench soak --set "encoder.slip growth=0 %" --set retrain=no --json`,
}

func cyclesText(now, all int64) string { return fmt.Sprintf("cycle %d of %d", now, all) }

func noSoak(typed, hint string) error {
	return wrong{fmt.Sprintf("no soak %q, neither a file nor a shipped one", typed), hint}
}

package main

import (
	"slatbench/scenarios"
	"slatbench/sim/fault"
)

// What list says to a person, which has the words of the bench, by the rules of messages.go.

var helpList = help{
	"list what ships with the bench, and its words",
	`Lists what ships with the bench. KIND is scenarios, trucks, logics, standards,
lessons, sizes or soaks: files, by their short names. Without it all files are
listed.

Or it lists the words of the bench. KIND is then faults, each with its place and
parameters as a scenario writes them; requirements; or alarms.`,
	`slatbench list
slatbench list scenarios
slatbench list faults`,
}

const alsoListed = "slatbench list faults, requirements or alarms has the words of the bench"

// faultText is a kind of fault in a few words.
func faultText(k *fault.Kind) string {
	place := k.Part
	switch k.Place {
	case fault.OnBay:
		place = "BAY"
	case fault.OnSide:
		place = "SIDE"
	}
	text := k.Doc
	if k.Event {
		text += " (an event)"
	}
	text += "\n{" + k.Name + ": " + place
	for i := range k.Params {
		p := &k.Params[i]
		value := ""
		if len(p.Words) > 0 {
			value = p.Words[int(p.Default)]
		} else {
			value = scenarios.FormatQuantity(p.Default, scenarios.Dimension(p.Unit))
		}
		text += ", " + p.Name + ": " + value
	}
	return text + "}"
}

// obligations are the requirements, each in a sentence; docs/requirements.md has them in full.
var obligations = map[string]string{
	"close-cut":            "contact above 30 N while driven down, outside the first 305 mm below full open: downward drive gone within 0.5 s",
	"obstruction-reversal": "after such contact the door is driven up within 2.0 s, rises 50 mm and ends fully open",
	"contact-force":        "contact forces stay within 400 N, and within 150 N after 0.75 s; judged where the scenario asks",
	"travel-timeout":       "no run lasts longer than 15 s; a closing run that has not reached the floor in 30 s has been turned up",
	"lock-interlock":       "no bar is driven to lock while a curtain of its side is up; no door is driven while its bar is in the way",
	"stop-on-press":        "a press while moving stops the drive within 50 ms, and the next start opens",
	"no-surprise":          "a door starts only on a press at its bay, or as the reversal of a closing run; never after a restart",
	"dead-time":            "at least 100 ms without voltage between two directions",
	"supply-guard":         "no start by a press below 10.9 V at rest; after a brown-out the drive is off until pressed again",
	"slack-limit":          "never more than 150 mm of slack cable while driven down",
	"taught-travel":        "losing power while teaching leaves the old record or the new one, never a mixture",
	"lock-fault":           "a bar that cannot arrive goes back, its lamp flashes, and it never shows locked when it is not",
	"alarm":                "every situation of the alarm table sounds one of its alarms within 1 s, and no alarm sounds without its situation",
	"service":              "without faults and within rated conditions a press opens or closes within 12 s, without false reversals or alarms",
	"recovery":             "once a fault has gone, doors open and close within two presses each way, and locks work",
}

// alarmMeanings are what alarms say, by pulses less one.
var alarmMeanings = [...]string{
	"a run takes longer than 'slow travel'",
	"opening, the door has stopped before the top",
	"closing, the door has met something and goes up again",
	"the floor was met before the taught count: retrain",
	"driven, and no pulse came",
	"the supply is too low to start",
	"a part that tests itself is at fault: edge wire, record",
	"a lock bar has not arrived",
	"the taught count ran out and no floor was met",
}

package live

import (
	"errors"
	"fmt"
	"strings"

	"slatbench/scenarios"
	"slatbench/sim"
)

// What the bench says to the person in front of the page. Errors: lower case, no full
// stop. Events: short, since a screen reader speaks them.

var errTooFast = errors.New("more is asked for than a truck can take in: wait a little")

const (
	stoppedText   = "The bench is being stopped."
	idleText      = "Nothing was asked of this truck for a long time, so it was put away. Reload the page for a new one."
	slowText      = "The page did not take up what the bench sent. Reload it."
	malformedText = "The page sent something that is no request, so its truck was put away: %s. Reload the page."
	troubleText   = "The bench has met an error of its own in this truck, and put it away. Others go on. Reload the page for a new one."
	fullText      = "All %d trucks are in use. Close a page elsewhere, and reload this one."
)

// wrong is an error with what to try about it.
type wrong struct{ what, hint string }

func (w wrong) Error() string { return w.what }

// Hint is what to try about it, or "".
func (w wrong) Hint() string { return w.hint }

func unknown(what, word string, known []string) error {
	if near := scenarios.Nearest(word, known); near != "" {
		return wrong{fmt.Sprintf("no %s is named %q", what, word), fmt.Sprintf("did you mean %q?", near)}
	}
	if len(known) > 12 {
		return wrong{fmt.Sprintf("no %s is named %q", what, word), ""}
	}
	return wrong{fmt.Sprintf("no %s is named %q", what, word), "known are: " + strings.Join(known, ", ")}
}

func outOfRange(what string, x, lo, hi float64, unit string) error {
	return fmt.Errorf("%s %g%s, expected %g to %g%s", what, x, unit, lo, hi, unit)
}

func missing(what string) error { return fmt.Errorf("%s is missing", what) }

func stateText(bay, state string) string { return bay + ": " + state }

func sideStateText(side, state string) string { return side + " lock: " + state }

func resetText(who string, awake bool) string {
	if awake {
		return who + " starts again"
	}
	return who + " has lost its power"
}

func silentText(bay, why string) string {
	who := "the lock controller"
	if bay != "" {
		who = "the controller of " + bay
	}
	return who + " has failed and gone silent: " + why
}

func receivedText(bay string) string { return bay + " receives a press" }

func alarmText(bay string, a sim.Alarm) string {
	who := bay
	if who == "" {
		who = "The lock controller"
	}
	pulses := "pulses"
	if a == 1 {
		pulses = "pulse"
	}
	return fmt.Sprintf("%s sounds an alarm: %d %s, %s", who, int(a), pulses, alarmMeaning(a))
}

// alarmMeanings are the alarms in plain words, by their pulses less one.
var alarmMeanings = [...]string{
	"the door travels slowly", "the door stalls while opening", "something is in the way while closing",
	"the floor comes before the taught count", "the door does not move", "the supply is low",
	"the self-test has failed", "the lock bar does not arrive", "the count has run out, and no floor was found",
}

func alarmMeaning(a sim.Alarm) string {
	if a >= 1 && int(a) <= len(alarmMeanings) {
		return alarmMeanings[a-1]
	}
	return "of no known meaning"
}

// actionText says what a person does.
func actionText(bays []string, a *sim.Action) string {
	side := sideNames[a.Side]
	switch a.Kind {
	case sim.Press:
		return "the remote is pressed at " + bays[a.Bay]
	case sim.TeachHold:
		return "the teach button of " + bays[a.Bay] + " is held"
	case sim.LockAsk:
		return "the cab switch asks to lock the " + side
	case sim.UnlockAsk:
		return "the cab switch asks to unlock the " + side
	case sim.BypassLock:
		return "the " + side + " bar is moved to locked by hand"
	case sim.BypassUnlck:
		return "the " + side + " bar is moved to unlocked by hand"
	}
	return "the supply is interrupted"
}

func faultOnText(kind, place string) string  { return kind + " at " + place + " comes on" }
func faultOffText(kind, place string) string { return kind + " at " + place + " goes" }

func endText(seconds float64) string {
	return fmt.Sprintf("The scenario is over after %g s. It can be run on.", seconds)
}

func violatedText(id, what string) string { return id + " is violated: " + what }

// requirementTexts say in a line what each requirement asks for.
var requirementTexts = map[string]string{
	"close-cut":            "A door that is driven down onto something is cut off within 0.5 s.",
	"obstruction-reversal": "… and is driven up again within 2 s of contact, to fully open.",
	"contact-force":        "Against an obstruction, 400 N at the peak and 150 N after 0.75 s (EN 12453 as a yardstick).",
	"travel-timeout":       "No run lasts longer than 15 s, and a closing that finds no floor is turned.",
	"lock-interlock":       "No lock bar moves against a door that is up, and no door against a bar.",
	"stop-on-press":        "A press stops a moving door within 50 ms, and the next one opens it.",
	"no-surprise":          "Nothing starts without a press, but the reversal of a closing door.",
	"dead-time":            "100 ms without voltage between the two directions.",
	"supply-guard":         "No start on less than 10.9 V, and the drive is off after a brown-out.",
	"slack-limit":          "No more than 150 mm of slack cable while driven down.",
	"taught-travel":        "Losing power while teaching leaves the old record or the new one, never a mixture.",
	"lock-fault":           "A bar that cannot arrive goes back, and its lamp tells the truth.",
	"alarm":                "What is wrong is sounded within 1 s, and nothing else.",
	"service":              "With nothing wrong, a press opens or closes the door within 12 s.",
	"recovery":             "Once everything is mended, doors and locks work again.",
}

const savedComment = "As operated on the live bench. It plays the same run again."

package campaign

import (
	"fmt"

	"slatbench/sim/fault"
)

// The distributions from which cases are drawn. docs/campaigns.md and every report
// show them as they stand here; a test holds the page to them. All of them are
// invented: they describe no fleet, and a bound on a probability holds for runs
// drawn like this.
//
// Narrowing one weakens what a campaign tells; widening one past what parts are
// sold with turns good trucks into faulty ones.
var (
	// The truck.
	massLaw    = uniform{0.97, 1.03, 1000}
	turnsLaw   = uniform{0.97, 1.03, 1000}
	dryLaw     = uniform{0.8, 1.2, 1000}
	viscousLaw = uniform{0.8, 1.2, 1000}
	motorLaw   = uniform{0.95, 1.05, 1000}

	// Where it stands.
	temperatureLaw = mixture{{85, uniform{-20, 45, 1}}, {15, uniform{-20, -12, 1}}}
	sunlightLaw    = mixture{{70, fixed(0)}, {30, uniform{0, 40e3, 1e-3}}}
	gradeLaw       = uniform{-0.05, 0.05, 1000}
	chargeLaw      = uniform{0.4, 1, 100}

	// How it stands.
	actingLaw   = number{0, 0, 80, 14, 6}
	lockedLaw   = chance(15)
	untaughtLaw = chance(2)
	standsLaw   = number{55, 30, 15}      // down, open, between
	openLaw     = uniform{0, 0.045, 1000} // a door that was taught or has homed rests against its stop
	heightLaw   = uniform{0.1, 1.6, 100}

	// What people do at a bay.
	firstLaw    = uniform{0.3, 8, 100}
	pressesLaw  = number{0, 10, 25, 30, 20, 15}
	gapLaw      = mixture{{15, uniform{0.25, 1.2, 100}}, {35, uniform{1.2, 5, 100}}, {50, uniform{5, 10, 100}}}
	pressLaw    = mixture{{88, uniform{0.1, 0.4, 100}}, {10, uniform{0.4, 2.5, 100}}, {2, uniform{0.02, 0.1, 100}}}
	aimLaw      = mixture{{70, uniform{-0.1, 0.1, 100}}, {30, uniform{-0.35, 0.35, 100}}}
	distanceLaw = uniform{1, 5, 10}
	teachLaw    = chance(12)
	teachGapLaw = mixture{{25, uniform{0.6, 10, 100}}, {75, uniform{12, 15, 100}}}

	// What they do at the locks.
	earlyLockLaw = chance(40)
	earlyLaw     = uniform{0.3, 3, 100}
	askGapLaw    = mixture{{30, uniform{0.2, 2.5, 100}}, {70, uniform{2.5, 8, 100}}}
	midLockLaw   = chance(25)
	lateLockLaw  = chance(40)
	lateGapLaw   = mixture{{30, uniform{0.5, 5, 100}}, {70, uniform{5, 9, 100}}}
	oneAskLaw    = chance(30)
	bypassLaw    = chance(4)
	busyLaw      = chance(15)
	busyGapLaw   = uniform{0, 2.5, 100}
	raceLaw      = chance(10)
	raceGapLaw   = mixture{{50, uniform{0.04, 0.08, 100}}, {50, uniform{0, 0.2, 100}}} // a receiver takes 60 ms

	// When it is over.
	healLaw = uniform{24, 40, 100}

	// What goes wrong.
	onsetLaw    = mixture{{25, fixed(0)}, {75, uniform{0, 1, 1000}}}
	badTimeLaw  = chance(40)
	intoStepLaw = mixture{{35, uniform{0, 0.3, 100}}, {35, uniform{0.3, 1.5, 100}}, {30, uniform{1.5, 4, 100}}}
	lockTimeLaw = chance(60)
	intoAskLaw  = uniform{0, 2, 100}
	severeLaw   = chance(20)
	lastsLaw    = mixture{{50, fixed(60)}, {50, logUniform{0.05, 20, 100}}}
	eventsLaw   = number{30, 40, 30}
	topLaw      = mixture{{70, uniform{0.026, 1.45, 1000}}, {30, uniform{0.026, 0.2, 1000}}}
	staysLaw    = uniform{1, 30, 100}
	softLaw     = []float64{5e3, 20e3, 100e3, 500e3}
	jamLaw      = uniform{0.005, 0.055, 1000}
	jamLastLaw  = mixture{{50, fixed(60)}, {50, uniform{1, 15, 100}}}
	leftLaw     = mixture{{65, fixed(0)}, {35, uniform{0.3, 0.8, 100}}}
	darkLaw     = logUniform{0.01, 3, 100}
	sagLaw      = chance(40)
	sagLeftLaw  = uniform{0.66, 0.95, 1000}
	sagLastsLaw = uniform{1, 30, 100}
	crankLaw    = chance(50) // an engine that cranks: the supply fails, and comes back low
	tornLaw     = chance(80)
	runLaw      = chance(60)
	askRunLaw   = chance(40)
	intoRunLaw  = mixture{{40, uniform{0, 1.2, 100}}, {60, uniform{0, 7, 100}}}
	afterLaw    = chance(60)
	afterGapLaw = uniform{0.3, 4, 100}
	togetherLaw = chance(40)
	stretchLaw  = uniform{0, 1.4, 100}
	lengthLaw   = uniform{0.1, 0.6, 100}
	missLaw     = uniform{0.1, 0.4, 100}

	// How often a run is a corner, and what is done in all of them: corners_list.go.
	cornerLaw         = chance(4)
	cornerMoreLaw     = number{70, 15, 10, 5}
	cornerGapLaw      = mixture{{40, uniform{1, 5, 100}}, {60, uniform{5, 16, 100}}}
	cornerPressLaw    = uniform{0.1, 0.25, 100}
	cornerAimLaw      = uniform{-0.1, 0.1, 100}
	cornerDistanceLaw = uniform{1, 3, 10}
)

// eventShares is how often each kind of event is drawn.
var eventShares = []struct {
	kind    string
	percent float64
}{
	{"obstruction", 52},
	{"supply-interruption", 33},
	{"blocked-lock-bar", 15},
}

// kindShares are the kinds of fault that are drawn more often than once in turn:
// those whose choices of words make several faults of one, and one of its own kind.
var kindShares = map[string]float64{
	"stuck-lock-switch":      3,
	"stuck-door-down-wire":   2,
	"extra-pulses":           2, // the only one that counts a door past its floor
	"stuck-reel":             2, // the only one that takes the pulses of opening away
	"sill-switch-stuck-made": 2, // the only one that says down up there
}

// kindShare is how often a kind is drawn, in shares.
func kindShare(name string) float64 {
	if w := kindShares[name]; w != 0 {
		return w
	}
	return 1
}

// faultShares is how many faults a run of a plan has, in a hundred.
func faultShares(most int) number {
	switch most {
	case 0:
		return number{100}
	case 1:
		return number{10, 90}
	}
	return number{4, 16, 80}
}

// Distribution is one of them in words.
type Distribution struct {
	Group, Name string
	Unit        string
	Law         string
}

// Distributions lists everything that is drawn, in the order of drawing.
func Distributions() []Distribution {
	list := []Distribution{
		{"truck, each bay", "curtain mass", "of the truck's", massLaw.String()},
		{"truck, each bay", "initial turns", "of the truck's", turnsLaw.String()},
		{"truck, each bay", "dry friction, running and breakaway", "of the truck's", dryLaw.String()},
		{"truck, each bay", "viscous friction", "of the truck's", viscousLaw.String()},
		{"truck, each bay", "winding resistance", "of the truck's", motorLaw.String()},
		{"surroundings", "temperature", "°C", temperatureLaw.String()},
		{"surroundings", "sunlight", "lx", sunlightLaw.String()},
		{"surroundings", "grade", "rise over run", gradeLaw.String()},
		{"surroundings", "charge of the battery", "of full", chargeLaw.String()},
		{"start", "bays that act, any of the truck's", "bays", actingLaw.String()},
		{"start", "both sides locked, and all doors down", "", lockedLaw.String()},
		{"start", "nothing taught", "", untaughtLaw.String()},
		{"start", "a bay that acts is down, open, between", "0, 1, 2", standsLaw.String()},
		{"start", "open: below the open stop", "m", openLaw.String()},
		{"start", "height between", "m", heightLaw.String()},
		{"bay that acts", "first press", "s", firstLaw.String()},
		{"bay that acts", "presses", "presses", pressesLaw.String()},
		{"bay that acts", "from a press to the next", "s", gapLaw.String()},
		{"bay that acts", "button held", "s", pressLaw.String()},
		{"bay that acts", "aim off the receiver, towards the next bay", "rad", aimLaw.String()},
		{"bay that acts", "distance of the remote", "m", distanceLaw.String()},
		{"bay that acts", "a press is a teaching", "", teachLaw.String()},
		{"bay that acts", "from a teaching to the next press", "s", teachGapLaw.String()},
		{"each side", "locked before the doors move (always unlocked, where it is locked)", "", earlyLockLaw.String()},
		{"each side", "first request", "s", earlyLaw.String()},
		{"each side", "from lock to unlock, and on to the first press", "s", askGapLaw.String()},
		{"each side", "locked at any time, uniform, between presses", "", midLockLaw.String()},
		{"each side", "locked after the last press", "", lateLockLaw.String()},
		{"each side", "from the last press to that", "s", lateGapLaw.String()},
		{"each side", "a lock request that no unlock request follows", "", oneAskLaw.String()},
		{"each side", "locked just as a door is pressed, a press", "", raceLaw.String()},
		{"each side", "from that press to the request", "s", raceGapLaw.String()},
		{"each side", "a door of it that acts is pressed just after a request, a request", "", busyLaw.String()},
		{"each side", "from that request to the press", "s", busyGapLaw.String()},
		{"each side", "the bar moved by hand to either end, at any time, uniform", "", bypassLaw.String()},
		{"end", "everything is mended", "s", healLaw.String()},
	}
	for most := range 3 {
		list = append(list, Distribution{"faults", fmt.Sprintf("faults, of %d at most", most), "faults", faultShares(most).String()})
	}
	list = append(list,
		Distribution{"faults", "kind", "shares", kindWords()},
		Distribution{"faults", "bay, among those that act; side, among theirs", "", "equal shares"},
		Distribution{"faults", "a second fault is at the place of the first, where its kind can be", "", togetherLaw.String()},
		Distribution{"faults", "onset: after some step at the place, where there is one", "", badTimeLaw.String()},
		Distribution{"faults", "onset, at a lock or on a door-down wire: after some request there, where there is one", "", lockTimeLaw.String()},
		Distribution{"faults", "onset: so long after that request", "s", intoAskLaw.String()},
		Distribution{"faults", "onset: so long after that step", "s", intoStepLaw.String()},
		Distribution{"faults", "onset: else, of the time to 1 s before the mending", "", onsetLaw.String()},
		Distribution{"faults", "lasts, to the mending at most", "s", lastsLaw.String()},
		Distribution{"faults", "as severe as the kind gets", "", severeLaw.String()},
		Distribution{"faults", "severity otherwise, between mild and severe (slatbench list faults)", "",
			"uniform; log-uniform where both ends are of one sign and one is ten times the other; whole pulses"},
		Distribution{"faults", "choice between words", "", "equal shares"},
		Distribution{"faults", "added-friction: low end", "m", stretchLaw.String()},
		Distribution{"faults", "added-friction: length", "m", lengthLaw.String()},
		Distribution{"faults", "missed-pulses: speed above which", "m/s", missLaw.String()},
		Distribution{"faults", "wrong-supply-reading: sign", "", "equal shares"},
		Distribution{"events", "events", "events", eventsLaw.String()},
		Distribution{"events", "kind", "", eventWords()},
		Distribution{"events", "onset", "", "as of faults"},
		Distribution{"events", "obstruction: top above the sill", "m", topLaw.String()},
		Distribution{"events", "obstruction: stiffness 5, 20, 100, 500 N/mm", "", "equal shares"},
		Distribution{"events", "obstruction: stays", "s", staysLaw.String()},
		Distribution{"events", "blocked-lock-bar: position", "m", jamLaw.String()},
		Distribution{"events", "blocked-lock-bar: stays", "s", jamLastLaw.String()},
		Distribution{"events", "supply-interruption: it only sags", "", sagLaw.String()},
		Distribution{"events", "supply-interruption that sags: voltage left", "of the battery's", sagLeftLaw.String()},
		Distribution{"events", "supply-interruption that sags: lasts", "s", sagLastsLaw.String()},
		Distribution{"events", "supply-interruption otherwise: voltage left", "of the battery's", leftLaw.String()},
		Distribution{"events", "supply-interruption otherwise: lasts", "s", darkLaw.String()},
		Distribution{"events", "supply-interruption otherwise, first of two events: the second is that it comes back as one that sags", "", crankLaw.String()},
		Distribution{"events", "supply-interruption: during a teaching, where there is one", "", tornLaw.String()},
		Distribution{"events", "supply-interruption: otherwise after some step, where there is one", "", runLaw.String()},
		Distribution{"events", "supply-interruption: that step is a request, where there is one", "", askRunLaw.String()},
		Distribution{"events", "supply-interruption: so long after that step", "s", intoRunLaw.String()},
		Distribution{"events", "supply-interruption: somebody presses at one of the bays that act once it is over", "", afterLaw.String()},
		Distribution{"events", "supply-interruption: so long after its end", "s", afterGapLaw.String()},
	)
	return append(list, cornerDistributions()...)
}

func kindWords() string {
	text := "1 each"
	for _, k := range fault.Kinds() { // in their order, not the map's
		if w := kindShares[k.Name]; w != 0 {
			text += fmt.Sprintf(", %s %g", k.Name, w)
		}
	}
	return text
}

func eventWords() string {
	text := ""
	for i, e := range eventShares {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%s %g %%", e.kind, e.percent)
	}
	return text
}

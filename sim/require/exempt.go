package require

// Exemption says that a clause of a requirement cannot be kept by any controller
// while a kind of fault is on, and why that is shown.
type Exemption struct {
	Requirement string
	Clause      string
	Fault       string // name of the kind
	When        When
	Reason      string // physical
	Witness     string
}

// When narrows an exemption to the circumstances that its witness needs.
type When uint8

const (
	// Always while the fault is on.
	Always When = iota
	// OnsetBetweenEnds: only where the fault came on while a lock bar stood
	// between its ends. At any other time the controllers can tell.
	OnsetBetweenEnds
)

const (
	noPathUp = "no controller output puts voltage for up on the motor"
	noPathBy = "static: of the eight states of the three contacts none reaches the motor's up circuit; checked with the model's power stage"

	noLift   = "shaft and drive are uncoupled: the motor turns and the curtain stays"
	noLiftBy = "static: with the release open the torque on the shaft has no term of the motor, so every sequence of outputs gives the same curtain"

	falseEnd = "the end switch says that the bar has arrived at the moment at which it might have, and nothing else tells where the bar is"
	twoBars  = "two histories: a bar that arrives, and a bar stopped by something in its way whose end switch sticks at that moment, " +
		"give both controllers the same switch levels at the same times; the supply reading differs by the actuator's stall current, " +
		"which any door that runs at the same time can hide"
)

// Exemptions is the whole list. docs/requirements.md derives it from the channel
// table, and a test holds the two together. close-cut has none.
var Exemptions = []Exemption{
	{"obstruction-reversal", "reverse", "open-motor-lead", Always, noPathUp, noPathBy},
	{"obstruction-reversal", "reverse", "welded-down-contact", Always, noPathUp + ": with up asked the leads are shorted", noPathBy},
	{"obstruction-reversal", "reverse", "open-up-contact", Always, noPathUp, noPathBy},
	{"obstruction-reversal", "reverse", "open-enable-contact", Always, noPathUp, noPathBy},

	{"obstruction-reversal", "rise", "open-motor-lead", Always, noPathUp, noPathBy},
	{"obstruction-reversal", "rise", "welded-down-contact", Always, noPathUp + ": with up asked the leads are shorted", noPathBy},
	{"obstruction-reversal", "rise", "open-up-contact", Always, noPathUp, noPathBy},
	{"obstruction-reversal", "rise", "open-enable-contact", Always, noPathUp, noPathBy},
	{"obstruction-reversal", "rise", "manual-release-open", Always, noLift, noLiftBy},

	{"obstruction-reversal", "open", "open-motor-lead", Always, noPathUp, noPathBy},
	{"obstruction-reversal", "open", "welded-down-contact", Always, noPathUp + ": with up asked the leads are shorted", noPathBy},
	{"obstruction-reversal", "open", "open-up-contact", Always, noPathUp, noPathBy},
	{"obstruction-reversal", "open", "open-enable-contact", Always, noPathUp, noPathBy},
	{"obstruction-reversal", "open", "manual-release-open", Always, noLift, noLiftBy},

	{"travel-timeout", "turn", "open-motor-lead", Always, noPathUp, noPathBy},
	{"travel-timeout", "turn", "welded-down-contact", Always, noPathUp + ": with up asked the leads are shorted", noPathBy},
	{"travel-timeout", "turn", "open-up-contact", Always, noPathUp, noPathBy},
	{"travel-timeout", "turn", "open-enable-contact", Always, noPathUp, noPathBy},

	{"supply-guard", "start", "wrong-supply-reading", Always,
		"the reading is the only channel for the supply at rest",
		"two histories: 12.0 V read right, and 10.8 V read 1.2 V too high, give the same converter counts at rest, and a start is demanded in the first (service)"},

	{"lock-interlock", "door", "stuck-lock-switch", OnsetBetweenEnds, falseEnd, twoBars},
	{"lock-fault", "return", "stuck-lock-switch", OnsetBetweenEnds, falseEnd, twoBars},
	{"lock-fault", "home", "stuck-lock-switch", OnsetBetweenEnds, falseEnd, twoBars},
	{"lock-fault", "flash", "stuck-lock-switch", OnsetBetweenEnds, falseEnd, twoBars},
	{"lock-fault", "show", "stuck-lock-switch", OnsetBetweenEnds, falseEnd, twoBars},
	{"alarm", "sounds", "stuck-lock-switch", OnsetBetweenEnds, falseEnd, twoBars},
}

// Active is a fault of a run, by the name of its kind and its time in steps.
type Active struct {
	Kind     string
	From, To int64 // To 0: to the end of the run
}

// activeFault is one of them with what its exemptions need to know.
type activeFault struct {
	Active
	met     bool // the onset has passed
	between bool // a bar stood between its ends then
}

// exemptAfter is how long after a fault has been mended a violation is still put
// down to it, in s.
const exemptAfter = 30.0

// exempt finds the exemption that covers a violation of c at step at.
func (s *Set) exempt(c clause, at int64) *Exemption {
	for i := range Exemptions {
		e := &Exemptions[i]
		if e.Requirement != IDs[clauses[c].of] || e.Clause != clauses[c].word {
			continue
		}
		for j := range s.faults {
			if s.faults[j].covers(e, at, s.steps(exemptAfter)) {
				return e
			}
		}
	}
	return nil
}

func (f *activeFault) covers(e *Exemption, at, after int64) bool {
	if f.Kind != e.Fault || at < f.From || f.To > f.From && at > f.To+after {
		return false
	}
	return e.When == Always || f.between
}

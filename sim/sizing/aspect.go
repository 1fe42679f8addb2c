package sizing

// Aspect is one thing that is judged.
type Aspect int

// The aspects, in the order of reports.
const (
	StaysPut Aspect = iota
	InitialTurns
	TurnsLeft
	HandUp
	HandDown
	HoldOpen
	OpeningTime
	ClosingTime
	RunningCurrent
	InrushCurrent
	RestSupply
	RunningSupply
	InrushSupply
	MotorTemperature
	ChargeCycles
	Frost
	Stress
	SpringLife
	ShaftClearance
	ShaftRoom
	Aspects // their number
)

// Limit is where an answer stops to pass and where it begins to fail. Between the
// two it is marginal. Where more is better Pass is above Fail, else below.
type Limit struct{ Pass, Fail float64 }

// score is 1 at Pass and 0 at Fail.
func (l Limit) score(x float64) float64 {
	if l.Pass == l.Fail {
		if x == l.Pass {
			return 1
		}
		return 0
	}
	return (x - l.Fail) / (l.Pass - l.Fail)
}

// AspectInfo describes an aspect.
type AspectInfo struct {
	ID        string // in files and JSON
	Name      string // on a page
	Dimension string // of package scenarios
	Unit      string // that figures are shown in, and
	Scale     float64
	Places    int  // decimals shown
	More      bool // more is better
	Default   Limit
	Source    string // of the default limits
}

// aspectInfos. A scale of 1 shows SI.
var aspectInfos = [Aspects]AspectInfo{
	StaysPut:         {"stays-put", "stays where it is left", "force", "N", 1, 0, true, Limit{15, 0}, "common practice, no source"},
	InitialTurns:     {"initial-turns", "initial turns within the window by", "turns", "turns", 1, 2, true, Limit{0.5, 0}, "common practice, no source"},
	TurnsLeft:        {"turns-left", "turns left when open", "turns", "turns", 1, 2, true, Limit{0.5, 0.25}, "common practice, no source"},
	HandUp:           {"hand-up", "hand force up, release open", "force", "N", 1, 0, false, Limit{150, 260}, "EN 12604, from memory; written for other doors"},
	HandDown:         {"hand-down", "hand force down, release open", "force", "N", 1, 0, false, Limit{150, 260}, "EN 12604, from memory; written for other doors"},
	HoldOpen:         {"hold-open", "held open on a grade", "force", "N", 1, 0, true, Limit{15, 0}, "common practice, no source"},
	OpeningTime:      {"opening-time", "opening time", "time", "s", 1, 2, false, Limit{8, 12}, "common practice, no source"},
	ClosingTime:      {"closing-time", "closing time", "time", "s", 1, 2, false, Limit{8, 12}, "common practice, no source"},
	RunningCurrent:   {"running-current", "running current", "current", "A", 1, 1, false, Limit{16, 20}, "80 % and 100 % of a 20 A fuse; common practice, no source"},
	InrushCurrent:    {"inrush-current", "inrush current", "current", "A", 1, 1, false, Limit{30, 40}, "invented: what the contacts may make"},
	RestSupply:       {"rest-supply", "supply at rest", "voltage", "V", 1, 2, true, Limit{11.3, 11.0}, "no start below 11 V: common practice, no source"},
	RunningSupply:    {"running-supply", "supply while running", "voltage", "V", 1, 2, true, Limit{11.0, 9.0}, "11 V floor: common practice, no source; back from brown-out at 9 V"},
	InrushSupply:     {"inrush-supply", "supply at the inrush", "voltage", "V", 1, 2, true, Limit{9.0, 8.0}, "brown-out at 8 V, back at 9 V"},
	MotorTemperature: {"motor-temperature", "motor winding at the stop rate", "temperature", "°C", 1, 0, false, Limit{110, 130}, "class B of IEC 60085, from memory, and 20 K of reserve"},
	ChargeCycles:     {"charge-cycles", "cycles between charges", "cycles", "cycles", 1, 0, true, Limit{75, 60}, "the use asked for, and a quarter more"},
	Frost:            {"frost", "battery above freezing by", "temperature difference", "K", 1, 0, true, Limit{5, 0}, "common practice, no source"},
	Stress:           {"stress", "spring stress, of where it sets", "ratio", "%", 100, 0, false, Limit{0.90, 1.00}, "yield in bending (Shigley); a tenth of reserve is common practice, no source"},
	SpringLife:       {"spring-life", "spring life, estimated", "cycles", "cycles", 1, 0, true, Limit{50_000, 10_000}, "the life asked for, and its scatter"},
	ShaftClearance:   {"shaft-clearance", "coil clear of the shaft, wound", "length", "mm", 1000, 1, true, Limit{0.003, 0}, "common practice, no source"},
	ShaftRoom:        {"shaft-room", "room left on the shaft, wound", "length", "mm", 1000, 0, true, Limit{0.025, 0}, "common practice, no source"},
}

// Info describes an aspect.
func (a Aspect) Info() *AspectInfo { return &aspectInfos[a] }

// Limits are what answers are held against.
type Limits struct {
	Of          [Aspects]Limit
	Grade       float64 // rise over run, either way, on which the door must stay open
	ChargeFloor float64 // of the battery: charged again before it falls below
}

// DefaultLimits are those of the table; a grade of 5 %, as service is judged; half
// a charge (common practice, no source: deeper discharge ages a battery).
func DefaultLimits() Limits {
	l := Limits{Grade: 0.05, ChargeFloor: 0.5}
	for a := range l.Of {
		l.Of[a] = aspectInfos[a].Default
	}
	return l
}

// OfUse makes the limits that a use sets by itself: cycles between charges, and life.
func (l *Limits) OfUse(u Use) {
	l.Of[ChargeCycles] = Limit{1.25 * u.CyclesACharge, u.CyclesACharge}
	l.Of[SpringLife] = Limit{LifeScatter * u.Life, u.Life}
}

// Verdict of an answer, or of all.
type Verdict int

// The verdicts, the worse the greater.
const (
	NotJudged Verdict = iota // what it takes is not known
	Pass
	Marginal
	Fail
)

func (v Verdict) String() string {
	return [...]string{"not judged", "pass", "marginal", "fail"}[v]
}

// verdictOf a score.
func verdictOf(score float64) Verdict {
	switch {
	case score >= 1:
		return Pass
	case score >= 0:
		return Marginal
	}
	return Fail
}

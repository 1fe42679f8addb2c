package live

import "slatbench/scenarios"

// What travels between the page and the bench. docs/live-protocol.md says it in
// plain words; the two change together, and a test holds them to each other.

// ProtocolVersion is told in [Welcome]. A page that was made for another one says so
// and stops: it changes when a message changes its meaning.
const ProtocolVersion = 1

// Request is a message of the page. Do says what is asked for; which of the other
// fields matter follows from it. A number that is left out has its usual value.
type Request struct {
	Do string `json:"do"`
	ID int    `json:"id,omitempty"` // of the page's own choice; answers and errors repeat it

	// open
	Name   string `json:"name,omitempty"`   // of a scenario, as Welcome lists them
	Lesson string `json:"lesson,omitempty"` // of a lesson, as Welcome lists them
	Text   string `json:"text,omitempty"`   // of a scenario file that was dropped on the page
	File   string `json:"file,omitempty"`   // its name, for messages

	// where: press, let go, teach, release, obstruction, fault, lock, unlock, bypass
	Bay   string `json:"bay,omitempty"`
	Side  string `json:"side,omitempty"`  // curbside, roadside; lock and unlock also: both
	Place string `json:"place,omitempty"` // fault: a bay, a side or a part

	// how: press, lock, unlock
	Hold     bool     `json:"hold,omitempty"`       // until let go
	Length   *float64 `json:"length_s,omitempty"`   // s
	Aim      *float64 `json:"aim_deg,omitempty"`    // °, towards the next bay
	Distance *float64 `json:"distance_m,omitempty"` // m

	What string `json:"what,omitempty"` // let go: press, lock or unlock
	To   string `json:"to,omitempty"`   // bypass: locked or unlocked
	On   bool   `json:"on,omitempty"`   // teach, release, supply, obstruction, fault

	// how bad: obstruction, fault
	Height    *float64           `json:"height_m,omitempty"`      // m
	Stiffness *float64           `json:"stiffness_n_m,omitempty"` // N/m
	Kind      string             `json:"kind,omitempty"`          // fault
	Values    map[string]float64 `json:"values,omitempty"`        // by parameter, SI; a word is its index

	Factor float64  `json:"factor,omitempty"` // speed: 0.1, 1 or 10
	Ticks  int      `json:"ticks,omitempty"`  // step: usually 1
	At     *float64 `json:"at_s,omitempty"`   // rewind
	Title  string   `json:"title,omitempty"`  // save
	Choice *int     `json:"choice,omitempty"` // answer: index of the choice
	Job    string   `json:"job,omitempty"`    // job: its name
}

// What a page can ask for, in Request.Do.
const (
	DoOpen        = "open"
	DoPress       = "press"
	DoLetGo       = "let go"
	DoTeach       = "teach"
	DoLock        = "lock"
	DoUnlock      = "unlock"
	DoBypass      = "bypass"
	DoRelease     = "release"
	DoSupply      = "supply"
	DoObstruction = "obstruction"
	DoFault       = "fault"
	DoSpeed       = "speed"
	DoRun         = "run"
	DoPause       = "pause"
	DoStep        = "step"
	DoRestart     = "restart"
	DoRewind      = "rewind"
	DoSave        = "save"
	DoAnswer      = "answer"
	DoNext        = "next"
	DoJob         = "job"
)

// What the bench says, in the field is.
const (
	IsWelcome      = "welcome"
	IsBench        = "bench"
	IsFrame        = "frame"
	IsRequirements = "requirements"
	IsFaults       = "faults"
	IsEvent        = "event"
	IsSaved        = "saved"
	IsLesson       = "lesson"
	IsDone         = "done"
	IsError        = "error"
	IsBye          = "bye"
)

// Welcome is the first message of a connection: what does not change while it lasts.
type Welcome struct {
	Is           string        `json:"is"`
	Protocol     int           `json:"protocol"`
	Version      string        `json:"version"` // of the program
	Scenarios    []Listed      `json:"scenarios"`
	Lessons      []Listed      `json:"lessons"`
	Kinds        []FaultKind   `json:"kinds"`
	Requirements []Requirement `json:"requirements"`
	Alarms       []AlarmWords  `json:"alarms"`
	Speeds       []float64     `json:"speeds"`
	Frames       int           `json:"frames_per_s"`
}

// Listed is something that can be opened by its name.
type Listed struct {
	Name  string `json:"name"`
	Title string `json:"title"`
	Group string `json:"group"` // demo, faults, lessons, yours
	Doc   string `json:"doc,omitempty"`
}

// FaultKind is a kind of fault that can be switched on.
type FaultKind struct {
	Name   string       `json:"name"`
	Group  string       `json:"group"` // what of the truck it strikes, to sort switches by
	On     string       `json:"on"`    // bay, side, truck
	Part   string       `json:"part,omitempty"`
	Event  bool         `json:"event,omitempty"`
	Doc    string       `json:"doc"`
	Does   string       `json:"does"`
	Params []FaultParam `json:"params"`
}

// FaultParam is how bad it is. Numbers are in SI units; what a person reads is the
// number times Scale, in Unit.
type FaultParam struct {
	Name     string   `json:"name"`
	Doc      string   `json:"doc"`
	Words    []string `json:"words,omitempty"` // a choice, by index; then nothing below counts but Usual
	Usual    float64  `json:"usual"`
	Min      float64  `json:"min"`
	Max      float64  `json:"max"`
	Mild     float64  `json:"mild"`
	Severe   float64  `json:"severe"`
	Severity bool     `json:"severity"` // the one to offer as how severe
	Unit     string   `json:"unit"`     // as shown: mm, N, %, …
	Scale    float64  `json:"scale"`
}

// Requirement is one of the properties that must always hold.
type Requirement struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

// AlarmWords are the words of one alarm.
type AlarmWords struct {
	Pulses int    `json:"pulses"`
	Name   string `json:"name"`
	Text   string `json:"text"`
}

// Bench describes the truck in this session, and the run. It comes when one is opened,
// restarted or rewound: what came before is of another run.
type Bench struct {
	Is       string   `json:"is"`
	Title    string   `json:"title"`
	Name     string   `json:"name,omitempty"` // by which to open it again; none where it was dropped
	Lesson   bool     `json:"lesson,omitempty"`
	Truck    string   `json:"truck"`
	Logic    string   `json:"logic"`
	Tick     float64  `json:"tick_s"`
	Start    float64  `json:"start_s"`    // where frames go on: above 0 after a rewind
	Duration float64  `json:"duration_s"` // the scenario's; the run pauses there once
	Ambient  Ambient  `json:"ambient"`
	Bays     []Bay    `json:"bays"`
	Sides    []Side   `json:"sides"`
	States   []string `json:"states"` // of all controllers, by the number in frames

	// Names of the numbers in frames.
	BayColumns    []string `json:"bay_columns"`
	SideColumns   []string `json:"side_columns"`
	TruckColumns  []string `json:"truck_columns"`
	SampleColumns []string `json:"sample_columns"`

	Script []Scripted `json:"script"` // what the scenario will do by itself
	Limits Limits     `json:"limits"`
}

// Ambient is where the truck stands.
type Ambient struct {
	Temperature float64 `json:"temperature_c"`
	Sunlight    float64 `json:"sunlight_lx"`
	Grade       float64 `json:"grade"` // rise over run, positive lifts curbside roof ends
}

// Bay is the geometry of one door, in m.
type Bay struct {
	ID      string  `json:"id"`
	Side    string  `json:"side"`
	Station float64 `json:"station_m"` // along the side, from its first bay

	Opening  float64 `json:"opening_m"`  // H: edge height along the track at the open stop
	Vertical float64 `json:"vertical_m"` // Hv: straight part of the track before the bend
	Bend     float64 `json:"bend_m"`     // R
	Length   float64 `json:"curtain_m"`  // L: of the curtain, from its edge
	Mass     float64 `json:"mass_kg"`
	Drum     float64 `json:"drum_m"`          // radius
	Turns    float64 `json:"initial_turns"`   // of the spring, at closed
	Seal     float64 `json:"seal_m"`          // height of the bulb that gives
	Sill     float64 `json:"sill_switch_m"`   // made below this edge height
	Edge     bool    `json:"edge"`            // a sensing edge is fitted
	EdgeN    float64 `json:"edge_force_n"`    // at which it closes
	Pulses   float64 `json:"pulses_per_m"`    // of the encoder
	TurnPls  int     `json:"pulses_per_turn"` // of its reel
	TwoChan  bool    `json:"quadrature"`
}

// Side is a lock bar, in m.
type Side struct {
	ID     string   `json:"id"`
	Bays   []string `json:"bays"`
	Stroke float64  `json:"stroke_m"`
	Clear  float64  `json:"clear_m"` // of the stroke, in which it does not reach a curtain
}

// Scripted is something that the scenario does by itself at its time.
type Scripted struct {
	At   float64 `json:"at_s"`
	Text string  `json:"text"`
}

// Limits are what charts draw as lines, and how far their axes go by habit.
type Limits struct {
	ContactPeak   float64 `json:"contact_peak_n"`   // EN 12453: 400 N
	ContactStatic float64 `json:"contact_static_n"` // EN 12453: 150 N
	SupplyStart   float64 `json:"supply_start_v"`   // no start below it
	BrownOut      float64 `json:"brown_out_v"`
	Slack         float64 `json:"slack_m"`
	Open          float64 `json:"open_tolerance_m"`
	Closed        float64 `json:"closed_tolerance_m"`
	CurrentAxis   float64 `json:"current_axis_a"`
	TensionAxis   float64 `json:"tension_axis_n"`
	ContactAxis   float64 `json:"contact_axis_n"`
	SupplyAxis    float64 `json:"supply_axis_v"`
}

// The numbers of a frame, a bay, in this order. docs/live-protocol.md says what they are.
var bayColumns = []string{
	"height_m", "counted_m", "counts", "speed_m_s", "slack_m", "tension_n", "drum_rad", "spring_turns",
	"supply_v", "current_a", "contact_n", "floor_n", "winding_c", "reel_out_m",
	"state", "drive", "duty_pct", "energised", "lamp", "tone", "press", "teach", "sill", "edge", "awake",
	"released", "obstacle_m", "pulses_heard",
}

// The numbers of a frame, a side, in this order.
var sideColumns = []string{"bar_m", "drive", "state", "lamp", "permit", "locked", "unlocked", "lock_request", "unlock_request"}

// The numbers of a frame, the truck, in this order.
var truckColumns = []string{"node_v", "battery_a", "charge", "supply_on", "lock_tone", "lock_awake", "lock_pulses_heard"}

// The numbers of a sample, a bay, in this order.
var sampleColumns = []string{"height_m", "counted_m", "supply_v", "current_a", "tension_n", "slack_m", "contact_n", "state"}

// Frame is the truck at an instant, and what has happened since the frame before. It is
// written by hand (frame.go): this type serves tests and readers.
type Frame struct {
	Is      string       `json:"is"`
	Seq     int          `json:"seq"` // one up a frame; a gap: frames were dropped
	T       float64      `json:"t"`   // s
	Running bool         `json:"running"`
	Speed   float64      `json:"speed"`
	Why     string       `json:"why,omitempty"`    // it does not run: paused, question, end, trouble
	States  []string     `json:"states,omitempty"` // where there are more than before
	Bays    [][]*float64 `json:"bays"`
	Sides   [][]*float64 `json:"sides"`
	Truck   []*float64   `json:"truck"`
	Samples Samples      `json:"samples"`
}

// Samples are for the charts: since the frame before, 100 a second of wall time at
// most. Of a column there is one number for all where all are equal.
type Samples struct {
	T    []float64 `json:"t"`
	Bays [][]any   `json:"bays"`
}

// Requirements are those whose state has changed, and all of them after [Bench].
type Requirements struct {
	Is   string   `json:"is"`
	List []Judged `json:"list"`
}

// Judged is how a requirement stands.
type Judged struct {
	ID     string   `json:"id"`
	State  string   `json:"state"` // not exercised, holds, violated, exempt, measured
	Margin *float64 `json:"margin"`
	Unit   string   `json:"unit"`
	At     *float64 `json:"at_s"` // of the margin; violated: of the violation
	Bay    string   `json:"bay,omitempty"`
	Side   string   `json:"side,omitempty"`
	Clause string   `json:"clause,omitempty"`
	Tests  int      `json:"tests"`
	Text   string   `json:"text,omitempty"` // violated: what happened; exempt: why no controller could do better
}

// Faults are all that are on now.
type Faults struct {
	Is   string    `json:"is"`
	List []FaultOn `json:"list"`
}

// FaultOn is one of them.
type FaultOn struct {
	Kind   string             `json:"kind"`
	Place  string             `json:"place"`
	Since  float64            `json:"since_s"`
	Values map[string]float64 `json:"values"`
}

// Kinds of event.
const (
	eventAlarm    = "alarm"     // its count is over
	eventPress    = "press"     // a receiver's line goes on
	eventAction   = "action"    // what a person or the scenario does
	eventFaultOn  = "fault-on"  //
	eventFaultOff = "fault-off" //
	eventRefused  = "refused"   // a fault could not come on
	eventViolated = "violated"  // a requirement
	eventState    = "state"     // of a controller
	eventReset    = "reset"     // a controller has lost its power, or starts again
	eventSilent   = "silent"    // a controller from outside has failed
	eventEnd      = "end"       // of the scenario
	eventTrouble  = "trouble"   // the run cannot go on
)

// Event is something that happened at an instant of the run.
type Event struct {
	Is     string  `json:"is"`
	Kind   string  `json:"kind"`
	At     float64 `json:"at_s"`
	Bay    string  `json:"bay,omitempty"`
	Side   string  `json:"side,omitempty"`
	Name   string  `json:"name,omitempty"`   // of the alarm, the fault, the requirement, the state
	Pulses int     `json:"pulses,omitempty"` // of the alarm
	Text   string  `json:"text"`             // for the list of events and for a screen reader
}

// Saved is a scenario file that replays what was done.
type Saved struct {
	Is      string `json:"is"`
	ID      int    `json:"id,omitempty"`
	File    string `json:"file"` // a name for it
	Text    string `json:"text"`
	Command string `json:"command"` // that replays it
}

// Lesson is where a lesson has got to. It comes after every change.
type Lesson struct {
	Is    string                `json:"is"`
	Name  string                `json:"name"`
	Title string                `json:"title"` // of the lesson; that of its step is in State
	About string                `json:"about"`
	Bay   string                `json:"bay"`      // that it looks at
	Watch []string              `json:"watch"`    // the charts that show it best
	Shown bool                  `json:"switches"` // the learner sees and uses the fault switches
	State scenarios.LessonState `json:"state"`
}

// Done answers a request that was carried out and that has no other answer.
type Done struct {
	Is string `json:"is"`
	ID int    `json:"id,omitempty"`
	Do string `json:"do"`
}

// Error answers a request that could not be carried out. The session goes on.
type Error struct {
	Is      string `json:"is"`
	ID      int    `json:"id,omitempty"`
	Do      string `json:"do,omitempty"`
	Message string `json:"message"` // one line; a place in a file comes first: name:line:column
	Hint    string `json:"hint,omitempty"`
}

// Bye comes before the server closes a connection.
type Bye struct {
	Is     string `json:"is"`
	Reason string `json:"reason"` // full, idle, slow, malformed, trouble, stopped
	Text   string `json:"text"`
}

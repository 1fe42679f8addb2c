package logic

// Table is one logic: a machine for a door, a machine for the lock of a side, and
// the tuning of the detectors that feed them.
type Table struct {
	Name   string  `yaml:"logic,required" doc:"what this logic is called"`
	Tuning Tuning  `yaml:"tuning,required" doc:"thresholds and times of the detectors"`
	Door   Machine `yaml:"door,required" doc:"the machine that every door runs"`
	Lock   Machine `yaml:"lock,required" doc:"the machine that every side's lock runs"`
}

// Machine is states and the transitions between them.
type Machine struct {
	Start       string       `yaml:"start,required" doc:"state after a reset"`
	States      []State      `yaml:"states,required" doc:"states with their outputs"`
	Transitions []Transition `yaml:"transitions,required" doc:"what answers an event"`
}

// State is a state and what it drives. What is left out is off.
type State struct {
	Name   string `yaml:"state,required" doc:"name of the state"`
	Drive  string `yaml:"drive" doc:"door: off, up, down; lock: off, lock, unlock"`
	Duty   string `yaml:"duty" doc:"door: full, closing, slow, teaching: which duty of the tuning drives"`
	Lamp   string `yaml:"lamp" doc:"off, on, flash"`
	Says   string `yaml:"says" doc:"door: down, while its lines tell the lock controller that the door is down"`
	Permit string `yaml:"permit" doc:"lock: yes, while the doors of the side may move"`
}

// Stay, as the target of a transition, leaves the machine in its state.
const Stay = "stay"

// Transition answers an event in some states, if its guards hold.
type Transition struct {
	From  []string `yaml:"from,required" doc:"states in which it answers"`
	On    string   `yaml:"on,required" doc:"the event"`
	If    []string `yaml:"if" doc:"guards that must all hold; 'not' before one turns it round"`
	To    string   `yaml:"to,required" doc:"the next state, or stay"`
	Alarm string   `yaml:"alarm" doc:"the alarm that it sounds"`
	Do    []string `yaml:"do" doc:"what it does besides"`
}

// Tuning is thresholds and times. Voltages in V, times in s, heights in m, duties 0 to 1.
type Tuning struct {
	SupplyFloor float64 `yaml:"supply floor,required" unit:"voltage" range:"[0 V,16 V]" doc:"no start below this supply at rest (common practice, no source: 11 V)"`

	ClosingDuty  float64 `yaml:"closing duty,required" unit:"ratio" range:"[5 %,100 %]" doc:"duty of closing above 'slow below'"`
	SlowDuty     float64 `yaml:"slow duty,required" unit:"ratio" range:"[5 %,100 %]" doc:"duty near the floor"`
	TeachingDuty float64 `yaml:"teaching duty,required" unit:"ratio" range:"[5 %,100 %]" doc:"duty while teaching and while looking for the open stop"`
	SlowBelow    float64 `yaml:"slow below,required" unit:"length" range:"[0 m,3 m]" doc:"height at which closing slows down"`
	StopBefore   float64 `yaml:"stop before,required" unit:"length" range:"[0 m,1 m]" doc:"how far before the taught travel opening is cut, to let the drive run out"`
	TopWindow    float64 `yaml:"top window,required" unit:"length" range:"[0 m,1 m]" doc:"a stall so near the taught travel counts as open"`
	FloorWindow  float64 `yaml:"floor window,required" unit:"length" range:"[0 m,1 m]" doc:"the floor is believed so near a count of zero"`
	Overrun      float64 `yaml:"overrun,required" unit:"length" range:"[0 m,3 m]" doc:"how far closing goes on past a count of zero to find the floor"`
	Trim         float64 `yaml:"trim,required" unit:"length" range:"[0 m,1 m]" doc:"the most by which a found floor corrects the count"`
	LeastTravel  float64 `yaml:"least travel,required" unit:"length" range:"[0 m,10 m]" doc:"a shorter travel is not taught"`
	PulsesAMetre float64 `yaml:"pulses per metre,required" unit:"pulses per length" range:"[1 pulses/m,100000 pulses/m]" doc:"what the heights of this tuning are counted in"`

	StallClosing float64 `yaml:"stall closing,required" unit:"time" range:"[10 ms,60 s]" doc:"pulses missing so long stop a closing door"`
	StallSlow    float64 `yaml:"stall slow,required" unit:"time" range:"[10 ms,60 s]" doc:"… a door that is driven slowly"`
	StallOpening float64 `yaml:"stall opening,required" unit:"time" range:"[10 ms,60 s]" doc:"… an opening door"`
	SlowedTo     float64 `yaml:"slowed to,required" unit:"ratio" range:"[0 %,100 %]" doc:"a door that moves at less than this share of the speed it has had is held up"`
	LeastSpeed   float64 `yaml:"least speed,required" unit:"speed" range:"[0 m/s,5 m/s]" doc:"speed that a run down at full duty is taken to have had at least"`
	MostSpeed    float64 `yaml:"most speed,required" unit:"speed" range:"[0 m/s,5 m/s]" doc:"… and at most"`
	SlowedSpan   float64 `yaml:"slowed span,required" unit:"time" range:"[20 ms,640 ms]" doc:"the time over which its speed is taken"`
	MostLag      float64 `yaml:"most lag,required" unit:"length" range:"[0 m,5 m]" doc:"a closing curtain that has fallen so far behind its drive is held up: that much cable hangs slack, or more"`
	GraceClosing float64 `yaml:"grace closing,required" unit:"time" range:"[10 ms,60 s]" doc:"no pulse so long after the start of closing is no motion"`
	GraceOpening float64 `yaml:"grace opening,required" unit:"time" range:"[10 ms,60 s]" doc:"… of opening: slack is wound up first"`

	ClosingAmps  float64 `yaml:"closing current,required" unit:"current" range:"[0 A,100 A]" doc:"a closing motor that takes more is held up"`
	ClosingWatch float64 `yaml:"closing current below,required" unit:"length" range:"[0 m,10 m]" doc:"height below which that is watched; a door that is driven slowly is watched all the way"`
	OpeningAmps  float64 `yaml:"opening current,required" unit:"current" range:"[0 A,100 A]" doc:"an opening motor that takes more is held up"`
	IdleAmps     float64 `yaml:"idle current,required" unit:"current" range:"[0 A,100 A]" doc:"a motor that takes less drives nothing"`
	LoadedAmps   float64 `yaml:"loaded current,required" unit:"current" range:"[0 A,100 A]" doc:"an opening motor that takes more, and moves nothing, has met something"`
	CurrentTime  float64 `yaml:"current time,required" unit:"time" range:"[10 ms,60 s]" doc:"so long without a break"`
	CurrentAfter float64 `yaml:"current after,required" unit:"time" range:"[0 s,60 s]" doc:"not watched so long after the start, for the inrush"`

	Pause       float64 `yaml:"pause,required" unit:"time" range:"[10 ms,60 s]" doc:"at rest between two directions"`
	SlowTravel  float64 `yaml:"slow travel,required" unit:"time" range:"[10 ms,60 s]" doc:"a longer run sounds the alarm (common practice, no source: 8 s)"`
	TravelLimit float64 `yaml:"travel limit,required" unit:"time" range:"[10 ms,60 s]" doc:"no run is longer"`
	Waking      float64 `yaml:"waking,required" unit:"time" range:"[10 ms,60 s]" doc:"self-test after a reset"`

	LockSettle float64 `yaml:"lock settle,required" unit:"time" range:"[10 ms,60 s]" doc:"doors are held so long before a bar is driven"`
	LockLeave  float64 `yaml:"lock leave,required" unit:"time" range:"[10 ms,60 s]" doc:"the switch of the end that a bar leaves must let go so soon"`
	LockLimit  float64 `yaml:"lock limit,required" unit:"time" range:"[10 ms,60 s]" doc:"a stroke that takes longer has failed"`
	LockStroke float64 `yaml:"lock stroke,required" unit:"time" range:"[10 ms,60 s]" doc:"a bar that is brought back is driven at least so long"`
}

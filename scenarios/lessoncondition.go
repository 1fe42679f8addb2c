package scenarios

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatbench/sim"
	"slatbench/sim/fault"
)

// Condition is something that can come about on the bench, told by what the truck
// and its wires do, never by which button was clicked:
//
//	{is: open, bay: C1}            now; open, closed, stopped, moving, or of a side locked, unlocked
//	{alarm: early-floor, bay: C1}  was sounded in full since the step began; without a bay, at the locks
//	{press: C1}                    was heard by that receiver since the step began
//	{sent: C1}                     the remote was pressed there, heard or not
//	{retrained: C1}                taught, down to the floor and up to the stop
//	{lock: curbside}               the cab switch asked for it
//	{mended: missed-pulses}        no such fault is on now
//	{bar: curbside, at least: 25 mm}  now
//	{apart: C1, at least: 40 mm}   true and counted height now
//	{opening: C1, at most: 7 s}    the last whole opening since the step began
//
// Of several conditions, those of now must be true at one instant, after all
// others have come about.
type Condition struct {
	Located
	Kind  string
	Value any
}

type isCondition struct {
	Is   string   `yaml:"is,required" words:"open,closed,stopped,moving,locked,unlocked" doc:"open within 50 mm, closed within 15 mm, stopped below 5 mm/s; of a side locked or unlocked"`
	Bay  string   `yaml:"bay" doc:"the bay that it is about"`
	Side sideWord `yaml:"side" doc:"the side that it is about"`
}

type alarmCondition struct {
	Alarm alarmWord `yaml:"alarm,required" doc:"an alarm, sounded in full since the step began"`
	Bay   string    `yaml:"bay" doc:"where; left out, at the lock controller"`
}

type pressCondition struct {
	Bay string `yaml:"press,required" doc:"the bay whose receiver has heard a press since the step began"`
}

type sentCondition struct {
	Bay string `yaml:"sent,required" doc:"the bay before which the remote was pressed since the step began, heard or not"`
}

type retrainedCondition struct {
	Bay string `yaml:"retrained,required" doc:"the bay that was taught since the step began, down to the floor and up to the open stop"`
}

type lockCondition struct {
	Side sideWord `yaml:"lock,required" doc:"the side whose cab switch asked to lock since the step began"`
}

type unlockCondition struct {
	Side sideWord `yaml:"unlock,required" doc:"the side whose cab switch asked to unlock since the step began"`
}

type bypassCondition struct {
	Side sideWord `yaml:"bypass,required" doc:"the side whose bar was moved by hand since the step began"`
}

type mendedCondition struct {
	Fault string `yaml:"mended,required" doc:"a kind of fault that is not on any more"`
}

type jobCondition struct {
	Job string `yaml:"job,required" doc:"a job of the workshop that was done since the step began"`
}

type afterCondition struct {
	Time float64 `yaml:"after,required" unit:"time" range:"(0 s,1 h]" doc:"the step has gone on for so long"`
}

type heightCondition struct {
	Bay   string   `yaml:"height,required" doc:"the bay whose edge stands at this height now"`
	Least *float64 `yaml:"at least" unit:"length" range:"[0 m,5 m]"`
	Most  *float64 `yaml:"at most" unit:"length" range:"[0 m,5 m]"`
}

type apartCondition struct {
	Bay   string   `yaml:"apart,required" doc:"the bay whose true height and counted height are so far apart now, either way"`
	Least *float64 `yaml:"at least" unit:"length" range:"[0 m,5 m]"`
	Most  *float64 `yaml:"at most" unit:"length" range:"[0 m,5 m]"`
}

type slackCondition struct {
	Bay   string   `yaml:"slack,required" doc:"the bay that has so much slack cable now"`
	Least *float64 `yaml:"at least" unit:"length" range:"[0 m,5 m]"`
	Most  *float64 `yaml:"at most" unit:"length" range:"[0 m,5 m]"`
}

type barCondition struct {
	Side  sideWord `yaml:"bar,required" doc:"the side whose lock bar stands so far from its unlocked end now"`
	Least *float64 `yaml:"at least" unit:"length" range:"[0 m,1 m]"`
	Most  *float64 `yaml:"at most" unit:"length" range:"[0 m,1 m]"`
}

type supplyCondition struct {
	Bay   string   `yaml:"supply,required" doc:"the bay whose controller has this supply now"`
	Least *float64 `yaml:"at least" unit:"voltage" range:"[0 V,20 V]"`
	Most  *float64 `yaml:"at most" unit:"voltage" range:"[0 V,20 V]"`
}

type currentCondition struct {
	Bay   string   `yaml:"current,required" doc:"the bay whose motor takes this current now, either way"`
	Least *float64 `yaml:"at least" unit:"current" range:"[0 A,100 A]"`
	Most  *float64 `yaml:"at most" unit:"current" range:"[0 A,100 A]"`
}

type openingCondition struct {
	Bay   string   `yaml:"opening,required" doc:"the bay that has opened since the step began, from down to up, in such a time"`
	Least *float64 `yaml:"at least" unit:"time" range:"[0 s,60 s]"`
	Most  *float64 `yaml:"at most" unit:"time" range:"[0 s,60 s]"`
}

type closingCondition struct {
	Bay   string   `yaml:"closing,required" doc:"the bay that has closed since the step began, from up to down, in such a time"`
	Least *float64 `yaml:"at least" unit:"time" range:"[0 s,60 s]"`
	Most  *float64 `yaml:"at most" unit:"time" range:"[0 s,60 s]"`
}

// Kinds implements Chooser.
func (c *Condition) Kinds() []Kind {
	return []Kind{
		{"is", "how a door or a bar stands now", func() any { return &isCondition{} }},
		{"alarm", "an alarm that was sounded", func() any { return &alarmCondition{} }},
		{"press", "a press that was heard", func() any { return &pressCondition{} }},
		{"sent", "a press that was made, heard or not", func() any { return &sentCondition{} }},
		{"retrained", "a door that was taught anew", func() any { return &retrainedCondition{} }},
		{"lock", "the cab switch was used to lock", func() any { return &lockCondition{} }},
		{"unlock", "the cab switch was used to unlock", func() any { return &unlockCondition{} }},
		{"bypass", "a bar was moved by hand", func() any { return &bypassCondition{} }},
		{"mended", "a kind of fault that is not on any more", func() any { return &mendedCondition{} }},
		{"job", "a job of the workshop that was done", func() any { return &jobCondition{} }},
		{"after", "time has passed", func() any { return &afterCondition{} }},
		{"height", "height of the bottom edge", func() any { return &heightCondition{} }},
		{"apart", "true height and counted height", func() any { return &apartCondition{} }},
		{"slack", "slack cable", func() any { return &slackCondition{} }},
		{"bar", "position of a lock bar", func() any { return &barCondition{} }},
		{"supply", "supply at the controller", func() any { return &supplyCondition{} }},
		{"current", "current in the motor", func() any { return &currentCondition{} }},
		{"opening", "time of a whole opening", func() any { return &openingCondition{} }},
		{"closing", "time of a whole closing", func() any { return &closingCondition{} }},
	}
}

// Select implements Chooser.
func (c *Condition) Select(key string, value any) { c.Kind, c.Value = key, value }

// limited is a figure with its limits, for those kinds that have them.
type limited struct {
	bay         string
	side        sideWord // or ""
	what        string   // in words, before the limit
	unit        Dimension
	least, most *float64
}

func (c *Condition) limited() (limited, bool) {
	switch v := c.Value.(type) {
	case *heightCondition:
		return limited{v.Bay, "", "the edge of " + v.Bay + " stands at", "length", v.Least, v.Most}, true
	case *apartCondition:
		return limited{v.Bay, "", "true and counted height of " + v.Bay + " are apart by", "length", v.Least, v.Most}, true
	case *slackCondition:
		return limited{v.Bay, "", "the cable of " + v.Bay + " hangs slack by", "length", v.Least, v.Most}, true
	case *barCondition:
		return limited{"", v.Side, "the bar of the " + string(v.Side) + " stands from its unlocked end by", "length", v.Least, v.Most}, true
	case *supplyCondition:
		return limited{v.Bay, "", "the controller of " + v.Bay + " has", "voltage", v.Least, v.Most}, true
	case *currentCondition:
		return limited{v.Bay, "", "the motor of " + v.Bay + " takes", "current", v.Least, v.Most}, true
	case *openingCondition:
		return limited{v.Bay, "", v.Bay + " opens from down to up in", "time", v.Least, v.Most}, true
	case *closingCondition:
		return limited{v.Bay, "", v.Bay + " closes from up to down in", "time", v.Least, v.Most}, true
	}
	return limited{}, false
}

// named is what a condition is about: the key and the bay or side that stands
// there, "" where it is about neither.
func (c *Condition) named() (key, bay string, side sideWord) {
	if l, ok := c.limited(); ok {
		return c.Kind, l.bay, l.side
	}
	switch v := c.Value.(type) {
	case *isCondition:
		if v.Bay != "" {
			return "bay", v.Bay, ""
		}
		return "side", "", v.Side
	case *alarmCondition:
		return "bay", v.Bay, ""
	case *pressCondition:
		return c.Kind, v.Bay, ""
	case *sentCondition:
		return c.Kind, v.Bay, ""
	case *retrainedCondition:
		return c.Kind, v.Bay, ""
	case *lockCondition:
		return c.Kind, "", v.Side
	case *unlockCondition:
		return c.Kind, "", v.Side
	case *bypassCondition:
		return c.Kind, "", v.Side
	}
	return c.Kind, "", ""
}

// check tells what no tag can say of a condition in a lesson.
func (c *Condition) check(r *Report, ls *Lesson) {
	key, bay, _ := c.named()
	if bays := ls.Truck.Bays.Keys(); bay != "" && !slices.Contains(bays, bay) {
		r.Add(c.PosOf(key), fmt.Sprintf("the truck has no bay %q", bay), wordHint(bay, bays))
	}
	if l, ok := c.limited(); ok {
		switch {
		case l.least == nil && l.most == nil:
			r.Add(c.Pos(), fmt.Sprintf("%q with no limit", c.Kind), "add \"at least\" or \"at most\"")
		case l.least != nil && l.most != nil && *l.least > *l.most:
			r.Add(c.PosOf("at most"), "at most less than at least", "")
		}
	}
	switch v := c.Value.(type) {
	case *isCondition:
		v.check(r, c)
	case *mendedCondition:
		if _, ok := fault.Find(v.Fault); !ok {
			r.Add(c.PosOf("mended"), fmt.Sprintf("no kind of fault is called %q", v.Fault), wordHint(v.Fault, kindNames()))
		} else if kinds := ls.kinds(); !slices.Contains(kinds, v.Fault) {
			r.Add(c.PosOf("mended"), fmt.Sprintf("this lesson never has the fault %s", v.Fault), wordHint(v.Fault, kinds))
		}
	case *jobCondition:
		if jobs := ls.Jobs.Keys(); !slices.Contains(jobs, v.Job) {
			r.Add(c.PosOf("job"), fmt.Sprintf("the workshop has no job %q", v.Job), wordHint(v.Job, jobs))
		}
	}
}

func (v *isCondition) check(r *Report, c *Condition) {
	ofLock := v.Is == "locked" || v.Is == "unlocked"
	switch {
	case v.Bay != "" && v.Side != "":
		r.Add(c.PosOf("side"), "either a bay or a side, not both", "")
	case ofLock && v.Side == "":
		r.Add(c.PosOf("is"), fmt.Sprintf("%q is said of a side", v.Is), "side: curbside")
	case !ofLock && v.Bay == "":
		r.Add(c.PosOf("is"), fmt.Sprintf("%q is said of a bay", v.Is), "bay: C1")
	}
}

func kindNames() []string {
	var names []string
	for _, k := range fault.Kinds() {
		names = append(names, k.Name)
	}
	return names
}

// String is the condition in plain words.
func (c *Condition) String() string {
	if l, ok := c.limited(); ok {
		return l.what + l.limits()
	}
	switch v := c.Value.(type) {
	case *isCondition:
		if v.Bay != "" {
			return v.Bay + " is " + v.Is
		}
		return "the " + string(v.Side) + " is " + v.Is
	case *alarmCondition:
		n := sim.Alarm(slices.Index(sim.AlarmNames[:], string(v.Alarm)) + 1)
		where := v.Bay
		if where == "" {
			where = "the lock controller"
		}
		return fmt.Sprintf("%s sounds alarm %d, %s", where, n, v.Alarm)
	case *pressCondition:
		return v.Bay + " hears a press of the remote"
	case *sentCondition:
		return "the remote is pressed in front of " + v.Bay
	case *retrainedCondition:
		return v.Bay + " is retrained, down to the floor and up to the open stop"
	case *lockCondition:
		return "the cab switch asks to lock the " + string(v.Side)
	case *unlockCondition:
		return "the cab switch asks to unlock the " + string(v.Side)
	case *bypassCondition:
		return "the bar of the " + string(v.Side) + " is moved by hand"
	case *mendedCondition:
		return "the fault is mended: " + strings.ReplaceAll(v.Fault, "-", " ")
	case *jobCondition:
		return "the job is done: " + v.Job
	case *afterCondition:
		return FormatQuantity(v.Time, "time") + " have passed"
	}
	return ""
}

func (l *limited) limits() string {
	switch {
	case l.least != nil && l.most != nil:
		return fmt.Sprintf(" %s to %s", FormatQuantity(*l.least, l.unit), FormatQuantity(*l.most, l.unit))
	case l.least != nil:
		return " " + FormatQuantity(*l.least, l.unit) + " or more"
	case l.most != nil:
		return " " + FormatQuantity(*l.most, l.unit) + " or less"
	}
	return ""
}

func (l *limited) hold(x float64) bool {
	return !math.IsNaN(x) && (l.least == nil || x >= *l.least) && (l.most == nil || x <= *l.most)
}

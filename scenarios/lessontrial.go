package scenarios

import (
	"fmt"
	"slices"

	"slatbench/sim"
)

// lessonTrial is one check at the end of a lesson. The bench works the door as a
// person would: it presses, waits until everything is at rest and silent, and
// looks where the door has come to.
type lessonTrial struct {
	ls    *Lesson
	bay   int
	stage trialStage

	began int64 // of the trial
	since int64 // of the stage, or of the last press
	quiet int64 // since when all is at rest and silent, or -1

	legs    int // still to go
	presses int // that were to bring the door to an end
	pressed bool
	upward  bool // the leg under way
	arrived int64
	broken  string // why the cycles were not met, or ""

	heardFrom int // alarms before the trial
	alarms    []string

	plays  []sim.Action
	expect *expecter
	at     *conditionWatch
}

type trialStage int

const (
	trialSettling trialStage = iota // until all is at rest
	trialHoming                     // until the door is at an end
	trialCycling
	trialPlaying
	trialEnding // until the last alarm has been counted
	trialOver
)

// Times of a trial, s.
const (
	trialRest     = 1.0  // at rest and silent for so long, nothing more is to come: longer than a door's pause before it turns
	trialPatience = 40.0 // a door that is not at rest by then never will be
)

func newTrial(ls *Lesson) *lessonTrial {
	sc := ls.Scenario()
	t := &lessonTrial{
		ls: ls, bay: sc.bay(ls.Bay), quiet: -1, began: -1, since: -1, arrived: -1, legs: 2 * ls.Proof.Cycles,
		at: newWatch(ls, ls.Proof.At),
	}
	for i := range ls.Proof.Steps {
		t.plays = append(t.plays, ls.Proof.Steps[i].actions(sc)...)
	}
	slices.SortStableFunc(t.plays, func(a, b sim.Action) int { return int(a.At - b.At) })
	sc.Expect, sc.Duration = ls.Proof.Expect, ls.Proof.Lasts
	t.expect = newExpecter(sc)
	return t
}

// tick goes on with the trial, and tells when it is over.
func (t *lessonTrial) tick(b *sim.Bench, hands LessonHands, ear *sim.Listener) bool {
	if t.began < 0 {
		t.began, t.since = b.Now, b.Now
		t.heardFrom = len(ear.Heard)
	}
	t.listen(b)
	t.at.look(b, t.began, ear.Heard)
	switch t.stage {
	case trialSettling:
		t.settle(b, ear)
	case trialHoming:
		t.home(b, hands)
	case trialCycling:
		t.cycle(b, hands)
	case trialPlaying:
		t.play(b, hands)
	case trialEnding:
		if t.rested(b) || b.Now-t.since > b.Steps(trialPatience) {
			t.finish(ear, b)
		}
	}
	return t.stage == trialOver
}

// listen keeps since when everything is at rest and silent.
func (t *lessonTrial) listen(b *sim.Bench) {
	tone := b.LockOutputs().Tone
	for i := range b.Truck.Bays {
		tone = tone || b.Outputs(i).Tone || b.PressLine[i]
	}
	switch {
	case tone || !standsStill(b):
		t.quiet = -1
	case t.quiet < 0:
		t.quiet = b.Now
	}
}

func (t *lessonTrial) rested(b *sim.Bench) bool {
	return t.quiet >= 0 && b.Now-max(t.quiet, t.since) >= b.Steps(trialRest)
}

// settle waits until what the learner began is over.
func (t *lessonTrial) settle(b *sim.Bench, ear *sim.Listener) {
	switch {
	case t.rested(b):
		t.heardFrom = len(ear.Heard)
		if t.legs > 0 || t.ls.Proof.Begins != "" {
			t.enter(b, trialHoming)
		} else {
			t.enter(b, trialPlaying)
		}
	case b.Now-t.since > b.Steps(trialPatience):
		t.broken = "the truck does not come to rest"
		t.enter(b, trialEnding)
	}
}

func (t *lessonTrial) enter(b *sim.Bench, stage trialStage) {
	t.stage, t.since = stage, b.Now
	if stage == trialPlaying {
		t.shift(b.Now)
	}
}

// shift moves what is expected to the time at which the steps begin.
func (t *lessonTrial) shift(now int64) {
	for i := range t.expect.list {
		e := &t.expect.list[i]
		e.to += now
		if e.of.At != nil {
			e.from += now
		}
	}
}

// home brings a door to the end at which the check begins, by the presses of
// somebody who wants to begin.
func (t *lessonTrial) home(b *sim.Bench, hands LessonHands) {
	if t.pressed && !t.over(b) {
		return
	}
	switch {
	case t.homed(b):
		t.pressed = false
		t.enter(b, trialCycling)
	case t.presses == mostPresses:
		t.broken = fmt.Sprintf("%s cannot be brought to where the check begins", t.ls.Bay)
		t.enter(b, trialEnding)
	default:
		t.presses++
		t.press(b, hands)
	}
}

// mostPresses is how many presses may bring a door to either end: one that stands
// between opens first.
const mostPresses = 2

// homed tells that the door is at the end at which the check begins.
func (t *lessonTrial) homed(b *sim.Bench) bool {
	switch t.ls.Proof.Begins {
	case "open":
		return atTop(b, t.bay)
	case "closed":
		return atFloor(b, t.bay)
	}
	return atFloor(b, t.bay) || atTop(b, t.bay)
}

// cycle opens and closes the door, leg by leg.
func (t *lessonTrial) cycle(b *sim.Bench, hands LessonHands) {
	if t.pressed {
		if t.arrived < 0 && t.arrives(b) {
			t.arrived = b.Now
		}
		if !t.over(b) {
			return
		}
		t.judge(b)
	}
	switch {
	case t.broken != "":
		t.enter(b, trialEnding)
		return
	case t.legs == 0:
		t.enter(b, trialPlaying)
		return
	}
	t.upward = atFloor(b, t.bay)
	t.press(b, hands)
}

func (t *lessonTrial) press(b *sim.Bench, hands LessonHands) {
	t.pressed, t.arrived, t.since = true, -1, b.Now
	hands.Act(sim.Action{At: b.Now, Kind: sim.Press, Bay: t.bay, Span: b.Steps(usualPress), Distance: usualDistance})
}

// over tells that nothing more comes of the last press.
func (t *lessonTrial) over(b *sim.Bench) bool {
	return t.rested(b) || b.Now-t.since > b.Steps(trialPatience)
}

// arrives tells that the door is at the end that the leg goes to.
func (t *lessonTrial) arrives(b *sim.Bench) bool {
	if t.upward {
		return atTop(b, t.bay)
	}
	return atFloor(b, t.bay)
}

// judge looks at a leg that is over.
func (t *lessonTrial) judge(b *sim.Bench) {
	switch {
	case t.arrived < 0 || !t.arrives(b):
		t.broken = t.failedLeg(b)
	case t.arrived-t.since > b.Steps(t.ls.Proof.Within):
		t.broken = fmt.Sprintf("%s took %.2f s", t.ls.Bay, b.Seconds(t.arrived-t.since))
	default:
		t.legs--
	}
}

func atFloor(b *sim.Bench, bay int) bool { return b.Truck.Bays[bay].Height <= sim.ClosedTolerance }

func atTop(b *sim.Bench, bay int) bool {
	of := &b.Truck.Bays[bay]
	return of.Height >= of.Params.Track.Opening-sim.OpenTolerance
}

// failedLeg says what did not come about, and where the door stands.
func (t *lessonTrial) failedLeg(b *sim.Bench) string {
	want, stands := "close", fmt.Sprintf("stands at %.0f mm", 1000*b.Truck.Bays[t.bay].Height)
	if t.upward {
		want = "open"
	}
	switch {
	case atFloor(b, t.bay):
		stands = "is down"
	case atTop(b, t.bay):
		stands = "stands open"
	}
	return fmt.Sprintf("%s did not %s, and %s", t.ls.Bay, want, stands)
}

// play does the steps, and watches what is expected of them.
func (t *lessonTrial) play(b *sim.Bench, hands LessonHands) {
	for len(t.plays) > 0 && b.Now-t.since >= t.plays[0].At {
		a := t.plays[0]
		t.plays = t.plays[1:]
		a.At = b.Now
		hands.Act(a)
	}
	t.expect.Step(b)
	if b.Now-t.since >= b.Steps(t.ls.Proof.Lasts) {
		t.enter(b, trialEnding)
	}
}

// finish hears the alarms out.
func (t *lessonTrial) finish(ear *sim.Listener, b *sim.Bench) {
	t.stage = trialOver
	heard := ear.Heard[t.heardFrom:]
	for _, h := range heard {
		where := bayName(b, h.Bay)
		if where == "" {
			where = "the lock controller"
		}
		t.alarms = append(t.alarms, fmt.Sprintf("%s, %s", where, h.Alarm))
	}
	t.expect.hear(heard)
}

// results are what was looked for, and whether it was met.
func (t *lessonTrial) results() []LessonWait {
	var list []LessonWait
	c := &t.ls.Proof
	if c.Cycles > 0 {
		text := fmt.Sprintf("%s opens and closes %s, each within %s", t.ls.Bay, times(c.Cycles), FormatQuantity(c.Within, "time"))
		if t.broken != "" {
			text += ": " + t.broken
		}
		list = append(list, LessonWait{text, t.broken == ""})
	} else if t.broken != "" {
		list = append(list, LessonWait{t.broken, false})
	}
	if !c.Alarms {
		text := "no alarm"
		if len(t.alarms) > 0 {
			text += ": " + t.alarms[0]
		}
		list = append(list, LessonWait{text, len(t.alarms) == 0})
	}
	for i := range t.expect.list {
		e := &t.expect.list[i]
		text := e.of.String()
		if t.broken != "" {
			text += ": not tried"
		}
		list = append(list, LessonWait{text, e.met && t.broken == ""})
	}
	for i := range t.at.list {
		x := &t.at.list[i]
		list = append(list, LessonWait{x.of.String(), x.came})
	}
	return list
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

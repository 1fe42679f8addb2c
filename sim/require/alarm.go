package require

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
)

// alarmMonitor finds the situations of one bay and tells them to its sounder.
type alarmMonitor struct {
	slow, held, hung bool  // told in this run
	refusedAt        int64 // step at which a press without a start is a refusal, or never
	refused          alarmRow
	pressedAt        int64
	lastPress        int64   // at rest
	askedAt          int64   // last tick at which the drive was asked for, whether it ran or not
	noVolts          int64   // step since which contacts are made for nothing, or never
	edgeBad          int64   // step since which the wire of the edge is at fault, or never
	lineHeld         int64   // step since which the press line is on, or never
	jamAt            float64 // m: where the curtain was last held short of open, or far away
	jamFrom          int64   // start of the run in which it was first held there
	spring           float64 // SpringFactor of the counterbalance at the last tick of this run
}

func (a *alarmMonitor) reset() {
	*a = alarmMonitor{refusedAt: never, askedAt: longAgo, lastPress: longAgo, noVolts: never, edgeBad: never, lineHeld: never, jamAt: math.Inf(-1)}
}

func (a *alarmMonitor) started(t *bayTruth, dir int, now int64) {
	t.sound.cancel(noVoltsRow)
	a.slow, a.held, a.hung = false, false, false
	a.refusedAt = never
	a.spring = t.bay.Condition.SpringFactor
	k := &t.set.limit
	if dir < 0 && a.edgeBad != never && now-a.edgeBad >= k.edgeWire && t.sound.heard[sim.SelfTest] < a.edgeBad {
		t.sound.want(edgeWireRow, now, a.edgeBad, t.set)
	}
}

func (a *alarmMonitor) stopped(t *bayTruth, dir int, now int64) {
	if t.last.pressed || t.barred || !t.set.bench.Awake(t.index) || t.held {
		return
	}
	k := &t.set.limit
	switch {
	case dir > 0 && t.bay.Height < t.short && now-t.stood >= k.stands:
		t.heldShort(t.last.from, now)
	case dir > 0 && t.bay.Height < t.short && math.Abs(t.bay.Speed) < stillSpeed: // it need not be told of yet
		t.jammed(t.last.from)
	case dir < 0 && t.bay.Height > aboveSill:
		t.sound.want(shortRow, now, t.last.from, t.set)
	}
}

// heldShort: an upward run of step from on is held short of open. Of a jam that was told of,
// and that has held the curtain where it is ever since, nothing more need be said; nor of one as high as
// that at which the record on file was taken, since nobody can tell it from the stop.
func (t *bayTruth) heldShort(from, now int64) {
	row := heldUpRow
	if t.teach.on {
		row = heldTeachingRow
	}
	t.jammed(from)
	if t.teach.reached(t) {
		return
	}
	t.sound.want(row, now, min(from, t.alarms.jamFrom), t.set)
}

// jammed: an upward run of step from on has been brought to a stand here, unless it was before.
func (t *bayTruth) jammed(from int64) {
	if a := &t.alarms; math.Abs(t.bay.Height-a.jamAt) > aboveSill {
		a.jamAt, a.jamFrom = t.bay.Height, from
	}
}

// press at rest.
func (a *alarmMonitor) press(t *bayTruth, now int64) {
	a.refusedAt, a.noVolts = never, never
	if t.count.off() { // a floor can be met, or be missing, before the drive is on
		t.sound.allow(int(sim.EarlyFloor), now)
		t.sound.allow(int(sim.CountRanOut), now)
	}
	if b := t.bay; b.ContactForce > 0 || b.Height > nearlySill && b.EdgePressed() { // so can an obstruction
		t.sound.allow(int(sim.ObstructionClosing), now)
	}
	before := max(t.last.end, a.askedAt, a.lastPress) // a press soon after may have stopped what was about to go on
	a.lastPress = now
	v, read := t.supply.mean(), t.supply.read.mean()
	if math.IsNaN(v) || t.barred || t.held || t.asked || t.energised != 0 {
		return
	}
	if read < lowAsRead {
		t.sound.allow(int(sim.LowSupply), now)
	}
	// A run begins with a boot.
	if t.supply.n != t.supply.span || now-max(t.bootAt, 0) <= t.set.limit.selfTest || now-before <= t.set.limit.rested {
		return
	}
	a.refusedAt, a.refused, a.pressedAt = now+t.set.limit.refused, refusedRow, now
	if v < supplyLow && read < supplyLow {
		a.refused = lowSupplyRow
	}
}

// watch is called every tick, whether the bay moves or not.
func (a *alarmMonitor) watch(t *bayTruth, b *sim.Bench, now int64) {
	k := &t.set.limit
	if t.asked {
		a.askedAt = now
	}
	if !t.awake || a.refused == refusedRow && (t.barred || t.asked) {
		a.refusedAt = never // it is the interlock, or the drive was asked for
	}
	if now >= a.refusedAt {
		a.refusedAt = never
		t.sound.want(a.refused, now, a.pressedAt, t.set)
	}
	if b.Wires[t.index].Edge == sim.EdgeWireSound || !t.bay.Params.Seal.EdgeFitted {
		a.edgeBad = never
	} else if a.edgeBad == never {
		a.edgeBad = now
	}
	if !b.PressLine[t.index] {
		a.lineHeld = never
	} else if a.lineHeld == never {
		a.lineHeld = now
	}
	a.partsAtFault(t, b, now)
	if t.ails() {
		t.sound.allow(int(sim.SelfTest), now)
	}
	switch {
	case !t.asked || t.energised != 0 || t.bay.Supply < b.Setup().Ratings.BrownOut || t.bay.Speed > stillSpeed || t.bay.Speed < -stillSpeed:
		a.noVolts = never
	case a.noVolts == never:
		a.noVolts = now
	case now-a.noVolts == k.noVolt:
		t.sound.want(noVoltsRow, now, a.noVolts, t.set)
	}
}

// partsAtFault allows what contacts, a motor lead and a sill switch at fault can be taken for.
func (a *alarmMonitor) partsAtFault(t *bayTruth, b *sim.Bench, now int64) {
	const sound = model.ContactSound
	c, s := &t.bay.Condition, &t.sound
	stage := c.LeadOpen || c.UpContact != sound || c.DownContact != sound || c.Enable != sound
	sill := b.Wires[t.index].Sill != sim.WireSound
	if !stage && !sill {
		return
	}
	for _, n := range [...]sim.Alarm{sim.ObstructionClosing, sim.EarlyFloor, sim.SelfTest, sim.CountRanOut} {
		s.allow(int(n), now)
	}
	if stage {
		s.allow(int(sim.StalledOpening), now)
		s.allow(int(sim.NoMotion), now)
	}
}

// tick is called every tick while anything moves.
func (a *alarmMonitor) tick(t *bayTruth, now int64) {
	if math.Abs(t.bay.Height-a.jamAt) > aboveSill {
		a.jamAt = math.Inf(-1)
	}
	if t.energised == 0 {
		return
	}
	k := &t.set.limit
	if age := now - t.from; age > k.slowAllowed {
		t.sound.allow(int(sim.SlowTravel), now)
		if age > k.slow && !a.slow && !t.teach.on {
			a.slow = true
			t.sound.want(slowRow, now, t.from, t.set)
		}
	}
	a.allowBy(t, now)
	if a.held && now == t.stood { // it has come free before anybody had to say so
		a.held = false
		t.sound.cancel(heldUpRow)
		t.sound.cancel(heldTeachingRow)
	}
	if now-t.stood < k.standsLong || t.stop.ends() {
		return
	}
	switch {
	case t.energised > 0 && t.bay.Height < t.short && !a.held && t.bay.Slack() == 0:
		a.held = true
		t.heldShort(t.from, now)
	case t.energised < 0 && t.bay.Height > aboveSill && !a.hung:
		a.hung = true
		t.sound.want(hungRow, now, t.from, t.set)
	}
}

// allowBy is the second table of docs/requirements.md, alarm.
func (a *alarmMonitor) allowBy(t *bayTruth, now int64) {
	k := &t.set.limit
	bay, s := t.bay, &t.sound
	off := t.count.off()
	quiet := t.quiet(now)
	if t.pulses == 0 && now-t.from >= k.stall {
		s.allow(int(sim.NoMotion), now)
	}
	if t.energised > 0 {
		heavy := now-t.light >= k.laboured || t.heavy(now)
		if (quiet || heavy) && (bay.Height < t.open || off || t.teach.misfits(t) || t.teach.mistaken(t)) || quiet && bay.Condition.ReleaseOpen {
			s.allow(int(sim.StalledOpening), now)
		}
		return
	}
	sillOpen := !t.set.bench.Inputs(t.index).Sill
	stopped := quiet && (bay.Height > nearlySill || sillOpen)
	slow := t.lags(now) && (bay.Height > nearlySill || sillOpen && bay.Condition.ReleaseOpen) // let go of, it rolls to rest further down
	lost := t.pulsesLost()
	if off || lost || stopped {
		s.allow(int(sim.CountRanOut), now)
	}
	if off || lost || bay.ContactForce > 0 {
		s.allow(int(sim.EarlyFloor), now)
	}
	caught := bay.Condition.SpringFactor > t.alarms.spring // a spring that takes up its load again bears the curtain, as anything else may
	t.alarms.spring = bay.Condition.SpringFactor
	if caught || off || lost || stopped || slow || bay.ContactForce > 0 || bay.Height > nearlySill && bay.EdgePressed() ||
		now-t.from > k.inrush && math.Abs(bay.MotorCurrent) > suspectAmps {
		s.allow(int(sim.ObstructionClosing), now)
	}
}

// quiet tells that no pulses have come for a while.
func (t *bayTruth) quiet(now int64) bool { return now-t.pulse >= t.set.limit.quiet }

// pulsesLost tells that the pulses of this run do not fit the way that the curtain has come.
func (t *bayTruth) pulsesLost() bool {
	way := math.Abs(t.bay.Height-t.began) * t.bay.Params.Encoder.PulsesPerMetre
	return math.Abs(way-float64(t.pulses)) > pulsesSpare
}

// lags tells that the curtain does not come as fast as its drive lets it, or did not over the span
// that it takes to tell.
func (t *bayTruth) lags(now int64) bool {
	duty := t.bay.Stage.Duty
	return now-t.from > t.set.limit.started && (-t.bay.Speed < leastSpeed*duty || t.pace.down < leastPace*duty)
}

// standing tells whether something that is wrong with the bay, moving or not,
// allows the alarm of a self-test.
func (t *bayTruth) standing() bool { return t.ails() || !t.taught() }

// ails is the same, but for a record that is not there: a teaching alone mends that, long after its alarm.
func (t *bayTruth) ails() bool {
	b, a := t.set.bench, &t.alarms
	return a.edgeBad != never || t.count.off() || b.Wires[t.index].CurrentOff ||
		a.lineHeld != never && b.Now-a.lineHeld > t.set.limit.heldButton
}

// taught tells whether a boot would find a travel; true where nobody can say.
func (t *bayTruth) taught() bool {
	return t.teach.reads == nil || t.teach.read(0).ok
}

// countCheck adds up the pulses as a controller must, and compares with the truth.
type countCheck struct {
	bay      *model.Bay
	perMetre float64
	count    float64 // pulses above the floor, by the direction of the last drive
	thrown   float64 // the same, where what came after a run that met something was thrown back
	told     float64 // the same as count, by the way the drive is told to go where a contact at fault does not let it
	anew     float64 // the same as count, set right altogether each time the door came down
	zeroed   float64 // the same as thrown, zero each time the door came down, and where it was taught from the floor
	backFrom int64   // step from which the curtain may come back from what the last run has met above the sill, or never
	doubt    bool    // a reset, an empty record, or a curtain that has moved at rest
	wrong    bool    // off by more than countWindow since the last landing
	strays   int     // pulses at rest, whose direction nobody knows
	landedAt int64   // end of the run down that was last taken for a landing
	teaching bool    // this run, or the last, began with the teach request held
	begun    bool    // a teaching has begun, and not come to the stop
	unstored bool    // and it was given up
	untaught bool    // no travel has been taught yet
	kept     bool    // doubt comes from a reset at rest: a record of the count may have stood
}

// countWindow is how far the count may be from the truth, in pulses: one channel
// miscounts by up to 3 where the curtain runs out and turns, with nothing wrong.
const countWindow = 3.5

// strayPulses at rest are put down to trembling.
const strayPulses = 3

func (c *countCheck) begin(t *bayTruth, b *sim.Bench) {
	c.bay, c.perMetre = t.bay, t.bay.Params.Encoder.PulsesPerMetre
	if t.bay.Height > t.bay.Params.Stops.SillHeight {
		c.count = float64(sim.PulsesAbove(t.bay, t.bay.Height))
	}
	c.thrown, c.told, c.anew, c.zeroed = c.count, c.count, c.count, c.count
	c.doubt, c.untaught = b.Setup().Untaught, b.Setup().Untaught
	c.landedAt, c.backFrom = longAgo, never
}

func (c *countCheck) tick(t *bayTruth, in *sim.Inputs, out *sim.Outputs) {
	if in.Pulses == 0 {
		return
	}
	t.pulse = t.set.bench.Now
	t.pulses += int64(in.Pulses)
	dir, back := t.energised, t.energised
	if dir == 0 {
		dir, back = t.last.dir, t.last.dir
		if t.pulse > c.backFrom {
			back = -dir
		}
	}
	switch {
	case in.TwoChannels:
		c.count += float64(in.Net)
		c.anew += float64(in.Net)
		c.zeroed += float64(in.Net)
		c.thrown, c.told = c.count, c.count
	case t.energised != 0 || t.pulse-t.last.end <= t.set.limit.runningOut:
		c.count += float64(dir * int(in.Pulses))
		c.anew += float64(dir * int(in.Pulses))
		c.thrown += float64(back * int(in.Pulses))
		c.told += float64(t.told(out, dir) * int(in.Pulses))
		c.zeroed += float64(back * int(in.Pulses))
		c.strays = 0
	default:
		if c.strays += int(in.Pulses); c.strays > strayPulses {
			c.doubt, c.kept = true, false
		}
	}
}

// told is the way that the drive is told to go where the motor has no voltage, and else dir. Nobody sees a
// contact that has welded: with both closed the curtain only slows down, the way it went, and a controller
// counts the other way.
func (t *bayTruth) told(out *sim.Outputs, dir int) int {
	switch {
	case t.energised != 0 || out.Up == out.Down:
		return dir
	case out.Up:
		return +1
	}
	return -1
}

// off tells that the count is not what it should be, or has not been since the
// door last came down: what a controller makes of it later is its own affair.
func (c *countCheck) off() bool { return c.doubt || c.wrong || c.unstored }

// lost is the same, for what need not be done with it: a teaching that was given up is
// no excuse for a controller that had the count before. One that has never been taught finds the
// floor, and still has no travel.
func (c *countCheck) lost() bool { return c.doubt || c.wrong || c.untaught }

// begins: a run starts. A teaching takes the floor that it goes up from for zero.
func (c *countCheck) begins(t *bayTruth) {
	c.teaching = t.teach.asked
	c.begun = c.begun || c.teaching
	if t.energised > 0 && t.teach.on && c.bay.Height <= closedTolerance {
		c.zeroed = 0
	}
}

// ends: a run is over. A teaching that has come to the stop is done; one that has ended on
// its way up, or was stopped, is given up.
func (c *countCheck) ends(t *bayTruth, dir int) {
	c.backFrom = never
	if t.hasMet(dir) {
		c.backFrom = t.last.end
		if !t.quiet(t.last.end) && !t.toldLate(dir) { // it may give way yet
			c.backFrom += t.set.limit.gives
		}
	}
	switch {
	case dir > 0 && c.bay.Height >= t.open:
		c.untaught = c.untaught && !c.begun
		c.begun, c.unstored = false, c.unstored && c.jammed(t)
	case c.begun && (dir > 0 || t.last.pressed || t.barred):
		c.unstored = true
	}
}

// jammed tells that a run up that ends at this step is held up short of the open stop: how far
// short only a count tells that is believed.
func (c *countCheck) jammed(t *bayTruth) bool {
	return t.hasMet(+1) && c.bay.Height < t.full-countWindow/c.perMetre
}

// pressed: so is one that is pressed between its runs.
func (c *countCheck) pressed() { c.unstored = c.unstored || c.begun }

// hasMet tells that something above the sill holds up a run that ends at this step: no pulses
// have come for a while, or the edge is pressed, or the motor labours or the curtain lags. Whether
// it throws the curtain back, once the drive is cut, or lets go of it, one channel does not tell.
func (t *bayTruth) hasMet(dir int) bool {
	now, k := t.set.bench.Now, &t.set.limit
	if t.bay.Height <= nearlySill {
		return false
	}
	if t.quiet(now) || t.bay.ContactForce > 0 || t.bay.EdgePressed() {
		return true
	}
	return dir < 0 && t.lags(now) || dir > 0 && (now-t.light >= k.laboured || t.heavy(now))
}

// toldLate: a closing run that ends at this step lags, and has done so for a while, its sensing edge not
// pressed, which would have told at the first touch: something springy may be throwing the curtain back by now.
func (t *bayTruth) toldLate(dir int) bool {
	return dir < 0 && !t.bay.EdgePressed() && t.lags(t.set.bench.Now)
}

// compare is called every tick while anything moves.
func (c *countCheck) compare() {
	truly := c.truly()
	for _, count := range [...]float64{c.count, c.thrown, c.told, c.anew, c.zeroed} {
		if math.Abs(count-truly) > countWindow {
			c.wrong = true
		}
	}
}

// truly is the height in pulses.
func (c *countCheck) truly() float64 { return float64(c.bay.Height * c.perMetre) }

// reset: power is lost. Long enough at rest, a record of the count may stand.
func (c *countCheck) reset(rested bool) {
	c.kept = rested && (c.kept || !c.doubt)
	c.doubt = true
}

// landed: a door that has come down by its drive sets the count right, by a pulse
// each time, or altogether where nothing was known of it. A controller may set right altogether
// what it finds below the floor as well: sums of their own stand for that, one from the height at which
// the curtain lies, and one from zero, since a floor is told of in whole pulses, and before the seal is
// pressed down all the way. Where a press or the lock has stopped it no controller has found the floor,
// however low it lies.
func (c *countCheck) landed(t *bayTruth, now int64) {
	if now-t.last.end < t.set.limit.runningOut { // a controller that does not believe it turns up at once
		return
	}
	if t.last.pressed || t.last.barred {
		return
	}
	if t.energised != 0 || t.last.dir >= 0 || c.landedAt == t.last.end || t.darkAt >= t.last.from || c.bay.Height > closedTolerance {
		return
	}
	c.landedAt = t.last.end
	if p := t.pressAt - t.last.end; p >= 0 && p < t.set.limit.runningOut { // it may have been about to turn
		return
	}
	if !c.teaching { // the floor of the teaching itself does not count
		c.begun, c.unstored = false, false
	}
	if c.doubt && !c.kept {
		c.count, c.thrown, c.told = 0, 0, 0
	} else {
		for _, sum := range [...]*float64{&c.count, &c.thrown, &c.told} {
			*sum -= math.Max(-1, math.Min(1, *sum))
		}
	}
	c.anew, c.zeroed = c.truly(), 0
	c.doubt, c.kept = false, false
	c.wrong = false
	c.compare()
}

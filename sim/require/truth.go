package require

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
)

// never is a step that does not come.
const never = math.MaxInt64

// longAgo is a step before every run, far enough from the smallest number that
// differences stay in range.
const longAgo = math.MinInt64 / 4

// stepLimits are the limits of limits.go in steps.
type stepLimits struct {
	dt float64 // s

	cut, contactGap, reverse, dynamic, record                      int64
	runningOut, stall, heldUp, run, turn, sameRun                  int64
	off, afterPress, afterRun, brown, hand                         int64
	slow, slowAllowed, stands, standsLong, quiet, noVolt           int64
	refused, rested, serviceRest, service, quietAfter              int64
	recovery, standsAtEnd, lockBack, stroke, comeBack, barStands   int64
	leaves                                                         int64
	flash, show, lockBusy, teachOver, heldButton                   int64
	sound, alarmBefore, repeat, alarmLate, gap, chained            int64
	edgeWire, closingRunOut, lockSlow, inrush, started, selfTest   int64
	hindsight, laboured, lampOut, lampRest, teach, stalled, permit int64
	written, gives                                                 int64
	saysDown, frees, heard, lampBreak, answer, lampWarns           int64
}

func newStepLimits(b *sim.Bench) stepLimits {
	n := b.Steps
	return stepLimits{
		dt:  b.Truck.StepSize(),
		cut: n(cutLimit), contactGap: n(contactGap), reverse: n(reverseLimit), dynamic: n(dynamicTime), record: n(recordLength),
		runningOut: n(runningOut), stall: n(0.15), heldUp: n(0.08), run: n(runLimit), turn: n(turnLimit), sameRun: n(0.1),
		off: n(offLimit), afterPress: n(startAfterPress), afterRun: n(startAfterRun), brown: n(brownLimit), hand: n(handLimit),
		slow: n(8.2), slowAllowed: n(7.5), stands: n(0.1), standsLong: n(0.7), quiet: n(0.06), noVolt: n(0.3),
		refused: n(0.6), rested: n(0.8), serviceRest: n(serviceRest), service: n(serviceLimit), quietAfter: n(1.5),
		recovery: n(recoveryTime), standsAtEnd: n(standsAtEnd), lockBack: n(lockBackLimit), stroke: n(strokeLimit), comeBack: n(returnLimit), barStands: n(barStands), leaves: n(leavesTime),
		flash: n(flashLimit), show: n(showLimit), lockBusy: n(lockBusy), teachOver: n(teachOver), heldButton: n(10),
		sound: n(soundLimit), alarmBefore: n(alarmWindow), repeat: n(10), alarmLate: n(10), gap: n(sim.AlarmGap), chained: n(1),
		edgeWire: n(1), closingRunOut: n(0.3), lockSlow: n(2), inrush: n(0.7), started: n(0.3), selfTest: n(0.3), laboured: n(0.05), hindsight: n(0.1),
		lampOut: n(lampOut), lampRest: n(lampRest), teach: n(teachLimit), stalled: n(stalledLimit), permit: n(permitLimit),
		written: n(writtenTime), gives: n(givesTime),
		saysDown: n(saysDownLimit), frees: n(freesLimit), heard: n(heardLimit), lampBreak: n(lampBreak), answer: n(answerLimit), lampWarns: n(lampWarns),
	}
}

// bayTruth is what is true at one bay, brought up to date once a step while
// anything moves, with the monitors that react to its changes.
type bayTruth struct {
	bay       *model.Bay
	energised int
	held      bool // contacts are made, or coils asked for, and yet there is no voltage at the motor
	touching  bool // more than touchForce between edge and obstruction
	drum      float64
	slack     float64 // m, the most in this run down
	slackAt   int64
	overSlack int64 // step at which slack passed its limit in this run, or never

	set   *Set
	side  *sideTruth
	index int

	full, zone, open float64 // m: full open; top of where contacts count; open
	short            float64 // m: plainly short of open
	high             int     // direction of the contacts that are held
	from             int64   // start of the run
	last, before     lastRun // the last run, and the one before it
	freeAt           int64   // step at which the last contact ended
	pressAt          int64   // last press at rest
	asked            bool    // coils asked for a direction and the enable at the last tick
	askedDir         int     // that direction
	askedAt          int64   // the first tick of it, or of none
	awake            bool
	bootAt           int64
	darkAt           int64
	tailOf           int64 // end of the run that a contact of its own lets go on, or longAgo
	barred           bool
	moved            bool // the drive has run since the start
	due              int64
	says             bool // its door lines said down at the last full tick
	dozes            bool // its ticks are passed over as long as nothing is new

	supply supplyMean
	count  countCheck
	stood  int64   // step since which the curtain stands
	light  int64   // step since which the drive is overloaded
	pulse  int64   // step of the last pulses in this run, or its start
	pulses int64   // in this run
	began  float64 // m: height at the start of this run
	pace   pace    // of this run

	cut      cutMonitor
	reversal reversalMonitor
	force    forceMonitor
	timeout  timeoutMonitor
	stall    stallMonitor
	lockedIn interlockMonitor
	stop     stopMonitor
	brown    brownMonitor
	teach    teachMonitor
	alarms   alarmMonitor
	service  serviceMonitor
	recovery recoveryMonitor
	lamp     lampMonitor
	lines    linesMonitor
	down     downMonitor
	way      wayMonitor
	back     backMonitor
	heard    heardMonitor
	manner   mannerMonitor
	ended    endedMonitor
	sound    sounder

	m [clauseCount]meter
}

func (t *bayTruth) begin(s *Set, b *sim.Bench, i int) {
	bay := &b.Truck.Bays[i]
	*t = bayTruth{
		bay: bay, set: s, side: &s.sides[bay.Params.Side], index: i,
		drum: bay.Params.Counterbalance.DrumRadius, overSlack: never,
		full: bay.Params.Track.Opening, zone: bay.Params.Track.Opening - exemptTop, open: bay.Params.Track.Opening - openTolerance,
		short: bay.Params.Track.Opening - openTolerance - countTolerance,
		last:  lastRun{from: longAgo, end: longAgo}, before: lastRun{from: longAgo, end: longAgo}, freeAt: longAgo, pressAt: longAgo,
		awake: b.Awake(i), bootAt: longAgo, darkAt: longAgo, stood: longAgo, tailOf: longAgo,
	}
	t.supply.span = min(max(int(math.Round(supplySpan/(t.set.limit.dt*float64(b.TickSteps)))), 1), len(t.supply.ring))
	t.supply.read.span = t.supply.span
	t.pace.begin(t.set.limit.dt * float64(b.TickSteps))
	t.side.bays[t.side.n] = t
	t.side.n++
	t.sound.meters = t.m[:]
	t.sound.reset()
	t.alarms.reset()
	t.service.before, t.service.now = quietSpan{until: longAgo}, quietSpan{until: longAgo}
	t.recovery.due, t.recovery.rests = never, never
	t.count.begin(t, b)
	t.teach.begin(t, b)
	t.lamp.begin(b.Now)
	t.heard.last, t.heard.before = longAgo, longAgo
	t.lines.wrongAt, t.down.wrongAt, t.down.drivenAt = never, never, never
	t.due = never
}

// seconds is the time from one step to another.
func (t *bayTruth) seconds(from, to int64) float64 { return t.set.limit.dt * float64(to-from) }

// step looks for what has changed in this step. It is the hot path of a moving bay.
func (t *bayTruth) step(now int64) {
	bay := t.bay
	if bay.Energised != t.energised || bay.ContactForce > 0 || t.touching || t.held {
		t.react(now)
	}
	if bay.Energised < 0 {
		if slack := bay.Height - float64(t.drum*bay.ShaftAngle); slack > t.slack {
			t.slackGrows(slack, now)
		}
	}
}

// react hands the changes of this step to the monitors.
func (t *bayTruth) react(now int64) {
	bay := t.bay
	if touching := bay.ContactForce > touchForce; touching != t.touching {
		t.touching = touching
		if touching {
			t.reversal.touched(t)
		} else {
			t.freeAt = now
		}
	}
	if t.held {
		t.unhold()
	}
	if bay.Energised != t.energised {
		was := t.energised
		t.energised = bay.Energised
		if was != 0 {
			t.stopped(was, now)
		}
		if t.energised != 0 {
			t.started(now)
		}
	}
	t.mark(&t.set.busy, t.energised != 0 || t.held)
	t.mark(&t.set.follows, t.energised < 0 || t.held)
	t.mark(&t.set.touching, t.touching)
	t.cut.step(t, now)
	if bay.ContactForce > 0 || t.force.on {
		t.force.step(t, now)
	}
}

// mark sets the bay's bit, or clears it.
func (t *bayTruth) mark(set *uint64, on bool) {
	bit := uint64(1) << t.index
	*set &^= bit
	if on {
		*set |= bit
	}
}

// tick looks at what the wires carry and, while anything moves, at what need not
// be looked at every step.
func (t *bayTruth) tick(b *sim.Bench, now int64) {
	if awake := b.Awake(t.index); awake != t.awake {
		t.power(awake, now)
	}
	out, in := b.Outputs(t.index), b.Inputs(t.index)
	if t.awake {
		t.barred = barred(in)
		t.count.tick(t, in, out)
		if t.energised == 0 {
			t.supply.read.add(in.Supply)
		}
		if t.barred {
			t.letGo(now)
			t.sound.drop()
			t.back.barred(t, now)
		}
		t.lockedIn.wires(t, now)
		if b.PressedAt[t.index] == now {
			t.press(now)
		}
		t.teach.tick(t, b, in.Teach, now)
		if t.teach.on && in.Sill && t.bay.Height > closedTolerance && (t.energised == 0 || t.bay.EdgePressed()) {
			t.count.doubt, t.count.kept = true, false // a switch that sticks shows a floor where none is
			t.way.deceived = true
		}
		if !in.Sill && now-max(t.bootAt, 0) <= t.set.limit.selfTest && t.bay.Height <= closedTolerance {
			t.count.doubt = true // it wakes at the floor and is told that it is not there
		}
	}
	t.alarms.watch(t, b, now)
	if t.energised != 0 || t.held || !t.bay.AtRest() {
		t.motion(now)
	}
	if t.energised == 0 {
		t.supply.add(t.bay.Supply)
	}
	if t.force.on {
		t.force.step(t, now)
	}
	if now > t.due {
		t.overdue(now)
	}
	t.ask(out, now)
	if t.awake {
		if t.energised == 0 && t.last.dir < 0 && now-t.last.end <= t.set.limit.afterRun {
			t.manner.rests(t, now)
		}
		t.lamp.tick(t, out.Lamp, now)
		t.heard.follow(out.Lamp, now)
		says := out.Lines.Says()
		t.lines.tick(t, says, now)
		if t.down.on || t.energised != 0 && (says || t.down.drivenAt != never) {
			t.down.tick(t, in, says, now)
		}
		if t.heard.want.on {
			t.heard.tick(t, out, now)
		}
		if t.energised != 0 && t.asked && (!out.Lamp || t.way.taught || t.manner.told) {
			t.manner.tick(t, now)
		}
	}
	t.sound.tick(t.set, out.Tone, t.awake, t, now)
	if t.ended.on {
		t.ended.tick(t, now)
	}
	t.says = out.Lines.Says()
	t.dozes = t.mayDoze(b)
}

// barred tells that the wires of the lock do not let the door move.
func barred(in *sim.Inputs) bool {
	return !in.Permit || !plain(in.Unlocked, true) || !plain(in.Locked, false)
}

// ask keeps for how long the coils have been asked for a direction.
func (t *bayTruth) ask(out *sim.Outputs, now int64) {
	dir := 0
	switch {
	case !out.Enable || out.Up == out.Down:
	case out.Up:
		dir = 1
	default:
		dir = -1
	}
	if dir != t.askedDir {
		t.askedDir, t.askedAt = dir, now
	}
	if dir != 0 && !t.asked {
		t.stop.asked(t)
		t.way.asked = t.teach.asked
		t.back.asked(t, dir, now)
	}
	t.asked = dir != 0
}

// plain tells whether a changeover switch says plainly what it is asked for.
func plain(s sim.EndSwitch, made bool) bool { return s.Made == made && s.Released != made }

// letGo is what being barred, a press and the loss of power release.
func (t *bayTruth) letGo(now int64) {
	t.reversal.release(t, now)
	t.timeout.release(t, now)
	t.service.release(t, now)
	t.ended.release()
	t.down.release()
}

// press: a rising edge of the receiver's line, with the controller awake.
func (t *bayTruth) press(now int64) {
	t.count.landed(t, now)
	t.count.pressed()
	t.letGo(now)
	t.sound.pressed()
	if t.energised != 0 && t.asked {
		t.stop.press(t, now)
		t.schedule()
		return
	}
	t.stop.gap = t.held && t.asked
	t.heard.press(t, now)
	t.pressAt = now
	t.back.pressed(t)
	t.way.pressed(t, t.set.bench.Inputs(t.index).Teach)
	t.lockedIn.press(t)
	t.supply.press()
	t.alarms.press(t, now)
	t.service.press(t, now)
	t.recovery.press(t, now)
	t.schedule()
}

// power: the controller has lost power or has booted.
func (t *bayTruth) power(awake bool, now int64) {
	t.awake = awake
	if awake {
		t.bootAt = now
		t.teach.booted(t)
		return
	}
	t.darkAt = now
	t.letGo(now)
	t.stop.off.drop(&t.m[offClause], t.set.limit.dt, now)
	t.lockedIn.off.drop(&t.m[barredClause], t.set.limit.dt, now)
	t.heard.want.drop(&t.m[heardClause], t.set.limit.dt, now)
	t.heard.follow(false, now)
	t.down.drop()
	t.back.dark()
	t.sound.dark()
	t.count.reset(t.energised == 0 && !t.held && now-max(t.last.end, t.stood) > t.set.limit.written)
	t.brown.dark(t, now)
	t.teach.dark(t)
	t.recovery.dark()
	t.asked, t.askedDir = false, 0
	t.schedule()
}

// motion is looked at every tick while anything at the bay moves.
func (t *bayTruth) motion(now int64) {
	t.judgeTail(now)
	if v := t.bay.Speed; v > stillSpeed || v < -stillSpeed {
		t.stood = now
	}
	if !t.overloaded() {
		t.light = now
	}
	if t.energised < 0 {
		t.pace.add(t.bay.Height)
	}
	t.count.compare()
	t.cut.tick(t, now)
	t.reversal.tick(t, now)
	t.timeout.tick(t, now)
	t.stall.tick(t, now)
	t.service.tick(t, now)
	t.alarms.tick(t, now)
	t.count.landed(t, now)
}

// overloaded tells that the motor turns at less than a fifth of the speed that its
// voltage gives it: it carries more than 80 % of its stall torque.
func (t *bayTruth) overloaded() bool {
	b := t.bay
	emf := b.Params.Drive.MotorConstant * b.MotorSpeed * float64(t.energised)
	return emf < overload*b.Supply*b.Stage.Duty
}

// heavy tells that the motor takes more than an unhindered door needs.
func (t *bayTruth) heavy(now int64) bool {
	return now-t.from > t.set.limit.started && math.Abs(t.bay.MotorCurrent) > float64(heavyAmps*t.bay.Stage.Duty)
}

// schedule finds the next deadline.
func (t *bayTruth) schedule() {
	t.due = min(t.cut.cut.due(), t.reversal.due(), t.timeout.run.due(), t.timeout.turn.due(), t.lockedIn.hand.due(), t.lockedIn.off.due(),
		t.stop.off.due(), t.brown.off.due(), t.heard.want.due(), t.service.arrive.due(), t.service.teach.due(), t.recovery.deadline())
}

// overdue lets monitors whose deadline has passed say so. It comes at ticks, so
// a deadline is noticed up to a tick late, and stands at its own step all the same.
func (t *bayTruth) overdue(now int64) {
	dt := t.set.limit.dt
	if now > t.cut.cut.due() {
		t.cut.cut.pass(&t.m[cutClause], dt)
	}
	if now > t.reversal.due() {
		t.reversal.overdue(t, now)
	}
	t.timeout.overdue(t, now)
	if now > t.lockedIn.hand.due() {
		t.lockedIn.overdue(t)
	}
	if now > t.lockedIn.off.due() {
		t.lockedIn.off.pass(&t.m[barredClause], dt)
	}
	if now > t.stop.off.due() {
		t.stop.off.pass(&t.m[offClause], dt)
	}
	if now > t.brown.off.due() {
		t.brown.off.pass(&t.m[brownClause], dt)
	}
	if now > t.heard.want.due() {
		t.heard.want.pass(&t.m[heardClause], dt)
	}
	if now > t.service.arrive.due() {
		t.service.overdue(t)
	}
	if now > t.service.teach.due() {
		t.service.teach.pass(&t.m[teachClause], dt)
	}
	if now > t.recovery.deadline() {
		t.recovery.overdue(t)
	}
	t.schedule()
}

// finish closes what is open at the end.
func (t *bayTruth) finish(now int64) {
	if now > t.due {
		t.overdue(now)
	}
	dt := t.set.limit.dt
	t.cut.cut.finish(&t.m[cutClause], dt, now)
	t.reversal.finish(t, now)
	t.force.finish(t)
	t.timeout.finish(t, now)
	t.stop.off.finish(&t.m[offClause], dt, now)
	t.lockedIn.off.finish(&t.m[barredClause], dt, now)
	t.brown.off.finish(&t.m[brownClause], dt, now)
	t.heard.want.finish(&t.m[heardClause], dt, now)
	t.service.arrive.drop(&t.m[arriveClause], dt, now)
	t.service.teach.drop(&t.m[teachClause], dt, now)
	if t.energised < 0 {
		t.noteSlack()
	}
	t.teach.finish(t)
	t.sound.finish(t.set, now)
}

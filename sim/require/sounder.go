package require

import (
	"math/bits"

	"slatbench/sim"
)

// sounder listens to one sounder as a person would, and holds it to the table of
// situations in alarm_table.go.
type sounder struct {
	sounding bool
	count    int
	from     int64 // first pulse of this count
	silent   int64
	spoilt   bool // a press or a reset fell into this count
	selfTest bool // something stood when this count began that a self-test can see

	chain   int64 // first pulse of counts that followed each other
	lastEnd int64

	pending [6]pendingAlarm
	n       int
	heard   [10]int64 // first pulse of the last count of each number
	allowed [10]int64 // last step at which a situation allowed it
	known   [10]int64 // the same, as it was soon after this count had begun
	kept    [10]int64 // end of the last justified count

	meters []meter
}

// pendingAlarm is a situation that asks for an alarm.
type pendingAlarm struct {
	row   alarmRow
	want  uint16 // by bits of the alarms' numbers
	since int64  // step at which the situation had come about
	after int64  // a count that began from here on serves
	due   int64
	late  bool
}

func (a *sounder) reset() {
	m := a.meters
	*a = sounder{meters: m, chain: longAgo, lastEnd: longAgo}
	for i := range a.heard {
		a.heard[i], a.allowed[i], a.kept[i] = longAgo, longAgo, longAgo
	}
}

// allow tells that a situation allows an alarm at this step.
func (a *sounder) allow(alarm int, now int64) { a.allowed[alarm] = now }

// want tells that a situation asks for one of the alarms of its row. A count that
// began at step after, or less than 3 s ago, serves too.
func (a *sounder) want(row alarmRow, now, after int64, s *Set) {
	k := &s.limit
	after = min(after, now-k.alarmBefore)
	p := pendingAlarm{row: row, want: alarmRows[row].alarms, since: now, after: after, due: now + k.sound}
	for w := p.want; w != 0; w &= w - 1 {
		if n := bits.TrailingZeros16(w); a.heard[n] >= after {
			a.meters[soundClause].note(soundLimit-k.dt*float64(max(a.heard[n]-now, 0)), now)
			return
		}
	}
	for i := range a.pending[:a.n] {
		if a.pending[i].row == row {
			return
		}
	}
	if a.n < len(a.pending) {
		a.pending[a.n] = p
		a.n++
	}
}

// tick listens. t is the bay of the sounder, or nil at the lock controller.
func (a *sounder) tick(s *Set, tone, awake bool, t *bayTruth, now int64) {
	switch {
	case tone && !a.sounding:
		if a.count == 0 {
			a.from = now
			a.selfTest = t != nil && t.standing()
			if now-a.lastEnd > s.limit.chained {
				a.chain = now
			}
		}
		a.count++
	case !tone && a.sounding:
		a.silent = now
	case !tone && a.count > 0 && now-a.silent > s.limit.gap:
		a.counted(s, t, now)
	}
	if a.count > 0 && now-a.from <= s.limit.hindsight {
		a.known = a.allowed
	}
	a.sounding = tone
	if a.n > 0 {
		a.late(s, now)
	}
}

// counted: a count is over.
func (a *sounder) counted(s *Set, t *bayTruth, now int64) {
	n, from := a.count, a.from
	a.lastEnd, a.count = a.silent, 0
	spoilt := a.spoilt
	a.spoilt = false
	if n < len(a.heard) {
		a.heard[n] = from
		a.serve(s, n, from)
	}
	a.extend(s, from, now)
	if t != nil {
		t.service.heard(t, n, from)
	}
	a.judge(s, t, n, from, now, spoilt)
}

// serve meets the situations that wanted alarm n.
func (a *sounder) serve(s *Set, n int, from int64) {
	kept := 0
	for i := range a.pending[:a.n] {
		p := a.pending[i]
		if p.want>>n&1 == 0 || from < p.after {
			a.pending[kept] = p
			kept++
			continue
		}
		margin := min(s.limit.dt*float64(p.due-from), soundLimit)
		if p.late {
			a.meters[soundClause].see(min(margin, -s.limit.dt), p.due)
		} else {
			a.meters[soundClause].note(margin, min(from, p.due))
		}
	}
	a.n = kept
}

// extend gives what is still wanted a second after a count that began in time.
func (a *sounder) extend(s *Set, from, now int64) {
	for i := range a.pending[:a.n] {
		if p := &a.pending[i]; !p.late && from <= p.due {
			p.due = now + s.limit.sound
		}
	}
}

// late looks for deadlines that have passed in silence.
func (a *sounder) late(s *Set, now int64) {
	kept := 0
	for i := range a.pending[:a.n] {
		p := a.pending[i]
		counting := a.count > 0 && a.from <= p.due
		if now > p.due && !counting && !p.late {
			p.late = true
			a.meters[soundClause].note(-s.limit.dt, p.due)
		}
		if p.late && now-p.due > s.limit.alarmLate {
			a.meters[soundClause].see(-s.limit.dt*float64(s.limit.alarmLate), p.due)
			continue
		}
		a.pending[kept] = p
		kept++
	}
	a.n = kept
}

// judge looks for the situation of an alarm that was heard. A count that may have
// been cut off may have been meant to be any higher one.
func (a *sounder) judge(s *Set, t *bayTruth, n int, from, now int64, spoilt bool) {
	margin, last := -10.0, n
	if spoilt {
		last = len(a.known) - 1
	}
	for ; n <= last && n < len(a.known); n++ {
		margin = max(margin, a.justified(s, t, n, from))
		if margin >= 0 {
			a.kept[n] = now
			break
		}
	}
	a.meters[falseClause].note(margin, from)
}

// justified is the margin of alarm n, sounded from step from on.
func (a *sounder) justified(s *Set, t *bayTruth, n int, from int64) float64 {
	if from-a.kept[n] <= s.limit.repeat || t != nil && n == int(sim.SelfTest) && (a.selfTest || t.standing()) {
		return alarmWindow
	}
	return max(alarmWindow-s.limit.dt*float64(max(a.chain-a.known[n], 0)), -10)
}

// pressed: somebody has pressed; nothing is owed any more, and this may cut off a
// count.
func (a *sounder) pressed() {
	a.drop()
	a.spoilt = a.count > 0
}

// cancel: a situation that asked for an alarm is over before it was due.
func (a *sounder) cancel(row alarmRow) {
	kept := 0
	for i := range a.pending[:a.n] {
		if p := a.pending[i]; p.row != row || p.late {
			a.pending[kept] = p
			kept++
		}
	}
	a.n = kept
}

func (a *sounder) dark() { a.pressed() }

func (a *sounder) drop() {
	kept := 0
	for i := range a.pending[:a.n] {
		if a.pending[i].late {
			a.pending[kept] = a.pending[i]
			kept++
		}
	}
	a.n = kept
}

// finish is the end of the run: what has been silent too long gets later.
func (a *sounder) finish(s *Set, now int64) {
	for i := range a.pending[:a.n] {
		if p := &a.pending[i]; p.late {
			a.meters[soundClause].see(s.limit.dt*float64(p.due-now), p.due)
		}
	}
}

package require

import "math"

// noCause is the margin, in s, of a start for which there is no cause at all.
const noCause = -10.0

// judgeStart judges no-surprise: a start needs a press at rest, or a closing run
// that it reverses, and neither counts across a restart.
func (t *bayTruth) judgeStart(dir int, now int64) {
	margin, at := noCause, now
	if t.askedDir == dir && t.askedAt > t.pressAt && t.seconds(t.askedAt, now) <= startAfterAsked {
		now = t.askedAt // a contact that failed to make, or a supply, has kept it back
	}
	if t.pressAt >= t.bootAt && t.pressAt > t.darkAt {
		margin = math.Max(margin, startAfterPress-t.seconds(t.pressAt, now))
	}
	if t.reverses(dir) {
		margin = math.Max(margin, startAfterRun-t.seconds(t.last.over, now))
	}
	t.m[startClause].note(margin, at)
}

// judgeTail judges a contact that makes by itself, nothing asking for it, just as the drive
// is cut, and that the other contact then breaks. Within the time in which a press must have
// cut the drive that is still the end of the run; longer, it is a start without a cause.
func (t *bayTruth) judgeTail(now int64) {
	if t.tailOf == longAgo || t.energised == 0 || now-t.tailOf <= t.set.limit.off {
		return
	}
	t.m[startClause].note(noCause, now)
	t.tailOf = longAgo
}

// reverses tells that a start of now can be the reversal of the last run.
func (t *bayTruth) reverses(dir int) bool {
	return dir > 0 && t.last.dir < 0 && !t.last.pressed && t.last.end > t.darkAt && t.last.end >= t.bootAt
}

package require

// judgeGap judges dead-time at a start.
func (t *bayTruth) judgeGap(dir int, now int64) {
	if t.last.dir == -dir {
		t.m[gapClause].note(t.set.limit.dt*float64(now-t.last.end)-gapLeast, now)
	}
}

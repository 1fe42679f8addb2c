package require

// timeoutMonitor judges travel-timeout.
type timeoutMonitor struct {
	run  timed
	turn timed
}

func (o *timeoutMonitor) started(t *bayTruth, dir int, now int64) {
	dt := t.set.limit.dt
	if dir > 0 {
		o.turn.meet(&t.m[turnClause], dt, now)
	} else if !o.turn.on {
		o.turn.start(now, t.set.limit.turn)
	}
	o.run.start(t.from, t.set.limit.run)
}

// resumed: the run goes on after an interruption of the circuit.
func (o *timeoutMonitor) resumed(t *bayTruth) { o.run.start(t.from, t.set.limit.run) }

func (o *timeoutMonitor) stopped(t *bayTruth, now int64) {
	o.run.meet(&t.m[runClause], t.set.limit.dt, now)
}

func (o *timeoutMonitor) tick(t *bayTruth, now int64) {
	if o.turn.on && (t.bay.Height <= closedTolerance || t.bay.FloorForce > 0) {
		o.turn.meet(&t.m[turnClause], t.set.limit.dt, now)
		t.schedule()
	}
}

// release: a press, the loss of power, or the interlock.
func (o *timeoutMonitor) release(t *bayTruth, now int64) {
	o.turn.drop(&t.m[turnClause], t.set.limit.dt, now)
}

func (o *timeoutMonitor) overdue(t *bayTruth, now int64) {
	if now > o.run.due() {
		o.run.pass(&t.m[runClause], t.set.limit.dt)
	}
	if now > o.turn.due() {
		o.turn.pass(&t.m[turnClause], t.set.limit.dt)
	}
}

func (o *timeoutMonitor) finish(t *bayTruth, now int64) {
	o.run.finish(&t.m[runClause], t.set.limit.dt, now)
	o.turn.finish(&t.m[turnClause], t.set.limit.dt, now)
}

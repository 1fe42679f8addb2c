package require

// forceMonitor measures contact-force: the peak of a contact made while closing,
// and what is left of it later.
type forceMonitor struct {
	on     bool
	from   int64
	passed int64 // step at which the force first passed the static limit, or never
	peak   float64
	peakAt int64
	static float64
	statAt int64
}

func (f *forceMonitor) step(t *bayTruth, now int64) {
	k := &t.set.limit
	if !f.on {
		closing := t.energised < 0 || t.last.dir < 0 && now-t.last.end < k.closingRunOut
		if !t.touching || !closing {
			return
		}
		*f = forceMonitor{on: true, from: now, passed: never, statAt: now}
	}
	force := t.bay.ContactForce
	if force > f.peak {
		f.peak, f.peakAt = force, now
	}
	if force > staticLimit && f.passed == never {
		f.passed = now
	}
	if f.passed != never && now-f.passed > k.dynamic && force > f.static {
		f.static, f.statAt = force, now
	}
	if now-f.from >= k.record || !t.touching && now-t.freeAt > k.contactGap {
		f.finish(t)
	}
}

func (f *forceMonitor) finish(t *bayTruth) {
	if !f.on {
		return
	}
	t.m[peakClause].note(peakLimit-f.peak, f.peakAt)
	t.m[staticClause].note(staticLimit-f.static, f.statAt)
	f.on = false
}

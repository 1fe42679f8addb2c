package require

// cutMonitor judges close-cut: driven down in contact, and the drive must go.
type cutMonitor struct{ cut timed }

// step is called in every step in which there may be contact.
func (c *cutMonitor) step(t *bayTruth, now int64) {
	switch {
	case c.cut.on && t.energised >= 0:
		c.cut.meet(&t.m[cutClause], t.set.limit.dt, now)
		t.schedule()
	case !c.cut.on && t.touching && t.energised < 0 && t.bay.Height < t.zone:
		c.cut.start(now, t.set.limit.cut)
		t.reversal.contact(t, now)
		t.schedule()
	}
}

// tick looks whether the contact has ended by itself.
func (c *cutMonitor) tick(t *bayTruth, now int64) {
	if c.cut.on && !t.touching && now-t.freeAt > t.set.limit.contactGap {
		c.cut.drop(&t.m[cutClause], t.set.limit.dt, t.freeAt)
		t.schedule()
	}
}

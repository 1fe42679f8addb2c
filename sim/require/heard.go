package require

import "slatbench/sim"

// heardMonitor judges the heard clause of no-surprise: a press at rest is answered, so that
// whoever has pressed knows that he was heard, and need not press again what will start then.
type heardMonitor struct {
	want         timed
	lit          bool  // the lamp, when it was pressed
	was          bool  // the lamp at the last tick
	last, before int64 // its last two changes
}

// follow keeps the lamp's last changes.
func (h *heardMonitor) follow(lit bool, now int64) {
	if lit != h.was {
		h.was, h.last, h.before = lit, now, h.last
	}
}

// press at rest. A lamp that is flashing, and a sounder that is sounding, answer already.
func (h *heardMonitor) press(t *bayTruth, now int64) {
	k := &t.set.limit
	if h.want.on || t.asked || t.held || t.energised != 0 || now-max(t.bootAt, 0) <= k.selfTest ||
		now-h.before <= k.lampOut ||
		t.sound.count > 0 || now-t.sound.lastEnd <= k.chained {
		return
	}
	h.lit = h.was
	h.want.start(now, k.heard)
}

// tick looks for an answer of any kind, while one is due.
func (h *heardMonitor) tick(t *bayTruth, out *sim.Outputs, now int64) {
	if out.Lamp != h.lit || out.Tone || t.asked || t.energised != 0 {
		h.want.meet(&t.m[heardClause], t.set.limit.dt, now)
		t.schedule()
	}
}

package require

import (
	"slatbench/model"
	"slatbench/sim"
)

// At most ticks most bays are at rest, with nothing asked, said or owed. Then a tick tells
// their monitors nothing new, and all but what keeps time is passed over, exactly: see
// Options.EveryTick.

// mayDoze tells, after a full tick, that nothing is under way: no test but those with a
// deadline, which is looked at anyway; and nothing that counts ticks, or allows an alarm
// at each of them.
func (t *bayTruth) mayDoze(b *sim.Bench) bool {
	a := &t.alarms
	return !t.set.opt.EveryTick && t.lamp.dark == b.Now && !t.lamp.told && t.lines.wrongAt == never && t.down.wrongAt == never && !t.ended.on && !t.teach.on && !t.teach.asked &&
		!t.sound.sounding && t.sound.count == 0 && t.sound.n == 0 && !t.force.on &&
		a.refusedAt == never && a.edgeBad == never && a.lineHeld == never && a.noVolts == never && t.nothingNew(b)
}

// nothingNew tells that the bay is at rest, and that no wire of it says anything that
// must be followed up.
func (t *bayTruth) nothingNew(b *sim.Bench) bool {
	const sound = model.ContactSound
	if t.energised != 0 || t.held || t.asked || !t.bay.AtRest() || !t.awake || !b.Awake(t.index) || b.Now > t.due {
		return false
	}
	in, out, w, c := b.Inputs(t.index), b.Outputs(t.index), &b.Wires[t.index], &t.bay.Condition
	return barred(in) == t.barred && in.Pulses == 0 && !in.Teach &&
		!b.PressLine[t.index] && b.PressedAt[t.index] != b.Now &&
		!out.Tone && !out.Lamp && !out.Enable && out.Lines.Says() == t.says &&
		w.Edge == sim.EdgeWireSound && w.Sill == sim.WireSound &&
		!c.LeadOpen && c.UpContact == sound && c.DownContact == sound && c.Enable == sound
}

// dozed is a tick that is passed over.
func (t *bayTruth) dozed(b *sim.Bench, now int64) {
	t.lamp.dark = now
	t.supply.add(t.bay.Supply)
	t.supply.read.add(b.Inputs(t.index).Supply)
	if t.ails() {
		t.sound.allow(int(sim.SelfTest), now)
	}
}

// mayDoze is that of a bay, for a side: nobody has asked for anything that is still
// under way, and no lamp and no permit says what must be followed up.
func (d *sideTruth) mayDoze(b *sim.Bench, now int64) bool {
	f := &d.fault
	d.at = d.lock.Position
	return !d.set.opt.EveryTick && !d.asks && !d.unasks && d.drive == 0 && now-d.lockAt > d.set.limit.sound &&
		!f.back.on && !f.flash.on && f.shown == never && !d.recover.want.on && !d.serve.want.on && d.permits.wrongAt == never &&
		d.awake && d.nothingNew(b)
}

// nothingNew tells that the bar is at rest where it was, that nobody asks for it, and
// that its switches and the lock controller say what they have said.
func (d *sideTruth) nothingNew(b *sim.Bench) bool {
	l, in := d.lock, &b.LockInputs().Sides[d.index]
	return !in.LockRequest && !in.UnlockRequest && in.Unlocked == d.unlocked && in.Locked == d.locked && in.Down == d.words.wires && !d.owes &&
		b.LockOutputs().Sides[d.index] == d.out && l.Position == d.at &&
		l.Drive == 0 && l.Speed == 0 && l.Condition.ByHand == 0 && b.LocksAwake() && b.Sides[d.index] == (sim.SideWires{})
}

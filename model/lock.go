package model

// Lock is the bar that locks all doors of one side, and its actuator.
type Lock struct {
	Params    LockParams
	Condition LockCondition

	Position float64 // m, 0 unlocked, Stroke locked
	Speed    float64 // m/s
	Current  float64 // A taken from the shared node
	Drive    int     // +1 towards locked, -1 towards unlocked, 0 off: as asked and as there are volts

	dt      float64
	perKg   float64 // s/kg
	perSpan float64 // N/V
	drag    float64 // N·s/m: the actuator's own back-EMF
	damp    float64 // 1/(1 + dt·drag/m)
	barred  float64 // m: the bar can get no further than this, because a curtain is in its way
	jam     jam
	net     branchNet
}

// jam is what blocks the bar, and on which side of it the bar was when it appeared.
type jam struct {
	on    bool
	at    float64
	below bool
}

// LockCondition is what a mechanic would find at a lock.
type LockCondition struct {
	LeadOpen bool    // the actuator has no current
	Jammed   bool    // something blocks the bar …
	JamAt    float64 // … at this position, m, from whichever side the bar comes
	ByHand   int     // +1 or -1: the manual bypass moves the bar; 0: hands off
}

const (
	lockRatedVolts    = 12.0
	lockStopStiffness = 200e3 // N/m of end stops and of what jams the bar. Invented.
	handSpeed         = 0.10  // m/s, a bar moved by hand. Invented.
)

// refresh folds parameters and condition again. Call it after changing Condition.
func (l *Lock) refresh(dt float64) {
	p := &l.Params
	l.dt, l.perKg = dt, dt/p.Mass
	l.perSpan = p.StallForce / lockRatedVolts
	l.drag = p.StallForce / p.FreeSpeed
	l.damp = 1 / (1 + float64(l.perKg*l.drag))
	if j := (jam{l.Condition.Jammed, l.Condition.JamAt, l.jam.below}); j != l.jam {
		l.jam = j
		l.jam.below = l.Position < j.at
	}
	l.wire()
}

// Command drives the bar: +1 locks, -1 unlocks, 0 is off.
func (l *Lock) Command(drive int) {
	if drive == l.Drive {
		return
	}
	l.Drive = drive
	l.wire()
}

func (l *Lock) wire() {
	n := &l.net
	n.ohms = l.Params.Branch
	n.conductance, n.emfGain, n.share = 0, 0, 1
	l.Current = 0 // until the next step
	if l.Drive != 0 && !l.Condition.LeadOpen {
		ohms := lockRatedVolts/l.Params.StallAmps + n.ohms
		n.conductance = 1 / ohms
		n.emfGain = float64(l.Drive) * lockRatedVolts / l.Params.FreeSpeed / ohms
	}
}

func (l *Lock) load() float64 { return -float64(l.net.emfGain * l.Speed) }

// idle tells that a step would change nothing.
func (l *Lock) idle() bool { return l.Drive == 0 && l.Speed == 0 && l.Condition.ByHand == 0 }

// step moves the bar with the shared node at volts.
//
//	m·v' = F_stall·u/12 − (F_stall/v_free)·v ∓ dry friction + stops
//
// Not driven, its screw holds what it has pressed, up to its stall force: a bar that
// was run against its stop does not spring back.
//
// The actuator's back-EMF term is far stiffer than the step allows, so it is
// taken at the new velocity (implicit Euler).
func (l *Lock) step(volts float64) {
	if l.idle() {
		l.Current = 0
		return
	}
	if l.Condition.ByHand != 0 {
		l.Speed, l.Current = float64(l.Condition.ByHand)*handSpeed, 0
		bottom, top := l.reach()
		l.Position = min(max(l.Position+float64(l.Speed*l.dt), bottom), top)
		if l.Condition.ByHand > 0 && l.Position == top || l.Condition.ByHand < 0 && l.Position == bottom {
			l.Speed, l.Condition.ByHand = 0, 0
		}
		return
	}
	l.Current = float64(l.net.conductance*volts) + l.load()
	force, damp, hold := l.stops(), 1.0, l.Params.Friction+l.Params.StallForce
	if l.net.conductance > 0 {
		u := volts - float64(l.net.ohms*l.Current)
		force += float64(float64(l.Drive) * l.perSpan * u)
		damp, hold = l.damp, l.Params.Friction
	}
	v := float64((l.Speed + float64(force*l.perKg)) * damp)
	l.Speed = Stick(v, float64(hold*l.perKg*damp))
	l.Position += float64(l.Speed * l.dt)
}

// reach is how far the bar can go either way, m: to its end stops, to a jam, to a
// curtain in the way.
func (l *Lock) reach() (bottom, top float64) {
	top = min(l.Params.Stroke, l.barred)
	if l.Condition.Jammed {
		if l.jam.below {
			top = min(top, l.Condition.JamAt)
		} else {
			bottom = l.Condition.JamAt
		}
	}
	return bottom, top
}

// stops is the push of what ends the bar's reach, in N towards locked.
func (l *Lock) stops() float64 {
	x := l.Position
	bottom, top := l.reach()
	switch {
	case x > top:
		return -stopPush(lockStopStiffness, x-top, l.Speed)
	case x < bottom:
		return stopPush(lockStopStiffness, bottom-x, -l.Speed)
	}
	return 0
}

// ReachesCurtain tells that the bar is out of its clear zone.
func (l *Lock) ReachesCurtain() bool { return l.Position > l.Params.Clear+latchTouch }

// latchTouch is how far a bar pressed against a curtain gives, m.
const latchTouch = 0.003

// UnlockedEnd and LockedEnd tell whether the switch of that end has changed over.
func (l *Lock) UnlockedEnd() bool { return l.Position <= l.Params.SwitchTrip }

// LockedEnd: see UnlockedEnd.
func (l *Lock) LockedEnd() bool { return l.Position >= l.Params.Stroke-l.Params.SwitchTrip }

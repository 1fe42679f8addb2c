package sim

import (
	"slices"

	"slatbench/model"
)

// What a person does while the bench runs. Each of these leaves the bench as if its
// script had said the same from the start: written down with the step at which it was
// done, it plays again to the bit. They are for the instants between two ticks.

// Do has something done at this instant: in the step that follows, after what the
// script has for it. It returns the action with its time.
func (b *Bench) Do(a Action) Action {
	a.At = b.Now
	at := b.nextAct
	for at < len(b.actions) && b.actions[at].At <= b.Now {
		at++
	}
	b.actions = slices.Insert(b.actions, at, a)
	return a
}

// LetGo ends a press, a held teach button or a request that was done before, at this
// instant, and returns it with the length that it has come to. It must have begun:
// let go in the instant in which it was done, it lasts as long as it was to.
func (b *Bench) LetGo(a Action) Action {
	ended := a
	ended.Span = min(a.Span, b.Now-a.At)
	if ended.Span <= 0 {
		return a
	}
	until := a.At + a.Span
	switch a.Kind {
	case Press:
		if i := slices.Index(b.presses, a); i >= 0 {
			b.presses[i] = ended
		}
	case TeachHold:
		b.shorten(&b.teaching[a.Bay], until)
	case LockAsk:
		b.shorten(&b.asking[a.Side][0], until)
	case UnlockAsk:
		b.shorten(&b.asking[a.Side][1], until)
	default:
		return a
	}
	return ended
}

// shorten ends now what is held until a step, unless something else holds it meanwhile.
func (b *Bench) shorten(held *int64, until int64) {
	if *held == until {
		*held = b.Now
	}
}

// Bring has a fault come on at this instant: in the step that follows, after what is
// scheduled for it. What keeps it from coming on is an error of the run, so ask first.
func (b *Bench) Bring(f Fault) { b.insertCue(cue{b.Now, f, false}) }

// Mend has a fault go at this instant, as Bring has it come. A stop that is scheduled
// for it at the later step to is taken out of the schedule; 0 is none.
func (b *Bench) Mend(f Fault, to int64) {
	b.drop(cue{to, f, true})
	b.insertCue(cue{b.Now, f, true})
}

// Cancel takes a fault that has not come yet out of the schedule.
func (b *Bench) Cancel(s Scheduled) {
	b.drop(cue{s.From, s.Fault, false})
	b.drop(cue{s.To, s.Fault, true})
}

func (b *Bench) drop(c cue) {
	if i := slices.Index(b.cues[b.nextCue:], c); i >= 0 {
		b.cues = slices.Delete(b.cues, b.nextCue+i, b.nextCue+i+1)
	}
}

func (b *Bench) insertCue(c cue) {
	at := b.nextCue
	for at < len(b.cues) && b.cues[at].at <= b.Now {
		at++
	}
	b.cues = slices.Insert(b.cues, at, c)
}

// CueNow tells that a fault is scheduled to come or go at this very instant.
func (b *Bench) CueNow() bool { return b.nextCue < len(b.cues) && b.cues[b.nextCue].at <= b.Now }

// Counting is how many pulses of an alarm that is not over yet have been heard from bay
// i, or from the lock controller at LockPost.
func (l *Listener) Counting(i int) int {
	switch {
	case l.ears == nil:
		return 0
	case i == LockPost:
		return l.ears[len(l.ears)-1].count
	}
	return l.ears[i].count
}

// UnderEdge is the height, m, of what lies under the edge of bay i: 0 for nothing, and
// below 0 where it waits until the curtain is above it.
func (b *Bench) UnderEdge(i int) float64 {
	v := &b.over
	if v.waiting == nil {
		return 0
	}
	if v.waiting[i] {
		return -v.inForce.Under[i].Top
	}
	return v.inForce.Under[i].Top
}

// TeachHeld tells that the teach button of bay i is held.
func (b *Bench) TeachHeld(i int) bool { return b.Now < b.teaching[i] }

// Asked tells whether the cab switch of a side is held, to lock and to unlock.
func (b *Bench) Asked(s model.Side) (lock, unlock bool) {
	return b.Now < b.asking[s][0], b.Now < b.asking[s][1]
}

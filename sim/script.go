package sim

import (
	"slatbench/model"
	"sort"
)

// ActionKind is something a person, or the world, does to a truck.
type ActionKind uint8

// What can be done to a truck.
const (
	Press       ActionKind = iota // a remote's button, at a bay
	TeachHold                     // the teach button inside a bay's controller
	LockAsk                       // the cab switch, to lock a side
	UnlockAsk                     // … to unlock it
	Interrupt                     // the supply is lost, or sags to a factor
	BypassLock                    // a bar moved by hand, to locked
	BypassUnlck                   // … to unlocked
)

// Action is one of them at its time.
type Action struct {
	At   int64 // step
	Kind ActionKind
	Bay  int
	Side model.Side
	Span int64 // steps that it lasts

	Aim      float64 // rad, press: the angle by which the remote misses the receiver, towards the next bay
	Distance float64 // m, press: from the receiver
	Factor   float64 // interrupt: share of the voltage that is left
}

// Fault is a defect that can be brought on and taken off.
type Fault interface {
	// Start brings it on; an error says why it cannot be, as for an
	// obstruction that would lie inside the curtain.
	Start(b *Bench) error
	// Stop takes it off, and leaves the truck as if it had been repaired.
	Stop(b *Bench)
}

// Scheduled is a fault and its time: on at step From, off at step To, or never when To is 0.
type Scheduled struct {
	Fault    Fault
	From, To int64
}

// cue is a scheduled moment of a fault.
type cue struct {
	at    int64
	fault Fault
	stop  bool
}

func cues(faults []Scheduled) []cue {
	var list []cue
	for _, f := range faults {
		list = append(list, cue{f.From, f.Fault, false})
		if f.To > f.From {
			list = append(list, cue{f.To, f.Fault, true})
		}
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].at < list[j].at })
	return list
}

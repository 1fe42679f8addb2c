package compare

import (
	"fmt"
	"slices"
	"strings"

	"slatbench/model"
	"slatbench/sim"
)

// Kinds is a set of kinds of output, a bit each in the order of KindNames.
type Kinds uint16

// KindNames are the kinds of output, those that matter most first: where several
// differ at a tick, the first of them names the class.
var KindNames = [...]string{"drive", "duty", "bar", "permit", "says down", "tone", "lamp", "record"}

const (
	driveKind = iota
	dutyKind
	barKind
	permitKind
	linesKind
	toneKind
	lampKind
	recordKind
)

// allKinds is every kind of output.
const allKinds Kinds = 1<<len(KindNames) - 1

// KindsOf is the set of these names, and the first that is none.
func KindsOf(names []string) (k Kinds, unknown string) {
	for _, name := range names {
		i := slices.Index(KindNames[:], name)
		if i < 0 {
			return 0, name
		}
		k |= 1 << i
	}
	return k, ""
}

// Names of the kinds in the set.
func (k Kinds) Names() (list []string) {
	for i, name := range KindNames {
		if k>>i&1 == 1 {
			list = append(list, name)
		}
	}
	return list
}

// first kind of a set that is not empty.
func (k Kinds) first() int {
	for i := range KindNames {
		if k>>i&1 == 1 {
			return i
		}
	}
	return len(KindNames) - 1
}

// wires is what a controller puts on its wires. What it writes into its store is no
// wire; where it is compared too, an address that is not written to counts for nothing.
func wires(o *sim.Outputs, record bool) sim.Outputs {
	w := *o
	if !record || !w.Write {
		w.Write, w.WriteAt, w.Byte = false, 0, 0
	}
	w.Duty = min(w.Duty, 100)
	return w
}

// differing is in what two outputs differ.
func differing(a, b *sim.Outputs) (k Kinds) {
	mark := func(kind int, differs bool) {
		if differs {
			k |= 1 << kind
		}
	}
	mark(driveKind, a.Up != b.Up || a.Down != b.Down || a.Enable != b.Enable)
	mark(dutyKind, a.Duty != b.Duty)
	mark(linesKind, a.Lines != b.Lines)
	mark(toneKind, a.Tone != b.Tone)
	mark(lampKind, a.Lamp != b.Lamp)
	mark(recordKind, a.Write != b.Write || a.WriteAt != b.WriteAt || a.Byte != b.Byte)
	for s := range a.Sides {
		mark(barKind, a.Sides[s].Drive != b.Sides[s].Drive)
		mark(permitKind, a.Sides[s].Permit != b.Sides[s].Permit)
		mark(lampKind, a.Sides[s].Lamp != b.Sides[s].Lamp)
	}
	return k
}

// word is what a kind of output says, in words; side is that of a lock, or -1 at a door.
func word(kind int, o *sim.Outputs, side int) string {
	switch kind {
	case driveKind:
		return driveWord(o)
	case dutyKind:
		return fmt.Sprintf("duty %d %%", o.Duty)
	case barKind:
		return barWord(o.Sides[side].Drive)
	case permitKind:
		return onOff("permits", "permits not", o.Sides[side].Permit)
	case linesKind:
		return onOff("says down", "says not down", o.Lines.Says())
	case toneKind:
		return onOff("tone on", "tone off", o.Tone)
	case lampKind:
		if side >= 0 {
			return onOff("lamp on", "lamp off", o.Sides[side].Lamp)
		}
		return onOff("lamp on", "lamp off", o.Lamp)
	}
	if !o.Write {
		return "writes nothing"
	}
	return fmt.Sprintf("writes %d at %d", o.Byte, o.WriteAt)
}

// driveWord is what the coils make of the drive.
func driveWord(o *sim.Outputs) string {
	var on []string
	for _, c := range [...]struct {
		name string
		on   bool
	}{{"up", o.Up}, {"down", o.Down}} {
		if c.on {
			on = append(on, c.name)
		}
	}
	way := strings.Join(on, " and ")
	switch {
	case way == "" && !o.Enable:
		return "off"
	case way == "":
		return "enabled, no way set"
	case !o.Enable:
		return way + " set, not enabled"
	}
	return "drives " + way
}

func barWord(drive int8) string {
	switch {
	case drive > 0:
		return "drives to lock"
	case drive < 0:
		return "drives to unlock"
	}
	return "bar off"
}

func onOff(on, off string, is bool) string {
	if is {
		return on
	}
	return off
}

// sideOf is the side in which the outputs of a lock controller differ by a kind, the
// curbside one first. A difference of its tone belongs to neither, and is told of the first.
func sideOf(kind int, a, b *sim.Outputs) int {
	for s := range model.Sides {
		x, y := &a.Sides[s], &b.Sides[s]
		switch {
		case kind == barKind && x.Drive != y.Drive, kind == permitKind && x.Permit != y.Permit, kind == lampKind && x.Lamp != y.Lamp:
			return s
		}
	}
	return 0
}

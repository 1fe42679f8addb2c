package sim

import (
	"math"

	"slatbench/model"
)

// senseDoor fills bay i's inputs with what its wires carry.
func (b *Bench) senseDoor(i int) {
	s := &b.doors[i]
	bay, w, in := &b.Truck.Bays[i], &b.Wires[i], &s.in
	b.senseSupply(i)
	in.Current = 0
	if !w.CurrentOff {
		in.Current = convert(bay.FeedCurrent-bay.Params.Branch.Load, CurrentFullA)
	}
	in.Edge = edgeReading(bay, w.Edge)
	b.count(i, bay, in)
	in.TwoChannels = bay.Params.Encoder.Quadrature
	in.EdgeFitted = bay.Params.Seal.EdgeFitted
	in.Sill = w.Sill.carry(bay.SillMade())
	in.Press = b.PressLine[i]
	in.Teach = b.Now < b.teaching[i]
	in.Permit, in.Unlocked, in.Locked = s.side.permit, s.side.unlocked, s.side.locked
}

// senseSupply converts the supply of bay i.
func (b *Bench) senseSupply(i int) {
	s := &b.doors[i]
	s.in.Supply = convert(b.Truck.Bays[i].Supply+b.Wires[i].SupplyBias, SupplyFullV)
}

// sameDoor tells that the wires of a door whose curtain has stood still since the tick
// before carry what they carried then.
func (b *Bench) sameDoor(i int) bool {
	s := &b.doors[i]
	in, side := &s.in, s.side
	return in.Press == b.PressLine[i] && in.Teach == (b.Now < b.teaching[i]) &&
		in.Permit == side.permit && in.Unlocked == side.unlocked && in.Locked == side.locked
}

// sameLocks is that of the lock controller, where the doors say what they said.
func (b *Bench) sameLocks() bool {
	for i := range b.lines {
		side, line := &b.locks.in.Sides[i], &b.lines[i]
		if side.LockRequest != (b.Now < b.asking[i][0]) || side.UnlockRequest != (b.Now < b.asking[i][1]) ||
			side.Unlocked != line.unlocked || side.Locked != line.locked {
			return false
		}
	}
	return true
}

// sideLines is what the wires of a side carry to its doors and to the lock controller
// at this tick.
type sideLines struct {
	permit           bool
	unlocked, locked EndSwitch
}

// senseSides fills the lines of both sides.
func (b *Bench) senseSides() {
	for i := range b.lines {
		l, w := &b.Truck.Locks[i], &b.Sides[i]
		b.lines[i] = sideLines{
			permit:   b.locks.out.Sides[i].Permit,
			unlocked: endSwitch(w.Unlocked.carry(l.UnlockedEnd())),
			locked:   endSwitch(w.Locked.carry(l.LockedEnd())),
		}
	}
}

// convert is a 10-bit converter: full V or A give its highest count.
func convert(x, full float64) uint16 {
	n := float64(x*(ConverterMax/full)) + 0.5
	switch {
	case !(n > 0):
		return 0
	case n >= ConverterMax:
		return ConverterMax
	}
	return uint16(n)
}

func edgeReading(bay *model.Bay, w EdgeWire) uint16 {
	switch {
	case !bay.Params.Seal.EdgeFitted || w == EdgeWireOpen:
		return EdgeOpenWire
	case w == EdgeWireShort:
		return EdgeShort
	case bay.EdgePressed():
		return EdgePressed
	}
	return EdgeFree
}

// count hands over the pulses that have come since the last tick, with those that
// a noisy motor adds.
func (b *Bench) count(i int, bay *model.Bay, in *Inputs) {
	extra := int64(0)
	if b.Wires[i].NoiseRate != 0 && bay.Energised != 0 {
		extra = b.extraPulses(b.Wires[i].NoiseRate)
	}
	pulses := bay.Reel.Pulses - b.seen[i] + extra
	in.Pulses = uint8(min(pulses, math.MaxUint8))
	in.Net = 0
	if bay.Params.Encoder.Quadrature {
		net := bay.Reel.Net - b.seenNet[i] + extra
		in.Net = int8(min(max(net, math.MinInt8), math.MaxInt8))
	}
	b.seen[i], b.seenNet[i] = bay.Reel.Pulses, bay.Reel.Net
}

// extraPulses are those of a tick at a rate a second.
func (b *Bench) extraPulses(rate float64) int64 {
	mean := float64(rate * float64(b.TickSteps) * b.Truck.StepSize())
	whole := math.Floor(mean)
	if b.Random() < mean-whole {
		whole++
	}
	return int64(whole)
}

// Random is a number in [0, 1) from the run's seed.
func (b *Bench) Random() float64 { return float64(b.noise.Uint64()>>11) / (1 << 53) }

func endSwitch(over bool) EndSwitch { return EndSwitch{Made: over, Released: !over} }

// senseLocks fills the lock controller's inputs.
func (b *Bench) senseLocks() {
	in := &b.locks.in
	in.Supply = convert(b.Truck.NodeVolts, SupplyFullV)
	for s := range in.Sides {
		side := &in.Sides[s]
		side.LockRequest = b.Now < b.asking[s][0]
		side.UnlockRequest = b.Now < b.asking[s][1]
		side.Unlocked, side.Locked = b.lines[s].unlocked, b.lines[s].locked
		side.Bays = 0
	}
	for i := range b.doors {
		side := &in.Sides[b.Truck.Bays[i].Params.Side]
		lines := b.doors[i].out.Lines
		side.Down[side.Bays] = DownLines{
			Down:    b.Wires[i].Down.carry(lines.Down),
			NotDown: b.Wires[i].NotDown.carry(lines.NotDown),
		}
		side.Bays++
	}
}

// receive lets every receiver look for a code, once a tick.
func (b *Bench) receive() {
	if b.silent && len(b.presses) == 0 {
		return
	}
	kept := b.presses[:0]
	for _, p := range b.presses {
		if b.Now < p.At+p.Span {
			kept = append(kept, p)
		}
	}
	b.presses = kept
	b.silent = true
	for i := range b.decode {
		seen := b.Wires[i].Held && b.reaches(i, i, 0, 1)
		for j := range b.presses {
			seen = seen || b.reaches(b.presses[j].Bay, i, b.presses[j].Aim, b.presses[j].Distance)
		}
		b.decodeLine(i, seen)
		b.silent = b.silent && !seen && !b.Wires[i].Held && !b.PressLine[i] && b.decode[i] == 0
	}
}

// reaches tells whether a press in front of bay from is strong enough at bay to.
func (b *Bench) reaches(from, to int, aim, distance float64) bool {
	return b.Truck.Irradiance(from, to, aim, distance) >= b.Truck.ReceiverNeeds(to)
}

// decodeLine is the receiver's own filter: it wants the code for some time, and
// holds its line over short gaps.
func (b *Bench) decodeLine(i int, seen bool) {
	if seen == b.PressLine[i] {
		b.decode[i] = 0
		return
	}
	b.decode[i]++
	wait := releaseTicks
	if seen {
		wait = decodeTicks
	}
	if b.decode[i] < wait {
		return
	}
	b.decode[i], b.PressLine[i] = 0, seen
	if seen {
		b.PressedAt[i] = b.Now
	}
}

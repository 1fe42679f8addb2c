package logic

import (
	"encoding/binary"
	"hash/crc32"

	"slatbench/sim"
)

// StrokeAt is where the store of the locks keeps, a byte a side, what is not known of the bar.
const StrokeAt = 24

// Layout of the store. A record is three bytes and their checksum.
//
// The taught travel is kept twice. Teaching writes over the older copy only, so
// that losing power at any byte leaves the younger one whole: the old travel or
// the new one, never a mixture.
//
// The place of the last rest is kept once, and struck out before the door moves.
const (
	travelA    = 0
	travelB    = 8
	restAt     = 16
	heardAt    = 26 // lock controller, after StrokeAt: a byte a side, of the doors that are doubted, a bit for each
	recordSize = 7
)

// What a side's byte at StrokeAt says, 0 that all is known. It is one byte without a check: where power fails as it is
// written, each of its bits is the old or the new one, and these words have their bits so that no such mixture of two
// that tell of a stroke says 0. Any other value says the same as StrokeOn.
//
// The bytes at heardAt have a bit for each door, and a mixture says of each what was so just before or after.
const (
	StrokeOn      = 1            // a stroke is under way, or the lock has failed
	strokeDoubted = StrokeOn | 2 // and the switch of the unlocked end is doubted
)

// record is a serial number and a value.
type record struct {
	serial uint8
	value  int16
}

// bytes of a record as stored: serial, value (low byte first), checksum.
func (r record) bytes() (b [recordSize]byte) {
	b[0] = r.serial
	binary.LittleEndian.PutUint16(b[1:], uint16(r.value))
	binary.LittleEndian.PutUint32(b[3:], crc32.ChecksumIEEE(b[:3]))
	return b
}

// readRecord reads one at an address; ok is false where its checksum does not fit.
func readRecord(s *sim.Store, at int) (r record, ok bool) {
	b := s[at : at+recordSize]
	if binary.LittleEndian.Uint32(b[3:]) != crc32.ChecksumIEEE(b[:3]) {
		return record{}, false
	}
	return record{b[0], int16(binary.LittleEndian.Uint16(b[1:]))}, true
}

// travelRecord is the younger of the two copies that are whole, and where the next is to be written.
func travelRecord(s *sim.Store) (r record, next int, ok bool) {
	a, okA := readRecord(s, travelA)
	b, okB := readRecord(s, travelB)
	okA, okB = okA && a.value > 0, okB && b.value > 0
	switch {
	case okA && (!okB || int8(a.serial-b.serial) > 0):
		return a, travelB, true
	case okB:
		return b, travelA, true
	}
	return record{}, travelA, false
}

// Places of a rest, kept in the serial byte of the rest's record.
const (
	restDown = iota + 1
	restOpen
	restBetween
)

// pen writes records byte by byte, one byte a tick, in the order in which they were asked for.
type pen struct {
	at    [3 * recordSize]uint8
	value [3 * recordSize]byte
	n, i  int
}

func (p *pen) put(at int, b ...byte) {
	if p.i == p.n {
		p.i, p.n = 0, 0
	}
	for k, v := range b {
		if p.n < len(p.at) {
			p.at[p.n], p.value[p.n] = uint8(at+k), v
			p.n++
		}
	}
}

// strike makes a record unreadable with one byte, before anything it says becomes untrue.
func (p *pen) strike(at int) { p.put(at, 0) }

func (p *pen) busy() bool { return p.i < p.n }

// write hands the next byte to the store, if that is free.
func (p *pen) write(in *sim.Inputs, out *sim.Outputs) {
	if in.StoreBusy || !p.busy() {
		return
	}
	out.Write, out.WriteAt, out.Byte = true, p.at[p.i], p.value[p.i]
	p.i++
}

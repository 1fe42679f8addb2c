package logic

import "slatbench/sim"

// Timing of counted pulses, in ticks of 10 ms. The silence after a count is
// longer than any within it.
const (
	toneOn    = 12
	toneOff   = 12
	toneBreak = 70
)

// sounder sounds alarms as counted pulses, one after the other.
type sounder struct {
	queue [4]sim.Alarm
	n     int
	left  int // pulses still to come
	wait  int // ticks until the next change
	on    bool
}

// sound asks for an alarm. One that is already waiting is not asked for twice.
func (s *sounder) sound(a sim.Alarm) {
	for _, q := range s.queue[:s.n] {
		if q == a {
			return
		}
	}
	if s.n < len(s.queue) {
		s.queue[s.n] = a
		s.n++
	}
}

// tick gives the tone of this tick.
func (s *sounder) tick() bool {
	if s.wait > 0 {
		s.wait--
		return s.on
	}
	switch {
	case s.on:
		s.on, s.wait = false, toneOff-1
		if s.left == 0 {
			s.wait = toneBreak - 1
		}
	case s.left > 0:
		s.on, s.wait, s.left = true, toneOn-1, s.left-1
	case s.n > 0:
		s.left = int(s.queue[0]) - 1
		copy(s.queue[:], s.queue[1:s.n])
		s.n--
		s.on, s.wait = true, toneOn-1
	}
	return s.on
}

package logic

import "slatbench/sim"

// Timing of counted pulses, in s. The silence after a count is longer than any within it.
const (
	toneOn    = 0.12
	toneOff   = 0.12
	toneBreak = 0.70
)

// A reset may have cut a count off, and power may be back at once: the first count after it
// keeps its distance too. resetTime, in s, passes in silence before a controller works.
const (
	resetTime  = 0.25
	resetBreak = toneBreak - resetTime
)

// sounder sounds alarms as counted pulses, one after the other.
type sounder struct {
	tone, gap, silence int // ticks

	queue [4]sim.Alarm
	n     int
	left  int // pulses still to come
	wait  int // ticks until the next change
	on    bool
}

func newSounder(k clock) sounder {
	return sounder{tone: k.ticks(toneOn), gap: k.ticks(toneOff), silence: k.ticks(toneBreak), wait: k.ticks(resetBreak)}
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
		s.on, s.wait = false, s.gap-1
		if s.left == 0 {
			s.wait = s.silence - 1
		}
	case s.left > 0:
		s.on, s.wait, s.left = true, s.tone-1, s.left-1
	case s.n > 0:
		s.left = int(s.queue[0]) - 1
		copy(s.queue[:], s.queue[1:s.n])
		s.n--
		s.on, s.wait = true, s.tone-1
	}
	return s.on
}

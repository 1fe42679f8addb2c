package sim

// Ratings are those of the controllers' own supply and memory.
type Ratings struct {
	BrownOut  float64 // V: below it a controller is reset
	Restart   float64 // V: above it, it starts again
	Boot      int64   // steps from restart to the first tick
	ByteWrite int64   // steps that one byte of the store takes
}

// DefaultRatings for a step of 1 ms.
func DefaultRatings() Ratings {
	return Ratings{BrownOut: 8.0, Restart: 9.0, Boot: 250, ByteWrite: 3}
}

// station is one controller with what the bench keeps for it: power, memory, and
// the wires' last levels.
type station struct {
	controller Controller
	in         Inputs
	out        Outputs
	store      Store
	driven     coils // of a door, as last driven

	dozer Dozer      // the controller, where it is one
	dozes bool       // another tick with the same inputs would be answered by nothing
	side  *sideLines // of a door

	powered  bool
	booted   bool
	bootLeft int64

	writing   bool
	writeAt   uint8
	writeByte uint8
	writeLeft int64
}

// coils is how a power stage is driven.
type coils struct {
	up, down, enable bool
	duty             uint8 // %, as the controller has it
}

// supply looks at the supply once a step. It tells whether the controller has
// just been reset.
func (s *station) supply(volts float64, r *Ratings) (reset bool) {
	if s.powered {
		if volts < r.BrownOut {
			s.lose()
			return true
		}
		if !s.booted {
			if s.bootLeft--; s.bootLeft <= 0 {
				s.boot()
			}
		}
		return false
	}
	if volts > r.Restart {
		s.powered, s.bootLeft = true, r.Boot
	}
	return false
}

// works is the common case: at work, with nothing on its way into the store.
func (s *station) works() bool { return s.booted && !s.writing }

// use takes up a controller.
func (s *station) use(c Controller) {
	s.controller, s.powered = c, true
	if d, ok := c.(Dozer); ok && d.Self() == c {
		s.dozer = d
	}
}

// mayDoze tells, after a tick, that the next may be passed over if it brings nothing new.
func (s *station) mayDoze() bool {
	return s.dozer != nil && s.dozer.Dozes() && !s.writing && !s.in.StoreBusy && !s.out.Write && s.in.Pulses == 0 && s.in.Net == 0
}

// doze is a tick that is passed over.
func (s *station) doze() {
	s.dozer.Doze(&s.in)
	s.in.Tick++
}

// steady tells that looking at the same volts again, and waiting, changes nothing.
func (s *station) steady(volts float64, r *Ratings) bool {
	if s.writing || s.powered != s.booted {
		return false
	}
	if s.powered {
		return volts >= r.BrownOut
	}
	return volts <= r.Restart
}

// lose is a brown-out: outputs fall, RAM is gone, and a byte that was being
// written is left half old and half new.
func (s *station) lose() {
	s.powered, s.booted, s.dozes = false, false, false
	s.out = Outputs{}
	if s.writing {
		old := s.store[s.writeAt]
		s.store[s.writeAt] = old&0xF0 | s.writeByte&0x0F
		s.writing = false
	}
}

func (s *station) boot() {
	s.booted, s.dozes = true, false
	s.in = Inputs{}
	s.out = Outputs{}
	s.controller.PowerOn(&s.store)
}

// remember advances a byte on its way into the store by one step.
func (s *station) remember() {
	if s.writing {
		if s.writeLeft--; s.writeLeft <= 0 {
			s.store[s.writeAt] = s.writeByte
			s.writing = false
		}
	}
}

// tick lets the controller work, and takes up its wish to write.
func (s *station) tick(r *Ratings) {
	s.in.StoreBusy = s.writing
	s.out.Write = false
	s.controller.Tick(&s.in, &s.out)
	s.in.Tick++
	if s.out.Write && !s.writing && int(s.out.WriteAt) < StoreSize {
		s.writing, s.writeAt, s.writeByte, s.writeLeft = true, s.out.WriteAt, s.out.Byte, r.ByteWrite
	}
}

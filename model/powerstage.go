package model

// PowerStage is what stands between the supply and the motor of one bay: an
// enable contact with a chopper behind it, and a changeover contact for either
// motor lead.
//
//	supply ── enable ── bus ─┬─ up   ── lead A
//	                         └─ down ── lead B      (released: to ground)
//
// One direction made: the motor sees duty × supply. Neither, or both: its leads
// are shorted and it brakes. One direction made with the enable open: its circuit
// is open and it coasts. So welded down with up asked brakes, and does no more.
type PowerStage struct {
	up, down, enable contact
	Duty             float64 // 0 to 1, share of the supply voltage
}

// contact is one contact and the coil that moves it.
type contact struct {
	asked, made bool
	wait        int32 // steps until it follows its coil
	condition   ContactCondition
}

func (c *contact) ask(on bool, pullIn, dropOut int32) {
	if on == c.asked {
		return
	}
	c.asked = on
	c.wait = dropOut + 1 // that many whole steps with the contact as it was
	if on {
		c.wait = pullIn + 1
	}
}

// take brings a condition on. A contact that is not waiting for its coil shows it
// at once.
func (c *contact) take(condition ContactCondition) {
	c.condition = condition
	if c.wait == 0 {
		c.made = c.settled()
	}
}

// settled is where the contact is once it has followed its coil, if it can.
func (c *contact) settled() bool {
	switch c.condition {
	case ContactWelded:
		return true
	case ContactOpen:
		return false
	}
	return c.asked
}

// step lets the contact follow; it tells whether it has changed.
func (c *contact) step() bool {
	if c.wait > 0 {
		c.wait--
		if c.wait > 0 {
			return false
		}
	}
	made := c.settled()
	if made == c.made {
		return false
	}
	c.made = made
	return true
}

// UpMade, DownMade and EnableMade tell what is made, not what is asked.
func (s *PowerStage) UpMade() bool     { return s.up.made }
func (s *PowerStage) DownMade() bool   { return s.down.made }
func (s *PowerStage) EnableMade() bool { return s.enable.made }

// circuit is how the motor is connected.
type circuit uint8

const (
	shorted circuit = iota // leads together: dynamic brake
	coasting
	drivenUp
	drivenDown
)

func (s *PowerStage) circuit() circuit {
	switch {
	case s.up.made == s.down.made:
		return shorted
	case !s.enable.made:
		return coasting
	case s.up.made:
		return drivenUp
	}
	return drivenDown
}

func (s *PowerStage) step() (changed bool) {
	a, b, c := s.up.step(), s.down.step(), s.enable.step()
	return a || b || c
}

func (s *PowerStage) busy() bool { return s.up.wait|s.down.wait|s.enable.wait != 0 }

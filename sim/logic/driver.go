package logic

import "slatbench/sim"

// Dry switching, in s: the direction is made before the enable, and released
// after it, so that the direction contacts never break the motor's current and a
// stop is cut twice.
const (
	directionLead = 0.020
	directionLag  = 0.010
)

// driver turns a wished direction into coils.
type driver struct {
	lead, lag int // ticks

	dir    int // direction coil that is on
	enable bool
	wait   int
}

// tick moves the coils one tick towards a wish of -1, 0 or +1. A start waits for ready.
func (d *driver) tick(want int, ready bool) {
	switch {
	case d.dir != 0 && d.dir != want:
		switch {
		case d.enable:
			d.enable, d.wait = false, d.lag-1
		case d.wait > 0:
			d.wait--
		default:
			d.dir = 0
		}
	case want == 0:
	case d.dir == 0:
		if ready {
			d.dir, d.wait = want, d.lead
		}
	case !d.enable:
		if d.wait--; d.wait <= 0 {
			d.enable = true
		}
	}
}

func (d *driver) drive(out *sim.Outputs, duty uint8) {
	out.Up, out.Down, out.Enable = d.dir > 0, d.dir < 0, d.enable
	out.Duty = duty
}

package model

import "testing"

// What Hang says is what the cable of a placed curtain carries, bit for bit but for the
// order of one sum.
func TestHangIsWhatTheCableCarries(t *testing.T) {
	for _, grade := range []float64{-0.1, 0, 0.05} {
		p := DefaultTruck()
		p.Ambient.Grade = grade
		truck := NewTruck(p, DefaultStep)
		for i := range truck.Bays {
			b := &truck.Bays[i]
			h := NewHang(&b.Params, grade)
			for y := 0.0; y <= b.Params.Track.Opening; y += 0.045 {
				b.Place(y)
				near(t, b.Params.Name+" cable, N", b.CableForce, h.Gravity(y)+h.Closing(y), 1e-9)
			}
		}
	}
}

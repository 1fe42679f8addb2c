package model

import (
	"math"
	"testing"
)

// The link in front of one's own door: E = I/d² (check value I6: 100 mW/sr at
// 5 m give 4.0 mW/m², and a quarter of it at twice the distance; inverse square).
func TestRemoteStraightAhead(t *testing.T) {
	truck := NewTruck(DefaultTruck(), DefaultStep)
	near(t, "at 5 m, W/m²", truck.Irradiance(0, 0, 0, 5), 4.0e-3, 1e-12)
	near(t, "at 10 m, W/m²", truck.Irradiance(0, 0, 0, 10), 1.0e-3, 1e-12)
	// The beam of the default remote has a half angle of 10°: n = 45.278 (check
	// value I7, exponent formula from memory, optical-wireless textbooks).
	near(t, "lobe exponent", truck.lobe, 45.278, 0.03)
	half := truck.Remote.HalfAngle
	near(t, "aimed past by the half angle, W/m²", truck.Irradiance(0, 0, half, 5), 2.0e-3, 1e-9)
	near(t, "either way", truck.Irradiance(0, 0, -half, 5), truck.Irradiance(0, 0, half, 5), 1e-15)
	if e := truck.Irradiance(0, 0, 1.6, 5); e != 0 {
		t.Errorf("aimed away: %g W/m²", e)
	}
	// In the dark the default pair reaches √(I/E): 14.14 m.
	reach := math.Sqrt(truck.Remote.Intensity / truck.ReceiverNeeds(0))
	near(t, "reach, m", reach, 14.142, 0.001)
}

// Sunlight desensitises the receiver, dirt and a weak cell dim the beam; both cost
// range by the square root.
func TestRemoteDimmed(t *testing.T) {
	p := DefaultTruck()
	p.Ambient.Sunlight = 20e3
	truck := NewTruck(p, DefaultStep)
	near(t, "in 20 klx, W/m²", truck.ReceiverNeeds(0), 2*p.Bays[0].Receiver.Threshold, 1e-12)
	c := &truck.Bays[0].Condition
	c.LensFactor, c.CellFactor = 0.5, 0.4
	truck.RefreshBay(0)
	near(t, "dirty and weak, W/m²", truck.Irradiance(0, 0, 0, 5), 0.2*4.0e-3, 1e-12)
	c.Unplugged = true
	if e := truck.Irradiance(0, 0, 0, 5); e != 0 {
		t.Errorf("unplugged: %g W/m²", e)
	}
}

// The neighbour's receiver sees the edge of the beam, and its middle when it is
// aimed at; what stands behind the driver throws some of it back; the other side
// of the truck sees nothing.
func TestRemoteAtTheNeighbour(t *testing.T) {
	p := DefaultTruck()
	build := func(reflectance float64) *Truck {
		p.Remote.Reflectance = reflectance
		return NewTruck(p, DefaultStep)
	}
	truck := build(0)
	const d, along = 3.0, 2.4
	angle := math.Atan2(along, d)
	square := d*d + along*along
	want := 0.1 * math.Pow(math.Cos(angle), truck.lobe) / square
	near(t, "edge of the beam, W/m²", truck.Irradiance(0, 1, 0, d), want, 1e-9*want)
	near(t, "aimed at it, W/m²", truck.Irradiance(0, 1, angle, d), 0.1/square, 1e-9)
	near(t, "from the other bay, W/m²", truck.Irradiance(1, 0, -angle, d), 0.1/square, 1e-9)
	if e := truck.Irradiance(0, 2, 0, d); e != 0 {
		t.Errorf("other side: %g W/m²", e)
	}
	if e := truck.Irradiance(0, 1, 0, d); e > truck.ReceiverNeeds(1) {
		t.Errorf("3 m away, straight ahead, the neighbour is opened by %g W/m²", e)
	}
	mirror := build(0.5)
	back := 0.5 * 0.1 / (4*d*d + along*along)
	near(t, "thrown back, W/m²", mirror.Irradiance(0, 1, 0, d), want+back, 1e-9)
	near(t, "not at one's own", mirror.Irradiance(0, 0, 0, d), 0.1/(d*d), 1e-12)
	if e := mirror.Irradiance(0, 1, 0, d); e < mirror.ReceiverNeeds(1) {
		t.Errorf("a bright wall does not open the neighbour: %g W/m²", e)
	}
}

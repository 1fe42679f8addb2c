package model

import "math"

// Irradiance is what arrives at the receiver of bay to, in W/m², from a remote
// used in front of bay from, distance m away from it, whose beam misses that
// receiver by aim rad towards bays with a higher station: the direct beam and, where something behind
// the driver reflects, the beam thrown back along the side of the truck.
//
//	E = I·cosⁿφ·τ/d²
//
// φ is the angle between the beam and the way to the receiver, τ what the lens
// lets through, and n follows from the beam's half angle.
func (t *Truck) Irradiance(from, to int, aim, distance float64) float64 {
	a, b := &t.Bays[from], &t.Bays[to]
	if b.Condition.Unplugged || distance <= 0 || a.Params.Side != b.Params.Side {
		return 0
	}
	lobe := t.lobe
	intensity := t.Remote.Intensity * a.Condition.CellFactor * b.Condition.LensFactor
	along := b.Params.Station - a.Params.Station

	square := float64(distance*distance) + float64(along*along)
	toward := float64(cosAny(aim)*distance) + float64(sinAny(aim)*along)
	direct := 0.0
	if toward > 0 {
		direct = intensity * Pow(toward/math.Sqrt(square), lobe) / square
	}
	if from == to || t.Remote.Reflectance == 0 {
		return direct
	}
	// The mirror image of the way: out to the wall behind the driver, and back.
	path := float64(4*distance*distance) + float64(along*along)
	return direct + float64(t.Remote.Reflectance*intensity*Pow(cosAny(aim), lobe)/path)
}

// ReceiverNeeds is the irradiance, in W/m², that the receiver of bay i needs at
// the present sunlight: direct sun desensitises it.
func (t *Truck) ReceiverNeeds(i int) float64 {
	r := &t.Bays[i].Params.Receiver
	return r.Threshold * (1 + t.Ambient.Sunlight/r.SunScale)
}

// cosAny and sinAny reach over ±π/2, which is as far as anybody can aim past a door.
func cosAny(x float64) float64 {
	x = math.Abs(x)
	if x >= math.Pi/2 {
		return 0
	}
	return cosQuarter(x)
}

func sinAny(x float64) float64 {
	s := sinQuarter(min(math.Abs(x), math.Pi/2))
	if x < 0 {
		return -s
	}
	return s
}

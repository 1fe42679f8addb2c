package soak

import (
	"math"

	"slatbench/model"
)

const (
	calmTime  = 1.5 // s without motion, tone or writing: more than any pause of the controllers
	leadTime  = 0.5 // s stepped at the end of a rest, so that every filter is filled again
	slowSpan  = 0.1 // s between the model's own slow steps
	longPiece = 600 // s skipped at a time
	shortTime = 1.0 // s played at a time where the supply may cross a threshold
	voltsNear = 0.1 // V from a threshold that count as crossing it
)

// settle plays on until nothing has happened for calmTime, and gives up after limit s.
func (r *rig) settle(limit float64) {
	b := r.bench
	for end := b.Now + b.Steps(limit); b.Now < end && !r.calm(); {
		b.Advance()
	}
}

func (r *rig) calm() bool {
	return r.watch.calm*r.bench.TickSteps >= r.bench.Steps(calmTime)
}

// rest lets the truck stand, or drive, for so many seconds while amps charge the
// battery beyond all that the truck takes; at 0 A the truck takes from the
// battery what it takes.
//
// While all is calm nothing but the battery and the winding's temperature
// changes, and these are moved on as the model's slow step would: at rest every
// load is a constant current, so the charge falls evenly, and the winding cools
// by the same factor each slow step. Where a controller could lose or regain its
// supply on the way, the rest is played tick by tick.
func (r *rig) rest(seconds, amps float64) {
	b := r.bench
	end := b.Now + b.Steps(seconds)
	slow := b.Steps(slowSpan)
	for b.Now < end {
		left := end - b.Now
		piece := min(left-b.Steps(leadTime), b.Steps(longPiece))
		piece -= piece % slow
		if piece > 0 && r.calm() && r.skip(piece, amps) {
			continue
		}
		r.play(min(left, b.Steps(shortTime)), amps)
	}
}

// play plays steps tick by tick. What the battery is charged is put in at their end.
func (r *rig) play(steps int64, amps float64) {
	b := r.bench
	before, from := b.Truck.Battery, b.Now
	for end := b.Now + steps; b.Now < end; {
		b.Advance()
	}
	if amps > 0 {
		r.charge(r.cfg.Route.Charged(before, amps, b.Seconds(b.Now-from)))
	}
}

// skip moves a calm truck on, and reports false and does nothing where a supply
// would come near a threshold of its controller.
func (r *rig) skip(steps int64, amps float64) bool {
	b := r.bench
	t := b.Truck
	seconds := b.Seconds(steps)
	after := t.Battery
	if amps > 0 {
		after.SetCharge(r.cfg.Route.Charged(after, amps, seconds))
	} else {
		after.Draw(float64(t.TotalCurrent*seconds), seconds)
	}
	if !r.keepsSupply(after) {
		return false
	}
	if amps <= 0 {
		r.watch.drawn += float64(t.TotalCurrent * seconds)
	}
	r.charge(after.Charge)
	r.cool(steps)
	b.Now += steps
	t.Steps += steps
	r.watch.last = b.Now
	b.Advance() // so that every supply is that of the new charge
	return true
}

// keepsSupply tells that every controller stays as it is, on or off, while the
// battery goes evenly to the state after.
func (r *rig) keepsSupply(after model.Battery) bool {
	b := r.bench
	t := b.Truck
	change := (after.OCV - t.Battery.OCV) - float64((after.R-t.Battery.R)*t.TotalCurrent)
	keeps := func(on bool, volts float64) bool {
		low, high := math.Min(volts, volts+change), math.Max(volts, volts+change)
		if on {
			return low > b.Setup().Ratings.BrownOut+voltsNear
		}
		return high < b.Setup().Ratings.Restart-voltsNear
	}
	for i := range t.Bays {
		if !keeps(b.Awake(i), t.Bays[i].Supply) {
			return false
		}
	}
	return keeps(b.LocksAwake(), t.NodeVolts)
}

// charge puts the battery at a charge.
func (r *rig) charge(to float64) { r.bench.Truck.SetCharge(to) }

// cool lets every winding cool for whole slow steps: its excess over the air falls
// by the factor 1 − Δt/(Rth·Cth) in each. The model takes up the new resistance in
// its next slow step.
func (r *rig) cool(steps int64) {
	b := r.bench
	air := b.Truck.Ambient.Temperature
	slow := b.Steps(slowSpan)
	for i := range b.Truck.Bays {
		bay := &b.Truck.Bays[i]
		if bay.WindingTemp == air {
			continue
		}
		d := &bay.Params.Drive
		keep := 1 - b.Seconds(slow)/float64(d.ThermalRes*d.ThermalCap)
		left := model.Pow(math.Max(keep, 0), float64(steps/slow))
		bay.WindingTemp = air + float64((bay.WindingTemp-air)*left)
	}
}

// weather brings air, grease, wires and battery to a temperature in °C. Copper of
// the feed is folded into the truck when it is built, so its change is added as a
// resistance in the feed.
func (r *rig) weather(celsius float64) {
	t := r.bench.Truck
	if t.Ambient.Temperature == celsius {
		return
	}
	r.watch.calm = 0
	t.Ambient.Temperature = celsius
	charge := t.Battery.Charge
	p := r.bench.Setup().Truck.Battery
	p.Age = r.age
	t.Battery = model.NewBattery(p, celsius)
	t.Battery.SetCharge(charge)
	s := t.Supply()
	feed := &r.bench.Setup().Truck.Feed
	s.FeedOhms = float64(feed.Resistance * (model.CopperFactor(celsius, 20) - model.CopperFactor(r.built, 20)))
	t.SetSupply(s)
	for i := range t.Bays {
		t.RefreshBay(i)
	}
}

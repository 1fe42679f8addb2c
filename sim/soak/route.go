package soak

import (
	"math"

	"slatbench/model"
)

// Route is a day's work: a stop every so often, the door open for a while at
// each, the engine charging the battery on the way to the next, and the night.
type Route struct {
	StopEvery  float64 `yaml:"stop every" unit:"time" range:"[1 min,24 h]" default:"15 min" doc:"from one stop to the next: 4 stops an hour are 15 min"`
	StopsADay  int     `yaml:"stops a day" range:"[1,1000]" default:"30" doc:"after them comes the night"`
	StartsAt   float64 `yaml:"starts at" unit:"time" range:"[0 h,24 h]" default:"6 h" doc:"time of day of the first stop"`
	OpenFor    float64 `yaml:"open for" unit:"time" range:"[0 s,12 h]" default:"4 min" doc:"how long the door stands open at a stop"`
	DriveAmps  float64 `yaml:"charging current" unit:"current" range:"[0 A,300 A]" default:"0 A" doc:"what the battery gets while the engine runs, beyond all that the truck takes"`
	DriveTime  float64 `yaml:"charging time" unit:"time" range:"[0 s,24 h]" default:"0 s" doc:"how long the engine runs between two stops"`
	NightAmps  float64 `yaml:"overnight current" unit:"current" range:"[0 A,300 A]" default:"0 A" doc:"of a charger in the yard, beyond all that the truck takes"`
	NightTime  float64 `yaml:"overnight time" unit:"time" range:"[0 s,24 h]" default:"0 s" doc:"how long it charges each night, from the last stop"`
	Efficiency float64 `yaml:"charge efficiency" unit:"ratio" range:"[10 %,100 %]" default:"85 %" doc:"share of the charge that stays in the battery (common practice, no source)"`
	TaperAbove float64 `yaml:"taper above" unit:"ratio" range:"[0 %,100 %]" default:"80 %" doc:"from this charge on the battery accepts less and less, evenly down to nothing when full (common practice, no source)"`
	Spread     float64 `yaml:"spread" unit:"ratio" range:"[0 %,90 %]" default:"0 %" doc:"by which the times of a stop differ, evenly, either way, by the seed"`
}

// Weather is the temperature of air, battery and grease.
//
// It is coldest at 5:00 and warmest at 15:00 and goes between the two as 3u²−2u³,
// which differs from a cosine by at most 1 % of the swing. The battery follows at once: a real
// one lags by hours.
type Weather struct {
	Mean  float64 `yaml:"temperature" unit:"temperature" range:"[-40 °C,60 °C]" default:"20 °C" doc:"halfway between the coldest and the warmest"`
	Swing float64 `yaml:"daily swing" unit:"temperature difference" range:"[0 K,40 K]" default:"0 K" doc:"by which the day goes above and the night below it"`
}

const (
	kelvin  = 273.15 // 0 °C in K: files keep temperatures in K, the model in °C
	hour    = 3600.0
	day     = 24 * hour
	coldest = 5 * hour
	warmest = 15 * hour
)

// At is the temperature, °C, at a time in s since some midnight.
func (w Weather) At(clock float64) float64 {
	mean := w.Mean - kelvin
	if w.Swing == 0 {
		return mean
	}
	t := clock - float64(day*math.Floor(clock/day))
	if t < coldest {
		t += day
	}
	u := (t - coldest) / (warmest - coldest)
	if t > warmest {
		u = (coldest + day - t) / (coldest + day - warmest)
	}
	rise := u * u * (3 - float64(2*u))
	return mean + float64(w.Swing*(float64(2*rise)-1))
}

// Charged is the charge, 0 to 1, of a battery after amps have charged it from a
// charge s0 for so many seconds: ds/dt = η·I·q below the taper, and above it that
// times (1 − s)/(1 − taper), so s tends to 1 by an exponential. q is the charge
// that one ampere-second is worth (see model.Battery.Draw).
func (r Route) Charged(b model.Battery, amps, seconds float64) float64 {
	rate := float64(r.Efficiency * amps * chargePerAmpereSecond(b))
	s := b.Charge
	if rate <= 0 || seconds <= 0 || s >= 1 {
		return s
	}
	if s < r.TaperAbove {
		need := (r.TaperAbove - s) / rate
		if need >= seconds {
			return s + float64(rate*seconds)
		}
		s, seconds = r.TaperAbove, seconds-need
	}
	if r.TaperAbove >= 1 {
		return 1
	}
	return 1 - float64((1-s)*model.Exp(-rate*seconds/(1-r.TaperAbove)))
}

// chargePerAmpereSecond asks the battery itself what charging it does.
func chargePerAmpereSecond(b model.Battery) float64 {
	const from, ampereSeconds = 0.25, 1000.0
	b.SetCharge(from)
	b.Draw(-ampereSeconds, 1)
	return (b.Charge - from) / ampereSeconds
}

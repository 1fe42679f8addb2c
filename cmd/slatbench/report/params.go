package report

import (
	"math"
	"slices"
	"strings"

	"slatbench/model"
)

// paramRow is a parameter with its value in each group of like bays.
type paramRow struct {
	Name   string
	Values []string
}

// bayParam says how a parameter of a bay is written.
type bayParam struct {
	name string
	of   func(p *model.BayParams) string
}

func mm(x float64) string   { return short(1000*x, 5) + " mm" }
func mOhm(x float64) string { return short(1000*x, 4) + " mΩ" }

// bayParams are those that decide how a door runs and what it presses with.
var bayParams = []bayParam{
	{"curtain", func(p *model.BayParams) string {
		return short(p.Curtain.Mass, 4) + " kg, " + short(p.Curtain.Length, 4) + " m long"
	}},
	{"opening; bend", func(p *model.BayParams) string {
		return short(p.Track.Opening, 4) + " m; radius " + mm(p.Track.Bend) + " above " + short(p.Track.Vertical, 4) + " m"
	}},
	{"counterbalance", func(p *model.BayParams) string {
		c := &p.Counterbalance
		return short(c.Rate, 4) + " N·m a turn, " + short(c.InitialTurns, 4) + " initial turns"
	}},
	{"drums; cables", func(p *model.BayParams) string {
		return "radius " + mm(p.Counterbalance.DrumRadius) + "; " + short(p.Counterbalance.CableStiffness/1000, 4) + " kN/m"
	}},
	{"closing spring", func(p *model.BayParams) string {
		return short(p.ClosingSpring.Preload, 4) + " N + " + short(p.ClosingSpring.Rate, 4) + " N/m"
	}},
	{"friction in the track", func(p *model.BayParams) string {
		return short(p.Friction.Running, 4) + " N running, " + short(p.Friction.Breakaway, 4) + " N breakaway"
	}},
	{"grease", func(p *model.BayParams) string { return short(p.Friction.Viscous, 4) + " N·s/m at 20 °C" }},
	{"motor", func(p *model.BayParams) string {
		return short(p.Drive.MotorConstant, 4) + " V·s, " + short(p.Drive.Resistance, 4) + " Ω at 20 °C, dry friction " + short(1000*p.Drive.DryFriction, 4) + " mN·m"
	}},
	{"gears", func(p *model.BayParams) string {
		return short(p.Drive.Ratio, 4) + " : 1, efficiency " + short(100*p.Drive.Efficiency, 3) + " %"
	}},
	{"branch of the harness", func(p *model.BayParams) string {
		return mOhm(p.Branch.Resistance) + " copper + " + mOhm(p.Branch.Connectors) + " connectors"
	}},
	{"encoder", func(p *model.BayParams) string {
		channels := "one channel"
		if p.Encoder.Quadrature {
			channels = "two channels"
		}
		return short(p.Encoder.PulsesPerMetre, 5) + " pulses/m, " + channels
	}},
	{"edge seal", func(p *model.BayParams) string {
		return short(p.Seal.Stiffness/1000, 4) + " N/mm over " + mm(p.Seal.SoftTravel) + ", then " + short(p.Seal.HardStiffness/1000, 4) + " N/mm"
	}},
	{"sensing edge", func(p *model.BayParams) string {
		if !p.Seal.EdgeFitted {
			return "none"
		}
		return "from " + short(p.Seal.EdgeForce, 4) + " N"
	}},
	{"sill switch made", func(p *model.BayParams) string {
		return "below " + strings.Replace(mm(p.Stops.SillHeight), "-", "−", 1)
	}},
	{"receiver", func(p *model.BayParams) string {
		return "from " + short(1000*p.Receiver.Threshold, 4) + " mW/m² in the dark"
	}},
}

// bayTable groups bays that are alike, so that a truck of equal doors has one column.
func bayTable(bays []model.BayParams) (heads []string, rows []paramRow) {
	var groups [][]string // texts
	var names [][]string
	for i := range bays {
		texts := make([]string, len(bayParams))
		for k := range bayParams {
			texts[k] = bayParams[k].of(&bays[i])
		}
		at := slices.IndexFunc(groups, func(g []string) bool { return slices.Equal(g, texts) })
		if at < 0 {
			groups, names, at = append(groups, texts), append(names, nil), len(groups)
		}
		names[at] = append(names[at], bays[i].Name)
	}
	for k := range bayParams {
		row := paramRow{Name: bayParams[k].name}
		for g := range groups {
			row.Values = append(row.Values, groups[g][k])
		}
		rows = append(rows, row)
	}
	for _, n := range names {
		heads = append(heads, strings.Join(n, ", "))
	}
	return heads, rows
}

// fact is a name and a value.
type fact struct {
	Name, Value string
	Wide        bool // takes the whole width
}

// truckFacts are the parts that all bays share.
func truckFacts(p *model.TruckParams, charge float64) []fact {
	b := model.NewBattery(p.Battery, p.Ambient.Temperature)
	b.SetCharge(charge)
	list := []fact{
		{Name: "battery", Value: short(p.Battery.ColdCrankA, 4) + " A cold cranking, " + short(p.Battery.ReserveMin, 4) + " min reserve, age " + short(100*p.Battery.Age, 3) + " %"},
		{Name: "at the start", Value: short(100*charge, 3) + " % charged: " + short(b.OCV, 4) + " V behind " + mOhm(math.Round(b.R*1e5)/1e5)},
		{Name: "shared feed", Value: mOhm(p.Feed.Resistance) + " copper and chassis + " + mOhm(p.Feed.Connectors) + " connectors"},
		{Name: "other loads", Value: short(p.Feed.AccessoryLoad, 4) + " A"},
	}
	for i := range p.Locks {
		l := &p.Locks[i]
		list = append(list, fact{Name: "lock, " + model.Side(i).String(), Value: mm(l.Stroke) + " stroke, clear of the curtain for " + mm(l.Clear) + ", " + short(l.StallForce, 4) + " N and " + short(l.StallAmps, 3) + " A stalled"})
	}
	return list
}

// ambientText is where the truck stands.
func ambientText(a model.Ambient) string {
	text := strings.Replace(short(a.Temperature, 4), "-", "−", 1) + " °C"
	if a.Sunlight > 0 {
		text += ", " + short(a.Sunlight/1000, 4) + " klx of sunlight"
	}
	if a.Grade != 0 {
		text += ", on a grade of " + strings.Replace(short(100*a.Grade, 3), "-", "−", 1) + " %"
	} else {
		text += ", on the level"
	}
	return text
}

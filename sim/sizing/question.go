package sizing

import (
	"math"

	"slatbench/model"
)

// Question is one door with all that feeds it, and where the truck stands. What the
// ranges at the fields exclude, Check refuses.
type Question struct {
	Title string
	// Bay is the door. Where Springs are given, the rate of its counterbalance is
	// theirs.
	Bay     model.BayParams
	Springs []Spring // on the shaft together; none where only a rate is known
	Shaft   Shaft

	Battery model.BatteryParams
	Charge  float64 // 0 to 1, when the door is asked to move
	Feed    Harness // battery to the node that bays share
	Branch  Harness // from there to this door's controller
	Loads   float64 // A, everything else on the battery; negative while it is charged

	Ambient model.Ambient
	Use     Use
	Limits  Limits

	RateFactor     float64 // of the springs as made: 1 as calculated or stated
	FrictionFactor float64 // of dry and viscous friction in the track: 1 as stated
}

// Shaft carries the springs. What is 0 is not known, and not judged.
type Shaft struct {
	Diameter float64 // m
	Length   float64 // m between the bearing plates, less what the drums take
}

// Harness is one stretch of wiring, there and back.
type Harness struct {
	Wired      bool    // by gauge and length; else Ohms
	Gauge      int     // AWG, −3 (4/0) to 40
	Copper     float64 // m of wire in the loop: twice the length each way, unless the chassis is the way back
	Ohms       float64 // Ω at 20 °C, instead of gauge and length
	Return     float64 // Ω of the way back through the chassis
	Connectors float64 // Ω of all connectors together
}

// copperOhms is what grows with temperature, Ω at 20 °C. As in the model, the
// chassis counts with the copper.
func (h *Harness) copperOhms() float64 {
	ohms := h.Ohms
	if h.Wired {
		perMetre, err := model.AWGOhmPerMetre(h.Gauge, 20)
		if err != nil {
			panic("sizing: a checked wire gauge was refused: " + err.Error())
		}
		ohms = perMetre * h.Copper
	}
	return ohms + h.Return
}

// Ohms at a temperature in °C, connectors and all.
func (h *Harness) ohmsAt(temperature float64) float64 {
	return float64(h.copperOhms()*model.CopperFactor(temperature, 20)) + h.Connectors
}

// Use is what the door has to do.
type Use struct {
	CyclesAnHour  float64 // opened and closed, 0 to 120
	CyclesACharge float64 // before the battery is charged again, 0 to 10000
	Life          float64 // cycles that the springs should last, 0 to 10 million
}

// DefaultUse is a busy day of deliveries. Invented, but for the life: door springs
// are sold as good for 10 000 cycles (trade rule).
func DefaultUse() Use { return Use{CyclesAnHour: 12, CyclesACharge: 60, Life: 10_000} }

// Rate is the torque per turn of all springs together, N·m.
func (q *Question) Rate() float64 {
	if len(q.Springs) == 0 {
		return q.Bay.Counterbalance.Rate * q.RateFactor
	}
	sum := 0.0
	for i := range q.Springs {
		sum += q.Springs[i].RatePerTurn()
	}
	return sum * q.RateFactor
}

// door is the bay with the springs' rate and the friction factor worked in.
func (q *Question) door() model.BayParams {
	p := q.Bay
	p.Counterbalance.Rate = q.Rate()
	p.Friction.Running *= q.FrictionFactor
	p.Friction.Breakaway *= q.FrictionFactor
	p.Friction.Viscous *= q.FrictionFactor
	p.Branch.Resistance, p.Branch.Connectors = q.Branch.copperOhms(), q.Branch.Connectors
	return p
}

// truck is the least of a truck that the door can be simulated on.
func (q *Question) truck() model.TruckParams {
	t := model.DefaultTruck() // locks and remote, which nothing here uses
	t.Battery = q.Battery
	t.Feed = model.FeedParams{Resistance: q.Feed.copperOhms(), Connectors: q.Feed.Connectors, AccessoryLoad: q.Loads}
	t.Bays = []model.BayParams{q.door()}
	t.Ambient = q.Ambient
	return t
}

// clone is a copy that shares nothing that setters change.
func (q *Question) clone() *Question {
	c := *q
	c.Springs = append([]Spring(nil), q.Springs...)
	return &c
}

// FromTruck is the question about one bay of a truck that is as it was built, with
// a full battery: its feed and branch are known by their resistance only, and the
// controllers of the other bays count among the loads.
func FromTruck(t *model.TruckParams, bay int) *Question {
	q := &Question{
		Title: t.Bays[bay].Name, Bay: t.Bays[bay], Battery: t.Battery, Charge: 1, Loads: t.Feed.AccessoryLoad,
		Feed:    Harness{Ohms: t.Feed.Resistance, Connectors: t.Feed.Connectors},
		Branch:  Harness{Ohms: t.Bays[bay].Branch.Resistance, Connectors: t.Bays[bay].Branch.Connectors},
		Ambient: t.Ambient, Use: DefaultUse(), Limits: DefaultLimits(), RateFactor: 1, FrictionFactor: 1,
	}
	for i := range t.Bays {
		if i != bay {
			q.Loads += t.Bays[i].Branch.Load
		}
	}
	return q
}

// finite tells that a figure is one.
func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

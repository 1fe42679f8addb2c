package sizing

import (
	"fmt"
	"math"
	"strings"

	"slatbench/model"
)

// Problem is something that cannot be: which value, and which rule it breaks.
type Problem struct {
	Path []any // keys of a size file that lead to it; numbers count items of lists from 0
	Text string
	Hint string
}

func (p *Problem) Error() string {
	field := ""
	for _, step := range p.Path {
		switch step := step.(type) {
		case string:
			if field != "" {
				field += ", "
			}
			field += step
		case int:
			field += fmt.Sprintf(" %d", step+1)
		}
	}
	return field + ": " + p.Text
}

// The bounds of what can be wound: the spring index D/d (common practice: below 4
// the wire cracks in coiling, above 16 the coil does not keep its shape), and wire
// for which strengths are published.
const (
	leastIndex, mostIndex = 4.0, 16.0
	thinnest, thickest    = 0.0005, 0.013 // m
	thickestMusic         = 0.0065        // m, from memory
	leastCoils            = 3.0           // working coils; with fewer the ends are all there is
)

// checker collects problems.
type checker struct{ list []*Problem }

func (c *checker) add(hint, text string, path ...any) {
	c.list = append(c.list, &Problem{path, text, hint})
}

// within refuses a value that is no number, or out of its range, which is told in
// the unit that scale makes of SI.
func (c *checker) within(x, low, high, scale float64, unit string, path ...any) bool {
	if x >= low && x <= high {
		return true
	}
	c.add("", fmt.Sprintf("%.4g %s, expected %.4g to %.4g %s", x*scale, unit, low*scale, high*scale, unit), path...)
	return false
}

// Check returns all that makes a question one that has no answer: impossible
// geometry, springs that cannot be wound or turned, parts that cannot exist. An
// empty list means that every figure of an answer means something.
func Check(q *Question) []*Problem {
	c := &checker{}
	c.door(q)
	c.supply(q)
	c.place(q)
	if c.within(q.Bay.Counterbalance.InitialTurns, 0, mostTurns, 1, "turns", "springs", "initial turns") {
		c.springs(q)
	}
	return c.list
}

func (c *checker) door(q *Question) {
	b := &q.Bay
	fine := c.within(b.Track.Opening, 0.2, 10, 1, "m", "door", "height")
	fine = c.within(b.Curtain.Mass, 1, 500, 1, "kg", "door", "mass") && fine
	fine = c.within(b.Curtain.Length, 0.2, 10, 1, "m", "door", "length") && fine
	fine = c.within(b.Track.Vertical, 0, 10, 1, "m", "door", "vertical") && fine
	fine = c.within(b.Track.Bend, 0.01, 2, 1000, "mm", "door", "bend") && fine
	fine = c.within(b.Counterbalance.DrumRadius, 0.01, 0.5, 1000, "mm", "door", "drum radius") && fine
	c.within(b.Friction.Running*q.FrictionFactor, 0, 5000, 1, "N", "friction", "running")
	c.within(b.Friction.Viscous*q.FrictionFactor, 0, 10000, 1, "N·s/m", "friction", "viscous")
	c.within(b.ClosingSpring.Preload, 0, 1000, 1, "N", "closing spring", "preload")
	c.within(b.ClosingSpring.Rate, 0, 1000, 1, "N/m", "closing spring", "rate")
	if !(b.Friction.Breakaway >= b.Friction.Running) {
		c.add("", fmt.Sprintf("%.4g N, expected no less than running friction, %.4g N", b.Friction.Breakaway, b.Friction.Running), "friction", "breakaway")
	}
	c.drive(&b.Drive)
	if !fine {
		return
	}
	if b.Track.Vertical > b.Track.Opening {
		c.add("lower where the bend begins, or raise the height", fmt.Sprintf("the bend begins at %.3f m, above the opening of %.3f m, expected at or below it", b.Track.Vertical, b.Track.Opening), "door", "vertical")
	}
	if b.Track.Bend > b.Track.Opening {
		c.add("", fmt.Sprintf("a bend of %.0f mm radius is larger than the opening of %.3f m, expected smaller", 1000*b.Track.Bend, b.Track.Opening), "door", "bend")
	}
	stiff := math.Max(b.Counterbalance.CableStiffness, math.Max(b.Stops.FloorStiffness, b.Seal.HardStiffness))
	if math.Sqrt(stiff/b.Curtain.Mass)*model.DefaultStep > 0.5 {
		c.add("a heavier curtain, or a softer cable, floor or seal", "so light a curtain on so stiff a part swings faster than the time step can follow", "door", "mass")
	}
}

func (c *checker) drive(d *model.DriveParams) {
	c.within(d.MotorConstant, 1e-3, 1, 1, "V·s/rad", "drive", "motor constant")
	c.within(d.Resistance, 0.01, 100, 1, "Ω", "drive", "resistance")
	c.within(d.Ratio, 1, 2000, 1, "turns a turn", "drive", "ratio")
	c.within(d.Efficiency, 0.2, 1, 100, "%", "drive", "efficiency")
	c.within(d.DryFriction, 0, 5, 1, "N·m", "drive", "friction")
	c.within(d.Inertia, 1e-7, 0.1, 1, "kg·m²", "drive", "inertia")
	c.within(d.ThermalRes, 0.01, 100, 1, "K/W", "drive", "thermal resistance")
	c.within(d.ThermalCap, 1, 1e5, 1, "J/K", "drive", "heat capacity")
}

func (c *checker) supply(q *Question) {
	if err := q.Battery.Validate(); err != nil {
		c.add("", strings.TrimPrefix(err.Error(), "battery parameters: "), "battery")
	}
	c.within(q.Charge, 0, 1, 100, "%", "battery", "charge")
	c.within(q.Loads, -200, 200, 1, "A", "harness", "accessories")
	c.harness(&q.Feed, "harness")
	c.harness(&q.Branch, "branch")
}

func (c *checker) harness(h *Harness, key string) {
	if h.Wired {
		if _, err := model.AWGArea(h.Gauge); err != nil {
			c.add("", err.Error(), key, "wire")
		}
	}
	c.within(h.Copper, 0, 200, 1, "m", key, "length")
	c.within(h.Ohms, 0, 10, 1, "Ω", key, "resistance")
	c.within(h.Return, 0, 10, 1, "Ω", key, "return")
	c.within(h.Connectors, 0, 10, 1, "Ω", key, "connectors")
}

func (c *checker) place(q *Question) {
	c.within(q.Ambient.Temperature, -40, 60, 1, "°C", "place", "temperature")
	c.within(q.Ambient.Grade, -0.2, 0.2, 100, "%", "place", "grade")
	c.within(q.Limits.Grade, 0, 0.2, 100, "%", "limits", "grade")
	c.within(q.Limits.ChargeFloor, 0, 1, 100, "%", "limits", "charge floor")
	c.within(q.Use.CyclesAnHour, 0, 120, 1, "cycles", "use", "cycles an hour")
	c.within(q.Use.CyclesACharge, 0, 1e4, 1, "cycles", "use", "cycles a charge")
	c.within(q.Use.Life, 0, 1e7, 1, "cycles", "use", "life")
	c.within(q.RateFactor, 0.1, 10, 1, "times", "springs")
	c.within(q.FrictionFactor, 0, 50, 1, "times", "friction")
}

func (c *checker) springs(q *Question) {
	if len(q.Springs) == 0 {
		c.within(q.Bay.Counterbalance.Rate, 1e-3, 500, 1, "N·m/turn", "springs", "rate")
		return
	}
	sound := true
	for i := range q.Springs {
		sound = c.spring(&q.Springs[i], i) && sound
	}
	if sound {
		c.shaft(q)
	}
}

// spring refuses what cannot be wound from wire.
func (c *checker) spring(s *Spring, i int) (sound bool) {
	w, before := &s.Wire, len(c.list)
	at := func(key string) []any { return []any{"springs", "list", i, key} }
	if !c.within(w.Wire, thinnest, thickest, 1000, "mm", at("wire")...) {
		return false
	}
	if s.Steel == model.MusicWire {
		c.within(w.Wire, thinnest, thickestMusic, 1000, "mm of music wire", at("wire")...)
	}
	if _, err := model.YieldShare(s.Steel); err != nil {
		c.add("", err.Error(), at("steel")...)
	}
	if err := w.Validate(); err != nil {
		c.add("", err.Error(), "springs", "list", i)
		return false
	}
	if index := w.Index(); index < leastIndex || index > mostIndex {
		c.add(fmt.Sprintf("wire of %.2f mm is wound to inside diameters of %.1f to %.1f mm", 1000*w.Wire, 1000*w.Wire*(leastIndex-1), 1000*w.Wire*(mostIndex-1)),
			fmt.Sprintf("coil index %.2f (mean diameter %.2f mm over wire %.2f mm), expected %g to %g", index, 1000*w.MeanDia, 1000*w.Wire, leastIndex, mostIndex), at("inside")...)
	}
	if w.ActiveCoils() < leastCoils {
		c.add("", fmt.Sprintf("%.1f working coils, expected %g or more", w.ActiveCoils(), leastCoils), at("coils")...)
	}
	if close := w.Coils * w.Wire; s.Body > 0 && s.Body < close*(1-1e-6) {
		c.add("", fmt.Sprintf("%.0f mm is shorter than %.1f coils of %.2f mm wire wound close, %.0f mm", 1000*s.Body, w.Coils, 1000*w.Wire, 1000*close), at("length")...)
	}
	if s.Measured < 0 || math.IsNaN(s.Measured) || s.Measured > 500 {
		c.within(s.Measured, 0, 500, 1, "N·m/turn", at("rate")...)
	}
	return len(c.list) == before
}

// shaft refuses springs that do not go on the shaft, or bind on it when wound.
func (c *checker) shaft(q *Question) {
	c.within(q.Shaft.Diameter, 0, 0.2, 1000, "mm", "springs", "shaft", "diameter")
	c.within(q.Shaft.Length, 0, 20, 1, "m", "springs", "shaft", "length")
	n := q.Bay.Counterbalance.InitialTurns
	free, wound := 0.0, 0.0
	for i := range q.Springs {
		s := &q.Springs[i]
		free, wound = free+s.Length(), wound+s.WoundLength(n)
		if q.Shaft.Diameter == 0 {
			continue
		}
		if s.Wire.InnerDia() <= q.Shaft.Diameter {
			c.add("", fmt.Sprintf("inside diameter %.2f mm does not go over the shaft of %.2f mm", 1000*s.Wire.InnerDia(), 1000*q.Shaft.Diameter), "springs", "list", i, "inside")
		} else if left := s.Wire.PinClearance(n, q.Shaft.Diameter); left <= 0 {
			c.add("fewer turns, a thinner shaft, or a wider spring", fmt.Sprintf("with %.4g turns the coil tightens by %.2f mm to %.2f mm inside and binds on the shaft of %.2f mm",
				n, 1000*(s.Wire.MeanDia-s.Wire.LoadedMeanDia(n)), 1000*(left+q.Shaft.Diameter), 1000*q.Shaft.Diameter), "springs", "list", i, "inside")
		}
	}
	switch {
	case q.Shaft.Length == 0:
	case free > q.Shaft.Length:
		c.add("", fmt.Sprintf("the free coils are %.0f mm long together, and the shaft has %.0f mm", 1000*free, 1000*q.Shaft.Length), "springs", "shaft", "length")
	case wound > q.Shaft.Length:
		c.add("fewer turns, or a shorter spring of the same rate", fmt.Sprintf("with %.4g turns the coils grow by one wire a turn to %.0f mm and bind at full wind: the shaft has %.0f mm", n, 1000*wound, 1000*q.Shaft.Length), "springs", "shaft", "length")
	}
}

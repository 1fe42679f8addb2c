package sizing

import (
	"math"

	"slatbench/model"
)

// pieces is how many equal parts the travel is cut into for quadrature: even, for
// Simpson's rule. Halving them must move no time by more than a thousandth; a test
// says so.
const pieces = 96

// rig is a Question made ready for calculation: everything that does not depend on
// the initial turns is folded once.
//
// Symbols: y height, r drum radius, T spring torque, F cable force, h hanging pull
// (gravity and closing spring), k rate per turn, n initial turns, λ = 1/η − 1.
type rig struct {
	p     model.BayParams
	hang  model.Hang
	air   float64 // °C
	r     float64 // m
	k     float64 // N·m per turn
	kc    float64 // N/m
	turns float64 // as asked

	running, breakaway float64 // N
	viscous            float64 // N·s/m at the temperature
	lambda             float64
	dry                float64 // N·m at the shaft, engaged, while it turns
	grip, gripFree     float64 // N·m that a standing shaft bears: engaged, released

	// The motor's line at the shaft: torque = N·K·(e0 − N·K·ω)/(rt + ra).
	e0 float64 // V that the controller would see with the motor off
	rt float64 // Ω from the battery's open-circuit voltage to the controller
	ra float64 // Ω of the winding, at the air's temperature
	nk float64 // N·m/A at the shaft

	step    float64 // m between heights
	heights [pieces + 1]float64
	pull    [pieces + 1]float64 // h, N
	unwound [pieces + 1]float64 // N·m that the spring has lost there
}

func newRig(q *Question) *rig {
	p := q.door()
	d, cb := &p.Drive, &p.Counterbalance
	g := &rig{
		p: p, hang: model.NewHang(&p, q.Ambient.Grade), air: q.Ambient.Temperature,
		r: cb.DrumRadius, k: cb.Rate, kc: cb.CableStiffness, turns: cb.InitialTurns,
		running: p.Friction.Running, breakaway: p.Friction.Breakaway,
		viscous: p.Friction.Viscous * model.GreaseFactor(q.Ambient.Temperature),
		lambda:  1/d.Efficiency - 1, nk: d.Ratio * d.MotorConstant,
		dry: cb.ShaftFriction + float64(d.Ratio*d.DryFriction), gripFree: cb.ShaftFriction,
		ra: d.Resistance * model.CopperFactor(q.Ambient.Temperature, 20),
	}
	g.grip = math.Inf(1)
	if b := model.BackDriveEfficiency(d.Efficiency); b > 0 {
		g.grip = g.dry / b
	}
	g.wire(q)
	g.step = p.Track.Opening / pieces
	for i := range g.heights {
		y := p.Track.Opening * float64(i) / pieces
		g.heights[i] = y
		g.pull[i] = g.hang.Gravity(y) + g.hang.Closing(y)
		g.unwound[i] = g.lost(y, g.pull[i])
	}
	return g
}

// wire takes up battery and harness. At the node that bays share everything else
// takes its current; the controller takes its own behind the branch.
func (g *rig) wire(q *Question) {
	b := model.NewBattery(q.Battery, q.Ambient.Temperature)
	b.SetCharge(q.Charge)
	source, branch := b.R+q.Feed.ohmsAt(q.Ambient.Temperature), q.Branch.ohmsAt(q.Ambient.Temperature)
	own := q.Bay.Branch.Load
	g.rt = source + branch
	g.e0 = math.Max(0, b.OCV-float64(source*(q.Loads+own))-float64(branch*own))
}

// lost is the torque, N·m, that the spring gives less at height y than at the start
// of the shaft's angle, with the cable stretched by the force in it.
func (g *rig) lost(y, force float64) float64 {
	return g.k / (2 * math.Pi) * (y + math.Max(0, force)/g.kc) / g.r
}

// torque of the spring at height i with n initial turns, N·m.
func (g *rig) torque(i int, n float64) float64 {
	return math.Max(0, float64(g.k*n)-g.unwound[i])
}

// turnsOfTravel is how far the shaft turns from closed to open.
func (g *rig) turnsOfTravel() float64 { return g.p.Track.Opening / (2 * math.Pi * g.r) }

// simpson integrates samples at equal distance, an even number of them apart, by
// Simpson's rule: h/3·(f₀ + 4f₁ + 2f₂ + … + f_n).
func simpson(f []float64, h float64) float64 {
	last := len(f) - 1
	sum := f[0] + f[last]
	for i := 1; i < last; i++ {
		weight := 4.0
		if i%2 == 0 {
			weight = 2
		}
		sum += float64(weight * f[i])
	}
	return sum * h / 3
}

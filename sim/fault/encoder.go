package fault

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
)

// encoderKinds: the draw-wire encoder and its wire.
var encoderKinds = []Kind{
	{
		Name: "missed-pulses", Place: OnBay,
		Doc:     "the magnet gap is too wide over part of a turn: fast pulses are lost there",
		Changes: "pulses of a turn that are lost above a speed; of two, the greater number and the lower speed count",
		Params: []Param{
			{Name: "pulses", Unit: "pulses", Default: 1, Min: 1, Max: 20, Mild: 1, Severe: 8, Doc: "pulses of each turn of the reel that are lost"},
			{Name: "above", Unit: "speed", Default: 0.38, Min: 0, Max: 2, Doc: "speed of the wire above which they are lost"},
		},
		change: onBay(widenGap),
	},
	{
		Name: "extra-pulses", Place: OnBay,
		Doc:     "a noisy motor or a chafed screen adds pulses on the encoder wire",
		Changes: "pulses added while the motor is energised; rates add up",
		Params: []Param{
			{Name: "rate", Unit: "pulse rate", Default: 2, Min: 0.01, Max: 500, Mild: 0.1, Severe: 50, Doc: "pulses added"},
		},
		change: onWires(func(w *sim.BayWires, v Values) { w.NoiseRate += v[0] }),
	},
	{
		Name: "slipping-reel", Place: OnBay,
		Doc:     "the magnet wheel slips on the reel's shaft",
		Changes: "share of the wire's movement that yields no pulses; what is left multiplies",
		Params: []Param{
			{Name: "slip", Unit: "ratio", Default: 0.05, Min: 0, Max: 1, Mild: 0.005, Severe: 0.5, Doc: "share of the movement that is lost"},
		},
		change: onBay(func(c *model.Condition, v Values) { c.Slip += v[0] - float64(c.Slip*v[0]) }),
	},
	{
		Name: "stuck-reel", Place: OnBay,
		Doc:     "the reel's rewind spring is weak or dirty: opening, the wire hangs slack and the count stands",
		Changes: "speed at which the reel takes up wire; shares multiply",
		Params: []Param{
			{Name: "rewind", Unit: "ratio", Default: 0, Min: 0, Max: 1, Mild: 0.4, Severe: 0, Doc: "share of the rewind speed that is left; 0 is stuck"},
		},
		change: onBay(func(c *model.Condition, v Values) { c.RewindFactor *= v[0] }),
	},
	{
		Name: "exchanged-encoder", Place: OnBay,
		Doc:     "the encoder was exchanged for one with other pulses a metre, and the door not retrained",
		Changes: "pulses a metre; of two, the later counts",
		Params: []Param{
			{Name: "resolution", Unit: "pulses per length", Default: 250, Min: 50, Max: 800, Mild: 210, Severe: 400, Doc: "of the encoder now fitted"},
		},
		change: func(b *sim.Bench, p *sim.Parts, place int, v Values) {
			p.Bays[place].PulseScale = v[0] / b.Setup().Truck.Bays[place].Encoder.PulsesPerMetre
		},
	},
}

func widenGap(c *model.Condition, v Values) {
	if c.GapPulses > 0 {
		c.GapPulses, c.GapSpeed = max(c.GapPulses, int(v[0])), math.Min(c.GapSpeed, v[1])
		return
	}
	c.GapPulses, c.GapSpeed = int(v[0]), v[1]
}

package require_test

import (
	"math"
	"testing"

	"slatbench/model"
	"slatbench/sim"
)

// What one channel miscounts where a curtain runs out and turns: once the drive is cut the
// curtain goes on, and comes back by what cable and counterbalance give. That is less than a pulse, so one
// edge at the most is crossed a second time, and it counts twice the wrong way; and a sum of whole
// pulses stands up to one from the height. Together 3, of the 3.5 that a count may be off.
func TestMiscountWhereACurtainTurns(t *testing.T) {
	most, far := 0.0, 0.0
	for _, dir := range []func(*sim.Outputs){up, down} {
		for n := range 160 {
			from, to := 0.6, 1.6+float64(n%8)*0.010
			s := story{height: []float64{0.9, 1.4, 0.5}[n%3], seconds: 4, actions: []sim.Action{press(0.5), press(to - 0.02)}, door: driving(from, to, dir, 0, 0),
				truck: func(p *model.TruckParams) {
					b := &p.Bays[0]
					k := n / 8 // 20 trucks
					p.Ambient.Temperature = []float64{-20, 0, 20, 45}[k%4]
					p.Ambient.Grade = []float64{-0.05, 0.05}[k/4%2]
					b.Friction.Running, b.Friction.Breakaway = b.Friction.Running*(0.7+0.1*float64(k%5)), b.Friction.Breakaway*(0.7+0.1*float64(k%5))
					b.Counterbalance.InitialTurns *= []float64{0.97, 1.03}[k/2%2]
				}}
			r := s.rig(t)
			bay := &r.Truck.Bays[0]
			begun, sum, back, peak := bay.Height, 0.0, 0.0, bay.Height
			sign := 1.0
			for r.Now < 4000 {
				r.Advance()
				in := r.Inputs(0)
				if bay.Energised < 0 {
					sign = -1
				}
				sum += sign * float64(in.Pulses)
				if sign*(bay.Height-peak) > 0 {
					peak = bay.Height
				}
				back = math.Max(back, sign*(peak-bay.Height))
			}
			pulses := bay.Params.Encoder.PulsesPerMetre
			if off := math.Abs(sum - (bay.Height-begun)*pulses); off > 3 {
				t.Errorf("cut at %.2f s: miscounted by %.2f pulses", to, off)
			} else {
				most = math.Max(most, off)
			}
			far = math.Max(far, back)
			if back > 1/pulses {
				t.Errorf("cut at %.2f s: came back by %.1f mm", to, back*1000)
			}
		}
	}
	if most < 1.5 {
		t.Errorf("never miscounted by more than %.2f pulses: no turn was tried", most)
	}
	t.Logf("by %.2f pulses at the most; back by %.2f mm", most, far*1000)
}

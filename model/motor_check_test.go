package model

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func motorChecks() []check {
	const (
		mit  = "MIT motor notes (course page)"
		exam = "textbook problem (answers computed)"
	)
	perKrpm := 1 / (1000 * RevPerMinute)
	const ounceInch = PoundForceInch / 16
	var out []check
	for _, r := range [...]struct {
		id                                 string
		rpm, stall, half, halfTorque, peak float64
	}{
		{"M1", 600, 0.325, 300, 0.1625, 5.105},
		{"M2", 3750, 0.0722, 1875, 0.0361, 7.088},
		{"M3", 92, 1.6, 46, 0.80, 3.854},
	} {
		m := MotorFromCurve(12, r.rpm*RevPerMinute, r.stall)
		p := m.AtTorque(12, r.halfTorque)
		out = append(out,
			check{r.id + "a", "speed at half the stall torque, rpm", "no-load speed and stall torque", mit, confirmed, r.half, p.Speed / RevPerMinute, tight},
			check{r.id + "b", "torque at that speed, N·m", "", mit, confirmed, r.halfTorque, m.AtSpeed(12, r.half*RevPerMinute).Torque, tight},
			check{r.id + "c", "greatest power, W", "", mit, computed, r.peak, m.PeakPower(12), 1e-4},
			check{r.id + "d", "shaft power there, W", "", mit, computed, r.peak, p.Shaft, 1e-4},
		)
	}
	m5 := Motor{TorqueConstant: 12 * perKrpm, VoltageConstant: 12 * perKrpm, Resistance: 1.5}
	loaded := m5.AtTorque(10, 0.6)
	m8 := MotorFromCurve(12, 3800*RevPerMinute, 0.030)
	p8 := m8.AtSpeed(12, 2500*RevPerMinute)
	return append(out, []check{
		{"M4a", "constant of 1 V/krpm, V·s/rad", "", "unit identity", computed, 9.54930e-3, perKrpm, tight},
		{"M4b", "the same, oz·in/A", "", "unit identity", computed, 1.35229, perKrpm / ounceInch, tight},
		{"M5a", "no-load speed, rpm", "12 V/krpm, 1.5 Ω, 10 V", exam, confirmed, 833.33, m5.NoLoadSpeed(10) / RevPerMinute, tight},
		{"M5b", "no-load speed, rad/s", "as M5a", exam, confirmed, 87.266, m5.NoLoadSpeed(10), 2 * tight},
		{"M5c", "stall current, A", "as M5a", exam, confirmed, 6.6667, m5.StallCurrent(10), 2 * tight},
		{"M5d", "constant, V·s/rad", "as M5a", exam, computed, 0.114592, m5.VoltageConstant, tight},
		{"M5e", "greatest power, W", "V²/4R", exam, computed, 16.667, m5.PeakPower(10), 3e-5},
		{"M6", "stall torque, N·m", "Kt = Ke, not the 0.12 N·m/A stated", exam, computed, 0.764, m5.StallTorque(10), 1e-3},
		{"M7a", "current, A", "as M5a, 0.6 N·m", exam, computed, 5.2360, loaded.Current, tight},
		{"M7b", "speed, rpm", "as M5a, 0.6 N·m", exam, computed, 178.83, loaded.Speed / RevPerMinute, 3e-5},
		{"M8a", "constant, V·s/rad", "12 V, no load 3800 rpm, stall 30 mN·m", exam, computed, 0.0301557, m8.VoltageConstant, tight},
		{"M8b", "resistance, Ω", "as M8a", exam, computed, 12.0623, m8.Resistance, tight},
		{"M8c", "torque, N·m", "as M8a, 2500 rpm", exam, computed, 10.263e-3, p8.Torque, 2e-5},
		{"M8d", "current, A", "as M8c", exam, computed, 0.34034, p8.Current, 2e-5},
		{"M8e", "back voltage, V", "as M8c", exam, computed, 7.8947, p8.BackEMF, 1e-5},
		{"M8f", "input, W", "as M8c", exam, computed, 4.0841, p8.Input, 2e-5},
		{"M8g", "shaft power, W", "as M8c", exam, computed, 2.6869, p8.Shaft, 2e-5},
		{"M8h", "copper loss, W", "as M8c", exam, computed, 1.3972, p8.Copper, 3e-5},
	}...)
}

func TestMotorRefusesUnequalConstants(t *testing.T) {
	// M6: the textbook problem states Ke = 12 V/krpm and Kt = 0.12 N·m/A.
	ke := 12 / (1000 * RevPerMinute)
	if err := (Motor{0.12, ke, 1.5, 0}).Validate(); !errors.Is(err, ErrMotorConstants) {
		t.Errorf("Kt = 0.12 and Ke = %v give error %v, want ErrMotorConstants", ke, err)
	}
	for _, m := range []Motor{{0, 0, 1, 0}, {-1, -1, 1, 0}, {1, 1, 0, 0}, {1, 1, 1, -1}, {math.NaN(), 1, 1, 0}, {1, 1, math.Inf(1), 0}, {1, 1, 1, math.NaN()}} {
		if m.Validate() == nil {
			t.Errorf("%+v is taken, want an error", m)
		}
	}
	// A constant printed to four figures is no error.
	if err := (Motor{0.1146, ke, 1.5, 0.01}).Validate(); err != nil {
		t.Errorf("a rounded constant gives error %v, want none", err)
	}
}

func TestMotorMakesNoEnergy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(0.005, 0.2).Draw(t, "constant")
		m := Motor{k, k, rapid.Float64Range(0.1, 5).Draw(t, "ohm"), rapid.Float64Range(0, 0.05).Draw(t, "friction")}
		volts := rapid.Float64Range(0.1, 30).Draw(t, "volts")
		load := rapid.Float64Range(0, 3).Draw(t, "load")
		p := m.AtTorque(volts, load)
		if p.Speed < 0 || p.Torque < -1e-12 || p.Torque > load+1e-12 && p.Speed > 0 {
			t.Fatalf("%+v at %v V under %v N·m: %+v", m, volts, load, p)
		}
		if d := p.Input - p.Shaft - p.Copper - p.Friction; math.Abs(d) > 1e-9*math.Max(1, p.Input) {
			t.Fatalf("powers leave %v W unaccounted: %+v", d, p)
		}
		if s := m.AtSpeed(volts, p.Speed); p.Speed > 0 && math.Abs(s.Torque-load) > 1e-9*math.Max(1, m.StallTorque(volts)) {
			t.Fatalf("at %v rad/s the torque is %v, want the load of %v again", p.Speed, s.Torque, load)
		}
	})
}

func TestMotorHeldByFriction(t *testing.T) {
	m := Motor{0.03, 0.03, 0.6, 0.02} // 0.4 V before it turns
	if m.StallTorque(0.2) != 0 || m.NoLoadSpeed(0.2) != 0 {
		t.Errorf("at 0.2 V: stall torque %v, no-load speed %v, want 0: friction holds it", m.StallTorque(0.2), m.NoLoadSpeed(0.2))
	}
	if w := m.NoLoadSpeed(0.5); !(w > 0) {
		t.Errorf("at 0.5 V the no-load speed is %v, want above 0", w)
	}
}

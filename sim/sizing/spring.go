package sizing

import (
	"math"

	"slatbench/model"
)

// Spring is one torsion spring on the shaft.
type Spring struct {
	Name  string
	Wire  model.SpringWire
	Steel model.SpringSteel
	// Measured is the rate, N·m per turn, where it was measured; 0 takes that of
	// the wire.
	Measured float64
	// Body is the length of the free coil, m; 0 for one that is wound close, coils
	// times wire.
	Body float64
	// Cost in whatever the list is in; NaN where none is given.
	Cost float64
}

// Convention is how rate tables reckon: see model.SpringWire.
type Convention int

// The two in print. They differ by about a tenth.
const (
	Textbook Convention = iota // every coil winds, 10.8 (Norton), the modulus of the steel
	RateBook                   // five dead coils, 64/(2π), 30 million psi (inferred from one published pair)
)

func (c Convention) String() string {
	if c == RateBook {
		return "rate book"
	}
	return "textbook"
}

// Wind completes a wire by a convention. modulus, Pa, and dead, coils, take the
// place of the convention's where they are not NaN. The steel's modulus is known
// for wire above 3.175 mm (0.125 in) only: else the error says so.
func (c Convention) Wind(wire, meanDia, coils float64, steel model.SpringSteel, modulus, dead float64) (model.SpringWire, error) {
	w := model.SpringWire{Wire: wire, MeanDia: meanDia, Coils: coils, E: modulus, DeadCoils: dead, RateConstant: model.EmpiricalRateConstant}
	if c == RateBook {
		w.RateConstant = model.TheoreticalRateConstant
	}
	if math.IsNaN(dead) {
		w.DeadCoils = 0
		if c == RateBook {
			w.DeadCoils = 5
		}
	}
	if math.IsNaN(modulus) {
		w.E = 30e6 * model.Psi
		if c == Textbook {
			var err error
			if w.E, err = model.SpringModulus(steel, wire); err != nil {
				return w, err
			}
		}
	}
	return w, nil
}

// RatePerTurn is the torque per turn, N·m.
func (s *Spring) RatePerTurn() float64 {
	if s.Measured > 0 {
		return s.Measured
	}
	return s.Wire.Rate()
}

// Length of the free coil, m.
func (s *Spring) Length() float64 {
	if s.Body > 0 {
		return s.Body
	}
	return float64(s.Wire.Coils * s.Wire.Wire)
}

// WoundLength is that of the coil with so many turns wound on, m.
func (s *Spring) WoundLength(turns float64) float64 {
	return float64(s.Length()) + float64(s.Wire.Growth(turns))
}

// Strength is the least tensile strength of its wire, Pa (Shigley's set).
func (s *Spring) Strength() float64 {
	sut, err := model.TensileStrength(model.StrengthShigley, s.Steel, s.Wire.Wire)
	if err != nil {
		panic("sizing: a checked spring was refused: " + err.Error())
	}
	return sut
}

// Allowable is the bending stress at which the wire begins to set, Pa: the yield
// strength, a share of the tensile strength (Shigley).
func (s *Spring) Allowable() float64 {
	share, err := model.YieldShare(s.Steel)
	if err != nil {
		panic("sizing: a checked spring was refused: " + err.Error())
	}
	return float64(share * s.Strength())
}

// SpringFigures is how hard one spring works in a door.
type SpringFigures struct {
	Name                     string
	Rate                     float64 // N·m per turn
	Torque                   float64 // N·m at closed
	Stress, StressOpen       float64 // Pa at the inside of the coil, closed and open
	Strength, Allowable      float64 // Pa
	Index                    float64
	Length, WoundLength      float64 // m
	InnerDia, WoundInnerDia  float64 // m
	Life, LifeLow, LifeHigh  float64 // cycles to failure; 0 above the tensile strength, +Inf below any damage
	OtherConvention          Convention
	RateByOtherConvention    float64 // N·m per turn; NaN where the rate was measured, or the steel's modulus is not known
	Weight, Energy, WireLong float64 // kg of wire, J stored at closed, m of wire
}

// steelDensity, kg/m³, of carbon spring steel (common engineering figure).
const steelDensity = 7850

// Figures of a spring that is wound n turns at closed and open turns at open.
func (s *Spring) Figures(n, open, factor float64) SpringFigures {
	rate := s.RatePerTurn() * factor
	f := SpringFigures{
		Name: s.Name, Rate: rate, Torque: rate * n,
		Stress: s.Wire.Stress(rate * n), StressOpen: s.Wire.Stress(rate * math.Max(0, open)),
		Strength: s.Strength(), Allowable: s.Allowable(), Index: s.Wire.Index(),
		Length: s.Length(), WoundLength: s.WoundLength(n),
		InnerDia: s.Wire.InnerDia(), WoundInnerDia: s.Wire.LoadedMeanDia(n) - s.Wire.Wire,
		Energy: math.Pi * rate * n * n, WireLong: math.Pi * s.Wire.MeanDia * s.Wire.Coils,
		RateByOtherConvention: math.NaN(),
	}
	f.Weight = f.WireLong * math.Pi / 4 * s.Wire.Wire * s.Wire.Wire * steelDensity
	f.Life = Life(f.Stress, f.StressOpen, f.Strength)
	f.LifeLow, f.LifeHigh = f.Life/LifeScatter, f.Life*LifeScatter
	f.OtherConvention = RateBook
	if s.Wire.RateConstant == model.TheoreticalRateConstant {
		f.OtherConvention = Textbook
	}
	if s.Measured == 0 {
		if w, err := f.OtherConvention.Wind(s.Wire.Wire, s.Wire.MeanDia, s.Wire.Coils, s.Steel, math.NaN(), math.NaN()); err == nil && w.Validate() == nil {
			f.RateByOtherConvention = w.Rate() * factor
		}
	}
	return f
}

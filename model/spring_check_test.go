package model

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// nortonDoorSpring is the door-type spring of check S2.
func nortonDoorSpring() SpringWire {
	return SpringWire{Wire: 0.242 * Inch, MeanDia: (2.484 - 0.242) * Inch, Coils: 143, E: 30e6 * Psi, RateConstant: EmpiricalRateConstant}
}

// rateBookSpring is a spring as the rate books of the trade list it: wire, inside
// diameter and length in inches; five dead coils and the theoretical constant
// reproduce their figures.
func rateBookSpring(wire, inside, length float64) SpringWire {
	return SpringWire{
		Wire: wire * Inch, MeanDia: (inside + wire) * Inch, Coils: length / wire, DeadCoils: 5,
		E: 30e6 * Psi, RateConstant: TheoreticalRateConstant,
	}
}

func springChecks() []check {
	const (
		norton  = "course notes after Norton, Machine Design, ch. 14"
		book    = "trade article quoting a torsion spring rate book"
		trade   = "trade rule"
		factor  = "Ki formula, NSWC-11 handbook extract"
		inLbf   = PoundForceInch
		kpsi    = 1000 * Psi
		shigley = "Shigley, Example 10-8"
	)
	var out []check
	for i, r := range [...]struct{ c, want float64 }{
		{4, 1.22917}, {5, 1.17500}, {6, 1.14167}, {8, 1.10268}, {10, 1.08056}, {12, 1.06629},
	} {
		out = append(out, check{fmt.Sprintf("S1%c", 'a'+i), "inner-fibre factor Ki", fmt.Sprintf("C = %g", r.c), factor, computed, r.want, InnerFactor(r.c), tight})
	}

	s2 := nortonDoorSpring()
	const drum = 2.0 // in
	torque := s2.Torque(7)
	sut := must(TensileStrength(StrengthNorton, OilTempered, s2.Wire))
	theory := s2
	theory.RateConstant = TheoreticalRateConstant
	out = append(out, []check{
		{"S2a", "mean diameter, in", "outside 2.484 in, wire 0.242 in", norton, confirmed, 2.484, s2.OuterDia() / Inch, tight},
		{"S2b", "spring index", "as S2a", norton, confirmed, 9.2645, s2.Index(), tight},
		{"S2c", "rate, in·lbf a turn", "143 coils, 30 Mpsi, 10.8", norton, confirmed, 29.716, s2.Rate() / inLbf, 2e-5},
		{"S2d", "torque, in·lbf", "7 turns", norton, confirmed, 207.9, torque / inLbf, 2e-3},
		{"S2f", "cable force of each side, lbf", "two springs", norton, confirmed, 104.0, torque / (drum * Inch) / PoundForce, 2e-3},
		{"S2g", "theoretical over empirical rate", "64/(2π) against 10.8", "equation", computed, 1.0603, theory.Rate() / s2.Rate(), 3e-5},
		{"S3a", "rate, N·m a turn", "S2 in SI", norton, computed, 3.3574, s2.Rate(), 2e-5},
		{"S3b", "rate, N·m/rad", "S2 in SI", norton, computed, 0.53435, s2.Rate() / (2 * math.Pi), 1e-5},
		{"S3c", "inner-fibre factor Ki", "S2", norton, computed, 1.08748, InnerFactor(s2.Index()), tight},
		{"S3d", "stress at the inside, ksi", "S2, 7 turns", norton, computed, 162.6, s2.Stress(torque) / kpsi, 4e-4},
		{"S3e", "tensile strength, ksi", "S2's wire, oil-tempered", "Norton, secondary", computed, 190.4, sut / kpsi, 3e-4},
		{"S3f", "stress over strength", "S2, 7 turns", norton, computed, 0.854, s2.Stress(torque) / sut, 6e-4},
		{"S4a", "rate, in·lbf a turn", ".243 wire, 1.75 in inside, 31 in long", book, confirmed, 42.6, rateBookSpring(0.2437, 1.75, 31).Rate() / inLbf, 5e-3},
		{"S4b", "rate, in·lbf a turn", ".262 wire, 2 in inside, 39 1/4 in long", book, confirmed, 42.6, rateBookSpring(0.2625, 2, 39.25).Rate() / inLbf, 5e-3},
		{"S5a", "rate, in·lbf a turn", "S4a, gauge wire 0.2437 in, 5 dead coils, 64/(2π)", "inference", computed, 42.64, rateBookSpring(0.2437, 1.75, 31).Rate() / inLbf, 2e-4},
		{"S5b", "rate, in·lbf a turn", "S4b, gauge wire 0.2625 in, 5 dead coils, 64/(2π)", "inference", computed, 42.77, rateBookSpring(0.2625, 2, 39.25).Rate() / inLbf, 2e-4},
		{"S7", "growth, in", "8 turns of 0.253 in wire", trade, secondary, 2.02, SpringWire{Wire: 0.253 * Inch}.Growth(8) / Inch, 3e-3},
	}...)
	for i, r := range [...]struct{ wire, inside, length, want float64 }{{0.2437, 1.75, 31, 38.6}, {0.2625, 2, 39.25, 39.0}} {
		s := rateBookSpring(r.wire, r.inside, r.length)
		s.DeadCoils, s.RateConstant = 0, EmpiricalRateConstant
		out = append(out, check{fmt.Sprintf("S5%c", 'c'+i), "rate, in·lbf a turn", fmt.Sprintf("%g in wire, 10.8, no dead coils: 9 %% below the rate book", r.wire),
			"inference", computed, r.want, s.Rate() / inLbf, 2e-3})
	}

	// S9: as the book rounds, D = 0.522 in.
	body := SpringWire{Wire: 0.072 * Inch, MeanDia: 0.522 * Inch, Coils: 4.25, E: 28.5e6 * Psi, RateConstant: EmpiricalRateConstant}
	whole := body
	whole.Coils += LegCoils(1*Inch, 1*Inch, body.MeanDia)
	strength := must(TensileStrength(StrengthShigley, MusicWire, body.Wire))
	yield := must(YieldShare(MusicWire)) * strength
	largest := yield / body.Stress(1)
	bodyTurns := largest / body.Rate()
	amplitude, mean := body.Stress(2*inLbf), body.Stress(3*inLbf)
	sr := 0.5 * strength
	se := GerberEndurance(sr, strength)
	sa := GerberAmplitude(amplitude/mean, se, strength)
	const half = 5e-3
	out = append(out, []check{
		{"S9a", "spring index", "d 0.072 in, D 0.522 in", shigley, fromMemory, 7.25, body.Index(), half},
		{"S9b", "inner-fibre factor Ki", "C = 7.25", shigley, fromMemory, 1.115, InnerFactor(body.Index()), half},
		{"S9c", "active coils with legs", "4.25 coils, two legs of 1 in", shigley, fromMemory, 4.657, whole.ActiveCoils(), half},
		{"S9d", "tensile strength, kpsi", "music wire", shigley, fromMemory, 294.4, strength / kpsi, half},
		{"S9e", "yield strength, kpsi", "0.78 of it", shigley, fromMemory, 229.6, yield / kpsi, half},
		{"S9f", "torque at yield, lbf·in", "", shigley, fromMemory, 7.55, largest / inLbf, half},
		{"S9g", "torque at yield, N·m", "", shigley, computed, 0.8529, largest, half},
		{"S9h", "rate of the body, lbf·in a turn", "", shigley, computed, 31.97, body.Rate() / inLbf, half},
		{"S9i", "rate with legs, lbf·in a turn", "", shigley, computed, 29.18, whole.Rate() / inLbf, half},
		{"S9j", "rotation of the coil, turns", "at the torque of S9f", shigley, fromMemory, 0.236, bodyTurns, half},
		{"S9k", "rotation in all, turns", "at the torque of S9f", shigley, fromMemory, 0.259, largest / whole.Rate(), half},
		{"S9l", "loaded mean diameter, in", "", shigley, fromMemory, 0.495, body.LoadedMeanDia(bodyTurns) / Inch, half},
		{"S9m", "loaded inside diameter, in", "", shigley, fromMemory, 0.423, (body.LoadedMeanDia(bodyTurns) - body.Wire) / Inch, half},
		{"S9n", "clearance to the pin, in", "pin 0.400 in", shigley, computed, 0.0225, body.PinClearance(bodyTurns, 0.400*Inch) / Inch, half},
		{"S9o", "stress amplitude, kpsi", "1 to 5 lbf·in", shigley, fromMemory, 60.86, amplitude / kpsi, half},
		{"S9p", "mean stress, kpsi", "1 to 5 lbf·in", shigley, fromMemory, 91.29, mean / kpsi, half},
		{"S9q", "repeated strength Sr, kpsi", "0.50 of tensile", shigley, fromMemory, 147.2, sr / kpsi, half},
		{"S9r", "endurance strength Se, kpsi", "Gerber", shigley, fromMemory, 78.51, se / kpsi, half},
		{"S9s", "strength amplitude Sa, kpsi", "Gerber", shigley, fromMemory, 68.85, sa / kpsi, half},
		{"S9t", "fatigue safety factor", "Gerber", shigley, fromMemory, 1.13, sa / amplitude, half},
	}...)

	strengthOf := func(set StrengthSet, steel SpringSteel, d float64) float64 {
		return must(TensileStrength(set, steel, d))
	}
	for i, r := range [...]struct {
		set    StrengthSet
		steel  SpringSteel
		a, m   float64
		status string
	}{
		{StrengthShigley, MusicWire, 2211, 0.145, confirmed},
		{StrengthShigley, OilTempered, 1855, 0.187, fromMemory},
		{StrengthShigley, HardDrawn, 1783, 0.190, fromMemory},
		{StrengthShigleyOld, MusicWire, 2060, 0.163, secondary},
		{StrengthShigleyOld, OilTempered, 1610, 0.193, secondary},
		{StrengthShigleyOld, HardDrawn, 1510, 0.201, secondary},
		{StrengthNorton, MusicWire, 2153.5, 0.1625, secondary},
		{StrengthNorton, OilTempered, 1831.2, 0.1833, secondary},
		{StrengthNorton, HardDrawn, 1753.3, 0.1822, secondary},
	} {
		in := fmt.Sprintf("%v, 1 to 10 mm", r.steel)
		thin, thick := strengthOf(r.set, r.steel, 1e-3), strengthOf(r.set, r.steel, 10e-3)
		out = append(out,
			check{fmt.Sprintf("S10.%da", i+1), "A of Sut = A/d^m, MPa·mm^m", in, r.set.String(), r.status, r.a, thin / 1e6, 1e-9},
			check{fmt.Sprintf("S10.%dm", i+1), "m of Sut = A/d^m", in, r.set.String(), r.status, r.m, math.Log10(thin / thick), 1e-9},
		)
	}
	return append(out, []check{
		{"S10a", "A of music wire, kpsi", "Shigley, at 1 in, m = 0.145", "Shigley solution 10-2", confirmed, 201, strengthOf(StrengthShigley, MusicWire, Inch) / kpsi, 2.5e-3},
		{"S10b", "A of oil-tempered wire, kpsi", "Shigley, at 1 in, m = 0.187", "Shigley, 7th edition on", fromMemory, 147, strengthOf(StrengthShigley, OilTempered, Inch) / kpsi, 2.5e-3},
		{"S10c", "A of hard-drawn wire, kpsi", "Shigley, at 1 in, m = 0.190", "Shigley, 7th edition on", fromMemory, 140, strengthOf(StrengthShigley, HardDrawn, Inch) / kpsi, 2.5e-3},
		{"S10d", "A of music wire, kpsi", "Norton, at 1 in, m = 0.1625", "Norton, spring chapter page", confirmed, 184.649, strengthOf(StrengthNorton, MusicWire, Inch) / kpsi, 1e-3},
		{"S11", "strength, MPa", "music wire of 1 mm, 201 kpsi·in^m converted", "Shigley solution 10-2", confirmed, 2215.2, strengthOf(StrengthShigley, MusicWire, 1e-3) / 1e6, 2.5e-3},
		{"S12", "strength, MPa", "music wire, 2.5 mm", "Shigley solution 10-3", confirmed, 1936, strengthOf(StrengthShigley, MusicWire, 2.5e-3) / 1e6, 3e-4},
		{"S13", "strength, MPa", "music wire, 7.25 mm, older set", "worked problem", confirmed, 1492, strengthOf(StrengthShigleyOld, MusicWire, 7.25e-3) / 1e6, 4e-4},
		{"S14", "strength, MPa", "oil-tempered, 10 mm, older set", "worked problem", confirmed, 1032, strengthOf(StrengthShigleyOld, OilTempered, 10e-3) / 1e6, 5e-4},
		{"S15a", "strength, MPa", "oil-tempered, 0.250 in", "constants from memory", computed, 1312.9, strengthOf(StrengthShigley, OilTempered, 0.250*Inch) / 1e6, 5e-5},
		{"S15b", "strength, kpsi", "oil-tempered, 0.250 in", "constants from memory", computed, 190.5, strengthOf(StrengthShigley, OilTempered, 0.250*Inch) / kpsi, 5e-4},
		{"S16a", "modulus, GPa", "music wire above 0.125 in", "Shigley, table 10-5", confirmed, 193, must(SpringModulus(MusicWire, 6e-3)) / 1e9, 5e-4},
		{"S16b", "modulus, GPa", "hard-drawn above 0.125 in", "Shigley, table 10-5", confirmed, 196.5, must(SpringModulus(HardDrawn, 6e-3)) / 1e9, 5e-4},
		{"S16c", "modulus, GPa", "oil-tempered above 0.125 in", "Shigley, table 10-5", confirmed, 196.5, must(SpringModulus(OilTempered, 6e-3)) / 1e9, 5e-4},
		{"S17a", "yield over tensile strength", "music wire", "Shigley, spring materials", fromMemory, 0.78, must(YieldShare(MusicWire)), 0},
		{"S17b", "yield over tensile strength", "hard-drawn", "Shigley, spring materials", fromMemory, 0.78, must(YieldShare(HardDrawn)), 0},
		{"S17c", "yield over tensile strength", "oil-tempered", "Shigley, spring materials", secondary, 0.87, must(YieldShare(OilTempered)), 0},
	}...)
}

func TestSpringBalancesDoor(t *testing.T) {
	// S6, trade rule: 160 lbf at 2 in on 7.5 turns needs 42.67 in·lbf a turn, which
	// the rate-book pair of S4 offers.
	need := 160 * 2 / 7.5
	for _, s := range []SpringWire{rateBookSpring(0.2437, 1.75, 31), rateBookSpring(0.2625, 2, 39.25)} {
		if got := s.Rate() / PoundForceInch; math.Abs(got/need-1) > 0.005 {
			t.Errorf("%+v gives %v in·lbf a turn, want the %v that the door needs", s, got, need)
		}
	}
}

func TestSpringValidate(t *testing.T) {
	if err := nortonDoorSpring().Validate(); err != nil {
		t.Errorf("the textbook's spring gives error %v, want none", err)
	}
	rows := map[string]func(*SpringWire){
		"no wire":              func(s *SpringWire) { s.Wire = 0 },
		"negative wire":        func(s *SpringWire) { s.Wire = -1e-3 },
		"index of one":         func(s *SpringWire) { s.MeanDia = s.Wire },
		"no mean diameter":     func(s *SpringWire) { s.MeanDia = 0 },
		"all coils dead":       func(s *SpringWire) { s.DeadCoils = s.Coils },
		"negative dead coils":  func(s *SpringWire) { s.DeadCoils = -1 },
		"no modulus":           func(s *SpringWire) { s.E = 0 },
		"no rate constant":     func(s *SpringWire) { s.RateConstant = 0 },
		"modulus not a number": func(s *SpringWire) { s.E = math.NaN() },
		"dead not a number":    func(s *SpringWire) { s.DeadCoils = math.NaN() },
		"endless coils":        func(s *SpringWire) { s.Coils = math.Inf(1) },
	}
	for name, spoil := range rows {
		s := nortonDoorSpring()
		spoil(&s)
		if err := s.Validate(); !errors.Is(err, ErrSpring) {
			t.Errorf("%s gives error %v, want ErrSpring", name, err)
		}
	}
}

func TestSpringScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := SpringWire{
			Wire:      rapid.Float64Range(2e-3, 10e-3).Draw(t, "wire"),
			Coils:     rapid.Float64Range(20, 200).Draw(t, "coils"),
			DeadCoils: rapid.Float64Range(0, 8).Draw(t, "dead"),
			E:         196e9, RateConstant: EmpiricalRateConstant,
		}
		s.MeanDia = s.Wire * rapid.Float64Range(4, 16).Draw(t, "index")
		big := s
		big.Wire, big.MeanDia = 2*s.Wire, 2*s.MeanDia
		if got := big.Rate() / s.Rate(); math.Abs(got-8) > 1e-9 {
			t.Fatalf("twice the size has %v times the rate, want 8", got)
		}
		if a, b := big.Stress(8), s.Stress(1); math.Abs(a/b-1) > 1e-9 {
			t.Fatalf("twice the size under 8 times the torque has %v Pa, want the same %v", a, b)
		}
		if s.Torque(-1) != 0 {
			t.Fatalf("an unwound spring gives %v N·m, want 0", s.Torque(-1))
		}
		// The wire keeps its length.
		turns := rapid.Float64Range(0, 10).Draw(t, "turns")
		if a, b := s.LoadedMeanDia(turns)*(s.Coils+turns), s.MeanDia*s.Coils; math.Abs(a/b-1) > 1e-12 {
			t.Fatalf("wound %v turns the wire is %v long, was %v", turns, a, b)
		}
	})
}

func TestSpringSteelRefusals(t *testing.T) {
	for _, r := range [...]struct {
		set   StrengthSet
		steel SpringSteel
		wire  float64
	}{{-1, MusicWire, 5e-3}, {setCount, MusicWire, 5e-3}, {StrengthNorton, -1, 5e-3}, {StrengthNorton, steelCount, 5e-3}, {StrengthNorton, MusicWire, 0}, {StrengthNorton, MusicWire, math.NaN()}} {
		if _, err := TensileStrength(r.set, r.steel, r.wire); !errors.Is(err, ErrSpring) {
			t.Errorf("TensileStrength(%v, %v, %v) gives error %v, want ErrSpring", r.set, r.steel, r.wire, err)
		}
	}
	for _, wire := range []float64{0.125 * Inch, 1e-3, 0, math.NaN()} {
		if _, err := SpringModulus(MusicWire, wire); !errors.Is(err, ErrSpring) {
			t.Errorf("SpringModulus of %v m gives error %v, want ErrSpring", wire, err)
		}
	}
	if _, err := YieldShare(steelCount); !errors.Is(err, ErrSpring) {
		t.Errorf("YieldShare of no steel gives error %v, want ErrSpring", err)
	}
}

package model

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// labels are what the definitions are tried on: the default battery, and the
// printed pairs of cold-cranking amps and reserve minutes of check B3.
var labels = []BatteryParams{
	{ColdCrankA: 650, ReserveMin: 120, Peukert: 1.2},
	{ColdCrankA: 600, ReserveMin: 115, Peukert: 1.2},
	{ColdCrankA: 770, ReserveMin: 115, Peukert: 1.2},
	{ColdCrankA: 750, ReserveMin: 160, Peukert: 1.2},
	{ColdCrankA: 625, ReserveMin: 180, Peukert: 1.2},
}

// crankTest runs the cold-cranking test on a full battery and returns the last voltage.
func crankTest(p BatteryParams, amps float64) float64 {
	b := NewBattery(p, -18)
	const span = 0.1
	for range 300 {
		b.Draw(amps*span, span)
	}
	return b.Terminal(amps)
}

// reserveTest runs the reserve-capacity test on a full battery and returns the
// minutes until it reads below 10.5 V.
func reserveTest(p BatteryParams) float64 {
	b := NewBattery(p, 27)
	const span = 0.1
	n := 0
	for b.Terminal(25) > 10.5 && n < 1e6 {
		b.Draw(25*span, span)
		n++
	}
	return float64(n) * span / 60
}

func batteryChecks() []check {
	const (
		sae    = "secondary quotations of SAE J537"
		army2  = "US Army TM 5-4210-230-14&P-1, table 2"
		army3  = "US Army TM 5-4210-230-14&P-1, table 3"
		bci    = "table credited to BCI"
		heat   = "industry table"
		worked = "worked example"
	)
	var out []check
	for i, p := range labels {
		in := fmt.Sprintf("%g A, %g min", p.ColdCrankA, p.ReserveMin)
		out = append(out,
			check{fmt.Sprintf("B1%c", 'a'+i), "voltage after 30 s of cold cranking at −18 °C, V", in, sae, secondary, 7.2, crankTest(p, p.ColdCrankA), 1e-9},
			check{fmt.Sprintf("B2%c", 'a'+i), "minutes to 10.5 V at 25 A and 27 °C", in, sae, secondary, p.ReserveMin, reserveTest(p), 5e-5},
		)
	}
	for i, r := range [...]struct{ cca, load float64 }{{600, 300}, {770, 380}, {750, 370}, {625, 310}} {
		out = append(out, check{fmt.Sprintf("B4%c", 'a'+i), "load-test current, A", fmt.Sprintf("%g A", r.cca), "a vehicle service table (1997 to 2000)", confirmed,
			r.load, LoadTestCurrent(r.cca), 5 / r.load})
	}
	out = append(out,
		check{"B6", "cranking amps at 0 °C, A", "700 A cold", "rule of thumb, two secondary sources", secondary, 875, CrankingAmps(700), 0.05},
		check{"B14", "hours", "Cp 100, k 1.2, 5 A", "worked example (2010)", confirmed, 14.4956, PeukertHours(100, 1.2, 5), tight},
		check{"B15", "hours", "120 Ah at 20 h, k 1.4, 120 A", worked, confirmed, 0.30171, PeukertRatedHours(120, 20, 1.4, 120), 2e-5},
		check{"B16a", "hours", "100 Ah at 20 h, k 1.2, 25 A", worked, computed, 2.89912, PeukertRatedHours(100, 20, 1.2, 25), tight},
		check{"B16b", "hours", "100 Ah at 20 h, k 1.2, 100 A", worked, computed, 0.549280, PeukertRatedHours(100, 20, 1.2, 100), tight},
		check{"B16c", "hours", "100 Ah at 20 h, k 1.2, 5 A: its own rate", "definition of the 20 h rate", computed, 20, PeukertRatedHours(100, 20, 1.2, 5), 1e-12},
		check{"B17a", "internal resistance, Ω", "600 A, 12.65 V", "cold-cranking definition", computed, 9.083e-3, CrankingResistance(600, 12.65), 1e-4},
		check{"B17b", "internal resistance, Ω", "600 A, 12.4 V", "cold-cranking definition", computed, 8.667e-3, CrankingResistance(600, 12.4), 1e-4},
	)
	for i, r := range [...]struct{ t, want float64 }{{26.7, 1}, {0, 0.65}, {-17.8, 0.40}, {-28.8, 0.20}} {
		out = append(out, check{fmt.Sprintf("B7%c", 'a'+i), "cranking output", fmt.Sprintf("%g °C", r.t), army3, confirmed, r.want, CrankingOutput(r.t), 1e-12})
	}
	for i, r := range [...]struct{ t, long, short float64 }{
		{0, -16, -20}, {5, -12, -15}, {10, -10, -12}, {15, -6, -8}, {20, -1, -3}, {25, 0, 0}, {30, 3, 5}, {40, 5, 10},
	} {
		out = append(out,
			check{fmt.Sprintf("B9%c", 'a'+i), "capacity, above 60 min, relative to 25 °C", fmt.Sprintf("%g °C", r.t), heat, confirmed, 1 + r.long/100, CapacityFactor(r.t, 90), 1e-12},
			check{fmt.Sprintf("B9%c", 'i'+i), "capacity, below 30 min, relative to 25 °C", fmt.Sprintf("%g °C", r.t), heat, confirmed, 1 + r.short/100, CapacityFactor(r.t, 20), 1e-12},
		)
	}
	gravity := [...]float64{1.265, 1.225, 1.190, 1.155, 1.120}
	frost := [...]float64{-59.5, -37.2, -26.1, -15, -9.4}
	for i, v := range [...]float64{12.65, 12.45, 12.24, 12.06, 11.89} {
		s := 1 - float64(i)/4
		in, tag := fmt.Sprintf("charge %g %%", 100*s), 'a'+i
		out = append(out,
			check{fmt.Sprintf("B10%c", tag), "open-circuit voltage, V", in, bci, secondary, v, OpenCircuitVoltage(s), 1e-12},
			check{fmt.Sprintf("B10%c", tag+5), "specific gravity", in, bci + "; " + army2, secondary, gravity[i], SpecificGravity(s), 1e-12},
			check{fmt.Sprintf("B13%c", tag), "freezing point, °C", in, army2, confirmed, frost[i], FreezingPoint(s), 1e-12},
		)
	}
	for i, slope := range [...]float64{8.0, 8.4, 7.2, 6.8} {
		s := 0.875 - float64(i)/4
		out = append(out, check{fmt.Sprintf("B11%c", 'a'+i), "open-circuit voltage a per cent of charge, mV", fmt.Sprintf("about charge %g %%", 100*s), bci, computed,
			slope, 1000 * (OpenCircuitVoltage(s+0.005) - OpenCircuitVoltage(s-0.005)), 1e-9})
	}
	return out
}

// A battery at the end of its life must pass the same two tests at what age has
// left of its ratings.
func TestBatteryAge(t *testing.T) {
	for _, age := range []float64{0.3, 1} {
		p := labels[0]
		p.Age = age
		if v := crankTest(p, p.ColdCrankA*(1-0.5*age)); math.Abs(v-7.2) > 1e-9 {
			t.Errorf("age %v: %v V after 30 s at the current that is left, want 7.2", age, v)
		}
		if got, want := reserveTest(p), p.ReserveMin*(1-0.4*age); math.Abs(got-want) > 0.01 {
			t.Errorf("age %v: reserve of %v min, want %v", age, got, want)
		}
		fresh := NewBattery(labels[0], 20)
		if old := NewBattery(p, 20); !(old.R > fresh.R) {
			t.Errorf("age %v: internal resistance %v Ω, want above the new battery's %v", age, old.R, fresh.R)
		}
	}
}

// Within the model Peukert's law must hold as in B15 and B16, with the 25 A
// reserve test as the rated discharge.
func TestBatteryPeukert(t *testing.T) {
	p := labels[0]
	for _, amps := range []float64{5, 25, 100} {
		b := NewBattery(p, 27)
		const span = 1.0
		n := 0
		for b.Charge > 0 {
			b.Draw(amps*span, span)
			n++
		}
		rated := p.ReserveMin / 60
		want := PeukertRatedHours(25*rated, rated, p.Peukert, amps)
		if got := float64(n) * span / 3600; math.Abs(got-want) > 2*span/3600 {
			t.Errorf("at %v A it is empty after %v h, want %v", amps, got, want)
		}
	}
}

func TestBatteryCharges(t *testing.T) {
	b := NewBattery(labels[0], 20)
	b.SetCharge(0.5)
	b.Draw(-25*600, 600)
	// 10 of 120 minutes at 25 A, at the capacity of 20 °C; charging knows no Peukert.
	want := 0.5 + 10.0/120/(CapacityFactor(20, 90)/CapacityFactor(27, 90))
	if math.Abs(b.Charge-want) > 1e-12 {
		t.Errorf("charge after 10 min of 25 A in is %v, want %v", b.Charge, want)
	}
	b.Draw(-1e9, 1000)
	if b.Charge != 1 || b.OCV != 12.65 {
		t.Errorf("overcharged: charge %v, %v V, want 1 and 12.65", b.Charge, b.OCV)
	}
	before := b
	b.Draw(100, 0)
	if b != before {
		t.Errorf("a draw of no duration changed the battery from %+v to %+v", before, b)
	}
}

// A flat battery must not feed a door for ever: its resistance runs away.
func TestBatteryGoesFlat(t *testing.T) {
	b := NewBattery(labels[0], 20)
	b.SetCharge(0)
	empty := b.R
	for range 3600 {
		b.Draw(20, 1)
	}
	if !(b.R > 5*empty) || !(b.Terminal(20) < 6) {
		t.Errorf("an hour of 20 A past empty leaves %v Ω (was %v) and %v V, want it useless", b.R, empty, b.Terminal(20))
	}
	if math.IsInf(b.R, 0) || b.Charge < -0.05 {
		t.Errorf("an hour of 20 A past empty leaves %v Ω at a charge of %v, want both finite and near empty", b.R, b.Charge)
	}
}

// What the tables do beyond their published ends is invented: the last slope goes on.
func TestBatteryColdEnds(t *testing.T) {
	for _, r := range [...]struct {
		name      string
		got, want float64
		tol       float64
	}{
		{"cranking output at −31.8 °C", CrankingOutput(-31.8), 0.20 - 3*0.20/11, 1e-3},
		{"cranking output at −40 °C", CrankingOutput(-40), 0.10, 0},
		{"cranking output at 50 °C", CrankingOutput(50), 1, 0},
		{"long capacity at −20 °C", CapacityFactor(-20, 60), 0.84 - 20*0.008, 1e-12},
		{"short capacity at −20 °C", CapacityFactor(-20, 30), 0.80 - 20*0.010, 1e-12},
		{"capacity at 0 °C over 45 min", CapacityFactor(0, 45), 0.82, 1e-12},
	} {
		if !(math.Abs(r.got-r.want) <= r.tol) {
			t.Errorf("%s is %v, want %v", r.name, r.got, r.want)
		}
	}
}

func TestBatteryOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := BatteryParams{
			ColdCrankA: rapid.Float64Range(300, 900).Draw(t, "amps"),
			ReserveMin: rapid.Float64Range(100, 250).Draw(t, "minutes"),
			Age:        rapid.Float64Range(0, 1).Draw(t, "age"),
			Peukert:    rapid.Float64Range(1, 1.4).Draw(t, "exponent"),
		}
		if err := p.Validate(); err != nil {
			t.Skip(err)
		}
		cold := rapid.Float64Range(-40, 59).Draw(t, "cold")
		warm := rapid.Float64Range(cold, 60).Draw(t, "warm")
		low := rapid.Float64Range(0, 0.99).Draw(t, "low")
		high := rapid.Float64Range(low, 1).Draw(t, "high")
		at := func(temperature, charge float64) Battery {
			b := NewBattery(p, temperature)
			b.SetCharge(charge)
			return b
		}
		if a, b := at(cold, high).R, at(warm, high).R; a < b || !(b > 0) {
			t.Fatalf("%v Ω at %v °C and %v Ω at %v °C, want the cold one higher", a, cold, b, warm)
		}
		a, b := at(warm, low), at(warm, high)
		if a.R < b.R || a.OCV > b.OCV {
			t.Fatalf("charge %v: %v V, %v Ω; charge %v: %v V, %v Ω; want less charge to be weaker", low, a.OCV, a.R, high, b.OCV, b.R)
		}
	})
}

func TestBatteryRefusals(t *testing.T) {
	for name, p := range map[string]BatteryParams{
		"no cranking":            {0, 120, 0, 1.2},
		"too much cranking":      {5000, 120, 0, 1.2},
		"no reserve":             {650, 0, 0, 1.2},
		"age above one":          {650, 120, 1.1, 1.2},
		"exponent below one":     {650, 120, 0, 0.9},
		"not a number":           {math.NaN(), 120, 0, 1.2},
		"cranking would empty":   {1500, 30, 0, 1.2},
		"cranking far too small": {50, 120, 1, 1.2},
	} {
		if err := p.Validate(); !errors.Is(err, ErrBattery) {
			t.Errorf("%s gives error %v, want ErrBattery", name, err)
		}
	}
}

func TestBatteryDrawAllocatesNothing(t *testing.T) {
	b := NewBattery(labels[0], 4)
	if n := testing.AllocsPerRun(100, func() { b.Draw(2, 0.1) }); n != 0 {
		t.Errorf("a draw allocates %v times, want 0", n)
	}
}

func BenchmarkBatteryDraw(b *testing.B) {
	bat := NewBattery(labels[0], 4)
	for b.Loop() {
		bat.Draw(0.001, 0.1)
	}
	benchSink = bat.OCV
}

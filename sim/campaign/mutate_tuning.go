package campaign

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"slatbench/sim"
	"slatbench/sim/logic"
)

// tuned is one threshold or time of a tuning.
type tuned struct {
	index  int
	name   string // as in the file
	unit   string
	limits string // as the loader reads them
}

var tunings = tuningFields()

func tuningFields() []tuned {
	t := reflect.TypeFor[logic.Tuning]()
	list := make([]tuned, t.NumField())
	for i := range list {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("yaml"), ",")
		list[i] = tuned{i, name, f.Tag.Get("unit"), f.Tag.Get("range")}
	}
	return list
}

func (f *tuned) get(t *logic.Tuning) float64    { return reflect.ValueOf(t).Elem().Field(f.index).Float() }
func (f *tuned) set(t *logic.Tuning, x float64) { reflect.ValueOf(t).Elem().Field(f.index).SetFloat(x) }

// tuning scales every threshold and time.
func (m *mutator) tuning() {
	for i := range tunings {
		f := &tunings[i]
		for _, scale := range Scales {
			// Times and lengths are written in decimals: rounding keeps them so.
			x := math.Round(f.get(&m.base.Tuning)*scale*1e9) / 1e9
			m.list = append(m.list, Mutant{
				Text: fmt.Sprintf("tuning: %s x %g", f.name, scale), Kind: "scaled",
				Safety: safetyOfScale(f.name, x), site: site{row: -1, param: f.name},
				apply: func(t *logic.Table) { f.set(&t.Tuning, x) },
			})
		}
	}
}

// outOfRange says which value the loader would refuse, by the range that the tuning
// states for it.
func outOfRange(t *logic.Tuning) string {
	for i := range tunings {
		f := &tunings[i]
		low, high, err := parseRange(f.limits)
		if err != nil {
			panic("campaign: " + f.name + ": " + err.Error())
		}
		if x := f.get(t); x < low || x > high {
			return fmt.Sprintf("tuning.%s: %g is out of the range %s", f.name, x, f.limits)
		}
	}
	return ""
}

// rangeUnits are the units that the ranges of the tuning are written in, in SI.
var rangeUnits = map[string]float64{
	"%": 0.01, "V": 1, "A": 1, "m": 1, "s": 1, "ms": 0.001, "m/s": 1, "pulses/m": 1,
}

// parseRange reads "[10 ms,60 s]".
func parseRange(s string) (low, high float64, err error) {
	a, b, ok := strings.Cut(strings.Trim(s, "[]"), ",")
	if !ok {
		return 0, 0, fmt.Errorf("range %q is not written like [10 ms,60 s]", s)
	}
	if low, err = parseQuantity(a); err != nil {
		return 0, 0, err
	}
	high, err = parseQuantity(b)
	return low, high, err
}

func parseQuantity(s string) (float64, error) {
	number, unit, _ := strings.Cut(s, " ")
	x, err := strconv.ParseFloat(number, 64)
	k, ok := rangeUnits[unit]
	if err != nil || !ok {
		return 0, fmt.Errorf("%q is no quantity with a known unit", s)
	}
	return x * k, nil
}

// grain is the value as the controllers work with it: they know whole ticks, pulses,
// converter counts and percents. Two values of the same grain are the same to them.
// Values of other dimensions are only the same where they are equal.
func (f *tuned) grain(t *logic.Tuning, tick float64) float64 {
	x := f.get(t)
	switch f.unit {
	case "time":
		return max(1, math.Round(x/tick))
	case "length":
		return math.Round(x * t.PulsesAMetre)
	case "current":
		return math.Round(x / sim.CurrentFullA * sim.ConverterMax)
	case "ratio":
		return math.Round(x * 100)
	}
	return x
}

// sameGrain tells that two tunings are the same to controllers with a tick in s. A
// time that also sets a span of readings makes no exception: the span is in ticks.
func sameGrain(a, b *logic.Tuning, tick float64) bool {
	for i := range tunings {
		f := &tunings[i]
		if f.grain(a, tick) != f.grain(b, tick) {
			return false
		}
	}
	return true
}

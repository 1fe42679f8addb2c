package scenarios

import (
	"math"
	"math/big"
	"strconv"
)

// FormatQuantity writes an SI value as a readable quantity that ParseQuantity
// reads back to exactly the same value. Values must be finite and within the
// range that ParseQuantity accepts; others are written as plain SI numbers.
func FormatQuantity(value float64, dimension Dimension) string {
	d := dimensionsByName[dimension]
	if d == nil {
		return trimFloat(value) + " ?"
	}
	if d.name == "wire gauge" && value <= 0 && value >= -3 {
		return strconv.Itoa(1-int(value)) + "/0 AWG"
	}
	if u := d.readableUnit(value); u != nil {
		if text, ok := formatIn(value, d, u); ok {
			return text
		}
	}
	return withUnit(trimFloat(value), d.units[0].name)
}

// readableUnit chooses the largest shown unit that leaves at least 1 before the
// decimal point, or the smallest.
func (d *dimensionInfo) readableUnit(value float64) *unit {
	var best *unit
	for _, u := range d.units {
		if !u.show {
			continue
		}
		fits := value == 0 || inUnit(value, u) >= 1 || inUnit(value, u) <= -1
		switch {
		case best == nil:
			best = u
		case value == 0: // keep the first
		case fits && (u.scale.Cmp(best.scale) > 0 || math.Abs(inUnit(value, best)) < 1):
			best = u
		case !fits && math.Abs(inUnit(value, best)) < 1 && u.scale.Cmp(best.scale) < 0:
			best = u
		}
	}
	return best
}

// formatIn writes value in a unit with the fewest digits that read back to the
// same value; ok is false when none do.
func formatIn(value float64, d *dimensionInfo, u *unit) (text string, ok bool) {
	scaled := inUnit(value, u)
	for precision := 1; precision <= 17; precision++ {
		number, err := strconv.ParseFloat(strconv.FormatFloat(scaled, 'g', precision, 64), 64)
		if err != nil {
			return "", false
		}
		text = withUnit(trimFloat(number), u.name)
		if back, err := ParseQuantity(text, d.name); err == nil && back == value {
			return text, true
		}
	}
	return exactly(value, u)
}

// exactly writes the shortest decimal of value in another unit without rounding,
// where that decimal ends: it reads back to the same value by construction.
func exactly(value float64, u *unit) (text string, ok bool) {
	decimal, ok := new(big.Rat).SetString(strconv.FormatFloat(value, 'g', -1, 64))
	if !ok { // NaN or infinite
		return "", false
	}
	decimal.Quo(decimal, u.scale)
	decimal.Sub(decimal, u.shift)
	places, ends := decimal.FloatPrec()
	text = withUnit(decimal.FloatString(places), u.name)
	return text, ends && len(text) < longestQuantity
}

// inUnit converts an SI value to a unit, rounding once.
func inUnit(value float64, u *unit) float64 {
	exactValue := new(big.Rat).SetFloat64(value)
	if exactValue == nil { // NaN or infinite
		return value
	}
	exactValue.Quo(exactValue, u.scale)
	scaled, _ := exactValue.Sub(exactValue, u.shift).Float64()
	return scaled
}

func withUnit(number, unitName string) string {
	switch unitName {
	case "":
		return number
	case "°":
		return number + unitName
	}
	return number + " " + unitName
}

// trimFloat writes a float64 shortly, without an exponent where it is readable.
func trimFloat(v float64) string {
	if v == 0 {
		return "0" // also for -0
	}
	if a := math.Abs(v); a >= 1e-6 && a < 1e15 {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

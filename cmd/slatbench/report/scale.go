package report

import (
	"math"
	"strconv"
)

// scale maps a range of values to a range of the picture.
type scale struct{ from, to, at, until float64 }

func (s scale) of(x float64) float64 {
	return s.at + (x-s.from)/(s.to-s.from)*(s.until-s.at)
}

// niceStep is 1, 2 or 5 times a power of ten, the smallest that cuts a span into
// no more than so many pieces.
func niceStep(span float64, pieces int) float64 {
	if !(span > 0) || pieces < 1 {
		return 1
	}
	raw := span / float64(pieces)
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5, 10} {
		if m*power >= raw*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// ticks are the multiples of a nice step within a range, and how many decimals they need.
func ticks(from, to float64, pieces int) (at []float64, decimals int) {
	step := niceStep(to-from, pieces)
	decimals = max(0, int(-math.Floor(math.Log10(step)+1e-9)))
	for k := math.Ceil(from/step - 1e-9); k*step <= to+step*1e-9; k++ {
		at = append(at, k*step)
	}
	return at, decimals
}

func fixed(x float64, decimals int) string {
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if x <= 0 && x > -1 { // no minus before a zero
		if zero, err := strconv.ParseFloat(text, 64); err == nil && zero == 0 && text[0] == '-' {
			return text[1:]
		}
	}
	return text
}

// short writes a figure with up to so many significant digits and no idle zeros.
func short(x float64, digits int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	if x == 0 {
		return "0"
	}
	places := max(0, digits-1-int(math.Floor(math.Log10(math.Abs(x)))))
	text := strconv.FormatFloat(x, 'f', places, 64)
	if places > 0 {
		for text[len(text)-1] == '0' {
			text = text[:len(text)-1]
		}
		if text[len(text)-1] == '.' {
			text = text[:len(text)-1]
		}
	}
	return text
}

// timeUnit is what the time axis counts in.
type timeUnit struct {
	name    string
	seconds float64
}

func timeUnitFor(seconds float64) timeUnit {
	switch {
	case seconds <= 300:
		return timeUnit{"s", 1}
	case seconds <= 5*3600:
		return timeUnit{"min", 60}
	}
	return timeUnit{"h", 3600}
}

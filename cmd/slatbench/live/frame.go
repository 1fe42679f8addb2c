package live

import (
	"encoding/json"
	"math"
	"strconv"
)

// Frames are written by hand: they are most of what a session costs.

// digits are the decimals that a column is sent with: finer than anything on a truck
// can be seen or measured to. What is not named is whole.
var digits = map[string]int{
	"height_m": 4, "counted_m": 4, "speed_m_s": 4, "slack_m": 4, "tension_n": 1, "drum_rad": 4, "spring_turns": 4,
	"supply_v": 3, "current_a": 3, "contact_n": 1, "floor_n": 1, "winding_c": 2, "reel_out_m": 4, "obstacle_m": 4,
	"bar_m": 5, "node_v": 3, "battery_a": 3, "charge": 5,
}

func digitsOf(columns []string) []int {
	list := make([]int, len(columns))
	for i, c := range columns {
		list[i] = digits[c]
	}
	return list
}

var (
	bayDigits    = digitsOf(bayColumns)
	sideDigits   = digitsOf(sideColumns)
	truckDigits  = digitsOf(truckColumns)
	sampleDigits = digitsOf(sampleColumns)
)

// frame is what a frame says besides the truck.
type frame struct {
	seq     int
	t       float64
	running bool
	speed   float64
	why     string
	states  []string // more than before, or nil
	bays    int
	row     []float64 // see watcher.look
	samples []sample
	dt      float64
}

// appendTo appends the frame as JSON.
func (f *frame) appendTo(b []byte) []byte {
	b = append(b, `{"is":"frame","seq":`...)
	b = strconv.AppendInt(b, int64(f.seq), 10)
	b = append(b, `,"t":`...)
	b = appendNumber(b, f.t, 4)
	b = append(b, `,"running":`...)
	b = strconv.AppendBool(b, f.running)
	b = append(b, `,"speed":`...)
	b = appendNumber(b, f.speed, 1)
	if f.why != "" {
		b = append(append(append(b, `,"why":"`...), f.why...), '"')
	}
	if len(f.states) > 0 {
		if words, err := json.Marshal(f.states); err == nil {
			b = append(append(b, `,"states":`...), words...)
		}
	}
	row := f.row
	b = append(b, `,"bays":`...)
	b, row = appendRows(b, row, f.bays, bayDigits)
	b = append(b, `,"sides":`...)
	b, row = appendRows(b, row, len(sideNames), sideDigits)
	b = append(b, `,"truck":`...)
	b = appendRow(b, row, truckDigits)
	b = append(b, `,"samples":{"t":[`...)
	for i := range f.samples {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendNumber(b, float64(f.samples[i].step)*f.dt, 4)
	}
	b = append(b, `],"bays":[`...)
	for i := range f.bays {
		if i > 0 {
			b = append(b, ',')
		}
		b = f.appendSamples(b, i)
	}
	return append(b, "]}}"...)
}

// appendSamples appends bay i's, column by column.
func (f *frame) appendSamples(b []byte, i int) []byte {
	b = append(b, '[')
	for c, d := range sampleDigits {
		if c > 0 {
			b = append(b, ',')
		}
		at := i*len(sampleDigits) + c
		if f.constant(at, d) {
			b = appendNumber(b, f.samples[0].row[at], d)
			continue
		}
		b = append(b, '[')
		for k := range f.samples {
			if k > 0 {
				b = append(b, ',')
			}
			b = appendNumber(b, f.samples[k].row[at], d)
		}
		b = append(b, ']')
	}
	return append(b, ']')
}

// constant tells that all samples of a column, one at least, are equal as they are sent.
func (f *frame) constant(at, decimals int) bool {
	if len(f.samples) == 0 {
		return false
	}
	first := f.samples[0].row[at]
	for k := 1; k < len(f.samples); k++ {
		x := f.samples[k].row[at]
		if x != first && !(math.IsNaN(x) && math.IsNaN(first)) && math.Round(x*powers[decimals]) != math.Round(first*powers[decimals]) {
			return false
		}
	}
	return true
}

func appendRows(b []byte, row []float64, n int, digits []int) ([]byte, []float64) {
	b = append(b, '[')
	for i := range n {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendRow(b, row, digits)
		row = row[len(digits):]
	}
	return append(b, ']'), row
}

func appendRow(b []byte, row []float64, digits []int) []byte {
	b = append(b, '[')
	for i, d := range digits {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendNumber(b, row[i], d)
	}
	return append(b, ']')
}

var powers = [...]float64{1, 10, 100, 1e3, 1e4, 1e5}

// appendNumber appends a number rounded to so many decimals, without zeros at its end;
// what is not a number is null.
func appendNumber(b []byte, x float64, decimals int) []byte {
	if math.IsNaN(x) || math.Abs(x) > 1e12 {
		return append(b, "null"...)
	}
	n := int64(math.Round(x * powers[decimals]))
	if n < 0 {
		b = append(b, '-')
		n = -n
	}
	per := int64(powers[decimals])
	b = strconv.AppendInt(b, n/per, 10)
	rest := n % per
	if rest == 0 {
		return b
	}
	b = append(b, '.')
	for per /= 10; rest > 0; per /= 10 {
		b = append(b, byte('0'+rest/per))
		rest %= per
	}
	return b
}

package soak

import (
	"bufio"
	"io"
	"math"
	"strconv"
)

// column is a figure of a cycle: its name with unit in files, and its value.
type column struct {
	name  string
	value func(*Cycle) float64 // NaN where there is none
}

func flag(on bool) float64 {
	if on {
		return 1
	}
	return 0
}

// columns of a cycle, in the order of the files.
var columns = []column{
	{"cycle", func(c *Cycle) float64 { return float64(c.N) }},
	{"start_s", func(c *Cycle) float64 { return c.Start }},
	{"temperature_c", func(c *Cycle) float64 { return c.Temperature }},
	{"open_time_s", func(c *Cycle) float64 { return c.OpenTime }},
	{"close_time_s", func(c *Cycle) float64 { return c.CloseTime }},
	{"longest_run_s", func(c *Cycle) float64 { return c.LongestRun }},
	{"min_supply_v", func(c *Cycle) float64 { return c.MinSupply }},
	{"rest_supply_v", func(c *Cycle) float64 { return c.RestSupply }},
	{"charge_pct", func(c *Cycle) float64 { return 100 * c.Charge }},
	{"drawn_as", func(c *Cycle) float64 { return c.Drawn }},
	{"peak_current_a", func(c *Cycle) float64 { return c.PeakCurrent }},
	{"winding_c", func(c *Cycle) float64 { return c.Winding }},
	{"top_counts", func(c *Cycle) float64 { return float64(c.CountTop) }},
	{"top_height_m", func(c *Cycle) float64 { return c.HeightTop }},
	{"top_error_pulses", func(c *Cycle) float64 { return c.ErrorTop }},
	{"floor_counts", func(c *Cycle) float64 { return float64(c.CountFloor) }},
	{"floor_height_m", func(c *Cycle) float64 { return c.HeightFloor }},
	{"floor_error_pulses", func(c *Cycle) float64 { return c.ErrorFloor }},
	{"taught_pulses", func(c *Cycle) float64 { return float64(c.Taught) }},
	{"presses", func(c *Cycle) float64 { return float64(c.Presses) }},
	{"refused", func(c *Cycle) float64 { return float64(c.Refused) }},
	{"refused_supply_v", func(c *Cycle) float64 { return c.RefusedAt }},
	{"reversals", func(c *Cycle) float64 { return float64(c.Reversals) }},
	{"opened", func(c *Cycle) float64 { return flag(c.Opened) }},
	{"closed", func(c *Cycle) float64 { return flag(c.Closed) }},
	{"retrained", func(c *Cycle) float64 { return flag(c.Retrained) }},
	{"counterbalance_pct", func(c *Cycle) float64 { return 100 * c.Wear.Spring }},
	{"closing_spring_pct", func(c *Cycle) float64 { return 100 * c.Wear.Closing }},
	{"friction_pct", func(c *Cycle) float64 { return 100 * c.Wear.Friction }},
	{"slip_up_pct", func(c *Cycle) float64 { return 100 * c.Wear.SlipUp }},
	{"slip_down_pct", func(c *Cycle) float64 { return 100 * c.Wear.SlipDown }},
	{"gap_speed_m_s", func(c *Cycle) float64 { return c.Wear.GapSpeed }},
	{"battery_age_pct", func(c *Cycle) float64 { return 100 * c.Wear.Age }},
}

// WriteCSV writes a line a cycle: the columns, then the alarms by name, then how
// the taught travel did not fit. A cell is empty where there is no value.
func (r *Result) WriteCSV(w io.Writer) error {
	out := bufio.NewWriter(w)
	for _, c := range columns {
		out.WriteString(c.name)
		out.WriteByte(',')
	}
	out.WriteString("alarms,misfit\n")
	var line []byte
	for i := range r.Cycles {
		c := &r.Cycles[i]
		line = line[:0]
		for _, col := range columns {
			if v := col.value(c); !math.IsNaN(v) {
				line = strconv.AppendFloat(line, round(v), 'f', -1, 64)
			}
			line = append(line, ',')
		}
		line = append(line, alarmWords(c.Alarms)...)
		line = append(line, ',')
		line = append(line, c.Misfit.String()...)
		line = append(line, '\n')
		out.Write(line)
	}
	return out.Flush() // the first error of any write
}

// round keeps a millionth: more than any sensor, few enough digits to read.
func round(v float64) float64 { return math.Round(v*1e6) / 1e6 }

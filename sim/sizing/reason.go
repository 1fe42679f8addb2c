package sizing

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// The words of answers. Figures in SI with their unit.

// signs writes minus signs as such.
func signs(text string) string {
	var out strings.Builder
	for i, r := range text {
		if r == '-' && (i == 0 || text[i-1] == ' ') && i+1 < len(text) && text[i+1] >= '0' && text[i+1] <= '9' {
			r = '−'
		}
		out.WriteRune(r)
	}
	return out.String()
}

func percentText(x float64) string {
	return strings.Replace(strconv.FormatFloat(100*x, 'f', -1, 64), "-", "−", 1) + " %"
}

// RoundCycles writes cycles with the two digits that an estimate has.
func RoundCycles(n float64) string {
	switch {
	case math.IsInf(n, 1):
		return "without end"
	case n >= 1e7:
		return "over 10 million"
	case n < 1:
		return "none"
	}
	unit := math.Pow(10, math.Max(0, math.Floor(math.Log10(n))-1))
	text := strconv.FormatFloat(math.Round(n/unit)*unit, 'f', 0, 64)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + " " + text[i:]
	}
	return text
}

func staysReason(spare, at float64, rises bool, drifts []Drift) string {
	way := "sinking"
	if rises {
		way = "rising"
	}
	switch {
	case math.IsInf(spare, 1):
		return "the gear locks itself"
	case len(drifts) == 0:
		return fmt.Sprintf("drive engaged and off; the least is against %s at %.2f m", way, at)
	}
	var parts []string
	for _, d := range drifts {
		way = "sinks"
		if d.Up {
			way = "rises"
		}
		parts = append(parts, fmt.Sprintf("%s between %.2f and %.2f m", way, d.From, d.To))
	}
	return "drive engaged and off, it " + strings.Join(parts, " and ")
}

func (r *Result) windowReason(n float64) string {
	w := &r.Window
	if !w.Open() {
		return fmt.Sprintf("no number of turns will do: %s below %.2f, and %s above %.2f", w.LowBy, w.Low, w.HighBy, w.High)
	}
	text := fmt.Sprintf("%.2f turns; works from %.2f (%s) to %.2f (%s)", n, w.Low, w.LowBy, w.High, w.HighBy)
	if !math.IsNaN(r.Recommended) {
		text += fmt.Sprintf("; recommended %.2f", r.Recommended)
	}
	return text
}

func handReason(force, at float64, done, alone string) string {
	if force <= 0 {
		return "it " + alone + " by itself at every height"
	}
	return fmt.Sprintf("the most, %s at %.2f m", done, at)
}

func (r *Result) openingReason(g *rig, t, stall float64) string {
	if math.IsInf(t, 1) {
		if stall < g.step {
			return "the motor does not start it"
		}
		return fmt.Sprintf("the motor stalls at %.2f m", stall)
	}
	return paceText(&r.Up)
}

// paceText is how slow a run gets, by the balance of forces.
func paceText(t *Travel) string {
	if !finite(t.Time) {
		return fmt.Sprintf("by the balance of forces it would stall at %.2f m, and is swung through by its momentum", t.StallAt)
	}
	return fmt.Sprintf("slowest %.2f m/s", t.Slowest)
}

func (r *Result) closingReason(g *rig, t, stall float64) string {
	top := g.p.Track.Opening
	switch {
	case math.IsInf(t, 1) && g.pull[pieces] <= g.breakaway:
		return "the open curtain does not come down by itself, and the cable cannot push: too little closing spring"
	case math.IsInf(t, 1) && stall > top-g.step:
		return "the motor does not start it"
	case math.IsInf(t, 1):
		return fmt.Sprintf("it stops at %.2f m", stall)
	}
	text := paceText(&r.Down)
	if s := r.Simulation; s != nil && s.Closing.Slack > slackWorthTelling {
		text += fmt.Sprintf("; the drive outruns the curtain by up to %.0f mm of slack cable", 1000*s.Closing.Slack)
	}
	return text
}

// slackWorthTelling, m: less is the play of a start.
const slackWorthTelling = 0.03

// Figure writes a value of an aspect with its unit.
func (a Aspect) Figure(x float64) string {
	i := a.Info()
	switch {
	case math.IsNaN(x):
		return "not known"
	case math.IsInf(x, 1) && i.More:
		return "no limit"
	case math.IsInf(x, 0):
		return "never"
	case a == SpringLife && x < 1:
		return "none"
	case a == SpringLife:
		return RoundCycles(x) + " cycles"
	}
	text := strconv.FormatFloat(x*i.Scale, 'f', i.Places, 64)
	if strings.Trim(text, "-0.") == "" { // no minus before a zero
		text = strings.TrimPrefix(text, "-")
	}
	return strings.Replace(text, "-", "−", 1) + " " + i.Unit
}

// Number writes a value of an input without its unit.
func (in *Input) Number(x float64) string {
	if in.Dimension == "wire gauge" && x <= 0 {
		return fmt.Sprintf("%.0f/0", 1-x)
	}
	return strings.Replace(strconv.FormatFloat(math.Round(x*in.Scale*1e6)/1e6, 'g', 4, 64), "-", "−", 1)
}

// Text writes a value of an input with its unit.
func (in *Input) Text(x float64) string { return in.Number(x) + " " + in.Unit }

func (t Tolerance) String() string {
	if t.Share {
		return fmt.Sprintf("%s ±%.4g %%", t.Input.Name, 100*t.By)
	}
	unit := t.Input.Unit
	if unit == "°C" { // a difference
		unit = "K"
	}
	return fmt.Sprintf("%s ±%.4g %s", t.Input.Name, t.By*t.Input.Scale, unit)
}

// DriftText tells where a door does not stay, and by how much.
func DriftText(list []Drift) string {
	if len(list) == 0 {
		return "stays at every height"
	}
	var parts []string
	for _, d := range list {
		way := "sinks"
		if d.Up {
			way = "rises"
		}
		parts = append(parts, fmt.Sprintf("%s between %.2f and %.2f m (%.0f N at %.2f m)", way, d.From, d.To, d.Most, d.At))
	}
	return strings.Join(parts, ", ")
}

package soak

import (
	"fmt"
	"math"
	"strings"

	"slatbench/model"
)

// Result is a whole soak.
type Result struct {
	Config     Config
	Bay        string
	Truck      model.TruckParams
	Cycles     []Cycle
	Milestones []Milestone
	GaveUp     bool // the last cycles failed, and no more were played
}

// Milestone is the first cycle in which something happened.
type Milestone struct {
	ID    string
	Title string
	Cycle int    // 0 when it did not happen
	What  string // its figure, in words
}

// finish finds the milestones.
func (r *Result) finish() {
	r.GaveUp = len(r.Cycles) < r.Config.Cycles
	r.Milestones = []Milestone{
		r.first("taught-travel", "the taught travel no longer fits", func(c *Cycle) (bool, string) {
			return c.Misfit != Fits, c.Misfit.String()
		}),
		r.first("slow-travel", fmt.Sprintf("a travel passes %g s", SlowTravel), func(c *Cycle) (bool, string) {
			what, s := c.slowest()
			return s > SlowTravel, fmt.Sprintf("%s %.1f s", what, s)
		}),
		r.first("low-supply", fmt.Sprintf("the supply falls under %g V", LowSupply), func(c *Cycle) (bool, string) {
			return c.MinSupply < LowSupply, fmt.Sprintf("%.2f V, battery %.0f %%", c.MinSupply, 100*c.Charge)
		}),
		r.first("start-refused", "a start is refused", func(c *Cycle) (bool, string) {
			return c.Refused > 0, strings.TrimSpace(fmt.Sprintf("%.2f V at rest, battery %.0f %%  %s", c.RefusedAt, 100*c.Charge, alarmWords(c.Alarms)))
		}),
		r.first("false-reversal", "a closing turns round with nothing in the way", func(c *Cycle) (bool, string) {
			return c.Reversals > 0, alarmWords(c.Alarms)
		}),
		r.first("incomplete", "the driver gives up", func(c *Cycle) (bool, string) {
			what := "not closed"
			if !c.Opened {
				what = "not opened"
			}
			return !c.Opened || !c.Closed, fmt.Sprintf("%s after %d presses", what, c.Presses)
		}),
	}
}

func (r *Result) first(id, title string, is func(*Cycle) (bool, string)) Milestone {
	m := Milestone{ID: id, Title: title}
	for i := range r.Cycles {
		if yes, what := is(&r.Cycles[i]); yes {
			m.Cycle, m.What = r.Cycles[i].N, what
			break
		}
	}
	return m
}

// slowest is the longer travel of a cycle: one that arrived, or one that was
// driven without arriving.
func (c *Cycle) slowest() (what string, seconds float64) {
	what, seconds = "open", c.OpenTime
	if !(seconds >= c.CloseTime) {
		what, seconds = "close", c.CloseTime
	}
	if !c.Opened || !c.Closed || math.IsNaN(seconds) {
		if c.LongestRun > seconds || math.IsNaN(seconds) {
			return "driven", c.LongestRun
		}
	}
	return what, seconds
}

// Retrainings counts the cycles in which the travel was taught anew.
func (r *Result) Retrainings() int {
	n := 0
	for i := range r.Cycles {
		if r.Cycles[i].Retrained {
			n++
		}
	}
	return n
}

// Span is from the first press to the last cycle's, s.
func (r *Result) Span() float64 {
	if len(r.Cycles) == 0 {
		return 0
	}
	return r.Cycles[len(r.Cycles)-1].Start
}

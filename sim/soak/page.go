package soak

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"strings"
)

//go:embed page.html
var pageText string

var page = template.Must(template.New("page").Parse(pageText))

// pageData is what the page shows.
type pageData struct {
	Heading
	Bay, Played string
	Seed        uint64
	Retrained   string
	Milestones  []pageMilestone
	Plots       []template.HTML
	Laws        []pageLaw
	Rows        []pageRow
	Cautions    string
}

type pageMilestone struct {
	N                    int
	Title, Outcome, What string
	Reached              bool
}

type pageLaw struct{ Part, Law string }

type pageRow struct {
	Cells  []string
	Remark string
}

// WritePage writes one HTML page that needs nothing else, for screen and paper.
func (r *Result) WritePage(w io.Writer, h Heading) error {
	data := pageData{
		Heading: h, Bay: r.Bay, Played: r.played(), Seed: r.Config.Seed, Cautions: Cautions, Laws: r.Config.laws(),
	}
	for i := range r.Milestones {
		m := &r.Milestones[i]
		data.Milestones = append(data.Milestones, pageMilestone{i + 1, m.Title, r.Outcome(m), m.What, m.Cycle > 0})
	}
	if n := r.Retrainings(); n > 0 {
		data.Retrained = counted(n, "cycle")
	}
	for _, p := range panels() {
		data.Plots = append(data.Plots, template.HTML(r.draw(p))) // built of numbers, and of texts that are escaped
	}
	for _, i := range r.shown() {
		data.Rows = append(data.Rows, r.Cycles[i].pageRow())
	}
	return page.Execute(w, data)
}

func (c *Cycle) pageRow() pageRow {
	cell := func(v float64, digits int) string {
		if math.IsNaN(v) {
			return "–"
		}
		return number(v, digits)
	}
	remark := c.remark()
	if words := alarmWords(c.Alarms); words != "" {
		remark = strings.TrimSpace(remark + " (" + words + ")")
	}
	return pageRow{[]string{
		fmt.Sprint(c.N), cell(c.Temperature, 1), cell(c.OpenTime, 2), cell(c.CloseTime, 2), cell(c.RestSupply, 2), cell(c.MinSupply, 2),
		cell(100*c.Charge, 1), cell(c.ErrorTop, 1), cell(c.ErrorFloor, 1), cell(c.PeakCurrent, 1), cell(c.Winding, 1), fmt.Sprint(c.Presses),
	}, remark}
}

// laws words the config for a reader.
func (c *Config) laws() []pageLaw {
	e, r := &c.Encoder, &c.Route
	list := []pageLaw{
		{"counterbalance", c.Spring.words()},
		{"closing spring", c.Closing.words()},
		{"dirt", fmt.Sprintf("dry friction grows by %.3g %% in a thousand cycles, to %.3g %% at most", 100*c.Dirt.Growth, 100*c.Dirt.Most)},
		{"encoder slip", fmt.Sprintf("%.3g %% at first, %.3g %% more in a thousand cycles, while %s", 100*e.Slip, 100*e.SlipGrowth, e.While)},
		{"battery", fmt.Sprintf("%.3g %% of its life in a thousand cycles; %.3g %% charged at first", 100*c.Battery.Aging, 100*c.Charge)},
		{"route", fmt.Sprintf("a stop every %s, %d a day from %s on, the door open for %s; times differ by %.3g %%",
			minutes(r.StopEvery), r.StopsADay, clockWords(r.StartsAt), minutes(r.OpenFor), 100*r.Spread)},
		{"charging", fmt.Sprintf("%.3g A for %s between stops, %.3g A for %s overnight; %.3g %% of it stays, less and less above %.3g %% charge",
			r.DriveAmps, minutes(r.DriveTime), r.NightAmps, minutes(r.NightTime), 100*r.Efficiency, 100*r.TaperAbove)},
		{"weather", fmt.Sprintf("%.3g °C, %.3g K warmer at 15:00 and as much colder at 5:00", c.Weather.Mean-kelvin, c.Weather.Swing)},
	}
	if e.GapPulses > 0 {
		list = append(list, pageLaw{"magnet gap", fmt.Sprintf("%d pulses a turn lost above %.3g m/s, %.3g m/s less in a thousand cycles", e.GapPulses, e.GapSpeed, e.GapFall)})
	}
	return list
}

func (r Relaxation) words() string {
	switch {
	case r.Loss == 0:
		return "as built"
	case r.Law == "logarithmic":
		return fmt.Sprintf("loses %.3g %% in %.6g cycles, and as much again in every tenfold (logarithmic)", 100*r.Loss, 9*r.Over)
	}
	return fmt.Sprintf("loses %.3g %% in the end, 63 %% of that in %.6g cycles (exponential)", 100*r.Loss, r.Over)
}

func minutes(seconds float64) string { return fmt.Sprintf("%.4g min", seconds/60) }

func clockWords(seconds float64) string {
	m := int(math.Round(seconds / 60))
	return fmt.Sprintf("%d:%02d", m/60, m%60)
}

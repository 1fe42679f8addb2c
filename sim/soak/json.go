package soak

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"strconv"
)

// Heading is what a result is about, for whoever reads it.
type Heading struct {
	Title, Truck, Logic string
	Version             string // of the bench
	Replay              string // the command that gives the same again
}

type milestoneJSON struct {
	ID    string `json:"id"`
	Title string `json:"title"`
	Cycle *int   `json:"cycle"` // null when it was not reached
	What  string `json:"what,omitempty"`
}

type resultJSON struct {
	Soak        string          `json:"soak"`
	Truck       string          `json:"truck"`
	Logic       string          `json:"logic"`
	Bay         string          `json:"bay"`
	Seed        uint64          `json:"seed"`
	Asked       int             `json:"cycles_asked"`
	Played      int             `json:"cycles_played"`
	GaveUp      bool            `json:"gave_up"`
	Span        float64         `json:"span_s"`
	Retrainings int             `json:"retrainings"`
	Milestones  []milestoneJSON `json:"milestones"`
	Cycles      []cycleJSON     `json:"cycles"`
	Cautions    string          `json:"cautions"`
}

// WriteJSON writes one object: the milestones, and every cycle with the columns
// of the CSV. What has no value is null.
func (r *Result) WriteJSON(w io.Writer, h Heading) error {
	out := resultJSON{
		Soak: h.Title, Truck: h.Truck, Logic: h.Logic, Bay: r.Bay, Seed: r.Config.Seed,
		Asked: r.Config.Cycles, Played: len(r.Cycles), GaveUp: r.GaveUp, Span: round(r.Span()),
		Retrainings: r.Retrainings(), Milestones: []milestoneJSON{}, Cycles: make([]cycleJSON, len(r.Cycles)), Cautions: Cautions,
	}
	for _, m := range r.Milestones {
		j := milestoneJSON{ID: m.ID, Title: m.Title, What: m.What}
		if m.Cycle > 0 {
			cycle := m.Cycle
			j.Cycle = &cycle
		}
		out.Milestones = append(out.Milestones, j)
	}
	for i := range r.Cycles {
		out.Cycles[i] = cycleJSON{&r.Cycles[i]}
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(out)
}

// cycleJSON writes a cycle by its columns, in their order.
type cycleJSON struct{ *Cycle }

// MarshalJSON implements json.Marshaler.
func (c cycleJSON) MarshalJSON() ([]byte, error) {
	var out bytes.Buffer
	out.WriteByte('{')
	for _, col := range columns {
		out.WriteString(strconv.Quote(col.name))
		out.WriteByte(':')
		if v := col.value(c.Cycle); math.IsNaN(v) || math.IsInf(v, 0) {
			out.WriteString("null")
		} else {
			out.WriteString(strconv.FormatFloat(round(v), 'f', -1, 64))
		}
		out.WriteByte(',')
	}
	alarms := make([]string, 0, len(c.Alarms))
	for _, a := range c.Alarms {
		alarms = append(alarms, a.String())
	}
	list, err := json.Marshal(alarms)
	if err != nil {
		return nil, err
	}
	out.WriteString(`"alarms":`)
	out.Write(list)
	out.WriteString(`,"misfit":` + strconv.Quote(c.Misfit.String()) + "}")
	return out.Bytes(), nil
}

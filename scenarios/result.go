package scenarios

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/require"
)

// Result is what came of a run. As JSON it is the object that docs/scenarios.md
// describes: what there is none of is null, and never NaN.
type Result struct {
	Scenario     string
	Truck        string
	Logic        string
	Seed         uint64
	Duration     float64 // s
	Rated        bool    // service was judged
	Requirements []Judged
	Expectations []Met
	Bays         []BayResult // in the order of the truck
	Alarms       []HeardAlarm
	Silent       []WentSilent
}

// Judged is one requirement's verdict.
type Judged struct {
	ID      string
	Verdict require.Verdict
	Clause  string  // the one with the smallest share
	Margin  float64 // NaN where there is none
	Unit    string
	Share   float64 // margin in shares of its limit; NaN where there is none
	At      float64 // s; NaN where there is none
	Bay     string  // "" where it is about none
	Side    string  // "" where it is about none
	Exempt  *require.Exemption
}

// Met is one expectation, and whether it was met.
type Met struct {
	Text string
	Met  bool
	At   float64 // s at which it was met, or broken; NaN where there is no such instant
}

// BayResult is the figures of one bay.
type BayResult struct {
	Name string
	sim.BayFigures
	Counted bool // the controller lets its count be seen
}

// HeardAlarm is an alarm as somebody beside the truck would have counted it.
type HeardAlarm struct {
	At     float64 // s at which its first pulse began
	Bay    string  // "" for the lock controller
	Alarm  sim.Alarm
	CutOff bool // the end of the run cut its count off
}

// WentSilent is a controller that failed as a whole: its outputs were off from then
// until the next power-on.
type WentSilent struct {
	At  float64 // s
	Bay string  // "" for the lock controller
	Why string
}

func newResult(sc *Scenario, under sim.Logic, b *sim.Bench) *Result {
	return &Result{
		Scenario: sc.Title(), Truck: sc.Truck.Name, Logic: under.Title(), Seed: sc.Seed,
		Duration: b.Seconds(b.Duration()), Rated: sc.rated(),
	}
}

// Violated tells that a requirement is violated and not exempt, or an expectation not met.
func (r *Result) Violated() bool {
	for i := range r.Requirements {
		if r.Requirements[i].Verdict == require.Violated {
			return true
		}
	}
	for i := range r.Expectations {
		if !r.Expectations[i].Met {
			return true
		}
	}
	return false
}

// Verdict is the word for the whole run: holds or violated.
func (r *Result) Verdict() string {
	if r.Violated() {
		return require.Violated.String()
	}
	return require.Holds.String()
}

func bayName(b *sim.Bench, i int) string {
	if i < 0 {
		return ""
	}
	return b.Truck.Bays[i].Params.Name
}

func (r *Result) take(results []require.Result, b *sim.Bench) {
	for i := range results {
		q := &results[i]
		j := Judged{
			ID: q.ID, Verdict: q.Verdict, Clause: q.Clause, Margin: q.Margin, Unit: q.Unit, Share: q.Share,
			At: math.NaN(), Bay: bayName(b, q.Bay), Exempt: q.Exemption,
		}
		if !math.IsNaN(q.Margin) {
			j.At = b.Seconds(q.At)
		}
		if q.Side >= 0 {
			j.Side = model.Side(q.Side).String()
		}
		r.Requirements = append(r.Requirements, j)
	}
}

func (r *Result) expect(x *expecter, b *sim.Bench) {
	for i := range x.list {
		e := &x.list[i]
		m := Met{Text: e.of.String(), Met: e.met, At: math.NaN()}
		if e.met != (e.of.Never != "") { // met at an instant, or broken at one
			m.At = b.Seconds(e.at)
		}
		r.Expectations = append(r.Expectations, m)
	}
}

func (r *Result) hear(heard []sim.Heard, whole int, b *sim.Bench) {
	for i, h := range heard {
		r.Alarms = append(r.Alarms, HeardAlarm{b.Seconds(h.From), bayName(b, h.Bay), h.Alarm, i >= whole})
	}
}

func (r *Result) silences(list []sim.Silence, b *sim.Bench) {
	for _, s := range list {
		r.Silent = append(r.Silent, WentSilent{b.Seconds(s.At), bayName(b, s.Bay), s.Why})
	}
}

func (r *Result) figure(f *sim.Figures, b *sim.Bench) {
	for i := range f.Bays {
		c, _ := b.Door(i)
		_, tells := c.(sim.Teller)
		r.Bays = append(r.Bays, BayResult{bayName(b, i), f.Bays[i], tells})
	}
}

// MarshalJSON implements json.Marshaler.
func (r *Result) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Scenario     string       `json:"scenario"`
		Seed         uint64       `json:"seed"`
		Duration     seconds      `json:"duration_s"`
		Verdict      string       `json:"verdict"`
		Requirements []Judged     `json:"requirements"`
		Expectations []Met        `json:"expectations"`
		Bays         bayTable     `json:"bays"`
		Alarms       []HeardAlarm `json:"alarms"`
		Silent       []WentSilent `json:"silent,omitempty"`
	}{
		r.Scenario, r.Seed, seconds(r.Duration), r.Verdict(),
		orNone(r.Requirements), orNone(r.Expectations), r.Bays, orNone(r.Alarms), r.Silent,
	})
}

// orNone turns no list into an empty one, which JSON writes as [].
func orNone[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// MarshalJSON implements json.Marshaler.
func (j Judged) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		ID      string   `json:"id"`
		Verdict string   `json:"verdict"`
		Margin  measured `json:"margin"`
		Unit    *string  `json:"unit"`
		At      seconds  `json:"at_s"`
		Bay     *string  `json:"bay"`
	}{j.ID, j.Verdict.String(), measured(j.Margin), textOrNull(j.Unit), seconds(j.At), textOrNull(j.Bay)})
}

// MarshalJSON implements json.Marshaler.
func (m Met) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Text string  `json:"expectation"`
		Met  bool    `json:"met"`
		At   seconds `json:"at_s"`
	}{m.Text, m.Met, seconds(m.At)})
}

// MarshalJSON implements json.Marshaler. A count that the end of the run cut off
// may be any alarm of at least so many pulses: it is null.
func (h HeardAlarm) MarshalJSON() ([]byte, error) {
	alarm := textOrNull(h.Alarm.String())
	if h.CutOff {
		alarm = nil
	}
	return json.Marshal(struct {
		At    seconds `json:"t_s"`
		Bay   *string `json:"bay"`
		Alarm *string `json:"alarm"`
	}{seconds(h.At), textOrNull(h.Bay), alarm})
}

// MarshalJSON implements json.Marshaler.
func (s WentSilent) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		At  seconds `json:"t_s"`
		Bay *string `json:"bay"`
		Why string  `json:"why"`
	}{seconds(s.At), textOrNull(s.Bay), s.Why})
}

// MarshalJSON implements json.Marshaler.
func (b BayResult) MarshalJSON() ([]byte, error) {
	var counts *int
	if b.Counted {
		counts = &b.Counts
	}
	return json.Marshal(struct {
		OpenTime    seconds  `json:"open_time_s"`
		CloseTime   seconds  `json:"close_time_s"`
		MinSupply   measured `json:"min_supply_v"`
		PeakCurrent measured `json:"peak_current_a"`
		PeakContact measured `json:"peak_contact_n"`
		FinalHeight measured `json:"final_height_m"`
		FinalCounts *int     `json:"final_counts"`
	}{
		seconds(b.OpenTime), seconds(b.CloseTime), measured(b.MinSupply), measured(b.PeakCurrent),
		measured(b.PeakContact), measured(b.Height), counts,
	})
}

// bayTable is the bays by name, in the order of the truck.
type bayTable []BayResult

// MarshalJSON implements json.Marshaler.
func (t bayTable) MarshalJSON() ([]byte, error) {
	var out bytes.Buffer
	out.WriteByte('{')
	for i := range t {
		if i > 0 {
			out.WriteByte(',')
		}
		name, err := json.Marshal(t[i].Name)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(t[i])
		if err != nil {
			return nil, err
		}
		out.Write(name)
		out.WriteByte(':')
		out.Write(value)
	}
	out.WriteByte('}')
	return out.Bytes(), nil
}

func textOrNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// measured is a number of six digits, more than anything on a truck can be
// measured to; what is not a number is null.
type measured float64

// MarshalJSON implements json.Marshaler.
func (m measured) MarshalJSON() ([]byte, error) { return jsonNumber(float64(m), 'g', 6) }

// seconds is a time to 0.1 ms, the finest time step.
type seconds float64

// MarshalJSON implements json.Marshaler.
func (s seconds) MarshalJSON() ([]byte, error) {
	return jsonNumber(math.Round(float64(s)*1e4)/1e4, 'f', -1)
}

func jsonNumber(x float64, format byte, digits int) ([]byte, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return []byte("null"), nil
	}
	return strconv.AppendFloat(nil, x, format, digits, 64), nil
}

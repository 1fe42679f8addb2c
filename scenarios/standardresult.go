package scenarios

import (
	"encoding/json"
	"math"

	"slatbench/sim/logic"
)

// StandardResult is what came of a standard test. As JSON it is one object; what
// there is none of is null.
type StandardResult struct {
	Test  *StandardTest
	Logic string // name of the table
	Rows  []TrialRow
}

// RunStandard makes all trials of a standard test with controllers that run the
// table. progress may be nil.
func RunStandard(st *StandardTest, table *logic.Table, progress func(done, all int)) (*StandardResult, error) {
	rows, err := st.Run(table, progress)
	if err != nil {
		return nil, Problems{{st.Truck.Pos(), err.Error(), ""}}
	}
	return &StandardResult{st, table.Name, rows}, nil
}

// Missed is how many trials missed a limit.
func (r *StandardResult) Missed() (n int) {
	for i := range r.Rows {
		if !r.Rows[i].Passed {
			n++
		}
	}
	return n
}

// Verdict is the word for the whole test: holds or violated.
func (r *StandardResult) Verdict() string {
	if r.Missed() > 0 {
		return "violated"
	}
	return "holds"
}

// MarshalJSON implements json.Marshaler.
func (r *StandardResult) MarshalJSON() ([]byte, error) {
	l := &r.Test.Limits
	return json.Marshal(struct {
		Test    string     `json:"standard_test"`
		After   string     `json:"after"`
		Edition string     `json:"edition"`
		Kind    string     `json:"kind"`
		Caution string     `json:"caution"`
		Truck   string     `json:"truck"`
		Logic   string     `json:"logic"`
		Bay     string     `json:"bay"`
		Object  measured   `json:"object_n_per_m"`
		Verdict string     `json:"verdict"`
		Limits  jsonLimits `json:"limits"`
		Trials  []TrialRow `json:"trials"`
	}{
		r.Test.Name, r.Test.After, r.Test.Edition, string(r.Test.Kind), StandardCaution, r.Test.Truck.Name, r.Logic,
		r.Test.Bay, measured(r.Test.Stiffness), r.Verdict(),
		jsonLimits{optional(l.Reversal), optional(l.Rise), optional(l.LowerEnd), optional(l.Peak), optional(l.Above), optional(l.Static)},
		orNone(r.Rows),
	})
}

// StandardCaution goes with every result of a standard test.
const StandardCaution = "The standard was written for other kinds of door. It is used as a yardstick, and says nothing about conformity."

// jsonLimits are the limits in SI units; null where there is none.
type jsonLimits struct {
	Reversal measured `json:"reversal_s"`
	Rise     measured `json:"rise_m"`
	LowerEnd measured `json:"lower_end_s"`
	Peak     measured `json:"peak_n"`
	Above    measured `json:"above_150_n_s"`
	Static   measured `json:"static_n"`
}

func optional(x *float64) measured {
	if x == nil {
		return measured(math.NaN())
	}
	return measured(*x)
}

// MarshalJSON implements json.Marshaler. A height of null is the run without an object.
func (t TrialRow) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Arrangement string   `json:"arrangement"`
		Condition   string   `json:"condition"`
		Height      measured `json:"height_m"`
		Passed      bool     `json:"kept"`
		Why         *string  `json:"missed"`
		Contact     seconds  `json:"contact_s"`
		Reversal    seconds  `json:"reversal_s"`
		Rise        measured `json:"rise_m"`
		Open        bool     `json:"open_at_end"`
		Turned      seconds  `json:"turned_s"`
		Closed      seconds  `json:"closed_s"`
		Peak        measured `json:"peak_n"`
		Above       seconds  `json:"above_150_n_s"`
		Static      measured `json:"static_n"`
		Residual    measured `json:"after_5_s_n"`
		Slack       measured `json:"peak_slack_m"`
	}{
		t.Arrangement, t.Condition, measured(t.Height), t.Passed, textOrNull(t.Why), seconds(t.Contact), seconds(t.Reversal),
		measured(t.Rise), t.Open, seconds(t.Turned), seconds(t.Closed), measured(t.Peak), seconds(t.Above),
		measured(t.Static), measured(t.Residual), measured(t.PeakSlack),
	})
}

package main

import (
	"encoding/json"
	"io"
	"math"
	"strings"

	"slatbench/sim/sizing"
)

// number is a figure of JSON: null where there is none.
type number float64

// MarshalJSON implements json.Marshaler.
func (n number) MarshalJSON() ([]byte, error) {
	if x := float64(n); absent(x) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

type sizeJSON struct {
	Size        string        `json:"size"`
	Verdict     string        `json:"verdict"`
	Answers     []answerJSON  `json:"answers"`
	Balance     []balanceJSON `json:"balance"`
	Drifts      driftsJSON    `json:"drifts"`
	Turns       turnsJSON     `json:"turns"`
	Springs     []springJSON  `json:"springs"`
	RateNm      number        `json:"rate_nm_per_turn"`
	Opening     travelJSON    `json:"opening"`
	Closing     travelJSON    `json:"closing"`
	PerCycleAs  number        `json:"cycle_as"`
	EnergyJ     number        `json:"cycle_j"`
	BetweenAs   number        `json:"other_loads_as"`
	BatteryV    number        `json:"battery_v"`
	BatteryOhm  number        `json:"battery_ohm"`
	HarnessOhm  number        `json:"harness_ohm"`
	Map         *mapJSON      `json:"map,omitempty"`
	Trucks      *fleetJSON    `json:"trucks,omitempty"`
	Replay      string        `json:"replay"`
	Cautions    string        `json:"cautions"`
	Temperature number        `json:"temperature_c"`
}

type answerJSON struct {
	ID      string `json:"id"`
	Name    string `json:"name"`
	Verdict string `json:"verdict"`
	Value   number `json:"value"`
	Unit    string `json:"unit"`
	Pass    number `json:"pass"`
	Fail    number `json:"fail"`
	Score   number `json:"score"`
	Reason  string `json:"reason"`
	Fix     string `json:"fix,omitempty"`
	Source  string `json:"limit_source"`
}

type balanceJSON struct {
	Height   number `json:"height_m"`
	Gravity  number `json:"gravity_n"`
	Closing  number `json:"closing_spring_n"`
	Spring   number `json:"spring_n"`
	Net      number `json:"net_n"`
	Band     number `json:"friction_band_n"`
	HandUp   number `json:"hand_up_n"`
	HandDown number `json:"hand_down_n"`
	HeldUp   number `json:"spare_up_n"`
	HeldDown number `json:"spare_down_n"`
}

type driftJSON struct {
	From  number `json:"from_m"`
	To    number `json:"to_m"`
	Rises bool   `json:"rises"`
	Lacks number `json:"lacks_n"`
}

type driftsJSON struct {
	Engaged  []driftJSON `json:"engaged"`
	Released []driftJSON `json:"released"`
}

type turnsJSON struct {
	Asked       number `json:"asked"`
	Low         number `json:"works_from"`
	High        number `json:"works_to"`
	LowBy       string `json:"below"`
	HighBy      string `json:"above"`
	PassLow     number `json:"passes_from"`
	PassHigh    number `json:"passes_to"`
	Recommended number `json:"recommended"`
}

type springJSON struct {
	Name       string `json:"name"`
	Rate       number `json:"rate_nm_per_turn"`
	Torque     number `json:"torque_nm"`
	Index      number `json:"index"`
	Stress     number `json:"stress_pa"`
	StressOpen number `json:"stress_open_pa"`
	Allowable  number `json:"sets_at_pa"`
	Strength   number `json:"strength_pa"`
	Life       number `json:"life_cycles"`
	LifeLow    number `json:"life_low_cycles"`
	LifeHigh   number `json:"life_high_cycles"`
	Length     number `json:"length_m"`
	Wound      number `json:"wound_length_m"`
	Inside     number `json:"wound_inside_m"`
	Other      string `json:"other_convention"`
	OtherRate  number `json:"other_rate_nm_per_turn"`
}

type travelJSON struct {
	Simulated  number `json:"simulated_s"`
	Quadrature number `json:"quadrature_s"`
	Applies    bool   `json:"quadrature_applies"`
	StallAt    number `json:"stall_at_m"`
	MinSupply  number `json:"min_supply_v"`
	PeakAmps   number `json:"peak_a"`
	Cable      number `json:"peak_cable_n"`
	Slack      number `json:"peak_slack_m"`
}

type axisJSON struct {
	Input string   `json:"input"`
	Unit  string   `json:"unit"`
	At    []number `json:"at"`
}

type sizeCellJSON struct {
	Verdict string `json:"verdict"`
	Opening number `json:"opening_s"`
	Closing number `json:"closing_s"`
	Worst   string `json:"worst,omitempty"`
	Score   number `json:"score"`
	Refused string `json:"refused,omitempty"`
}

type mapJSON struct {
	X    axisJSON         `json:"x"`
	Y    axisJSON         `json:"y"`
	Rows [][]sizeCellJSON `json:"rows"`
}

type influenceJSON struct {
	Tolerance string `json:"tolerance"`
	First     number `json:"first_order"`
	FirstErr  number `json:"first_order_half_95"`
	Total     number `json:"total"`
}

type fleetJSON struct {
	Trucks     int             `json:"trucks"`
	Seed       uint64          `json:"seed"`
	Passing    int             `json:"all_pass"`
	PassLow    number          `json:"all_pass_low_95"`
	PassHigh   number          `json:"all_pass_high_95"`
	Working    int             `json:"none_fails"`
	WorkLow    number          `json:"none_fails_low_95"`
	WorkHigh   number          `json:"none_fails_high_95"`
	Opening    []number        `json:"opening_s_5_50_95"`
	Closing    []number        `json:"closing_s_5_50_95"`
	Failing    map[string]int  `json:"failing"`
	Influence  []influenceJSON `json:"influence"`
	On         string          `json:"influence_on"`
	HowReached string          `json:"influence_method"`
}

func (s *sized) writeJSON(out io.Writer) error {
	r := s.result
	q := r.Question
	j := sizeJSON{
		Size: s.file.Name, Verdict: r.Verdict.String(), RateNm: number(q.Rate()), Temperature: number(q.Ambient.Temperature),
		Drifts: driftsJSON{driftList(r.Engaged), driftList(r.Freed)},
		Turns: turnsJSON{
			Asked: number(q.Bay.Counterbalance.InitialTurns), Low: number(r.Window.Low), High: number(r.Window.High),
			LowBy: r.Window.LowBy, HighBy: r.Window.HighBy, PassLow: number(r.Good.Low), PassHigh: number(r.Good.High), Recommended: number(r.Recommended),
		},
		Opening:    travelOf(&r.Simulation.Opening, &r.Up),
		Closing:    travelOf(&r.Simulation.Closing, &r.Down),
		PerCycleAs: number(r.PerCycle), EnergyJ: number(r.Energy), BetweenAs: number(r.Between),
		BatteryV: number(r.OpenVolts), BatteryOhm: number(r.Internal), HarnessOhm: number(r.HarnessOhms),
		Springs: []springJSON{}, Replay: s.replay, Cautions: sizeCaution,
	}
	if !r.Good.Open() {
		j.Turns.PassLow, j.Turns.PassHigh = number(math.NaN()), number(math.NaN())
	}
	for i := range r.Answers {
		a := &r.Answers[i]
		info := a.Aspect.Info()
		j.Answers = append(j.Answers, answerJSON{
			info.ID, info.Name, a.Verdict.String(), number(a.Value * info.Scale), info.Unit, number(a.Limit.Pass * info.Scale), number(a.Limit.Fail * info.Scale),
			number(a.Score), a.Reason, a.Fix, info.Source,
		})
	}
	for _, p := range r.Balance {
		j.Balance = append(j.Balance, balanceJSON{number(p.Height), number(p.Gravity), number(p.Closing), number(p.Spring), number(p.Net),
			number(p.Band), number(p.HandUp), number(p.HandDown), number(p.HeldUp), number(p.HeldDown)})
	}
	for i := range r.Springs {
		f := &r.Springs[i]
		j.Springs = append(j.Springs, springJSON{
			f.Name, number(f.Rate), number(f.Torque), number(f.Index), number(f.Stress), number(math.Max(0, f.StressOpen)), number(f.Allowable), number(f.Strength),
			number(f.Life), number(f.LifeLow), number(f.LifeHigh), number(f.Length), number(f.WoundLength), number(f.WoundInnerDia),
			f.OtherConvention.String(), number(f.RateByOtherConvention),
		})
	}
	if s.study != nil {
		j.Map = mapOf(s.study)
	}
	if s.fleet != nil {
		j.Trucks = fleetOf(s.fleet)
	}
	return encode(out, &j)
}

func encode(out io.Writer, what any) error {
	e := json.NewEncoder(out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(what)
}

func driftList(list []sizing.Drift) []driftJSON {
	out := []driftJSON{}
	for _, d := range list {
		out = append(out, driftJSON{number(d.From), number(d.To), d.Up, number(d.Most)})
	}
	return out
}

func travelOf(r *sizing.Run, t *sizing.Travel) travelJSON {
	return travelJSON{number(r.Time), number(t.Time), t.Applies, number(r.StallAt), number(r.Volts), number(r.Amps), number(r.Cable), number(r.Slack)}
}

func axisOf(a *sizing.Axis) axisJSON {
	j := axisJSON{Input: a.Input.Name, Unit: a.Input.Unit}
	for _, x := range a.At {
		j.At = append(j.At, number(math.Round(x*a.Input.Scale*1e9)/1e9))
	}
	return j
}

func mapOf(m *sizing.Map) *mapJSON {
	j := &mapJSON{X: axisOf(&m.X), Y: axisOf(&m.Y)}
	for y := range m.Y.At {
		var row []sizeCellJSON
		for x := range m.X.At {
			c := m.At(x, y)
			one := sizeCellJSON{Verdict: c.Verdict.String(), Opening: number(c.Opening), Closing: number(c.Closing), Score: number(c.Score), Refused: c.Refused}
			if c.Verdict >= sizing.Marginal {
				one.Worst = c.Worst.Info().ID
			}
			row = append(row, one)
		}
		j.Rows = append(j.Rows, row)
	}
	return j
}

func fleetOf(f *sizing.Fleet) *fleetJSON {
	j := &fleetJSON{
		Trucks: f.Trucks, Seed: f.Seed, Passing: f.Passing, PassLow: number(f.PassLow), PassHigh: number(f.PassHigh),
		Working: f.Working, WorkLow: number(f.WorkLow), WorkHigh: number(f.WorkHigh), Failing: map[string]int{}, On: f.On, HowReached: sizing.InfluenceMethod,
	}
	for i := range f.Opening {
		j.Opening, j.Closing = append(j.Opening, number(f.Opening[i])), append(j.Closing, number(f.Closing[i]))
	}
	for a, n := range f.FailedBy {
		if n > 0 {
			j.Failing[sizing.Aspect(a).Info().ID] = n
		}
	}
	for i := range f.Influence {
		x := &f.Influence[i]
		j.Influence = append(j.Influence, influenceJSON{strings.ReplaceAll(x.Tolerance.String(), "±", "+-"), number(x.First), number(x.FirstErr), number(x.Total)})
	}
	return j
}

type candidateJSON struct {
	Rank      int      `json:"rank"`
	Springs   []string `json:"springs"`
	Verdict   string   `json:"verdict"`
	Turns     number   `json:"initial_turns"`
	Rate      number   `json:"rate_nm_per_turn"`
	Low       number   `json:"works_from"`
	High      number   `json:"works_to"`
	Margin    number   `json:"margin_turns"`
	Score     number   `json:"score"`
	Worst     string   `json:"worst"`
	Stress    number   `json:"stress_share"`
	Life      number   `json:"life_cycles"`
	Length    number   `json:"wound_length_m"`
	Cost      number   `json:"cost"`
	Opening   number   `json:"opening_s"`
	Closing   number   `json:"closing_s"`
	Simulated bool     `json:"simulated"`
}

type rejectionJSON struct {
	Why   string `json:"why"`
	Count int    `json:"count"`
}

type pickJSON struct {
	Size     string          `json:"size"`
	List     string          `json:"list"`
	By       string          `json:"by"`
	Tried    int             `json:"tried"`
	Fit      int             `json:"fit"`
	Ranking  []candidateJSON `json:"ranking"`
	Rejected []rejectionJSON `json:"rejected"`
	Replay   string          `json:"replay"`
	Cautions string          `json:"cautions"`
}

func (p *picked) writeJSON(out io.Writer) error {
	j := pickJSON{
		Size: p.file.Name, List: p.list, By: p.by, Tried: p.result.Tried, Fit: len(p.result.Fits),
		Ranking: []candidateJSON{}, Rejected: []rejectionJSON{}, Replay: p.replay, Cautions: sizeCaution,
	}
	for i := range p.result.Fits[:min(p.top, len(p.result.Fits))] {
		c := &p.result.Fits[i]
		one := candidateJSON{
			Rank: i + 1, Verdict: c.Verdict.String(), Turns: number(c.Turns), Rate: number(c.Rate), Low: number(c.Window.Low), High: number(c.Window.High),
			Margin: number(c.Margin), Score: number(c.Score), Worst: c.Worst.Info().ID, Stress: number(c.Stress), Life: number(c.Life), Length: number(c.Length),
			Cost: number(c.Cost), Opening: number(c.Opening), Closing: number(c.Closing), Simulated: c.Simulated,
		}
		for _, k := range c.Springs {
			one.Springs = append(one.Springs, p.result.List[k].Name)
		}
		j.Ranking = append(j.Ranking, one)
	}
	for _, x := range p.result.Rejected {
		j.Rejected = append(j.Rejected, rejectionJSON{x.Why, x.Count})
	}
	return encode(out, &j)
}

package campaign_test

import (
	"context"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatbench/scenarios"
	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

// A small campaign against the shipped logic: with no fault, and with any single
// one, nothing is violated that is not exempt.
func TestSmallCampaign(t *testing.T) {
	for most, runs := range []uint64{0: 200, 1: 700} {
		p := defaultPlan(most)
		tally := campaign.NewTally()
		err := campaign.Run(context.Background(), p, running(p, shipped(t)), 0, runs, runtime.GOMAXPROCS(0), func(c *campaign.Case, o campaign.Outcome) error {
			tally.Add(c, o)
			report(t.Errorf, c, o)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		for i := range tally.Requirements {
			if id := require.IDs[i]; tally.Requirements[i].Exercised == 0 && !(id == "service" && most > 0) {
				t.Errorf("of %d faults at most: %s was never put to the test", most, id)
			}
		}
	}
}

// Runs that once violated, and what they taught: a landing that a deaf edge does
// not tell; a current sensor that is dead at the stop; a door that still rises as its motor
// labours; a cargo that lets go; floors above which a press had stopped a door; end switches that
// stick as a bar leaves; a teaching that a cargo stopped 26 mm below the stop; a loss of power in
// the run after a teaching; a count that a reset had cut off; a contact that opened for a moment;
// a release that caught again as the drive was cut; a hand on the bypass as a teaching turns; a
// request in the tick in which a stroke has failed; a switch that says locked of a bar on its way
// home; a teaching at a jam; a spring that snags as a door starts to close; a release pulled at the
// floor, and under way; a counterbalance too weak for the motor; noise that a floor had set right; a jam
// just short of the stop after a teaching that was given up; a door that opens to a jam that was taught;
// a lead that is off as a door turns, and as somebody presses; a curtain stopped on slack cable;
// a curtain that had slowed down, and was thrown back; a count far above the stop; a lead that came off as a door began to close;
// a jam half way up that lets the door by; cargo that slows a curtain down until its drive is cut;
// noise before and after a floor; a first teaching at a jam; a wire that is mended before its alarm has begun; a teaching of a
// door that lies in its seal; a jam that was taken for the stop after a reset; a release pulled just above the floor; a count that noise had
// taken below the floor; a door that its motor held just above the sill; a press while a welded contact drives a curtain on; a curtain that rolls to rest on its sill, and one that rests on something low; a spring that takes up its load again under way;
// a door without an edge that comes fast onto its seal, its count far too high, and that is thrown back by what it meets.
func TestRunsThatOnceViolated(t *testing.T) {
	for seed, runs := range map[uint64][]uint64{
		2026: {3324, 6849, 10998, 11406, 17023, 23933, 25292, 26658, 28527, 30643, 31633,
			132087, 177484, 165079, 193356, 112446, 40582, 182373, 106913, 117868, 130783, 195287, 170563, 25867, 9032, 212664, 297838, 248370, 450381, 434881, 742291},
		78: {4778}, 80: {1939},
		2027:  {4311, 37973, 62736, 80024, 90918, 45736, 47618, 20808, 58122, 92632, 43408, 360},
		11:    {149},
		2028:  {36936, 30269, 54730, 67424, 434, 27476, 145747, 88543, 137361},
		2029:  {78084, 96293},
		31003: {2939},
		3001:  {12192, 23312, 38325, 76815},
		4001:  {1520},
	} {
		playAgain(t, defaultPlan(1), seed, nil, runs)
	}
	playAgain(t, defaultPlan(1), 7008, []string{"added-friction", "leaning-cargo", "weak-counterbalance", "broken-counterbalance"}, []uint64{15646})
	for seed, runs := range map[uint64][]uint64{1: {573}, 2: {2222, 2346}} {
		playAgain(t, withoutEdges(t), seed, nil, runs)
	}
	playAgain(t, withoutEdges(t), 1, []string{"failed-current-sensor"}, []uint64{952})
}

// withoutEdges is a plan of one fault at most for the truck without sensing edges.
func withoutEdges(t *testing.T) *campaign.Plan {
	t.Helper()
	l := scenarios.Loader{Shipped: scenarios.Shipped()}
	truck, err := l.LoadTruck("trucks/produce-4bay-no-edge.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return &campaign.Plan{Truck: truck.Params(), Faults: 1}
}

// playAgain plays runs of a plan with a seed, drawn for some kinds of fault or for all.
func playAgain(t *testing.T, p *campaign.Plan, seed uint64, only []string, runs []uint64) {
	p.Seed, p.Only = seed, only
	pl := campaign.NewPlayer(p, running(p, shipped(t)))
	for _, index := range runs {
		c := p.DrawPlain(index) // as it was before there were corners
		report(t.Errorf, c, pl.Play(c))
		if p.Corner(index) >= 0 {
			c = p.Draw(index)
			report(t.Errorf, c, pl.Play(c))
		}
	}
}

// The same as a property of any index at all.
func TestAnyIndex(t *testing.T) {
	p, table := defaultPlan(1), shipped(t)
	pl := campaign.NewPlayer(p, running(p, table))
	rapid.Check(t, func(r *rapid.T) {
		c := p.Draw(rapid.Uint64().Draw(r, "index"))
		report(r.Errorf, c, pl.Play(c))
	})
}

// report fails for each violation, with what it takes to play it again.
func report(fail func(format string, args ...any), c *campaign.Case, o campaign.Outcome) {
	if o.Err != nil {
		fail("seed %d, index %d: %v", c.Seed, c.Index, o.Err)
	}
	for i := range o.Results {
		if r := &o.Results[i]; r.Verdict == require.Violated {
			fail("seed %d, index %d: %s (%s) by %.4g %s at %.3f s, bay %d, side %d, with %s", c.Seed, c.Index,
				r.ID, r.Clause, r.Margin, r.Unit, float64(r.At)*1e-3, r.Bay, r.Side, wrong(c))
		}
	}
}

// wrong is what was wrong in a case, in words.
func wrong(c *campaign.Case) string {
	var list []string
	for _, f := range c.Faults {
		list = append(list, fmt.Sprintf("%s at %d from %g s to %g s %v", f.Kind, f.Place, f.From, f.Until, f.Values))
	}
	if list == nil {
		return "nothing wrong"
	}
	return strings.Join(list, "; ")
}

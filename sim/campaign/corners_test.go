package campaign_test

import (
	"flag"
	"math"
	"reflect"
	"slices"
	"testing"

	"slatbench/sim/campaign"
	"slatbench/sim/fault"
)

var cornerSeed = flag.Uint64("corners.seed", 1, "the seed of the corners that are played")

// A run that is no corner is as it would be without any: the corners have a stream of their
// own. One that is has the truck and the mending that it would have had.
func TestCornersLeaveTheOthersAlone(t *testing.T) {
	p := defaultPlan(1)
	n := 0
	for i := range uint64(2000) {
		c, plain := p.Draw(i), p.DrawPlain(i)
		if p.Corner(i) < 0 {
			if !reflect.DeepEqual(c, plain) {
				t.Fatalf("case %d is no corner, and another than without them", i)
			}
			continue
		}
		n++
		if c.HealAt != plain.HealAt || c.Sunlight != plain.Sunlight || c.Grade != plain.Grade || len(c.Bays) != len(plain.Bays) {
			t.Errorf("case %d: mending, sun, grade or bays are not as drawn", i)
		}
		for b := range c.Bays {
			x, y := c.Bays[b], plain.Bays[b]
			x.Height, y.Height = 0, 0
			if x != y {
				t.Errorf("case %d: the tolerances of bay %d are not as drawn", i, b)
			}
		}
	}
	if n < 30 {
		t.Errorf("%d corners in 2000 cases", n)
	}
}

// So many runs are corners, and of each kind, as the law says: within four standard errors.
func TestSharesOfCorners(t *testing.T) {
	const n = 100000
	p := defaultPlan(1)
	got := make([]int, len(campaign.Corners()))
	for i := range uint64(n) {
		if k := p.Corner(i); k >= 0 {
			got[k]++
		}
	}
	total := 0.0
	for _, s := range campaign.CornerShares() {
		total += s
	}
	for k, s := range campaign.CornerShares() {
		want := campaign.CornerPercent / 100 * s / total
		if math.Abs(float64(got[k])/n-want) > 4*math.Sqrt(want/n) {
			t.Errorf("%s: %d of %d cases, expected a share of %.3g", campaign.Corners()[k], got[k], n, want)
		}
	}
}

// A corner is within its law and the fault model: everything that it draws is within the span
// of its distribution, and a thing happens once the step has that it is counted from.
func TestCornersAreWithinTheirLaw(t *testing.T) {
	for most := range 3 {
		p := defaultPlan(most)
		for k, name := range campaign.Corners() {
			if !p.CornerAllowed(k) {
				continue
			}
			for i := range uint64(300) {
				c := p.DrawCorner(k, i)
				if err := checkDrawn(c, most); err != nil {
					t.Fatalf("%s, case %d, of %d faults at most: %v", name, i, most, err)
				}
				if err := campaign.CornerWithin(k, c); err != nil {
					t.Fatalf("%s, case %d: %v", name, i, err)
				}
				d := c.Clone()
				if d.SetVector(c.Vector()); !reflect.DeepEqual(c, d) {
					t.Fatalf("%s, case %d is rounded otherwise than a search would", name, i)
				}
			}
		}
	}
}

// A plan gets those corners alone that it allows: none has more faults, nor faults of other kinds.
func TestCornersKeepToThePlan(t *testing.T) {
	for _, c := range []struct {
		faults int
		only   []string
		with   []string // kinds of fault that some corner has
	}{
		{0, nil, nil},
		{1, []string{"sunlight"}, nil},
		{1, []string{"stuck-reel", "shorted-edge-wire"}, []string{"stuck-reel", "shorted-edge-wire"}},
		{2, []string{"stuck-reel"}, []string{"stuck-reel"}},
	} {
		p := defaultPlan(c.faults)
		p.Only = c.only
		seen := map[string]bool{}
		corners := 0
		for i := range uint64(4000) {
			if p.Corner(i) < 0 {
				continue
			}
			corners++
			d := p.Draw(i)
			if err := checkDrawn(d, c.faults); err != nil {
				t.Fatalf("case %d: %v", i, err)
			}
			for _, kind := range faultsOf(d) {
				if seen[kind] = true; !slices.Contains(c.with, kind) {
					t.Fatalf("%d faults of %v: case %d has %s", c.faults, c.only, i, kind)
				}
			}
		}
		if len(seen) != len(c.with) || corners == 0 {
			t.Errorf("%d faults of %v: %d corners with %v", c.faults, c.only, corners, seen)
		}
	}
}

// faultsOf are the kinds of a case's faults, without events.
func faultsOf(c *campaign.Case) (list []string) {
	for i := range c.Faults {
		if k, _ := fault.Find(c.Faults[i].Kind); !k.Event {
			list = append(list, k.Name)
		}
	}
	return list
}

// cornered are the transitions of the shipped logic that hardly any other run reaches, in
// the order of the corners that are there for them.
var cornered = []string{
	"closing or landing or creeping, on time up: pausing",
	"measuring down, on time up: giving up",
	"opening or homing or rising or clearing or rewinding, on time up: between",
	"measuring up, on time up: between",
	"measuring down, on no motion, if not lifting and loaded: giving up",
	"measuring down, on held up: giving up",
	"landing or creeping, on slowed, if not sill made: pausing",
	"measuring up, on stall, if not plausible and sill wrong: between",
	"measuring up, on held up, if not plausible and sill wrong: between",
	"homing, on stall, if top confirmed and not loaded and not lifting and drawing: open",
	"opening or rising or clearing, on stall, if near top and idling: between",
	"homing, on stall, if top confirmed and not loaded and not drawing: open",
	"homing, on no motion, if at stop: open",
	"closing or landing or creeping, on overrun, if sill made: pausing",
	"between, on press, if permitted and not supply low and rested and not teach asked and taught and count known and past zero: homing",
	"open, on edge pressed, if sill made: between",
	"settling, on unlock asked, if at unlocked: freed",
	"settling, on unlock asked, if not at unlocked: unlocking",
	"settling, on doors lost, if at unlocked: freed",
	"settling, on doors lost, if not at unlocked: failed",
	"retrying, on unlock asked: unlocking",
	"retrying, on doors lost: failed",
	"retracting, on late: failed",
}

// The corners among 20 000 runs, some 800, reach what they are for, and five times at least. That
// they also hold every requirement is a small campaign in itself.
func TestCornersReach(t *testing.T) {
	p, table := defaultPlan(1), shipped(t)
	p.Seed = *cornerSeed
	tally, pl := campaign.NewTally(), campaign.NewPlayer(p, running(p, table))
	for i := range uint64(20000) {
		if p.Corner(i) >= 0 {
			c := p.Draw(i)
			o := pl.Play(c)
			tally.Add(c, o)
			report(t.Errorf, c, o)
		}
	}
	runs := map[string]int{}
	for _, r := range tally.Coverage(table) {
		runs[r.Text] = r.Runs
	}
	for _, text := range cornered {
		if n, ok := runs[text]; !ok || n < 5 {
			t.Errorf("%s fired in %d of the %d corners", text, n, tally.Runs)
		}
		t.Logf("%3d %s", runs[text], text)
	}
}

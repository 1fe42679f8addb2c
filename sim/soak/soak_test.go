package soak_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"slatbench/model"
	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/logic"
	"slatbench/sim/soak"
)

func baseline(t testing.TB) *logic.Table {
	t.Helper()
	l := scenarios.Loader{Shipped: scenarios.Shipped()}
	table, err := l.LoadLogic(scenarios.BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// setup is a truck with the shipped logic.
func setup(truck model.TruckParams, table *logic.Table) sim.Setup {
	s := sim.Setup{Truck: truck, Locks: logic.NewLocks(table, 0.01)}
	for range truck.Bays {
		s.Doors = append(s.Doors, logic.NewDoor(table, 0.01))
	}
	return s
}

// oneBay is the default truck with its first door only, which is faster.
func oneBay() model.TruckParams {
	p := model.DefaultTruck()
	p.Bays = p.Bays[:1]
	return p
}

func play(t testing.TB, truck model.TruckParams, c soak.Config) *soak.Result {
	t.Helper()
	r, err := soak.Run(setup(truck, baseline(t)), c, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func milestone(t testing.TB, r *soak.Result, id string) soak.Milestone {
	t.Helper()
	i := slices.IndexFunc(r.Milestones, func(m soak.Milestone) bool { return m.ID == id })
	if i < 0 {
		t.Fatalf("no milestone %q", id)
	}
	return r.Milestones[i]
}

// With nothing worn, nothing may drift: not in the warm or the cold, not on a low
// battery, and no closing may turn round.
func TestNothingDriftsUnworn(t *testing.T) {
	cycles := 1000
	if testing.Short() {
		cycles = 200
	}
	for _, c := range []struct {
		celsius, charge, swing float64
	}{
		{20, 0.9, 0}, {-20, 0.9, 0}, {45, 0.9, 0}, {10, 0.30, 15},
	} {
		t.Run(fmt.Sprintf("%g °C ±%g K charge %g", c.celsius, c.swing, c.charge), func(t *testing.T) {
			cfg := soak.Default()
			cfg.Cycles, cfg.Charge = cycles, c.charge
			cfg.Weather = soak.Weather{Mean: c.celsius + 273.15, Swing: c.swing}
			// The engine gives back about what a day takes.
			cfg.Route.DriveAmps, cfg.Route.DriveTime = 4, 300
			truck := oneBay()
			truck.Feed.AccessoryLoad = 0.1
			r := play(t, truck, cfg)
			if len(r.Cycles) != cycles {
				t.Fatalf("%d cycles played, want %d", len(r.Cycles), cycles)
			}
			for i := range r.Cycles {
				x := &r.Cycles[i]
				if !x.Opened || !x.Closed || x.Presses != 2 || len(x.Alarms) > 0 || x.Reversals > 0 || x.Misfit != soak.Fits {
					t.Fatalf("cycle %d: opened %v closed %v presses %d alarms %v reversals %d", x.N, x.Opened, x.Closed, x.Presses, x.Alarms, x.Reversals)
				}
				// A single channel counts the last pulse or two of a door that comes to
				// rest by chance; more would be drift.
				if d := x.ErrorFloor - r.Cycles[0].ErrorFloor; math.Abs(d) > 2.01 {
					t.Fatalf("cycle %d: the count at the floor has drifted by %.2f pulses", x.N, d)
				}
				if d := x.ErrorTop - r.Cycles[0].ErrorTop; math.Abs(d) > 3.01 {
					t.Fatalf("cycle %d: the count at the top has drifted by %.2f pulses", x.N, d)
				}
			}
			for _, m := range r.Milestones {
				if m.Cycle != 0 && m.ID != "low-supply" {
					t.Errorf("%s in cycle %d (%s)", m.ID, m.Cycle, m.What)
				}
			}
			if c.swing > 0 {
				return
			}
			first, last := &r.Cycles[1], &r.Cycles[cycles-1]
			// Times follow the supply and nothing else: at most by its share.
			share := 1 + 1.5*math.Abs(last.RestSupply/first.RestSupply-1)
			if q := last.OpenTime / first.OpenTime; q > share+0.003 || q < 1/share-0.003 {
				t.Errorf("open time went from %.3f to %.3f s while the supply went from %.3f to %.3f V", first.OpenTime, last.OpenTime, first.RestSupply, last.RestSupply)
			}
		})
	}
}

// The arithmetic of a wire that slips while it is drawn out: each closing loses
// slip·travel pulses, each floor that is found takes one back at most, and with more
// than three lost the floor is early. Pulses are whole, so half a one is the mean
// that is missing when the count passes from three to four.
func cyclesUntilEarlyFloor(lost func(n int) float64) int {
	const window, trim = 3.5, 1.0 // 15 mm and 5 mm at 200 pulses/m
	off := 0.0
	for n := 1; n < 10000; n++ {
		off += lost(n)
		if off > window {
			return n
		}
		off = math.Max(0, off-trim)
	}
	return 0
}

func TestSlipStopsFittingWhenArithmeticSays(t *testing.T) {
	truck := oneBay()
	pulses := truck.Bays[0].Track.Opening * truck.Bays[0].Encoder.PulsesPerMetre
	for _, x := range []struct{ first, growth float64 }{ // pulses lost in the first closing, and more each cycle
		{1.5, 0}, {1.75, 0}, {2, 0}, {2.5, 0}, {3, 0}, {4.6, 0},
		// Slower growth dwells where one pulse of chance at the floor is worth several cycles.
		{0, 0.3}, {0, 0.5}, {0, 1}, {1, 0.2},
	} {
		c := soak.Default()
		c.Cycles, c.GiveUp = 60, 1
		c.Encoder.Slip, c.Encoder.SlipGrowth, c.Encoder.While = x.first/pulses, 1000*x.growth/pulses, "closing"
		r := play(t, truck, c)
		m := milestone(t, r, "taught-travel")
		want := cyclesUntilEarlyFloor(func(n int) float64 {
			travel := r.Cycles[min(n, len(r.Cycles))-1].HeightTop // the door does not go up to its stop
			return (x.first + x.growth*float64(n-1)) * travel / truck.Bays[0].Track.Opening
		})
		if m.Cycle < want-1 || m.Cycle > want+1 || !strings.Contains(m.What, "floor came before") {
			t.Errorf("%g pulses a closing, %g more each: no fit in cycle %d (%s), arithmetic says %d ± 1", x.first, x.growth, m.Cycle, m.What, want)
		}
	}
}

// A slip of less than a pulse a closing is taken back at every floor, for good.
func TestSlipBelowTheTrimNeverShows(t *testing.T) {
	c := soak.Default()
	c.Cycles = 300
	c.Encoder.Slip = 0.9 / 360
	r := play(t, oneBay(), c)
	if m := milestone(t, r, "taught-travel"); m.Cycle != 0 {
		t.Errorf("cycle %d: %s", m.Cycle, m.What)
	}
}

// Retraining must cure what slipped on both ways alike, and be counted.
func TestRetraining(t *testing.T) {
	c := soak.Default()
	c.Cycles, c.Retrain = 40, true
	c.Encoder.Slip, c.Encoder.While = 1.6/360, "closing"
	r := play(t, oneBay(), c)
	if len(r.Cycles) != 40 || r.GaveUp {
		t.Fatalf("played %d cycles of 40", len(r.Cycles))
	}
	n := r.Retrainings()
	if n < 2 {
		t.Fatalf("taught anew in %d cycles, want several: the slip goes on", n)
	}
	for i := range r.Cycles {
		x := &r.Cycles[i]
		if !x.Opened || !x.Closed {
			t.Errorf("cycle %d: opened %v, closed %v", x.N, x.Opened, x.Closed)
		}
		if x.Retrained != (x.Misfit != soak.Fits) {
			t.Errorf("cycle %d: retrained %v, misfit %q", x.N, x.Retrained, x.Misfit)
		}
	}

	// Without it the door turns at the floor as often, and sets its count right at the stop: it
	// goes on working, and goes on telling that something is wrong.
	c.Retrain = false
	r = play(t, oneBay(), c)
	early := 0
	for i := range r.Cycles {
		x := &r.Cycles[i]
		if !x.Opened || !x.Closed {
			t.Errorf("not retrained, cycle %d: opened %v, closed %v", x.N, x.Opened, x.Closed)
		}
		if x.Misfit != soak.Fits {
			early++
		}
	}
	if len(r.Cycles) != 40 || r.GaveUp || r.Retrainings() != 0 || early < 2 {
		t.Errorf("without retraining: gave up %v after %d cycles, retrained %d times, no fit in %d", r.GaveUp, len(r.Cycles), r.Retrainings(), early)
	}
}

// ledger keeps its own integral of the battery's current.
type ledger struct {
	last  int64
	total float64
}

func (l *ledger) Tick(*sim.Bench) {}
func (l *ledger) Step(b *sim.Bench) {
	l.total += b.Truck.TotalCurrent * b.Seconds(b.Now-l.last)
	l.last = b.Now
}

// What a cycle takes from the battery is the integral of the current, and with a
// Peukert exponent of 1 the charge falls by just that share of the capacity.
func TestDrawdownIsTheIntegralOfTheCurrent(t *testing.T) {
	truck := oneBay()
	truck.Battery.Peukert = 1
	c := soak.Default()
	c.Cycles = 6
	var l ledger
	s := setup(truck, baseline(t))
	s.Watch = []sim.Observer{&l}
	r, err := soak.Run(s, c, nil)
	if err != nil {
		t.Fatal(err)
	}
	b := model.NewBattery(truck.Battery, 20)
	b.SetCharge(c.Charge)
	b.Draw(l.total, l.total/25)
	last := r.Cycles[len(r.Cycles)-1].Charge
	// The last tenth of a second may not have been booked yet.
	if d := math.Abs(last - b.Charge); d > 1e-6 {
		t.Errorf("the battery fell to %.9f, the integral of its current says %.9f", last, b.Charge)
	}
	var cycles float64
	for i := range r.Cycles {
		cycles += r.Cycles[i].Drawn
	}
	if cycles <= 0 || cycles > l.total {
		t.Errorf("the cycles took %.1f A·s of %.1f", cycles, l.total)
	}
	before, after := r.Cycles[3], r.Cycles[4]
	took := (before.Charge - after.Charge) * 25 * 60 * truck.Battery.ReserveMin * model.CapacityFactor(20, 60) / model.CapacityFactor(27, 60)
	standing := (after.Start - before.Start) * (truck.Feed.AccessoryLoad + truck.Bays[0].Branch.Load)
	if took < standing || took > standing+80 {
		t.Errorf("from one stop to the next %.1f A·s, want the standing load of %.1f and a few tens for the motor", took, standing)
	}
}

// What is put in comes back: amps times time times efficiency, below the taper.
func TestChargingBringsItBack(t *testing.T) {
	truck := oneBay()
	truck.Battery.Peukert = 1
	c := soak.Default()
	c.Cycles, c.Charge = 2, 0.5
	without := play(t, truck, c)
	c.Route.DriveAmps, c.Route.DriveTime = 10, 300
	with := play(t, truck, c)
	capacity := 25 * 60 * truck.Battery.ReserveMin * model.CapacityFactor(20, 60) / model.CapacityFactor(27, 60)
	standing := truck.Feed.AccessoryLoad + truck.Bays[0].Branch.Load // the engine carries it meanwhile
	want := (10*300*0.85 + 300*standing) / capacity
	got := with.Cycles[1].Charge - without.Cycles[1].Charge
	got -= (without.Cycles[1].Drawn - with.Cycles[1].Drawn) / capacity // the door itself took another current
	if math.Abs(got-want) > 1e-4*want {
		t.Errorf("charging brought back %.6f of the charge, want %.6f", got, want)
	}
}

// Above the taper the charge tends to 1 and never passes it; against small steps.
func TestTaper(t *testing.T) {
	b := model.NewBattery(oneBay().Battery, 20)
	route := soak.Default().Route
	for _, from := range []float64{0.2, 0.79, 0.9, 1} {
		b.SetCharge(from)
		whole := route.Charged(b, 20, 3600)
		step := b
		for range 36000 {
			accepts := min(1, (1-step.Charge)/(1-route.TaperAbove))
			step.Draw(-20*0.1*route.Efficiency*accepts, 0.1)
		}
		if math.Abs(whole-step.Charge) > 2e-5 || whole > 1 {
			t.Errorf("from %g: %.7f by the closed form, %.7f by steps", from, whole, step.Charge)
		}
	}
}

func TestSameSeedSameBytes(t *testing.T) {
	c := soak.Default()
	c.Cycles, c.Retrain, c.Seed = 25, true, 7
	c.Spring.Loss, c.Dirt.Growth, c.Encoder.Slip, c.Battery.Aging = 0.2, 0.5, 0.005, 0.3
	c.Route.Spread, c.Weather.Swing = 0.3, 8
	c.Route.DriveAmps, c.Route.DriveTime = 5, 200
	text := func(seed uint64) []byte {
		c.Seed = seed
		var b bytes.Buffer
		r := play(t, oneBay(), c)
		if err := errors.Join(r.WriteJSON(&b, soak.Heading{}), r.WriteCSV(&b), r.WritePage(&b, soak.Heading{}), r.WriteTable(&b, soak.Heading{})); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	one := text(7)
	if !bytes.Equal(one, text(7)) {
		t.Error("the same seed gave other bytes")
	}
	if bytes.Equal(one, text(8)) {
		t.Error("another seed gave the same bytes, in a route with spread")
	}
}

func TestRefusesBadConfigs(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*soak.Config)
		want   string
	}{
		{"no such bay", func(c *soak.Config) { c.Bay = "C9" }, `the truck has no bay "C9"`},
		{"too many stops", func(c *soak.Config) { c.Route.StopsADay = 200 }, "200 stops do not fit into a day, expected at most 96"},
		{"open for ever", func(c *soak.Config) { c.Route.OpenFor = 900 }, "stands open longer"},
		{"no route", func(c *soak.Config) { c.Route = soak.Route{} }, "a route has stops"},
		{"gap of more than a turn", func(c *soak.Config) { c.Encoder.GapPulses = 41 }, "a turn of this encoder has 40 pulses"},
		{"beyond the tables", func(c *soak.Config) { c.Weather.Swing = 50 }, "from -30 to 70 °C"},
	} {
		cfg := soak.Default()
		c.change(&cfg)
		_, err := soak.Run(setup(oneBay(), baseline(t)), cfg, nil)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", c.name, err, c.want)
		}
	}
}

// An error from the caller ends the soak at once.
func TestStopsWhenAsked(t *testing.T) {
	stop := errors.New("enough")
	n := 0
	_, err := soak.Run(setup(oneBay(), baseline(t)), soak.Default(), func(*soak.Cycle) error {
		if n++; n == 3 {
			return stop
		}
		return nil
	})
	if !errors.Is(err, stop) || n != 3 {
		t.Errorf("error %v after %d cycles", err, n)
	}
}

// A dead battery is a start that is refused, and a soak that gives up.
func TestDeadBattery(t *testing.T) {
	c := soak.Default()
	c.Charge, c.GiveUp = 0.02, 3
	c.Weather.Mean = -15 + 273.15
	r := play(t, oneBay(), c)
	if !r.GaveUp {
		t.Fatal("went on with a dead battery that nothing charges")
	}
	for _, id := range []string{"low-supply", "start-refused", "incomplete"} {
		if m := milestone(t, r, id); m.Cycle == 0 {
			t.Errorf("%s was not noticed", id)
		}
	}
	if m := milestone(t, r, "slow-travel"); m.Cycle == 0 && r.Outcome(&m) != fmt.Sprintf("not within %d cycles", len(r.Cycles)) {
		t.Errorf("outcome %q", r.Outcome(&m))
	}
}

func BenchmarkCycle(b *testing.B) {
	c := soak.Default()
	c.Cycles = b.N
	c.Route.DriveAmps, c.Route.DriveTime = 6, 300
	if _, err := soak.Run(setup(model.DefaultTruck(), baseline(b)), c, nil); err != nil {
		b.Fatal(err)
	}
}

package logic

import (
	"fmt"
	"testing"

	"slatbench/model"
	"slatbench/sim"
)

// siren is a controller that sounds alarms at given ticks.
type siren struct {
	sounder sounder
	clock   clock
	asked   map[int][]sim.Alarm
	now     int
}

func (s *siren) PowerOn(*sim.Store) { s.sounder = newSounder(s.clock) }
func (s *siren) Tick(_ *sim.Inputs, out *sim.Outputs) {
	for _, a := range s.asked[s.now] {
		s.sounder.sound(a)
	}
	s.now++
	out.Tone = s.sounder.tick()
}

// listen lets a bench hear what a siren at its first bay sounds, for so many seconds.
func listen(t *testing.T, tickSteps int, asked map[int][]sim.Alarm, seconds float64, actions ...sim.Action) []sim.Heard {
	t.Helper()
	truck := model.DefaultTruck()
	truck.Bays = truck.Bays[:1]
	k := clock(float64(tickSteps) * model.DefaultStep)
	ear := &sim.Listener{}
	b, err := sim.New(sim.Setup{
		Truck: truck, TickSteps: tickSteps, Duration: int64(seconds / model.DefaultStep), Charge: 0.9,
		Doors: []sim.Controller{&siren{clock: k, asked: asked}}, Locks: &siren{clock: k}, Watch: []sim.Observer{ear}, Actions: actions,
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Run(); err != nil {
		t.Fatal(err)
	}
	return ear.Heard
}

func TestEveryAlarmIsCountedBack(t *testing.T) {
	for _, steps := range []int{5, 10, 20} {
		for a := sim.SlowTravel; a <= sim.CountRanOut; a++ {
			t.Run(fmt.Sprintf("%v at %d ms", a, steps), func(t *testing.T) {
				heard := listen(t, steps, map[int][]sim.Alarm{100: {a}}, 7)
				if len(heard) != 1 || heard[0].Alarm != a || heard[0].Bay != 0 {
					t.Errorf("heard %v", heard)
				}
				if at := heard[0].From; at != int64(100*steps) {
					t.Errorf("begins at %d ms, expected at once, at %d ms", at, 100*steps)
				}
			})
		}
	}
}

func TestQueuedAlarmsAreCountedOneAfterTheOther(t *testing.T) {
	asked := map[int][]sim.Alarm{10: {sim.EarlyFloor, sim.SlowTravel}, 30: {sim.CountRanOut, sim.SlowTravel}, 40: {sim.LowSupply}}
	var got []sim.Alarm
	for _, h := range listen(t, 10, asked, 12) {
		got = append(got, h.Alarm)
	}
	// The second slow-travel still waits when it is asked for again, so it is sounded once.
	want := []sim.Alarm{sim.EarlyFloor, sim.SlowTravel, sim.CountRanOut, sim.LowSupply}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("heard %v, expected %v", got, want)
	}
}

func TestAlarmThatComesAgainIsSoundedAgain(t *testing.T) {
	heard := listen(t, 10, map[int][]sim.Alarm{10: {sim.NoMotion}, 300: {sim.NoMotion}}, 8)
	if len(heard) != 2 || heard[0].Alarm != sim.NoMotion || heard[1].Alarm != sim.NoMotion {
		t.Errorf("heard %v, expected no-motion twice", heard)
	}
}

// More alarms than can wait are dropped, never mixed.
func TestSounderNeverMixesCounts(t *testing.T) {
	all := []sim.Alarm{1, 2, 3, 4, 5, 6, 7, 8, 9}
	heard := listen(t, 10, map[int][]sim.Alarm{0: all}, 15)
	if len(heard) != 4 {
		t.Fatalf("heard %v, expected the four that fit", heard)
	}
	for i, h := range heard {
		if h.Alarm != all[i] {
			t.Errorf("heard %v at place %d, expected %v", h.Alarm, i, all[i])
		}
	}
}

// A loss of power cuts a count off. What is sounded first after it is a count of its own,
// also where power is back at once and the alarm comes with the first tick.
func TestCountAfterAResetIsHeardByItself(t *testing.T) {
	const cut = 200 // ticks: within the last of seven pulses
	for _, ms := range []int64{10, 30, 500} {
		dark := sim.Action{Kind: sim.Interrupt, At: cut * 10, Span: ms}
		heard := listen(t, 10, map[int][]sim.Alarm{50: {sim.SelfTest}, cut + 2: {sim.LowSupply}}, 6, dark)
		if len(heard) != 2 || heard[0].Alarm != sim.SelfTest || heard[1].Alarm != sim.LowSupply {
			t.Errorf("dark for %d ms: heard %v", ms, heard)
		}
	}
}

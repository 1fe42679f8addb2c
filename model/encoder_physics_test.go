package model

import (
	"math"
	"testing"
)

// encoded opens bay 0 of a truck from the floor to 1.5 m, closes it to 0.3 m, and
// returns the pulses of both ways.
func encoded(change func(e *EncoderParams), wear func(c *Condition)) (up, down, net int64, t *Truck) {
	p := DefaultTruck()
	if change != nil {
		change(&p.Bays[0].Encoder)
	}
	t = NewTruck(p, DefaultStep)
	b := &t.Bays[0]
	if wear != nil {
		wear(&b.Condition)
		t.RefreshBay(0)
	}
	b.Place(0)
	drive(t, 0, 1, 1)
	until(t, 20, func() bool { return b.Height >= 1.5 })
	drive(t, 0, 0, 0)
	run(t, 0.5)
	b.Place(1.5) // a whole number of pulses, to count from
	up = b.Reel.Pulses
	drive(t, 0, -1, 1)
	until(t, 20, func() bool { return b.Height <= 0.3 })
	return up, b.Reel.Pulses - up, b.Reel.Net, t
}

// Pulses follow the travel: 200 a metre as built, fewer with slip, more from
// another encoder, and some lost where the magnet gap is too wide.
func TestEncoderPulses(t *testing.T) {
	const up, down = 1.5 * 200, 1.2 * 200
	for _, row := range []struct {
		what         string
		wear         func(c *Condition)
		shareUp      float64
		shareDown    float64
		tolerance    float64 // pulses
		stopOverruns float64 // pulses of the way that the door runs on at the stop
	}{
		{"as built", nil, 1, 1, 2, 6},
		{"5 % slip", func(c *Condition) { c.Slip = 0.05 }, 0.95, 0.95, 2, 6},
		{"exchanged", func(c *Condition) { c.PulseScale = 1.25 }, 1.25, 1.25, 2, 8},
		{"gap over a tenth of a turn", func(c *Condition) { c.GapPulses, c.GapSpeed = 4, 0.05 }, 0.9, 0.9, 6, 6},
		{"gap, but only above any speed", func(c *Condition) { c.GapPulses, c.GapSpeed = 4, 2 }, 1, 1, 2, 6},
		{"stuck reel", func(c *Condition) { c.RewindFactor = 0 }, 0, 0, 0, 0},
	} {
		gotUp, gotDown, _, _ := encoded(nil, row.wear)
		within(t, row.what+": pulses opening", float64(gotUp), up*row.shareUp-row.tolerance, up*row.shareUp+row.tolerance+row.stopOverruns)
		if row.shareDown > 0 { // a stuck reel's wire is drawn out again only past where it stuck
			near(t, row.what+": pulses closing", float64(gotDown), down*row.shareDown, row.tolerance)
		}
	}
}

// At every instant two channels tell the height to one pulse and the play of the
// sensor, through stops, reversals and trembling.
func TestTwoChannelsTellTheHeight(t *testing.T) {
	p := DefaultTruck()
	p.Bays[0].Encoder.Quadrature = true
	truck := NewTruck(p, DefaultStep)
	b := &truck.Bays[0]
	b.Place(0.5)
	zero := 0.5*200 - float64(b.Reel.Net)
	behind, ahead := 0.0, 0.0
	for _, act := range []struct {
		way     int
		seconds float64
	}{{1, 0.7}, {0, 0.05}, {-1, 0.3}, {1, 0.2}, {-1, 1.2}, {0, 1}, {1, 2}, {-1, 5}, {0, 1}} {
		drive(truck, 0, act.way, 1)
		until(truck, act.seconds, func() bool {
			over := 200*b.Height - float64(b.Reel.Net) - zero
			behind, ahead = math.Max(behind, over), math.Max(ahead, -over)
			return false
		})
	}
	within(t, "behind going up, pulses", behind, 0.5, 1+1e-6)
	within(t, "ahead going down, pulses", ahead, 0.1, 0.25+1e-6)
}

// One channel tells pulses of both ways alike, two channels the difference.
func TestPulsesOfBothWays(t *testing.T) {
	up, down, net, _ := encoded(nil, nil)
	near(t, "up less down", float64(net), float64(up-down), 2)
	within(t, "down", float64(down), 200, 260)
}

// A stuck reel leaves the wire slack while the door opens, and sends nothing.
// Closing, the count stands until the wire is taut again.
func TestStuckReel(t *testing.T) {
	truck := NewTruck(DefaultTruck(), DefaultStep)
	b := &truck.Bays[0]
	b.Place(0.6)
	b.Condition.RewindFactor = 0
	truck.RefreshBay(0)
	drive(truck, 0, 1, 1)
	until(truck, 10, func() bool { return b.Height > 1.2 })
	if b.Reel.Pulses != 0 {
		t.Errorf("%d pulses while opening", b.Reel.Pulses)
	}
	drive(truck, 0, -1, 1)
	until(truck, 10, func() bool { return b.Height < 0.61 })
	if b.Reel.Pulses != 0 {
		t.Errorf("%d pulses before the wire was taut", b.Reel.Pulses)
	}
	until(truck, 10, func() bool { return b.Height < 0.3 })
	near(t, "pulses from 0.6 m to 0.3 m", float64(b.Reel.Pulses), 60, 1.5)
}

// A tired reel takes wire up more slowly than the door opens: the count falls
// behind, and catches up when the door stands.
func TestTiredReelFallsBehind(t *testing.T) {
	truck := NewTruck(DefaultTruck(), DefaultStep)
	b := &truck.Bays[0]
	b.Place(0.2)
	b.Condition.RewindFactor = 0.2 // 0.2 m/s
	truck.RefreshBay(0)
	drive(truck, 0, 1, 1)
	run(truck, 3)
	within(t, "pulses in 3 s at 0.2 m/s", float64(b.Reel.Pulses), 100, 0.2*3*200+1)
	if behind := (b.Height-0.2)*200 - float64(b.Reel.Pulses); behind < 20 {
		t.Errorf("behind by %g pulses", behind)
	}
	drive(truck, 0, 0, 0)
	run(truck, 6)
	near(t, "pulses when it stands", float64(b.Reel.Pulses), (b.Height-0.2)*200, 1)
}

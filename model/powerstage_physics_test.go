package model

import (
	"math"
	"testing"
)

// The motor's circuit for every state of the contacts.
func TestPowerStageCircuits(t *testing.T) {
	welded := func(c *Condition) { c.DownContact = ContactWelded }
	for _, row := range []struct {
		what             string
		wear             func(c *Condition)
		up, down, enable bool
		want             circuit
		energised        int
	}{
		{"all off", nil, false, false, false, shorted, 0},
		{"enable alone", nil, false, false, true, shorted, 0},
		{"up", nil, true, false, true, drivenUp, 1},
		{"down", nil, false, true, true, drivenDown, -1},
		{"both", nil, true, true, true, shorted, 0},
		{"up without enable", nil, true, false, false, coasting, 0},
		{"down welded, up asked", welded, true, false, true, shorted, 0},
		{"down welded, nothing asked", welded, false, false, false, coasting, 0},
		{"down welded, enable asked", welded, false, false, true, drivenDown, -1},
		{"up contact open", func(c *Condition) { c.UpContact = ContactOpen }, true, false, true, shorted, 0},
		{"enable open", func(c *Condition) { c.Enable = ContactOpen }, true, false, true, coasting, 0},
		{"enable welded", func(c *Condition) { c.Enable = ContactWelded }, true, false, false, drivenUp, 1},
		{"lead open", func(c *Condition) { c.LeadOpen = true }, true, false, true, coasting, 0},
	} {
		truck := NewTruck(DefaultTruck(), DefaultStep)
		b := &truck.Bays[0]
		b.Place(0.9)
		if row.wear != nil {
			row.wear(&b.Condition)
			truck.RefreshBay(0)
		}
		truck.Command(0, row.up, row.down, row.enable, 1)
		run(truck, 0.5)
		if b.circuit != row.want || b.Energised != row.energised {
			t.Errorf("%s: circuit %d, energised %d; want %d and %d", row.what, b.circuit, b.Energised, row.want, row.energised)
		}
		if moved := b.Height - 0.9; row.energised == 0 && moved != 0 || moved*float64(row.energised) < 0 {
			t.Errorf("%s: moved %g m", row.what, moved)
		}
	}
}

// A contact that fails while nothing is asked of it fails at once, and heals at once.
func TestContactFailsInMidTravel(t *testing.T) {
	truck := NewTruck(DefaultTruck(), DefaultStep)
	b := &truck.Bays[0]
	b.Place(0.5)
	drive(truck, 0, 1, 1)
	run(truck, 0.5)
	b.Condition.UpContact = ContactOpen
	truck.RefreshBay(0)
	truck.Step()
	if b.Energised != 0 || b.circuit != shorted {
		t.Errorf("energised %d, circuit %d", b.Energised, b.circuit)
	}
	b.Condition.UpContact = ContactSound
	truck.RefreshBay(0)
	truck.Step()
	if b.Energised != 1 {
		t.Errorf("healed, energised %d", b.Energised)
	}
}

// Contacts follow after their delay: not before, and not after.
func TestContactDelay(t *testing.T) {
	truck := NewTruck(DefaultTruck(), DefaultStep)
	s := &truck.Bays[0].Stage
	drive(truck, 0, 1, 1)
	near(t, "made after, s", until(truck, 1, s.UpMade), 0.011, 1e-9) // first step with it made
	drive(truck, 0, 0, 1)
	near(t, "released after, s", until(truck, 1, func() bool { return !s.UpMade() }), 0.007, 1e-9)
}

// Shorted leads stop a motor; open leads let it run down on friction alone.
func TestBrakingAndCoasting(t *testing.T) {
	runDown := func(enable, direction bool) (seconds, current float64) {
		truck := NewTruck(DefaultTruck(), DefaultStep)
		b := &truck.Bays[0]
		b.Condition.ReleaseOpen = true // the motor alone
		truck.RefreshBay(0)
		drive(truck, 0, 1, 1)
		run(truck, 1)
		truck.Command(0, direction, false, enable, 1)
		seconds = until(truck, 20, func() bool {
			current = math.Max(current, -b.MotorCurrent)
			return b.MotorSpeed == 0
		})
		return seconds, current
	}
	d := DefaultBay().Drive
	speed := 12.0 / d.MotorConstant
	braked, brakeAmps := runDown(false, false)
	coasted, coastAmps := runDown(false, true)
	// Coasting: ω J / τ. Braking: J Ra/K² · ln(1 + ω K²/(Ra τ)). Both from about 400 rad/s.
	near(t, "coasts, s", coasted, speed*d.Inertia/d.DryFriction, 0.15*coasted)
	square := d.MotorConstant * d.MotorConstant / d.Resistance
	near(t, "brakes, s", braked, d.Inertia/square*math.Log(1+speed*square/d.DryFriction), 0.15*braked)
	if coastAmps != 0 || brakeAmps < 15 {
		t.Errorf("coasting %g A, braking %g A", coastAmps, brakeAmps)
	}
}

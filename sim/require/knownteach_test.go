package require_test

import (
	"testing"

	"slatbench/sim"
)

// While teaching it may be the check of what was counted that tells of a jam; else an alarm
// that has a cause of its own, here a current sensor, does not serve for the jam.
func TestJamWhileTeaching(t *testing.T) {
	jam := func(held sim.Action) story {
		return story{height: 0.3, seconds: 8, actions: []sim.Action{held, press(0.5)}, door: driving(0.6, 2.2, up, 7, 2.5),
			faults: []sim.Scheduled{kind(t, "leaning-cargo", map[string]float64{"force": 900}, 1.5, 0), kind(t, "failed-current-sensor", nil, 0, 0)}}
	}
	both(t, "alarm", "sounds", jam(teach(0.2, 3)), jam(ask(0.2, sim.UnlockAsk)))
}

// After a teaching that was given up the count may be doubted, and a part too; after one that
// goes on it may not.
func TestCountAfterATeachingGivenUp(t *testing.T) {
	given := func(presses ...sim.Action) story {
		return story{height: -1, seconds: 8, actions: append(presses, teach(0.2, 3), press(0.5)), door: driving(0.6, 0.7, down, 7, 2.5)}
	}
	both(t, "alarm", "false", given(press(1.5)), given())
}

// A switch that sticks made while a teaching stands above the sill spoils the count for good;
// without a teaching it is a switch at fault, as long as it is.
func TestSwitchThatSticksWhileTeaching(t *testing.T) {
	sticks := func(held sim.Action) story {
		return story{height: 0.6, seconds: 12, actions: []sim.Action{held}, door: driving(9, 9, up, 7, 8),
			faults: []sim.Scheduled{kind(t, "sill-switch-stuck-made", nil, 1, 2)}}
	}
	silent(t, sticks(teach(0.5, 1.5)), sticks(ask(0.5, sim.UnlockAsk)))
}

// What such a teaching has shown is over once the door has come down since, and the travel on
// record is the true one: then it can be told which way the door goes.
func TestSwitchThatStuckInATeachingThatIsOver(t *testing.T) {
	taught := func(pulses int, lands float64) story {
		c := &teacher{clerk{sealed: true, newValue: pulses}, func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			running(3.1, lands, down)(s, out) // cut as it meets the floor
			running(7.1, 9.5, up)(s, out)
			running(11.1, 12, down)(s, out)
		}, 0}
		return story{height: 0.6, seconds: 14, store: c, actions: []sim.Action{teach(0.5, 1), press(3), press(7), press(11)},
			faults: []sim.Scheduled{kind(t, "sill-switch-stuck-made", nil, 1, 2)}}
	}
	both(t, "no-surprise", "way", taught(240, 4.74), taught(360, 4.74)) // a travel is on record that is not this door's, or is
	both(t, "no-surprise", "way", taught(360, 3.5), taught(360, 4.74))  // it has not been down
}

// recorded is a clerk whose door goes up from the floor to the stop, taught with a number of pulses.
func recorded(pulses int, until float64) sim.Controller {
	return &teacher{clerk{sealed: true, newValue: pulses}, func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		if between(s, 1.7, until) {
			up(out)
		}
	}, 0}
}

// What came over the wire on the whole way from the floor to the stop is a travel, whatever
// has happened to the encoder on that way; on a part of the way it is not.
func TestTravelOfAnEncoderExchangedOnTheWay(t *testing.T) {
	taught := func(pulses int, until, dark float64) story {
		return story{height: -1, seconds: 12, store: recorded(pulses, until), actions: []sim.Action{press(1.4), teach(1.6, 0.5), interrupt(dark, 0.3)},
			faults: []sim.Scheduled{kind(t, "exchanged-encoder", map[string]float64{"resolution": 357}, 4, 0)}}
	}
	both(t, "taught-travel", "record", taught(523, 8, 8.5), taught(420, 8, 8.5))
	both(t, "taught-travel", "record", taught(523, 8, 8.5), taught(523, 6.5, 7.5))
}

// Pulses that noise adds nobody can tell; fewer than came are another thing.
func TestTravelWithNoiseOnTheWire(t *testing.T) {
	taught := func(pulses int) story {
		return story{height: -1, seconds: 12, store: recorded(pulses, 8), actions: []sim.Action{press(1.4), teach(1.6, 0.5), interrupt(8.5, 0.3)},
			faults: []sim.Scheduled{kind(t, "extra-pulses", map[string]float64{"rate": 50}, 0, 0)}}
	}
	both(t, "taught-travel", "record", taught(690), taught(500))
}

// A jam on the way up nobody can tell from the stop: what had come over the wire from the floor to it
// is a travel. What a door that was still on its way had counted is none, nor is it where the motor
// runs free, its release open, and only the curtain stands: what it takes tells that from the stop.
func TestTravelUpToAJam(t *testing.T) {
	jam := kind(t, "added-friction", map[string]float64{"force": 900, "low-end": 1.2, "high-end": 1.5}, 0, 0)
	taught := func(pulses int, until float64, faults ...sim.Scheduled) story {
		return story{height: -1, seconds: 12, store: recorded(pulses, until), faults: faults,
			actions: []sim.Action{press(1.4), teach(1.6, 0.5), interrupt(until+0.5, 0.3)}}
	}
	both(t, "taught-travel", "record", taught(243, 8, jam), taught(220, 8, jam))
	both(t, "taught-travel", "record", taught(243, 8, jam), taught(243, 5.4))
	opens := func(at float64) sim.Scheduled { return kind(t, "manual-release-open", nil, at, 0) }
	both(t, "taught-travel", "record", taught(243, 8, jam, opens(8.1)), taught(243, 8, jam, opens(7)))
}

// afterwards is a clerk that writes what it has counted once the door has come to the stop.
type afterwards struct{ teacher }

func (c *afterwards) Tick(in *sim.Inputs, out *sim.Outputs) {
	then := *in
	then.Teach = between(float64(c.ticks)*0.01, 8.1, 8.2)
	c.teacher.Tick(&then, out)
}

// What had come over the wire as a travel was stored is what counts, not what comes in the next
// run, in which power is lost.
func TestPowerLostInTheRunAfterATeaching(t *testing.T) {
	taught := func(pulses int) story {
		c := &afterwards{teacher{clerk{sealed: true, newValue: pulses}, func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			running(1.7, 8, up)(s, out)
			running(9.5, 11, down)(s, out)
		}, 0}}
		return story{height: -1, seconds: 14, store: c, actions: []sim.Action{press(1.4), teach(1.6, 0.5), press(9.4), interrupt(10.5, 0.3)},
			faults: []sim.Scheduled{kind(t, "extra-pulses", map[string]float64{"rate": 50}, 0, 0)}}
	}
	both(t, "taught-travel", "record", taught(690), taught(500))
}

// longer is a clerk whose record is longer than the travel: it is of another encoder.
type longer struct{ teacher }

func (c *longer) Provision(store *sim.Store, travel, at int) { c.clerk.Provision(store, travel+20, at) }

// A record that does not fit the travel may be told of as a jam; one that fits may not.
func TestStopShortOfTheRecord(t *testing.T) {
	stop := teacher{clerk{sealed: true, newValue: 360}, func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		out.Tone = false
		running(1.7, 8, up)(s, out)
		beep(s, 7.9, 2, out)
	}, 0}
	fits := stop
	taught := func(c sim.Controller) story {
		return story{height: -1, seconds: 12, store: c, actions: []sim.Action{press(1.4), teach(1.6, 0.5)}}
	}
	both(t, "alarm", "false", taught(&longer{stop}), taught(&fits))
}

// A teaching that follows another at once has a record of its own to begin with.
func TestTeachingsThatFollowAtOnce(t *testing.T) {
	s := func(c sim.Controller, actions ...sim.Action) story {
		return story{height: -1, seconds: 8, store: c, actions: actions}
	}
	twice := &counting{clerk: clerk{sealed: true}}
	mixed := &counting{clerk: clerk{sealed: true}}
	both(t, "taught-travel", "record",
		s(twice, teach(1, 0.5), teach(2, 0.5)),
		s(mixed, sim.Action{At: 1000, Kind: sim.TeachHold, Span: 2000}))
}

// counting is a clerk that writes another travel at each second of a request.
type counting struct {
	clerk
	ticks int
}

func (c *counting) Tick(in *sim.Inputs, out *sim.Outputs) {
	if c.ticks%100 == 0 {
		c.started, c.newValue = false, 350+c.ticks/100
	}
	c.ticks++
	out.Write = false
	c.clerk.Tick(in, out)
}

// A travel that was taken at a jam nobody can tell from the true one, once that was told of: a door
// that comes as high as the jam was is open for all that is known. One that ends lower is not.
func TestDoorThatOpensToAJamThatWasTaught(t *testing.T) {
	opens := func(until float64) story {
		c := &afterwards{teacher{clerk{sealed: true, newValue: 61}, func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			out.Tone = false
			running(1.7, 7, up)(s, out)
			beep(s, 3.5, 2, out)
			running(11.1, 11.95, down)(s, out) // to the floor
			running(13.1, until, up)(s, out)
		}, 0}}
		return story{height: -1, seconds: 18, store: c, actions: []sim.Action{press(1.4), teach(1.6, 0.5), press(11), press(13)},
			faults: []sim.Scheduled{kind(t, "added-friction", map[string]float64{"force": 900, "low-end": 0.3, "high-end": 0.6}, 0, 9)}}
	}
	both(t, "alarm", "ended", opens(14), opens(13.5))
}

// Such a door goes down again from there at a press: it is open for all that it can know. One that has
// the true travel on record, or that stands lower, knows better.
func TestDoorThatClosesFromAJamThatWasTaught(t *testing.T) {
	closes := func(pulses int, until float64) story {
		c := &afterwards{teacher{clerk{sealed: true, newValue: pulses}, func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			running(1.7, 6.4, up)(s, out)
			running(9.5, 12.6, down)(s, out) // cut as it meets the floor
			running(16, until, up)(s, out)
			running(21, 22, down)(s, out)
		}, 0}}
		return story{height: -1, seconds: 23, store: c, actions: []sim.Action{press(1.6), teach(1.6, 0.5), press(9.4), press(15.9), press(20.9)},
			faults: []sim.Scheduled{kind(t, "added-friction", map[string]float64{"force": 900, "low-end": 1.2, "high-end": 1.5}, 0, 9)}}
	}
	both(t, "no-surprise", "way", closes(243, 19.7), closes(360, 19.7))
	both(t, "no-surprise", "way", closes(243, 19.7), closes(243, 19))
}

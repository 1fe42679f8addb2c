package require_test

import (
	"testing"

	"slatbench/sim"
)

// A part that a self-test has seen may be mended before its alarm has begun, which waits for another one,
// or for the silence after a boot: it counts for 3 s, as every situation does. One that was mended earlier does not.
func TestPartThatIsMendedBeforeItsAlarm(t *testing.T) {
	for _, fault := range []string{"open-edge-wire", "failed-current-sensor"} {
		mended := func(at float64) story {
			return story{height: 0.3, seconds: 9, faults: []sim.Scheduled{kind(t, fault, nil, 0, at)},
				door: sounding(7, 5, func(float64, *sim.Outputs) {})}
		}
		silent(t, mended(2.5), mended(1.5))
	}
}

// resolution is an encoder that gives so many pulses a metre for a while, where 200 are right.
func resolution(t *testing.T, pulses, from, to float64) sim.Scheduled {
	return kind(t, "exchanged-encoder", map[string]float64{"resolution": pulses}, from, to)
}

// A floor that sets the count right altogether is zero, though the curtain lies in its seal, two pulses
// lower: what the wire adds after that counts from there.
func TestCountFromTheZeroOfAFloor(t *testing.T) {
	cycle := func(pulses float64) story {
		return story{height: 0.3, seconds: 9, actions: []sim.Action{press(0.5), press(4)},
			faults: []sim.Scheduled{resolution(t, 208, 0, 3), resolution(t, pulses, 3, 0)},
			door: func(s float64, in *sim.Inputs, out *sim.Outputs) {
				driving(0.6, 1.42, down, 7, 6)(s, in, out)
				running(4.1, 5.1, up)(s, out)
			}}
	}
	silent(t, cycle(210.5), cycle(208))
}

// So is the floor from which a door is taught, though it goes up from there at once.
func TestCountFromTheZeroOfATeaching(t *testing.T) {
	cycle := func(pulses float64) story {
		return story{height: 0.3, seconds: 14, actions: []sim.Action{teach(0.3, 4), press(0.5)},
			faults: []sim.Scheduled{resolution(t, 209, 0, 1.5), resolution(t, pulses, 1.5, 0)},
			door: func(s float64, in *sim.Inputs, out *sim.Outputs) {
				driving(0.6, 1.42, down, 7, 5)(s, in, out)
				running(1.8, 8, up)(s, out)
			}}
	}
	silent(t, cycle(202.5), cycle(201))
}

// A door that is told to go up while its curtain, driven by a contact that has welded, still comes down counts those
// pulses up. One whose curtain has come to rest counts none.
func TestCountAgainstAContactThatHasWelded(t *testing.T) {
	again := func(at float64) story {
		return story{height: 1.2, seconds: 11, actions: []sim.Action{press(0.3), press(at - 0.1), press(5)},
			faults: []sim.Scheduled{kind(t, "welded-down-contact", nil, 1, 1.6)},
			door: func(s float64, in *sim.Inputs, out *sim.Outputs) {
				running(0.4, 1.2, down)(s, out)
				running(at, at+0.3, up)(s, out)
				driving(5.1, 9, down, 4, 9)(s, in, out)
			}}
	}
	silent(t, again(1.5), again(2))
}

// storing is a clerk that writes what it has counted at a time of its own.
type storing struct {
	teacher
	at float64
}

func (c *storing) Tick(in *sim.Inputs, out *sim.Outputs) {
	then := *in
	then.Teach = between(float64(c.ticks)*0.01, c.at, c.at+0.1)
	c.teacher.Tick(&then, out)
}

// Who is taught for the first time cannot tell a jam from the stop, where the opening may end so high;
// with a travel to compare it with he can, and no opening ends below 1 m.
func TestJamInAFirstTeaching(t *testing.T) {
	taught := func(untaught bool, at float64) story {
		c := &storing{teacher{clerk{sealed: true, newValue: int(200 * at)}, func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			running(1.7, 6, up)(s, out)
		}, 0}, 6.1}
		return story{height: -1, seconds: 12, untaught: untaught, store: c, actions: []sim.Action{press(1.4), teach(1.6, 0.5)},
			faults: []sim.Scheduled{kind(t, "added-friction", map[string]float64{"force": 900, "low-end": at, "high-end": at + 0.3}, 0, 0)}}
	}
	both(t, "alarm", "sounds", taught(true, 1.2), taught(false, 1.2))
	both(t, "alarm", "sounds", taught(true, 1.2), taught(true, 0.9))
}

// Nor can he tell it later: what holds the door as high as the record says is the stop. What holds it lower is not.
func TestHeldAtAJamThatWasTaught(t *testing.T) {
	opens := func(at float64) story {
		c := &storing{teacher{clerk{sealed: true, newValue: 243}, func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			out.Tone = false
			running(1.7, 6, up)(s, out)
			beep(s, 6.1, 2, out)
			running(11.1, 15.2, down)(s, out) // to the floor
			running(17.1, 21.2, up)(s, out)
		}, 0}, 6.1}
		return story{height: -1, seconds: 26, store: c, actions: []sim.Action{press(1.6), teach(1.6, 0.5), press(11), press(17)},
			faults: []sim.Scheduled{kind(t, "added-friction", map[string]float64{"force": 900, "low-end": 1.2, "high-end": 1.5}, 0, 9),
				kind(t, "added-friction", map[string]float64{"force": 900, "low-end": at, "high-end": 1.5}, 16, 0)}}
	}
	both(t, "alarm", "sounds", opens(1.16), opens(1.1))
}

// A jam at which a travel was taken may be open itself, as far as 70 mm go: a door that is cut short of it, as it
// would be of the stop, ends lower. With the true travel on record that is no excuse.
func TestShortOfAJamThatWasTaught(t *testing.T) {
	opens := func(pulses int) story {
		c := &storing{teacher{clerk{sealed: true, newValue: pulses}, func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			running(1.7, 8, up)(s, out)
			running(11.1, 15.6, down)(s, out) // to the floor
			running(17.1, 22.5, up)(s, out)
		}, 0}, 8.1}
		return story{height: -1, seconds: 26, store: c, actions: []sim.Action{press(1.6), teach(1.6, 0.5), press(11), press(17)},
			faults: []sim.Scheduled{kind(t, "added-friction", map[string]float64{"force": 900, "low-end": 1.74, "high-end": 1.9}, 0, 9)}}
	}
	r := opens(350).rig(t)
	if err := r.Run(); err != nil {
		t.Fatal(err)
	}
	if h := r.Truck.Bays[0].Height; h < 1.69 || h > 1.72 {
		t.Fatalf("the door rests at %.4f m", h)
	}
	both(t, "alarm", "ended", opens(350), opens(360))
}

// While a jam is on record for the stop, the true stop may be told of as something that holds the door where
// no stop can be.
func TestStopBeyondAJamThatWasTaught(t *testing.T) {
	opens := func(pulses int) story {
		found := false
		c := &storing{teacher{clerk{sealed: true, newValue: pulses}, func(s float64, in *sim.Inputs, out *sim.Outputs) {
			out.Tone = false
			running(1.7, 6, up)(s, out)
			beep(s, 6.1, 2, out)
			if found = found || s > 12 && in.Sill; between(s, 10.1, 20) && !found { // gently, to the floor
				down(out)
				out.Duty = 45
			}
			running(24.1, 30.5, up)(s, out)
			beep(s, 30.4, 2, out)
		}, 0}, 6.1}
		return story{height: -1, seconds: 34, store: c, actions: []sim.Action{press(1.6), teach(1.6, 0.5), press(10), press(24)},
			faults: []sim.Scheduled{kind(t, "added-friction", map[string]float64{"force": 900, "low-end": 1.2, "high-end": 1.5}, 0, 9)}}
	}
	silent(t, opens(243), opens(360))
}

// A controller may set its count right altogether at a floor that it finds too low: what the wire
// has lost before then no longer makes up for what it loses after.
func TestCountThatTheFloorSetsRight(t *testing.T) {
	slips := func(share float64) story {
		first, then := map[string]float64{"slip": 0.03}, map[string]float64{"slip": share}
		return story{height: 0.3, seconds: 9, actions: []sim.Action{press(0.5), press(4)},
			faults: []sim.Scheduled{kind(t, "slipping-reel", first, 0, 3), kind(t, "slipping-reel", then, 3, 5)},
			door: func(s float64, in *sim.Inputs, out *sim.Outputs) {
				driving(0.6, 1.42, down, 7, 5.4)(s, in, out) // cut as it meets the floor
				running(4.1, 4.4, up)(s, out)
			}}
	}
	silent(t, slips(0.22), slips(0.1))
}

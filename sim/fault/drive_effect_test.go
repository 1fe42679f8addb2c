package fault_test

import (
	"math"
	"testing"

	"slatbench/sim"
)

func openMotorLeadEffect(t *testing.T) {
	f := made(t, "open-motor-lead", nil)
	r := newRig(t, startingAt(0.5)).with(f)
	r.up(0, 1)
	b := r.bay(0)
	want(t, "current", b.MotorCurrent, 0)
	want(t, "energised", b.Energised, 0)
	near(t, "height", b.Height, 0.5, 0.02)
	f.Stop(r.Bench)
	r.run(0.5)
	want(t, "energised, put back on", b.Energised, 1)
	less(t, "height, put back on", 0.55, b.Height)
}

func manualReleaseEffect(t *testing.T) {
	r := newRig(t, startingAt(0.9)).with(made(t, "manual-release-open", nil))
	r.up(0, 1)
	less(t, "the motor runs free", 200, r.bay(0).MotorSpeed)
	less(t, "the curtain does not rise", r.bay(0).Height, 0.9)
}

func weldedDirectionEffect(t *testing.T, kind string, direction int) {
	f := made(t, kind, nil)
	r := newRig(t, startingAt(0.9)).with(f)
	b := r.bay(0)
	made := b.Stage.UpMade
	if direction < 0 {
		made = b.Stage.DownMade
	}
	want(t, "made at once", made(), true)
	want(t, "energised with the enable open", b.Energised, 0)
	r.drive(0, direction < 0, direction > 0, 1) // the other way
	want(t, "energised against it", b.Energised, 0)
	near(t, "it brakes at", b.Height, 0.9, 0.02)
	r.drive(0, direction > 0, direction < 0, 0.5)
	want(t, "energised its own way", b.Energised, direction)
	r.off(0, 0.2)
	want(t, "made with nothing asked", made(), true)
	want(t, "energised with nothing asked", b.Energised, 0)
	f.Stop(r.Bench)
	want(t, "made, once mended", made(), false)
}

func openContactEffect(t *testing.T, kind string, up, down int) {
	f := made(t, kind, nil)
	r := newRig(t, startingAt(0.9)).with(f)
	r.up(0, 0.5)
	want(t, "energised with up asked", r.bay(0).Energised, up)
	r.off(0, 0.3).down(0, 0.5)
	want(t, "energised with down asked", r.bay(0).Energised, down)
	f.Stop(r.Bench)
	r.run(0.1)
	want(t, "energised, once mended", r.bay(0).Energised, -1)
}

func weldedEnableEffect(t *testing.T) {
	f := made(t, "welded-enable-contact", nil)
	r := newRig(t, startingAt(0.9)).with(f)
	b := r.bay(0)
	want(t, "made at rest", b.Stage.EnableMade(), true)
	want(t, "energised at rest", b.Energised, 0)
	r.up(0, 0.5)
	want(t, "energised with up asked", b.Energised, 1)
	r.off(0, 0.2)
	want(t, "made with nothing asked", b.Stage.EnableMade(), true)
	want(t, "energised with nothing asked", b.Energised, 0)
	f.Stop(r.Bench)
	want(t, "made, once mended", b.Stage.EnableMade(), false)
}

// counted is how many pulses bay 0 has sent over how many metres, driven for
// seconds at a duty.
func counted(t *testing.T, from float64, up bool, duty uint8, seconds float64, faults ...sim.Fault) (pulses, metres float64) {
	r := newRig(t, startingAt(from))
	for _, f := range faults {
		r.with(f)
	}
	r.doors[0].duty = duty
	r.drive(0, up, !up, seconds)
	return float64(r.doors[0].pulses), math.Abs(r.bay(0).Height - from)
}

func missedPulsesEffect(t *testing.T) {
	f := made(t, "missed-pulses", values{"pulses": 4})
	pulses, metres := counted(t, 1.6, false, 100, 3, f)
	less(t, "closing is faster than 0.38 m/s", 0.38*3, metres)
	sound, _ := counted(t, 1.6, false, 100, 3)
	near(t, "share counted, 4 of 40 lost", pulses/sound, 0.9, 0.03)
	pulses, metres = counted(t, 0.2, true, 60, 3, f)
	near(t, "slowly, all are counted", pulses, metres*200, 2)
}

func extraPulsesEffect(t *testing.T) {
	f := made(t, "extra-pulses", values{"rate": 30})
	pulses, metres := counted(t, 0.2, true, 100, 3, f)
	near(t, "added in 3 s", pulses-metres*200, 90, 12)
	r := newRig(t).with(f).run(3)
	want(t, "added at rest", r.doors[0].pulses, 0)
}

func slippingReelEffect(t *testing.T) {
	pulses, metres := counted(t, 0.2, true, 100, 3, made(t, "slipping-reel", values{"slip": 0.25}))
	near(t, "pulses", pulses, 0.75*metres*200, 2)
	r := newRig(t).with(made(t, "slipping-reel", values{"slip": 0.5})).with(made(t, "slipping-reel", values{"slip": 0.2}))
	near(t, "two slips", r.bay(0).Condition.Slip, 1-0.5*0.8, 1e-12)
}

func stuckReelEffect(t *testing.T) {
	f := made(t, "stuck-reel", nil)
	pulses, metres := counted(t, 0.2, true, 100, 2, f)
	less(t, "opened by", 0.3, metres)
	want(t, "pulses while opening", pulses, 0)
	pulses, metres = counted(t, 1.6, false, 100, 2, f)
	near(t, "pulses while closing", pulses, metres*200, 2)
	pulses, _ = counted(t, 0.2, true, 100, 2, made(t, "stuck-reel", values{"rewind": 0.1}))
	near(t, "pulses of a reel that takes up 0.1 m/s", pulses, 0.1*2*200, 4)
}

func exchangedEncoderEffect(t *testing.T) {
	pulses, metres := counted(t, 0.2, true, 100, 3, made(t, "exchanged-encoder", values{"resolution": 300}))
	near(t, "pulses", pulses, metres*300, 2)
}

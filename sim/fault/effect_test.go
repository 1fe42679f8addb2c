package fault_test

import (
	"strings"
	"testing"

	"slatbench/sim"
	"slatbench/sim/fault"
)

// effects has a measurement for every kind: a truck driven by hand really does
// what the kind says, and, where that can be seen at once, no longer after its end.
var effects = map[string]func(t *testing.T){
	"obstruction":           obstructionEffect,
	"added-friction":        addedFrictionEffect,
	"leaning-cargo":         leaningCargoEffect,
	"weak-counterbalance":   weakCounterbalanceEffect,
	"broken-counterbalance": brokenCounterbalanceEffect,
	"weak-closing-spring":   weakClosingSpringEffect,
	"broken-closing-spring": brokenClosingSpringEffect,
	"jammed-closing-spring": jammedClosingSpringEffect,

	"open-motor-lead":       openMotorLeadEffect,
	"manual-release-open":   manualReleaseEffect,
	"welded-up-contact":     func(t *testing.T) { weldedDirectionEffect(t, "welded-up-contact", 1) },
	"welded-down-contact":   func(t *testing.T) { weldedDirectionEffect(t, "welded-down-contact", -1) },
	"open-up-contact":       func(t *testing.T) { openContactEffect(t, "open-up-contact", 0, -1) },
	"open-down-contact":     func(t *testing.T) { openContactEffect(t, "open-down-contact", 1, 0) },
	"open-enable-contact":   func(t *testing.T) { openContactEffect(t, "open-enable-contact", 0, 0) },
	"welded-enable-contact": weldedEnableEffect,

	"missed-pulses":     missedPulsesEffect,
	"extra-pulses":      extraPulsesEffect,
	"slipping-reel":     slippingReelEffect,
	"stuck-reel":        stuckReelEffect,
	"exchanged-encoder": exchangedEncoderEffect,

	"dirty-lens":         func(t *testing.T) { weakLinkEffect(t, "dirty-lens", "clear") },
	"weak-remote-cell":   func(t *testing.T) { weakLinkEffect(t, "weak-remote-cell", "intensity") },
	"sunlight":           sunlightEffect,
	"unplugged-receiver": unpluggedEffect,
	"reflected-press":    reflectedPressEffect,
	"held-remote-button": heldButtonEffect,

	"low-battery":             lowBatteryEffect,
	"aged-battery":            agedBatteryEffect,
	"corroded-connector":      corrodedBranchEffect,
	"corroded-feed-connector": corrodedFeedEffect,
	"supply-interruption":     interruptionEffect,
	"failed-current-sensor":   currentSensorEffect,
	"wrong-supply-reading":    supplyReadingEffect,

	"sill-switch-stuck-made": func(t *testing.T) { sillEffect(t, "sill-switch-stuck-made", 1.0, true) },
	"sill-switch-stuck-open": func(t *testing.T) { sillEffect(t, "sill-switch-stuck-open", -1, false) },
	"open-edge-wire":         func(t *testing.T) { edgeWireEffect(t, "open-edge-wire", sim.EdgeOpenWire) },
	"shorted-edge-wire":      func(t *testing.T) { edgeWireEffect(t, "shorted-edge-wire", sim.EdgeShort) },
	"deaf-edge":              deafEdgeEffect,
	"stuck-door-down-wire":   doorDownWireEffect,

	"blocked-lock-bar":   blockedBarEffect,
	"open-lock-actuator": openActuatorEffect,
	"stuck-lock-switch":  lockSwitchEffect,
}

func TestEffects(t *testing.T) {
	for _, k := range fault.Kinds() {
		if measure := effects[k.Name]; measure != nil {
			t.Run(k.Name, measure)
		} else {
			t.Errorf("nothing measures %s", k.Name)
		}
	}
}

func obstructionEffect(t *testing.T) {
	f := made(t, "obstruction", values{"height": 0.5, "stiffness": 100e3})
	r := newRig(t, startingAt(1.7)).with(f)
	r.down(0, 4)
	b := r.bay(0)
	less(t, "contact force", 100, b.ContactForce)
	near(t, "edge held up, its seal pressed, at", b.Height, 0.475, 0.025)
	f.Stop(r.Bench)
	r.off(0, 0.1)
	want(t, "contact force, taken away", b.ContactForce, 0)
}

func TestObstructionAppearsOutsideTheCurtainOnly(t *testing.T) {
	r := newRig(t, startingAt(0.4))
	err := r.Fault(made(t, "obstruction", values{"height": 0.5}), true)
	if err == nil || !strings.Contains(err.Error(), "500 mm high") || !strings.Contains(err.Error(), "C1 is down at 400 mm") {
		t.Errorf("%v, expected an error that names both heights", err)
	}
	f := made(t, "obstruction", values{"height": 0.5, "appears": 1})
	r.with(f).run(0.95)
	if _, there := r.bay(0).ObstacleAt(); there || r.bay(0).ContactForce != 0 {
		t.Error("it is inside the curtain")
	}
	if !r.Truck.Quiet() {
		t.Error("a thing that waits keeps the truck awake")
	}
	r.up(0, 2)
	o, there := r.bay(0).ObstacleAt()
	want(t, "there", there, true)
	want(t, "top", o.Top, 0.5)
	f.Stop(r.Bench)
	if _, there := r.bay(0).ObstacleAt(); there {
		t.Error("it has not gone")
	}
}

func TestOfTwoObstructionsTheHigherHoldsTheCurtain(t *testing.T) {
	low, high := made(t, "obstruction", values{"height": 0.3}), made(t, "obstruction", values{"height": 0.8})
	r := newRig(t, startingAt(1.7)).with(high).with(low)
	r.down(0, 4)
	near(t, "on the higher", r.bay(0).Height, 0.765, 0.035)
	high.Stop(r.Bench)
	r.run(3)
	near(t, "on the lower", r.bay(0).Height, 0.265, 0.035)
}

// passing is how high bay 0 has come after opening for seconds from where it is,
// with and without a fault.
func passing(t *testing.T, f sim.Fault, from, seconds float64) (sound, faulty float64) {
	sound = newRig(t, startingAt(from)).up(0, seconds).bay(0).Height
	faulty = newRig(t, startingAt(from)).with(f).up(0, seconds).bay(0).Height
	return sound, faulty
}

func addedFrictionEffect(t *testing.T) {
	f := made(t, "added-friction", values{"force": 120, "low-end": 0.5, "high-end": 0.8})
	if sound, faulty := passing(t, f, 0.1, 0.9); sound != faulty || sound > 0.5 {
		t.Errorf("below the stretch: at %g m, with the fault %g m", sound, faulty)
	}
	sound, faulty := passing(t, f, 0.1, 2.0)
	less(t, "height after the stretch", faulty, sound-0.01)
	less(t, "beginning of the stretch", 0.5, faulty)
}

func TestTwoStretchesBecomeOne(t *testing.T) {
	r := newRig(t)
	r.with(made(t, "added-friction", values{"force": 50, "low-end": 0.5, "high-end": 0.8}))
	r.with(made(t, "added-friction", values{"force": 40, "low-end": 0.2, "high-end": 0.6}))
	c := &r.bay(0).Condition
	want(t, "force", c.StretchForce, 50)
	want(t, "low end", c.StretchFrom, 0.2)
	want(t, "high end", c.StretchTo, 0.8)
}

func leaningCargoEffect(t *testing.T) {
	sound, faulty := passing(t, made(t, "leaning-cargo", values{"force": 120}), 0.1, 2)
	less(t, "height with cargo against the curtain", faulty, sound-0.05)
	less(t, "height at the start", 0.1, faulty)
}

// left is where bay 0 is after it was left at height with its drive released.
func left(t *testing.T, height float64, faults ...sim.Fault) float64 {
	r := newRig(t, startingAt(height)).with(made(t, "manual-release-open", nil))
	for _, f := range faults {
		r.with(f)
	}
	return r.run(2).bay(0).Height
}

func weakCounterbalanceEffect(t *testing.T) {
	less(t, "with 60 % of the torque it falls further", left(t, 0.9, made(t, "weak-counterbalance", values{"torque": 0.6})), left(t, 0.9)-0.3)
	torque := func(f sim.Fault) float64 { return newRig(t, startingAt(0.9)).with(f).up(0, 0.6).bay(0).MotorCurrent }
	less(t, "motor current", torque(made(t, "weak-counterbalance", values{"torque": 1})), torque(made(t, "weak-counterbalance", values{"torque": 0.8}))-0.5)
}

func brokenCounterbalanceEffect(t *testing.T) {
	less(t, "it falls", left(t, 0.9, made(t, "broken-counterbalance", nil)), 0.1)
}

// paidOut is the cable that hangs slack after bay 0 was driven down from the
// open stop.
func paidOut(t *testing.T, faults ...sim.Fault) (slack, height float64) {
	r := newRig(t, startingAt(1.8))
	for _, f := range faults {
		r.with(f)
	}
	r.down(0, 1)
	return r.bay(0).Slack(), r.bay(0).Height
}

func brokenClosingSpringEffect(t *testing.T) {
	slack, height := paidOut(t)
	near(t, "slack as built", slack, 0, 0.001)
	less(t, "height as built", height, 1.6)
	slack, height = paidOut(t, made(t, "broken-closing-spring", nil))
	less(t, "slack", 0.15, slack)
	near(t, "it stays up at", height, 1.8, 0.02)
}

func weakClosingSpringEffect(t *testing.T) {
	slack, height := paidOut(t, made(t, "weak-closing-spring", values{"pull": 0}))
	broken, brokenHeight := paidOut(t, made(t, "broken-closing-spring", nil))
	want(t, "slack with nothing left", slack, broken)
	want(t, "height with nothing left", height, brokenHeight)
	slack, height = paidOut(t, made(t, "weak-closing-spring", values{"pull": 0.2}))
	sound, soundHeight := paidOut(t)
	less(t, "slack with a fifth left", sound, slack)
	less(t, "height with a fifth left", soundHeight+0.02, height)
}

func jammedClosingSpringEffect(t *testing.T) {
	slack, height := paidOut(t, made(t, "jammed-closing-spring", nil))
	less(t, "slack", 0.15, slack)
	near(t, "it stays up at", height, 1.8, 0.02)
	broken := newRig(t, startingAt(0.1)).with(made(t, "broken-closing-spring", nil)).up(0, 2).bay(0).Height
	jammed := newRig(t, startingAt(0.1)).with(made(t, "jammed-closing-spring", values{"drag": 100})).up(0, 2).bay(0).Height
	less(t, "it drags where a broken one does not", jammed, broken-0.05)
}

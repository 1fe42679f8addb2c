package require_test

import (
	"testing"

	"slatbench/sim"
	"slatbench/sim/require"
)

// What people are told, at the door, at the cab and over the wires: each case that is not held
// against a controller comes with one that is.

// A run down starts from open, as far as counting tells; one that starts lower is a surprise. In
// doubt of its count a controller cannot tell a jam from the stop.
func TestWayDownStartsFromOpen(t *testing.T) {
	from := func(height float64, actions ...sim.Action) story {
		return story{height: height, seconds: 4, actions: append(actions, press(0.5)), door: driving(0.6, 1.5, down, 3, 2)}
	}
	both(t, "no-surprise", "way", from(1.71), from(1.69))
	taught := from(0.9, teach(0.2, 1))
	taught.door = func(s float64, in *sim.Inputs, out *sim.Outputs) {
		driving(0.6, 1.5, down, 3, 2)(s, in, out)
		out.Lamp = out.Lamp && int(s/0.2)%2 == 0
	}
	both(t, "no-surprise", "way", taught, from(0.9))
	jammed := func(faults ...sim.Scheduled) story {
		return story{height: 0.9, seconds: 9, actions: []sim.Action{interrupt(0.2, 0.2), press(1.4), press(4)}, faults: faults,
			door: func(s float64, in *sim.Inputs, out *sim.Outputs) {
				driving(1.5, 2.6, up, 2, 2.8)(s, in, out)
				running(4.1, 5, down)(s, out)
			}}
	}
	both(t, "no-surprise", "way", jammed(kind(t, "leaning-cargo", map[string]float64{"force": 900}, 1.6, 3)), jammed())
}

// A press at rest is answered by the drive, a tone or the lamp; where the lamp flashes, or the
// sounder sounds, it is answered already.
func TestPressIsHeard(t *testing.T) {
	barred := func(_ float64, _ *sim.Inputs, out *sim.Outputs) { out.Sides[0].Permit = false }
	s := func(answer func(s float64, out *sim.Outputs)) story {
		return story{height: 0.3, seconds: 6, actions: []sim.Action{press(1)}, locks: barred,
			door: func(s float64, _ *sim.Inputs, out *sim.Outputs) { answer(s, out) }}
	}
	silence := s(func(float64, *sim.Outputs) {})
	lamp := func(from, to float64) story {
		return s(func(s float64, out *sim.Outputs) { out.Lamp = between(s, from, to) })
	}
	both(t, "no-surprise", "heard", lamp(1.25, 1.5), lamp(1.4, 1.6))
	both(t, "no-surprise", "heard", lamp(0.7, 0.9), lamp(0.2, 0.9)) // it was flashing; it had only gone out
	both(t, "no-surprise", "heard", s(func(s float64, out *sim.Outputs) { beep(s, 1.2, 6, out) }), silence)
	both(t, "no-surprise", "heard", s(func(s float64, out *sim.Outputs) { beep(s, 0.1, 2, out) }), silence)
	starts := s(func(s float64, out *sim.Outputs) {
		if between(s, 1.25, 1.5) {
			up(out)
		}
		out.Lamp = out.Lamp && s > 1.3
	})
	both(t, "no-surprise", "heard", starts, silence)
	asleep := silence
	asleep.actions = []sim.Action{interrupt(1.2, 0.3), press(1)}
	both(t, "no-surprise", "heard", asleep, silence)
}

// On the way down of a teaching the lamp flashes; in an ordinary run it is lit.
func TestLampTellsATeaching(t *testing.T) {
	run := func(flash bool, actions ...sim.Action) story {
		return story{height: 1.78, seconds: 5, actions: append(actions, press(0.5)), door: func(s float64, in *sim.Inputs, out *sim.Outputs) {
			driving(0.6, 3, down, 3, 3.2)(s, in, out)
			out.Lamp = out.Lamp && (!flash || int(s/0.2)%2 == 0)
		}}
	}
	both(t, "no-surprise", "manner", run(false), run(true))
	both(t, "no-surprise", "manner", run(true, teach(0.2, 2)), run(false, teach(0.2, 2)))
	both(t, "no-surprise", "manner", run(false, teach(0.2, 0.35)), run(false, teach(0.2, 2))) // when it starts, nobody holds it any more
}

// A run up that ends short of open is told of, though the curtain was moving; unless somebody
// has stopped it, or a count that is off has.
func TestRunUpThatEndsShort(t *testing.T) {
	ends := func(at float64, alarm int, actions ...sim.Action) story {
		return story{height: 0.9, seconds: 9, actions: append(actions, press(0.5)), door: driving(0.6, at, up, alarm, 2.4)}
	}
	quiet := ends(2, 0)
	both(t, "alarm", "ended", ends(2, 0, press(1.97)), quiet)
	both(t, "alarm", "ended", ends(4.5, 0), quiet)
	asleep := ends(2, 0, interrupt(2.3, 0.3))
	both(t, "alarm", "ended", asleep, quiet)
	lost := quiet
	lost.faults = []sim.Scheduled{kind(t, "exchanged-encoder", map[string]float64{"resolution": 100}, 0, 0)}
	both(t, "alarm", "ended", lost, quiet)
	stuck := ends(2, 2) // a jam that is told of in time
	stuck.faults = []sim.Scheduled{kind(t, "leaning-cargo", map[string]float64{"force": 900}, 1.2, 0)}
	both(t, "alarm", "ended", stuck, quiet)
}

// A door that has come down says so, and goes on to say so until it moves; a door that is
// driven does not. One that is stopped by a press need not.
func TestDoorThatIsDownSaysSo(t *testing.T) {
	comes := func(from, to float64, actions ...sim.Action) story {
		return story{height: 0.3, seconds: 6, actions: append(actions, press(0.5)), door: func(s float64, in *sim.Inputs, out *sim.Outputs) {
			driving(0.6, 2.5, down, 0, 0)(s, in, out)
			out.Duty = 45
			out.Lines = sim.DownLines{Down: between(s, from, to)}
			out.Lines.NotDown = !out.Lines.Down
		}}
	}
	both(t, "lock-interlock", "down", comes(2.9, 9), comes(3.2, 9))
	both(t, "lock-interlock", "down", comes(2.55, 5.7), comes(2.55, 4.5))
	both(t, "lock-interlock", "down", comes(9, 9, press(2.46)), comes(9, 9))
	both(t, "lock-interlock", "down", comes(2.46, 9), comes(2.3, 9))
	lost := comes(9, 9)
	lost.faults = []sim.Scheduled{kind(t, "exchanged-encoder", map[string]float64{"resolution": 100}, 0, 0)}
	both(t, "lock-interlock", "down", lost, comes(9, 9))
	barred := func(from float64) story { // a press has called it up, and the lock is quicker than the drive, or was there before
		s := comes(2.55, 3.6)
		s.actions = append(s.actions, press(3.5))
		s.locks = func(s float64, _ *sim.Inputs, out *sim.Outputs) { out.Sides[0].Permit = !between(s, from, from+1.5) }
		return s
	}
	both(t, "lock-interlock", "down", barred(3.58), barred(4))
	stuck := comes(9, 9)
	stuck.faults = []sim.Scheduled{kind(t, "sill-switch-stuck-open", nil, 0, 0)}
	both(t, "lock-interlock", "down", stuck, comes(9, 9))
}

// A request at the cab switch is answered by the bar or by the lamp.
func TestCabSwitchIsAnswered(t *testing.T) {
	s := func(actions []sim.Action, locks func(float64, *sim.Inputs, *sim.Outputs)) story {
		return story{height: 0.4, seconds: 6, actions: actions, locks: locks}
	}
	lamp := func(from, to float64) func(float64, *sim.Inputs, *sim.Outputs) {
		return func(s float64, _ *sim.Inputs, out *sim.Outputs) { out.Sides[0].Lamp = between(s, from, to) }
	}
	lock := []sim.Action{ask(1, sim.LockAsk)}
	both(t, "lock-fault", "answer", s(lock, lamp(1.9, 2.5)), s(lock, lamp(2.1, 2.5)))
	both(t, "lock-fault", "answer", s(lock, lamp(0.5, 0.8)), s(lock, nil)) // it was flashing
	both(t, "lock-fault", "answer", s(append(lock, ask(1.5, sim.UnlockAsk)), nil), s(lock, nil))
	permitted := func(until float64) func(float64, *sim.Inputs, *sim.Outputs) {
		return func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			out.Sides[0] = sim.SideOutputs{Permit: s < until, Lamp: s >= until && int(s/0.2)%2 == 0}
		}
	}
	unlock := []sim.Action{ask(1, sim.UnlockAsk)}
	both(t, "lock-fault", "answer", s(unlock, permitted(1.005)), s(unlock, permitted(0.9)))
	locked := func(back float64) story {
		return story{height: -1, locked: true, seconds: 6, actions: []sim.Action{ask(1, sim.UnlockAsk)}, locks: bar(99, 99, back, back+2, false, 0.1)}
	}
	good, bad := locked(1.9), locked(2.2)
	good.locks, bad.locks = litUntil(good.locks, 1.9), litUntil(bad.locks, 2.2)
	both(t, "lock-fault", "answer", good, bad)

	// Asked again: both switches say locked of a bar that is held half way, or one does not.
	again := func(end float64) story {
		return story{height: -1, seconds: 6, actions: []sim.Action{ask(0.5, sim.LockAsk), ask(3, sim.LockAsk)},
			locks:  bar(0.6, 1.6, 9, 9, false, 1.6),
			faults: append(blocked(t), kind(t, "stuck-lock-switch", map[string]float64{"end": end}, 1.5, 0)),
			// return and show are exempt
			options: require.Options{Faults: []require.Active{{Kind: "stuck-lock-switch", From: 1500}}}}
	}
	both(t, "lock-fault", "answer", again(1), again(0))
}

// litUntil puts the lamp out at a time.
func litUntil(locks func(float64, *sim.Inputs, *sim.Outputs), at float64) func(float64, *sim.Inputs, *sim.Outputs) {
	return func(s float64, in *sim.Inputs, out *sim.Outputs) {
		locks(s, in, out)
		out.Sides[0].Lamp = out.Sides[0].Lamp && s < at
	}
}

// Beside a bar that is home beyond doubt the doors may move; after a stroke that has failed
// the switches may be doubted, until it is brought home on request.
func TestBarThatIsHomeFreesItsDoors(t *testing.T) {
	shut := func(from, to float64, actions ...sim.Action) story {
		return story{height: -1, seconds: 14, actions: actions, locks: func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			out.Sides[0].Permit = !between(s, from, to)
		}}
	}
	both(t, "lock-interlock", "frees", shut(1, 2.9), shut(1, 3.2))
	both(t, "lock-interlock", "frees", shut(1, 4, ask(2.5, sim.LockAsk)), shut(1, 4))
	failed := func(actions ...sim.Action) story {
		s := shut(0.9, 14, append(actions, ask(0.9, sim.LockAsk))...)
		s.faults = blocked(t)
		s.locks = func(s float64, in *sim.Inputs, out *sim.Outputs) {
			bar(1, 3, 3.1, 5, true, 0)(s, in, out)
			out.Sides[0].Permit = s < 0.9
			if between(s, 7.1, 9) {
				out.Sides[0].Drive = -1
			}
		}
		return s
	}
	both(t, "lock-interlock", "frees", failed(), failed(ask(7, sim.UnlockAsk)))
	late := func(back float64) story { // driven back, at a request, for so long
		s := shut(0.9, 14, ask(0.9, sim.UnlockAsk))
		s.locked, s.locks = true, func(s float64, in *sim.Inputs, out *sim.Outputs) {
			bar(99, 99, 1, 1+back, false, 0)(s, in, out)
			out.Sides[0].Permit = false
		}
		return s
	}
	both(t, "lock-interlock", "frees", late(2.3), late(1.6))
}

// The lamp of a lock that is locked says so; of one that was pushed there by hand nobody is sure.
func TestLampOfALockThatIsLocked(t *testing.T) {
	locks := func(lit float64) story {
		return story{height: -1, seconds: 7, actions: []sim.Action{ask(0.9, sim.LockAsk)}, locks: bar(1, 3.5, 99, 99, false, lit)}
	}
	both(t, "lock-fault", "locked", locks(4.4), locks(4.6))
	hand := locks(4.6)
	hand.locks = func(s float64, _ *sim.Inputs, out *sim.Outputs) {
		out.Sides[0] = sim.SideOutputs{Permit: s < 1, Lamp: s > 1 && int(s/0.2)%2 == 0}
	}
	hand.actions = []sim.Action{ask(0.9, sim.BypassLock)}
	both(t, "lock-fault", "locked", hand, locks(4.6))
}

// Each time that it goes out, and in each stroke, it is a violation of its own, told at its own time.
func TestLampThatGoesOutAgain(t *testing.T) {
	judged := func(out ...float64) require.Result { // so long after each, for half a second
		s := story{height: -1, seconds: 15.5, actions: []sim.Action{ask(0.9, sim.LockAsk), ask(7.9, sim.UnlockAsk), ask(10.9, sim.LockAsk)}}
		s.locks = func(at float64, in *sim.Inputs, o *sim.Outputs) {
			bar(1, 3.5, 8, 10, false, 2.5)(at, in, o)
			if between(at, 11, 13.5) {
				o.Sides[0].Drive = 1
			}
			o.Sides[0].Permit = between(at, 10, 10.9)
			o.Sides[0].Lamp = between(at, 2.5, 8) || at >= 12.5
			for _, from := range out {
				o.Sides[0].Lamp = o.Sides[0].Lamp && !between(at, from, from+0.5)
			}
		}
		return s.run(t).of("lock-fault")
	}
	sound, once, twice, anew := judged(), judged(5), judged(5, 6), judged(5, 14.6)
	if once.Tests-sound.Tests != 1 || once.At != 5000 {
		t.Errorf("once: %d tests more, at %d", once.Tests-sound.Tests, once.At)
	}
	if twice.Tests-sound.Tests != 2 || twice.At != 6000 {
		t.Errorf("twice: %d tests more, the worst at %d", twice.Tests-sound.Tests, twice.At)
	}
	if anew.Tests-sound.Tests != 2 {
		t.Errorf("in two strokes: %d tests more", anew.Tests-sound.Tests)
	}
}

// A door that has opened closes at the next press, unless something was told of its way up, or it
// has been stopped.
func TestDoorThatHasOpenedCloses(t *testing.T) {
	then := func(drive func(*sim.Outputs), alarm int, actions ...sim.Action) story {
		return story{height: 1.1, seconds: 8, actions: append(actions, press(0.5), press(5)), door: func(s float64, in *sim.Inputs, out *sim.Outputs) {
			driving(0.6, 2.85, up, alarm, 3)(s, in, out)
			running(5.1, 5.4, drive)(s, out)
		}}
	}
	both(t, "no-surprise", "back", then(down, 0), then(up, 0))
	both(t, "no-surprise", "back", then(up, 2), then(up, 0))
	both(t, "no-surprise", "back", then(up, 0, press(2.75)), then(up, 0))
	short := then(up, 0)
	short.height = 0.9
	both(t, "no-surprise", "back", short, then(up, 0))
	asleep := then(up, 0, interrupt(3.5, 0.3))
	both(t, "no-surprise", "back", asleep, then(up, 0))
	bar := func(from float64) story { // barred for 0.4 s about the press of 5.06 s; the next is free
		s := then(up, 0)
		s.locks = func(s float64, _ *sim.Inputs, out *sim.Outputs) { out.Sides[0].Permit = !between(s, from, from+0.4) }
		s.actions = append(s.actions, press(5.6))
		s.door = func(s float64, in *sim.Inputs, out *sim.Outputs) {
			driving(0.6, 2.85, up, 0, 3)(s, in, out)
			running(5.8, 6.1, up)(s, out)
			out.Lamp = out.Lamp || between(s, 5.1, 5.3)
		}
		return s
	}
	both(t, "no-surprise", "back", bar(5.08), bar(4.8))  // the lock was quicker than a start, or had refused it
	both(t, "no-surprise", "back", bar(5.08), bar(5.18)) // nothing was about to start any more
	contact := then(down, 0)                             // what the contacts make of it is not the controller's choice
	contact.faults = []sim.Scheduled{kind(t, "open-down-contact", nil, 0, 0)}
	both(t, "no-surprise", "back", contact, then(up, 0))
}

// The lamp is not out before a door turns by itself; where a press has called it up it may be.
func TestLampBeforeADoorTurns(t *testing.T) {
	turns := func(dark float64, actions ...sim.Action) story {
		return story{height: 1.78, seconds: 5, actions: append(actions, press(0.5)), door: func(s float64, in *sim.Inputs, out *sim.Outputs) {
			driving(0.6, 2, down, 3, 2.1)(s, in, out)
			running(2.4, 4.9, up)(s, out)
			out.Lamp = out.Lamp || between(s, 2+dark, 2.5)
		}}
	}
	both(t, "no-surprise", "manner", turns(0.2), turns(0.35))
	both(t, "no-surprise", "manner", turns(0.35, press(2.1)), turns(0.35))
}

// The lamp is never out for long beside a bar that bars its doors.
func TestLampOfALockThatBarsItsDoors(t *testing.T) {
	shut := func(until, lit float64, actions ...sim.Action) story {
		return story{height: -1, seconds: 7, actions: actions, locks: func(s float64, _ *sim.Inputs, out *sim.Outputs) {
			out.Sides[0] = sim.SideOutputs{Permit: !between(s, 2, until), Lamp: between(s, lit, 7) && int(s/0.2)%2 == 0}
		}}
	}
	both(t, "lock-fault", "shut", shut(2.4, 9), shut(2.6, 9))
	both(t, "lock-fault", "shut", shut(7, 0), shut(3, 9))
	both(t, "lock-fault", "shut", shut(2.6, 9, ask(1.3, sim.UnlockAsk)), shut(2.6, 9))
	both(t, "lock-fault", "shut", shut(2.6, 9, interrupt(2.3, 0.2)), shut(2.6, 9))
}

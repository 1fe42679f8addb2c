package require_test

import (
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/require"
)

// A door that is down, and one that is dark and up, give a lock the same levels where the wire of the
// word "down" sticks: a lock may refuse, also once it is mended, until the door has said "not down".
func TestDoorThatALockCannotBelieve(t *testing.T) {
	s := func(says func(s float64) sim.DownLines) story {
		return story{height: -1, seconds: 8, options: require.Options{HealedAt: 100},
			actions: []sim.Action{ask(2, sim.LockAsk)},
			door:    func(s float64, _ *sim.Inputs, out *sim.Outputs) { out.Lines = says(s) },
			others: func(s float64, _ *sim.Inputs, out *sim.Outputs) {
				out.Lines = sim.DownLines{Down: s > 0.2, NotDown: s <= 0.2}
			}}
	}
	// say says one word after the other, from 0 s, 0.5 s and 1 s on.
	say := func(words ...sim.DownLines) story {
		return s(func(s float64) sim.DownLines { return words[min(int(s/0.5), len(words)-1)] })
	}
	down, notDown := sim.DownLines{Down: true}, sim.DownLines{NotDown: true}
	both(t, "recovery", "lock", say(notDown, sim.DownLines{Down: true, NotDown: true}, down), say(notDown, notDown, down))
	both(t, "recovery", "lock", say(notDown, sim.DownLines{}, down), say(notDown, down, sim.DownLines{}, down))
	both(t, "recovery", "lock", say(sim.DownLines{}, down), say(sim.DownLines{Down: true, NotDown: true}, notDown, down))
}

// An unlocked switch that came to be made beside that of the locked end sooner than any bar can come
// home proves nothing, whichever of them sticks; one that came later is that of a bar at home.
func TestUnlockedSwitchThatCameTooSoon(t *testing.T) {
	s := func(mended float64, position float64) story {
		return story{height: -1, seconds: 16, options: require.Options{HealedAt: 8000},
			actions: []sim.Action{ask(1, sim.LockAsk), ask(5, sim.UnlockAsk), ask(9, sim.UnlockAsk)},
			faults: []sim.Scheduled{kind(t, "blocked-lock-bar", map[string]float64{"position": position}, 0, 4.5),
				kind(t, "stuck-lock-switch", map[string]float64{"end": 1}, 2.5, mended)},
			locks: func(at float64, _ *sim.Inputs, out *sim.Outputs) { // never permitted again
				o := &out.Sides[model.Curbside]
				*o = sim.SideOutputs{Lamp: int(at/0.2)%2 == 0}
				switch {
				case between(at, 1.1, 2):
					o.Drive = 1
				case between(at, 5.1, 7.6), between(at, 9.1, 11.6):
					o.Drive = -1
				}
			}}
	}
	both(t, "recovery", "lock", s(5.33, 0.012), s(5.9, 0.025))
}

// A bar whose unlocked switch sticks at home, and which is held on its way back, is not told from an
// actuator that does not move. Where the switch has let go in between, something is in its way.
func TestBarThatSaysHomeEverSinceItWasThere(t *testing.T) {
	s := func(from float64) story {
		return story{height: -1, seconds: 14, actions: []sim.Action{ask(1, sim.LockAsk), ask(6, sim.UnlockAsk)},
			faults: []sim.Scheduled{kind(t, "stuck-lock-switch", map[string]float64{"end": 0}, from, 0),
				kind(t, "blocked-lock-bar", map[string]float64{"position": 0.011}, 1.5, 0)},
			locks: func(at float64, in *sim.Inputs, out *sim.Outputs) {
				sounding(8, 1.6, func(at float64, out *sim.Outputs) {
					o := &out.Sides[model.Curbside]
					*o = sim.SideOutputs{Lamp: int(at/0.2)%2 == 0, Permit: at > 9}
					switch {
					case between(at, 1.1, 1.4):
						o.Drive = 1
					case between(at, 1.5, 4), between(at, 6.1, 8.6):
						o.Drive = -1
					}
				})(at, in, out)
			}}
	}
	both(t, "alarm", "sounds", s(0.5), s(1.45))
}

// A bar that is out at the tick at which its drive is cut has arrived, though a hand draws it back at that very
// instant. Where the hand was there before, the drive was cut short, and the bar must be driven home.
func TestBarThatIsDrawnBackAsItArrives(t *testing.T) {
	const cut = 2.16 // s
	// At the cut the bar has gone less than 0.1 mm beyond where its switch is made, and a hand takes it as far in a millisecond.
	barely := func(p *model.TruckParams) { p.Locks[model.Curbside].SwitchTrip = 0.0029 }
	s := func(handAt float64) story {
		return story{height: -1, seconds: 6, truck: barely, actions: []sim.Action{ask(1, sim.LockAsk), ask(handAt, sim.BypassUnlck)},
			locks: func(at float64, in *sim.Inputs, out *sim.Outputs) {
				o := &out.Sides[model.Curbside]
				*o = sim.SideOutputs{Lamp: int(at/0.2)%2 == 0}
				if between(at, 1.1, cut) {
					o.Drive = 1
				}
			}}
	}
	both(t, "lock-fault", "return", s(cut), s(cut-0.02))
	both(t, "alarm", "sounds", s(cut), s(cut-0.02))
}

// A cab switch that says both at the same instant asks for neither.
func TestBothRequestsAtOnce(t *testing.T) {
	s := func(also sim.ActionKind, at float64) story {
		return story{height: -1, seconds: 9, options: require.Options{Rated: true}, actions: []sim.Action{ask(1, sim.UnlockAsk), ask(at, also)},
			locks: func(at float64, _ *sim.Inputs, out *sim.Outputs) {
				out.Sides[model.Curbside] = sim.SideOutputs{Lamp: int(at/0.2)%2 == 0}
			}}
	}
	both(t, "service", "locks", s(sim.LockAsk, 1), s(sim.UnlockAsk, 1))
}

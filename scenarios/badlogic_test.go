package scenarios_test

import (
	"slices"
	"strings"
	"testing"

	"slatbench/sim"
	"slatbench/sim/logic"
	"slatbench/sim/require"
)

// A property that has never failed on bad logic proves nothing. Here are bad logics, each
// with the requirement, or two, by which it must be caught, and a scenario that brings it out.

// yard is the beginning of every scenario here.
const yard = "scenario: bad logic\ntruck: trucks/produce-4bay.yaml\nstart: {charge: 90 %}\n"

// Scenarios. Doors not named are down.
const (
	cycle    = yard + "duration: 20 s\nsteps:\n  - {at: 0.5 s, press: C1}\n  - {at: 9 s, press: C1}\n"
	once     = yard + "duration: 20 s\nsteps:\n  - {at: 0.5 s, press: C1}\n"
	crate    = yard + "duration: 30 s\nsteps:\n  - {at: 0.5 s, press: C1}\n  - {at: 9 s, press: C1}\nfaults:\n  - {obstruction: C1, from: 8 s, height: 500 mm, stiffness: 100 N/mm}\n"
	deafEdge = crate + "  - {deaf-edge: C1, from: 1 s}\n"
	locking  = yard + "duration: 20 s\nsteps:\n  - {at: 0.5 s, press: C2}\n  - {at: 9 s, lock: curbside}\n"
	locked   = yard + "duration: 12 s\nsteps:\n  - {at: 0.5 s, lock: curbside}\n  - {at: 4 s, press: C1}\n"
	stop     = yard + "duration: 15 s\nsteps:\n  - {at: 0.5 s, press: C1}\n  - {at: 3 s, press: C1}\n  - {at: 5 s, press: C1}\n"
	quick    = yard + "duration: 15 s\nsteps:\n  - {at: 0.5 s, press: C1}\n  - {at: 9 s, press: C1}\n  - {at: 11 s, press: C1}\n  - {at: 11.33 s, press: C1}\n"
	dark     = yard + "duration: 12 s\nsteps:\n  - {at: 0.5 s, press: C1}\nfaults:\n  - {supply-interruption: feed, from: 3 s, until: 3.5 s, left: 0 %}\n"
	jam      = yard + "duration: 40 s\nsteps:\n  - {at: 0.5 s, press: C1}\nfaults:\n  - {added-friction: C1, from: 0 s, force: 400 N}\n"
	hanging  = yard + "duration: 30 s\nsteps:\n  - {at: 0.5 s, press: C1}\n  - {at: 9 s, press: C1}\nfaults:\n  - {broken-closing-spring: C1, from: 8 s}\n"
	flat     = yard + "duration: 12 s\nsteps:\n  - {at: 1 s, press: C1}\nfaults:\n  - {supply-interruption: feed, from: 0.2 s, until: 11 s, left: 85 %}\n"
	stuckBar = yard + "duration: 15 s\nsteps:\n  - {at: 0.5 s, lock: curbside}\nfaults:\n  - {blocked-lock-bar: curbside, from: 0 s, position: 30 mm}\n"
	retried  = yard + "duration: 12 s\nsteps:\n  - {at: 0.5 s, lock: curbside}\n  - {at: 5 s, lock: curbside, length: 60 ms}\n  - {at: 5.07 s, unlock: curbside}\n  - {at: 10 s, press: C1}\n" +
		"faults:\n  - {stuck-lock-switch: curbside, from: 0 s, end: unlocked, state: made}\n  - {blocked-lock-bar: curbside, from: 1.1 s, until: 4.5 s, position: 23 mm}\n"
	doubted = "scenario: bad logic\ntruck: trucks/produce-4bay.yaml\nstart: {charge: 90 %, locks: locked}\nduration: 12 s\nsteps:\n  - {at: 1 s, unlock: curbside}\n  - {at: 6 s, unlock: curbside}\n  - {at: 10 s, press: C1}\n" +
		"faults:\n  - {stuck-lock-switch: curbside, from: 0.5 s, end: unlocked, state: made}\n  - {blocked-lock-bar: curbside, from: 1.1 s, position: 30 mm}\n  - {supply-interruption: feed, from: 5 s, until: 5.2 s, left: 0 %}\n"
	darkDoor = "scenario: bad logic\ntruck: trucks/produce-4bay.yaml\nstart: {charge: 90 %}\nduration: 12 s\nsteps:\n  - {at: 0.5 s, press: C1}\n  - {at: 5 s, lock: curbside}\n" +
		"faults:\n  - {supply-interruption: feed, from: 2.5 s, until: 10 s, left: 66 %}\n  - {stuck-door-down-wire: C1, wire: down, level: high, from: "
	retrain = yard + "duration: 45 s\nsteps:\n  - {at: 0.5 s, press: C1}\n  - {at: 10 s, teach: C1}\nfaults:\n  - {exchanged-encoder: C1, from: 8 s, resolution: 220 pulses/m}\n"
	tooHigh = "scenario: bad logic\ntruck: trucks/produce-4bay.yaml\nambient: {temperature: -13 °C}\nstart: {charge: 90 %, doors: {C1: open}}\nduration: 90 s\nhealed at: 21 s\nsteps:\n" +
		"  - {at: 1 s, press: C1}\n  - {at: 8 s, press: C1}\n  - {at: 22 s, press: C1}\n  - {at: 38 s, press: C1}\n  - {at: 54 s, press: C1}\n  - {at: 70 s, press: C1}\nfaults:\n  - {open-motor-lead: C1, from: 2.2 s, until: 20 s}\n"
	ranOut = "scenario: bad logic\ntruck: trucks/produce-4bay.yaml\nstart: {charge: 90 %, doors: {C1: open}}\nduration: 90 s\nhealed at: 21 s\nsteps:\n" +
		"  - {at: 1 s, press: C1}\n  - {at: 22 s, press: C1}\n  - {at: 38 s, press: C1}\n  - {at: 54 s, press: C1}\n  - {at: 70 s, press: C1}\nfaults:\n  - {extra-pulses: C1, from: 2 s, until: 4 s, rate: 50 pulses/s}\n"
	// In the heat the motor does not even lift it off its sill switch.
	sinking = "scenario: bad logic\ntruck: trucks/produce-4bay.yaml\nambient: {temperature: 40 °C}\nstart: {charge: 90 %, doors: {C1: 70 mm}}\nduration: 20 s\nsteps:\n" +
		"  - {at: 1 s, press: C1}\n  - {at: 8 s, press: C1}\nfaults:\n  - {broken-counterbalance: C1, from: 0 s}\n"
	sillOnly = yard + "duration: 30 s\nsteps:\n  - {at: 0.5 s, press: C1}\n  - {at: 9 s, press: C1}\n  - {at: 16 s, lock: curbside}\nfaults:\n  - {sill-switch-stuck-made: C1, from: 8.2 s}\n"
)

// badLogic is one of them: an edit of the shipped table, or controllers put in its place.
type badLogic struct {
	name   string
	edit   func(b *logic.Table)
	put    func(s *sim.Setup)
	text   string
	caught []string // one of these must be violated
	seldom bool     // badRuns of a campaign do not draw what brings it out
}

// tune gives an edit of the tuning.
func tune(f func(t *logic.Tuning)) func(b *logic.Table) {
	return func(b *logic.Table) { f(&b.Tuning) }
}

// without takes out answers of a machine.
func without(m *logic.Machine, gone func(t *logic.Transition) bool) {
	m.Transitions = slices.DeleteFunc(m.Transitions, func(t logic.Transition) bool { return gone(&t) })
}

// ignoring takes an event out of the answers of some states.
func ignoring(m *logic.Machine, event string, states ...string) {
	for i := range m.Transitions {
		if t := &m.Transitions[i]; t.On == event {
			t.From = slices.DeleteFunc(slices.Clone(t.From), func(s string) bool { return slices.Contains(states, s) })
		}
	}
	without(m, func(t *logic.Transition) bool { return len(t.From) == 0 })
}

// leading changes where answers lead to.
func leading(m *logic.Machine, event, from, to string, change string) {
	for i := range m.Transitions {
		if t := &m.Transitions[i]; t.On == event && t.To == to && slices.Contains(t.From, from) {
			t.To = change
		}
	}
}

// state of a machine, to be changed.
func state(m *logic.Machine, name string) *logic.State {
	return &m.States[slices.IndexFunc(m.States, func(s logic.State) bool { return s.Name == name })]
}

// dropGuard takes a guard out of all answers to an event.
func dropGuard(m *logic.Machine, event, guard string) {
	for i := range m.Transitions {
		if t := &m.Transitions[i]; t.On == event {
			t.If = slices.DeleteFunc(slices.Clone(t.If), func(g string) bool { return g == guard })
		}
	}
}

var closingStates = []string{"closing", "landing", "creeping"}

var badLogics = []badLogic{
	{name: "no reversal: an obstruction only stops", text: crate, caught: []string{"obstruction-reversal"},
		edit: func(b *logic.Table) { leading(&b.Door, "paused", "pausing", "rising", "between") }},
	{name: "reversal too late", text: crate, caught: []string{"obstruction-reversal"},
		edit: tune(func(t *logic.Tuning) { t.Pause = 2.5 })},
	{name: "the edge is not looked at, nor anything else", text: crate, caught: []string{"close-cut"},
		edit: func(b *logic.Table) {
			for _, event := range []string{"edge pressed", "stall", "held up", "slowed"} {
				ignoring(&b.Door, event, closingStates...)
			}
		}},
	{name: "stall watch far too slow", text: deafEdge, caught: []string{"close-cut"},
		edit: func(b *logic.Table) {
			b.Tuning.StallClosing, b.Tuning.StallSlow = 3, 3
			ignoring(&b.Door, "held up", closingStates...)
			ignoring(&b.Door, "slowed", closingStates...)
		}},
	{name: "no travel limit", text: jam, caught: []string{"travel-timeout"},
		edit: func(b *logic.Table) {
			b.Tuning.TravelLimit = 60
			for _, event := range []string{"held up", "stall", "no motion"} {
				ignoring(&b.Door, event, "opening")
			}
		}},
	{name: "locks ignore a door", text: locking, caught: []string{"lock-interlock"},
		edit: func(b *logic.Table) {
			without(&b.Lock, func(t *logic.Transition) bool {
				return t.On == "doors lost" || t.On == "lock asked" && slices.Contains(t.If, "not doors down")
			})
			dropGuard(&b.Lock, "lock asked", "doors down")
			dropGuard(&b.Lock, "settled", "doors down")
		}},
	{name: "a door says down that is not", text: locking, caught: []string{"lock-interlock"},
		edit: func(b *logic.Table) { state(&b.Door, "open").Says = "down" }},
	{name: "a door that never moves", text: once, caught: []string{"service"},
		edit: func(b *logic.Table) {
			without(&b.Door, func(t *logic.Transition) bool { return t.On == "press" })
		}},
	{name: "a door that always reverses", text: cycle, caught: []string{"service"},
		edit: func(b *logic.Table) { leading(&b.Door, "near floor", "closing", "landing", "pausing") }},
	{name: "drive while locked", text: locked, caught: []string{"lock-interlock"},
		edit: func(b *logic.Table) {
			without(&b.Door, func(t *logic.Transition) bool { return t.On == "barred" || slices.Contains(t.If, "not permitted") })
			dropGuard(&b.Door, "press", "permitted")
		}},
	{name: "restart that resumes motion", text: dark, caught: []string{"no-surprise"},
		edit: func(b *logic.Table) {
			for i := range b.Door.Transitions {
				if t := &b.Door.Transitions[i]; t.On == "awake" && t.To == "between" {
					t.To = "homing"
				}
			}
		}},
	{name: "a reset that leaves the coils as they were", text: dark, caught: []string{"no-surprise"},
		put: wrap(func(d *door) { d.blindToReset = true })},
	{name: "no dead time", text: quick, caught: []string{"dead-time"},
		put: wrap(func(d *door) { d.turnsAtOnce = true })},
	{name: "a press that does not stop", text: stop, caught: []string{"stop-on-press"},
		edit: func(b *logic.Table) { ignoring(&b.Door, "press", "opening") }},
	{name: "wrong direction after a stop", text: stop, caught: []string{"stop-on-press"},
		edit: func(b *logic.Table) {
			for i := range b.Door.Transitions {
				if t := b.Door.Transitions[i]; t.On == "press" && t.To == "opening" {
					b.Door.Transitions[i].From = []string{"down"}
					t.From, t.To = []string{"between"}, "closing"
					b.Door.Transitions = append(b.Door.Transitions, t)
				}
			}
		}},
	{name: "a swallowed alarm", text: crate, caught: []string{"alarm"},
		edit: func(b *logic.Table) {
			for i := range b.Door.Transitions {
				if t := &b.Door.Transitions[i]; t.Alarm == "obstruction-closing" {
					t.Alarm = ""
				}
			}
		}},
	{name: "an alarm for nothing", text: cycle, caught: []string{"alarm"},
		edit: func(b *logic.Table) {
			for i := range b.Door.Transitions {
				if t := &b.Door.Transitions[i]; t.On == "near floor" {
					t.Alarm = "early-floor"
				}
			}
		}},
	{name: "the wrong alarm", text: crate, caught: []string{"alarm"},
		edit: func(b *logic.Table) {
			for i := range b.Door.Transitions {
				if t := &b.Door.Transitions[i]; t.Alarm == "obstruction-closing" {
					t.Alarm = "low-supply"
				}
			}
		}},
	{name: "the sill switch alone is believed", text: sillOnly, caught: []string{"lock-interlock"},
		edit: func(b *logic.Table) {
			// Down wherever the switch says so: after a run that the floor did not end.
			for i := range b.Door.Transitions {
				t := &b.Door.Transitions[i]
				if t.On == "press" && slices.Contains(t.From, "open") && slices.Contains(t.If, "sill made") {
					t.To, t.Alarm = "down", ""
				}
			}
		}},
	{name: "no supply floor", text: flat, caught: []string{"supply-guard"},
		edit: tune(func(t *logic.Tuning) { t.SupplyFloor = 0 })},
	{name: "cable paid out without end", text: hanging, caught: []string{"slack-limit"},
		edit: func(b *logic.Table) {
			for _, event := range []string{"no motion", "slowed", "held up", "stall"} {
				ignoring(&b.Door, event, closingStates...)
			}
		}},
	{name: "a blocked bar stays where it is", text: stuckBar, caught: []string{"lock-fault"},
		edit: func(b *logic.Table) {
			for i := range b.Lock.Transitions {
				if t := &b.Lock.Transitions[i]; slices.Contains(t.From, "locking") && (t.On == "late" || t.On == "not left") {
					t.To = "failed"
				}
			}
		}},
	{name: "a failed lock is freed by taking a request back", text: retried, caught: []string{"lock-interlock"}, seldom: true,
		edit: func(b *logic.Table) {
			b.Tuning.LockLeave = 0.5 // s: the bar is out of its clear zone as it is turned
			leading(&b.Lock, "unlock asked", "retrying", "unlocking", "freed")
		}},
	{name: "a lock forgets its doubt at a reset", text: doubted, caught: []string{"lock-interlock"}, seldom: true,
		put: func(s *sim.Setup) { s.Locks = &forgetful{s.Locks.(*logic.Locks)} }},
	{name: "a lock believes a door that went dark with a stuck wire", text: darkDoor + "1 s}\n", caught: []string{"lock-interlock"}, seldom: true,
		put: func(s *sim.Setup) { s.Locks = &gullible{s.Locks.(*logic.Locks)} }},
	{name: "a lock believes a dark door whose wire comes to stick", text: darkDoor + "3.5 s}\n", caught: []string{"lock-interlock"}, seldom: true,
		put: func(s *sim.Setup) { s.Locks = &gullible{s.Locks.(*logic.Locks)} }},
	{name: "the lamp shows locked while the bar is not", text: stuckBar, caught: []string{"lock-fault"},
		edit: func(b *logic.Table) {
			for _, name := range []string{"locking", "retracting", "returning", "warning"} {
				state(&b.Lock, name).Lamp = "on"
			}
		}},
	{name: "a count that is too high stays so, and the door turns at every floor", text: tooHigh, caught: []string{"recovery"},
		edit: func(b *logic.Table) {
			for i := range b.Door.Transitions {
				t := &b.Door.Transitions[i]
				t.Do = slices.DeleteFunc(slices.Clone(t.Do), func(a string) bool { return a == "cap" })
			}
		}},
	{name: "a count below the floor is believed, and the stop taken for a jam", text: ranOut, caught: []string{"recovery"}, seldom: true,
		edit: func(b *logic.Table) {
			for i := range b.Door.Transitions {
				if t := &b.Door.Transitions[i]; t.On != "floor" && slices.Contains(t.If, "past zero") {
					t.To, t.Do = map[string]string{"press": "opening", "paused": "rising"}[t.On], nil
				}
			}
		}},
	{name: "a door that lies on the floor is taken for open", text: sinking, caught: []string{"alarm"},
		edit: func(b *logic.Table) { ignoring(&b.Door, "edge pressed", "open") }},
	{name: "the new record is written over the only good copy", text: retrain, caught: []string{"taught-travel"},
		put: wrap(func(d *door) { d.writesOverYounger = true })},
}

func TestBadLogicIsCaught(t *testing.T) {
	for _, bad := range badLogics {
		t.Run(bad.name, func(t *testing.T) {
			table := shippedLogic(t)
			for _, v := range judge(t, bad.text, table, nil) {
				if slices.Contains(bad.caught, v.ID) && v.Verdict >= require.Violated {
					t.Errorf("the shipped logic: %s", tell(&v))
				}
			}
			if bad.edit != nil {
				bad.edit(table)
			}
			var found []string
			for _, v := range judge(t, bad.text, table, bad.put) {
				if v.Verdict == require.Violated {
					found = append(found, tell(&v))
					if slices.Contains(bad.caught, v.ID) {
						return
					}
				}
			}
			t.Errorf("not caught by %s; found %s", strings.Join(bad.caught, " or "), strings.Join(found, "\n"))
		})
	}
}

// door is the shipped controller with something wrong with it that no table can say.
type door struct {
	*logic.Door
	blindToReset      bool // goes on after a reset with the coils that it had
	turnsAtOnce       bool // switches straight from one direction to the other
	writesOverYounger bool // writes a new travel over the copy that holds the old one

	last   sim.Outputs
	resets int
}

// forgetful is the shipped lock controller, which forgets at a reset that it doubts a switch.
type forgetful struct{ *logic.Locks }

func (f *forgetful) PowerOn(store *sim.Store) {
	found := *store
	for side := range 2 {
		at := logic.StrokeAt + side
		found[at] = min(found[at], logic.StrokeOn)
	}
	f.Locks.PowerOn(&found)
}

// gullible is the shipped lock controller, which takes what a door says implausibly for "not down"
// and forgets it.
type gullible struct{ *logic.Locks }

func (g *gullible) Tick(in *sim.Inputs, out *sim.Outputs) {
	heard := *in
	for i := range heard.Sides {
		for k := range heard.Sides[i].Down {
			if d := &heard.Sides[i].Down[k]; d.Down == d.NotDown {
				*d = sim.DownLines{NotDown: true}
			}
		}
	}
	g.Locks.Tick(&heard, out)
}

// wrap puts such a controller into every bay.
func wrap(change func(d *door)) func(s *sim.Setup) {
	return func(s *sim.Setup) {
		for i, c := range s.Doors {
			d := &door{Door: c.(*logic.Door)}
			change(d)
			s.Doors[i] = d
		}
	}
}

func (d *door) PowerOn(store *sim.Store) {
	d.Door.PowerOn(store)
	d.resets++
}

func (d *door) Tick(in *sim.Inputs, out *sim.Outputs) {
	d.Door.Tick(in, out)
	switch {
	case d.blindToReset && d.resets > 1 && d.last.Enable:
		out.Up, out.Down, out.Enable, out.Duty = d.last.Up, d.last.Down, true, 100
		return
	case d.turnsAtOnce && (d.State() == "pausing" || d.State() == "between") && d.last.Down:
		out.Up, out.Down, out.Enable, out.Duty = true, false, true, 100 // the pause is left out
		return
	case d.writesOverYounger && out.Write && out.WriteAt >= 8 && out.WriteAt < 16:
		out.WriteAt -= 8
	}
	d.last = *out
}

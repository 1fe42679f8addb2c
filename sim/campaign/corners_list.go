package campaign

import "slatbench/sim"

// corners are all of them. Their shares are such that in 20 000 runs with one fault at
// most every transition of the shipped logic that they are for fires: TestCornersReach.
var corners = []corner{
	{
		name: "closing slowly in the cold, on a supply that stays low", share: 1,
		temperature: coldLaw, charge: uniform{0.6, 1, 100}, below: openLaw,
		steps: []cornerStep{{sim.Press, soonLaw}},
		wrongs: []cornerWrong{
			{kinds: []string{"open-edge-wire", "shorted-edge-wire", "sill-switch-stuck-made"}, into: fixed(0), lasts: toTheEnd},
			{kinds: []string{"supply-interruption"}, step: 1, into: uniform{0.1, 0.5, 100}, lasts: uniform{14, 20, 100}, values: []law{lowLaw}},
		},
	},
	{
		name: "teaching slowly in the cold, on a supply that stays low", share: 1,
		temperature: coldLaw, charge: uniform{0.6, 1, 100}, below: uniform{0, 0.3, 1000},
		steps: []cornerStep{{sim.TeachHold, soonLaw}},
		wrongs: []cornerWrong{
			{kinds: []string{"supply-interruption"}, step: 1, into: uniform{0.7, 1.2, 100}, lasts: uniform{20, 30, 100}, values: []law{lowLaw}},
		},
	},
	{
		name: "opening a door that the motor only just lifts", share: 1,
		steps: []cornerStep{{sim.Press, soonLaw}},
		wrongs: []cornerWrong{
			{kinds: []string{"leaning-cargo"}, into: fixed(0), lasts: toTheEnd, values: []law{uniform{150, 200, 1}}},
		},
	},
	{
		name: "teaching a door that the motor only just lifts", share: 2.5,
		below: uniform{0.8, 1.6, 1000},
		steps: []cornerStep{{sim.TeachHold, soonLaw}},
		wrongs: []cornerWrong{
			{kinds: []string{"weak-counterbalance"}, into: fixed(0), lasts: toTheEnd, values: []law{uniform{0.4, 0.5, 1000}}},
		},
	},
	{
		name: "teaching where the door has jammed", share: 2,
		below: uniform{0.8, 1.6, 1000},
		steps: []cornerStep{{sim.Press, soonLaw}, {sim.TeachHold, uniform{1.5, 3, 100}}},
		wrongs: []cornerWrong{
			{kinds: []string{"leaning-cargo"}, into: fixed(0), lasts: toTheEnd, values: []law{uniform{200, 300, 1}}},
		},
	},
	{
		name: "teaching onto a thing that a deaf edge does not tell", share: 2,
		below: uniform{0, 0.3, 1000},
		steps: []cornerStep{{sim.TeachHold, soonLaw}},
		wrongs: []cornerWrong{
			{kinds: []string{"deaf-edge"}, into: fixed(0), lasts: toTheEnd},
			{kinds: []string{"obstruction"}, into: fixed(0), lasts: uniform{10, 30, 100}, values: []law{uniform{0.1, 1.4, 1000}, uniform{200e3, 500e3, 1e-3}, fixed(1)}},
		},
	},
	{
		name: "creeping onto something soft, with the wire of the edge at fault", share: 1,
		below: openLaw,
		steps: []cornerStep{{sim.Press, soonLaw}},
		wrongs: []cornerWrong{
			{kinds: []string{"open-edge-wire", "shorted-edge-wire"}, into: fixed(0), lasts: toTheEnd},
			{kinds: []string{"obstruction"}, into: fixed(0), lasts: uniform{10, 30, 100}, values: []law{uniform{0.1, 1.4, 1000}, fixed(5e3), fixed(1)}},
		},
	},
	{
		name: "a thing under a door that is taught with its sill switch stuck", share: 2.5,
		below: uniform{0.1, 0.4, 1000},
		steps: []cornerStep{{sim.TeachHold, soonLaw}},
		wrongs: []cornerWrong{
			{kinds: []string{"sill-switch-stuck-made"}, into: fixed(0), lasts: toTheEnd},
			{kinds: []string{"obstruction"}, into: fixed(0), lasts: uniform{10, 30, 100}, values: []law{uniform{0.85, 1.35, 1000}, uniform{5e3, 500e3, 1e-3}, fixed(1)}},
		},
	},
	{
		name: "the release pulled as a door that has lost its count rises", share: 3.5,
		temperature: uniform{5, 45, 1}, below: uniform{0.6, 0.8, 1000},
		steps: []cornerStep{{sim.Press, soonLaw}, {sim.Press, uniform{1, 2, 100}}},
		wrongs: []cornerWrong{
			{kinds: []string{"supply-interruption"}, step: 1, into: uniform{0.2, 0.6, 100}, lasts: blinkLaw, values: []law{fixed(0)}},
			{kinds: []string{"manual-release-open"}, step: 2, into: uniform{0.9, 1.3, 100}, lasts: toTheEnd},
		},
	},
	{
		name: "the release pulled as a door begins to close, and something under it", share: 2,
		below: openLaw,
		steps: []cornerStep{{sim.Press, soonLaw}},
		wrongs: []cornerWrong{
			{kinds: []string{"manual-release-open"}, step: 1, into: uniform{0, 0.3, 100}, lasts: toTheEnd},
			{kinds: []string{"obstruction"}, step: 1, into: uniform{0.1, 0.3, 100}, lasts: toTheEnd, values: []law{uniform{1.3, 1.45, 1000}, uniform{5e3, 500e3, 1e-3}, fixed(1)}},
		},
	},
	{
		name: "the count lost just above the floor, and no current to be read at the stop", share: 1,
		steps: []cornerStep{{sim.Press, soonLaw}, {sim.Press, uniform{1.5, 3, 100}}},
		wrongs: []cornerWrong{
			{kinds: []string{"supply-interruption"}, step: 1, into: uniform{0.1, 0.4, 100}, lasts: blinkLaw, values: []law{fixed(0)}},
			{kinds: []string{"failed-current-sensor"}, into: fixed(0), lasts: toTheEnd},
		},
	},
	{
		name: "the count lost just below the stop, in the heat, and a reel that sticks", share: 2.5,
		temperature: uniform{30, 45, 1}, charge: uniform{0.4, 0.6, 100}, below: uniform{0.17, 0.29, 1000},
		steps: []cornerStep{{sim.Press, soonLaw}, {sim.Press, uniform{1.5, 3, 100}}},
		wrongs: []cornerWrong{
			{kinds: []string{"supply-interruption"}, step: 1, into: uniform{0.1, 0.5, 100}, lasts: blinkLaw, values: []law{fixed(0)}},
			{kinds: []string{"stuck-reel"}, into: fixed(0), lasts: toTheEnd, values: []law{fixed(0)}},
		},
	},
	{
		name: "an encoder of a sixth more pulses: the count runs out as the sill is met", share: 4,
		below: openLaw,
		steps: []cornerStep{{sim.Press, soonLaw}},
		wrongs: []cornerWrong{
			{kinds: []string{"exchanged-encoder"}, into: fixed(0), lasts: toTheEnd, values: []law{uniform{233, 236, 1}}},
		},
	},
	{
		name: "an encoder of more pulses: the door is stopped when the count has run out, and pressed again", share: 1,
		below: openLaw,
		steps: []cornerStep{{sim.Press, soonLaw}, {sim.Press, uniform{4.6, 5.4, 100}}, {sim.Press, uniform{1, 3, 100}}},
		wrongs: []cornerWrong{
			{kinds: []string{"exchanged-encoder"}, into: fixed(0), lasts: toTheEnd, values: []law{uniform{255, 265, 1}}},
		},
	},
	{
		name: "a counterbalance that breaks just above the floor: the door is pressed as it sinks", share: 1,
		below: uniform{1.72, 1.74, 1000},
		steps: []cornerStep{{sim.Press, uniform{0.9, 1.2, 100}}},
		wrongs: []cornerWrong{
			{kinds: []string{"broken-counterbalance"}, into: fixed(0), lasts: toTheEnd},
		},
	},
	{
		name: "a lock request taken back at once", share: 1,
		steps: []cornerStep{{sim.LockAsk, soonLaw}, {sim.UnlockAsk, uniform{0.02, 0.1, 100}}},
	},
	{
		name: "a lock request taken back at once, with the bar between its ends", share: 1,
		steps:  []cornerStep{{sim.LockAsk, soonLaw}, {sim.LockAsk, uniform{2, 4, 100}}, {sim.UnlockAsk, uniform{0.02, 0.1, 100}}},
		wrongs: []cornerWrong{strokeCut},
	},
	{
		name: "a door that no longer says down, just after a lock request", share: 1,
		steps:  []cornerStep{{sim.LockAsk, soonLaw}},
		wrongs: []cornerWrong{{kinds: downLost, step: 1, into: uniform{0.01, 0.1, 100}, lasts: toTheEnd}},
	},
	{
		name: "a door that no longer says down, just after a lock request, with the bar between its ends", share: 1,
		steps:  []cornerStep{{sim.LockAsk, soonLaw}, {sim.LockAsk, uniform{2, 4, 100}}},
		wrongs: []cornerWrong{strokeCut, {kinds: downLost, step: 2, into: uniform{0.01, 0.1, 100}, lasts: toTheEnd}},
	},
	{
		name: "a lock request taken back at once, as a hand moves the bar", share: 1,
		steps: []cornerStep{{sim.BypassLock, soonLaw}, {sim.LockAsk, uniform{0, 0.03, 100}}, {sim.UnlockAsk, uniform{0.04, 0.09, 100}}},
	},
	{
		name: "a door that no longer says down, just after a lock request, as a hand moves the bar", share: 1,
		steps:  []cornerStep{{sim.BypassLock, soonLaw}, {sim.LockAsk, uniform{0, 0.03, 100}}},
		wrongs: []cornerWrong{{kinds: downLost, step: 2, into: uniform{0.04, 0.09, 100}, lasts: toTheEnd}},
	},
	{
		name: "a lock bar that stops for good on its way", share: 1,
		steps: []cornerStep{{sim.LockAsk, soonLaw}},
		wrongs: []cornerWrong{
			{kinds: []string{"open-lock-actuator"}, step: 1, into: uniform{0.2, 1.1, 100}, lasts: toTheEnd},
		},
	},
}

// What several corners share.
var (
	soonLaw  = uniform{1, 3, 100}        // s, to the first step
	coldLaw  = uniform{-20, -12, 1}      // °C
	lowLaw   = uniform{0.66, 0.74, 1000} // of the battery's voltage: a controller browns out not far below
	blinkLaw = uniform{0.01, 0.3, 100}   // s, a loose terminal
	toTheEnd = fixed(60)                 // s

	// strokeCut is a supply that fails as the bar is on its way.
	strokeCut = cornerWrong{kinds: []string{"supply-interruption"}, step: 1, into: uniform{0.2, 1.1, 100}, lasts: blinkLaw, values: []law{fixed(0)}}
	// downLost are faults after which a door that is down does not say so.
	downLost = []string{"sill-switch-stuck-open", "stuck-door-down-wire"}
)
